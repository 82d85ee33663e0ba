//! Edges that several ways share, gone once.

use flatwright_geometry::tolerance::SNAP;
use kurbo::{Point, Vec2};

use super::Way;

/// Lines this near to each other are the same edge, mm: no cutter tells them apart.
const SAME: f64 = 0.02;
/// What is shorter than this is not worth a start of its own, mm.
const SHORT: f64 = 0.05;

/// The ways without what an earlier one has gone already: of each way the parts that are left, the
/// whole of it where nothing is missing.
pub(super) fn once(ways: &[Way]) -> Vec<Vec<Way>> {
    let mut gone: Vec<(Point, Point)> = Vec::new();
    let mut all = Vec::new();
    for way in ways {
        let sides: Vec<(Point, Point)> = way.points.windows(2).map(|pair| (pair[0], pair[1])).collect();
        let mut parts: Vec<Way> = Vec::new();
        let mut whole = true;
        for (from, to) in &sides {
            let free = rest(*from, *to, &gone);
            whole &= matches!(free.as_slice(), [(a, b)] if a == from && b == to);
            for (a, b) in free {
                match parts.last_mut() {
                    Some(part) if part.points.last() == Some(&a) => part.points.push(b),
                    _ => parts.push(Way { points: vec![a, b] }),
                }
            }
        }
        // A closed way that begins in the middle of a part that is left is that part in one.
        if !whole && parts.len() > 1 && way.closed() {
            let (first, last) = (parts[0].points[0], parts[parts.len() - 1].points.last().copied());
            if last == Some(first)
                && let Some(mut joined) = parts.pop()
            {
                joined.points.extend(parts.remove(0).points.into_iter().skip(1));
                parts.insert(0, joined);
            }
        }
        gone.extend(sides);
        all.push(if whole { vec![way.clone()] } else { parts });
    }
    all
}

/// The parts of a side that none of `gone` covers.
fn rest(from: Point, to: Point, gone: &[(Point, Point)]) -> Vec<(Point, Point)> {
    let length = from.distance(to);
    if length < SNAP {
        return Vec::new();
    }
    let along = (to - from) / length;
    let mut covered: Vec<(f64, f64)> = gone.iter().filter_map(|side| shadow(from, along, length, *side)).collect();
    covered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut left = Vec::new();
    let mut at = 0.0;
    for (start, end) in covered.into_iter().chain([(length, length)]) {
        if start - at > SHORT {
            left.push((at, start));
        }
        at = end.max(at);
    }
    let place = |at: f64| {
        if at <= 0.0 {
            from
        } else if at >= length {
            to
        } else {
            from + along * at
        }
    };
    left.into_iter().map(|(a, b)| (place(a), place(b))).collect()
}

/// Which part of a side another one covers: from where to where along it, mm.
fn shadow(from: Point, along: Vec2, length: f64, (a, b): (Point, Point)) -> Option<(f64, f64)> {
    let beside = |point: Point| along.cross(point - from).abs();
    if beside(a) > SAME || beside(b) > SAME {
        return None;
    }
    let (a, b) = (along.dot(a - from), along.dot(b - from));
    let (start, end) = (a.min(b).max(0.0), a.max(b).min(length));
    // Ends that meet, or nearly, are no common edge; short of the other's end is up to it.
    let near = |value: f64, end: f64| if (value - end).abs() < SHORT { end } else { value };
    (end - start > SHORT).then(|| (near(start, 0.0), near(end, length)))
}
