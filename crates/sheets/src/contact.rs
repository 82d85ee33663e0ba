//! A contact sheet: all pages of a document on one picture, small, to be taken in at a glance.

use flatwright_geometry::units::{MM_PER_INCH, Mm};
use kurbo::{Point, Rect, Shape as _};

use crate::furniture::marks::{Face, fitted, text, wrapped};
use crate::furniture::style;
use crate::page::{Align, Colour, Document, Layer, Mark, Page, Pen, Shape};
use crate::png::{self, PngError};

/// Longest side of a page, room between two, edge of the picture, mm.
const LONGEST: f64 = 66.0;
const GAP: f64 = 6.0;
const EDGE: f64 = 8.0;
/// Height of the title with the room below it, and of a caption with the room above it, mm.
const TITLE: f64 = 13.0;
const CAPTION: f64 = 10.5;
/// The shape that a picture comes nearest to: as wide to as high.
const RATIO: f64 = 4.0 / 3.0;
/// What an empty share of the places weighs against a ratio that is off by so much (its logarithm).
const EMPTY: f64 = 1.5;
/// What pages lie on.
const TABLE: Colour = Colour(0xE7, 0xEA, 0xEC);

/// All pages of a document as one PNG, each with its number and title below it and how many times
/// it is to be printed, in rows, in as many columns as bring the picture near to 4:3 and leave few places empty. Every page
/// is as large as its longest side allows, so pages of different papers are not to one scale. The
/// same document gives the same bytes.
///
/// # Errors
/// As [`png::write`] has them: for a resolution out of range, for more pixels than a picture may
/// have (both say what would do), and for pages that cannot be drawn.
pub fn write(document: &Document, dots_per_inch: f64) -> Result<Vec<u8>, PngError> {
    let sheet = sheet(document);
    let dot = MM_PER_INCH / dots_per_inch;
    let mut picture = png::Canvas::new(&sheet.document(document), dots_per_inch)?;
    for (index, area) in sheet.areas.iter().enumerate() {
        // To whole dots, so that every page is sharp at all four sides.
        let near = |length: f64| (length / dot).round().max(0.0) as u32;
        let (left, right) = (near(area.x0), near(area.x1));
        let (top, foot) = (near(sheet.size.1 - area.y1), near(sheet.size.1 - area.y0));
        let size = ((right - left).max(1), (foot - top).max(1));
        picture.paste(&png::pixels(document, index, size)?, size, (left, top));
    }
    picture.encode()
}

/// What is drawn around the pages, and where these lie.
struct Sheet {
    size: (f64, f64),
    areas: Vec<Rect>,
    marks: Vec<Mark>,
}

impl Sheet {
    fn document(&self, about: &Document) -> Document {
        let page = Page::plain((Mm::new(self.size.0), Mm::new(self.size.1)), self.marks.clone());
        let page = Page { label: "1".to_owned(), title: about.title.clone(), ..page };
        Document { title: about.title.clone(), pages: vec![page], ..Document::default() }
    }
}

fn sheet(document: &Document) -> Sheet {
    let sizes: Vec<(f64, f64)> = document.pages.iter().map(small).collect();
    let widest = sizes.iter().map(|size| size.0).fold(1.0, f64::max);
    let highest = sizes.iter().map(|size| size.1).fold(1.0, f64::max);
    let (across, down) = (widest + GAP, highest + CAPTION + GAP);
    let columns = columns(sizes.len(), across, down);
    let rows = sizes.len().div_ceil(columns).max(1);
    let size = (columns as f64 * across - GAP + 2.0 * EDGE, rows as f64 * down - GAP + TITLE + 2.0 * EDGE);
    let mut marks = vec![mark(Shape::Fill { path: Rect::new(0.0, 0.0, size.0, size.1).to_path(0.1), colour: TABLE })];
    marks.extend(head(document, size));
    let mut areas = Vec::new();
    for (index, (page, (w, h))) in document.pages.iter().zip(sizes).enumerate() {
        let middle = EDGE + (index % columns) as f64 * across + widest / 2.0;
        let top = size.1 - EDGE - TITLE - (index / columns) as f64 * down;
        // Pages of one row stand on one line, their captions below it.
        let foot = top - highest;
        let area = Rect::new(middle - w / 2.0, foot, middle + w / 2.0, foot + h);
        let pen = Pen { width: Mm::new(0.3), colour: Colour(0xA6, 0xAC, 0xB0), dashes: Vec::new(), round: false };
        marks.push(mark(Shape::Stroke { path: area.to_path(0.1), pen }));
        marks.extend(caption(page, Point::new(middle - widest / 2.0, foot), widest));
        areas.push(area);
    }
    Sheet { size, areas, marks }
}

/// Width and height of a page on the picture.
fn small(page: &Page) -> (f64, f64) {
    let (w, h) = (page.size.0.get(), page.size.1.get());
    let scale = LONGEST / w.max(h);
    if scale.is_finite() && scale > 0.0 { (w * scale, h * scale) } else { (LONGEST, LONGEST) }
}

/// How many pages stand side by side: near to the wanted ratio, with few places left empty.
fn columns(pages: usize, across: f64, down: f64) -> usize {
    let off = |columns: usize| {
        let rows = pages.div_ceil(columns);
        let ratio = (columns as f64 * across) / (rows as f64 * down);
        let places = columns * rows;
        let empty = (places - pages) as f64 / places as f64;
        (ratio / RATIO).ln().abs() + EMPTY * empty
    };
    // The first of equals: fewest.
    (1..=pages).min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(1)
}

fn head(document: &Document, (width, height): (f64, f64)) -> Vec<Mark> {
    let prints: u64 = document.pages.iter().map(|page| u64::from(page.copies)).sum();
    let counted = |count: u64, word: &str| format!("{count} {word}{}", if count == 1 { "" } else { "s" });
    let pages = document.pages.len() as u64;
    let mut words = counted(pages, "page");
    if prints > pages {
        words += &format!(", {} to print", counted(prints, "sheet"));
    }
    let free = width - 2.0 * EDGE;
    let (title, face) = fitted(document.title.trim(), free, Face::bold(Mm::new(6.0)), style::LEAST);
    let first = text(Point::new(EDGE, height - EDGE - 4.4), title, face, Align::Start);
    let (words, face) = fitted(&words, free, Face::muted(Mm::new(3.2)), style::LEAST);
    vec![first, text(Point::new(EDGE, height - EDGE - 9.2), words, face, Align::Start)]
}

/// Number, copies and title below a page.
fn caption(page: &Page, corner: Point, width: f64) -> Vec<Mark> {
    let bold = Face::bold(Mm::new(3.0));
    let baseline = corner.y - 4.0;
    let (number, face) = fitted(&page.label, 0.6 * width, bold, style::LEAST);
    let mut marks = vec![text(Point::new(corner.x, baseline), number, face, Align::Start)];
    if page.copies > 1 {
        let copies = format!("× {}", page.copies);
        marks.push(text(Point::new(corner.x + width, baseline), copies, bold, Align::End));
    }
    let face = Face::regular(Mm::new(2.5));
    let mut lines = wrapped(page.title.trim(), width, face);
    if lines.len() > 2 {
        let rest = lines.split_off(1).join(" ");
        lines.push(fitted(&rest, width, face, face.size).0);
    }
    for (line, words) in lines.into_iter().enumerate() {
        let below = 3.4 + line as f64 * 3.1;
        marks.push(text(Point::new(corner.x, baseline - below), words, face, Align::Start));
    }
    marks
}

fn mark(shape: Shape) -> Mark {
    Mark { layer: Layer::Artwork, shape }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(title: &str, (width, height): (f64, f64), colour: Colour) -> Page {
        let paper = Rect::new(0.0, 0.0, width, height);
        Page {
            label: title.into(),
            title: format!("Brine hall, sheet {title} of many that have a long title"),
            section: "Card".into(),
            size: (Mm::new(width), Mm::new(height)),
            trim: paper,
            bleed: paper,
            copies: 2,
            marks: vec![mark(Shape::Fill { path: paper.to_path(0.1), colour })],
        }
    }

    /// Every page is where its caption is, whole, and in its own shape.
    #[test]
    fn every_page_is_there_in_its_place() {
        let colour = |i: u8| Colour(40 * i, 10, 255 - 40 * i);
        let sizes = [(210.0, 297.0), (297.0, 210.0), (210.0, 297.0), (508.0, 762.0), (210.0, 297.0)];
        let pages = (1_u8..).zip(sizes).map(|(i, size)| filled(&i.to_string(), size, colour(i))).collect();
        let document = Document { title: "Brinewell".into(), pages, ..Document::default() };
        let file = write(&document, 100.0).unwrap();
        assert_eq!(file, write(&document, 100.0).unwrap());
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
        let mut dots = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut dots).unwrap();
        for (i, (w, h)) in (1_u8..).zip(sizes) {
            let Colour(r, g, b) = colour(i);
            let found: Vec<(u32, u32)> = (0..info.height)
                .flat_map(|y| (0..info.width).map(move |x| (x, y)))
                .filter(|&(x, y)| dots[((y * info.width + x) * 3) as usize..][..3] == [r, g, b])
                .collect();
            let span = |pick: fn(&(u32, u32)) -> u32| {
                let (low, high) = found.iter().map(pick).fold((u32::MAX, 0), |(l, h), v| (l.min(v), h.max(v)));
                f64::from(high - low + 1)
            };
            let (across, down) = (span(|p| p.0), span(|p| p.1));
            assert!((across * down - found.len() as f64).abs() < 1.0, "page {i} is whole");
            assert!((across / down - w / h).abs() < 0.01, "page {i} is {across} x {down}");
            assert!((across.max(down) - LONGEST / MM_PER_INCH * 100.0).abs() <= 1.0);
        }
    }

    #[test]
    fn a_picture_comes_near_four_to_three() {
        assert_eq!((columns(13, 53.0, 83.0), columns(19, 53.0, 83.0)), (5, 7));
        for pages in [1, 2, 5, 19, 60, 1000] {
            let columns = columns(pages, 53.0, 83.0);
            let ratio = columns as f64 * 53.0 / (pages.div_ceil(columns) as f64 * 83.0);
            assert!(pages < 3 || (0.75..2.0).contains(&ratio), "{pages} pages in {columns} columns");
        }
    }

    #[test]
    fn what_is_too_fine_is_refused_with_what_would_do() {
        let pages = vec![filled("1", (210.0, 297.0), Colour::BLACK); 500];
        let document = Document { pages, ..Document::default() };
        assert!(matches!(write(&document, 2000.0), Err(PngError::TooLarge { .. })));
        assert!(matches!(write(&document, 1.0), Err(PngError::Resolution { .. })));
    }
}
