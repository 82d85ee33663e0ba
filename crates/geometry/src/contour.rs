//! Closed polygons, checked when they are made.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};
use serde::{Serialize, Serializer};

use crate::tolerance;
use crate::units::snapped;

/// Why a list of points is not a contour.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ContourError {
    /// A coordinate that is infinite or not a number.
    #[error("point {0} is not finite")]
    NotFinite(usize),
    /// Fewer than three points are left when repeated and straight-through ones are dropped.
    #[error("fewer than three corners")]
    TooFewCorners,
    /// Two sides cross or touch.
    #[error("sides {0} and {1} cross or touch")]
    Crosses(usize, usize),
}

/// A closed, simple polygon: its sides neither cross nor touch. Millimetres, y up.
///
/// The corners run counterclockwise, begin at the lowest (then leftmost) corner, lie on the
/// snapping grid, and none is repeated or straight through: equal shapes have equal corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    points: Vec<Point>,
}

impl Contour {
    /// The contour through `points` (either direction, first point not repeated at the end).
    ///
    /// # Errors
    /// [`ContourError`] where a point is not finite, fewer than three corners remain, or two
    /// sides cross or touch.
    pub fn new(points: impl IntoIterator<Item = Point>) -> Result<Self, ContourError> {
        let points: Vec<Point> = points.into_iter().collect();
        if let Some(bad) = points.iter().position(|p| !p.is_finite()) {
            return Err(ContourError::NotFinite(bad));
        }
        let contour = Self::normal(points).ok_or(ContourError::TooFewCorners)?;
        match contour.first_crossing() {
            Some((a, b)) => Err(ContourError::Crosses(a, b)),
            None => Ok(contour),
        }
    }

    /// The contour through points that a boolean operation or an offset has just made simple.
    /// `None` where nothing of it is left on the snapping grid.
    pub(crate) fn normal(points: Vec<Point>) -> Option<Self> {
        let mut points: Vec<Point> = points.into_iter().map(|p| Point::new(snapped(p.x), snapped(p.y))).collect();
        drop_needless(&mut points);
        if points.len() < 3 {
            return None;
        }
        if signed_area(&points) < 0.0 {
            points.reverse();
        }
        let first = (0..points.len()).min_by(|&a, &b| {
            let (a, b) = (points[a], points[b]);
            a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x))
        })?;
        points.rotate_left(first);
        Some(Self { points })
    }

    /// An axis-parallel rectangle. `None` where it has no area on the snapping grid.
    #[must_use]
    pub fn rectangle(rect: Rect) -> Option<Self> {
        Self::normal(vec![
            Point::new(rect.x0, rect.y0),
            Point::new(rect.x1, rect.y0),
            Point::new(rect.x1, rect.y1),
            Point::new(rect.x0, rect.y1),
        ])
    }

    /// The first subpath of `path`, curves flattened to [`tolerance::CHORD`].
    ///
    /// # Errors
    /// As [`Contour::new`].
    pub fn flattened(path: &BezPath) -> Result<Self, ContourError> {
        let mut points = Vec::new();
        kurbo::flatten(path, tolerance::CHORD, |element| match element {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
            _ => {}
        });
        Self::new(points)
    }

    /// The corners, counterclockwise.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The sides as pairs of corners.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let n = self.points.len();
        (0..n).map(move |i| (self.points[i], self.points[(i + 1) % n]))
    }

    /// The enclosed area, mm², always positive.
    #[must_use]
    pub fn area(&self) -> f64 {
        signed_area(&self.points)
    }

    /// The length of all sides, mm.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.sides().map(|(a, b)| a.distance(b)).sum()
    }

    /// The smallest axis-parallel rectangle around it.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        let first = self.points[0];
        self.points.iter().fold(Rect::from_points(first, first), |bounds, p| bounds.union_pt(*p))
    }

    /// As a kurbo path.
    #[must_use]
    pub fn path(&self) -> BezPath {
        let mut path = BezPath::new();
        for (i, point) in self.points.iter().enumerate() {
            if i == 0 { path.move_to(*point) } else { path.line_to(*point) }
        }
        path.close_path();
        path
    }

    /// The contour under a motion or a reflection. A motion keeps it simple, so nothing is checked.
    #[must_use]
    pub fn moved(&self, motion: Affine) -> Self {
        let points: Vec<Point> = self.points.iter().map(|p| motion * *p).collect();
        Self::normal(points).unwrap_or_else(|| self.clone())
    }

    /// Whether `point` is inside (or on a side, within rounding, undefined).
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        self.path().winding(point) != 0
    }

    /// The first two sides that cross or touch, not counting the corner that neighbours share.
    #[must_use]
    pub fn first_crossing(&self) -> Option<(usize, usize)> {
        let sides: Vec<(Point, Point)> = self.sides().collect();
        let n = sides.len();
        for i in 0..n {
            for j in i + 1..n {
                let neighbours = j == i + 1 || (i == 0 && j == n - 1);
                if !neighbours && segments_meet(sides[i], sides[j]) {
                    return Some((i, j));
                }
            }
        }
        None
    }
}

impl Serialize for Contour {
    /// A list of `[x, y]` in millimetres.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.points.iter().map(|p| [p.x, p.y]))
    }
}

/// Twice-signed-area halves: positive for a counterclockwise polygon, mm².
fn signed_area(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].to_vec2().cross(points[(i + 1) % n].to_vec2())).sum::<f64>() / 2.0
}

/// Drops corners that repeat their neighbour or lie straight between their neighbours.
fn drop_needless(points: &mut Vec<Point>) {
    loop {
        let n = points.len();
        if n < 3 {
            return;
        }
        let needless = (0..n).find(|&i| {
            let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
            let (before, after) = (b - a, c - b);
            // Off the chord by less than the grid, or a spike that turns straight back.
            before.hypot() < tolerance::SNAP / 2.0
                || before.cross(after).abs() <= tolerance::SNAP * (c - a).hypot().max(tolerance::SNAP)
        });
        match needless {
            Some(i) => drop(points.remove(i)),
            None => return,
        }
    }
}

/// Whether two closed segments share a point.
fn segments_meet((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| {
        let cross = (q - p).cross(r - p);
        if cross.abs() <= tolerance::ROUNDING { 0.0 } else { cross.signum() }
    };
    let within = |p: Point, q: Point, r: Point| {
        r.x >= p.x.min(q.x) && r.x <= p.x.max(q.x) && r.y >= p.y.min(q.y) && r.y <= p.y.max(q.y)
    };
    let (s1, s2, s3, s4) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
    (s1 * s2 < 0.0 && s3 * s4 < 0.0)
        || (s1 == 0.0 && within(a, b, c))
        || (s2 == 0.0 && within(a, b, d))
        || (s3 == 0.0 && within(c, d, a))
        || (s4 == 0.0 && within(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bow_tie_is_refused() {
        let points = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)].map(Point::from);
        assert!(matches!(Contour::new(points), Err(ContourError::Crosses(..))));
    }

    #[test]
    fn equal_shapes_have_equal_corners() {
        let a = Contour::new([(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)].map(Point::from)).unwrap();
        let b = Contour::new([(4.0, 3.0), (4.0, 0.0), (2.0, 0.0), (0.0, 0.0), (0.0, 3.0)].map(Point::from)).unwrap();
        assert_eq!(a, b);
        approx::assert_relative_eq!(a.area(), 12.0);
        approx::assert_relative_eq!(a.perimeter(), 14.0);
    }

    #[test]
    fn a_line_and_a_bad_number_are_refused() {
        let line = [(0.0, 0.0), (4.0, 0.0), (8.0, 0.0)].map(Point::from);
        assert_eq!(Contour::new(line), Err(ContourError::TooFewCorners));
        let bad = [(0.0, 0.0), (f64::NAN, 0.0), (8.0, 1.0)].map(Point::from);
        assert_eq!(Contour::new(bad), Err(ContourError::NotFinite(1)));
    }
}
