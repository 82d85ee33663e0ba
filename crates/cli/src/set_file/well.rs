//! What the set file says about the opening of a tile.

use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;

use super::reader::{Read, Reader, record};
use super::values::Span;
use crate::problem::Spanned;

record! {
    /// An opening in a tile, such as a stair leads up through. A flight of n modules passes through one of
    /// n modules by 1.
    pub struct WellEntry {
        /// Its lower left corner, from that of the tile: modules along the tile's two sides, in sixths of a
        /// module (half squares), such as ["1/2", 1]. Default: so that it lies in the middle.
        pub at: Option<Spanned<Spans>>,
        /// How much is clear of it along the tile's two sides: modules, in thirds of a module (squares),
        /// such as [1, "2/3"].
        pub size: Spanned<Spans>,
    }
}

/// Two numbers of modules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spans(pub Span, pub Span);

impl JsonSchema for Spans {
    fn schema_name() -> Cow<'static, str> {
        "Spans".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "array",
            "items": Span::json_schema(generator),
            "minItems": 2,
            "maxItems": 2,
        })
    }
}

impl Read for Spans {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Some([x, y]) = value.as_array().map(|array| &array.elements[..]) else {
            reader.wrong(value, "must be two numbers of modules", "here", "write both, such as [1, \"2/3\"]");
            return None;
        };
        let (x, y) = (Span::read(x, reader), Span::read(y, reader));
        x.zip(y).map(|(x, y)| Self(x, y))
    }
}
