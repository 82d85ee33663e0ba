//! Judges cuts on their own: nothing here is shared with the packer that made them.
//!
//! It exists so that no page is printed with a numbered cut that goes through a piece, or that
//! cannot be made because it does not reach from edge to edge of what is left. It knows the
//! layout, the cuts, and what the first block is; it divides that block itself.

use kurbo::{Point, Rect};

use super::{Cut, Stacked};
use crate::check::TOLERANCE;
use crate::job::Job;
use crate::layout::PackedSheet;

/// One thing wrong with the cuts of a layout. Sheets and cuts are indices, from 0.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CutFault {
    /// There are not as many lists of cuts as there are sheets.
    #[error("there are {sheets} sheets, but cuts for {cuts}")]
    Sheets {
        /// Sheets of the layout.
        sheets: usize,
        /// Lists of cuts.
        cuts: usize,
    },
    /// A cut through a block that is not there at its turn: it would not run from edge to edge.
    #[error("cut {cut} of sheet {sheet} divides a block that is not there at its turn")]
    NoBlock {
        /// The sheet.
        sheet: usize,
        /// The cut.
        cut: usize,
    },
    /// A cut beside its block, or along its edge.
    #[error("cut {cut} of sheet {sheet} does not cross its block")]
    Beside {
        /// The sheet.
        sheet: usize,
        /// The cut.
        cut: usize,
    },
    /// A piece that no block holds whole, with half a gap around it.
    #[error("placement {placement} of sheet {sheet} is not whole in a block, half a gap from its edges")]
    Damaged {
        /// The sheet.
        sheet: usize,
        /// The placement.
        placement: usize,
    },
    /// Pieces that are still together when all cuts are made.
    #[error("placements {a} and {b} of sheet {sheet} are in one block when all cuts are made")]
    Together {
        /// The sheet.
        sheet: usize,
        /// One placement.
        a: usize,
        /// Another.
        b: usize,
    },
}

/// Whether the cuts, made in their order, take every sheet apart into blocks of one piece or none:
/// each cut crosses a block that is there at its turn from edge to edge, and each piece ends whole
/// in a block of its own, at least half a gap from the block's edges. Since cuts only divide
/// blocks, a piece that is whole at the end was never touched.
///
/// Pieces and gaps are [`crate::check::check`]'s concern, and its tolerance counts here too.
///
/// # Errors
/// Every [`CutFault`] found.
pub fn check_cuts(job: &Job, stacked: &Stacked) -> Result<(), Vec<CutFault>> {
    let mut found = Vec::new();
    let (sheets, cuts) = (stacked.layout.sheets.len(), stacked.cuts.len());
    if sheets != cuts {
        found.push(CutFault::Sheets { sheets, cuts });
    }
    for (index, (sheet, cuts)) in stacked.layout.sheets.iter().zip(&stacked.cuts).enumerate() {
        check_sheet(job, index, sheet, cuts, &mut found);
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn check_sheet(job: &Job, sheet: usize, packed: &PackedSheet, cuts: &[Cut], found: &mut Vec<CutFault>) {
    let half = job.gap().get() / 2.0;
    // A sheet of an unknown kind has no block; the other checker tells.
    let Some(kind) = job.sheets().get(packed.kind) else { return };
    let mut blocks = vec![kind.free.inflate(half, half)];
    for (number, cut) in cuts.iter().enumerate() {
        let Some(which) = blocks.iter().position(|block| same(*block, cut.block)) else {
            found.push(CutFault::NoBlock { sheet, cut: number });
            continue;
        };
        let b = blocks[which];
        let (low, high) = if cut.upright { (b.x0, b.x1) } else { (b.y0, b.y1) };
        if !(low < cut.at && cut.at < high) {
            found.push(CutFault::Beside { sheet, cut: number });
            continue;
        }
        let (mut one, mut other) = (b, b);
        if cut.upright {
            (one.x1, other.x0) = (cut.at, cut.at);
        } else {
            (one.y1, other.y0) = (cut.at, cut.at);
        }
        blocks[which] = one;
        blocks.push(other);
    }
    let mut holds: Vec<Option<usize>> = vec![None; blocks.len()];
    for (placement, placed) in packed.placements.iter().enumerate() {
        let Some(item) = job.items().get(placed.item) else { continue };
        let points: Vec<Point> = item.outline.points().iter().map(|point| placed.motion() * *point).collect();
        let slack = TOLERANCE - half;
        let inside = |block: &Rect| {
            let room = block.inflate(slack, slack);
            points.iter().all(|p| p.x >= room.x0 && p.x <= room.x1 && p.y >= room.y0 && p.y <= room.y1)
        };
        match blocks.iter().position(inside) {
            None => found.push(CutFault::Damaged { sheet, placement }),
            Some(block) => match holds[block] {
                Some(a) => found.push(CutFault::Together { sheet, a, b: placement }),
                None => holds[block] = Some(placement),
            },
        }
    }
}

/// Whether two blocks are one.
fn same(a: Rect, b: Rect) -> bool {
    [(a.x0, b.x0), (a.y0, b.y0), (a.x1, b.x1), (a.y1, b.y1)].iter().all(|(a, b)| (a - b).abs() <= TOLERANCE)
}
