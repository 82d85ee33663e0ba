//! JSON documents: bytes to a value whose every problem has its place, and their schemas.

use std::sync::Arc;

use jsonc_parser::errors::ParseErrorKind;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};
use schemars::transform::Transform as _;

use super::reader::{Read, Reader};
use crate::problem::{At, Problem, Problems, Source, SourceText};

/// What sentences call a document.
#[derive(Clone, Copy, Debug)]
pub struct Called {
    /// With the article: "a set file".
    pub file: &'static str,
    /// Its outermost value: "the set".
    pub whole: &'static str,
    /// What to write into an empty one.
    pub write: &'static str,
    /// How many bytes it has at most.
    pub largest: usize,
    /// How to make one that is too large smaller.
    pub shorten: &'static str,
}

/// The text of a file. `name` is what diagnostics call it, `file` with its article what it is, of at
/// most `largest` bytes.
///
/// # Errors
/// One problem: it is too large, or not UTF-8.
pub fn text(name: &str, bytes: Vec<u8>, file: &str, largest: usize, shorten: &str) -> Result<Source, Problems> {
    let fail = |problem| Problems::new(name, vec![problem]);
    if bytes.len() > largest {
        let size = format!("{name} has {} bytes; {file} has at most {largest}", bytes.len());
        return Err(fail(Problem::new(size).help(shorten)));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let line = 1 + error.as_bytes()[..valid].iter().filter(|byte| **byte == b'\n').count();
        fail(Problem::new(format!("{name} is not UTF-8 text: byte {valid}, in line {line}")).help("save it as UTF-8"))
    })?;
    Ok(Arc::new(SourceText { name: name.to_owned(), text }))
}

/// Reads a document. `name` is what diagnostics call it; `check` may note more problems with the
/// outermost value.
///
/// # Errors
/// Every problem with its place: bytes that are not text, broken JSON (the first break only),
/// wrong types, unknown, repeated and missing keys, lengths without a unit, numbers out of range.
pub fn read<T: Read>(
    name: &str,
    bytes: Vec<u8>,
    called: Called,
    check: impl FnOnce(&jsonc_parser::ast::Value<'_>, &mut Reader),
) -> Result<(T, Source), Problems> {
    let fail = |problem| Problems::new(name, vec![problem]);
    let source = text(name, bytes, called.file, called.largest, called.shorten)?;
    let text = source.text.as_str();
    let place = |start: usize, end: usize| At { source: source.clone(), start, end: end.min(text.len()).max(start) };

    let parsed = parse_to_ast(text, &CollectOptions::default(), &strict()).map_err(|error| {
        let message = format!("broken JSON: {}", lowered(&error.kind().to_string()));
        // What is not closed runs to the end of the file: its beginning is shown.
        let open = matches!(error.kind(), ParseErrorKind::UnterminatedArray | ParseErrorKind::UnterminatedObject);
        let (start, end) = (error.range().start, error.range().end);
        let (end, label) = if open { (start + 1, "opened here") } else { (end, "here") };
        fail(
            Problem::new(message).at(&place(start, end), label).help("mend this first; what follows is read only then"),
        )
    })?;
    let Some(value) = parsed.value else {
        return Err(fail(Problem::new(format!("{name} is empty")).help(called.write)));
    };
    // The reader above gives positions but takes a few things that the standard does not.
    if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(text.trim_start_matches('\u{feff}')) {
        let at = offset_of(text, error.line(), error.column());
        let message = error.to_string();
        let message = message.split(" at line").next().unwrap_or_default().to_owned();
        return Err(fail(Problem::new(format!("broken JSON: {message}")).at(&place(at, at + 1), "here")));
    }

    let mut reader = Reader::new(source.clone(), called.whole);
    let read = T::read(&value, &mut reader);
    check(&value, &mut reader);
    let problems = reader.into_problems();
    match read {
        Some(read) if problems.is_empty() => Ok((read, source)),
        _ => Err(Problems::new(name, problems)),
    }
}

/// The JSON Schema of a document (draft 2020-12).
#[must_use]
pub fn schema<T: schemars::JsonSchema>() -> schemars::Schema {
    let mut schema = schemars::schema_for!(T);
    schemars::transform::RecursiveTransform(without_null).transform(&mut schema);
    schema
}

/// A key that may be left out is left out: null is no value of it. The generator lets it be one.
fn without_null(schema: &mut schemars::Schema) {
    let null = serde_json::json!({ "type": "null" });
    if let Some(serde_json::Value::Array(types)) = schema.get_mut("type") {
        types.retain(|name| name != "null");
        if let [only] = &types[..] {
            let only = only.clone();
            schema.insert("type".to_owned(), only);
        }
    }
    if let Some(serde_json::Value::Array(words)) = schema.get_mut("enum") {
        words.retain(|word| !word.is_null());
    }
    for choice in ["anyOf", "oneOf"] {
        let Some(serde_json::Value::Array(choices)) = schema.get_mut(choice) else { continue };
        choices.retain(|inner| *inner != null);
        if let [serde_json::Value::Object(only)] = &choices[..] {
            // One choice is none: its keys take its place; a description given here stays.
            let only = only.clone();
            schema.remove(choice);
            for (key, value) in only {
                if schema.get(&key).is_none() {
                    schema.insert(key, value);
                }
            }
        }
    }
}

/// JSON as RFC 8259 has it, without any of the parser's extensions.
const fn strict() -> ParseOptions {
    ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    }
}

/// The first letter in lower case, for the middle of a sentence.
fn lowered(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

/// The byte at a line and a column, both from 1; columns are bytes, as serde_json counts them.
fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let before: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let mut at = (before + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
