//! The pages of a guide: its chapters, one after another, each from a fresh page, with their feet.

use flatwright_geometry::units::Mm;

use super::check::{GuideError, GuideFault, faults_of};
use super::{Guide, closing, counted, front, parts, steps, thumbnail};
use crate::art::{self, Artwork, Forms};
use crate::booklet::{Booklet, Chapter, TooTall};
use crate::embed;
use crate::page::{Document, Page};
use crate::paper::PaperSize;
use crate::reduce::reduced;

/// Pixels along the longer side of a picture on a part's face, at most.
const MOST_PIXELS: u32 = 512;

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
    let booklet = Booklet::new(&guide.title, "building guide", paper, margin);
    if !(0.0..=100.0).contains(&margin.get()) {
        found.push(GuideFault::Margin(margin));
    } else if let Some((width, height)) = booklet.too_small() {
        found.push(GuideFault::PageTooSmall { paper: paper.to_string(), margin, width, height });
    }
    if !found.is_empty() {
        return Err(GuideError::Faults(found));
    }
    let free = booklet.free();
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
    let chapter = |section: &str, drawing, blocks| Chapter { section: section.to_owned(), drawing, blocks };
    let chapters = vec![
        chapter("Overview", "the plan", front::blocks(guide, free)),
        chapter(front::PICTURES, "a picture", front::pictures(&pictures, free)),
        chapter(parts::HEADING, "a row of parts", parts::blocks(guide, &print, free)),
        chapter(steps::HEADING, "a step", steps::blocks(guide, free)),
        chapter(&closing_name, "the plan with the weakest seam", closing::blocks(guide, free)),
    ];
    document.pages = booklet.pages(chapters).map_err(|found| {
        let fault = |found| match found {
            TooTall::Row(first) => GuideFault::RowTooTall(first),
            TooTall::Drawing(what) => GuideFault::TooTall(what),
        };
        GuideError::Faults(found.into_iter().map(fault).collect())
    })?;
    booklet.number(&mut document.pages);
    Ok(embed::used(document))
}
