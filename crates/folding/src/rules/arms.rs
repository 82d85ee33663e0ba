//! Arms and walls: in a build, every wall hangs in two slots and every slot holds a wall.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::post::{Arms, FACES, Post};

use super::Case;
use super::finding::{Finding, Mend, Value};
use super::grid::{same, text};
use crate::build::{BentRun, Build, Jut, Placed, Run};
use crate::place::Lattice;

const RULE: &str = "arms and walls";

/// A wall that meets a face without a slot runs into it; an empty slot is a hole in the building.
pub(super) fn arms_and_walls(case: &Case<'_>) -> Vec<Finding> {
    let Some(build) = case.build else { return Vec::new() };
    let straight = build.walls.iter().flat_map(ends).chain(build.fillers.iter().map(hooked_end));
    let ends: Vec<End<'_>> = straight.chain(build.bent_walls.iter().flat_map(bent_ends)).collect();
    let mut found: Vec<Finding> = ends.iter().filter_map(|end| meets_no_slot(build, end)).collect();
    let slotted = ends.len() - found.len();
    found.extend(in_the_way(case.parameters, build));
    let (slots, empty) = slots(build, &ends);
    let filled = slots - empty.len();
    found.extend(empty);
    if found.is_empty() {
        let count = |n: usize| n as f64;
        found.push(Finding::equal(RULE, "ends of walls in a slot, of all", count(slotted), count(ends.len())));
        found.push(Finding::equal(RULE, "slots with a wall or spare, of all", count(filled), count(slots)));
    }
    found
}

/// One end of a wall: where it is, and which face of a post it meets there.
struct End<'a> {
    wall: &'a str,
    at: Lattice,
    face: usize,
}

fn ends(wall: &Placed<Run>) -> [End<'_>; 2] {
    // Faces count north, west, south, east.
    let (first, last) = if wall.piece.north { (0, 2) } else { (3, 1) };
    let name = &wall.name;
    [End { wall: name, at: wall.at, face: first }, End { wall: name, at: far_end(wall), face: last }]
}

/// A bend leaves its first post to the east and comes to its last one from the north, both turned with it.
fn bent_ends(wall: &Placed<BentRun>) -> [End<'_>; 2] {
    let BentRun { wall: bent, turns } = &wall.piece;
    let reach = f64::from(bent.bend.reach);
    [((0.0, reach), 3), ((reach, 0.0), 0)].map(|((east, north), face)| {
        let face = (face + *turns as usize) % 4;
        End { wall: &wall.name, at: wall.at.beside(east, north, *turns), face }
    })
}

/// The one end of a filler that hangs in a post.
fn hooked_end(jut: &Placed<Jut>) -> End<'_> {
    // East is the last of the faces, which go on counterclockwise from north.
    let face = usize::try_from((jut.piece.turns + 3) % 4).unwrap_or(0);
    End { wall: jut.name.as_str(), at: jut.at, face }
}

fn far_end(wall: &Placed<Run>) -> Lattice {
    let span = wall.piece.wall.span;
    let Lattice { x, y } = wall.at;
    if wall.piece.north { Lattice { x, y: y + span } } else { Lattice { x: x + span, y } }
}

fn post_at(build: &Build, at: Lattice) -> Option<&Placed<Post>> {
    build.posts.iter().find(|post| same(post.at, at))
}

fn meets_no_slot(build: &Build, end: &End<'_>) -> Option<Finding> {
    let (wall, face) = (end.wall, FACES[end.face]);
    let Some(post) = post_at(build, end.at) else {
        let what = format!("{wall} ends at {} where no post stands: posts there, and needed", text(end.at));
        return Some(Finding::at_least(RULE, what, 0.0, 1.0));
    };
    if post.piece.arms.has(end.face) {
        return None;
    }
    let what = format!("{wall} meets face {face} of {}, which has no slot: slots there, and needed", post.name);
    let arms = Arms::from_bits(post.piece.arms.bits() | 1 << end.face);
    let mend = Mend { parameter: "arms", value: Value::Text(format!("{arms} for {}", post.name)) };
    Some(Finding::at_least(RULE, what, 0.0, 1.0).with_mend(Some(mend)))
}

/// How many slots there are, and a finding for each that is neither filled nor declared spare.
fn slots(build: &Build, ends: &[End<'_>]) -> (usize, Vec<Finding>) {
    let mut count = 0;
    let mut empty = Vec::new();
    for post in &build.posts {
        for (face, letter) in FACES.iter().enumerate().filter(|(face, _)| post.piece.arms.has(*face)) {
            count += 1;
            let filled = ends.iter().any(|end| end.face == face && same(end.at, post.at));
            let spare = build.spare.iter().any(|(at, spare)| *spare == face && same(*at, post.at));
            if filled || spare {
                continue;
            }
            let what = format!("the slot in face {letter} of {} is empty: walls in it, and needed", post.name);
            let fewer = Arms::from_bits(post.piece.arms.bits() & !(1 << face));
            let arms = if fewer == Arms::NONE { "none".to_owned() } else { fewer.to_string() };
            let mend = Mend { parameter: "arms", value: Value::Text(format!("{arms} for {}", post.name)) };
            empty.push(Finding::at_least(RULE, what, 0.0, 1.0).with_mend(Some(mend)));
        }
    }
    (count, empty)
}

/// Walls that run through a post or another wall.
fn in_the_way(p: &Parameters, build: &Build) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut clash = |one: &str, other: &str| {
        let what = format!("{one} runs through {other}: how often, and allowed");
        found.push(Finding::at_most(RULE, what, 1.0, 0.0));
    };
    let (half_post, wall_width) = (p.post_side() / p.module / 2.0, p.wall_thickness() / p.module);
    for (i, wall) in build.walls.iter().enumerate() {
        let close = half_post + wall_width / 2.0;
        for post in build.posts.iter().filter(|post| meets(wall, post.at, close, half_post)) {
            clash(&wall.name, &post.name);
        }
        for other in build.walls[i + 1..].iter().filter(|other| walls_cross(wall, other, wall_width)) {
            clash(&wall.name, &other.name);
        }
    }
    found
}

/// The line that a wall keeps to, and from where to where along it.
fn line(wall: &Placed<Run>) -> (f64, f64, f64) {
    let Lattice { x, y } = wall.at;
    let (across, from) = if wall.piece.north { (x, y) } else { (y, x) };
    (across, from, from + wall.piece.wall.span)
}

const NEAR: f64 = super::grid::NEAR;

/// Whether a post at a point, other than those at the wall's ends, stands in its way: closer to
/// its line than `close`, and not further than `beyond` past its ends. Modules.
fn meets(wall: &Placed<Run>, at: Lattice, close: f64, beyond: f64) -> bool {
    let (across, from, to) = line(wall);
    let (off, along) = if wall.piece.north { (at.x, at.y) } else { (at.y, at.x) };
    let ends = same(at, wall.at) || same(at, far_end(wall));
    !ends && (off - across).abs() < close && along > from - beyond && along < to + beyond
}

/// Whether two walls of a width, in modules, run into each other.
fn walls_cross(one: &Placed<Run>, other: &Placed<Run>, width: f64) -> bool {
    let ((a, from, to), (b, other_from, other_to)) = (line(one), line(other));
    if one.piece.north == other.piece.north {
        return (a - b).abs() < width && from < other_to - NEAR && other_from < to - NEAR;
    }
    // The one at right angles passes through the middle of this one, or ends on it.
    let within = |at: f64, from: f64, to: f64| at > from - NEAR && at < to + NEAR;
    let inner = |at: f64, from: f64, to: f64| at > from + NEAR && at < to - NEAR;
    within(b, from, to) && within(a, other_from, other_to) && (inner(b, from, to) || inner(a, other_from, other_to))
}
