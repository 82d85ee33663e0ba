//! The head of a booklet's first page: its title, and what it comes to.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect, RoundedRect, Shape as _};

use super::{ACCENT, CAPTION, LEAST, TINT};
use crate::flow::Block;
use crate::furniture::marks::{Face, fitted, text, wrapped};
use crate::page::{Align, Colour, Mark};
use crate::plan_view::symbols::fill;

const FACTS: f64 = 19.0;

/// The title of the first page, under a few words that say what the booklet is.
pub(crate) fn title(kind: &str, title: &str, width: f64) -> Block {
    const LARGE: Face = Face::bold(Mm::new(12.0));
    let kicker = Face { colour: ACCENT, ..Face::bold(Mm::new(4.2)) };
    let mut marks = vec![
        fill(Rect::new(0.0, -1.8, width, 0.0).to_path(0.1), ACCENT),
        text(Point::new(0.0, -9.5), kind, kicker, Align::Start),
    ];
    let mut lines = wrapped(title.trim(), width, LARGE);
    let mut face = LARGE;
    if lines.len() > 2 {
        let (words, smaller) = fitted(title.trim(), width, LARGE, LEAST);
        (lines, face) = (vec![words], smaller);
    }
    let mut y = -11.5;
    for words in lines.into_iter().filter(|words| !words.is_empty()) {
        y -= 1.15 * face.size.get();
        marks.push(text(Point::new(0.0, y + 0.12 * face.size.get()), words, face, Align::Start));
    }
    Block::Drawing { height: 4.5 - y, marks }
}

/// Large figures, each over its caption, in a tinted band; each with its share of the width.
pub(crate) fn facts(entries: impl Iterator<Item = ((String, String), f64)>, width: f64) -> Block {
    let band = RoundedRect::from_rect(Rect::new(0.0, -FACTS, width, 0.0), 2.0).to_path(0.01);
    let mut marks: Vec<Mark> = vec![fill(band, TINT)];
    let mut x = 0.0;
    for ((figure, caption), share) in entries {
        let wide = share * width;
        let middle = x + wide / 2.0;
        let (figure, face) = fitted(&figure, wide - 4.0, Face { colour: ACCENT, ..Face::bold(Mm::new(7.5)) }, LEAST);
        marks.push(text(Point::new(middle, -9.3), figure, face, Align::Middle));
        let (caption, face) = fitted(&caption, wide - 2.0, CAPTION, LEAST);
        marks.push(text(Point::new(middle, -14.8), caption, face, Align::Middle));
        if x > 0.0 {
            marks.push(fill(Rect::new(x - 0.25, -FACTS + 4.0, x + 0.25, -4.0).to_path(0.1), Colour::WHITE));
        }
        x += wide;
    }
    Block::Drawing { height: FACTS, marks }
}
