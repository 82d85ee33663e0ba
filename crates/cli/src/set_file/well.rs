//! What the set file says about the opening of a tile.

use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;

use super::Flag;
use super::reader::{Read, Reader, record};
use super::stock::PieceGrain;
use super::values::{Copies, Covering, Length, Line, Span};
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

record! {
    /// A grating: bars of board that drop into the opening of a tile, and bars of card on them whose rim
    /// rests on the floor.
    pub struct GratingEntry {
        /// The size of its opening: modules, in thirds of a module (squares), such as [1, "2/3"]. Bars run
        /// along the first side.
        pub size: Spanned<Spans>,
        /// Width of a bar and of the frame, at least 4 mm. Default 5 mm.
        pub bar: Option<Length>,
        /// Least width of a gap, at least 3 mm; gaps are alike. Default 6 mm.
        pub gap: Option<Length>,
        /// Whether bars run along the other side too. Default false.
        pub crossed: Option<Flag>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#55595c", which is the default, or a surface.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside it.
        pub label: Option<Line>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
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
