//! The order of cuts: what lies inside of something first.

use kurbo::Point;

use super::Way;

/// The parts that are left of each of `ways`, in an order in which nothing is cut after what holds
/// it; each with whether no other closed way holds it. Within that, the next one is the nearest to
/// where the tool stands, which begins at the origin.
pub(super) fn inside_first(ways: &[Way], left: Vec<Vec<Way>>) -> Vec<(Way, bool)> {
    let holders: Vec<usize> = ways.iter().enumerate().map(|(index, way)| holders(ways, index, way)).collect();
    // The outermost cut that holds a way, or the way itself: all of it is done before the next.
    let root = |index: usize| {
        let probe = probe(&ways[index]);
        (0..ways.len()).find(|&other| holders[other] == 0 && (other == index || holds(&ways[other], probe)))
    };
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
        members.sort_by_key(|&index| std::cmp::Reverse(holders[index]));
        while !members.is_empty() {
            let deepest = holders[members[0]];
            let level = members.iter().take_while(|&&index| holders[index] == deepest).count();
            let near = |&index: &usize| ways[index].points[0].distance_squared(at);
            let Some(next) = (0..level).min_by(|&a, &b| near(&members[a]).total_cmp(&near(&members[b]))) else { break };
            let index = members.remove(next);
            for way in std::mem::take(&mut left[index]) {
                at = way.points.last().copied().unwrap_or(at);
                all.push((way, holders[index] == 0));
            }
        }
    }
    all
}

/// How many closed ways hold a way.
fn holders(ways: &[Way], index: usize, way: &Way) -> usize {
    let probe = probe(way);
    ways.iter().enumerate().filter(|(other, around)| *other != index && holds(around, probe)).count()
}

/// A point of a way that lies on no other: the middle of its longest side.
fn probe(way: &Way) -> Point {
    let longest = way.points.windows(2).max_by(|a, b| a[0].distance(a[1]).total_cmp(&b[0].distance(b[1])));
    longest.map_or(way.points[0], |side| side[0].midpoint(side[1]))
}

/// Whether a closed way goes around a point, by the even-odd rule.
fn holds(way: &Way, point: Point) -> bool {
    way.closed()
        && way.points.windows(2).fold(false, |inside, side| {
            let (a, b) = (side[0], side[1]);
            let crosses =
                (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x);
            inside != crosses
        })
}
