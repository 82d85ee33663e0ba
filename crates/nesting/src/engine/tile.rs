//! One shape as a piece of a jigsaw: its lowest corner, and the directions it covers at a point.

use std::f64::consts::{PI, TAU};

use flatwright_geometry::tolerance;
use kurbo::{Point, Vec2};

use super::shapes::{Shape, Units, mm, units};

/// How deep two pieces may reach into each other, or a piece beyond the room, mm. Pieces whose
/// corners were rounded to a grid leave such overlaps; the checker grants ten times as much.
pub(super) const SLACK: f64 = tolerance::FIT / 10.0;
/// Directions that differ by less are the same, radians: below the angle between any two
/// different directions on a millimetre grid of 1 m, above what rounding does to a side of 1 mm.
pub(super) const ANGLE: f64 = 1e-6;

pub(super) struct Tile {
    pub(super) shape: usize,
    /// Seen from the lower left corner of the box, mm.
    pub(super) corners: Vec<Point>,
    /// The box's lower left corner seen from the lowest corner, units.
    pub(super) base: Units,
    /// Direction of the side that leaves the lowest corner, 0 to pi.
    pub(super) lower: f64,
    /// Angle between the sides at the lowest corner.
    pub(super) wide: f64,
    /// Length of the side that leaves the lowest corner, mm.
    pub(super) side: f64,
    pub(super) area: f64,
    pub(super) size: Vec2,
    /// Upright and level sides by where they face: right, up, left, down.
    pub(super) faces: [Vec<Face>; 4],
}

/// A side along an axis: where it lies across that axis, and from where to where along it, mm.
#[derive(Clone, Copy)]
pub(super) struct Face {
    pub(super) at: f64,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Tile {
    pub(super) fn new(index: usize, shape: &Shape) -> Self {
        let corners = shape.corners.clone();
        let n = corners.len();
        let lowest = (0..n).reduce(|a, b| if after(corners[a], corners[b]) { b } else { a }).unwrap_or(0);
        let corner = corners[lowest];
        let (out, back) = (corners[(lowest + 1) % n] - corner, corners[(lowest + n - 1) % n] - corner);
        let lower = direction(out);
        let area = (0..n).map(|i| corners[i].to_vec2().cross(corners[(i + 1) % n].to_vec2())).sum::<f64>() / 2.0;
        Self {
            shape: index,
            base: [-units(corner.x), -units(corner.y)],
            lower,
            wide: turn(lower, direction(back)),
            side: out.hypot(),
            area,
            size: Vec2::new(mm(shape.size[0]), mm(shape.size[1])),
            faces: faces(&corners),
            corners,
        }
    }

    /// The lower left corner of the box where the lowest corner lies at `point`.
    pub(super) fn corner(&self, point: Point) -> Point {
        Point::new(mm(units(point.x) + self.base[0]), mm(units(point.y) + self.base[1]))
    }

    pub(super) fn is_rectangle(&self) -> bool {
        self.faces.iter().all(|f| f.len() == 1) && self.corners.len() == 4
    }

    /// The directions from 0 to pi that are covered at `p`: a notch leaves two ranges.
    pub(super) fn sectors(&self, p: Point) -> [Option<Sector>; 2] {
        let n = self.corners.len();
        for i in 0..n {
            let corner = self.corners[i];
            if corner.distance(p) <= SLACK {
                let (out, back) = (self.corners[(i + 1) % n] - corner, self.corners[(i + n - 1) % n] - corner);
                let from = direction(out);
                return Sector::above(from, turn(from, direction(back)), back.hypot());
            }
        }
        for i in 0..n {
            let (a, b) = (self.corners[i], self.corners[(i + 1) % n]);
            let along = b - a;
            let length = along.hypot();
            let t = (p - a).dot(along) / length;
            if t > 0.0 && t < length && ((p - a).cross(along) / length).abs() <= SLACK {
                return Sector::above(direction(along), PI, t);
            }
        }
        [None, None]
    }

    /// The length of the level side that begins, going right, at `p`.
    pub(super) fn ledge(&self, p: Point) -> Option<f64> {
        let begins = |f: &&Face| (f.at - p.y).abs() <= SLACK && (f.from - p.x).abs() <= SLACK;
        self.faces[1].iter().find(begins).map(|f| f.to - f.from)
    }
}

/// Directions covered by one piece, from and to, and the length of its side along `to`.
pub(super) struct Sector {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) side: f64,
}

impl Sector {
    /// What lies between 0 and pi of the directions from `from` on over the angle `wide`.
    fn above(from: f64, wide: f64, side: f64) -> [Option<Self>; 2] {
        let first = (from < PI - ANGLE).then(|| Self { from, to: (from + wide).min(PI), side });
        let again = (from + wide > TAU + ANGLE).then_some(Self { from: 0.0, to: from + wide - TAU, side });
        [first, again]
    }
}

/// Whether `a` comes after `b`: higher, or as high and further right.
pub(super) fn after(a: Point, b: Point) -> bool {
    if (a.y - b.y).abs() <= SLACK { a.x > b.x + SLACK } else { a.y > b.y }
}

/// The direction of `v`, 0 to a full turn; a hair below the level is the level.
pub(super) fn direction(v: Vec2) -> f64 {
    let angle = v.atan2();
    if angle < -ANGLE { angle + TAU } else { angle.max(0.0) }
}

/// From one direction counterclockwise to another.
pub(super) fn turn(from: f64, to: f64) -> f64 {
    if to > from { to - from } else { to - from + TAU }
}

/// Whether convex `a`, moved by `shift`, reaches no deeper than [`SLACK`] into convex `b`.
pub(super) fn separate(a: &[Point], b: &[Point], shift: Vec2) -> bool {
    let split = |of: &[Point], other: &[Point], shift: Vec2| {
        (0..of.len()).any(|i| {
            let (p, q) = (of[i], of[(i + 1) % of.len()]);
            let along = q - p;
            let limit = SLACK * along.hypot();
            other.iter().all(|r| along.cross(*r + shift - p) <= limit)
        })
    };
    split(b, a, shift) || split(a, b, -shift)
}

/// Upright and level sides of a counterclockwise outline, by where they face: right, up, left, down.
fn faces(corners: &[Point]) -> [Vec<Face>; 4] {
    let mut faces: [Vec<Face>; 4] = Default::default();
    for (i, a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % corners.len()];
        let along = b - *a;
        if along.x.abs() <= SLACK {
            let way = if along.y > 0.0 { 0 } else { 2 };
            faces[way].push(Face { at: a.x, from: a.y.min(b.y), to: a.y.max(b.y) });
        } else if along.y.abs() <= SLACK {
            let way = if along.x < 0.0 { 1 } else { 3 };
            faces[way].push(Face { at: a.y, from: a.x.min(b.x), to: a.x.max(b.x) });
        }
    }
    faces
}
