//! The calibration coupon: a page of lengths to measure for the printer, and pages of gauges and graded
//! joints to cut and try, for the stocks, the cutter and the hand.
//!
//! Furniture and types of line are those of every sheet, and what is tried are the pieces themselves:
//! a wall's tab in a post's slot, biscuits in a tile's notch.

mod gauges;
mod lengths;
mod table;

use flatwright_folding::fold::FoldFault;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::units::Mm;
use kurbo::Vec2;

use crate::furniture::frame::{Frame, Fullness, Head};
use crate::page::{Document, Form, Mark, Page};
use crate::paper::{Orientation, PaperSize};

/// What a coupon is made for.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// What stands at the head of every page.
    pub title: String,
    /// The parameters that joints are drawn with; kerf is not allowed for.
    pub parameters: Parameters,
    /// Sheet and material of the printer's page; templates for board are printed on it too.
    pub paper: (PaperSize, String),
    /// Sheet and material of the page that is cut from card.
    pub card: (PaperSize, String),
    /// What the board is.
    pub board: String,
    /// Edge of every page that cannot be printed.
    pub margin: Mm,
    /// The plays of the graded joints, from the tightest.
    pub plays: Vec<Mm>,
}

/// A coupon.
#[derive(Clone, Debug, PartialEq)]
pub struct Coupon {
    /// Its pages.
    pub document: Document,
    /// What is to be measured on the first one, in the order of its table.
    pub lengths: Vec<Length>,
}

/// A length to be measured on the printer's page.
#[derive(Clone, Debug, PartialEq)]
pub struct Length {
    /// Its letter on the page.
    pub letter: &'static str,
    /// From its one end to the other, mm.
    pub vector: Vec2,
}

/// Why there is no coupon.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CouponError {
    /// A page that has no room.
    #[error(
        "{paper} with margins of {margin} has no room for {what}; use A4, Letter or a larger sheet, or smaller margins"
    )]
    PageTooSmall {
        /// The sheet.
        paper: String,
        /// The margin.
        margin: Mm,
        /// What does not fit.
        what: &'static str,
    },
    /// A piece that cannot be drawn from these parameters.
    #[error("{0}")]
    Piece(#[from] PieceError),
    /// A piece that does not fold. Nothing that you can mend: report it.
    #[error("a piece of the coupon does not fold: {0}")]
    Fold(FoldFault),
}

/// Draws a coupon.
///
/// # Errors
/// [`CouponError`].
pub fn coupon(settings: &Settings) -> Result<Coupon, CouponError> {
    let mut made = Pages::default();
    let lengths = lengths::page(settings, &mut made)?;
    gauges::card(settings, &mut made)?;
    gauges::board(settings, &mut made)?;
    let count = made.sheets.len();
    let pages = made.sheets.into_iter().enumerate();
    let pages = pages.map(|(index, sheet)| sheet.page(settings, index, count)).collect();
    let document = Document {
        title: settings.title.clone(),
        subject: "Lengths to measure and joints to try, before a set is printed".to_owned(),
        forms: made.forms,
        images: Vec::new(),
        pages,
    };
    Ok(Coupon { document, lengths })
}

/// What has been drawn so far.
#[derive(Default)]
struct Pages {
    forms: Vec<Form>,
    sheets: Vec<Sheet>,
}

/// One page, still without its number.
struct Sheet {
    heading: &'static str,
    instruction: String,
    size: (Mm, Mm),
    frame: Frame,
    marks: Vec<Mark>,
}

impl Sheet {
    /// An empty sheet, upright.
    fn new(settings: &Settings, stock: Stock) -> Result<Self, CouponError> {
        let (paper, material, heading) = match stock {
            Stock::Paper => (&settings.paper.0, settings.paper.1.clone(), "Printer"),
            Stock::Card => (&settings.card.0, settings.card.1.clone(), "Card and cutter"),
            Stock::Board => {
                let glued = format!("{}, to glue on {}", settings.paper.1, settings.board);
                (&settings.paper.0, glued, "Board and cutter")
            }
        };
        let size = paper.turned(Orientation::Portrait);
        let frame = Frame::new(size, settings.margin, Fullness::Sheet).ok_or_else(|| CouponError::PageTooSmall {
            paper: paper.to_string(),
            margin: settings.margin,
            what: "title, scale bars and line types",
        })?;
        let instruction = format!("print once on {material}, {paper}");
        Ok(Self { heading, instruction, size, frame, marks: Vec::new() })
    }

    fn page(self, settings: &Settings, index: usize, count: usize) -> Page {
        let head = Head {
            title: settings.title.clone(),
            page: format!("Page {} of {count}", index + 1),
            heading: self.heading.to_owned(),
            instruction: self.instruction,
            pieces: Vec::new(),
            grain: false,
        };
        let mut marks = self.frame.draw(&head);
        marks.extend(self.marks);
        let page = Page::plain(self.size, marks);
        Page {
            label: (index + 1).to_string(),
            title: format!("Coupon: {}", self.heading.to_lowercase()),
            section: "Coupon".to_owned(),
            ..page
        }
    }
}

/// The refusal of a sheet on which something has no room.
fn too_small(settings: &Settings, stock: Stock, what: &'static str) -> CouponError {
    let paper = if stock == Stock::Card { &settings.card.0 } else { &settings.paper.0 };
    CouponError::PageTooSmall { paper: paper.to_string(), margin: settings.margin, what }
}

#[cfg(test)]
mod tests;
