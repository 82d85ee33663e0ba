//! One sheet, filled piece by piece.
//!
//! Along the filling axis only levels at which a piece comes to rest are tried: the near edge,
//! and every level just clear of a part of a piece already placed. What a level forbids only
//! grows, so a level found full is never looked at again.

use super::contact::Contacts;
use super::shapes::{Shapes, Units};
use super::tuning;

/// A piece on the sheet: a shape and its box's lower left corner.
#[derive(Clone, Copy, Debug)]
pub(super) struct Put {
    pub(super) shape: usize,
    pub(super) at: Units,
}

/// How the next turn of an item is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Choice {
    /// The one that comes to rest lowest, then nearest.
    Lowest,
    /// The one whose far end is lowest, then nearest.
    LowestTop,
    /// Turns one after the other, beginning with this one; the first that fits.
    InTurn(usize),
    /// The first that fits, beginning with this one.
    Prefer(usize),
}

/// How a sheet is to be filled.
pub(super) struct Recipe {
    /// 0: filled from left to right, 1: from bottom to top.
    pub(super) axis: usize,
    /// Items in turn, each with its choice and how many of it at most in this pass.
    pub(super) passes: Vec<(usize, Choice, u32)>,
}

/// A sheet being filled.
pub(super) struct Page<'a> {
    shapes: &'a Shapes,
    contacts: &'a mut Contacts,
    low: Units,
    high: Units,
    axis: usize,
    puts: Vec<Put>,
    levels: Vec<Levels>,
    blocked: Vec<(i64, i64)>,
}

/// Levels at which one shape may come to rest.
#[derive(Clone, Default)]
struct Levels {
    /// Level and whether it is known to be full, ascending.
    list: Vec<(i64, bool)>,
    /// Everything before is full.
    first: usize,
    /// Pieces whose levels are in the list.
    seen: usize,
    started: bool,
}

impl<'a> Page<'a> {
    /// Fills the room from `low` to `high` by `recipe` with at most `wanted` of each item.
    /// Returns what was placed.
    pub(super) fn fill(
        shapes: &'a Shapes,
        contacts: &'a mut Contacts,
        (low, high): (Units, Units),
        recipe: &Recipe,
        wanted: &[u32],
    ) -> Vec<Put> {
        let levels = vec![Levels::default(); shapes.list.len()];
        let (axis, puts, blocked) = (recipe.axis, Vec::new(), Vec::new());
        let mut page = Self { shapes, contacts, low, high, axis, puts, levels, blocked };
        let mut left = wanted.to_vec();
        for &(item, choice, most) in &recipe.passes {
            for turn in 0..most.min(left[item]) {
                if page.puts.len() >= tuning::PIECES_PER_SHEET || !page.place(item, choice, turn as usize) {
                    break;
                }
                left[item] -= 1;
            }
        }
        page.puts
    }

    /// Places one piece of `item` if there is room.
    fn place(&mut self, item: usize, choice: Choice, turn: usize) -> bool {
        let shapes = self.shapes;
        let own = &shapes.of_item[item];
        let (axis, across) = (self.axis, 1 - self.axis);
        let best = match choice {
            Choice::Lowest | Choice::LowestTop => {
                own.iter().filter_map(|&shape| self.rest(shape).map(|at| Put { shape, at })).min_by_key(|put| {
                    let size = shapes.list[put.shape].size[axis];
                    let far = if choice == Choice::LowestTop { size } else { 0 };
                    (put.at[axis] + far, put.at[across], size)
                })
            }
            Choice::InTurn(_) | Choice::Prefer(_) => {
                let first = match choice {
                    Choice::InTurn(first) => first + turn,
                    Choice::Prefer(first) => first,
                    _ => 0,
                };
                (0..own.len()).find_map(|i| {
                    let shape = own[(first + i) % own.len()];
                    self.rest(shape).map(|at| Put { shape, at })
                })
            }
        };
        let Some(mut put) = best else { return false };
        if shapes.slanted {
            self.settle(&mut put);
        }
        self.puts.push(put);
        true
    }

    /// The lowest level, and the nearest place on it, where `shape` fits.
    fn rest(&mut self, shape: usize) -> Option<Units> {
        self.learn(shape);
        loop {
            let levels = &mut self.levels[shape];
            while levels.list.get(levels.first).is_some_and(|level| level.1) {
                levels.first += 1;
            }
            let index = levels.first;
            let level = levels.list.get(index)?.0;
            if let Some(near) = self.nearest(shape, level) {
                let mut at = [near; 2];
                at[self.axis] = level;
                return Some(at);
            }
            self.levels[shape].list[index].1 = true;
        }
    }

    /// Adds the levels that pieces placed since the last look make possible.
    fn learn(&mut self, shape: usize) {
        let (axis, low) = (self.axis, self.low[self.axis]);
        let last = self.high[axis] - self.shapes.list[shape].size[axis];
        let levels = &mut self.levels[shape];
        if !levels.started {
            levels.started = true;
            if self.shapes.slanted {
                let spacing = tuning::LEVEL_SPACING;
                levels.list.extend((0..).map(|i| low + i * spacing).take_while(|l| *l <= last).map(|l| (l, false)));
            } else if low <= last {
                levels.list.push((low, false));
            }
        }
        for put in &self.puts[levels.seen..] {
            let base = put.at[axis];
            for top in self.contacts.tops(&self.shapes.list, put.shape, shape, axis) {
                let level = base + top;
                if level <= low || level > last {
                    continue;
                }
                if let Err(index) = levels.list.binary_search_by_key(&level, |l| l.0) {
                    levels.list.insert(index, (level, false));
                    levels.first = levels.first.min(index);
                }
            }
        }
        levels.seen = self.puts.len();
    }

    /// The nearest free place of `shape` on `level`.
    fn nearest(&mut self, shape: usize, level: i64) -> Option<i64> {
        let across = 1 - self.axis;
        self.block(shape, self.axis, level);
        let last = self.high[across] - self.shapes.list[shape].size[across];
        let mut near = self.low[across];
        for &(from, to) in &self.blocked {
            if near <= from {
                break;
            }
            near = near.max(to);
        }
        (near <= last).then_some(near)
    }

    /// Collects what is forbidden to `shape` across `axis` where it stands at `level` on it.
    fn block(&mut self, shape: usize, axis: usize, level: i64) {
        self.blocked.clear();
        for put in &self.puts {
            let (off, base) = (level - put.at[axis], put.at[1 - axis]);
            let forbidden = self.contacts.forbidden(&self.shapes.list, put.shape, shape, axis, off);
            self.blocked.extend(forbidden.iter().map(|(from, to)| (from + base, to + base)));
        }
        self.blocked.sort_unstable();
    }

    /// Lets a piece slide down, then near, until it rests: between slanted sides there are places
    /// of rest that no level names.
    fn settle(&mut self, put: &mut Put) {
        for _ in 0..3 {
            let before = put.at;
            for axis in [1 - self.axis, self.axis] {
                // Standing still on `axis`, the piece moves across it, to the end of its free stretch.
                let across = 1 - axis;
                self.block(put.shape, axis, put.at[axis]);
                let here = put.at[across];
                // Seen along the other axis a touching piece may seem to block by a unit of rounding:
                // then the piece stays.
                let stop = self.blocked.iter().filter(|b| b.0 < here).map(|b| b.1.min(here)).max().unwrap_or(i64::MIN);
                put.at[across] = stop.max(self.low[across]);
            }
            if put.at == before {
                return;
            }
        }
    }
}
