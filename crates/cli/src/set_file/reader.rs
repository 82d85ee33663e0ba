//! From a JSON tree with positions to typed values, every problem noted on the way.
//!
//! A derive of serde stops at the first problem; this reader goes on. The `record!` and
//! `tagged!` macros make a type, its JSON Schema and its reader from one list of fields, so
//! that the three cannot drift apart.

use std::collections::BTreeSet;

use jsonc_parser::ast::{Object, Value};
use jsonc_parser::common::{Range, Ranged};

use crate::problem::{At, Problem, Source, Spanned};

/// What is being read, and what has been found wrong with it.
#[derive(Debug)]
pub struct Reader {
    source: Source,
    whole: &'static str,
    path: Vec<String>,
    problems: Vec<Problem>,
    /// How many problems were noted, also those that were not kept.
    found: usize,
}

/// Most problems of one file that are kept; the rest is counted.
pub const MOST_PROBLEMS: usize = 1000;

/// A value that can be read from JSON.
pub trait Read: Sized {
    /// Reads it. `None` where it is not one; then at least one problem has been noted.
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self>;

    /// What an absent value stands for; `None` where it has to be present.
    #[must_use]
    fn absent() -> Option<Self> {
        None
    }
}

impl Reader {
    /// A reader of `source` that has found nothing wrong yet. `whole` is what sentences call the
    /// outermost value, such as "the set".
    #[must_use]
    pub fn new(source: Source, whole: &'static str) -> Self {
        Self { source, whole, path: Vec::new(), problems: Vec::new(), found: 0 }
    }

    /// What was found wrong. Of very much, the first [`MOST_PROBLEMS`] and how many more there are.
    #[must_use]
    pub fn into_problems(mut self) -> Vec<Problem> {
        if self.found > self.problems.len() {
            let message = format!("{} has {} more problems", self.whole, self.found - self.problems.len());
            self.problems.push(Problem::new(message).help("mend the others first"));
        }
        self.problems
    }

    /// Where `node` was written.
    #[must_use]
    pub fn at(&self, node: &impl Ranged) -> At {
        At { source: self.source.clone(), start: node.start(), end: node.end() }
    }

    /// Notes that the value being read is wrong: `what` completes the sentence that begins with
    /// its name, such as `is not a length`.
    pub fn wrong(&mut self, node: &impl Ranged, what: &str, label: &str, help: &str) {
        self.found += 1;
        if self.problems.len() >= MOST_PROBLEMS {
            return;
        }
        let problem = Problem::new(format!("{} {what}", self.name())).at(&self.at(node), label);
        self.problems.push(if help.is_empty() { problem } else { problem.help(help) });
    }

    /// Notes that the value being read is of the wrong type.
    pub fn mismatch(&mut self, value: &Value<'_>, expected: &str, help: &str) {
        self.wrong(&Short(value), &format!("must be {expected}, not {}", kind(value)), "here", help);
    }

    /// Reads `value` under one more step of the path.
    pub fn within<T>(&mut self, step: String, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(step);
        let result = read(self);
        self.path.pop();
        result
    }

    /// Notes that the value being read is none of `words`.
    pub fn no_word(&mut self, value: &Value<'_>, words: &[&str]) {
        let near = value.as_string_lit().and_then(|text| nearest(&text.value, words));
        let all = listed(words, "or");
        let help =
            near.map_or_else(|| format!("write {all}"), |near| format!("did you mean \"{near}\"? It can be {all}"));
        self.wrong(&Short(value), &format!("cannot be {}", kind(value)), "here", &help);
    }

    /// How many problems have been noted.
    #[must_use]
    pub fn found(&self) -> usize {
        self.found
    }

    fn name(&self) -> String {
        match self.path.concat().trim_start_matches('.') {
            "" => self.whole.to_owned(),
            path => format!("`{path}`"),
        }
    }

    /// The fields of an object whose keys may be `known`: unknown and repeated ones are noted.
    pub fn fields<'v>(&mut self, value: &'v Value<'v>, known: &[&str], help: &str) -> Option<Fields<'v>> {
        let Value::Object(object) = value else {
            self.mismatch(value, "an object in braces", help);
            return None;
        };
        // A set, since a spoiled file may have a million keys.
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for property in &object.properties {
            let name = property.name.as_str();
            if !seen.insert(name) {
                let what = format!("has the key \"{name}\" twice");
                self.wrong(&property.name, &what, "the second one", "keep one of the two");
            } else if !known.contains(&name) {
                let what = format!("has no key \"{name}\"");
                let help = match nearest(name, known) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => format!("the keys are {}", listed(known, "and")),
                };
                self.wrong(&property.name, &what, "not known here", &help);
            }
        }
        Some(Fields { object })
    }
}

/// The fields of one object.
#[derive(Clone, Copy, Debug)]
pub struct Fields<'v> {
    object: &'v Object<'v>,
}

impl<'v> Fields<'v> {
    /// The opening brace, so that a label does not run over all the object's lines.
    #[must_use]
    pub fn opening(&self) -> Range {
        Range::new(self.object.range.start, self.object.range.start + 1)
    }

    /// Reads the field `name`; where it is absent, what that stands for.
    pub fn take<T: Read>(&self, name: &str, reader: &mut Reader) -> Option<T> {
        match self.get(name) {
            Some(value) => reader.within(format!(".{name}"), |reader| T::read(value, reader)),
            None => {
                let absent = T::absent();
                if absent.is_none() {
                    let what = format!("has no \"{name}\"");
                    reader.wrong(&self.opening(), &what, "in here", &format!("add the key \"{name}\""));
                }
                absent
            }
        }
    }

    /// The value of the field `name`.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&'v Value<'v>> {
        self.object.properties.iter().find(|property| property.name.as_str() == name).map(|property| &property.value)
    }
}

impl<T: Read> Read for Option<T> {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        T::read(value, reader).map(Some)
    }

    fn absent() -> Option<Self> {
        Some(None)
    }
}

impl<T: Read> Read for Vec<T> {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Value::Array(array) = value else {
            reader.mismatch(value, "a list in square brackets", "");
            return None;
        };
        // All elements are read before the result is judged, so that every problem is noted.
        let elements: Vec<Option<T>> = (array.elements.iter().enumerate())
            .map(|(i, element)| reader.within(format!("[{i}]"), |reader| T::read(element, reader)))
            .collect();
        elements.into_iter().collect()
    }
}

impl<T: Read> Read for Spanned<T> {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let at = reader.at(value);
        T::read(value, reader).map(|value| Self { value, at })
    }
}

impl<T: Read> Read for Box<T> {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        T::read(value, reader).map(Box::new)
    }
}

/// Type names as sentences use them.
#[must_use]
pub fn kind(value: &Value<'_>) -> String {
    match value {
        Value::StringLit(text) if text.value.chars().count() <= 24 => {
            format!("the text \"{}\"", text.value.escape_debug())
        }
        Value::StringLit(_) => "a text".to_owned(),
        Value::NumberLit(number) => format!("the number {}", number.value),
        Value::BooleanLit(boolean) => boolean.value.to_string(),
        Value::Object(_) => "an object".to_owned(),
        Value::Array(_) => "a list".to_owned(),
        Value::NullKeyword(_) => "null".to_owned(),
    }
}

/// The known word nearest to `word`, where one is near.
#[must_use]
pub fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let score = |other: &str| strsim::jaro_winkler(&word.to_lowercase(), &other.to_lowercase());
    // 0.8 keeps slips of the keyboard and cut-off words, and drops chance likeness.
    known.iter().copied().max_by(|a, b| score(a).total_cmp(&score(b))).filter(|best| score(best) > 0.8)
}

/// `"a", "b" and "c"`.
#[must_use]
pub fn listed(words: &[&str], joined_by: &str) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} {joined_by} {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// A value, or the opening bracket of a list or object.
struct Short<'a, 'b>(&'b Value<'a>);

impl Ranged for Short<'_, '_> {
    fn range(&self) -> Range {
        let whole = self.0.range();
        match self.0 {
            Value::Object(_) | Value::Array(_) => Range::new(whole.start, whole.start + 1),
            _ => whole,
        }
    }
}

/// An object: a struct with its schema and its reader. Keys are the fields' names.
macro_rules! record {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$about:meta])* pub $field:ident: $type:ty,)+ }) => {
        // The derive comes first: the struct's own attributes may be its helpers.
        #[derive(Clone, Debug, schemars::JsonSchema)]
        $(#[$meta])*
        #[schemars(deny_unknown_fields)]
        pub struct $name { $($(#[$about])* pub $field: $type,)+ }

        impl $name {
            /// Every key, in the order in which they are documented.
            pub const KEYS: &[&str] = &[$(stringify!($field)),+];

            /// Reads the fields of an object that may also have the key `tag`.
            pub(crate) fn read_tagged(
                value: &jsonc_parser::ast::Value<'_>,
                tag: Option<&str>,
                reader: &mut $crate::set_file::reader::Reader,
            ) -> Option<Self> {
                let known: Vec<&str> = tag.into_iter().chain(Self::KEYS.iter().copied()).collect();
                let fields = reader.fields(value, &known, "")?;
                // All fields are read before the first missing one ends the reading.
                $(let $field: Option<$type> = fields.take(stringify!($field), reader);)+
                Some(Self { $($field: $field?,)+ })
            }
        }

        impl $crate::set_file::reader::Read for $name {
            fn read(
                value: &jsonc_parser::ast::Value<'_>,
                reader: &mut $crate::set_file::reader::Reader,
            ) -> Option<Self> {
                Self::read_tagged(value, None, reader)
            }
        }
    };
}

/// One of several words: an enum with its schema and its reader.
macro_rules! word {
    ($(#[$meta:meta])* pub enum $name:ident { $($(#[$about:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, schemars::JsonSchema)]
        #[schemars(inline)]
        pub enum $name { $($(#[$about])* #[schemars(rename = $word)] $variant,)+ }

        impl $name {
            /// Every word.
            pub const WORDS: &[&str] = &[$($word),+];

            /// Its word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// The value that `word` stands for.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl $crate::set_file::reader::Read for $name {
            fn read(
                value: &jsonc_parser::ast::Value<'_>,
                reader: &mut $crate::set_file::reader::Reader,
            ) -> Option<Self> {
                let read = value.as_string_lit().and_then(|text| Self::from_word(&text.value));
                if read.is_none() {
                    reader.no_word(value, Self::WORDS);
                }
                read
            }
        }
    };
}

/// One of several objects, told apart by a key: an enum with its schema and its reader.
macro_rules! tagged {
    ($(#[$meta:meta])* pub enum $name:ident by $tag:literal { $($(#[$about:meta])* $variant:ident($type:ty) = $word:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Debug, schemars::JsonSchema)]
        #[schemars(tag = $tag)]
        pub enum $name { $($(#[$about])* #[schemars(rename = $word)] $variant($type),)+ }

        impl $name {
            /// Every value of the key.
            pub const WORDS: &[&str] = &[$($word),+];
        }

        impl $crate::set_file::reader::Read for $name {
            fn read(
                value: &jsonc_parser::ast::Value<'_>,
                reader: &mut $crate::set_file::reader::Reader,
            ) -> Option<Self> {
                let words = || $crate::set_file::reader::listed(Self::WORDS, "or");
                let Some(object) = value.as_object() else {
                    reader.mismatch(value, "an object in braces", &format!("give it a \"{}\": {}", $tag, words()));
                    return None;
                };
                let property = object.properties.iter().find(|property| property.name.as_str() == $tag);
                let Some(property) = property else {
                    let brace = jsonc_parser::common::Range::new(object.range.start, object.range.start + 1);
                    reader.wrong(&brace, concat!("has no \"", $tag, "\""), "in here", &format!("write {}", words()));
                    return None;
                };
                match property.value.as_string_lit().map(|text| text.value.as_ref()) {
                    $(Some($word) => <$type>::read_tagged(value, Some($tag), reader).map(Self::$variant),)+
                    _ => {
                        reader.within(concat!(".", $tag).to_owned(), |reader| {
                            reader.no_word(&property.value, Self::WORDS);
                        });
                        None
                    }
                }
            }
        }
    };
}

pub(crate) use {record, tagged, word};
