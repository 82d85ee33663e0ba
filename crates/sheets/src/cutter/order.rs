//! The order of cuts: what lies inside of something first.

use kurbo::{BezPath, Point, Shape as _};

use super::Way;

/// The parts that are left of each of `ways`, in an order in which nothing is cut after what holds
/// it; each with whether no other closed way holds it. Within that, the next one is the nearest to
/// where the tool stands, which begins at the origin.
pub(super) fn inside_first(ways: &[Way], left: Vec<Vec<Way>>) -> Vec<(Way, bool)> {
    let holders = holders(ways);
    let depth = |index: usize| holders[index].len();
    // The outermost cut that holds a way, or the way itself: all of it is done before the next.
    let root = |index: usize| holders[index].iter().copied().find(|&holder| depth(holder) == 0);
    let mut pieces: Vec<(usize, Vec<usize>)> = Vec::new();
    for index in 0..ways.len() {
        let root = root(index).unwrap_or(index);
        match pieces.iter_mut().find(|(known, _)| *known == root) {
            Some((_, members)) => members.push(index),
            None => pieces.push((root, vec![index])),
        }
    }
    let mut left = left;
    let mut at = Point::ORIGIN;
    let mut all = Vec::new();
    while !pieces.is_empty() {
        let start = |(root, _): &(usize, Vec<usize>)| ways[*root].points[0].distance_squared(at);
        let Some(next) = (0..pieces.len()).min_by(|&a, &b| start(&pieces[a]).total_cmp(&start(&pieces[b]))) else {
            break;
        };
        let (_, mut members) = pieces.remove(next);
        // Deepest first; a stable sort keeps the rest as it was drawn.
        members.sort_by_key(|&index| std::cmp::Reverse(depth(index)));
        while !members.is_empty() {
            let deepest = depth(members[0]);
            let level = members.iter().take_while(|&&index| depth(index) == deepest).count();
            let near = |&index: &usize| ways[index].points[0].distance_squared(at);
            let Some(next) = (0..level).min_by(|&a, &b| near(&members[a]).total_cmp(&near(&members[b]))) else { break };
            let index = members.remove(next);
            for way in std::mem::take(&mut left[index]) {
                at = way.points.last().copied().unwrap_or(at);
                all.push((way, depth(index) == 0));
            }
        }
    }
    all
}

/// Of each way the closed ways that hold it.
fn holders(ways: &[Way]) -> Vec<Vec<usize>> {
    let closed: Vec<(usize, BezPath)> =
        ways.iter().enumerate().filter(|(_, way)| way.closed()).map(|(index, way)| (index, outline(way))).collect();
    let of = |(index, way): (usize, &Way)| {
        let probe = probe(way);
        let holds = |(other, around): &&(usize, BezPath)| *other != index && around.winding(probe) % 2 != 0;
        closed.iter().filter(holds).map(|(other, _)| *other).collect()
    };
    ways.iter().enumerate().map(of).collect()
}

/// A point of a way that lies on no other: the middle of its longest side.
fn probe(way: &Way) -> Point {
    let longest = way.points.windows(2).max_by(|a, b| a[0].distance(a[1]).total_cmp(&b[0].distance(b[1])));
    longest.map_or(way.points[0], |side| side[0].midpoint(side[1]))
}

fn outline(way: &Way) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(way.points[0]);
    way.points.iter().skip(1).for_each(|point| path.line_to(*point));
    path.close_path();
    path
}
