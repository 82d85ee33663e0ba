//! The finished page: everything that a writer needs, nothing that it has to decide.
//!
//! Millimetres, origin at the page's lower left corner, y up, angles counterclockwise.

use flatwright_geometry::units::{Angle, Mm};
use kurbo::{Affine, BezPath, Point, Rect};
use serde::Serialize;

/// All pages of one job, with the artwork and patterns that they share.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// Title, for the document information.
    pub title: String,
    /// One sentence about the content, for the document information.
    pub subject: String,
    /// Drawings used more than once, each in its own coordinates.
    pub forms: Vec<Form>,
    /// Pages in printing order.
    pub pages: Vec<Page>,
}

/// A drawing that is stored once and placed as often as needed.
#[derive(Clone, Debug, PartialEq)]
pub struct Form {
    /// Identifier, ASCII letters, digits and `-`; unique within the document.
    pub id: String,
    /// A rectangle that holds all its marks (line widths included).
    pub bounds: Rect,
    /// What it draws. A form places no other forms.
    pub marks: Vec<Mark>,
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Page label as printed, such as `1`.
    pub label: String,
    /// Name for the bookmark, such as `Card 2 of 5: posts`.
    pub title: String,
    /// Heading under which the bookmark stands, such as `Card`; pages with the same section
    /// follow each other.
    pub section: String,
    /// Width and height of the paper.
    pub size: (Mm, Mm),
    /// The finished sheet (PDF TrimBox). Inside `bleed`.
    pub trim: Rect,
    /// The finished sheet with its bleed (PDF BleedBox). Inside the paper.
    pub bleed: Rect,
    /// How many times it is to be printed.
    pub copies: u32,
    /// What it draws. Writers keep the order within a layer and draw layers in [`Layer::ALL`]'s.
    pub marks: Vec<Mark>,
}

/// What a mark is for. Each is an optional-content layer of the PDF and a group of the SVG.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Layer {
    /// Printed surfaces, bleed included.
    Artwork,
    /// Areas that take glue.
    Gluing,
    /// Lines scored but not folded.
    PartialCutting,
    /// Folds that close towards the printed side.
    CreasingValley,
    /// Folds that open away from the printed side.
    CreasingMountain,
    /// Lines of perforation.
    Perforating,
    /// Lines cut through.
    Cutting,
    /// Straight cuts that take a stack of sheets apart, beside the pieces' own lines.
    Trimming,
    /// Names of pieces and leaders to them.
    Labels,
    /// Title, scale bars, legend, cautions: the sheet's own furniture.
    Furniture,
}

impl Layer {
    /// Every layer, bottom first.
    pub const ALL: [Self; 10] = [
        Self::Artwork,
        Self::Gluing,
        Self::PartialCutting,
        Self::CreasingValley,
        Self::CreasingMountain,
        Self::Perforating,
        Self::Cutting,
        Self::Trimming,
        Self::Labels,
        Self::Furniture,
    ];

    /// Name shown in a reader's layer list, and the group's label in SVG.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Artwork => "Artwork",
            Self::Gluing => "Gluing",
            Self::PartialCutting => "Partial cutting (score only)",
            Self::CreasingValley => "Creasing (valley fold)",
            Self::CreasingMountain => "Creasing (mountain fold)",
            Self::Perforating => "Perforating",
            Self::Cutting => "Cutting",
            Self::Trimming => "Trimming (straight cuts)",
            Self::Labels => "Labels",
            Self::Furniture => "Furniture",
        }
    }

    /// Identifier for file formats: ASCII, no spaces, such as `creasing-valley`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Artwork => "artwork",
            Self::Gluing => "gluing",
            Self::PartialCutting => "partial-cutting",
            Self::CreasingValley => "creasing-valley",
            Self::CreasingMountain => "creasing-mountain",
            Self::Perforating => "perforating",
            Self::Cutting => "cutting",
            Self::Trimming => "trimming",
            Self::Labels => "labels",
            Self::Furniture => "furniture",
        }
    }

    /// The processing step's type name after ISO 19593-1 (group `Structural`), where there is one.
    #[must_use]
    pub const fn processing_step(self) -> Option<&'static str> {
        match self {
            Self::Gluing => Some("Gluing"),
            Self::PartialCutting => Some("PartialCutting"),
            Self::CreasingValley | Self::CreasingMountain => Some("Creasing"),
            Self::Perforating => Some("Perforating"),
            // Both are cut through; layers of their own let a cutter take the one without the other.
            Self::Cutting | Self::Trimming => Some("Cutting"),
            Self::Artwork | Self::Labels | Self::Furniture => None,
        }
    }
}

/// An sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// Black.
    pub const BLACK: Self = Self(0, 0, 0);
    /// White.
    pub const WHITE: Self = Self(255, 255, 255);
    /// Blue of the Okabe-Ito palette (Okabe and Ito 2008, "Color Universal Design").
    pub const BLUE: Self = Self(0x00, 0x72, 0xB2);
    /// Vermillion of the same palette.
    pub const VERMILLION: Self = Self(0xD5, 0x5E, 0x00);
    /// Bluish green of the same palette.
    pub const GREEN: Self = Self(0x00, 0x9E, 0x73);
}

/// How a line is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Pen {
    /// Line width.
    pub width: Mm,
    /// Colour.
    pub colour: Colour,
    /// Lengths of dashes and gaps in turn; empty for a continuous line.
    pub dashes: Vec<Mm>,
    /// Round ends and corners (true), or butt ends and mitred corners.
    pub round: bool,
}

/// Weight of the type.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Text.
    Regular,
    /// Headings and names.
    Bold,
}

/// Which point of a line of text stands at its position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// The start of the baseline.
    Start,
    /// The middle of the baseline.
    Middle,
    /// The end of the baseline.
    End,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where the aligned point of the baseline stands.
    pub at: Point,
    /// What it says.
    pub text: String,
    /// Height of the em.
    pub size: Mm,
    /// Weight.
    pub weight: Weight,
    /// Alignment along the baseline.
    pub align: Align,
    /// Direction of the baseline.
    pub turn: Angle,
    /// Colour.
    pub colour: Colour,
}

/// One thing drawn, on its layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is for. Unused by [`Shape::Place`], whose form's marks have their own.
    pub layer: Layer,
    /// What it is.
    pub shape: Shape,
}

/// What a mark draws.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line along a path.
    Stroke {
        /// Where.
        path: BezPath,
        /// How.
        pen: Pen,
    },
    /// An area, filled by the even-odd rule.
    Fill {
        /// Where.
        path: BezPath,
        /// With what.
        colour: Colour,
    },
    /// A line of text.
    Text(Text),
    /// A form, moved and turned (never scaled).
    Place {
        /// Index into [`Document::forms`].
        form: usize,
        /// From the form's coordinates to the page's.
        motion: Affine,
    },
}
