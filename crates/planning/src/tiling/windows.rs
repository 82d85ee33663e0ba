//! Better covers of large patches, window by window: what lies wholly inside is laid anew.

use super::floor::{Line, Place};
use super::patch::Search;
use super::programme::{Goal, Programme};
use super::worth::{Stock, Worth, used};

/// Cells times places that a window may have for one unit of effort.
const LARGEST: usize = 300_000;
/// Nodes of the search in one window for one unit of effort.
const NODES: u64 = 15;

/// Larger windows than this many units of effort pay for take longer than they help.
const MOST_EFFORT: u32 = 5;
/// Cells of a large patch.
const MANY: usize = 900;
/// Windows that one unit of effort pays for; all of a patch are laid at least once.
const WINDOWS: u32 = 120;

/// Goes over the patch in overlapping windows until none of them helps or the effort is spent.
pub(super) fn improve(search: &mut Search<'_>, goal: Goal) {
    let longest = search.floor.sides.iter().map(|&(a, _)| a).max().unwrap_or(1);
    // Windows with lines in them are slower: smaller ones where there are many.
    let many = goal == Goal::Seams && search.cells.len() > MANY;
    let usual = if many { 12 } else { 12 + 2 * search.effort.min(MOST_EFFORT) as usize };
    let mut side = (3 * longest).max(usual);
    let mut laid = 0u32;
    while laid < search.effort.saturating_mul(WINDOWS) {
        let step = (side / 2).max(1);
        let mut better = false;
        for y in (0..search.floor.height).step_by(step) {
            for x in (0..search.floor.width).step_by(step) {
                laid = laid.saturating_add(1);
                let mut reach = side;
                while reach > 1 {
                    match window(search, goal, Place { y, x, width: reach, height: reach }) {
                        Some(helped) => {
                            better |= helped;
                            break;
                        }
                        None => reach = reach * 3 / 4,
                    }
                }
            }
        }
        if !better {
            return;
        }
        // Another grid of windows each time.
        side = if side % 2 == 0 { side + 1 } else { side - 1 };
    }
}

/// Lays one window anew; `None` where it is too large to.
fn window(search: &mut Search<'_>, goal: Goal, area: Place) -> Option<bool> {
    let floor = search.floor;
    let inside = |p: &Place| {
        p.x >= area.x && p.y >= area.y && p.x + p.width <= area.x + area.width && p.y + p.height <= area.y + area.height
    };
    let (mut old, rest): (Vec<Place>, Vec<Place>) = search.places.iter().partition(|p| inside(p));
    old.sort_unstable();
    let lines: Vec<Line> = match goal {
        Goal::Seams => search.lines.iter().copied().filter(|line| !rest.iter().any(|p| line.crossed_by(p))).collect(),
        _ => Vec::new(),
    };
    let mut cells: Vec<usize> = old.iter().flat_map(|p| p.cells(floor.width)).collect();
    if goal == Goal::Bare {
        let mut free = search.free.clone();
        search.places.iter().flat_map(|p| p.cells(floor.width)).for_each(|cell| free[cell] = false);
        cells.extend(search.cells.iter().filter(|&&cell| free[cell] && area_has(area, cell, floor.width)));
    }
    if cells.is_empty() {
        return Some(false);
    }
    cells.sort_unstable();
    let stock = search.stock.map(|stock| left(stock, &used(floor, &rest)));
    let before = Worth::of(floor, &old, cells.len(), &lines, stock.as_ref());
    let hopeless = match goal {
        Goal::Bare => before.bare == 0,
        Goal::New => before.new == 0,
        Goal::Tiles | Goal::Count => old.len() < 2,
        Goal::Seams => before.seams == 0,
    };
    if hopeless {
        return Some(false);
    }
    let mut free = vec![false; floor.part.len()];
    cells.iter().for_each(|&cell| free[cell] = true);
    let largest = LARGEST.saturating_mul(search.effort.min(MOST_EFFORT) as usize);
    if cells.len() * floor.places(&cells, &free).take(largest / cells.len() + 1).count() > largest {
        return None;
    }
    let programme = Programme::new(floor, &cells, &free, &lines, stock.as_ref());
    let Some(new) = programme.solve(goal, &before, &old, NODES * u64::from(search.effort)).places else {
        return Some(false);
    };
    if Worth::of(floor, &new, cells.len(), &lines, stock.as_ref()) >= before {
        return Some(false);
    }
    search.places = rest;
    search.places.extend(new);
    search.places.sort_unstable();
    Some(true)
}

const fn area_has(area: Place, cell: usize, columns: usize) -> bool {
    let (x, y) = (cell % columns, cell / columns);
    x >= area.x && y >= area.y && x < area.x + area.width && y < area.y + area.height
}

/// What is left of the stock when some of it is used.
fn left(stock: &Stock, used: &Stock) -> Stock {
    stock.iter().map(|(class, &count)| (*class, count.saturating_sub(used.get(class).copied().unwrap_or(0)))).collect()
}
