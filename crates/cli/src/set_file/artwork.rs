//! What the set file says about its artwork.

use jsonc_parser::ast::Value;

use super::Flag;
use super::reader::{Read, Reader, record, tagged, word};
use super::values::{Count, Length, Line, Rgb, Share, name};
use crate::problem::Spanned;

/// The most pictures that a set can have.
pub const MOST_PICTURES: usize = 40;

record! {
    /// How artwork is printed.
    pub struct ArtworkEntries {
        /// Which ink. Default "colour".
        pub ink: Option<InkWord>,
        /// How much lighter everything is printed, 0 to 1: for printers that print too dark, and to
        /// save ink. Default 0.
        pub lighter: Option<Share>,
        /// How much darker everything is printed, 0 to 1: for printers with little ink left.
        /// Default 0.
        pub darker: Option<Share>,
        /// A grid for figures on the floors. Default: none.
        pub grid: Option<GridEntry>,
        /// Settles every choice left to chance. Default 1.
        pub seed: Option<Count<1_000_000>>,
        /// Drawings of each surface's module square, which take turns. More of them repeat less and
        /// make larger files. Default 3.
        pub variants: Option<Count<12>>,
        /// Marks at the sheets' corners for a cutter that looks for them; parts.json says where they
        /// are. Default "none".
        pub registration: Option<RegistrationWord>,
        /// Whether every sheet is followed by a page for its back with the pieces' names alone, each
        /// behind its piece when the two are printed on both sides of the paper. Default false.
        pub reverse_labels: Option<Flag>,
        /// About which edge the printer turns the paper over for its back. Default "long-edge".
        pub flip: Option<FlipWord>,
    }
}

word! {
    /// Marks for a cutter that looks for them.
    pub enum RegistrationWord {
        /// An angle at each corner of what can be printed; the lower left one holds a square.
        Corners = "corners",
        /// None.
        None = "none",
    }
}

word! {
    /// About which edge paper is turned over.
    pub enum FlipWord {
        /// About a long edge, as a book's pages are.
        LongEdge = "long-edge",
        /// About a short edge, as a wall calendar's pages are.
        ShortEdge = "short-edge",
    }
}

/// The designer's own pictures, each under the name by which faces ask for it.
#[derive(Clone, Debug, Default)]
pub struct Pictures(pub Vec<(String, PictureEntry)>);

tagged! {
    /// A picture: a PNG, JPEG or SVG file in the set file's folder or below it.
    pub enum PictureEntry by "fit" {
        /// Copies of a given width side by side, running on from piece to piece.
        Repeat(RepeatEntry) = "repeat",
        /// One copy that fills the face; what is too wide or too high is cut off.
        Cover(CoverEntry) = "cover",
        /// One copy, all of it seen, in the middle of the face.
        Whole(WholeEntry) = "whole",
    }
}

record! {
    /// A picture that is repeated.
    pub struct RepeatEntry {
        /// The file, such as "mosaic.png".
        pub file: Spanned<Line>,
        /// Width of one copy: "3 in" for one a module.
        pub size: Spanned<Length>,
    }
}

record! {
    /// A picture that fills its face.
    pub struct CoverEntry {
        /// The file, such as "mosaic.png".
        pub file: Spanned<Line>,
    }
}

record! {
    /// A picture that is seen whole.
    pub struct WholeEntry {
        /// The file, such as "mosaic.png".
        pub file: Spanned<Line>,
        /// Colour of what the picture leaves of the face. Default: the mean of its edge.
        pub ground: Option<Rgb>,
    }
}

impl PictureEntry {
    /// The file that it names.
    #[must_use]
    pub const fn file(&self) -> &Spanned<Line> {
        match self {
            Self::Repeat(entry) => &entry.file,
            Self::Cover(entry) => &entry.file,
            Self::Whole(entry) => &entry.file,
        }
    }
}

impl Read for Pictures {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Value::Object(object) = value else {
            let help = "write { \"mosaic\": { \"file\": \"mosaic.png\", \"fit\": \"cover\" } }";
            reader.mismatch(value, "an object in braces", help);
            return None;
        };
        let before = reader.found();
        let count = object.properties.len();
        if count > MOST_PICTURES {
            let brace = jsonc_parser::common::Range::new(object.range.start, object.range.start + 1);
            let what = format!("has {count} pictures; it can have {MOST_PICTURES}");
            reader.wrong(&brace, &what, "in here", "leave out those that no face asks for");
        }
        let mut pictures: Vec<(String, PictureEntry)> = Vec::new();
        for property in &object.properties {
            let written = property.name.as_str();
            if pictures.iter().any(|(other, _)| other == written) {
                let what = format!("has the key \"{written}\" twice");
                reader.wrong(&property.name, &what, "the second one", "keep one of the two");
            }
            name(written, &property.name, reader);
            let entry = reader.within(format!(".{written}"), |reader| PictureEntry::read(&property.value, reader));
            pictures.extend(entry.map(|entry| (written.to_owned(), entry)));
        }
        (reader.found() == before).then_some(Self(pictures))
    }
}

impl schemars::JsonSchema for Pictures {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Pictures".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let entry = generator.subschema_for::<PictureEntry>();
        schemars::json_schema!({
            "type": "object",
            "propertyNames": { "pattern": super::values::NAME },
            "additionalProperties": entry,
            "maxProperties": MOST_PICTURES,
        })
    }
}

word! {
    /// Which ink artwork is printed with.
    pub enum InkWord {
        /// All colours.
        Colour = "colour",
        /// Black ink only.
        Grey = "grey",
        /// Thin lines on bare paper, to be coloured by hand.
        LineArt = "line-art",
        /// No artwork.
        Blank = "blank",
    }
}

record! {
    /// A grid for figures, counted from the corners of the modules.
    pub struct GridEntry {
        /// Shape of its fields. Default "square".
        pub field: Option<FieldWord>,
        /// Side of a square, or distance between opposite sides of a hexagon: "1 in", "25 mm",
        /// "1.25 in", "1.5 in".
        pub pitch: Spanned<Length>,
        /// How it is drawn. Default "corners".
        pub look: Option<LookWord>,
    }
}

word! {
    /// Shape of a grid's fields.
    pub enum FieldWord {
        /// Squares.
        Square = "square",
        /// Hexagons.
        Hex = "hex",
    }
}

word! {
    /// How a grid is drawn.
    pub enum LookWord {
        /// Thin lines all along.
        Lines = "lines",
        /// Only short strokes at the corners.
        Corners = "corners",
    }
}
