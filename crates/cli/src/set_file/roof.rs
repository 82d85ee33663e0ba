//! The entry of a roof in the list of pieces.

use std::borrow::Cow;

use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::Flag;
use super::reader::{Read, Reader, record, word};
use super::stock::PieceGrain;
use super::values::{Cells, Copies, Covering, Length, Line};
use crate::problem::Spanned;

record! {
    /// A roof of folded card: its slopes and soffit, a skirt that holds it, a strip for each ridge and hip.
    pub struct RoofEntry {
        /// Its form.
        pub form: FormWord,
        /// Modules along its two sides, such as [3, 2]. Not together with "plan".
        pub size: Option<Spanned<Cells>>,
        /// Its corners in modules, counterclockwise, along the lattice: 4 to 24 of them. "hip" and
        /// "gable" only.
        pub plan: Option<Spanned<Vec<LatticePoint>>>,
        /// Pitch of its slopes, such as "40 deg". Default "40 deg".
        pub pitch: Option<Degrees>,
        /// How far its eaves reach past the posts. Default 3 mm.
        pub overhang: Option<Length>,
        /// Where its skirt is. Default "inside".
        pub skirt: Option<SkirtWord>,
        /// What it lies on: "posts", or "caps" where the posts of its walls carry caps. Default "posts".
        pub over: Option<OverWord>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "planks". Default "planks".
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside its parts.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

word! {
    /// The form of a roof.
    pub enum FormWord {
        /// A slope over every side.
        Hip = "hip",
        /// Slopes that end in upright gables.
        Gable = "gable",
        /// One slope, down to the south.
        LeanTo = "lean-to",
        /// A deck with a parapet.
        Flat = "flat",
    }
}

word! {
    /// Where a roof's skirt is.
    pub enum SkirtWord {
        /// Between the posts: it drops in.
        Inside = "inside",
        /// Round the posts.
        Outside = "outside",
    }
}

word! {
    /// What a roof lies on.
    pub enum OverWord {
        /// The tops of posts.
        Posts = "posts",
        /// The caps on them.
        Caps = "caps",
    }
}

/// Most corners of a roof's plan.
pub const MOST_CORNERS: usize = 24;
/// How far from the origin a corner may be, modules.
const FARTHEST: i32 = 20;

/// A lattice point: modules to the east and to the north.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LatticePoint(pub i32, pub i32);

impl JsonSchema for LatticePoint {
    fn schema_name() -> Cow<'static, str> {
        "LatticePoint".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A lattice point: modules to the east and to the north.",
            "type": "array",
            "items": { "type": "integer", "minimum": 0, "maximum": FARTHEST },
            "minItems": 2,
            "maxItems": 2,
        })
    }
}

impl Read for LatticePoint {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let whole = |value: &Value<'_>| {
            let number = value.as_number_lit()?.value.parse::<i32>().ok()?;
            (0..=FARTHEST).contains(&number).then_some(number)
        };
        let point = match value.as_array().map(|array| &array.elements[..]) {
            Some([x, y]) => whole(x).zip(whole(y)),
            _ => None,
        };
        if point.is_none() {
            let expected = format!("two whole numbers from 0 to {FARTHEST}");
            reader.mismatch(value, &expected, "write modules to the east and to the north, such as [3, 2]");
        }
        point.map(|(x, y)| Self(x, y))
    }
}

/// An angle in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Degrees(pub f64);

/// Least and greatest pitch of a roof, degrees: what can still be glued at its eaves and its ridge.
const PITCH: (f64, f64) = (15.0, 65.0);

impl JsonSchema for Degrees {
    fn schema_name() -> Cow<'static, str> {
        "Degrees".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "pattern": r"^\s*\d+(\.\d+)?\s*deg\s*$" })
    }
}

impl Read for Degrees {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let help = format!("write degrees from {} to {} in quotes, such as \"40 deg\"", PITCH.0, PITCH.1);
        let Value::StringLit(text) = value else {
            reader.mismatch(value, "an angle with its unit", &help);
            return None;
        };
        let number = text.value.trim().strip_suffix("deg").map(str::trim_end);
        let number = number.filter(|text| text.chars().all(|c| c.is_ascii_digit() || c == '.'));
        match number.and_then(|text| text.parse::<f64>().ok()) {
            Some(degrees) if (PITCH.0..=PITCH.1).contains(&degrees) => Some(Self(degrees)),
            Some(degrees) => {
                let what = format!("is {degrees} degrees, outside {} to {}", PITCH.0, PITCH.1);
                reader.wrong(value, &what, "here", &help);
                None
            }
            None => {
                reader.wrong(value, "is not an angle", "here", &help);
                None
            }
        }
    }
}
