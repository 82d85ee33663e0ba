//! One shape as a piece of a jigsaw: its lowest corner, and the directions it covers at a point.

use std::f64::consts::{PI, TAU};

use flatwright_geometry::tolerance;
use kurbo::{Point, Vec2};

use super::shapes::{Units, mm, units};

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
    /// The tile of a shape, from its counterclockwise corners with the box's lower left one at the origin.
    pub(super) fn new(index: usize, corners: Vec<Point>) -> Self {
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
            size: corners.iter().fold(Vec2::ZERO, |s, p| Vec2::new(s.x.max(p.x), s.y.max(p.y))),
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

#[cfg(test)]
mod tests {
    use super::*;

    fn tile(corners: &[(f64, f64)]) -> Tile {
        Tile::new(0, corners.iter().copied().map(Point::from).collect())
    }

    fn degrees(tile: &Tile, x: f64, y: f64) -> Vec<(i32, i32)> {
        let whole = |angle: f64| angle.to_degrees().round() as i32;
        tile.sectors(Point::new(x, y)).iter().flatten().map(|s| (whole(s.from), whole(s.to))).collect()
    }

    #[test]
    fn directions_that_are_covered_are_those_of_the_outline() {
        // A square with a notch in its top.
        let notched = tile(&[(0., 0.), (4., 0.), (4., 4.), (3., 4.), (2., 3.), (1., 4.), (0., 4.)]);
        assert_eq!(degrees(&notched, 0., 0.), [(0, 90)]);
        assert_eq!(degrees(&notched, 2., 0.), [(0, 180)]);
        assert_eq!(degrees(&notched, 4., 0.), [(90, 180)]);
        assert_eq!(degrees(&notched, 4., 2.), [(90, 180)]);
        assert_eq!(degrees(&notched, 0., 2.), [(0, 90)]);
        assert_eq!(degrees(&notched, 2., 3.), [(135, 180), (0, 45)]);
        assert_eq!(degrees(&notched, 3.5, 4.), []);
        assert_eq!(degrees(&notched, 9., 9.), []);
    }

    #[test]
    fn the_lowest_corner_and_the_faces_are_found() {
        let tile = tile(&[(2., 0.), (5., 1.), (5., 3.), (0., 3.)]);
        assert_eq!(tile.base, [-2_000_000, 0]);
        assert!((tile.lower - (1.0_f64 / 3.0).atan()).abs() < 1e-12);
        assert!((tile.wide + tile.lower - (PI - 1.5_f64.atan())).abs() < 1e-12);
        assert_eq!(tile.faces.each_ref().map(Vec::len), [1, 1, 0, 0]);
        assert_eq!(tile.ledge(Point::new(0., 3.)), Some(5.0));
        assert_eq!(tile.ledge(Point::new(1., 3.)), None);
        assert!((tile.area - 10.5).abs() < 1e-12);
    }

    #[test]
    fn pieces_that_touch_are_separate_and_others_are_not() {
        let square: Vec<Point> = [(0., 0.), (2., 0.), (2., 2.), (0., 2.)].map(Point::from).to_vec();
        let near = |x: f64| separate(&square, &square, Vec2::new(x, 1.0));
        assert!(near(2.0) && near(2.0 - 0.9 * SLACK) && near(-2.0));
        assert!(!near(2.0 - 1.1 * SLACK) && !near(0.0));
    }
}
