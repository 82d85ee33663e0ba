//! A wall design or a prop as files call it: its name, and what it is to be like.

use std::borrow::Cow;

use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::Line;
use super::reader::{Read, Reader};
use crate::problem::{At, Spanned};

/// A design's name and values, not yet looked into: each design has its own.
#[derive(Clone, Debug)]
pub struct DesignCall {
    /// Its name.
    pub name: Spanned<Line>,
    /// Key, text and place of each value. Numbers are as they are written; yes and no are `true` and
    /// `false`.
    pub values: Vec<(String, String, At)>,
}

impl JsonSchema for DesignCall {
    fn schema_name() -> Cow<'static, str> {
        "DesignCall".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let name = generator.subschema_for::<Line>();
        json_schema!({
            "description": "A wall design by its name, and its own values, such as \"width\": lengths and words in quotes, whole numbers and true or false without.",
            "type": "object",
            "properties": { "name": name },
            "required": ["name"],
            "additionalProperties": { "type": ["string", "number", "boolean"] },
        })
    }
}

impl Read for DesignCall {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let help = "write it like {\"name\": \"niche\", \"width\": \"18 mm\"}";
        // Keys are known when the design is: only repeated ones are noted here.
        let keys: Vec<&str> = value
            .as_object()
            .map_or_else(Vec::new, |object| object.properties.iter().map(|property| property.name.as_str()).collect());
        let before = reader.found();
        let fields = reader.fields(value, &keys, help)?;
        let name = fields.take("name", reader);
        let mut values = Vec::new();
        for property in value.as_object().iter().flat_map(|object| &object.properties) {
            let key = property.name.as_str();
            if key == "name" {
                continue;
            }
            let text = match &property.value {
                Value::StringLit(text) => text.value.to_string(),
                Value::NumberLit(number) => number.value.to_owned(),
                Value::BooleanLit(flag) => flag.value.to_string(),
                other => {
                    reader.within(format!(".{key}"), |reader| {
                        reader.mismatch(
                            other,
                            "a length, a word, a whole number, true or false",
                            "see the design's own values",
                        );
                    });
                    continue;
                }
            };
            values.push((key.to_owned(), text, reader.at(&property.value)));
        }
        let name = name?;
        (reader.found() == before).then_some(Self { name, values })
    }
}

/// A prop's name and values, or its name alone.
#[derive(Clone, Debug)]
pub struct PropCall(pub DesignCall);

impl JsonSchema for PropCall {
    fn schema_name() -> Cow<'static, str> {
        "PropCall".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (name, call) = (generator.subschema_for::<Line>(), generator.subschema_for::<DesignCall>());
        json_schema!({
            "description": "A prop by its name, or with its own values as an object, such as {\"name\": \"crate\", \"length\": \"30 mm\"}.",
            "anyOf": [name, call],
        })
    }
}

impl Read for PropCall {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        match value {
            Value::StringLit(_) => {
                let name = Spanned::<Line>::read(value, reader)?;
                Some(Self(DesignCall { name, values: Vec::new() }))
            }
            _ => DesignCall::read(value, reader).map(Self),
        }
    }
}
