//! How a level holds together: its tiles as a graph, tied by biscuits, tongues and walls.
//!
//! [`measure`] finds the parts of a level, the weakest cut of each and the straight line along
//! which each is most likely to fold; [`advise`] says where to lift and what would help. All
//! capacities are estimates: see [`capacity`].

mod advice;
pub mod capacity;
mod cut;
mod loads;
mod standing;
mod ties;

pub use advice::{Advice, advise, lift_off, tile_name};
pub use capacity::Capacities;
pub use cut::min_cut;
pub use loads::{FACTOR, Load, crippling, loads};
pub use ties::{Joint, Tie, ties};

use crate::build::{LevelBuild, TilePlace};
use crate::plan::Level;

/// How a level holds together.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// What the joints were taken to hold.
    pub capacities: Capacities,
    /// All ties of the level.
    pub ties: Vec<Tie>,
    /// Its parts, by their first tile. No tie leads from one part to another.
    pub parts: Vec<Part>,
}

/// Tiles that are tied to each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Indices into the level's tiles, ascending; those of turns are numbered on from the others
    /// ([`LevelBuild::slabs`]).
    pub tiles: Vec<usize>,
    /// Their area, square modules.
    pub area: usize,
    /// The weakest cut; `None` for a single tile.
    pub weakest: Option<Cut>,
    /// Of all straight lines across the part, the one with the most area on its lighter side for
    /// each unit of capacity: where the part folds when it is lifted by one side. Only straight
    /// lines are compared, so a bent cut may be worse. `None` for a single tile.
    pub fold: Option<Cut>,
}

/// A cut through a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// What the joints across it hold together, relative units.
    pub capacity: u64,
    /// The tiles of either side, ascending; the side of less area first (of equal ones, the side
    /// with the lower first tile).
    pub sides: [Vec<usize>; 2],
    /// The area of either side, square modules.
    pub areas: [usize; 2],
    /// Indices into [`Strength::ties`] of the joints that cross it.
    pub across: Vec<usize>,
}

/// Measures a level, with `capacities` for its joints.
#[must_use]
pub fn measure(level: &Level, build: &LevelBuild, capacities: Capacities) -> Strength {
    let ties = ties(level, build, capacities);
    let parts = components(build.slabs(), &ties)
        .into_iter()
        .map(|tiles| Part {
            area: area(build, &tiles),
            weakest: weakest(build, &tiles, &ties),
            fold: fold(level, build, &tiles, &ties),
            tiles,
        })
        .collect();
    Strength { capacities, ties, parts }
}

/// Connected sets of nodes, each ascending, by their first node.
fn components(nodes: usize, ties: &[Tie]) -> Vec<Vec<usize>> {
    let mut root: Vec<usize> = (0..nodes).collect();
    fn find(root: &mut [usize], mut node: usize) -> usize {
        while root[node] != node {
            root[node] = root[root[node]];
            node = root[node];
        }
        node
    }
    for tie in ties {
        let [one, other] = tie.tiles.map(|tile| find(&mut root, tile));
        // The lower index stays the root, so that parts come in order.
        root[one.max(other)] = one.min(other);
    }
    let mut parts: Vec<Vec<usize>> = vec![Vec::new(); nodes];
    for node in 0..nodes {
        let part = find(&mut root, node);
        parts[part].push(node);
    }
    parts.retain(|part| !part.is_empty());
    parts
}

fn tile_area(tile: &TilePlace) -> usize {
    tile.width * tile.height
}

fn area(build: &LevelBuild, tiles: &[usize]) -> usize {
    let of = |slab: usize| match slab.checked_sub(build.tiles.len()) {
        Some(turn) => build.turn_tiles[turn].area(),
        None => tile_area(&build.tiles[slab]),
    };
    tiles.iter().map(|&tile| of(tile)).sum()
}

fn weakest(build: &LevelBuild, tiles: &[usize], ties: &[Tie]) -> Option<Cut> {
    // Within the part, node i is tile tiles[i]; a tie never leaves its part.
    let node = |tile: usize| tiles.binary_search(&tile).ok();
    let inside: Vec<(usize, usize, u32)> =
        ties.iter().filter_map(|tie| Some((node(tie.tiles[0])?, node(tie.tiles[1])?, tie.capacity))).collect();
    let (_, far) = min_cut(tiles.len(), &inside)?;
    cut(build, tiles, ties, |tile| node(tile).is_some_and(|node| far[node]))
}

fn fold(level: &Level, build: &LevelBuild, tiles: &[usize], ties: &[Tie]) -> Option<Cut> {
    let mut worst: Option<Cut> = None;
    for down in [false, true] {
        // Twice a tile's middle, so that it stays whole.
        let middle = |tile: usize| {
            let TilePlace { x, y, width, height, .. } = build.slab(level, tile);
            if down { 2 * x + width } else { 2 * y + height }
        };
        let mut lines: Vec<usize> = tiles.iter().map(|&tile| middle(tile)).collect();
        lines.sort_unstable();
        lines.dedup();
        for &line in lines.iter().skip(1) {
            let Some(cut) = cut(build, tiles, ties, |tile| middle(tile) >= line) else { continue };
            if worst.as_ref().is_none_or(|known| heavier(&cut, known)) {
                worst = Some(cut);
            }
        }
    }
    worst
}

/// Whether more area hangs on each unit of capacity.
fn heavier(one: &Cut, other: &Cut) -> bool {
    // Crosswise, so that whole numbers decide.
    one.areas[0] as u128 * u128::from(other.capacity) > other.areas[0] as u128 * u128::from(one.capacity)
}

/// The cut with the tiles for which `far` holds on one side; `None` where a side is empty.
fn cut(build: &LevelBuild, tiles: &[usize], ties: &[Tie], far: impl Fn(usize) -> bool) -> Option<Cut> {
    let (over, near): (Vec<usize>, Vec<usize>) = tiles.iter().partition(|&&tile| far(tile));
    if over.is_empty() || near.is_empty() {
        return None;
    }
    let crosses = |tie: &Tie| {
        let [one, other] = tie.tiles.map(|tile| over.binary_search(&tile).is_ok());
        one != other
    };
    let within = |tie: &Tie| tie.tiles.iter().all(|tile| tiles.binary_search(tile).is_ok());
    let across: Vec<usize> = (0..ties.len()).filter(|&i| within(&ties[i]) && crosses(&ties[i])).collect();
    let capacity = across.iter().map(|&i| u64::from(ties[i].capacity)).sum();
    let mut sides = [near, over];
    sides.sort_by_key(|side| (area(build, side), side[0]));
    let areas = [area(build, &sides[0]), area(build, &sides[1])];
    Some(Cut { capacity, sides, areas, across })
}
