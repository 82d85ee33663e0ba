//! The straight skeleton of a plan with right angles: what its sides sweep as they move inward at one
//! speed (O. Aichholzer, F. Aurenhammer, D. Alberts, B. Gärtner, 1995). Lifted by the time at which
//! they come there, its faces are a roof of one pitch.

use kurbo::{Point, Vec2};

use crate::tolerance;

/// Two times or places that differ by less are one: plans are metres large at most.
const SAME: f64 = 100.0 * tolerance::SNAP;

/// A corner of the roof: where it lies in the plan, and when the sides come there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// Its place in the plan.
    pub at: Point,
    /// How far the sides have moved by then, mm; 0 at the eaves.
    pub time: f64,
}

/// The faces over a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Skeleton {
    /// Corners, those of the plan first.
    pub nodes: Vec<Node>,
    /// The corners of each face, counterclockwise from above.
    pub faces: Vec<Vec<usize>>,
}

/// A side on its way: which side of the plan it is, and the node at which its beginning started.
#[derive(Clone, Copy, Debug)]
struct Side {
    side: usize,
    start: usize,
}

struct Wave {
    /// A point and the direction of each side's line, at time 0.
    lines: Vec<(Point, Vec2)>,
    /// Sides in one line are one face.
    class: Vec<usize>,
    nodes: Vec<Node>,
    /// For each class the pairs of nodes that bound it.
    arcs: Vec<Vec<(usize, usize)>>,
    loops: Vec<Vec<Side>>,
    time: f64,
}

/// What happens next.
#[derive(Clone, Copy, Debug)]
enum Event {
    /// The side at this place of a loop has no length any more.
    Collapse(usize, usize),
    /// The inner corner before this place of a loop runs into the side at the other place.
    Split(usize, usize, usize),
}

/// The faces over a plan, whose corners run counterclockwise. `None` where it is not simple, or the
/// faces do not close.
#[must_use]
pub fn skeleton(plan: &[Point]) -> Option<Skeleton> {
    let n = plan.len();
    let lines: Vec<(Point, Vec2)> = (0..n).map(|i| (plan[i], (plan[(i + 1) % n] - plan[i]).normalize())).collect();
    let in_line = |a: usize, b: usize| {
        let ((p, d), (q, e)) = (lines[a], lines[b]);
        d.dot(e) > 0.0 && d.cross(e).abs() < tolerance::ROUNDING && d.cross(q - p).abs() < SAME
    };
    let class: Vec<usize> = (0..n).map(|side| (0..side).find(|other| in_line(*other, side)).unwrap_or(side)).collect();
    let mut wave = Wave {
        lines,
        class,
        nodes: plan.iter().map(|at| Node { at: *at, time: 0.0 }).collect(),
        arcs: vec![Vec::new(); n],
        loops: vec![(0..n).map(|side| Side { side, start: side }).collect()],
        time: 0.0,
    };
    for side in 0..n {
        wave.arcs[wave.class[side]].push((side, (side + 1) % n));
    }
    // Each event takes a side or parts a loop.
    for _ in 0..8 * n {
        if wave.loops.is_empty() {
            return wave.faces();
        }
        let (time, event) = wave.next()?;
        wave.time = time;
        match event {
            Event::Collapse(ring, place) => wave.collapse(ring, place)?,
            Event::Split(ring, corner, place) => wave.split(ring, corner, place)?,
        }
        wave.finish();
    }
    None
}

impl Wave {
    fn inward(&self, side: usize) -> Vec2 {
        let direction = self.lines[side].1;
        Vec2::new(-direction.y, direction.x)
    }

    /// Where the corner at the beginning of a place of a loop is at a time.
    fn corner(&self, ring: usize, place: usize, time: f64) -> Point {
        let sides = &self.loops[ring];
        let (before, here) = (sides[(place + sides.len() - 1) % sides.len()], sides[place]);
        let ((a, one), (b, two)) = (self.lines[before.side], self.lines[here.side]);
        let (a, b) = (a + self.inward(before.side) * time, b + self.inward(here.side) * time);
        let crossed = one.cross(two);
        if crossed.abs() < tolerance::ROUNDING {
            return self.nodes[here.start].at;
        }
        a + one * ((b - a).cross(two) / crossed)
    }

    /// Length of the side at a place of a loop, negative when it has turned round.
    fn length(&self, ring: usize, place: usize, time: f64) -> f64 {
        let n = self.loops[ring].len();
        let (from, to) = (self.corner(ring, place, time), self.corner(ring, (place + 1) % n, time));
        (to - from).dot(self.lines[self.loops[ring][place].side].1)
    }

    fn next(&self) -> Option<(f64, Event)> {
        let mut best: Option<(f64, Event)> = None;
        let mut offer = |time: f64, event: Event| {
            if time > self.time - SAME && best.is_none_or(|(least, _)| time < least - SAME) {
                best = Some((time.max(self.time), event));
            }
        };
        for (ring, sides) in self.loops.iter().enumerate() {
            let n = sides.len();
            for place in 0..n {
                let (now, later) = (self.length(ring, place, self.time), self.length(ring, place, self.time + 1.0));
                if now < SAME {
                    offer(self.time, Event::Collapse(ring, place));
                } else if later < now {
                    offer(self.time + now / (now - later), Event::Collapse(ring, place));
                }
            }
            for corner in 0..n {
                let before = (corner + n - 1) % n;
                let (one, two) = (self.lines[sides[before].side].1, self.lines[sides[corner].side].1);
                if one.cross(two) > -tolerance::ROUNDING {
                    continue;
                }
                for place in (0..n).filter(|place| *place != corner && *place != before) {
                    let (on, _) = self.lines[sides[place].side];
                    let inward = self.inward(sides[place].side);
                    // How far the corner is before the side's line.
                    let before_it = |time: f64| (self.corner(ring, corner, time) - on).dot(inward) - time;
                    let (now, later) = (before_it(self.time), before_it(self.time + 1.0));
                    if now < -SAME || later >= now {
                        continue;
                    }
                    let time = self.time + now.max(0.0) / (now - later);
                    let at = self.corner(ring, corner, time);
                    let direction = self.lines[sides[place].side].1;
                    let from = (at - self.corner(ring, place, time)).dot(direction);
                    let to = (self.corner(ring, (place + 1) % n, time) - at).dot(direction);
                    if from > -SAME && to > -SAME {
                        offer(time, Event::Split(ring, corner, place));
                    }
                }
            }
        }
        best
    }

    fn node(&mut self, at: Point) -> usize {
        let time = self.time;
        let known = self.nodes.iter().position(|node| node.at.distance(at) < SAME && (node.time - time).abs() < SAME);
        known.unwrap_or_else(|| {
            self.nodes.push(Node { at, time });
            self.nodes.len() - 1
        })
    }

    /// The corner before `side` has come from its start to a node: both its sides are bounded so.
    fn arc(&mut self, before: Side, side: Side, to: usize) {
        let (one, two) = (self.class[before.side], self.class[side.side]);
        if side.start == to || one == two {
            return;
        }
        for class in [one, two] {
            self.arcs[class].push((side.start, to));
        }
    }

    fn collapse(&mut self, ring: usize, place: usize) -> Option<()> {
        let n = self.loops[ring].len();
        let at = self.corner(ring, place, self.time);
        let node = self.node(at);
        let sides = self.loops.get(ring)?.clone();
        let (before, here, after) = (sides[(place + n - 1) % n], sides[place], sides[(place + 1) % n]);
        self.arc(before, here, node);
        self.arc(here, after, node);
        self.loops[ring][(place + 1) % n].start = node;
        self.loops[ring].remove(place);
        Some(())
    }

    fn split(&mut self, ring: usize, corner: usize, place: usize) -> Option<()> {
        let sides = self.loops.get(ring)?.clone();
        let n = sides.len();
        let at = self.corner(ring, corner, self.time);
        let node = self.node(at);
        self.arc(sides[(corner + n - 1) % n], sides[corner], node);
        // From the corner round to the side that it meets; from that round to the corner.
        let round = |from: usize, to: usize| {
            let count = (to + n - from) % n;
            (0..=count).map(|step| sides[(from + step) % n]).collect::<Vec<Side>>()
        };
        let mut one = round(corner, place);
        one[0].start = node;
        let mut two = round(place, (corner + n - 1) % n);
        two[0].start = node;
        // The second part of the side keeps its own beginning in the first loop.
        self.loops[ring] = one;
        self.loops.push(two);
        Some(())
    }

    /// Joins sides in one line, and closes loops of two sides.
    fn finish(&mut self) {
        let class = &self.class;
        for sides in &mut self.loops {
            let mut place = 0;
            while sides.len() > 1 && place < sides.len() {
                let before = sides[(place + sides.len() - 1) % sides.len()];
                if class[before.side] == class[sides[place].side] {
                    sides.remove(place);
                } else {
                    place += 1;
                }
            }
        }
        let (done, open): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.loops).into_iter().partition(|ring| ring.len() < 3);
        self.loops = open;
        for ring in done.iter().filter(|ring| ring.len() == 2) {
            let (a, b) = (ring[0], ring[1]);
            if a.start != b.start {
                for side in [a, b] {
                    self.arcs[self.class[side.side]].push((a.start, b.start));
                }
            }
        }
    }

    /// The arcs of each class as polygons.
    fn faces(&self) -> Option<Skeleton> {
        let mut faces = Vec::new();
        for arcs in &self.arcs {
            let mut left = arcs.clone();
            while let Some((first, mut at)) = left.pop() {
                let mut face = vec![first];
                while at != first {
                    face.push(at);
                    let next = left.iter().position(|(a, b)| *a == at || *b == at)?;
                    let (a, b) = left.swap_remove(next);
                    at = if a == at { b } else { a };
                }
                faces.push(self.straight(face));
            }
        }
        faces.iter().all(|face| face.len() > 2).then(|| Skeleton { nodes: self.nodes.clone(), faces })
    }

    /// Counterclockwise, without corners that are straight through. A corner where others meet has
    /// to stay, so only those are left out that no other face has.
    fn straight(&self, mut face: Vec<usize>) -> Vec<usize> {
        let n = face.len();
        let at = |i: usize| self.nodes[face[i % n]].at.to_vec2();
        let twice: f64 = (0..n).map(|i| at(i).cross(at(i + 1))).sum();
        if twice < 0.0 {
            face.reverse();
        }
        face
    }
}
