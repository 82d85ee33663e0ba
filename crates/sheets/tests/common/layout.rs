//! Checks of where things stand on pages, for the tests of several documents.

use flatwright_sheets::furniture::text_box;
use flatwright_sheets::page::{Document, Page, Shape, Text};
use kurbo::{Rect, Shape as _};

/// Lines of text on a page, in the order in which they are drawn.
pub fn texts(page: &Page) -> Vec<&Text> {
    page.marks.iter().filter_map(|mark| if let Shape::Text(text) = &mark.shape { Some(text) } else { None }).collect()
}

/// All that a page says, a space between lines.
pub fn words(page: &Page) -> String {
    texts(page).iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ")
}

/// Asserts that no mark comes nearer to a page's edge than `margin`, mm, lines with their width.
pub fn assert_inside(document: &Document, margin: f64) {
    for page in &document.pages {
        let free = Rect::new(margin, margin, page.size.0.get() - margin, page.size.1.get() - margin);
        // Half a hairline's width may hang over.
        let free = free.inflate(0.3, 0.3);
        for mark in &page.marks {
            let area = match &mark.shape {
                Shape::Text(text) => text_box(text),
                Shape::Fill { path, .. } => path.bounding_box(),
                Shape::Stroke { path, pen } => {
                    path.bounding_box().inflate(pen.width.get() / 2.0, pen.width.get() / 2.0)
                }
                Shape::Clip { path, .. } => path.bounding_box(),
                Shape::Place { .. } | Shape::Image { .. } => panic!("no forms or loose pictures are expected here"),
            };
            assert!(free.contains_rect(area), "{:?} of {:?} lies at {area:?}", mark.shape, page.title);
        }
    }
}

/// Asserts that no two texts of a page overlap.
pub fn assert_no_overlaps(document: &Document) {
    for page in &document.pages {
        let texts = texts(page);
        for (i, a) in texts.iter().enumerate() {
            for b in &texts[i + 1..] {
                // Ascenders and descenders of neighbouring lines may share a hair.
                let common = text_box(a).intersect(text_box(b));
                let apart = common.width() <= 1e-6 || common.height() <= 0.05;
                assert!(apart, "{:?} and {:?} overlap on {:?} by {common:?}", a.text, b.text, page.title);
            }
        }
    }
}
