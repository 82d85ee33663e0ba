//! Simple polygons cut into convex parts, and Minkowski sums of those.

use flatwright_geometry::tolerance;
use kurbo::Point;

/// Convex polygons, counterclockwise, that together cover the simple counterclockwise polygon
/// `points`. Where cutting fails for rounding, the convex hull: larger, so still safe.
pub(super) fn parts(points: &[Point]) -> Vec<Vec<Point>> {
    let mut done = Vec::new();
    let mut todo = vec![points.to_vec()];
    // Every cut resolves a reflex corner for good, so there are at most as many as corners.
    let mut cuts = points.len();
    while let Some(polygon) = todo.pop() {
        match best_cut(&polygon) {
            None => done.push(polygon),
            Some(cut) if cuts > 0 => {
                cuts -= 1;
                let (a, b) = split(&polygon, &cut);
                todo.push(a);
                todo.push(b);
            }
            Some(_) => return vec![hull(points)],
        }
    }
    let (whole, sum) = (area(points), done.iter().map(|p| area(p)).sum::<f64>());
    let sound = done.iter().all(|p| p.len() >= 3) && (whole - sum).abs() <= tolerance::FIT * (1.0 + whole.abs());
    if sound { done } else { vec![hull(points)] }
}

/// The polygon with shallow reflex corners filled in until at most `most` are left.
///
/// Only a corner whose triangle with its neighbours holds no other corner is cut off, so the
/// result is simple and covers the polygon; its box stays the same. Where none can be filled
/// in, the convex hull.
pub(super) fn filled(points: &[Point], most: usize) -> Vec<Point> {
    let mut p = points.to_vec();
    loop {
        let n = p.len();
        let corner = |i: usize| (p[(i + n - 1) % n], p[i], p[(i + 1) % n]);
        let depth = |i: usize| {
            let (a, b, c) = corner(i);
            (c - b).cross(b - a)
        };
        let reflex: Vec<usize> = (0..n).filter(|&i| depth(i) > tolerance::ROUNDING).collect();
        if reflex.len() <= most {
            return p;
        }
        let empty = |i: usize| {
            let (a, b, c) = corner(i);
            let within =
                |q: Point| (b - a).cross(q - a) <= 0.0 && (c - b).cross(q - b) <= 0.0 && (a - c).cross(q - c) <= 0.0;
            p.iter().all(|&q| q == a || q == b || q == c || !within(q))
        };
        match reflex.into_iter().filter(|&i| empty(i)).min_by(|&i, &j| depth(i).total_cmp(&depth(j))) {
            Some(shallowest) => drop(p.remove(shallowest)),
            None => return hull(points),
        }
    }
}

/// The Minkowski sum of two convex counterclockwise polygons.
pub(super) fn sum(a: &[Point], b: &[Point]) -> Vec<Point> {
    let lowest = |p: &[Point]| {
        (0..p.len()).min_by(|&i, &j| p[i].y.total_cmp(&p[j].y).then(p[i].x.total_cmp(&p[j].x))).unwrap_or(0)
    };
    let (first_a, first_b) = (lowest(a), lowest(b));
    let at = |p: &[Point], first: usize, i: usize| p[(first + i) % p.len()];
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::with_capacity(a.len() + b.len());
    while i < a.len() || j < b.len() {
        out.push(at(a, first_a, i) + at(b, first_b, j).to_vec2());
        let step_a = at(a, first_a, i + 1) - at(a, first_a, i);
        let step_b = at(b, first_b, j + 1) - at(b, first_b, j);
        let turn = step_a.cross(step_b);
        // Past the end of one polygon only the other may advance; parallel sides advance together.
        let (take_a, take_b) = match (i < a.len(), j < b.len()) {
            (true, true) => (turn >= 0.0, turn <= 0.0),
            (on_a, on_b) => (on_a, on_b),
        };
        i += usize::from(take_a);
        j += usize::from(take_b);
    }
    out
}

/// The convex hull, counterclockwise (Andrew's monotone chain).
pub(super) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..]
                && (b - a).cross(p - b) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut out = chain(&mut sorted.iter().copied());
    out.extend(chain(&mut sorted.iter().rev().copied()));
    out
}

fn area(p: &[Point]) -> f64 {
    (0..p.len()).map(|i| p[i].to_vec2().cross(p[(i + 1) % p.len()].to_vec2())).sum::<f64>() / 2.0
}

/// A cut from corner `from` to the point `to` on the side that begins at corner `side`.
struct Cut {
    from: usize,
    side: usize,
    to: Point,
    length: f64,
}

/// The shortest extension of a side beyond a reflex corner to the opposite boundary, or `None`
/// where the polygon is convex.
fn best_cut(p: &[Point]) -> Option<Cut> {
    let n = p.len();
    let mut best: Option<Cut> = None;
    for from in 0..n {
        let (before, corner, after) = (p[(from + n - 1) % n], p[from], p[(from + 1) % n]);
        if (corner - before).cross(after - corner) >= -tolerance::ROUNDING {
            continue;
        }
        for way in [(corner - before).normalize(), (corner - after).normalize()] {
            for side in (0..n).filter(|&s| s != from && (s + 1) % n != from) {
                let (a, b) = (p[side], p[(side + 1) % n]);
                let along = b - a;
                let cross = way.cross(along);
                if cross.abs() < tolerance::ROUNDING {
                    continue;
                }
                let length = (a - corner).cross(along) / cross;
                let t = (a - corner).cross(way) / cross;
                let reach = tolerance::SNAP / along.hypot();
                let hits = length > tolerance::SNAP && t > -reach && t < 1.0 + reach;
                if hits
                    && nearest_on_ray(p, from, corner, way, length)
                    && best.as_ref().is_none_or(|c| length < c.length)
                {
                    best = Some(Cut { from, side, to: corner + length * way, length });
                }
            }
        }
    }
    best
}

/// Whether no side meets the ray before `length`.
fn nearest_on_ray(p: &[Point], from: usize, corner: Point, way: kurbo::Vec2, length: f64) -> bool {
    let n = p.len();
    (0..n).filter(|&s| s != from && (s + 1) % n != from).all(|s| {
        let (a, along) = (p[s], p[(s + 1) % n] - p[s]);
        let cross = way.cross(along);
        let (l, t) = ((a - corner).cross(along) / cross, (a - corner).cross(way) / cross);
        let reach = tolerance::SNAP / along.hypot();
        cross.abs() < tolerance::ROUNDING
            || !(l > tolerance::SNAP && l < length - tolerance::SNAP && t > -reach && t < 1.0 + reach)
    })
}

/// The two polygons on either side of a cut.
fn split(p: &[Point], cut: &Cut) -> (Vec<Point>, Vec<Point>) {
    let n = p.len();
    let next = (cut.side + 1) % n;
    let near = |q: Point| q.distance(cut.to) <= 2.0 * tolerance::SNAP;
    let run = |mut i: usize, end: usize| {
        let mut out = vec![p[i]];
        while i != end {
            i = (i + 1) % n;
            out.push(p[i]);
        }
        out
    };
    // From the corner forward to the hit side, and from the hit side forward back to the corner.
    let (mut a, mut b) = (run(cut.from, cut.side), run(next, cut.from));
    if near(p[cut.side]) {
        b.push(p[cut.side]);
    } else if near(p[next]) {
        a.push(p[next]);
    } else {
        a.push(cut.to);
        b.push(cut.to);
    }
    (a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().copied().map(Point::from).collect()
    }

    #[test]
    fn an_l_has_two_parts_and_a_comb_one_per_tooth_and_the_back() {
        let l = points(&[(0., 0.), (4., 0.), (4., 1.), (1., 1.), (1., 3.), (0., 3.)]);
        assert_eq!(parts(&l).len(), 2);
        let comb = points(&[
            (0., 0.),
            (1., 0.),
            (1., 2.),
            (2., 2.),
            (2., 0.),
            (3., 0.),
            (3., 2.),
            (4., 2.),
            (4., 0.),
            (5., 0.),
            (5., 3.),
            (0., 3.),
        ]);
        let cut = parts(&comb);
        assert_eq!(cut.len(), 4);
        assert!((cut.iter().map(|p| area(p)).sum::<f64>() - area(&comb)).abs() < 1e-9);
    }

    #[test]
    fn filling_in_a_comb_covers_it_and_keeps_its_box() {
        let mut comb = vec![Point::new(30.0, 9.0), Point::new(0.0, 9.0)];
        for tooth in 0..15 {
            let x = 2.0 * f64::from(tooth);
            comb.extend(points(&[(x, 0.), (x + 1., 0.), (x + 1., 3.), (x + 2., 3.)]));
        }
        let filled = filled(&comb, 8);
        assert!(filled.len() < comb.len());
        let cut = parts(&filled);
        assert!((cut.iter().map(|p| area(p)).sum::<f64>() - area(&filled)).abs() < 1e-9);
        assert!(area(&filled) > area(&comb));
        assert!(filled.iter().all(|p| comb.contains(p)));
    }

    /// Steiner-like check: the sum with a square of side s has area A + s * (width + height) + s^2.
    #[test]
    fn the_sum_of_convex_polygons_has_the_known_area() {
        let triangle = points(&[(0., 0.), (3., 0.), (0., 4.)]);
        let square = points(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.)]);
        assert!((area(&sum(&triangle, &square)) - (6.0 + 2.0 * (3.0 + 4.0) + 4.0)).abs() < 1e-12);
    }
}
