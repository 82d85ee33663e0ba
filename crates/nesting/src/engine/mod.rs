//! The packer: column generation over fillings of a sheet, and covers by whole sheets.
//!
//! Data flows one way: `alike` joins equal outlines, `shapes` turns items into whole-number shapes
//! of convex parts, `contact` answers where one shape may lie beside another, `page` and
//! `rectangles` fill one sheet, and `filler` offers both. `rounds` makes complete plans greedily;
//! `master` (the linear programme) and `pricing` find better fillings for the `pool`, of which
//! `cover` makes plans; `thinning` seeks plans with one sheet less; `solve` orders these and keeps
//! the best `plan`, whose `last` sheet is tidied. Before all that, `jigsaw`
//! looks with `tiling` for sheets that leave no waste at all. The rest of the crate sees only
//! [`solve`] and [`holds`].

use kurbo::Rect;

use crate::Progress;
use crate::bound::Bound;
use crate::job::Job;
use crate::layout::Layout;

mod alike;
mod chance;
mod contact;
mod convex;
mod cover;
mod filler;
mod gaps;
pub(crate) mod holes;
mod jigsaw;
mod last;
mod master;
mod page;
mod plan;
mod pool;
mod pricing;
mod rectangles;
mod rounds;
mod shapes;
mod solve;
mod thinning;
mod tile;
mod tiling;
mod tuning;

/// A layout of all items. Every item must fit on some sheet in some allowed turn.
pub(crate) fn solve(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Layout {
    match alike::merged(job) {
        Some((smaller, alike)) => alike.told_apart(job, &distinct(&smaller, bound, progress)),
        None => distinct(job, bound, progress),
    }
}

/// The same where every item has an outline of its own.
fn distinct(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Layout {
    jigsaw::solve(job, bound, progress, &mut |job, bound, progress| solve::Solver::new(job, bound, progress).run())
}

/// Whether a box of `width` x `height` mm lies within `free`, as exactly as the packer places.
pub(crate) fn holds(free: Rect, width: f64, height: f64) -> bool {
    let (low, high) = shapes::room(free);
    low[0] + shapes::up(width) <= high[0] && low[1] + shapes::up(height) <= high[1]
}
