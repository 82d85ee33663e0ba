//! What the turns of a level ask for, worked out from their blocks alone, in the directions of the plan.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::bend::TurnPart;

use super::verify::Fault;
use crate::build::LevelBuild;
use crate::plan::{Edge, Level, Vertex};
use crate::turns::Turn;

/// What turns bring to a level, for [`super::verify`].
#[derive(Default)]
pub(super) struct Turned {
    /// How many tiles of turns have a corner in a quadrant of a vertex.
    pub corners: BTreeMap<(Vertex, usize), usize>,
    /// How many tiles of turns have a notch on either side of an edge: north or west, south or east.
    pub notched: BTreeMap<Edge, [usize; 2]>,
    /// The faces at which walls on bends meet posts.
    pub ends: Vec<(Vertex, usize)>,
    /// Where tiles of turns leave no room for a post.
    pub closed: BTreeSet<Vertex>,
}

impl Turned {
    pub fn of(level: &Level) -> Self {
        let mut turned = Self::default();
        level.turns.iter().for_each(|turn| turned.add(turn));
        turned
    }

    fn add(&mut self, turn: &Turn) {
        let way = Way::of(turn);
        let (reach, inner) = (turn.bend.reach, turn.inner);
        let bends = [(turn.wall, Some(reach)), (turn.inner_wall, inner)];
        for r in bends.into_iter().filter_map(|(wall, reach)| wall.and(reach)) {
            self.ends.push((way.on_y(r), if way.east > 0 { 3 } else { 1 }));
            self.ends.push((way.on_x(r), if way.south > 0 { 2 } else { 0 }));
        }
        let (e, s) = (way.east, way.south);
        let mut corner = |at: Vertex, east: isize, south: isize| {
            let quadrant = match (east > 0, south > 0) {
                (true, false) => 0,
                (false, false) => 1,
                (false, true) => 2,
                (true, true) => 3,
            };
            *self.corners.entry((at, quadrant)).or_default() += 1;
        };
        let fan = inner.unwrap_or(reach);
        if turn.fan.is_some() {
            corner(turn.at, e, s);
            corner(way.on_y(fan), e, -s);
            corner(way.on_x(fan), -e, s);
        }
        if let (Some(inner), Some(_)) = (inner, turn.ring) {
            corner(way.on_y(inner), e, s);
            corner(way.on_x(inner), e, s);
            corner(way.on_y(reach), e, -s);
            corner(way.on_x(reach), -e, s);
        }
        if turn.spandrel.is_some() {
            corner(way.at(reach, reach), -e, -s);
        }
        let parts = [
            (turn.fan.is_some(), 0..fan, 0, turn.fit.fan),
            (turn.ring.is_some(), fan..reach, 0, turn.fit.ring),
            (turn.spandrel.is_some(), 0..reach, reach, turn.fit.spandrel),
        ];
        for (_, along, across, notches) in parts.into_iter().filter(|(there, ..)| *there) {
            self.closed.extend(along.clone().skip(1).flat_map(|i| [way.at(i, across), way.at(across, i)]));
            for i in along.filter(|i| notches >> i & 1 == 1) {
                // The part lies beyond the axis, or short of the far side.
                let beyond = if across == 0 { 1 } else { -1 };
                let (x0, x1) = (way.at(i, across), way.at(i + 1, across));
                let edge = Edge { from: if x0.x < x1.x { x0 } else { x1 }, down: false };
                self.notched.entry(edge).or_default()[usize::from(s * beyond > 0)] += 1;
                let (y0, y1) = (way.at(across, i), way.at(across, i + 1));
                let edge = Edge { from: if y0.y < y1.y { y0 } else { y1 }, down: true };
                self.notched.entry(edge).or_default()[usize::from(e * beyond > 0)] += 1;
            }
        }
    }
}

/// Everything about the turns themselves that does not fit.
pub(super) fn turns(level: &Level, build: &LevelBuild, faults: &mut Vec<Fault>) {
    let mut covered: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (index, turn) in level.turns.iter().enumerate() {
        let way = Way::of(turn);
        let far = way.at(turn.bend.reach, turn.bend.reach);
        let ((left, right), (top, bottom)) = (ordered(turn.at.x, far.x), ordered(turn.at.y, far.y));
        let whole = (right - left, bottom - top) == (turn.bend.reach as usize, turn.bend.reach as usize);
        if !whole || right > level.width || bottom > level.height {
            faults.push(Fault::Block { at: turn.at });
            continue;
        }
        for (x, y) in (top..bottom).flat_map(|y| (left..right).map(move |x| (x, y))) {
            if level.cell(x, y).is_some() || covered.insert((x, y), index).is_some() {
                faults.push(Fault::BlockOver { at: turn.at, x, y });
            }
            let upright = Edge { from: Vertex { x, y }, down: true };
            let lying = Edge { from: Vertex { x, y }, down: false };
            let inside = [(upright, x > left), (lying, y > top)];
            let walled = inside.into_iter().filter(|(edge, inside)| *inside && level.wall(*edge).is_some());
            faults.extend(walled.map(|(edge, _)| Fault::WallInTurn { at: turn.at, edge }));
        }
        let within = turn.inner.unwrap_or(turn.bend.reach);
        let ring = turn.inner.map(TurnPart::Ring).zip(turn.ring);
        let parts = [
            turn.fan.map(|surface| (within, TurnPart::Fan, surface)),
            ring.map(|(part, surface)| (turn.bend.reach, part, surface)),
            turn.spandrel.map(|surface| (turn.bend.reach, TurnPart::Spandrel, surface)),
        ];
        let expected: Vec<_> = parts.into_iter().flatten().collect();
        let here = build.turn_tiles.iter().filter(|place| place.turn == index);
        let like = |form| form == turn.bend.form;
        let found: Vec<_> = here
            .filter(|place| like(place.tile.bend.form))
            .map(|place| (place.tile.bend.reach, place.tile.part, place.surface))
            .collect();
        if found != expected {
            faults.push(Fault::TurnTiles { at: turn.at, expected: expected.len(), found: found.len() });
        }
        let expected: Vec<_> = [turn.inner.zip(turn.inner_wall), turn.wall.map(|design| (turn.bend.reach, design))]
            .into_iter()
            .flatten()
            .collect();
        let here = build.bent_walls.iter().filter(|place| place.turn == index && like(place.bend.form));
        let found: Vec<_> = here.map(|place| (place.bend.reach, place.design)).collect();
        if found != expected {
            faults.push(Fault::TurnWalls { at: turn.at, expected: expected.len(), found: found.len() });
        }
    }
    let turns = build.turn_tiles.iter().map(|place| place.turn).chain(build.bent_walls.iter().map(|place| place.turn));
    faults.extend(turns.filter(|turn| *turn >= level.turns.len()).map(|turn| Fault::NoTurn { turn }));
}

/// Tiles of turns above the ground that do not stand on a post at each of their corners.
pub(super) fn carried(level: &Level, build: &LevelBuild) -> Vec<Fault> {
    let posts: BTreeSet<Vertex> = build.posts.iter().map(|post| post.at).collect();
    let hangs = |turn: &&Turn| {
        let way = Way::of(turn);
        let (reach, inner) = (turn.bend.reach, turn.inner.unwrap_or(turn.bend.reach));
        let fan = [turn.at, way.on_x(inner), way.on_y(inner)];
        let ring = [way.on_x(inner), way.on_y(inner), way.on_x(reach), way.on_y(reach)];
        let free = |corners: &[Vertex]| corners.iter().any(|at| !posts.contains(at));
        turn.spandrel.is_some() || (turn.fan.is_some() && free(&fan)) || (turn.ring.is_some() && free(&ring))
    };
    level.turns.iter().filter(hangs).map(|turn| Fault::HangingTurn { at: turn.at }).collect()
}

/// Whether a level's turns lie at a vertex of the one below.
pub(super) fn covers(level: &Level, at: Vertex) -> bool {
    level.turns.iter().any(|turn| {
        let far = Way::of(turn).at(turn.bend.reach, turn.bend.reach);
        let ((left, right), (top, bottom)) = (ordered(turn.at.x, far.x), ordered(turn.at.y, far.y));
        left <= at.x && at.x <= right && top <= at.y && at.y <= bottom
    })
}

fn ordered(one: usize, other: usize) -> (usize, usize) {
    (one.min(other), one.max(other))
}

/// The corner of a turn and the directions in which its block lies from there, 1 or -1.
struct Way {
    corner: Vertex,
    east: isize,
    south: isize,
}

impl Way {
    fn of(turn: &Turn) -> Self {
        let (east, south) = match turn.turns % 4 {
            0 => (1, -1),
            1 => (-1, -1),
            2 => (-1, 1),
            _ => (1, 1),
        };
        Self { corner: turn.at, east, south }
    }

    fn at(&self, along: u32, down: u32) -> Vertex {
        let by = |from: usize, modules: u32, way: isize| from.saturating_add_signed(modules as isize * way);
        Vertex { x: by(self.corner.x, along, self.east), y: by(self.corner.y, down, self.south) }
    }

    fn on_x(&self, modules: u32) -> Vertex {
        self.at(modules, 0)
    }

    fn on_y(&self, modules: u32) -> Vertex {
        self.at(0, modules)
    }
}
