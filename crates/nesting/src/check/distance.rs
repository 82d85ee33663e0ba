//! Distance and overlap of two simple polygons, by their sides.

use kurbo::{Point, Rect};

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

/// Whether a point of one outline's boundary, or one well inside, lies deeper than `tolerance` in
/// the other.
///
/// Points of a side within the tolerance of a side of the other outline make up one stretch, for
/// points within a distance of a segment are a convex set. Between these stretches the side is
/// wholly within or wholly without, so one point each tells. Equal outlines have no boundary within
/// each other: so points well inside are asked as well. With that every common disc of twice the
/// tolerance is found, where no outline has a neck narrower than that: what lies deep in the one is
/// then in one piece, no boundary of the other runs through it, and so it is all within the other,
/// the inner points too.
pub(super) fn overlap(a: &[Point], b: &[Point], tolerance: f64) -> bool {
    let deep = |p: Point, of: &[Point]| inside(p, of) && sides(of).all(|(r, s)| to_segment(p, r, s) > tolerance);
    let reaches_into = |of: &[Point], into: &[Point]| {
        let bounds = into.iter().fold(Rect::from_points(into[0], into[0]), |r, p| r.union_pt(*p));
        sides(of).any(|(p, q)| {
            let near = Rect::from_points(p, q);
            let meets = near.x0 <= bounds.x1 && near.x1 >= bounds.x0 && near.y0 <= bounds.y1 && near.y1 >= bounds.y0;
            meets && between_stretches(p, q, into, tolerance).any(|point| inside(point, into))
        }) || inner_points(of).any(|p| deep(p, into))
    };
    reaches_into(a, b) || reaches_into(b, a)
}

/// A point of each part of `p..q` that is further than `tolerance` from all sides of `of`.
fn between_stretches(p: Point, q: Point, of: &[Point], tolerance: f64) -> impl Iterator<Item = Point> {
    let near = Rect::from_points(p, q).inflate(tolerance, tolerance);
    let mut stretches: Vec<(f64, f64)> = sides(of)
        .filter(|(r, s)| {
            let side = Rect::from_points(*r, *s);
            side.x0 <= near.x1 && side.x1 >= near.x0 && side.y0 <= near.y1 && side.y1 >= near.y0
        })
        .filter_map(|(r, s)| stretch(p, q, r, s, tolerance))
        .collect();
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    stretches.push((1.0, 1.0));
    let mut middles = Vec::new();
    let mut reached = 0.0_f64;
    for (from, to) in stretches {
        if from > reached {
            middles.push(p.lerp(q, (reached + from) / 2.0));
        }
        reached = reached.max(to);
    }
    middles.into_iter()
}

/// The part of `p..q`, 0 to 1, within `tolerance` of the segment `r..s`.
fn stretch(p: Point, q: Point, r: Point, s: Point, tolerance: f64) -> Option<(f64, f64)> {
    let (along, side) = (q - p, s - r);
    let mut found: Option<(f64, f64)> = None;
    let mut join = |from: f64, to: f64| {
        let (from, to) = (from.max(0.0), to.min(1.0));
        if from <= to {
            found = Some(found.map_or((from, to), |(a, b)| (f64::min(a, from), f64::max(b, to))));
        }
    };
    // Around either end.
    for end in [r, s] {
        let to_end = end - p;
        let middle = to_end.dot(along) / along.hypot2();
        let off = to_end.cross(along) / along.hypot();
        let half = (tolerance * tolerance - off * off).max(-1.0);
        if half >= 0.0 {
            let half = half.sqrt() / along.hypot();
            join(middle - half, middle + half);
        }
    }
    // Beside it: its height above the side's line, and its foot along the side, both change evenly.
    let limits = |start: f64, change: f64, low: f64, high: f64| {
        if change == 0.0 {
            return if (low..=high).contains(&start) { (0.0, 1.0) } else { (1.0, 0.0) };
        }
        let (a, b) = ((low - start) / change, (high - start) / change);
        (a.min(b), a.max(b))
    };
    let length = side.hypot();
    if length > 0.0 {
        let height = limits(side.cross(p - r) / length, side.cross(along) / length, -tolerance, tolerance);
        let foot = limits(side.dot(p - r), side.dot(along), 0.0, side.hypot2());
        join(height.0.max(foot.0), height.1.min(foot.1));
    }
    found
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

/// Bands between neighbouring corner heights in which inner points are taken, tallest first.
const BANDS: usize = 8;

/// Points well inside: in the middle of each stretch that lies inside, half way up the tallest of
/// the bands between two neighbouring corner heights.
fn inner_points(of: &[Point]) -> impl Iterator<Item = Point> {
    let mut heights: Vec<f64> = of.iter().map(|p| p.y).collect();
    heights.sort_by(f64::total_cmp);
    let mut bands: Vec<(f64, f64)> = heights.windows(2).map(|w| (w[0], w[1])).filter(|(a, b)| a < b).collect();
    bands.sort_by(|a, b| (b.1 - b.0).total_cmp(&(a.1 - a.0)));
    let mut points = Vec::new();
    for (low, high) in bands.into_iter().take(BANDS) {
        let y = (low + high) / 2.0;
        let mut crossings: Vec<f64> = sides(of)
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
            .collect();
        crossings.sort_by(f64::total_cmp);
        points.extend(crossings.chunks_exact(2).map(|c| Point::new((c[0] + c[1]) / 2.0, y)));
    }
    points.into_iter()
}
