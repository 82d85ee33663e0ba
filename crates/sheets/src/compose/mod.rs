//! From parts to finished pages: draw, split what is too large, pack, label, frame, list.
//!
//! Data flows one way: a [`Part`] becomes one or more flat drawings (`flat`, `split`), each of
//! which becomes a form with an outline, a label and an arrow for the grain (`unit`, `label`,
//! `grain`, `form`); every stock's
//! outlines are packed (`pack`, with `steps` for a layout by step) and laid on pages (`pages`,
//! with `trim` for straight cuts); the cover (`cover`) comes last, because it tells what the others
//! came to (`tally`).

use flatwright_folding::prove::Proved;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::{Mm, plain};
use flatwright_nesting::JobError;
use flatwright_nesting::check::Violation;

use crate::art::{Face, Forms};
use crate::page::{Document, Form};
use crate::paper::PaperSize;

mod back;
mod cover;
mod flat;
mod form;
mod free;
mod grain;
mod ink;
mod label;
mod pack;
mod pages;
mod room;
mod settings;
mod split;
mod steps;
mod tally;
mod trim;
mod unit;
mod uses;

pub use grain::{Axis, folds_along};
pub use settings::{
    Bag, BoardAs, BuildStep, Flip, Grain, Kits, LayoutMode, Offer, Settings, SheetGrain, SheetSettings,
};
pub use tally::{PaperCount, StockTally};
pub use uses::page_uses;

/// One kind of piece, and how many of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What sheets and lists call it, such as `TW2`. Unique, ASCII letters, digits and `-`.
    pub id: String,
    /// The piece, folded: no other pattern comes on a page.
    pub pattern: Proved,
    /// How many are wanted.
    pub copies: u32,
    /// What is printed on its face.
    pub face: Face,
    /// Whether its label may be printed on the face.
    pub label_on_face: bool,
    /// How it lies to the grain of its sheet.
    pub grain: Grain,
}

/// How far [`compose`] has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// The stock being packed.
    pub stock: Stock,
    /// Part of its work that is done, 0 to 1.
    pub done: f64,
    /// Sheets of its best layout so far, copies counted.
    pub sheets: Option<u64>,
    /// Sheets that it needs at least.
    pub at_least: u64,
}

/// All pages, and where everything lies on them.
#[derive(Clone, Debug, PartialEq)]
pub struct Composed {
    /// The pages: sections Cover, Paper, Card, Board, as far as there are any.
    pub document: Document,
    /// One for each page with pieces, in the order of the pages.
    pub sheets: Vec<SheetRecord>,
    /// What each stock came to, and how little it could have come to.
    pub tallies: Vec<StockTally>,
}

impl Composed {
    /// How many sheets of paper go through the printer, copies and the cover counted.
    #[must_use]
    pub fn prints(&self) -> u64 {
        let all: u64 = self.document.pages.iter().map(|page| u64::from(page.copies)).sum();
        let backs = self.sheets.iter().filter(|sheet| sheet.reverse.is_some()).map(|sheet| u64::from(sheet.copies));
        // With backs the cover is printed on both sides too.
        let cover = self.sheets.iter().map(|sheet| sheet.page).min().unwrap_or_default() as u64;
        let cover_backs = if self.sheets.iter().any(|sheet| sheet.reverse.is_some()) { cover / 2 } else { 0 };
        all - backs.sum::<u64>() - cover_backs
    }
}

/// What lies on one page.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRecord {
    /// Index into [`Document::pages`].
    pub page: usize,
    /// The sheet.
    pub paper: PaperSize,
    /// Width and height as used.
    pub size: (Mm, Mm),
    /// What it is cut from.
    pub stock: Stock,
    /// The name of the bag whose pieces are on it, where there are bags.
    pub bag: Option<String>,
    /// What the sheet is made of, as printed on it.
    pub material: String,
    /// How many times it is needed.
    pub copies: u32,
    /// The pieces on it.
    pub placements: Vec<PlacedPart>,
    /// Straight cuts that take it apart, in the order to make them, page coordinates; only for
    /// [`LayoutMode::Stacked`].
    pub cuts: Vec<kurbo::Line>,
    /// The largest free rectangle, page coordinates; only on the last sheet of a stock, and where it is
    /// worth keeping.
    pub free: Option<kurbo::Rect>,
    /// First and last step that it serves, from 0; only for [`LayoutMode::ByStep`].
    pub steps: Option<(usize, usize)>,
    /// Index of the page for its back; only where there are such pages.
    pub reverse: Option<usize>,
    /// Corners of the marks for a cutter, page coordinates, as [`registration::corners`] has them;
    /// only where there are such marks.
    ///
    /// [`registration::corners`]: crate::furniture::registration::corners
    pub registration: Option<[kurbo::Point; 4]>,
    /// Share of the paper's area that ink would cover if all of it were black, 0 to 1: an estimate.
    pub ink: f64,
}

/// One piece on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPart {
    /// Index into the list of parts.
    pub part: usize,
    /// The part's identifier, with a small letter where it was split: `TW2`, `TW2a`.
    pub id: String,
    /// Where the pattern's origin lies, mm from the page's lower left corner.
    pub x: Mm,
    /// The same, upward.
    pub y: Mm,
    /// Turn counterclockwise: 0, 90, 180 or 270 degrees.
    pub rotation: u32,
    /// Which way the arrow on it shows the grain, on the page; `None` where it has no arrow.
    pub arrow: Option<Axis>,
    /// Whether it folds across the grain of its sheet, as far as that is known.
    pub across_grain: bool,
}

/// Why parts cannot be put on pages.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ComposeError {
    /// Two parts of one name.
    #[error("two parts are called \"{0}\"; give each its own identifier")]
    SameId(String),
    /// A name that formats and sheets cannot carry.
    #[error("\"{0}\" cannot be an identifier; use 1 to 24 ASCII letters, digits and hyphens")]
    BadId(String),
    /// Bags that do not hold what there is. Nothing that you can mend: report it.
    #[error("the bags hold {bagged} of {id} instead of {copies}")]
    Bags {
        /// The part.
        id: String,
        /// How many there are.
        copies: u32,
        /// How many are in bags.
        bagged: u64,
    },
    /// A length that must be finite and not negative.
    #[error("the {what} is {value}; it must be {range}")]
    BadLength {
        /// Which setting.
        what: &'static str,
        /// Its value.
        value: Mm,
        /// What it may be.
        range: &'static str,
    },
    /// A page with no room for pieces.
    #[error("{paper} with margins of {margin} has no room beside the title, scale bars and line types; use a larger sheet{}", or_margin(*.margin))]
    PageTooSmall {
        /// The sheet.
        paper: String,
        /// The margin.
        margin: Mm,
    },
    /// A piece that fits on no page.
    #[error(
        "{id} ({name}) needs {} x {} mm; {}{}{}",
        plain(.size.0.get(), 2), plain(.size.1.get(), 2), free_text(.free), if *.splittable { "; it cannot be split so that both parts hold together and fit" } else { "" }, paper_text(.papers)
    )]
    TooLarge {
        /// The part.
        id: String,
        /// What it is.
        name: String,
        /// Width and height with kerf and bleed.
        size: (Mm, Mm),
        /// Every sheet offered: its name, free width and free height.
        free: Vec<(String, Mm, Mm)>,
        /// Whether splitting was tried.
        splittable: bool,
        /// The smallest sheets on which it fits, smallest first; may be empty.
        papers: Vec<String>,
    },
    /// The packer was asked for something out of range.
    #[error("{0}")]
    Job(JobError),
    /// The packer's layout did not pass the independent check. Nothing that you can mend: report it.
    #[error("the layout of the {stock} sheets failed its check: {violation}")]
    Layout {
        /// The stock.
        stock: Stock,
        /// What is wrong.
        violation: Violation,
    },
    /// The packer's cuts did not pass the independent check. Nothing that you can mend: report it.
    #[error("the cuts of the {stock} sheets failed their check: {fault}")]
    Cuts {
        /// The stock.
        stock: Stock,
        /// What is wrong.
        fault: flatwright_nesting::stacked::CutFault,
    },
    /// The sheets' order did not pass the independent check. Nothing that you can mend: report it.
    #[error("the order of the {stock} sheets failed its check: {fault}")]
    Order {
        /// The stock.
        stock: Stock,
        /// What is wrong.
        fault: flatwright_nesting::order::OrderFault,
    },
}

/// Draws, packs, labels and frames all parts.
///
/// The same parts and settings give the same pages. `progress` is called now and then, from this
/// thread.
///
/// # Errors
/// Every [`ComposeError`] that applies, parts that are too large all at once.
pub fn compose(
    parts: &[Part],
    settings: &Settings,
    progress: &mut dyn FnMut(Progress),
) -> Result<Composed, Vec<ComposeError>> {
    check(parts, settings)?;
    let groups = unit::groups(parts, settings)?;
    let mut packed = Vec::new();
    let mut errors = Vec::new();
    for group in &groups {
        match pack::pack(group, settings, progress) {
            Ok(layout) => packed.push(layout.times(settings.kits.prints())),
            Err(found) => errors.extend(found),
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    pages::assemble(parts, settings, &groups, &packed).map_err(|error| vec![error])
}

/// The drawing of one part without its label, as it would lie on a sheet, in its pattern's coordinates.
pub(crate) fn drawing(part: &Part, settings: &Settings) -> Form {
    let unit = unit::unit(flat::Flat::new(0, part), part, part.copies, settings);
    form::form(&unit, part, &Forms::new(&settings.artwork, 0), settings.bleed)
}

/// What has to hold before anything is drawn.
fn check(parts: &[Part], settings: &Settings) -> Result<(), Vec<ComposeError>> {
    let mut errors = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    for part in parts {
        let fine = (1..=24).contains(&part.id.len()) && part.id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
        if !fine {
            errors.push(ComposeError::BadId(part.id.clone()));
        } else if !seen.insert(&part.id) {
            errors.push(ComposeError::SameId(part.id.clone()));
        }
    }
    for (index, part) in parts.iter().enumerate().filter(|_| !settings.bags.is_empty()) {
        let held = settings.bags.iter().map(|bag| u64::from(bag.copies.get(index).copied().unwrap_or(0)));
        let bagged = held.sum();
        if bagged != u64::from(part.copies) {
            errors.push(ComposeError::Bags { id: part.id.clone(), copies: part.copies, bagged });
        }
    }
    let lengths = [
        ("margin", settings.margin, 0.0, 100.0, "0 to 100 mm"),
        ("bleed", settings.bleed, 0.0, 20.0, "0 to 20 mm"),
        ("kerf of paper", settings.paper.kerf, 0.0, 5.0, "0 to 5 mm"),
        ("kerf of card", settings.card.kerf, 0.0, 5.0, "0 to 5 mm"),
        ("kerf of board", settings.board_kerf, 0.0, 5.0, "0 to 5 mm"),
        ("overlap of split pieces", settings.split_overlap.unwrap_or(Mm::new(10.0)), 4.0, 50.0, "4 to 50 mm"),
    ];
    for (what, value, least, most, range) in lengths {
        if !(least..=most).contains(&value.get()) {
            errors.push(ComposeError::BadLength { what, value, range });
        }
    }
    if errors.is_empty() { Ok(()) } else { Err(errors) }
}

fn or_margin(margin: Mm) -> &'static str {
    if margin.get() > 5.0 { " or smaller margins" } else { "" }
}

fn free_text(free: &[(String, Mm, Mm)]) -> String {
    let sheet =
        |(name, w, h): &(String, Mm, Mm)| format!("{name} leaves {} x {} mm", plain(w.get(), 2), plain(h.get(), 2));
    free.iter().map(sheet).collect::<Vec<_>>().join(", ")
}

fn paper_text(papers: &[String]) -> String {
    if papers.is_empty() {
        "; it fits on no standard sheet: make the piece smaller".to_owned()
    } else {
        format!("; it fits on {}", papers.join(", "))
    }
}

#[cfg(test)]
mod grain_tests;
#[cfg(test)]
mod layout_tests;
#[cfg(test)]
mod print_tests;
#[cfg(test)]
mod tests;
