//! The designer's own pictures: PNG, JPEG and SVG files as artwork.
//!
//! A picture is read and judged once ([`Picture::read`]) and made ready for the paper once its
//! places are known ([`Picture::printed`]).

mod convert;
mod jpeg;
mod place;
mod png;
mod svg;
mod svg_work;

use std::sync::Arc;

use flatwright_artwork::{Colour, Ink, Print};
use flatwright_geometry::units::{MM_PER_INCH, Mm};
use flatwright_sheets::page::{Image, Pixels};
use kurbo::Affine;

use crate::problem::{At, Problem};

use convert::Told;
pub use place::place;

/// The largest file that is read, bytes.
pub const LARGEST: usize = 32 * 1024 * 1024;
/// The narrowest copy of a repeated picture: smaller ones would be no more than a grey.
pub const LEAST_WIDTH: Mm = Mm::new(2.0);
/// Most pixels of one picture: 300 dots per inch on 50 x 70 cm.
pub const MOST_PIXELS: u64 = 50_000_000;
/// Most pixels of all pictures of a set: 300 MB while they are at work.
pub const MOST_IN_ALL: u64 = 100_000_000;
/// Below this many dots per inch a print looks coarse at arm's length (common practice, no source).
pub const LEAST_RESOLUTION: f64 = 150.0;
/// Dots per inch at which drawings are set.
const DRAWN_AT: f64 = 300.0;

/// How a picture fills a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// Copies of a width side by side, counted from the lattice or the wall's left post, so that
    /// they run on from piece to piece.
    Repeat(Mm),
    /// One copy that fills the face and its bleed; what is too wide or too high is cut off.
    Cover,
    /// One copy, all of it seen, in the middle of the face; the rest has a colour: the given one,
    /// or the mean of the picture's edge.
    Whole(Option<Colour>),
}

/// A picture file, read and found good.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Its name, as sets and plans write it.
    pub name: String,
    /// The file, as the set names it.
    pub file: String,
    /// Where the set names it.
    pub at: At,
    /// How it fills a face.
    pub fit: Fit,
    content: Content,
    /// What its pixels come to, of a drawing roughly.
    told: Told,
    /// What a builder should know of it.
    pub notes: Vec<Problem>,
}

/// What a file holds.
#[derive(Clone, Debug)]
enum Content {
    /// A JPEG file without its metadata, its pixels and how they are turned to be seen.
    Jpeg { file: Arc<[u8]>, components: u8, as_it_came: bool, raster: Raster, turn: Affine, turned: bool },
    /// Pixels.
    Raster(Raster),
    /// A drawing.
    Drawing(Arc<resvg::usvg::Tree>),
}

impl Content {
    fn told(&self) -> Told {
        /// As fine as a mean needs it: 64 dots across.
        const COARSE: (Mm, f64) = (Mm::new(MM_PER_INCH), 64.0);
        match self {
            Self::Jpeg { raster, .. } | Self::Raster(raster) => convert::told(raster),
            Self::Drawing(tree) => {
                svg::raster(tree, COARSE.0, COARSE.1).map_or(Told::WHITE, |raster| convert::told(&raster))
            }
        }
    }
}

/// Rows of sRGB pixels from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Raster {
    pub size: (u32, u32),
    pub rgb: Arc<[u8]>,
}

/// A picture as it is printed.
#[derive(Clone, Debug)]
pub struct Printed {
    /// Its pixels.
    pub image: Image,
    /// How they are turned to be seen: from the unit square to the unit square.
    pub turn: Affine,
    /// Its darkest and its lightest colour.
    pub extremes: [Colour; 2],
    /// Mean of its edge.
    pub edge: Colour,
    /// Mean ink that it takes, 0 to 1.
    pub ink: f64,
}

/// What is wrong with a file, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Refusal {
    /// Completes the sentence that begins with the file's name.
    pub what: String,
    pub help: &'static str,
}

impl Refusal {
    pub(crate) fn new(what: impl Into<String>, help: &'static str) -> Self {
        Self { what: what.into(), help }
    }
}

/// What is read from a file, and what to know of it: sentences that begin with the file's name.
pub(crate) struct Found<T> {
    pub value: T,
    pub notes: Vec<(&'static str, &'static str)>,
}

impl Picture {
    /// Reads a picture file; its content says what it is, whatever its name.
    ///
    /// # Errors
    /// One problem at `at`: no PNG, JPEG or SVG, too large, damaged, or of a kind that is not taken.
    pub fn read(name: &str, file: &str, bytes: &[u8], fit: Fit, at: &At) -> Result<Self, Problem> {
        let noted = |(what, help): (&str, &str)| Problem::new(format!("{file} {what}")).at(at, "this file").help(help);
        match content(bytes) {
            Ok(Found { value: content, notes }) => Ok(Self {
                name: name.to_owned(),
                file: file.to_owned(),
                at: at.clone(),
                fit,
                told: content.told(),
                content,
                notes: notes.into_iter().map(noted).collect(),
            }),
            Err(Refusal { what, help }) => {
                Err(Problem::new(format!("{file} {what}")).at(at, "this file").help(help.to_owned()))
            }
        }
    }

    /// Mean of its colours.
    #[must_use]
    pub const fn mean(&self) -> Colour {
        self.told.mean
    }

    /// Pixels across and down as it is seen; `None` for a drawing, which has none of its own.
    #[must_use]
    pub fn pixels(&self) -> Option<(u32, u32)> {
        match &self.content {
            Content::Jpeg { raster, turned: true, .. } => Some((raster.size.1, raster.size.0)),
            Content::Jpeg { raster, .. } | Content::Raster(raster) => Some(raster.size),
            Content::Drawing(_) => None,
        }
    }

    /// Width over height, as it is seen.
    #[must_use]
    pub fn aspect(&self) -> f64 {
        match (&self.content, self.pixels()) {
            (_, Some((width, height))) => f64::from(width) / f64::from(height),
            (Content::Drawing(tree), None) => f64::from(tree.size().width()) / f64::from(tree.size().height()),
            (_, None) => 1.0,
        }
    }

    /// Dots per inch where it is printed `width` wide; `None` for a drawing.
    #[must_use]
    pub fn resolution(&self, width: Mm) -> Option<f64> {
        self.pixels().map(|(across, _)| f64::from(across) / (width.get() / MM_PER_INCH))
    }

    /// The picture as it is printed, under an identifier. `width` is the greatest at which it is
    /// printed: drawings are set for it.
    ///
    /// # Errors
    /// A problem where a drawing would need too many pixels.
    pub fn printed(&self, id: &str, width: Mm, print: Print) -> Result<Printed, Problem> {
        let raster = match &self.content {
            Content::Jpeg { raster, .. } | Content::Raster(raster) => raster.clone(),
            Content::Drawing(tree) => svg::raster(tree, width, DRAWN_AT).map_err(|Refusal { what, help }| {
                Problem::new(format!("{} {what}", self.file)).at(&self.at, "this file").help(help)
            })?,
        };
        let unchanged = print.ink == Ink::Colour && print.shade == 0.0;
        let turn = match &self.content {
            Content::Jpeg { turn, .. } => *turn,
            _ => Affine::IDENTITY,
        };
        let (pixels, raster) = match &self.content {
            // A grey file is grey already.
            Content::Jpeg { file, components, as_it_came: true, .. }
                if unchanged || (*components == 1 && print.ink == Ink::Grey && print.shade == 0.0) =>
            {
                (Pixels::Jpeg { file: Arc::clone(file), components: *components }, raster)
            }
            _ => {
                let raster = if unchanged { raster } else { convert::converted(&raster, print) };
                (Pixels::Rgb(Arc::clone(&raster.rgb)), raster)
            }
        };
        // The pixels of a file that is printed as it is have been looked at.
        let told = match &self.content {
            Content::Jpeg { .. } | Content::Raster(_) if unchanged => self.told,
            _ => convert::told(&raster),
        };
        Ok(Printed {
            image: Image { id: id.to_owned(), size: raster.size, pixels },
            turn,
            extremes: told.extremes,
            edge: told.edge,
            ink: told.ink,
        })
    }
}

fn content(bytes: &[u8]) -> Result<Found<Content>, Refusal> {
    if bytes.len() > LARGEST {
        let what = format!("has more than {} MB", LARGEST / (1024 * 1024));
        return Err(Refusal::new(what, "save it with fewer pixels"));
    }
    const OTHERS: &[(&[u8], &str)] = &[
        (b"GIF8", "a GIF"),
        (b"RIFF", "a WebP picture"),
        (b"BM", "a BMP picture"),
        (b"II*\0", "a TIFF picture"),
        (b"MM\0*", "a TIFF picture"),
        (b"%PDF", "a PDF"),
        (b"\x1f\x8b", "packed by gzip"),
        (b"8BPS", "a layered picture of a drawing program"),
        (b"\0\0\0\x20ftyp", "a HEIF picture"),
        (b"\0\0\0\x18ftyp", "a HEIF picture"),
        (b"\0\0\0\x1cftyp", "a HEIF picture"),
    ];
    const HELP: &str = "save it as PNG, JPEG or plain SVG";
    if bytes.starts_with(b"\x89PNG") {
        return png::read(bytes).map(|found| Found { value: Content::Raster(found.value), notes: found.notes });
    }
    if bytes.starts_with(&[0xFF, 0xD8]) {
        return jpeg::read(bytes);
    }
    if bytes.is_empty() {
        return Err(Refusal::new("is empty", HELP));
    }
    if let Some((_, what)) = OTHERS.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Err(Refusal::new(format!("is {what}"), HELP));
    }
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<') {
        return svg::read(bytes)
            .map(|found| Found { value: Content::Drawing(Arc::new(found.value)), notes: found.notes });
    }
    Err(Refusal::new("is neither PNG nor JPEG nor SVG", HELP))
}

/// Whether a picture inside a drawing is one that is taken on its own, and not too large.
fn embeddable(bytes: &[u8]) -> bool {
    if bytes.starts_with(&[0xFF, 0xD8]) {
        return jpeg::size(bytes).is_some_and(|(width, height)| within(width, height).is_ok());
    }
    let number = |at: usize| -> Option<u64> {
        Some(bytes.get(at..at + 4)?.iter().fold(0, |sum, byte| sum << 8 | u64::from(*byte)))
    };
    // The first chunk of a PNG says its size.
    let size = number(16).zip(number(20)).filter(|_| bytes.starts_with(b"\x89PNG"));
    size.is_some_and(|(width, height)| within(width, height).is_ok())
}

/// Refuses a number of pixels that is 0 or too large.
pub(crate) fn within(width: u64, height: u64) -> Result<(), Refusal> {
    if width == 0 || height == 0 {
        return Err(Refusal::new("has no pixels", "save it again from the program that made it"));
    }
    if width.saturating_mul(height) > MOST_PIXELS {
        let what = format!("has {width} x {height} pixels; at most {} million are taken", MOST_PIXELS / 1_000_000);
        return Err(Refusal::new(what, "save it smaller: 300 dots per inch at its printed size are enough"));
    }
    Ok(())
}

/// What to know of a colour profile, unless it says sRGB anyway.
pub(crate) fn profile_note(profile: &[u8]) -> Option<(&'static str, &'static str)> {
    let wide: Vec<u8> = b"sRGB".iter().flat_map(|byte| [0, *byte]).collect();
    let has = |word: &[u8]| profile.windows(word.len()).any(|window| window == word);
    let note = ("has a colour profile, which is not used: its numbers are taken as sRGB", "convert it to sRGB");
    (!has(b"sRGB") && !has(&wide)).then_some(note)
}

#[cfg(test)]
mod tests;
