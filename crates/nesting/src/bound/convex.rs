//! Outlines as convex parts, and sums of those.

use kurbo::{Point, Rect, Vec2};

/// Corners up to which an outline is taken apart; one with more is stood for by its inner rectangle.
pub(super) const CORNERS: usize = 160;

/// A convex polygon, counterclockwise.
#[derive(Clone)]
pub(super) struct Convex {
    pub points: Vec<Point>,
    pub bounds: Rect,
}

impl Convex {
    fn new(points: Vec<Point>) -> Self {
        let bounds = points.iter().fold(Rect::from_points(points[0], points[0]), |r, p| r.union_pt(*p));
        Self { points, bounds }
    }

    /// All differences between a point of `b`'s and one of `a`'s mirror image: the shifts of `b`
    /// that make it meet `a`.
    pub(super) fn meeting(a: &Self, b: &Self) -> Self {
        let mirrored: Vec<Point> = b.points.iter().map(|p| Point::new(-p.x, -p.y)).collect();
        let (a, b) = (from_lowest(&a.points), from_lowest(&mirrored));
        let (mut i, mut j) = (0, 0);
        let mut points = Vec::with_capacity(a.len() + b.len());
        while i < a.len() || j < b.len() {
            points.push(a[i % a.len()] + b[j % b.len()].to_vec2());
            let side = |p: &[Point], k: usize| p[(k + 1) % p.len()] - p[k % p.len()];
            let turn = side(&a, i).cross(side(&b, j));
            if j == b.len() || (i < a.len() && turn > 0.0) {
                i += 1;
            } else if i == a.len() || turn < 0.0 {
                j += 1;
            } else {
                i += 1;
                j += 1;
            }
        }
        Self::new(points)
    }

    /// Whether every point of `cell` lies within `reach` of it.
    pub(super) fn covers(&self, cell: Rect, reach: f64) -> bool {
        let b = self.bounds.inflate(reach, reach);
        b.x0 <= cell.x0
            && b.y0 <= cell.y0
            && b.x1 >= cell.x1
            && b.y1 >= cell.y1
            && corners(cell).iter().all(|&p| self.within(p, reach))
    }

    /// Whether a point of `cell` may lie within `reach` of it. Never wrong where it says no.
    pub(super) fn may_touch(&self, cell: Rect, reach: f64) -> bool {
        let b = self.bounds.inflate(reach, reach);
        if b.x0 > cell.x1 || b.y0 > cell.y1 || b.x1 < cell.x0 || b.y1 < cell.y0 {
            return false;
        }
        let cell = corners(cell);
        !self.sides().any(|(p, q)| {
            let side = q - p;
            let out = -reach * side.hypot();
            cell.iter().all(|&c| side.cross(c - p) < out)
        })
    }

    fn within(&self, p: Point, reach: f64) -> bool {
        if self.sides().all(|(a, b)| (b - a).cross(p - a) >= 0.0) {
            return true;
        }
        reach > 0.0 && self.sides().any(|(a, b)| from_segment(p, a, b) <= reach)
    }

    fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let n = self.points.len();
        (0..n).map(move |i| (self.points[i], self.points[(i + 1) % n]))
    }

    /// What is left when a strip of `by` is taken off along every side.
    pub(super) fn shrunk(&self, by: f64) -> Option<Self> {
        let mut left = self.points.clone();
        for (a, b) in self.sides() {
            let along = b - a;
            let inwards = Vec2::new(-along.y, along.x) / along.hypot();
            let depth = |p: Point| (p - a).dot(inwards) - by;
            let mut kept = Vec::with_capacity(left.len() + 1);
            for (i, &p) in left.iter().enumerate() {
                let q = left[(i + 1) % left.len()];
                let (dp, dq) = (depth(p), depth(q));
                if dp >= 0.0 {
                    kept.push(p);
                }
                if (dp >= 0.0) != (dq >= 0.0) {
                    kept.push(p.lerp(q, dp / (dp - dq)));
                }
            }
            left = kept;
            if left.len() < 3 {
                return None;
            }
        }
        Some(Self::new(left))
    }
}

/// Convex parts that make up a simple polygon given counterclockwise: ears cut off one by one,
/// then joined again where the union stays convex (after Hertel and Mehlhorn 1983).
pub(super) fn parts(points: &[Point]) -> Vec<Convex> {
    let mut parts = triangles(points);
    let mut i = 0;
    while i < parts.len() {
        match (i + 1..parts.len()).find_map(|j| joined(points, &parts[i], &parts[j]).map(|part| (j, part))) {
            Some((j, part)) => {
                parts[i] = part;
                parts.swap_remove(j);
            }
            None => i += 1,
        }
    }
    parts.iter().map(|part| Convex::new(part.iter().map(|&k| points[k]).collect())).collect()
}

fn triangles(points: &[Point]) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..points.len()).collect();
    let mut ears = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let ear = (0..n).find(|&i| {
            let [a, b, c] = [left[(i + n - 1) % n], left[i], left[(i + 1) % n]];
            turn(points, a, b, c) > 0.0
                && left.iter().all(|&k| k == a || k == b || k == c || !in_triangle(points, k, [a, b, c]))
        });
        // A simple polygon always has an ear; were none found, less of the outline would count.
        let Some(i) = ear else { return ears };
        ears.push(vec![left[(i + n - 1) % n], left[i], left[(i + 1) % n]]);
        left.remove(i);
    }
    if turn(points, left[0], left[1], left[2]) > 0.0 {
        ears.push(left);
    }
    ears
}

fn in_triangle(points: &[Point], k: usize, [a, b, c]: [usize; 3]) -> bool {
    turn(points, a, b, k) >= 0.0 && turn(points, b, c, k) >= 0.0 && turn(points, c, a, k) >= 0.0
}

/// The union of two parts with a common side, if it is convex.
fn joined(points: &[Point], a: &[usize], b: &[usize]) -> Option<Vec<usize>> {
    let (n, m) = (a.len(), b.len());
    let (i, j) = (0..n)
        .flat_map(|i| (0..m).map(move |j| (i, j)))
        .find(|&(i, j)| a[i] == b[(j + 1) % m] && a[(i + 1) % n] == b[j])?;
    let mut union: Vec<usize> = (1..=n).map(|k| a[(i + k) % n]).collect();
    union.extend((2..m).map(|k| b[(j + k) % m]));
    let k = union.len();
    let convex = (0..k).all(|i| turn(points, union[i], union[(i + 1) % k], union[(i + 2) % k]) >= 0.0);
    convex.then_some(union)
}

fn turn(points: &[Point], a: usize, b: usize, c: usize) -> f64 {
    (points[b] - points[a]).cross(points[c] - points[a])
}

fn corners(cell: Rect) -> [Point; 4] {
    [(cell.x0, cell.y0), (cell.x1, cell.y0), (cell.x1, cell.y1), (cell.x0, cell.y1)].map(Point::from)
}

fn from_lowest(points: &[Point]) -> Vec<Point> {
    let low = (0..points.len()).min_by(|&i, &j| {
        let (p, q) = (points[i], points[j]);
        p.y.total_cmp(&q.y).then(p.x.total_cmp(&q.x))
    });
    let mut points = points.to_vec();
    points.rotate_left(low.unwrap_or(0));
    points
}

fn from_segment(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t = ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    p.distance(a + t * along)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().copied().map(Point::from).collect()
    }

    #[test]
    fn parts_have_the_area_of_the_whole() {
        let bay = polygon(&[
            (0., 0.),
            (30., 0.),
            (30., 12.),
            (25., 12.),
            (25., 5.),
            (5., 5.),
            (5., 25.),
            (30., 25.),
            (30., 30.),
            (0., 30.),
        ]);
        let parts = parts(&bay);
        let area =
            |p: &[Point]| (0..p.len()).map(|i| p[i].to_vec2().cross(p[(i + 1) % p.len()].to_vec2())).sum::<f64>() / 2.0;
        assert!(parts.len() <= 5, "{}", parts.len());
        assert!((parts.iter().map(|p| area(&p.points)).sum::<f64>() - area(&bay)).abs() < 1e-9);
    }

    #[test]
    fn two_rectangles_meet_where_their_boxes_do() {
        let a = Convex::new(polygon(&[(0., 0.), (4., 0.), (4., 2.), (0., 2.)]));
        let b = Convex::new(polygon(&[(0., 0.), (1., 0.), (1., 5.), (0., 5.)]));
        let sum = Convex::meeting(&a, &b);
        assert_eq!(sum.bounds, Rect::new(-1., -5., 4., 2.));
        assert_eq!(sum.points.len(), 4);
        assert!(sum.covers(Rect::new(-1.9, 0.0, 4.9, 2.0), 1.0));
        assert!(!sum.covers(Rect::new(-1.9, 0.0, 4.9, 2.9), 1.0));
        assert_eq!(b.shrunk(0.25).map(|s| s.bounds), Some(Rect::new(0.25, 0.25, 0.75, 4.75)));
        assert!(b.shrunk(0.6).is_none());
    }
}
