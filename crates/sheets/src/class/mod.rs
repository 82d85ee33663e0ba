//! What a teacher needs to make kits for a class: the print plan, stacks, bags, a checklist, age
//! cautions, cost and time, and a label for every bag.
//!
//! [`ClassBook`] is neutral: whoever has laid the sheets out fills it. [`document`] sets it in pages.

use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::Mm;

use crate::booklet::{self, Booklet, Chapter, TooTall};
use crate::guide::{self, ShoppingLine};
use crate::page::Document;
use crate::paper::PaperSize;

mod bags;
mod labels;
mod printing;

/// Everything that the pages for a class tell.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassBook {
    /// What the set is called.
    pub title: String,
    /// The kits, each by its name or number, in the order of their bags.
    pub kits: Vec<String>,
    /// Whether every kit has its own sheets, or all share them.
    pub own_sheets: bool,
    /// Whether straight cuts take stacks of the sheets apart.
    pub stacked: bool,
    /// The most sheets that are cut at once.
    pub stack: u32,
    /// The pages to print, in their order.
    pub prints: Vec<Print>,
    /// The bags of a kit, by their names, where each level is bagged apart; none where a kit is one bag.
    pub bags: Vec<String>,
    /// What one kit holds.
    pub contents: Vec<Content>,
    /// What to buy, what it costs, how long it takes.
    pub shopping: Vec<ShoppingLine>,
    /// Cautions, a paragraph each.
    pub cautions: Vec<String>,
}

/// A page to print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Print {
    /// Its number in the file of sheets, from 1.
    pub page: usize,
    /// How many times it is printed.
    pub copies: u32,
    /// On what, such as `card 200 g/m2, A4 (210 x 297 mm)`.
    pub on: String,
    /// How many straight cuts take a stack of it apart; 0 where there are none.
    pub cuts: usize,
    /// Whether it is the cover, which the teacher keeps.
    pub cover: bool,
}

/// A kind of piece in a kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Content {
    /// What sheets and lists call it, such as `TW2`.
    pub id: String,
    /// What it is, such as `tile wrap, 1 x 2`.
    pub name: String,
    /// How many a kit holds.
    pub count: u32,
    /// Index into [`ClassBook::bags`]: the bag of the kit that holds it.
    pub bag: usize,
    /// What it is cut from.
    pub stock: Stock,
    /// Whether it is a small part, flat or built, so that children under three must not have it.
    pub small: bool,
}

/// Why the pages were not set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ClassError {
    /// A page with too little room.
    #[error(
        "{paper} with margins of {margin} leaves {width} x {height}; the pages for a class need at least {} x {}",
        booklet::LEAST_WIDTH,
        booklet::LEAST_HEIGHT
    )]
    PageTooSmall {
        /// The sheet.
        paper: String,
        /// The margin.
        margin: Mm,
        /// What is left of its width.
        width: Mm,
        /// What is left of its height.
        height: Mm,
    },
    /// A row that no page can hold.
    #[error("the line {0:?} is too long for one page; shorten it")]
    RowTooTall(String),
}

/// Equal stacks of a page's copies, none above `most`: how many, and the sheets of the highest.
///
/// ```
/// assert_eq!(flatwright_sheets::class::stacks(31, 10), (4, 8));
/// ```
#[must_use]
pub fn stacks(copies: u32, most: u32) -> (u32, u32) {
    let number = copies.div_ceil(most.max(1)).max(1);
    (number, copies.div_ceil(number))
}

/// The pages for a class on upright paper: print plan, bags, checklist, cautions and cost, then the
/// bags' labels to be cut out. The same book gives the same document.
///
/// # Errors
/// [`ClassError`]: the paper is too small, or a row too long.
pub fn document(class: &ClassBook, paper: &PaperSize, margin: Mm) -> Result<Document, ClassError> {
    let booklet = Booklet::new(&class.title, "class set", paper, margin);
    if let Some((width, height)) = booklet.too_small() {
        return Err(ClassError::PageTooSmall { paper: paper.to_string(), margin, width, height });
    }
    let free = booklet.free();
    let chapter = |section: &str, blocks| Chapter { section: section.to_owned(), drawing: "a line", blocks };
    let mut closing = printing::cautions(class);
    closing.extend(guide::shopping(&class.shopping));
    let chapters = vec![
        chapter("Printing and cutting", printing::blocks(class, free.width())),
        chapter("Bags", bags::contents(class)),
        chapter("Checklist", bags::checklist(class, free.width())),
        chapter("Cautions and cost", closing),
    ];
    let mut pages = booklet.pages(chapters).map_err(|found| match found.into_iter().next() {
        Some(TooTall::Row(first)) => ClassError::RowTooTall(first),
        Some(TooTall::Drawing(what)) => ClassError::RowTooTall(what.to_owned()),
        None => ClassError::RowTooTall(String::new()),
    })?;
    booklet.number(&mut pages);
    let first = pages.len();
    pages.extend(labels::pages(class, &booklet, first));
    let subject = format!("Class set: {} kits", class.kits.len());
    Ok(Document { title: class.title.clone(), subject, pages, ..Document::default() })
}

/// `1 kit`, `2 kits`.
fn counted(count: u64, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests;
