//! Names in a design file: the values that a set or a plan may give, and what expressions call.

use std::borrow::Cow;

use flatwright_geometry::units::Mm;
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::design_expr::{Expr, OPERATIONS};
use crate::problem::At;
use crate::set_file::reader::{Read, Reader};
use crate::set_file::{Count, Length};

/// A name for use in expressions.
#[derive(Clone, Debug)]
pub struct Name(pub String);

/// What names are made of.
const NAME: &str = "^[a-z][a-z_]{0,23}$";

impl Name {
    fn check(text: &str) -> bool {
        text.len() <= 24
            && text.starts_with(|c: char| c.is_ascii_lowercase())
            && text.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            && !OPERATIONS.contains(&text)
    }
}

/// How to mend a name.
const NAME_HELP: &str = "write 1 to 24 small letters and underscores, beginning with a letter, not the name of an operation such as \"min\"";

impl JsonSchema for Name {
    fn schema_name() -> Cow<'static, str> {
        "Name".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "pattern": NAME })
    }
}

impl Read for Name {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let name = value.as_string_lit().filter(|text| Self::check(&text.value));
        if name.is_none() {
            reader.mismatch(value, "a name", NAME_HELP);
        }
        name.map(|text| Self(text.value.to_string()))
    }
}

/// What a set or a plan may say about a design, in the file's order.
#[derive(Clone, Debug, Default)]
pub struct ValueEntries(pub Vec<(String, At, ValueEntry)>);

/// A value with its default.
#[derive(Clone, Debug)]
pub enum ValueEntry {
    /// A length.
    Length(Mm),
    /// A whole number.
    Count(u32),
    /// Yes or no.
    Flag(bool),
    /// One of several words.
    Word(Vec<String>),
}

/// Largest whole number of a value.
pub const LARGEST_COUNT: u32 = 40;
/// Most values and most names.
const MOST_NAMES: usize = 60;
/// Most words of a value.
const MOST_WORDS: usize = 12;

impl JsonSchema for ValueEntries {
    fn schema_name() -> Cow<'static, str> {
        "Values".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (length, count) = (generator.subschema_for::<Length>(), generator.subschema_for::<Count<LARGEST_COUNT>>());
        let words = json_schema!({
            "type": "array",
            "items": { "type": "string", "pattern": NAME },
            "minItems": 2,
            "maxItems": MOST_WORDS,
        });
        json_schema!({
            "type": "object",
            "propertyNames": { "pattern": NAME },
            "maxProperties": MOST_NAMES,
            "additionalProperties": { "anyOf": [length, count, { "type": "boolean" }, words] },
        })
    }
}

impl Read for ValueEntry {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        match value {
            Value::StringLit(_) => Length::read(value, reader).map(|length| Self::Length(length.0)),
            Value::NumberLit(_) => Count::<LARGEST_COUNT>::read(value, reader).map(|count| Self::Count(count.0)),
            Value::BooleanLit(flag) => Some(Self::Flag(flag.value)),
            Value::Array(array) if (2..=MOST_WORDS).contains(&array.elements.len()) => {
                let words = Vec::<Name>::read(value, reader)?;
                Some(Self::Word(words.into_iter().map(|word| word.0).collect()))
            }
            _ => {
                let expected = "a length, a whole number, true, false, or a list of 2 to 12 words";
                reader.mismatch(
                    value,
                    expected,
                    "write the default, such as \"25 mm\", 4, false or [\"left\", \"right\"]",
                );
                None
            }
        }
    }
}

impl Read for ValueEntries {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        named(value, reader).map(Self)
    }
}

/// Names for expressions, in the file's order.
#[derive(Clone, Debug, Default)]
pub struct NameEntries(pub Vec<(String, At, Expr)>);

impl JsonSchema for NameEntries {
    fn schema_name() -> Cow<'static, str> {
        "Names".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let expression = generator.subschema_for::<Expr>();
        json_schema!({
            "type": "object",
            "propertyNames": { "pattern": NAME },
            "maxProperties": MOST_NAMES,
            "additionalProperties": expression,
        })
    }
}

impl Read for NameEntries {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        named(value, reader).map(Self)
    }
}

/// An object whose keys are names, in the order in which they are written.
fn named<T: Read>(value: &Value<'_>, reader: &mut Reader) -> Option<Vec<(String, At, T)>> {
    let Value::Object(object) = value else {
        reader.mismatch(value, "an object in braces", "write it like {\"sill\": \"18 mm\"}");
        return None;
    };
    let before = reader.found();
    if object.properties.len() > MOST_NAMES {
        let what = format!("has {} keys; at most {MOST_NAMES} are read", object.properties.len());
        reader.wrong(&object.properties[MOST_NAMES].name, &what, "one too many", "use fewer");
    }
    let mut list: Vec<(String, At, T)> = Vec::new();
    for property in object.properties.iter().take(MOST_NAMES) {
        let name = property.name.as_str();
        if !Name::check(name) {
            let what = format!("has the key \"{}\", which is no name", name.escape_debug());
            reader.wrong(&property.name, &what, "here", NAME_HELP);
        }
        if list.iter().any(|(known, ..)| known == name) {
            let what = format!("has the key \"{name}\" twice");
            reader.wrong(&property.name, &what, "the second one", "keep one of the two");
        }
        let at = reader.at(&property.name);
        if let Some(read) = reader.within(format!(".{name}"), |reader| T::read(&property.value, reader)) {
            list.push((name.to_owned(), at, read));
        }
    }
    (reader.found() == before).then_some(list)
}
