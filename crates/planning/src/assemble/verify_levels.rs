//! Whether levels stand on each other, from their drawings up.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::stair::Climb;

use super::verify::Fault;
use super::verify_turns;
use crate::build::{LevelBuild, PostPlace, WallPlace};
use crate::fittings::Form;
use crate::plan::{Edge, Level, Plan, Vertex};

/// Everything that does not fit between levels, each with the index of its level; nothing when all is well.
///
/// Every post above the ground stands on feet, over one post of the level below that is as high as one
/// that carries a level, and has one coupler with that post's arms; no other post is as high. Every tile
/// above the ground has a post at all four of its corners or (where `walls` carry) a wall below one of the
/// sides there that is not cut down; or at three, and at the fourth a biscuit on both of its sides to a tile
/// with as much at three or more. Tiles of turns have posts at all of their corners, and none is a spandrel.
/// A flight to the level above has no floor of it over its middle line, and floor of it a quarter of a module
/// beyond its top.
#[must_use]
pub fn verify_levels(plan: &Plan, builds: &[LevelBuild], walls: bool) -> Vec<(usize, Fault)> {
    let mut faults = Vec::new();
    for (index, (level, build)) in plan.levels.iter().zip(builds).enumerate() {
        let mut tell = |found: Vec<Fault>| faults.extend(found.into_iter().map(|fault| (index, fault)));
        tell(heights(build, builds.get(index + 1)));
        if let Some(above) = plan.levels.get(index + 1) {
            tell(stairs(plan, build, above));
        }
        match index.checked_sub(1) {
            Some(below) => {
                tell(posts(build, &builds[below]));
                tell(tiles(plan, level, build, &builds[below], walls));
                tell(verify_turns::carried(level, build));
            }
            None => tell(build.couplers.iter().map(|place| astray(build, place.post)).collect()),
        }
    }
    faults
}

/// Points along a flight's middle line, and one beyond its top, against the cells of the level above.
fn stairs(plan: &Plan, build: &LevelBuild, above: &Level) -> Vec<Fault> {
    let mut faults = Vec::new();
    for place in &build.fittings {
        let Some(design) = plan.fittings.get(place.design) else { continue };
        let Form::Flight(flight) = design.form else { continue };
        if flight.climb == Climb::Lower {
            continue;
        }
        let (south, east) = (-design.turn.to_radians()).sin_cos();
        let at = |along: f64| (place.at.0 + along * east, place.at.1 + along * south);
        let half = f64::from(flight.run) / 2.0;
        let mut tell = |what| faults.push(Fault::Stair { x: place.put.x, y: place.put.y, what });
        // Off the lattice lines, on which the middle of a wide flight may lie.
        let off = if flight.wide.is_multiple_of(2) { 0.25 } else { 0.0 };
        let seen = |along: f64| {
            let (x, y) = at(along);
            (x + off * south.abs(), y + off * east.abs())
        };
        let over = |along: f64| {
            let (x, y) = seen(along);
            x >= 0.0 && y >= 0.0 && above.may_have_floor(x.floor() as usize, y.floor() as usize)
        };
        if (0..4 * flight.run).any(|step| over(f64::from(step) / 4.0 + 0.125 - half)) {
            tell("floor is over it");
        }
        let (x, y) = seen(half + 0.25);
        if !above.surely_has_floor(x, y) {
            tell("no floor is beyond its top");
        }
    }
    faults
}

/// On the ground there is nothing to be joined to.
fn astray(build: &LevelBuild, post: usize) -> Fault {
    match build.posts.get(post) {
        Some(place) => {
            let found = build.couplers.iter().filter(|other| other.post == post).map(|other| other.coupler);
            Fault::Coupler { at: place.at, expected: Vec::new(), found: found.collect() }
        }
        None => Fault::NoPostOfCoupler { post },
    }
}

fn heights(build: &LevelBuild, above: Option<&LevelBuild>) -> Vec<Fault> {
    let carried: BTreeSet<Vertex> = above.iter().flat_map(|above| &above.posts).map(|post| post.at).collect();
    let wrong = build.posts.iter().filter(|post| post.post.under != carried.contains(&post.at));
    let fault = |post: &PostPlace| Fault::Height { at: post.at, expected: !post.post.under, found: post.post.under };
    wrong.map(fault).collect()
}

fn posts(build: &LevelBuild, below: &LevelBuild) -> Vec<Fault> {
    let under: BTreeMap<Vertex, &PostPlace> = below.posts.iter().map(|post| (post.at, post)).collect();
    let mut couplers: BTreeMap<usize, Vec<Coupler>> = BTreeMap::new();
    for place in &build.couplers {
        couplers.entry(place.post).or_default().push(place.coupler);
    }
    let mut faults = Vec::new();
    for (index, post) in build.posts.iter().enumerate() {
        let at = post.at;
        if post.post.feet().count() == 0 {
            faults.push(Fault::PlateAbove { at });
        }
        let Some(lower) = under.get(&at) else {
            faults.push(Fault::NoPostBelow { at });
            continue;
        };
        let found = couplers.get(&index).cloned().unwrap_or_default();
        if !matches!(found[..], [one] if one.arms == lower.post.arms) {
            let expected = vec![Coupler { arms: lower.post.arms }];
            faults.push(Fault::Coupler { at, expected, found });
        }
    }
    let astray = build.couplers.iter().filter(|place| place.post >= build.posts.len());
    faults.extend(astray.map(|place| Fault::NoPostOfCoupler { post: place.post }));
    faults
}

fn tiles(plan: &Plan, level: &Level, build: &LevelBuild, under: &LevelBuild, walls: bool) -> Vec<Fault> {
    let whole = |wall: &&WallPlace| match plan.designs.get(wall.design).map(|design| &design.opening) {
        Some(Some(Opening::Low { .. })) => false,
        Some(Some(Opening::Drawn(drawn))) => drawn.top.is_empty(),
        _ => true,
    };
    let walled: BTreeSet<Edge> = under
        .walls
        .iter()
        .filter(|wall| walls && wall.filler.is_none())
        .filter(whole)
        .flat_map(|wall| wall.edges())
        .collect();
    let posted: BTreeSet<Vertex> = build.posts.iter().map(|post| post.at).collect();
    let biscuits: BTreeSet<Edge> = build.biscuits.iter().copied().collect();
    let mut owner: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (index, tile) in build.tiles.iter().enumerate() {
        let cells = (tile.y..tile.y + tile.height).flat_map(|y| (tile.x..tile.x + tile.width).map(move |x| (x, y)));
        owner.extend(cells.filter(|&(x, y)| level.cell(x, y).is_some()).map(|cell| (cell, index)));
    }
    let at = |tile: usize, east: bool, south: bool| {
        let tile = &build.tiles[tile];
        let x = if east { tile.x + tile.width } else { tile.x };
        Vertex { x, y: if south { tile.y + tile.height } else { tile.y } }
    };
    let ways = [(false, false), (false, true), (true, false), (true, true)];
    // At a corner, the ends of the two sides that meet there.
    let rests = |tile: usize, east: bool, south: bool| {
        let Vertex { x, y } = at(tile, east, south);
        let lying = Vertex { x: if east { x - 1 } else { x }, y };
        let upright = Vertex { x, y: if south { y - 1 } else { y } };
        posted.contains(&Vertex { x, y })
            || walled.contains(&Edge { from: lying, down: false })
            || walled.contains(&Edge { from: upright, down: true })
    };
    let resting = |tile: usize| ways.iter().filter(|(east, south)| rests(tile, *east, *south)).count();
    let mut faults = Vec::new();
    for tile in 0..build.tiles.len() {
        // At a free corner: the cell of this tile there, the one beyond its west or east side, and the
        // one beyond its north or south side.
        let held = |east: bool, south: bool| {
            let Vertex { x, y } = at(tile, east, south);
            let (inner_x, inner_y) = (if east { x - 1 } else { x }, if south { y - 1 } else { y });
            let beyond_x = if east { Some(x) } else { x.checked_sub(1) };
            let beyond_y = if south { Some(y) } else { y.checked_sub(1) };
            let beside = [
                (beyond_x.map(|x| (x, inner_y)), Edge { from: Vertex { x, y: inner_y }, down: true }),
                (beyond_y.map(|y| (inner_x, y)), Edge { from: Vertex { x: inner_x, y }, down: false }),
            ];
            beside.into_iter().all(|(cell, edge)| {
                let other = cell.and_then(|cell| owner.get(&cell));
                biscuits.contains(&edge) && other.is_some_and(|other| resting(*other) >= 3)
            })
        };
        let count = resting(tile);
        let free = ways.into_iter().filter(|(east, south)| !rests(tile, *east, *south));
        if count < 3 || !free.into_iter().all(|(east, south)| held(east, south)) {
            faults.push(Fault::Uncarried { tile, resting: count });
        }
    }
    faults
}
