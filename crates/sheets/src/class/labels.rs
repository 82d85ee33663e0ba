//! A label for every bag, to be cut out: whose it is, what is in it. A kit whose levels are bagged apart
//! has a label for each.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect, Shape as _};

use super::{ClassBook, Content, counted};
use crate::booklet::{ACCENT, Booklet, LEAST};
use crate::furniture::marks::{Face, fitted, text, wrapped};
use crate::lines::LineType;
use crate::page::{Align, Mark, Page, Shape};
use crate::plan_view::symbols::fill;

/// Least width and the height of a label, mm: it lies flat on a small bag.
const LEAST_WIDTH: f64 = 84.0;
const HEIGHT: f64 = 52.0;
const PADDING: f64 = 4.0;
const SMALL: Face = Face::regular(Mm::new(2.5));

/// Pages of labels, numbered on from `first`.
pub(super) fn pages(class: &ClassBook, booklet: &Booklet<'_>, first: usize) -> Vec<Page> {
    let margin = booklet.margin.get();
    let (w, h) = (booklet.size.0.get(), booklet.size.1.get());
    let area = Rect::new(margin, margin, w - margin, h - margin);
    let columns = (area.width() / LEAST_WIDTH).floor().max(1.0);
    let rows = (area.height() / HEIGHT).floor().max(1.0);
    let width = (area.width() / columns).min(1.35 * LEAST_WIDTH);
    let per_page = (columns * rows) as usize;
    let bags = held(class);
    // A kit's labels follow each other.
    let all: Vec<(usize, usize)> =
        (0..class.kits.len()).flat_map(|kit| (0..bags.len()).map(move |bag| (kit, bag))).collect();
    let number = all.len().div_ceil(per_page);
    let page = |(index, labels): (usize, &[(usize, usize)])| {
        let mut marks = Vec::new();
        for (place, &(kit, bag)) in labels.iter().enumerate() {
            let (column, row) = (place % columns as usize, place / columns as usize);
            let x0 = area.x0 + column as f64 * width;
            let y1 = area.y1 - row as f64 * HEIGHT;
            let bag = Bag { number: bag + 1, of: bags.len(), index: bags[bag] };
            marks.extend(label(class, kit, bag, Rect::new(x0, y1 - HEIGHT, x0 + width, y1)));
        }
        Page {
            label: (first + index + 1).to_string(),
            title: format!("Labels for bags, page {} of {number}", index + 1),
            section: "Labels".to_owned(),
            ..Page::plain(booklet.size, marks)
        }
    };
    all.chunks(per_page.max(1)).enumerate().map(page).collect()
}

/// One of a kit's bags.
#[derive(Clone, Copy)]
struct Bag {
    /// Which, from 1, and of how many.
    number: usize,
    of: usize,
    /// Index into [`ClassBook::bags`].
    index: usize,
}

/// The bags of a kit that hold anything: indices into [`ClassBook::bags`]. One where a kit is one bag.
pub(super) fn held(class: &ClassBook) -> Vec<usize> {
    let holds = |bag: &usize| class.contents.iter().any(|content| content.bag == *bag && content.count > 0);
    let bags: Vec<usize> = (0..class.bags.len()).filter(holds).collect();
    if bags.is_empty() { vec![0] } else { bags }
}

fn label(class: &ClassBook, kit: usize, bag: Bag, area: Rect) -> Vec<Mark> {
    let (name, contents) = (&class.kits[kit], class.contents.iter().filter(|content| content.bag == bag.index));
    let contents: Vec<&Content> = contents.collect();
    let edge = Shape::Stroke { path: area.to_path(0.1), pen: LineType::Cut.pen() };
    let mut marks = vec![Mark { layer: LineType::Cut.layer(), shape: edge }];
    let inner = area.inset(-PADDING);
    marks.push(fill(Rect::new(inner.x0, inner.y1 - 1.4, inner.x1, inner.y1).to_path(0.1), ACCENT));
    let of = format!("kit {} of {}", kit + 1, class.kits.len());
    let muted = Face::muted(Mm::new(2.8));
    let (title, face) = fitted(class.title.trim(), inner.width() - muted.width(&of) - 4.0, muted, LEAST);
    let mut y = inner.y1 - 5.0;
    marks.push(text(Point::new(inner.x0, y), title, face, Align::Start));
    marks.push(text(Point::new(inner.x1, y), of, muted, Align::End));
    y -= 9.6;
    let (name, face) = fitted(name, inner.width(), Face::bold(Mm::new(9.0)), LEAST);
    marks.push(text(Point::new(inner.x0, y), name, face, Align::Start));
    y -= 5.0;
    if let Some(level) = class.bags.get(bag.index) {
        let of = format!("bag {} of {}", bag.number, bag.of);
        let (level, face) = fitted(level, inner.width() - muted.width(&of) - 4.0, Face::bold(Mm::new(3.6)), LEAST);
        marks.push(text(Point::new(inner.x0, y), level, face, Align::Start));
        marks.push(text(Point::new(inner.x1, y), of, muted, Align::End));
        y -= 4.6;
    }
    let warn = contents.iter().any(|content| content.small);
    let foot = if warn { SMALL.leading() + 1.0 } else { 0.0 };
    let room = ((y - inner.y0 - foot) / SMALL.leading()).floor().max(1.0) as usize;
    for words in lines(&contents, inner.width(), room) {
        marks.push(text(Point::new(inner.x0, y), words, SMALL, Align::Start));
        y -= SMALL.leading();
    }
    if warn {
        let words = "▲ Small parts: not for children under three.";
        marks.push(text(Point::new(inner.x0, inner.y0), words, Face::bold(SMALL.size), Align::Start));
    }
    marks
}

/// What is in the bag in so many lines; where that is too little room, how much there is.
fn lines(contents: &[&Content], width: f64, room: usize) -> Vec<String> {
    let held = contents.iter().filter(|content| content.count > 0);
    // No-break spaces keep a name and its number on one line.
    let all: Vec<String> = held.map(|content| format!("{}\u{a0}×\u{a0}{}", content.id, content.count)).collect();
    let lines = wrapped(&all.join(", "), width, SMALL);
    if lines.len() <= room {
        return lines;
    }
    let pieces: u64 = contents.iter().map(|content| u64::from(content.count)).sum();
    let words =
        format!("{} of {}: see the list of the bags.", counted(pieces, "piece"), counted(all.len() as u64, "kind"));
    wrapped(&words, width, SMALL).into_iter().take(room).collect()
}
