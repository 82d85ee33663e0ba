//! Cuts made easier on the machine: overcut, bridges.

use kurbo::Point;

use super::{Ease, Way};

/// One bridge for so much of a way's length, mm; two at least. A choice of ours, no source.
const APART: f64 = 80.0;
/// A side carries a bridge where it is so many bridges long: long plain sides if there are two, not
/// the small ones of hooks and slots, which must fit. A choice of ours, no source.
const ROOM: [f64; 2] = [15.0, 4.0];

/// A way as it is cut: with bridges where it cuts a piece out of the sheet, else with its overcut.
pub(super) fn eased(way: Way, outermost: bool, ease: Ease) -> Vec<Way> {
    if !way.closed() {
        return vec![way];
    }
    if ease.bridge.get() > 0.0 && outermost {
        return bridged(way, ease.bridge.get());
    }
    vec![overcut(way, ease.overcut.get())]
}

/// Goes on over the beginning for `reach` mm.
fn overcut(mut way: Way, reach: f64) -> Way {
    let mut left = reach.min(way.length());
    let mut next = 1;
    while left > 0.0 && next < way.points.len() {
        let (from, to) = (way.points[next - 1], way.points[next]);
        let side = from.distance(to);
        way.points.push(if side > left { from.lerp(to, left / side) } else { to });
        left -= side;
        next += 1;
    }
    way
}

/// Leaves gaps `width` mm wide, evenly along the way and in the middles of its straight sides. A way
/// whose sides are all too short for one keeps none.
fn bridged(way: Way, width: f64) -> Vec<Way> {
    let sides: Vec<(Point, Point)> = way.points.windows(2).map(|side| (side[0], side[1])).collect();
    let length = way.length();
    let long = |room: f64| sides.iter().filter(|(a, b)| a.distance(*b) >= room * width).count();
    let room = if long(ROOM[0]) >= 2 { ROOM[0] } else { ROOM[1] };
    let count = ((length / APART).round() as usize).max(2);
    let mut passed = 0.0;
    let middle = |(a, b): &(Point, Point)| {
        passed += a.distance(*b);
        passed - a.distance(*b) / 2.0
    };
    let middles: Vec<f64> = sides.iter().map(middle).collect();
    let mut gaps: Vec<usize> = Vec::new();
    for number in 0..count {
        let wanted = (number as f64 + 0.5) / count as f64 * length;
        let fits = |&side: &usize| sides[side].0.distance(sides[side].1) >= room * width && !gaps.contains(&side);
        let off = |side: usize| (middles[side] - wanted).abs();
        gaps.extend((0..sides.len()).filter(fits).min_by(|&a, &b| off(a).total_cmp(&off(b))));
    }
    if gaps.is_empty() {
        return vec![way];
    }
    let mut parts: Vec<Way> = vec![Way { points: vec![sides[0].0] }];
    for (index, (from, to)) in sides.iter().enumerate() {
        if gaps.contains(&index) {
            let half = width / 2.0 / from.distance(*to);
            if let Some(part) = parts.last_mut() {
                part.points.push(from.lerp(*to, 0.5 - half));
            }
            parts.push(Way { points: vec![from.lerp(*to, 0.5 + half)] });
        }
        if let Some(part) = parts.last_mut() {
            part.points.push(*to);
        }
    }
    // The way began in the middle of what lies between two bridges.
    if let Some(last) = parts.pop() {
        let mut points = last.points;
        points.extend(parts[0].points.iter().skip(1));
        parts[0].points = points;
    }
    parts
}
