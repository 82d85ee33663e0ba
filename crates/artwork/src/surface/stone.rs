//! One stone, brick or board: its outline made rough and round, its tone, its lit sides.

use kurbo::{BezPath, Circle, Point, Shape as _, Vec2};

use super::{Bevel, Grain, Pins};
use crate::chance::Chance;
use crate::colour::Colour;
use crate::swatch::Element;

/// Direction towards the light: the upper left.
pub(super) const LIGHT: Vec2 = Vec2::new(-0.55, 0.83);

/// How a stone is finished.
pub(super) struct Finish<'a> {
    pub tones: &'a [Colour],
    pub mottle: f64,
    pub bevel: Option<Bevel>,
    /// Direction towards the light.
    pub light: Vec2,
}

/// The elements of a stone with the convex counterclockwise `outline`, its corners cut by curves
/// that begin `corner` mm before them (at most half a side).
pub(super) fn stone(outline: &[Point], corner: f64, finish: &Finish<'_>, chance: &mut Chance) -> Vec<Element> {
    let Some(tone) = chance.one_of(finish.tones) else { return Vec::new() };
    let tone = tone.shaded(chance.between(-finish.mottle, finish.mottle));
    let mut elements = vec![Element::fill(rounded(outline, corner), tone)];
    if let Some(bevel) = finish.bevel {
        elements.extend(lit(outline, corner, (tone, bevel), finish.light));
    }
    elements
}

/// The tone of a stone's own first element.
pub(super) fn tone_of(elements: &[Element]) -> Option<Colour> {
    elements.first().map(|element| element.paint.colour())
}

/// A rectangle from (x0, y0) to (x1, y1) whose sides stray inward by up to `rough`.
pub(super) fn rough_box((x0, y0): (f64, f64), (x1, y1): (f64, f64), rough: f64, chance: &mut Chance) -> Vec<Point> {
    let mut inward = || chance.between(0.0, rough);
    // One point off the middle of each long side keeps the outline convex only by luck; four
    // corners do not need that luck.
    vec![
        Point::new(x0 + inward(), y0 + inward()),
        Point::new(x1 - inward(), y0 + inward()),
        Point::new(x1 - inward(), y1 - inward()),
        Point::new(x0 + inward(), y1 - inward()),
    ]
}

/// Grain lines along x inside the box of a board.
pub(super) fn grain(outline: &[Point], grain: Grain, tone: Colour, chance: &mut Chance) -> Vec<Element> {
    let (low, high) = inner_box(outline);
    let colour = tone.shaded(-grain.shade);
    let lines = (0..grain.lines).filter_map(|i| {
        let lane = (high.y - low.y) / f64::from(grain.lines);
        let y = low.y + (f64::from(i) + chance.between(0.3, 0.7)) * lane;
        let length = high.x - low.x;
        let (from, to) = (low.x + length * chance.between(0.03, 0.35), high.x - length * chance.between(0.03, 0.35));
        let sway = lane * chance.between(-0.25, 0.25);
        (to - from > 1.0).then(|| {
            let mut path = BezPath::new();
            path.move_to((from, y));
            path.quad_to(((from + to) / 2.0, y + sway), (to, y));
            Element::line(path, colour, grain.width).as_detail()
        })
    });
    lines.collect()
}

/// Two dots near either end of a board.
pub(super) fn pins(outline: &[Point], pins: Pins) -> Vec<Element> {
    let (low, high) = inner_box(outline);
    let (inset, third) = (2.5 * pins.radius + 0.4, (high.y - low.y) / 3.2);
    if high.x - low.x < 4.0 * inset {
        return Vec::new();
    }
    let dots = [low.x + inset, high.x - inset].into_iter().flat_map(|x| [(x, low.y + third), (x, high.y - third)]);
    dots.map(|at| Element::fill(Circle::new(at, pins.radius).to_path(0.01), pins.tone)).collect()
}

/// The largest axis-parallel box spanned by the inner ones of the corners of a rough box.
fn inner_box(outline: &[Point]) -> (Point, Point) {
    let mut x: Vec<f64> = outline.iter().map(|p| p.x).collect();
    let mut y: Vec<f64> = outline.iter().map(|p| p.y).collect();
    x.sort_by(f64::total_cmp);
    y.sort_by(f64::total_cmp);
    let (low, high) = (outline.len() / 2 - 1, outline.len() / 2);
    (Point::new(x[low], y[low]), Point::new(x[high], y[high]))
}

/// The outline with curves for corners.
fn rounded(outline: &[Point], corner: f64) -> BezPath {
    let mut path = BezPath::new();
    for_corners(outline, corner, |first, from, at, to| {
        if first {
            path.move_to(from);
        } else {
            path.line_to(from);
        }
        path.quad_to(at, to);
    });
    path.close_path();
    path
}

/// Calls with every corner and where its curve begins and ends.
fn for_corners(outline: &[Point], corner: f64, mut each: impl FnMut(bool, Point, Point, Point)) {
    let n = outline.len();
    for i in 0..n {
        let (before, at, after) = (outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]);
        let step = |to: Point| {
            let along = to - at;
            let length = along.hypot();
            if length > 0.0 { at + along * (corner.min(length / 2.0) / length) } else { at }
        };
        each(i == 0, step(before), at, step(after));
    }
}

/// Lines just inside the sides that face the light, and those that face away.
fn lit(outline: &[Point], corner: f64, (tone, bevel): (Colour, Bevel), light: Vec2) -> Vec<Element> {
    let middle = outline.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2()) / outline.len() as f64;
    let size = outline.iter().map(|p| (p.to_vec2() - middle).hypot()).fold(0.0, f64::max);
    // Towards the middle by half the width, so that the line stays on the stone.
    let share = 1.0 - (bevel.width * 0.75 / size.max(bevel.width)).min(0.5);
    let inner: Vec<Point> = outline.iter().map(|p| (middle + (p.to_vec2() - middle) * share).to_point()).collect();
    let n = inner.len();
    let faces = |i: usize| {
        let side = inner[(i + 1) % n] - inner[i];
        Vec2::new(side.y, -side.x).dot(light) > 0.0
    };
    let mut corners = Vec::with_capacity(n);
    for_corners(&inner, corner, |_, from, at, to| corners.push((from, at, to)));
    [(true, bevel.light), (false, -bevel.shade)]
        .into_iter()
        .filter(|(_, by)| by.abs() > 0.0)
        .filter_map(|(lit, by)| {
            let mut path = BezPath::new();
            // Sides of one kind follow each other in a convex outline: start where the kind begins.
            let start = (0..n).find(|&i| faces(i) == lit && faces((i + n - 1) % n) != lit)?;
            path.move_to(corners[start].2);
            for i in (start..start + n).take_while(|&i| faces(i % n) == lit) {
                let (from, at, to) = corners[(i + 1) % n];
                path.line_to(from);
                if faces((i + 1) % n) == lit {
                    path.quad_to(at, to);
                }
            }
            Some(Element::line(path, tone.shaded(by), bevel.width).as_detail())
        })
        .collect()
}
