//! Single values of the set file: lengths, counts, colours and the like.

use std::borrow::Cow;
use std::str::FromStr;

use flatwright_geometry::units::{LengthError, Mm};
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::reader::{Read, Reader};

/// The longest length that a set file may name, mm.
pub const LONGEST: f64 = 2000.0;
/// The most copies of one piece.
pub const MOST_COPIES: u32 = 100_000;
/// The most modules along one side of a tile, or along a wall.
pub const MOST_MODULES: u32 = 20;

/// Writes the schema of a value that is shown in place, not by reference.
macro_rules! inline_schema {
    ($name:ident, $schema:tt) => {
        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn inline_schema() -> bool {
                true
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }
    };
}

/// A length with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length(pub Mm);

inline_schema!(Length, {
    "type": "string",
    "pattern": r#"^\s*[+-]?(\d+(\.\d*)?|\.\d+|\d+/\d+|\d+\s+\d+/\d+)\s*(mm|cm|in|inch|inches|"|″|pt)\s*$"#,
});

impl FromStr for Length {
    type Err = (String, &'static str);

    /// Reads a length from 0 to `LONGEST`. The error says what is wrong and how to mend it.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let length: Mm =
            text.parse().map_err(|error: LengthError| (format!("is not a length: {error}"), error.help()))?;
        if length < Mm::ZERO || length > Mm::new(LONGEST) {
            return Err((
                format!("is {length}, outside 0 mm to {}", Mm::new(LONGEST)),
                "write a length within the limits",
            ));
        }
        Ok(Self(length))
    }
}

impl Read for Length {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Value::StringLit(text) = value else {
            let help = match value {
                Value::NumberLit(number) => {
                    format!("write the unit too, in quotes: \"{} mm\" or \"{0} in\"", number.value)
                }
                _ => "write a number and a unit in quotes, such as \"5 mm\" or \"3/16 in\"".to_owned(),
            };
            reader.mismatch(value, "a length with its unit", &help);
            return None;
        };
        match text.value.parse() {
            Ok(length) => Some(length),
            Err((what, help)) => {
                reader.wrong(value, &what, "here", help);
                None
            }
        }
    }
}

/// A number from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share(pub f64);

inline_schema!(Share, { "type": "number", "minimum": 0, "maximum": 1 });

impl Read for Share {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let number = value.as_number_lit().and_then(|number| number.value.parse::<f64>().ok());
        let share = number.filter(|number| (0.0..=1.0).contains(number));
        if share.is_none() {
            reader.mismatch(value, "a number from 0 to 1", "card and paper fold with about 0.5");
        }
        share.map(Self)
    }
}

/// A price or a number of minutes: 0 to 1000000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount(pub f64);

inline_schema!(Amount, { "type": "number", "minimum": 0, "maximum": 1_000_000 });

impl Read for Amount {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let number = value.as_number_lit().and_then(|number| number.value.parse::<f64>().ok());
        let amount = number.filter(|number| (0.0..=1e6).contains(number));
        if amount.is_none() {
            reader.mismatch(value, "a number from 0 to 1000000", "write it without quotes and currency, such as 0.25");
        }
        amount.map(Self)
    }
}

/// How many of something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count<const MAX: u32>(pub u32);

impl<const MAX: u32> JsonSchema for Count<MAX> {
    fn schema_name() -> Cow<'static, str> {
        format!("Count{MAX}").into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "integer", "minimum": 1, "maximum": MAX })
    }
}

impl<const MAX: u32> Read for Count<MAX> {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let count = value.as_number_lit().and_then(|number| whole(number.value)).filter(|n| (1..=MAX).contains(n));
        if count.is_none() {
            reader.mismatch(value, &format!("a whole number from 1 to {MAX}"), "write it without quotes, such as 4");
        }
        count.map(Self)
    }
}

/// Copies of a piece.
pub type Copies = Count<MOST_COPIES>;

/// `4` and, as JSON has one type of number, `4.0` and `4e0`.
fn whole(text: &str) -> Option<u32> {
    let number: f64 = text.parse().ok()?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be a whole number in range"
    )]
    (number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number)).then_some(number as u32)
}

/// How many corner pockets go with a tile: 0 to 4.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pockets(pub u32);

inline_schema!(Pockets, { "type": "integer", "minimum": 0, "maximum": 4 });

impl Read for Pockets {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let count = value.as_number_lit().and_then(|number| whole(number.value)).filter(|n| *n <= 4);
        if count.is_none() {
            reader.mismatch(value, "a whole number from 0 to 4", "a tile has four corners");
        }
        count.map(Self)
    }
}

/// Modules along the two sides of a tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cells(pub u32, pub u32);

inline_schema!(Cells, {
    "type": "array",
    "items": { "type": "integer", "minimum": 1, "maximum": MOST_MODULES },
    "minItems": 2,
    "maxItems": 2,
});

impl Read for Cells {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let side = |value: &Value<'_>| whole(value.as_number_lit()?.value).filter(|n| (1..=MOST_MODULES).contains(n));
        let cells = match value.as_array().map(|array| &array.elements[..]) {
            Some([n, m]) => side(n).zip(side(m)).map(|(n, m)| Self(n, m)),
            _ => None,
        };
        if cells.is_none() {
            let expected = format!("two whole numbers from 1 to {MOST_MODULES}");
            reader.wrong(
                value,
                &format!("must be {expected}"),
                "here",
                "write the modules along each side, such as [1, 2]",
            );
        }
        cells
    }
}

/// Modules along a wall: a whole number, or a fraction of one module.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// Number of parts.
    pub parts: u32,
    /// Parts in a module.
    pub per_module: u32,
}

impl Span {
    /// The span in modules.
    #[must_use]
    pub fn modules(self) -> f64 {
        f64::from(self.parts) / f64::from(self.per_module)
    }
}

inline_schema!(Span, {
    "anyOf": [
        { "type": "integer", "minimum": 1, "maximum": MOST_MODULES },
        { "type": "string", "pattern": r"^[1-9][0-9]?(/[1-9][0-9]?)?$" },
    ],
});

impl Read for Span {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let span = match value {
            Value::NumberLit(number) => whole(number.value).map(|parts| Self { parts, per_module: 1 }),
            Value::StringLit(text) => {
                let (above, below) = text.value.split_once('/').unwrap_or((&text.value, "1"));
                let number = |text: &str| text.parse().ok().filter(|n| (1..100).contains(n));
                number(above).zip(number(below)).map(|(parts, per_module)| Self { parts, per_module })
            }
            _ => None,
        };
        let span = span.filter(|span| (1..=span.per_module * MOST_MODULES).contains(&span.parts));
        if span.is_none() {
            let help = "write a whole number of modules, or a fraction in quotes such as \"1/3\" or \"2/3\"";
            reader.mismatch(value, &format!("a span of at most {MOST_MODULES} modules"), help);
        }
        span
    }
}

/// An sRGB colour, `#rrggbb`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rgb(pub u8, pub u8, pub u8);

inline_schema!(Rgb, { "type": "string", "pattern": "^#[0-9A-Fa-f]{6}$" });

impl Read for Rgb {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let digits = value.as_string_lit().and_then(|text| text.value.strip_prefix('#'));
        let number = digits
            .filter(|digits| digits.len() == 6 && digits.bytes().all(|byte| byte.is_ascii_hexdigit()))
            .and_then(|digits| u32::from_str_radix(digits, 16).ok());
        if number.is_none() {
            reader.mismatch(value, "a colour", "write six hexadecimal digits after a #, such as \"#7a8b8c\"");
        }
        number.map(|number| {
            let [_, r, g, b] = number.to_be_bytes();
            Self(r, g, b)
        })
    }
}

/// What covers a face: a colour, `#rrggbb`, or the name of a surface.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Covering {
    /// A flat colour.
    Colour(Rgb),
    /// A surface by its name.
    Surface(String),
}

inline_schema!(Covering, {
    "type": "string",
    "pattern": r"^(#[0-9A-Fa-f]{6}|[^#\x00-\x1f\x7f][^\x00-\x1f\x7f]{0,79})$",
});

impl Read for Covering {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        if value.as_string_lit().is_some_and(|text| !text.value.starts_with('#')) {
            return line(value, 80, reader).map(Self::Surface);
        }
        Rgb::read(value, reader).map(Self::Colour)
    }
}

/// What a name of a picture is like: a line of text that cannot be taken for a colour.
pub(super) const NAME: &str = r"^[^#\x00-\x1f\x7f][^\x00-\x1f\x7f]{0,79}$";

/// Notes what is wrong with a name that stands as a key.
pub(super) fn name(text: &str, key: &impl jsonc_parser::common::Ranged, reader: &mut Reader) {
    let (what, help) = if text.is_empty() {
        ("has an empty name", "give it one")
    } else if text.starts_with('#') {
        ("has a name that begins with #, as colours do", "choose another name")
    } else if text.chars().any(|c| c.is_ascii_control()) {
        ("has a name with a line break, a tab or the like in it", "choose another name")
    } else if text.chars().count() > 80 {
        ("has a name of more than 80 characters", "choose a shorter one")
    } else {
        return;
    };
    reader.wrong(key, what, "here", help);
}

/// One line of text for people: 1 to 80 characters.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line(pub String);

inline_schema!(Line, { "type": "string", "minLength": 1, "maxLength": 80, "pattern": r"^[^\x00-\x1f\x7f]*$" });

impl Read for Line {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        line(value, 80, reader).map(Self)
    }
}

/// A sentence or two for people: 1 to 400 characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prose(pub String);

inline_schema!(Prose, { "type": "string", "minLength": 1, "maxLength": 400, "pattern": r"^[^\x00-\x1f\x7f]*$" });

impl Read for Prose {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        line(value, 400, reader).map(Self)
    }
}

/// A text of 1 to `most` characters without line breaks.
fn line(value: &Value<'_>, most: usize, reader: &mut Reader) -> Option<String> {
    let Value::StringLit(text) = value else {
        reader.mismatch(value, "a text", "write it in quotes");
        return None;
    };
    let length = text.value.chars().count();
    let (what, help) = if text.value.chars().any(|c| c.is_ascii_control()) {
        ("has a line break, a tab or the like in it".to_owned(), "write it on one line")
    } else if length == 0 {
        ("is empty".to_owned(), "write something, or leave the key out where it is not required")
    } else if length > most {
        (format!("has {length} characters; at most {most} can be printed"), "write it shorter")
    } else {
        return Some(text.value.to_string());
    };
    reader.wrong(value, &what, "here", help);
    None
}

/// The arms of a post: any of N, E, S, W, each at most once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Arms {
    /// In the order N, E, S, W.
    pub on: [bool; 4],
}

inline_schema!(Arms, { "type": "string", "pattern": "^(?!.*(.).*\\1)[NESW]{0,4}$" });

impl Read for Arms {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let mut arms = Self::default();
        let fits = value.as_string_lit().is_some_and(|text| {
            text.value.chars().all(|side| match "NESW".find(side) {
                Some(index) => !std::mem::replace(&mut arms.on[index], true),
                None => false,
            })
        });
        if !fits {
            let help = "write those that the post has, such as \"NE\"; \"\" for a plain post";
            reader.mismatch(value, "any of the letters N, E, S and W, each once", help);
        }
        fits.then_some(arms)
    }
}
