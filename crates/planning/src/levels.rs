//! Levels that stand on each other: what an upper one needs of the one below, and what joins them.
//!
//! Vertex (x, y) of every level lies above vertex (x, y) of the one below. Posts stand on posts, and their
//! tongues carry the tiles. A tile is cut out where a post may stand, and ends half the play beside the
//! lattice line: without a post of its own level a corner rests on a wall below one of its sides, where that
//! is thick enough ([`walls_carry`]) and not cut down. Every tile must rest with all four corners, or with
//! three where biscuits on both sides of the fourth hold it to tiles that rest so themselves. A tile of a turn
//! must have a post at each of its corners, and its biscuits hold no others up. That is meant
//! to be on the safe side: no tile hangs by biscuits alone.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::post::Arms;

use crate::assemble::Owners;
use crate::build::{CouplerPlace, LevelBuild, PostPlace, TilePlace, WallPlace};
use crate::plan::{Edge, Level, Plan, Vertex};
use crate::problem::PlanProblem;
use crate::{turns, walls};

/// Walls and posts of one level.
pub type Frame = (Vec<WallPlace>, Vec<PostPlace>);

/// How many corners of a tile must rest on the level below.
const LEAST_RESTING: usize = 3;
/// Least width of a wall's top under the side of a tile, mm. Common practice, no source.
const LEAST_BEARING: f64 = 1.0;

/// Whether walls carry the sides of tiles above them: half of a wall, less half the play, lies under each.
/// Walls of folded card are too thin for that, and posts alone carry.
#[must_use]
pub fn walls_carry(p: &Parameters) -> bool {
    (p.wall_thickness() - p.play).get() / 2.0 >= LEAST_BEARING
}

/// The walls and posts of all levels, lowest first. Walls are parted where a post of the level above
/// stands on them.
///
/// # Errors
/// Those of [`walls::walls_and_posts`] for every level, posts above the ground without one below, and
/// posts above the ground that no tile touches; in the order of the text.
pub fn frames(plan: &Plan) -> Result<Vec<Frame>, Vec<PlanProblem>> {
    let mut problems = Vec::new();
    let mut frames: Vec<Frame> = Vec::new();
    let mut above: BTreeSet<Vertex> = BTreeSet::new();
    // From the top, since posts ask for posts below them.
    for (index, level) in plan.levels.iter().enumerate().rev() {
        let (walls, posts) = walls::under(plan, level, &above).unwrap_or_else(|found| {
            problems.extend(found);
            // Whether its posts stand under those above is told when its own walls are mended.
            above.clear();
            Frame::default()
        });
        if let Some(upper) = plan.levels.get(index + 1) {
            let here: BTreeSet<Vertex> = posts.iter().map(|post| post.at).collect();
            let hang = above.difference(&here);
            problems.extend(hang.map(|at| PlanProblem::hangs(upper, level, *at)));
        }
        if index > 0 {
            let bare = posts.iter().filter(|post| post.post.feet().count() == 0);
            problems.extend(bare.map(|post| PlanProblem::plate_above(level, post.at)));
        }
        above = posts.iter().map(|post| post.at).collect();
        frames.push((walls, posts));
    }
    frames.reverse();
    problems.sort_by_key(|problem| (problem.line, problem.column));
    if problems.is_empty() { Ok(frames) } else { Err(problems) }
}

/// Tiles of a level that the one below does not carry. `walls` says whether its walls carry them too.
#[must_use]
pub fn uncarried(plan: &Plan, level: &Level, build: &LevelBuild, below: &Level, walls: bool) -> Vec<PlanProblem> {
    let owners = Owners::of(level, &build.tiles);
    let ground = Ground::new(plan, build, below, walls);
    let biscuits: BTreeSet<Edge> = build.biscuits.iter().copied().collect();
    let resting: Vec<[bool; 4]> = build.tiles.iter().map(|tile| ground.rests(tile)).collect();
    let count = |tile: usize| resting[tile].iter().filter(|rests| **rests).count();
    let held = |tile: usize| {
        let free = corners(&build.tiles[tile]).into_iter().zip(resting[tile]).filter(|(_, rests)| !rests);
        let mut sides = free.flat_map(|(at, _)| sides_at(&build.tiles[tile], at));
        sides.all(|edge| {
            let other = owners.sides(edge).into_iter().flatten().find(|other| *other != tile);
            biscuits.contains(&edge) && other.is_some_and(|other| count(other) >= LEAST_RESTING)
        })
    };
    let bad = (0..build.tiles.len()).filter(|&tile| count(tile) < LEAST_RESTING || !held(tile));
    let bad = bad.map(|tile| PlanProblem::uncarried(level, &build.tiles[tile], count(tile)));
    bad.chain(turns::uncarried(level, build)).collect()
}

/// Corners of a tile, in the order of [`flatwright_geometry::pieces::post::QUADRANTS`].
#[must_use]
pub const fn corners(tile: &TilePlace) -> [Vertex; 4] {
    let TilePlace { x, y, width, height, .. } = *tile;
    [Vertex { x: x + width, y }, Vertex { x, y }, Vertex { x, y: y + height }, Vertex { x: x + width, y: y + height }]
}

/// What carries the tiles of a level: its own posts, and the walls below.
pub struct Ground<'a> {
    plan: &'a Plan,
    posts: BTreeSet<Vertex>,
    below: &'a Level,
    walls: bool,
}

impl<'a> Ground<'a> {
    /// For a level and the one below it, whose walls carry or do not.
    #[must_use]
    pub fn new(plan: &'a Plan, build: &LevelBuild, below: &'a Level, walls: bool) -> Self {
        Self { plan, posts: build.posts.iter().map(|post| post.at).collect(), below, walls }
    }

    /// Which corners of a tile rest.
    #[must_use]
    pub fn rests(&self, tile: &TilePlace) -> [bool; 4] {
        let wall = |edge: Edge| self.below.wall(edge).is_some_and(|design| reaches_up(self.plan, design));
        corners(tile).map(|at| self.posts.contains(&at) || (self.walls && sides_at(tile, at).into_iter().any(wall)))
    }
}

/// Whether walls of a design are as high as their posts all along, from post to post.
#[must_use]
pub fn reaches_up(plan: &Plan, design: usize) -> bool {
    let design = plan.designs.get(design);
    if design.is_some_and(|design| design.filler.is_some()) {
        return false;
    }
    match design.and_then(|design| design.opening.as_ref()) {
        Some(Opening::Low { .. }) => false,
        Some(Opening::Drawn(drawn)) => drawn.top.is_empty(),
        _ => true,
    }
}

/// Vertices under a wall, its ends included.
pub(crate) fn vertices(wall: &WallPlace) -> impl Iterator<Item = Vertex> + use<> {
    wall.edges().map(|edge| edge.from).chain([wall.to()])
}

/// The two edges of a tile's sides that end at one of its corners.
fn sides_at(tile: &TilePlace, at: Vertex) -> [Edge; 2] {
    let west = if at.x == tile.x { at.x } else { at.x - 1 };
    let north = if at.y == tile.y { at.y } else { at.y - 1 };
    [Edge { from: Vertex { x: west, y: at.y }, down: false }, Edge { from: Vertex { x: at.x, y: north }, down: true }]
}

/// Puts a coupler under every post that stands on another level's. `builds` are all levels, lowest first.
pub fn join(builds: &mut [LevelBuild]) {
    for upper in 1..builds.len() {
        let (lower, rest) = builds.split_at_mut(upper);
        let below: BTreeMap<Vertex, Arms> =
            lower[upper - 1].posts.iter().map(|post| (post.at, post.post.arms)).collect();
        let couplers = rest[0].posts.iter().enumerate().filter_map(|(post, place)| {
            let coupler = Coupler { arms: *below.get(&place.at)? };
            Some(CouplerPlace { post, coupler })
        });
        rest[0].couplers = couplers.collect();
    }
}
