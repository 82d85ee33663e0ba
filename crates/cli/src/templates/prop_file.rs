//! A prop as a data file: what its JSON may say.

use std::borrow::Cow;

use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::design_expr::Expr;
use super::design_file::{CornerEntry, NeedEntry};
use super::design_values::{NameEntries, ValueEntries};
use super::prop_check;
use crate::problem::{Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::{Read, Reader, record, tagged, word};
use crate::set_file::{Covering, Flag, Line, Prose};

record! {
    /// A prop: folded parts of card, each a box, a prism, a frustum or a cone. Numbers are millimetres
    /// and may be expressions; sizes are measured outside.
    pub struct PropFile {
        /// Its name, as sets write it.
        pub prop: Line,
        /// A sentence about it.
        pub about: Option<Prose>,
        /// What a set may say about it, each with its default: as in a wall design.
        pub values: Option<ValueEntries>,
        /// Names for expressions. Each may use those before it.
        pub names: Option<NameEntries>,
        /// What must hold, so that it can be built.
        pub needs: Option<Vec<NeedEntry>>,
        /// Its parts: 1 to 24 entries.
        #[schemars(length(min = 1, max = 24))]
        pub parts: Spanned<Vec<PartEntry>>,
    }
}

tagged! {
    /// One folded part of a prop.
    pub enum PartEntry by "solid" {
        /// A box, one of its corners at the origin.
        Box(BoxEntry) = "box",
        /// A prism: an outline, straight up. A cylinder is a prism of many facets.
        Prism(PrismEntry) = "prism",
        /// A frustum, or several of them one on the other.
        Frustum(FrustumEntry) = "frustum",
        /// A cone or a pyramid.
        Cone(ConeEntry) = "cone",
    }
}

/// What every part has.
#[derive(Clone, Copy, Debug)]
pub struct Common<'a> {
    /// Its name.
    pub part: &'a Line,
    /// Where its copies stand.
    pub at: Option<&'a Spanned<Vec<Triple>>>,
    /// Where its height points.
    pub axis: Option<AxisWord>,
    /// Ends that are left open.
    pub open: &'a [EndWord],
    /// Whether it is there.
    pub when: Option<&'a Expr>,
    /// What covers it.
    pub face: Option<&'a Spanned<Covering>>,
    /// Bars in its upright faces.
    pub bars: Option<&'a BarsEntry>,
}

macro_rules! common {
    ($entry:expr) => {
        Common {
            part: &$entry.part,
            at: $entry.at.as_ref(),
            axis: $entry.axis,
            open: $entry.open.as_deref().unwrap_or_default(),
            when: $entry.when.as_ref(),
            face: $entry.face.as_ref(),
            bars: $entry.bars.as_ref(),
        }
    };
}

impl PartEntry {
    /// What every part has.
    #[must_use]
    pub fn common(&self) -> Common<'_> {
        match self {
            Self::Box(e) => common!(e),
            Self::Prism(e) => common!(e),
            Self::Frustum(e) => common!(e),
            Self::Cone(e) => common!(e),
        }
    }
}

record! {
    /// A box, one of its corners at the origin.
    pub struct BoxEntry {
        /// Its name, such as "lid".
        pub part: Line,
        /// Its length, its width and its height.
        pub size: Triple,
        /// Ends that are left open. Default: none.
        pub open: Option<Vec<EndWord>>,
        /// Where its origin stands in the prop: a list of points, one for each copy. Default: once, at
        /// the prop's own.
        pub at: Option<Spanned<Vec<Triple>>>,
        /// Where its height points. Default "up".
        pub axis: Option<AxisWord>,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// What covers it, where the set does not say: a colour or a surface.
        pub face: Option<Spanned<Covering>>,
        /// Bars in its upright faces. Default: none.
        pub bars: Option<BarsEntry>,
    }
}

record! {
    /// A prism: an outline, straight up.
    pub struct PrismEntry {
        /// Its name, such as "lid".
        pub part: Line,
        /// Its outline, counterclockwise from above. Not together with "facets" and "radius".
        pub base: Option<Spanned<Vec<CornerEntry>>>,
        /// Facets of a regular outline about the origin, 3 to 36.
        pub facets: Option<Expr>,
        /// Instead of "facets": as round as the card allows, its folds scored only.
        pub round: Option<Flag>,
        /// From the middle of a regular outline to its corners.
        pub radius: Option<Expr>,
        /// Its height.
        pub height: Expr,
        /// Ends that are left open. Default: none.
        pub open: Option<Vec<EndWord>>,
        /// Where its origin stands in the prop: a list of points, one for each copy. Default: once, at
        /// the prop's own.
        pub at: Option<Spanned<Vec<Triple>>>,
        /// Where its height points. Default "up".
        pub axis: Option<AxisWord>,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// What covers it, where the set does not say: a colour or a surface.
        pub face: Option<Spanned<Covering>>,
        /// Bars in its upright faces. Default: none.
        pub bars: Option<BarsEntry>,
    }
}

record! {
    /// A frustum, or several of them one on the other.
    pub struct FrustumEntry {
        /// Its name, such as "lid".
        pub part: Line,
        /// Its outline, counterclockwise from above; "radii" are what it is multiplied by then. Not
        /// together with "facets".
        pub base: Option<Spanned<Vec<CornerEntry>>>,
        /// Facets of a regular outline about the origin, 3 to 36.
        pub facets: Option<Expr>,
        /// Instead of "facets": as round as the card allows, its folds scored only.
        pub round: Option<Flag>,
        /// From the middle to the corners of each end, from the lowest up: two for one frustum, 3 to 5
        /// for several.
        pub radii: Spanned<Vec<Expr>>,
        /// The height of each frustum: one fewer than "radii".
        pub heights: Spanned<Vec<Expr>>,
        /// Ends that are left open. Default: none.
        pub open: Option<Vec<EndWord>>,
        /// Where its origin stands in the prop: a list of points, one for each copy. Default: once, at
        /// the prop's own.
        pub at: Option<Spanned<Vec<Triple>>>,
        /// Where its height points. Default "up".
        pub axis: Option<AxisWord>,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// What covers it, where the set does not say: a colour or a surface.
        pub face: Option<Spanned<Covering>>,
        /// Bars in its upright faces. Default: none.
        pub bars: Option<BarsEntry>,
    }
}

record! {
    /// A cone or a pyramid, its point above the origin.
    pub struct ConeEntry {
        /// Its name, such as "lid".
        pub part: Line,
        /// Its outline, counterclockwise from above. Not together with "facets" and "radius".
        pub base: Option<Spanned<Vec<CornerEntry>>>,
        /// Facets of a regular outline about the origin, 3 to 36.
        pub facets: Option<Expr>,
        /// Instead of "facets": as round as the card allows, its folds scored only.
        pub round: Option<Flag>,
        /// From the middle of a regular outline to its corners.
        pub radius: Option<Expr>,
        /// Its height.
        pub height: Expr,
        /// Ends that are left open: "bottom" or nothing. Default: none.
        pub open: Option<Vec<EndWord>>,
        /// Where its origin stands in the prop: a list of points, one for each copy. Default: once, at
        /// the prop's own.
        pub at: Option<Spanned<Vec<Triple>>>,
        /// Where its height points. Default "up".
        pub axis: Option<AxisWord>,
        /// It is there where this is above 0. Default: it is.
        pub when: Option<Expr>,
        /// What covers it, where the set does not say: a colour or a surface.
        pub face: Option<Spanned<Covering>>,
        /// Bars in its upright faces. Default: none.
        pub bars: Option<BarsEntry>,
    }
}

record! {
    /// Barred windows in all upright faces of a part. Bars run along its height; behind the rim round each
    /// window lie the glue flaps.
    pub struct BarsEntry {
        /// Width of a bar, at least 1.6 mm. Default 2.
        pub bar: Option<Expr>,
        /// Least width of a gap, at least 2.5 mm; gaps of a face are alike. Default 3.
        pub gap: Option<Expr>,
        /// What stays round each window, at least 7 mm. Default 7.
        pub rim: Option<Expr>,
        /// Where this is above 0, the southern face's window is a door that swings, with bars of its own.
        /// Default: it is none.
        pub door: Option<Expr>,
    }
}

word! {
    /// An end of a part.
    pub enum EndWord {
        /// The lower one.
        Bottom = "bottom",
        /// The upper one.
        Top = "top",
    }
}

word! {
    /// Where a part's height points.
    pub enum AxisWord {
        /// Up.
        Up = "up",
        /// To the east: what was east is north, what was north is up.
        East = "east",
        /// To the north: what was east is up, what was north is east.
        North = "north",
    }
}

/// Three numbers: a point or a size.
#[derive(Clone, Debug)]
pub struct Triple(pub [Expr; 3]);

impl JsonSchema for Triple {
    fn schema_name() -> Cow<'static, str> {
        "Triple".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let expression = generator.subschema_for::<Expr>();
        json_schema!({
            "description": "Three numbers: east, north and up, or length, width and height.",
            "type": "array",
            "items": expression,
            "minItems": 3,
            "maxItems": 3,
        })
    }
}

impl Read for Triple {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Some([x, y, z]) = value.as_array().map(|array| &array.elements[..]) else {
            reader.mismatch(value, "a list of three numbers", "write it like [\"length\", 12, 4]");
            return None;
        };
        let mut one = |index: usize, value| reader.within(format!("[{index}]"), |reader| Expr::read(value, reader));
        let (x, y, z) = (one(0, x), one(1, y), one(2, z));
        Some(Self([x?, y?, z?]))
    }
}

/// Largest prop file, bytes: each of its expressions takes some kilobytes of memory.
pub const LARGEST: usize = 64 * 1024;

const CALLED: Called = Called {
    file: "a prop file",
    whole: "the prop",
    write: "write a prop: {\"prop\": \"...\", \"parts\": [...]}",
    largest: LARGEST,
    shorten: "give copies of a part as several points under \"at\"",
};

/// Reads a prop file. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them, and names that stand for nothing or for two things, parts without
/// an outline or with two.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<PropFile, Problems> {
    let (file, _): (PropFile, Source) = document::read(name, bytes, CALLED, |_, _| {})?;
    let problems = prop_check::check(&file);
    if problems.is_empty() { Ok(file) } else { Err(Problems::new(name, problems)) }
}

/// The JSON Schema of the prop file (draft 2020-12).
#[must_use]
pub fn schema() -> Schema {
    document::schema::<PropFile>()
}
