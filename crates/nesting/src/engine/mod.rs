//! The packer: greedy page patterns, repeated while demand lasts, with corrected values.
//!
//! Data flows one way: `alike` joins equal outlines, `shapes` turns items into whole-number shapes of convex parts, `contact`
//! answers where one shape may lie beside another, `page` fills one sheet, `plan` chooses sheets
//! until nothing is left to place. The rest of the crate sees only [`solve`] and [`holds`].

use kurbo::Rect;

use crate::Progress;
use crate::bound::Bound;
use crate::job::Job;
use crate::layout::Layout;

mod alike;
mod contact;
mod convex;
mod page;
mod plan;
mod shapes;
mod tuning;

/// A layout of all items. Every item must fit on some sheet in some allowed turn.
pub(crate) fn solve(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Layout {
    match alike::merged(job) {
        Some((smaller, alike)) => alike.told_apart(job, &plan::Planner::new(&smaller).run(bound, progress)),
        None => plan::Planner::new(job).run(bound, progress),
    }
}

/// Whether a box of `width` x `height` mm lies within `free`, as exactly as the packer places.
pub(crate) fn holds(free: Rect, width: f64, height: f64) -> bool {
    let (low, high) = shapes::room(free);
    low[0] + shapes::up(width) <= high[0] && low[1] + shapes::up(height) <= high[1]
}
