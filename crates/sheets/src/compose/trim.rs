//! Straight cuts through a stack of sheets, numbered in the order to make them.
//!
//! A number stands in its line, which is broken for it; what is drawn of a cut ends at the area for
//! pieces.

use flatwright_geometry::tolerance::SNAP;
use flatwright_geometry::units::{Angle, Mm};
use flatwright_nesting::Cut;
use kurbo::{Affine, Line, Point, Rect, Vec2};

use crate::font;
use crate::furniture::style;
use crate::lines::LineType;
use crate::page::{Align, Layer, Mark, Shape, Text, Weight};

/// Least distance between pieces, so that a number has room between them.
pub(super) const LEAST_GAP: Mm = Mm::new(2.4);
/// Em of a number: its figures are 1.43 mm high, and the least gap is 2.4 mm.
const NUMBER: Mm = Mm::new(2.0);
/// From the end of a line to its number, and around a number, mm.
const START: f64 = 1.5;
const AROUND: f64 = 0.6;
/// Height of figures, ems.
const FIGURES: f64 = 0.714;

/// The packer's cuts, which divide the area for pieces, as cuts of the whole sheet: those that reach
/// the edge of that area reach the edge of the sheet. What is printed there stays with the pieces
/// beside it until these are cut out.
pub(super) fn cuts(size: (Mm, Mm), first: Rect, inner: &[Cut]) -> Vec<Cut> {
    let sheet = Rect::new(0.0, 0.0, size.0.get(), size.1.get());
    let outer = |at: f64, edge: f64, outer: f64| if (at - edge).abs() < SNAP { outer } else { at };
    let whole = |block: Rect| Rect {
        x0: outer(block.x0, first.x0, sheet.x0),
        y0: outer(block.y0, first.y0, sheet.y0),
        x1: outer(block.x1, first.x1, sheet.x1),
        y1: outer(block.y1, first.y1, sheet.y1),
    };
    inner.iter().map(|cut| Cut { block: whole(cut.block), ..*cut }).collect()
}

/// The cuts as lines with their numbers, as far as they lie in `free`.
pub(super) fn marks(cuts: &[Cut], free: Rect) -> Vec<Mark> {
    let lines: Vec<Line> = cuts.iter().map(|cut| clipped(cut.line(), free)).collect();
    let mut numbers: Vec<Rect> = Vec::new();
    let mut marks = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let words = (index + 1).to_string();
        let width = font::measure(&words, NUMBER, Weight::Bold).get();
        let along = (line.p1 - line.p0).normalize();
        let length = line.p0.distance(line.p1);
        // Upright lines are numbered from their upper end, as the sheet is read.
        let upright = along.y.abs() > along.x.abs();
        let place = |step: usize| {
            let start = START + step as f64;
            let middle = start + width / 2.0;
            if upright { length - middle } else { middle }
        };
        let number = |at: f64| number(&words, line.p0 + along * at, upright);
        let clear = |at: &f64| {
            let room = figures(&number(*at)).inflate(0.15, 0.15);
            let others = lines.iter().enumerate().filter(|(other, _)| *other != index);
            !others.map(|(_, line)| bounds(*line)).chain(numbers.iter().copied()).any(|other| overlap(room, other))
        };
        let steps = (length - 2.0 * START - width).max(0.0) as usize;
        let at = (0..=steps).map(place).find(clear).unwrap_or_else(|| place(0));
        let text = number(at);
        numbers.push(figures(&text));
        marks.push(Mark { layer: Layer::Furniture, shape: Shape::Text(text) });
        let half = width / 2.0 + AROUND;
        let ends = [(0.0, at - half), (at + half, length)];
        let parts = ends.into_iter().filter(|(from, to)| to - from > 0.3);
        marks.extend(parts.map(|(from, to)| stroke(Line::new(line.p0 + along * from, line.p0 + along * to))));
    }
    marks
}

/// A number with its middle at `centre`.
fn number(words: &str, centre: Point, upward: bool) -> Text {
    let drop = FIGURES * NUMBER.get() / 2.0;
    let (at, turn) = if upward {
        (centre + Vec2::new(drop, 0.0), Angle::QUARTER)
    } else {
        (centre - Vec2::new(0.0, drop), Angle::ZERO)
    };
    Text {
        at,
        text: words.to_owned(),
        size: NUMBER,
        weight: Weight::Bold,
        align: Align::Middle,
        turn,
        colour: style::INK,
    }
}

/// What a number covers: figures reach neither below their baseline nor above [`FIGURES`].
pub(super) fn figures(number: &Text) -> Rect {
    let width = font::measure(&number.text, number.size, number.weight).get();
    let upright = Rect::new(-width / 2.0, 0.0, width / 2.0, FIGURES * number.size.get());
    (Affine::translate(number.at.to_vec2()) * Affine::rotate(number.turn.radians())).transform_rect_bbox(upright)
}

fn stroke(line: Line) -> Mark {
    let mut path = kurbo::BezPath::new();
    path.move_to(line.p0);
    path.line_to(line.p1);
    let kind = LineType::Trim;
    Mark { layer: kind.layer(), shape: Shape::Stroke { path, pen: kind.pen() } }
}

/// The part of a line along an axis that lies between a rectangle's edges. It is never moved
/// sideways: a cut half a gap beside the last piece may lie a little outside.
fn clipped(line: Line, rect: Rect) -> Line {
    let upright = (line.p1.x - line.p0.x).abs() < (line.p1.y - line.p0.y).abs();
    let within = |p: Point| {
        if upright {
            Point::new(p.x, p.y.clamp(rect.y0, rect.y1))
        } else {
            Point::new(p.x.clamp(rect.x0, rect.x1), p.y)
        }
    };
    Line::new(within(line.p0), within(line.p1))
}

/// What a line covers.
fn bounds(line: Line) -> Rect {
    Rect::from_points(line.p0, line.p1).inflate(0.1, 0.1)
}

fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}
