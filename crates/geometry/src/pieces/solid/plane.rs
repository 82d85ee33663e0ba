//! Polygons in the plane as lists of corners: what is near to what.

use kurbo::{Point, Rect};

/// The smallest upright rectangle round some points.
pub(super) fn bounds(points: &[Point]) -> Rect {
    let first = Rect::from_points(points[0], points[0]);
    points.iter().fold(first, |bounds, point| bounds.union_pt(*point))
}

/// Whether two simple polygons are apart by at least `gap`.
pub(super) fn apart(a: &[Point], b: &[Point], gap: f64) -> bool {
    let (box_a, box_b) = (bounds(a).inflate(gap, gap), bounds(b));
    if box_a.x1 <= box_b.x0 || box_b.x1 <= box_a.x0 || box_a.y1 <= box_b.y0 || box_b.y1 <= box_a.y0 {
        return true;
    }
    let near = sides(a).any(|one| sides(b).any(|two| distance(one, two) < gap));
    !near && !contains(a, b[0]) && !contains(b, a[0])
}

/// The sides of a polygon.
pub(super) fn sides(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let n = points.len();
    (0..n).map(move |i| (points[i], points[(i + 1) % n]))
}

/// Whether a point is inside a polygon: an odd number of sides lies to its right.
pub(super) fn contains(polygon: &[Point], point: Point) -> bool {
    let crossed = sides(polygon).filter(|(from, to)| {
        let spans = (from.y > point.y) != (to.y > point.y);
        spans && point.x < from.x + (point.y - from.y) / (to.y - from.y) * (to.x - from.x)
    });
    crossed.count() % 2 == 1
}

/// The distance between two segments, 0 where they cross.
pub(super) fn distance((a, b): (Point, Point), (c, d): (Point, Point)) -> f64 {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let crosses = side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
    if crosses {
        return 0.0;
    }
    let from = |p: Point, (q, r): (Point, Point)| {
        let along = r - q;
        let share = ((p - q).dot(along) / along.hypot2()).clamp(0.0, 1.0);
        p.distance(q + along * share)
    };
    from(a, (c, d)).min(from(b, (c, d))).min(from(c, (a, b))).min(from(d, (a, b)))
}
