//! A wall design as a data file: what its JSON may say.

use std::borrow::Cow;

use flatwright_geometry::pieces::design::Mark;
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::design_check;
use super::design_expr::Expr;
use super::design_values::{Name, NameEntries, ValueEntries};
use crate::problem::{Problem, Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::{Read, Reader, record, tagged, word};
use crate::set_file::{Flag, Line, Prose, Rgb};

record! {
    /// A wall design: what is cut into a wall, and what is drawn on it. x runs along the wall's body
    /// from its left end, y up from the floor, both in millimetres; numbers may be expressions. All of
    /// it lies on the front, and mirrored on the back.
    pub struct DesignFile {
        /// Its name, as sets and plans write it.
        pub design: Line,
        /// A sentence about it.
        pub about: Option<Prose>,
        /// What it is on drawings of a floor plan. Default "plain".
        pub mark: Option<MarkWord>,
        /// What a set or a plan may say about it, each with its default: a length such as "25 mm", a
        /// whole number from 1 to 40, true or false, or a list of words, of which the first is the
        /// default. In expressions a length is millimetres, false and true are 0 and 1, and a word is
        /// its place in the list, from 0.
        pub values: Option<ValueEntries>,
        /// Names for expressions. Each may use those before it.
        pub names: Option<NameEntries>,
        /// What must hold, so that it can be built.
        pub needs: Option<Vec<NeedEntry>>,
        /// What is cut through the wall. One that begins at the floor is cut from below it, such as
        /// from -1. Lines cannot be cut.
        pub cut: Option<Vec<ShapeEntry>>,
        /// A leaf that stays in a cut and swings.
        pub leaf: Option<LeafEntry>,
        /// A lower top edge between two full-height shoulders, from left to right.
        pub top: Option<Spanned<Vec<CornerEntry>>>,
        /// An opening with a folded box behind it.
        pub niche: Option<NicheEntry>,
        /// What is drawn on the wall, bottom first.
        pub ornament: Option<Vec<ShapeEntry>>,
    }
}

word! {
    /// What a design is on drawings of a floor plan.
    pub enum MarkWord {
        /// A wall like any other.
        Plain = "plain",
        /// A doorway.
        Door = "door",
        /// A passage.
        Arch = "arch",
        /// A window.
        Window = "window",
        /// Bars.
        Bars = "bars",
        /// A wall to look over.
        Low = "low",
    }
}

impl MarkWord {
    /// As the geometry has it.
    #[must_use]
    pub const fn mark(self) -> Mark {
        match self {
            Self::Plain => Mark::Plain,
            Self::Door => Mark::Door,
            Self::Arch => Mark::Arch,
            Self::Window => Mark::Window,
            Self::Bars => Mark::Bars,
            Self::Low => Mark::Low,
        }
    }
}

record! {
    /// One thing that must hold, so that a design can be built.
    pub struct NeedEntry {
        /// What must hold, as part of a sentence: "the gaps between bars can be cut".
        pub what: Line,
        /// The number that is looked at.
        pub found: Expr,
        /// What it must be at least.
        pub least: Expr,
    }
}

record! {
    /// A leaf that stays in a cut and swings to the front. It fills the cut from the floor up.
    pub struct LeafEntry {
        /// Its left side.
        pub left: Expr,
        /// Its right side.
        pub right: Expr,
        /// Its height.
        pub height: Expr,
        /// Where it hangs: 0 at the left, 1 at the right.
        pub hinge: Expr,
    }
}

record! {
    /// An opening with a folded box behind it.
    pub struct NicheEntry {
        /// Lower left corner of the opening.
        pub from: Pair,
        /// Upper right corner.
        pub to: Pair,
        /// How deep it is, from the wall's back.
        pub depth: Expr,
    }
}

tagged! {
    /// A shape that is cut or drawn.
    pub enum ShapeEntry by "shape" {
        /// An upright rectangle.
        Box(BoxEntry) = "box",
        /// A rectangle under a half-round head.
        Arch(BoxEntry) = "arch",
        /// A circle.
        Circle(CircleEntry) = "circle",
        /// An area with straight sides.
        Polygon(PointsEntry) = "polygon",
        /// A line through points; it is drawn, not cut.
        Line(PointsEntry) = "line",
        /// Shapes, several times.
        Repeat(RepeatEntry) = "repeat",
    }
}

record! {
    /// A rectangle, or one under a half-round head.
    pub struct BoxEntry {
        /// Lower left corner.
        pub from: Pair,
        /// Upper right corner.
        pub to: Pair,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// Colour of its area; of several colours "tone" takes one. Ornament only.
        pub fill: Option<Tones>,
        /// Which of the colours, counted from 0 and round again. Default 0.
        pub tone: Option<Expr>,
        /// Colour of its outline. Ornament only.
        pub line: Option<Spanned<Rgb>>,
        /// Width of the outline. Default 0.2.
        pub width: Option<Expr>,
        /// Whether it is left out of line art. Default false.
        pub detail: Option<Flag>,
    }
}

record! {
    /// A circle.
    pub struct CircleEntry {
        /// Its middle.
        pub middle: Pair,
        /// Its radius.
        pub radius: Expr,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// Colour of its area; of several colours "tone" takes one. Ornament only.
        pub fill: Option<Tones>,
        /// Which of the colours, counted from 0 and round again. Default 0.
        pub tone: Option<Expr>,
        /// Colour of its outline. Ornament only.
        pub line: Option<Spanned<Rgb>>,
        /// Width of the outline. Default 0.2.
        pub width: Option<Expr>,
        /// Whether it is left out of line art. Default false.
        pub detail: Option<Flag>,
    }
}

record! {
    /// A polygon or a line.
    pub struct PointsEntry {
        /// Its corners in order: at most 200 entries.
        #[schemars(length(min = 1, max = 200))]
        pub points: Spanned<Vec<CornerEntry>>,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// Colour of a polygon's area; of several colours "tone" takes one. Ornament only.
        pub fill: Option<Tones>,
        /// Which of the colours, counted from 0 and round again. Default 0.
        pub tone: Option<Expr>,
        /// Colour of the line. Ornament only.
        pub line: Option<Spanned<Rgb>>,
        /// Width of the line. Default 0.2.
        pub width: Option<Expr>,
        /// Whether it is left out of line art. Default false.
        pub detail: Option<Flag>,
    }
}

record! {
    /// Shapes, several times.
    pub struct RepeatEntry {
        /// How many times, rounded to a whole number: at most 400.
        pub count: Expr,
        /// The name by which its shapes know which time it is, counted from 0. Default "i".
        pub index: Option<Name>,
        /// The shapes: at most 200 entries. Repeats may stand in repeats, three deep.
        #[schemars(length(min = 1, max = 200))]
        pub of: Spanned<Vec<ShapeEntry>>,
        /// They are there where this is above 0. Default: they are.
        pub when: Option<Expr>,
    }
}

/// A corner, or several of them.
#[derive(Clone, Debug)]
pub enum CornerEntry {
    /// One.
    One(Pair),
    /// As many as are asked for.
    Many(Corners),
}

record! {
    /// Several corners.
    pub struct Corners {
        /// How many, rounded to a whole number: at most 400.
        pub count: Expr,
        /// The name by which "at" knows which one it is, counted from 0. Default "i".
        pub index: Option<Name>,
        /// Where each stands.
        pub at: Pair,
    }
}

impl JsonSchema for CornerEntry {
    fn schema_name() -> Cow<'static, str> {
        "Corner".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (one, many) = (generator.subschema_for::<Pair>(), generator.subschema_for::<Corners>());
        json_schema!({ "description": "A corner, or several of them.", "anyOf": [one, many] })
    }
}

impl Read for CornerEntry {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        match value {
            Value::Object(_) => Corners::read(value, reader).map(Self::Many),
            _ => Pair::read(value, reader).map(Self::One),
        }
    }
}

/// x and y.
#[derive(Clone, Debug)]
pub struct Pair(pub Expr, pub Expr);

impl JsonSchema for Pair {
    fn schema_name() -> Cow<'static, str> {
        "Point".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let expression = generator.subschema_for::<Expr>();
        json_schema!({
            "description": "A point: x along the wall's body from its left end, y up from the floor.",
            "type": "array",
            "items": expression,
            "minItems": 2,
            "maxItems": 2,
        })
    }
}

impl Read for Pair {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Some([x, y]) = value.as_array().map(|array| &array.elements[..]) else {
            reader.mismatch(value, "a point: a list of x and y", "write it like [\"length / 2\", 12]");
            return None;
        };
        let x = reader.within("[0]".into(), |reader| Expr::read(x, reader));
        let y = reader.within("[1]".into(), |reader| Expr::read(y, reader));
        Some(Self(x?, y?))
    }
}

/// A colour or a list of them.
#[derive(Clone, Debug)]
pub struct Tones(pub Vec<Spanned<Rgb>>);

/// Most colours of a shape.
const MOST_TONES: usize = 24;

impl JsonSchema for Tones {
    fn schema_name() -> Cow<'static, str> {
        "Tones".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let colour = generator.subschema_for::<Rgb>();
        json_schema!({
            "anyOf": [colour, { "type": "array", "items": colour, "minItems": 1, "maxItems": MOST_TONES }],
        })
    }
}

impl Read for Tones {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Value::Array(array) = value else {
            return Spanned::<Rgb>::read(value, reader).map(|tone| Self(vec![tone]));
        };
        if !(1..=MOST_TONES).contains(&array.elements.len()) {
            let what = format!("has {} colours; it takes 1 to {MOST_TONES}", array.elements.len());
            reader.wrong(value, &what, "here", "give some colours");
            return None;
        }
        Vec::read(value, reader).map(Self)
    }
}

/// Largest design file, bytes: each of its expressions takes some kilobytes of memory.
pub const LARGEST: usize = 128 * 1024;

const CALLED: Called = Called {
    file: "a design file",
    whole: "the design",
    write: "write a design: {\"design\": \"...\", \"cut\": [...], \"ornament\": [...]}",
    largest: LARGEST,
    shorten: "draw what is alike as one \"repeat\"",
};

/// A design that was read, and what might be better about it.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// What the file says.
    pub file: DesignFile,
    /// What does not keep it from being built.
    pub warnings: Vec<Problem>,
}

/// Reads a design file. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them, and names that stand for nothing or for two things, cuts that are
/// painted or have no area, ornament that draws nothing, too much of anything.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<Recipe, Problems> {
    let (file, _): (DesignFile, Source) = document::read(name, bytes, CALLED, |_, _| {})?;
    let (problems, warnings) = design_check::check(&file);
    if problems.is_empty() { Ok(Recipe { file, warnings }) } else { Err(Problems::new(name, problems)) }
}

/// The JSON Schema of the design file (draft 2020-12).
#[must_use]
pub fn schema() -> Schema {
    document::schema::<DesignFile>()
}
