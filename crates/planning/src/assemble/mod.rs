//! Tiles, walls and posts to a whole level: biscuits and pockets follow from them.
//!
//! [`assemble`] fills in what follows, [`verify`] checks a level from its drawing up,
//! [`pieces`] counts what all levels need and [`shortfall`] takes off what has been built already.

mod needed;
mod on_hand;
mod verify;
mod verify_levels;
mod verify_turns;

pub use needed::{Needed, Place, Spot, pieces};
pub use on_hand::{OnHand, TilesOnHand, shortfall};
pub use verify::{Fault, verify};
pub use verify_levels::verify_levels;

use std::collections::BTreeMap;

use crate::build::{LevelBuild, PostPlace, TilePlace, WallPlace};
use crate::plan::{Edge, Level, Plan, Vertex};
use crate::turns::{self, Side};

/// A level from its tiles, walls and posts.
///
/// The tiles and walls of turns are added. A biscuit lies on every lattice edge with a different tile on
/// either side, under walls too, but where the tile of a turn has no notch. A
/// pocket lies under every tile's corner that holds a foot of a post. Where the plan has caps, every
/// post with nothing above it carries one. Fittings stand where their letters put them. The lists are sorted as
/// [`LevelBuild`] says. What joins levels comes from [`crate::levels::join`].
///
/// What does not fit together stays as it is given: [`verify`] finds it, and debug builds stop at it.
#[must_use]
pub fn assemble(
    plan: &Plan,
    level: &Level,
    walls: Vec<WallPlace>,
    posts: Vec<PostPlace>,
    tiles: Vec<TilePlace>,
) -> LevelBuild {
    let mut build = LevelBuild { tiles, walls, posts, ..LevelBuild::default() };
    build.tiles.sort();
    build.walls.sort();
    build.posts.sort_by_key(|post| (post.at.y, post.at.x));
    (build.turn_tiles, build.bent_walls) = turns::pieces(level);
    let owners = Owners::with_turns(level, &build);
    build.biscuits = owners.seams().collect();
    build.caps = (0..build.posts.len()).filter(|&post| plan.cap_at(level, build.posts[post].at)).collect();
    build.pockets = pockets(&build.posts, &owners);
    build.fittings = crate::fittings::places(plan, level);
    debug_assert!(verify(plan, level, &build).is_empty(), "{:?}", verify(plan, level, &build));
    build
}

/// Every foot of every post needs its pocket.
fn pockets(posts: &[PostPlace], owners: &Owners) -> Vec<(Vertex, usize)> {
    let quadrants = |post: &PostPlace| {
        let (at, feet) = (post.at, post.post.feet());
        (0..4).filter(move |&q| feet.has(q)).map(move |q| (at, q))
    };
    posts.iter().flat_map(quadrants).filter(|&(at, q)| owners.around(at, q).is_some()).collect()
}

/// Which tile covers which cell.
pub(crate) struct Owners {
    width: usize,
    height: usize,
    cells: Vec<Option<usize>>,
    /// Tiles of turns beside edges in which they have a notch, as [`Owners::sides`] gives them.
    beside: BTreeMap<Edge, [Option<usize>; 2]>,
    /// Those with a corner at a vertex, by quadrant.
    corners: BTreeMap<(Vertex, usize), usize>,
}

impl Owners {
    /// Of overlapping tiles the first one counts; cells outside the level count for none.
    pub fn of(level: &Level, tiles: &[TilePlace]) -> Self {
        Self::within(level.width, level.height, tiles)
    }

    /// As [`Self::of`], with the tiles of turns: they are numbered on from the tiles, as [`LevelBuild::slab`] has them.
    pub fn with_turns(level: &Level, build: &LevelBuild) -> Self {
        let mut owners = Self::of(level, &build.tiles);
        for (index, place) in build.turn_tiles.iter().enumerate() {
            let (slab, turn) = (build.tiles.len() + index, &level.turns[place.turn]);
            owners.corners.extend(turn.corners(place.tile).into_iter().map(|corner| (corner, slab)));
            for Side { edge, of, .. } in turn.sides(place.tile).into_iter().filter(|side| side.notched) {
                owners.beside.entry(edge).or_default()[of] = Some(slab);
            }
        }
        owners
    }

    /// As [`Self::of`], for a level as large as its tiles reach.
    pub fn of_tiles(tiles: &[TilePlace]) -> Self {
        let width = tiles.iter().map(|tile| tile.x + tile.width).max().unwrap_or(0);
        let height = tiles.iter().map(|tile| tile.y + tile.height).max().unwrap_or(0);
        Self::within(width, height, tiles)
    }

    fn within(width: usize, height: usize, tiles: &[TilePlace]) -> Self {
        let mut cells = vec![None; width * height];
        for (index, tile) in tiles.iter().enumerate() {
            for y in tile.y..tile.y.saturating_add(tile.height).min(height) {
                for x in tile.x..tile.x.saturating_add(tile.width).min(width) {
                    cells[y * width + x].get_or_insert(index);
                }
            }
        }
        Self { width, height, cells, beside: BTreeMap::new(), corners: BTreeMap::new() }
    }

    fn cell(&self, x: Option<usize>, y: Option<usize>) -> Option<usize> {
        let (x, y) = (x?, y?);
        if x < self.width && y < self.height { self.cells[y * self.width + x] } else { None }
    }

    /// The tile in a quadrant of a vertex (order of
    /// [`flatwright_geometry::pieces::post::QUADRANTS`]).
    pub fn around(&self, at: Vertex, quadrant: usize) -> Option<usize> {
        self.tile_around(at, quadrant).or_else(|| self.corners.get(&(at, quadrant)).copied())
    }

    fn tile_around(&self, Vertex { x, y }: Vertex, quadrant: usize) -> Option<usize> {
        match quadrant {
            0 => self.cell(Some(x), y.checked_sub(1)),
            1 => self.cell(x.checked_sub(1), y.checked_sub(1)),
            2 => self.cell(x.checked_sub(1), Some(y)),
            _ => self.cell(Some(x), Some(y)),
        }
    }

    /// The tiles north and south of a west-east edge, west and east of a north-south one; the tile of a turn
    /// only where it has a notch.
    pub fn sides(&self, edge: Edge) -> [Option<usize>; 2] {
        let from = edge.from;
        let before = self.tile_around(from, if edge.down { 2 } else { 0 });
        let turns = self.beside.get(&edge).copied().unwrap_or_default();
        [before.or(turns[0]), self.tile_around(from, 3).or(turns[1])]
    }

    /// All edges with different tiles on their sides: west-east ones first, row by row.
    pub fn seams(&self) -> impl Iterator<Item = Edge> + '_ {
        let edges = |down: bool| {
            let (columns, rows) = (self.width, self.height);
            (0..rows).flat_map(move |y| (0..columns).map(move |x| Edge { from: Vertex { x, y }, down }))
        };
        edges(false).chain(edges(true)).filter(|&edge| match self.sides(edge) {
            [Some(one), Some(other)] => one != other,
            _ => false,
        })
    }
}
