//! Single values of readings and profiles.

use std::borrow::Cow;

use flatwright_calibration::printer::FARTHEST;
use flatwright_geometry::units::Mm;
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use crate::set_file::Length;
use crate::set_file::reader::{Read, Reader};

/// Most readings of one length.
pub const MOST_READINGS: usize = 100;
/// The largest skew that a profile may have, degrees: a sheet as skew would be fed again.
pub const MOST_SKEW: f64 = 3.0;
/// The longest length across or up, mm.
const LONGEST: f64 = 2000.0;

/// Writes a number's schema and reader.
macro_rules! number {
    ($(#[$about:meta])* $name:ident from $least:expr, $most:expr; $help:literal) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name(pub f64);

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn inline_schema() -> bool {
                true
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "number", "minimum": $least, "maximum": $most })
            }
        }

        impl Read for $name {
            fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
                let number = value.as_number_lit().and_then(|number| number.value.parse::<f64>().ok());
                let number = number.filter(|number| ($least..=$most).contains(number));
                if number.is_none() {
                    reader.mismatch(value, &format!("a number from {} to {}", $least, $most), $help);
                }
                number.map(Self)
            }
        }
    };
}

number! {
    /// A printed length over the drawn one.
    Scale from 1.0 - FARTHEST, 1.0 + FARTHEST; "1 prints true; beyond these limits mend the print setting first"
}
number! {
    /// An angle in degrees.
    Degrees from -MOST_SKEW, MOST_SKEW; "0 prints square; beyond these limits mend the paper feed first"
}
number! {
    /// A way across or up, mm; negative to the left or down.
    Way from -LONGEST, LONGEST; "write millimetres without quotes, as the coupon's readings.json has them"
}

/// What was read of one length: nothing yet (null), one reading, or a list of them. A reading is a length
/// with its unit, or plain millimetres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reads(pub Vec<Mm>);

impl JsonSchema for Reads {
    fn schema_name() -> Cow<'static, str> {
        "Reads".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let length = generator.subschema_for::<Length>();
        let one = [serde_json::json!({ "type": "number", "minimum": 0, "maximum": LONGEST }), length.to_value()];
        json_schema!({
            "anyOf": [
                { "const": null },
                one[0],
                one[1],
                { "type": "array", "items": { "anyOf": one }, "minItems": 1, "maxItems": MOST_READINGS },
            ],
        })
    }
}

impl Read for Reads {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        match value {
            Value::NullKeyword(_) => Some(Self::default()),
            Value::Array(list) => {
                let number = list.elements.len();
                if !(1..=MOST_READINGS).contains(&number) {
                    let brace = jsonc_parser::common::Range::new(list.range.start, list.range.start + 1);
                    let what = format!("has {number} readings; it can have 1 to {MOST_READINGS}");
                    reader.wrong(&brace, &what, "this list", "write null where nothing was measured");
                    return None;
                }
                let read: Vec<Option<Mm>> = (list.elements.iter().enumerate())
                    .map(|(index, element)| reader.within(format!("[{index}]"), |reader| reading(element, reader)))
                    .collect();
                read.into_iter().collect::<Option<Vec<Mm>>>().map(Self)
            }
            _ => reading(value, reader).map(|reading| Self(vec![reading])),
        }
    }
}

/// One reading.
fn reading(value: &Value<'_>, reader: &mut Reader) -> Option<Mm> {
    match value {
        Value::StringLit(_) => Length::read(value, reader).map(|length| length.0),
        Value::NumberLit(number) => {
            let mm = number.value.parse::<f64>().ok().filter(|mm| (0.0..=LONGEST).contains(mm));
            if mm.is_none() {
                reader.mismatch(value, &format!("a reading from 0 to {LONGEST} mm"), "write what the rule says");
            }
            mm.map(Mm::new)
        }
        _ => {
            let help = "write millimetres such as 179.4, a length such as \"7 1/16 in\", a list of those, or null";
            reader.mismatch(value, "a reading", help);
            None
        }
    }
}
