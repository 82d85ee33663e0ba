//! Items in every turn that differs, in whole units of 1e-6 mm.
//!
//! Whole numbers make equal positions equal: the same contact is computed once, and a row of
//! pieces does not drift. Lengths are rounded up and rooms down, so rounding never cheats.

use flatwright_geometry::tolerance;
use kurbo::{Point, Rect, Vec2};

use super::{convex, tuning};
use crate::job::Job;
use crate::layout::Placement;

/// A point or size in units, x then y.
pub(super) type Units = [i64; 2];

const PER_MM: f64 = 1e6;
/// Part of a unit that counts as noise of the computation, not as length.
const NOISE: f64 = 10.0 * tolerance::ROUNDING * PER_MM;

/// Millimetres to units, rounded up.
pub(super) fn up(mm: f64) -> i64 {
    (mm * PER_MM - NOISE).ceil() as i64
}

/// Millimetres to units, rounded down.
pub(super) fn down(mm: f64) -> i64 {
    (mm * PER_MM + NOISE).floor() as i64
}

/// Millimetres to the nearest unit.
pub(super) fn units(mm: f64) -> i64 {
    (mm * PER_MM).round() as i64
}

/// Units to millimetres.
pub(super) fn mm(units: i64) -> f64 {
    units as f64 / PER_MM
}

/// The corners of a free area, rounded inward.
pub(super) fn room(free: Rect) -> (Units, Units) {
    ([up(free.x0), up(free.y0)], [down(free.x1), down(free.y1)])
}

/// One item in one turn, its box's lower left corner at the origin.
pub(super) struct Shape {
    pub(super) item: usize,
    quarter_turns: u8,
    /// From the turned outline to this shape, mm.
    origin: Vec2,
    pub(super) size: Units,
    /// The outline as it is, counterclockwise, mm.
    pub(super) corners: Vec<Point>,
    /// Convex parts, mm: those of the outline, or of a larger one where it has many reflex corners.
    pub(super) parts: Vec<Vec<Point>>,
}

impl Shape {
    /// The placement that puts the box's lower left corner at `at`.
    pub(super) fn placement(&self, at: Units) -> Placement {
        let shift = Vec2::new(mm(at[0]), mm(at[1])) + self.origin;
        Placement { item: self.item, quarter_turns: self.quarter_turns, shift }
    }
}

/// All shapes of a job.
pub(super) struct Shapes {
    pub(super) list: Vec<Shape>,
    /// Shapes of each item.
    pub(super) of_item: Vec<Vec<usize>>,
    /// Whether any side is neither upright nor level.
    pub(super) slanted: bool,
}

impl Shapes {
    pub(super) fn new(job: &Job) -> Self {
        let mut shapes = Self { list: Vec::new(), of_item: Vec::new(), slanted: false };
        for (item, wanted) in job.items().iter().enumerate() {
            let mut seen: Vec<Vec<Point>> = Vec::new();
            let mut own = Vec::new();
            for quarter_turns in (0..4).filter(|&q| wanted.turns.allows(q)) {
                let still = Placement { item, quarter_turns, shift: Vec2::ZERO };
                let turned = wanted.outline.moved(still.motion());
                let bounds = turned.bounds();
                let origin = -bounds.origin().to_vec2();
                let points: Vec<Point> = turned.points().iter().map(|p| *p + origin).collect();
                if seen.iter().any(|other| same(other, &points)) {
                    continue;
                }
                shapes.slanted |= turned
                    .sides()
                    .any(|(a, b)| (a.x - b.x).abs() > tolerance::SNAP && (a.y - b.y).abs() > tolerance::SNAP);
                own.push(shapes.list.len());
                let size = [up(bounds.width()), up(bounds.height())];
                seen.push(points.clone());
                shapes.list.push(Shape {
                    item,
                    quarter_turns,
                    origin,
                    size,
                    parts: convex::parts(&convex::filled(&points, tuning::REFLEX_CORNERS)),
                    corners: points,
                });
            }
            shapes.of_item.push(own);
        }
        shapes
    }
}

/// Contours begin at a fixed corner, so equal shapes have equal lists.
fn same(a: &[Point], b: &[Point]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(p, q)| p.distance(*q) <= tolerance::SNAP)
}
