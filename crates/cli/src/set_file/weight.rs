//! The weight of paper or card, as its packet has it.

use std::borrow::Cow;

use flatwright_sheets::grammage::{BasicSize, PaperWeight, WeightError};
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::reader::{Read, Reader};

/// A nominal weight: `200 g/m2`, `110 lb index`, or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weight(pub PaperWeight);

impl Read for Weight {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let help = WeightError::Unknown.help();
        let Value::StringLit(text) = value else {
            reader.mismatch(value, "a weight with its unit", &help);
            return None;
        };
        match text.value.parse() {
            Ok(weight) => Some(Self(weight)),
            Err(error) => {
                reader.wrong(value, &WeightError::to_string(&error), "here", &error.help());
                None
            }
        }
    }
}

impl JsonSchema for Weight {
    fn schema_name() -> Cow<'static, str> {
        "Weight".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let names = BasicSize::ALL.map(|of| any_case(of.name())).join("|");
        let grams = format!("({}|{})", any_case("g/m(2|\u{b2}|\\^2)"), any_case("gsm"));
        let pounds = format!(r"({}|#)\s*({names})", any_case("lbs?"));
        let one = format!(r"(\d+\.?\d*|\.\d+)\s*({grams}|{pounds})");
        let pattern = format!(r"^\s*{one}\s*(\(\s*{one}\s*\)|,\s*{one})?\s*$");
        json_schema!({ "type": "string", "pattern": pattern })
    }
}

/// A pattern's letters in either case.
fn any_case(pattern: &str) -> String {
    let letter = |c: char| match c.is_ascii_alphabetic() {
        true => format!("[{}{c}]", c.to_ascii_uppercase()),
        false => c.to_string(),
    };
    pattern.chars().map(letter).collect()
}
