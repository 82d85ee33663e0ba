//! Tiles for a level's floor: fewest, then least board, then staggered seams.
//!
//! Each connected part of the floor (cells of one surface without a wall between them) is an exact
//! cover by rectangles, solved as an integer programme. Parts of the same shape share a solution.

mod floor;
mod patch;
mod prices;
mod programme;
mod windows;
mod worth;

use std::collections::BTreeMap;

use crate::build::{PostPlace, TilePlace};
use crate::plan::{Level, Plan};
use crate::problem::PlanProblem;
use floor::{Floor, Place};
use patch::Patch;

/// Tiles on hand: how many of each surface (index into [`Plan::surfaces`]) and size (modules, the
/// longer side first).
pub type OnHand = BTreeMap<(usize, (usize, usize)), usize>;

/// Effort at which plans of 60 x 60 cells take seconds.
pub const DEFAULT_EFFORT: u32 = 2;

/// A count that was made as small as could be found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Fewest {
    /// How many there are.
    pub found: usize,
    /// Proved: no cover has fewer.
    pub at_least: usize,
}

impl Fewest {
    /// Whether it is proved that there are as few as can be.
    #[must_use]
    pub const fn is_exact(self) -> bool {
        self.found == self.at_least
    }
}

/// A level's floor, covered.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cover {
    /// Tiles, by row and then by column of their north-west cell.
    pub tiles: Vec<TilePlace>,
    /// How many tiles. With tiles on hand: among covers with as few new tiles as found.
    pub fewest: Fewest,
    /// How many tiles beyond those on hand; without any on hand the same as `fewest`.
    pub new_tiles: Fewest,
    /// Seams that run straight through a connected part of the floor from border to border,
    /// among covers with as few tiles and as little board as found.
    pub straight_seams: Fewest,
    /// Whether it is proved that no cover with as few tiles takes less board. (With tiles on hand: less
    /// board for new ones, a cell's board and that of a tile's edges in their usual proportion.)
    pub least_board: bool,
    /// Tiles taken from those on hand.
    pub from_stock: OnHand,
}

/// Covers a level's floor with the plan's tiles: every cell once, one surface a tile, no wall across
/// a tile, and every post where all tiles around it are relieved.
///
/// Makes least, in this order: tiles beyond those on hand, tiles, board, seams that run straight
/// through. `effort` (from 1; [`DEFAULT_EFFORT`]) bounds the search in steps, not in time: the same
/// plan always gives the same tiles. Where it ends before the proof the bounds in the [`Cover`] say
/// how much better a cover could be. Bounds rest on the solver's arithmetic with a margin for
/// rounding; those of parts too large for one programme are added up in whole numbers.
///
/// # Errors
/// Parts of the floor that the plan's tiles cannot cover, and those for which none was found.
pub fn cover(
    plan: &Plan,
    level: &Level,
    posts: &[PostPlace],
    on_hand: &OnHand,
    effort: u32,
) -> Result<Cover, Vec<PlanProblem>> {
    let effort = effort.max(1);
    let floor = Floor::new(plan, level, posts);
    let (patches, problems) = every_part(&floor, level, effort);
    if !problems.is_empty() {
        return Err(problems);
    }
    let useful: OnHand =
        on_hand.iter().filter(|&(_, &count)| count > 0).map(|(class, &count)| (*class, count)).collect();
    let useful_here = |&(surface, (long, short)): &(usize, (usize, usize))| {
        floor.surfaces.contains(&surface) && floor.sides.contains(&(long, short))
    };
    if !useful.keys().any(useful_here) {
        return Ok(together(&floor, &patches, None));
    }
    // Stock ties the parts together: all of them in one programme, from the covers just found.
    let mut cells: Vec<usize> = floor.parts.iter().flatten().copied().collect();
    cells.sort_unstable();
    let mut start: Vec<Place> = patches.into_iter().flat_map(|patch| patch.places).collect();
    start.sort_unstable();
    let patch = patch::cover(&floor, &cells, Some(start), Some(&useful), effort);
    Ok(together(&floor, &[patch], Some(&useful)))
}

/// Each part by itself; what cannot be covered.
fn every_part(floor: &Floor, level: &Level, effort: u32) -> (Vec<Patch>, Vec<PlanProblem>) {
    let mut known: BTreeMap<Vec<Place>, usize> = BTreeMap::new();
    let mut patches: Vec<Patch> = Vec::new();
    let mut problems = Vec::new();
    for cells in &floor.parts {
        let shape = shape(floor, cells);
        let origin = corner(floor, cells);
        let same = shape.as_ref().and_then(|shape| known.get(shape)).copied();
        let patch = match same {
            Some(of) => patches[of].moved(corner(floor, &floor.parts[of]), origin),
            None => patch::cover(floor, cells, None, None, effort),
        };
        if patch.worth.bare > 0 {
            let (x, y) = (cells[0] % floor.width, cells[0] / floor.width);
            let mut problem = PlanProblem::floor(level, x, y, cells.len());
            if patch.at_least.bare == 0 {
                problem.message = format!("no cover was found for the {} cells of floor around this one", cells.len());
            }
            problems.push(problem);
        }
        if let Some(shape) = shape {
            known.entry(shape).or_insert(patches.len());
        }
        patches.push(patch);
    }
    (patches, problems)
}

/// Parts of more cells than this are not compared with others: few are alike.
const COMPARED: usize = 400;

/// Everything that the covers of a part depend on, seen from its north-west corner: where tiles may
/// lie on it, and its single cells.
fn shape(floor: &Floor, cells: &[usize]) -> Option<Vec<Place>> {
    if cells.len() > COMPARED {
        return None;
    }
    let mut free = vec![false; floor.part.len()];
    cells.iter().for_each(|&cell| free[cell] = true);
    let (x, y) = corner(floor, cells);
    let mut shape: Vec<Place> =
        cells.iter().map(|cell| Place { y: cell / floor.width, x: cell % floor.width, width: 0, height: 0 }).collect();
    shape.extend(floor.places(cells, &free));
    let lines = floor.lines.iter().filter(|line| Some(&line.part) == cells.first().map(|&cell| &floor.part[cell]));
    shape.extend(lines.map(|line| match line.down {
        true => Place { y: line.from, x: line.at, width: 0, height: line.to - line.from },
        false => Place { y: line.at, x: line.from, width: line.to - line.from, height: 0 },
    }));
    shape.iter_mut().for_each(|p| (p.x, p.y) = (p.x - x, p.y - y));
    Some(shape)
}

/// The north-west corner of what encloses some cells.
fn corner(floor: &Floor, cells: &[usize]) -> (usize, usize) {
    let x = cells.iter().map(|cell| cell % floor.width).min().unwrap_or(0);
    (x, cells.first().map_or(0, |cell| cell / floor.width))
}

impl Patch {
    fn moved(&self, from: (usize, usize), to: (usize, usize)) -> Self {
        let moved = |p: &Place| Place { x: p.x - from.0 + to.0, y: p.y - from.1 + to.1, ..*p };
        Self { places: self.places.iter().map(moved).collect(), ..*self }
    }
}

fn together(floor: &Floor, patches: &[Patch], on_hand: Option<&OnHand>) -> Cover {
    let places = patches.iter().flat_map(|patch| &patch.places);
    let mut cover = Cover { least_board: true, ..Cover::default() };
    let used = worth::used(floor, &places.clone().copied().collect::<Vec<_>>());
    cover.tiles = places.map(|p| p.tile(floor.surfaces[floor.part[p.y * floor.width + p.x]])).collect();
    cover.tiles.sort_unstable();
    let add = |sum: &mut Fewest, found, at_least: usize| {
        sum.found += found;
        sum.at_least += at_least.min(found);
    };
    for Patch { worth, at_least, board_proved, .. } in patches {
        add(&mut cover.fewest, worth.tiles, at_least.tiles);
        add(&mut cover.new_tiles, worth.new, at_least.new);
        add(&mut cover.straight_seams, worth.seams, at_least.seams);
        cover.least_board &= board_proved;
    }
    if let Some(on_hand) = on_hand {
        let taken = |(class, count)| (class, usize::min(count, on_hand.get(&class).copied().unwrap_or(0)));
        cover.from_stock = used.into_iter().map(taken).filter(|&(_, count)| count > 0).collect();
    }
    cover
}
