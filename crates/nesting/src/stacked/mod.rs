//! Layouts for a trimmer: every page is taken apart by straight cuts, each from edge to edge.
//!
//! Pages are printed in stacks of identical ones, and a stack goes through a trimmer at once. So
//! pieces stand in their boxes, boxes stand in strips, and few different pages with many copies
//! are better than many different ones. Data flows one way: `boxes` turns items into sizes, `fill`
//! fills one block, `block` keeps how a block is divided and tells its cuts, `plan` repeats pages
//! until nothing is left. [`check_cuts`] judges the result and shares nothing with them.

use kurbo::{Line, Rect};

use crate::bound::Bound;
use crate::job::Job;
use crate::layout::Layout;
use crate::{PackError, Progress, check, misfits};

mod block;
mod boxes;
mod check_cuts;
mod fill;
mod plan;

pub use check_cuts::{CutFault, check_cuts};

/// A straight cut through one block, from edge to edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// The block that it divides, page coordinates, mm.
    pub block: Rect,
    /// Whether it runs up the page (at one x), or across it (at one y).
    pub upright: bool,
    /// That x or y, mm.
    pub at: f64,
}

impl Cut {
    /// The cut as a line: upward, or from left to right.
    #[must_use]
    pub const fn line(&self) -> Line {
        let b = self.block;
        let (from, to) =
            if self.upright { ((self.at, b.y0), (self.at, b.y1)) } else { ((b.x0, self.at), (b.x1, self.at)) };
        Line { p0: kurbo::Point::new(from.0, from.1), p1: kurbo::Point::new(to.0, to.1) }
    }

    /// The two blocks that it leaves: left and right, or lower and upper.
    #[must_use]
    pub const fn halves(&self) -> [Rect; 2] {
        let b = self.block;
        if self.upright {
            [Rect::new(b.x0, b.y0, self.at, b.y1), Rect::new(self.at, b.y0, b.x1, b.y1)]
        } else {
            [Rect::new(b.x0, b.y0, b.x1, self.at), Rect::new(b.x0, self.at, b.x1, b.y1)]
        }
    }
}

/// A layout with the cuts that take its sheets apart.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stacked {
    /// The layout.
    pub layout: Layout,
    /// For each of its sheets the cuts, in the order to make them.
    pub cuts: Vec<Vec<Cut>>,
}

/// The block that a sheet's first cut divides: its free area and half a gap around it, so that
/// pieces at the edge keep half a gap too.
#[must_use]
pub fn first_block(job: &Job, kind: usize) -> Rect {
    let half = job.gap().get() / 2.0;
    job.sheets()[kind].free.inflate(half, half)
}

/// Places every copy of every item so that straight cuts take each sheet apart. Same job, same
/// layout.
///
/// Between two pieces, and between a piece and the cut beside it, lie a gap and half a gap. The
/// cuts of a sheet come by stages: all that run one way, then those that run the other way
/// through what is left, and so on. A different page counts as a quarter of a sheet where
/// layouts are compared, so that stacks are high.
///
/// # Errors
/// [`PackError::TooLarge`] lists every item that no sheet holds.
pub fn stacked(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Result<Stacked, PackError> {
    let misfits = misfits(job);
    if !misfits.is_empty() {
        return Err(PackError::TooLarge(misfits));
    }
    let stacked = plan::Planner::new(job).run(bound, progress);
    debug_assert_eq!(check::check(job, &stacked.layout), Ok(()), "the packer broke its promise");
    debug_assert_eq!(check_cuts(job, &stacked), Ok(()), "the packer broke its promise");
    Ok(stacked)
}
