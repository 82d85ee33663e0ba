//! What a cover is worth: what must be made for it, counted.

use std::collections::BTreeMap;

use super::floor::{Floor, Line, Place};

/// Tiles on hand, by surface and size (the longer side first).
pub(super) type Stock = BTreeMap<(usize, (usize, usize)), usize>;

/// A tile's board in whole numbers.
///
/// A core of a x b modules has the area `M² ab - L (a + b) + K`: module M, and L and K from play,
/// paper, notches and reliefs alone (see `tests/tiling_board.rs`). Where all tiles are new, cells and
/// number of tiles are given before board is compared, so that the greatest sum of `a + b` is exactly
/// the least board. Where some are on hand the new ones' cells count too: there `CELL` stands for
/// M²/L, with the usual parameters about 9.
pub(super) mod board {
    /// Board of a cell, in units of what a module of a tile's half perimeter takes away.
    pub const CELL: i64 = 9;

    pub const fn of((long, short): (usize, usize)) -> i64 {
        CELL * (long * short) as i64 - (long + short) as i64
    }
}

/// In the order of what matters most; less is better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// Cells that no tile covers.
    pub bare: usize,
    /// Tiles beyond those on hand.
    pub new: usize,
    /// Tiles.
    pub tiles: usize,
    /// Board: of all tiles, less what is the same for all covers; with stock, of the new tiles.
    pub board: i64,
    /// Lines that no tile crosses.
    pub seams: usize,
}

impl Worth {
    /// Of `places` on a patch of `cells` cells.
    pub fn of(floor: &Floor, places: &[Place], cells: usize, lines: &[Line], stock: Option<&Stock>) -> Self {
        let covered: usize = places.iter().map(|p| p.width * p.height).sum();
        let mut worth = Self { bare: cells - covered, tiles: places.len(), ..Self::default() };
        match stock {
            None => {
                worth.new = worth.tiles;
                worth.board = -(places.iter().map(|p| p.half_perimeter() as i64).sum::<i64>());
            }
            Some(stock) => {
                for (class, used) in used(floor, places) {
                    let new = used.saturating_sub(stock.get(&class).copied().unwrap_or(0));
                    worth.new += new;
                    worth.board += new as i64 * board::of(class.1);
                }
            }
        }
        worth.seams = lines.iter().filter(|line| !places.iter().any(|p| line.crossed_by(p))).count();
        worth
    }
}

/// How many tiles of each surface and size.
pub(super) fn used(floor: &Floor, places: &[Place]) -> Stock {
    let mut used = Stock::new();
    for p in places {
        *used.entry((floor.surfaces[floor.part[p.y * floor.width + p.x]], p.size())).or_default() += 1;
    }
    used
}
