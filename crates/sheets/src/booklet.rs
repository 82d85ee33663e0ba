//! Pages to be read, not cut: chapters that flow over upright paper, each page with its foot.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect};

use crate::flow::{self, Block, Look};
use crate::furniture::marks::{Face, fitted, line, text};
use crate::furniture::style;
use crate::page::{Align, Colour, Mark, Page};
use crate::paper::PaperSize;

mod front;

pub(crate) use front::{facts, title};

/// How its text is set.
pub(crate) const LOOK: Look = Look {
    body: Face::regular(Mm::new(3.4)),
    table: Face::regular(Mm::new(3.2)),
    heading: Face::bold(Mm::new(7.0)),
    subheading: Face::bold(Mm::new(4.4)),
    heading_room: 2.45,
    after: 1.6,
    row_gap: 2.0,
    cell_gap: 5.0,
    fixed_share: 0.55,
    indent: 6.0,
    measure: 150.0,
    bar: Some(ACCENT),
};

/// The one colour of headings' bars, numbers and what is new.
pub(crate) const ACCENT: Colour = Colour::BLUE;
/// Ground of boxes that are set off.
pub(crate) const TINT: Colour = Colour(0xEE, 0xF3, 0xF7);
/// Captions and notes.
pub(crate) const CAPTION: Face = Face::muted(Mm::new(3.0));
/// Least em to which anything but a picture's labels is set smaller to fit.
pub(crate) const LEAST: Mm = Mm::new(2.4);
/// Least room between the margins.
pub(crate) const LEAST_WIDTH: Mm = Mm::new(95.0);
/// See [`LEAST_WIDTH`].
pub(crate) const LEAST_HEIGHT: Mm = Mm::new(130.0);

/// Height of the foot with the room above it, mm.
const FOOT: f64 = 9.0;

/// What begins a page, and a section of the bookmarks.
pub(crate) struct Chapter {
    /// Name of the section.
    pub section: String,
    /// What its tallest drawings are, in errors.
    pub drawing: &'static str,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// A block that no page can hold.
pub(crate) enum TooTall {
    /// A row of a table, by its first cell.
    Row(String),
    /// A drawing, as its chapter calls it.
    Drawing(&'static str),
}

/// The paper of a booklet, and what it is called.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Booklet<'a> {
    /// Of what it is, such as the set's name.
    pub title: &'a str,
    /// What it is, such as `building guide`.
    pub kind: &'a str,
    /// Width and height of the paper.
    pub size: (Mm, Mm),
    /// Margin on all sides.
    pub margin: Mm,
}

impl<'a> Booklet<'a> {
    /// A booklet on upright paper.
    pub fn new(title: &'a str, kind: &'a str, paper: &PaperSize, margin: Mm) -> Self {
        Self { title: title.trim(), kind, size: (paper.width, paper.height), margin }
    }

    /// The width and height between the margins, where they are too small.
    pub fn too_small(&self) -> Option<(Mm, Mm)> {
        let (width, height) = (self.size.0 - self.margin * 2.0, self.size.1 - self.margin * 2.0);
        (!(width >= LEAST_WIDTH && height >= LEAST_HEIGHT)).then_some((width, height))
    }

    /// What a page's text may fill.
    pub fn free(&self) -> Rect {
        let m = self.margin.get();
        Rect::new(m, m + FOOT, self.size.0.get() - m, self.size.1.get() - m)
    }

    /// The pages of all chapters that say something, without feet: a page is called after the
    /// headings that begin on it.
    pub fn pages(&self, chapters: Vec<Chapter>) -> Result<Vec<Page>, Vec<TooTall>> {
        let free = self.free();
        let (mut pages, mut found) = (Vec::new(), Vec::new());
        for Chapter { section, drawing, blocks } in chapters.into_iter().filter(|chapter| !chapter.blocks.is_empty()) {
            for index in flow::too_tall(&blocks, &[free], &LOOK) {
                found.push(match &blocks[index] {
                    Block::Row(row) => TooTall::Row(row.cells.first().cloned().unwrap_or_default()),
                    _ => TooTall::Drawing(drawing),
                });
            }
            for (number, flowed) in flow::set(&blocks, &[free], &LOOK).into_iter().enumerate() {
                let title = match (flowed.headings.is_empty(), number) {
                    (false, _) => flowed.headings.join(", "),
                    (true, 0) => self.title.to_owned(),
                    (true, _) => format!("{section}, continued"),
                };
                pages.push(Page { title, section: section.clone(), ..Page::plain(self.size, flowed.marks) });
            }
        }
        if found.is_empty() { Ok(pages) } else { Err(found) }
    }

    /// Numbers the pages and gives them their feet.
    pub fn number(&self, pages: &mut [Page]) {
        let total = pages.len();
        for (index, page) in pages.iter_mut().enumerate() {
            page.label = (index + 1).to_string();
            page.marks.extend(self.foot(index + 1, total));
        }
    }

    fn foot(&self, number: usize, total: usize) -> Vec<Mark> {
        let Rect { x0, x1, .. } = self.free();
        let y0 = self.margin.get();
        let words = format!("Page {number} of {total}");
        let baseline = y0 + 0.8;
        let room = x1 - x0 - CAPTION.width(&words) - 6.0;
        let (title, face) = fitted(&format!("{} – {}", self.title, self.kind), room, CAPTION, LEAST);
        vec![
            line((x0, y0 + 5.0), (x1, y0 + 5.0), style::hairline()),
            text(Point::new(x0, baseline), title, face, Align::Start),
            text(Point::new(x1, baseline), words, CAPTION, Align::End),
        ]
    }
}
