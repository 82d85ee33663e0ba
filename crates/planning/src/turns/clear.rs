//! What turns and posts ask of each other, and how they are told that they do not get it.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::TurnPart;
use flatwright_geometry::pieces::post::Stand;
use flatwright_geometry::units::{Mm, plain};

use super::{Turn, part_name};
use crate::build::{LevelBuild, TurnTilePlace};
use crate::plan::{Level, Plan, Vertex};
use crate::problem::PlanProblem;

/// Posts that stand in the way of a wall on a bend, and those that stand, themselves or with their base
/// plate, where a turn's tile lies without a corner for them. The parameters tell how near bends come to
/// the lattice.
#[must_use]
pub fn in_the_way(plan: &Plan, level: &Level, build: &LevelBuild, p: &Parameters) -> Vec<PlanProblem> {
    let posts: BTreeMap<Vertex, Stand> = build.posts.iter().map(|post| (post.at, post.post.stand)).collect();
    // A cap is a little wider than its post: two calipers and the play, on either side.
    let cap = if plan.caps { p.card * 2.0 + p.play } else { Mm::ZERO };
    let least = (p.post_side() + p.wall_thickness()) / 2.0 + p.play + cap;
    let m = p.module.get();
    let mut problems = Vec::new();
    for turn in &level.turns {
        let reach = turn.bend.reach;
        let here = (0..=reach).flat_map(|u| (0..=reach).map(move |v| (u, v)));
        for ((u, v), stand) in here.filter_map(|at| Some((at, *posts.get(&turn.vertex(at.0, at.1))?))) {
            let at = turn.vertex(u, v);
            for (bend, _) in turn.walls().filter(|(bend, _)| turn.ends(*bend).iter().all(|(end, _)| *end != at)) {
                let (x, y) = (f64::from(u) * m, f64::from(v) * m);
                let line: Vec<(f64, f64)> = bend.line(p).iter().map(|to| (to.x - x, to.y - y)).collect();
                let apart = line.windows(2).map(from_middle).fold(f64::INFINITY, f64::min);
                if apart < least.get() {
                    problems.push(PlanProblem::in_the_way(level, turn, at, (apart, least.get())));
                }
            }
            let half = p.post_side() / 2.0;
            let half = if stand == Stand::BasePlate { half + p.tongue } else { half };
            for (tile, _) in turn.tiles().filter(|(tile, _)| turn.corners(*tile).iter().all(|(end, _)| *end != at)) {
                if tile.meets_square(p, (u, v), half) {
                    problems.push(PlanProblem::on_a_tile(level, turn, tile.part, (at, stand)));
                }
            }
        }
    }
    problems
}

/// Distance in the maximum metric between the origin and a piece of a line: half the side of the square
/// about the origin that just touches it.
fn from_middle(pair: &[(f64, f64)]) -> f64 {
    let ((ax, ay), (bx, by)) = (pair[0], pair[1]);
    let at = |t: f64| (ax + (bx - ax) * t).abs().max((ay + (by - ay) * t).abs());
    // It is least at an end, on an axis or on a diagonal of the square.
    let crossing = |from: f64, to: f64| if from == to { 0.0 } else { (from / (from - to)).clamp(0.0, 1.0) };
    let inner = [crossing(ax, bx), crossing(ay, by), crossing(ax - ay, bx - by), crossing(ax + ay, bx + by)];
    inner.into_iter().chain([0.0, 1.0]).map(at).fold(f64::INFINITY, f64::min)
}

/// Tiles of turns above the ground that stand on too few posts.
#[must_use]
pub fn uncarried(level: &Level, build: &LevelBuild) -> Vec<PlanProblem> {
    let posts: BTreeSet<Vertex> = build.posts.iter().map(|post| post.at).collect();
    let free = |place: &TurnTilePlace| {
        let turn = level.turns.get(place.turn)?;
        if place.tile.part == TurnPart::Spandrel {
            return Some(PlanProblem::hanging_spandrel(level, turn));
        }
        let free = turn.corners(place.tile).into_iter().find(|(at, _)| !posts.contains(at))?;
        Some(PlanProblem::hanging_turn(level, turn, place.tile.part, free.0))
    };
    build.turn_tiles.iter().filter_map(free).collect()
}

impl PlanProblem {
    fn at_vertex(level: &Level, at: Vertex, message: String, help: &str) -> Self {
        let (line, column) = level.vertex_in_text(at);
        Self { level: level.name.clone(), line, column, length: 1, message, help: help.into() }
    }

    /// A side of a post that two walls would take, one of them on a bend.
    pub(crate) fn taken(level: &Level, at: Vertex, face: usize) -> Self {
        let face = ["north", "west", "south", "east"][face % 4];
        let message = format!("two walls meet the post here from the {face}, at least one of them on a bend");
        let help = "a bend leaves its end along the lattice: leave the wall on that edge out, or turn about another \
                    corner";
        Self::at_vertex(level, at, message, help)
    }

    /// A post at the side of a turn's tile.
    pub(crate) fn closed(level: &Level, at: Vertex, letter: char) -> Self {
        let message = format!("a post stands here, in the side of a tile of turn '{letter}', which has no room for it");
        let help = "such a tile is relieved at its corners alone: end walls there, or leave that part's floor out";
        Self::at_vertex(level, at, message, help)
    }

    /// A post too near to a wall on a bend.
    fn in_the_way(level: &Level, turn: &Turn, at: Vertex, (apart, least): (f64, f64)) -> Self {
        let message = format!(
            "a post stands here, {} mm from the wall on the bend of turn '{}', which needs {} mm beside it",
            plain(apart, 1),
            turn.letter,
            plain(least, 1)
        );
        Self::at_vertex(level, at, message, "end walls further from where the bend begins, or use a shorter reach")
    }

    /// A post, or its plate, where a turn's tile lies.
    fn on_a_tile(level: &Level, turn: &Turn, part: TurnPart, (at, stand): (Vertex, Stand)) -> Self {
        let what = match stand {
            Stand::BasePlate => "a post stands here on a base plate, which reaches to where",
            Stand::Feet(_) => "a post stands here, where",
        };
        let message = format!("{what} the {} of turn '{}' lies", part_name(part), turn.letter);
        let help = "draw other floor beside the post, end the wall elsewhere, or leave that part's floor out";
        Self::at_vertex(level, at, message, help)
    }

    fn hanging_spandrel(level: &Level, turn: &Turn) -> Self {
        let far = turn.vertex(turn.bend.reach, turn.bend.reach);
        let message = format!("the spandrel of turn '{}' has nothing under its tips above another level", turn.letter);
        Self::at_vertex(level, far, message, "leave it out above the ground, or let a level of its own begin here")
    }

    fn hanging_turn(level: &Level, turn: &Turn, part: TurnPart, at: Vertex) -> Self {
        let message = format!(
            "the {} of turn '{}' rests on the level below at its posts alone, and none stands at this corner of it",
            part_name(part),
            turn.letter
        );
        Self::at_vertex(level, at, message, "draw walls that end here on both levels, or leave this part's floor out")
    }
}
