//! Distance and overlap of two simple polygons, by their sides.

use kurbo::{Point, Rect, Vec2};

/// The distance between the boundaries of `a` and `b`, mm, if it is less than `limit`; else `limit`.
pub(super) fn between(a: &[Point], b: &[Point], limit: f64) -> f64 {
    let mut best = limit;
    for (p, q) in sides(a) {
        let box_a = Rect::from_points(p, q);
        for (r, s) in sides(b) {
            let box_b = Rect::from_points(r, s);
            let dx = (box_b.x0 - box_a.x1).max(box_a.x0 - box_b.x1);
            let dy = (box_b.y0 - box_a.y1).max(box_a.y0 - box_b.y1);
            if dx < best && dy < best {
                best = best.min(segments(p, q, r, s));
            }
        }
    }
    best
}

/// Whether `outer` holds `inner`, the boundaries being known to lie apart.
pub(super) fn holds(outer: &[Point], inner: &[Point]) -> bool {
    inside(inner[0], outer)
}

/// Whether `a` and `b` share an area that is deeper than `tolerance` somewhere.
///
/// Each boundary is cut where it meets the other, so that every part lies wholly within, without
/// or along the other polygon; the parts' middles and the corners tell which. Equal outlines
/// have no part within each other, so one inner point of each is asked as well.
pub(super) fn overlap(a: &[Point], b: &[Point], tolerance: f64) -> bool {
    let deep = |p: Point, of: &[Point]| inside(p, of) && sides(of).all(|(r, s)| to_segment(p, r, s) > tolerance);
    let reaches_into = |of: &[Point], into: &[Point]| {
        let bounds = into.iter().fold(Rect::from_points(into[0], into[0]), |r, p| r.union_pt(*p));
        sides(of).any(|(p, q)| {
            let side = Rect::from_points(p, q);
            if side.x0 > bounds.x1 || side.x1 < bounds.x0 || side.y0 > bounds.y1 || side.y1 < bounds.y0 {
                return false;
            }
            let mut cuts = vec![0.0, 1.0];
            cuts.extend(sides(into).flat_map(|(r, s)| meeting(p, q, r, s)).flatten());
            cuts.sort_by(f64::total_cmp);
            deep(p, into) || cuts.windows(2).any(|w| deep(p.lerp(q, (w[0] + w[1]) / 2.0), into))
        }) || inner_point(of).is_some_and(|p| deep(p, into))
    };
    reaches_into(a, b) || reaches_into(b, a)
}

fn sides(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    points.iter().copied().zip(points.iter().copied().cycle().skip(1))
}

/// The distance between two segments, zero where they cross.
fn segments(p: Point, q: Point, r: Point, s: Point) -> f64 {
    let turn = |a: Point, b: Point, c: Point| (b - a).cross(c - a);
    let crosses = turn(p, q, r) * turn(p, q, s) < 0.0 && turn(r, s, p) * turn(r, s, q) < 0.0;
    if crosses {
        return 0.0;
    }
    to_segment(p, r, s).min(to_segment(q, r, s)).min(to_segment(r, p, q)).min(to_segment(s, p, q))
}

/// The distance from a point to a segment.
fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let length = along.hypot2();
    let t = if length > 0.0 { ((p - a).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + t * along)
}

/// Whether `p` is inside by the crossing rule; on the boundary either answer may come.
fn inside(p: Point, of: &[Point]) -> bool {
    sides(of).fold(false, |within, (a, b)| {
        let spans = (a.y > p.y) != (b.y > p.y);
        within ^ (spans && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
    })
}

/// Where on `p..q` (0 to 1) the line through `r..s`, or an end of that segment, meets it.
fn meeting(p: Point, q: Point, r: Point, s: Point) -> [Option<f64>; 3] {
    let (along, other) = (q - p, s - r);
    let cross = along.cross(other);
    let on = |t: f64| (t > 0.0 && t < 1.0).then_some(t);
    let foot = |c: Vec2| on(c.dot(along) / along.hypot2());
    [if cross == 0.0 { None } else { on((r - p).cross(other) / cross) }, foot(r - p), foot(s - p)]
}

/// A point well inside: the middle of the longest stretch that lies inside on a level between
/// two neighbouring corner heights.
fn inner_point(of: &[Point]) -> Option<Point> {
    let mut heights: Vec<f64> = of.iter().map(|p| p.y).collect();
    heights.sort_by(f64::total_cmp);
    let band = heights.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
    let y = (band[0] + band[1]) / 2.0;
    let mut crossings: Vec<f64> = sides(of)
        .filter(|(a, b)| (a.y > y) != (b.y > y))
        .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
        .collect();
    crossings.sort_by(f64::total_cmp);
    let widest = crossings.chunks_exact(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
    Some(Point::new((widest[0] + widest[1]) / 2.0, y))
}
