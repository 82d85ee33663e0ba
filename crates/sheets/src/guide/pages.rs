//! The pages of a guide: its chapters, one after another, each from a fresh page, with their feet.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect};

use super::check::{GuideError, GuideFault, faults_of};
use super::{CAPTION, Guide, LEAST, LOOK, closing, counted, front, parts, steps, thumbnail};
use crate::art::{self, Artwork, Forms};
use crate::embed;
use crate::flow::{self, Block};
use crate::furniture::marks::{fitted, line, text};
use crate::furniture::style;
use crate::page::{Align, Document, Page};
use crate::paper::PaperSize;
use crate::reduce::reduced;

/// Least room between the margins.
pub(super) const LEAST_WIDTH: Mm = Mm::new(95.0);
pub(super) const LEAST_HEIGHT: Mm = Mm::new(130.0);
/// Pixels along the longer side of a picture on a part's face, at most.
const MOST_PIXELS: u32 = 512;
/// Height of the foot with the room above it, mm.
const FOOT: f64 = 9.0;

/// The guide as a document on upright paper, ready for any writer. The same guide gives the same
/// document.
///
/// Every chapter begins a page and is a section of the bookmarks; a page is called after the
/// headings that begin on it. No text but the labels in pictures and the figures that must fit a
/// box is smaller than 3 mm.
///
/// # Errors
/// [`GuideError`] with every [`GuideFault`] there is.
pub fn document(guide: &Guide, paper: &PaperSize, margin: Mm) -> Result<Document, GuideError> {
    let mut found = faults_of(guide);
    let m = margin.get();
    let size = (paper.width, paper.height);
    if (0.0..=100.0).contains(&m) {
        let (width, height) = (size.0 - margin * 2.0, size.1 - margin * 2.0);
        if !(width >= LEAST_WIDTH && height >= LEAST_HEIGHT) {
            found.push(GuideFault::PageTooSmall { paper: paper.to_string(), margin, width, height });
        }
    } else {
        found.push(GuideFault::Margin(margin));
    }
    if !found.is_empty() {
        return Err(GuideError::Faults(found));
    }
    let free = Rect::new(m, m + FOOT, size.0.get() - m, size.1.get() - m);
    let artwork = Artwork {
        images: guide.artwork.images.iter().map(|image| reduced(image, MOST_PIXELS)).collect(),
        ..guide.artwork.clone()
    };
    let mut document = Document {
        title: guide.title.clone(),
        subject: format!(
            "Building guide: {} of part, {}",
            counted(guide.parts.len(), "kind"),
            counted(guide.steps.len(), "step")
        ),
        forms: art::forms(&artwork),
        images: artwork.images.clone(),
        pages: Vec::new(),
    };
    let pictures: Vec<Page> = guide.pictures.iter().filter_map(|picture| embed::page(&mut document, picture)).collect();
    let print = thumbnail::Print { art: Forms::new(&artwork, 0), forms: &document.forms };
    let closing_name = closing::headings(guide).join(", ");
    let chapters: [(&str, &'static str, Vec<Block>); 5] = [
        ("Overview", "the plan", front::blocks(guide, free)),
        (front::PICTURES, "a picture", front::pictures(&pictures, free)),
        (parts::HEADING, "a row of parts", parts::blocks(guide, &print, free)),
        (steps::HEADING, "a step", steps::blocks(guide, free)),
        (&closing_name, "the plan with the weakest seam", closing::blocks(guide, free)),
    ];
    let mut pages = Vec::new();
    for (section, picture, blocks) in chapters.into_iter().filter(|(_, _, blocks)| !blocks.is_empty()) {
        for index in flow::too_tall(&blocks, &[free], &LOOK) {
            found.push(match &blocks[index] {
                Block::Row(row) => GuideFault::RowTooTall(row.cells.first().cloned().unwrap_or_default()),
                _ => GuideFault::TooTall(picture),
            });
        }
        for (number, flowed) in flow::set(&blocks, &[free], &LOOK).into_iter().enumerate() {
            let title = match (flowed.headings.is_empty(), number) {
                (false, _) => flowed.headings.join(", "),
                (true, 0) => guide.title.trim().to_owned(),
                (true, _) => format!("{section}, continued"),
            };
            pages.push(page(section.to_owned(), title, size, flowed.marks));
        }
    }
    if !found.is_empty() {
        return Err(GuideError::Faults(found));
    }
    let total = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        page.label = (index + 1).to_string();
        page.marks.extend(foot(guide, index + 1, total, Rect { y0: m, ..free }));
    }
    document.pages = pages;
    Ok(embed::used(document))
}

fn foot(guide: &Guide, number: usize, total: usize, page: Rect) -> Vec<crate::page::Mark> {
    let words = format!("Page {number} of {total}");
    let baseline = page.y0 + 0.8;
    let room = page.width() - CAPTION.width(&words) - 6.0;
    let (title, face) = fitted(&format!("{} – building guide", guide.title.trim()), room, CAPTION, LEAST);
    vec![
        line((page.x0, page.y0 + 5.0), (page.x1, page.y0 + 5.0), style::hairline()),
        text(Point::new(page.x0, baseline), title, face, Align::Start),
        text(Point::new(page.x1, baseline), words, CAPTION, Align::End),
    ]
}

fn page(section: String, title: String, size: (Mm, Mm), marks: Vec<crate::page::Mark>) -> Page {
    let paper = Rect::new(0.0, 0.0, size.0.get(), size.1.get());
    Page { label: String::new(), title, section, size, trim: paper, bleed: paper, copies: 1, marks }
}
