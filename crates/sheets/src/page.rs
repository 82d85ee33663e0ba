//! The finished page: everything that a writer needs, nothing that it has to decide.
//!
//! Millimetres, origin at the page's lower left corner, y up, angles counterclockwise.

pub use flatwright_artwork::Colour;
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
    /// Pictures, each stored once.
    pub images: Vec<Image>,
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
    /// What it draws. It places other forms only as artwork, inside a [`Shape::Clip`], and only
    /// such as place none themselves.
    pub marks: Vec<Mark>,
}

/// A picture made of pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Identifier, as for forms; unique among the images.
    pub id: String,
    /// Pixels across and down.
    pub size: (u32, u32),
    /// The pixels.
    pub pixels: Pixels,
}

/// How the pixels of a picture are stored.
#[derive(Clone, Debug, PartialEq)]
pub enum Pixels {
    /// A whole JPEG file (ITU-T T.81), as it came, with 1 (grey) or 3 (sRGB) components.
    Jpeg {
        /// The file.
        file: std::sync::Arc<[u8]>,
        /// How many components.
        components: u8,
    },
    /// Rows from the top, three bytes of sRGB a pixel.
    Rgb(std::sync::Arc<[u8]>),
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

impl Page {
    /// A page without words about it and without bleed, for a picture.
    #[must_use]
    pub fn plain(size: (Mm, Mm), marks: Vec<Mark>) -> Self {
        let whole = Rect::new(0.0, 0.0, size.0.get(), size.1.get());
        let (label, title, section) = Default::default();
        Self { label, title, section, size, trim: whole, bleed: whole, copies: 1, marks }
    }
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
    /// Marks that show only inside an area. All of them are artwork, whatever their own layers.
    /// Inside, forms may also be scaled, skewed and mirrored.
    Clip {
        /// The area, by the even-odd rule.
        path: BezPath,
        /// What shows in it.
        marks: Vec<Mark>,
    },
    /// A picture, only inside a [`Shape::Clip`].
    Image {
        /// Index into [`Document::images`].
        image: usize,
        /// From the unit square, its lower left corner at the origin, to where the picture lies.
        motion: Affine,
    },
}

impl Shape {
    /// What it draws, moved and turned, and scaled by `scale` where it is not 1: lines and type too.
    /// Outside of a clip forms are never scaled: there a mark that places one comes to nothing.
    #[must_use]
    pub fn mapped(&self, motion: Affine, scale: f64) -> Option<Self> {
        let placed_in_clip = |marks: &[Mark]| -> Vec<Mark> {
            let shape = |mark: &Mark| match &mark.shape {
                Self::Place { form, motion: own } => Some(Self::Place { form: *form, motion: motion * *own }),
                other => other.mapped(motion, scale),
            };
            marks.iter().filter_map(|mark| Some(Mark { layer: mark.layer, shape: shape(mark)? })).collect()
        };
        Some(match self {
            Self::Stroke { path, pen } => {
                let dashes = pen.dashes.iter().map(|dash| *dash * scale).collect();
                let pen = Pen { width: pen.width * scale, dashes, ..pen.clone() };
                Self::Stroke { path: motion * path, pen }
            }
            Self::Fill { path, colour } => Self::Fill { path: motion * path, colour: *colour },
            Self::Text(text) => {
                let [along_x, along_y, ..] = motion.as_coeffs();
                // Pictures of whole pages are scaled or shifted, not turned, mostly: then nothing is rounded.
                let turn = match along_y.atan2(along_x).to_degrees() {
                    0.0 => text.turn,
                    by => Angle::degrees(text.turn.to_degrees() + by),
                };
                Self::Text(Text { at: motion * text.at, size: text.size * scale, turn, ..text.clone() })
            }
            Self::Place { form, motion: own } if scale == 1.0 => Self::Place { form: *form, motion: motion * *own },
            Self::Place { .. } => return None,
            Self::Clip { path, marks } => Self::Clip { path: motion * path, marks: placed_in_clip(marks) },
            Self::Image { image, motion: own } => Self::Image { image: *image, motion: motion * *own },
        })
    }

    /// The forms that it places, itself or in a clip.
    #[must_use]
    pub fn places(&self) -> Vec<usize> {
        match self {
            Self::Place { form, .. } => vec![*form],
            Self::Clip { marks, .. } => marks.iter().flat_map(|mark| mark.shape.places()).collect(),
            _ => Vec::new(),
        }
    }

    /// The pictures that it shows in a clip.
    #[must_use]
    pub fn images(&self) -> Vec<usize> {
        match self {
            Self::Image { image, .. } => vec![*image],
            Self::Clip { marks, .. } => marks.iter().flat_map(|mark| mark.shape.images()).collect(),
            _ => Vec::new(),
        }
    }
}
