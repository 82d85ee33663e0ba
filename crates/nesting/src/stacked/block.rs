//! How a block is divided: pieces, waste, and rows of smaller blocks.

use std::collections::VecDeque;

use kurbo::Rect;

use super::Cut;
use super::boxes::{Boxes, mm};
use crate::layout::Placement;

/// Waste narrower than this is not cut off, mm.
const SLIVER: f64 = 1.0;

/// What a block holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Block {
    /// One piece, as large as the block: index of the way.
    Piece(usize),
    /// Nothing.
    Waste,
    /// Smaller blocks beside each other; what they leave at the end is waste.
    Row {
        /// Whether cuts run up the page: blocks from left to right; else from the top down.
        upright: bool,
        /// Each with its size along the row.
        parts: Vec<(i64, Block)>,
    },
}

impl Block {
    /// How many of each item it holds.
    pub fn count(&self, boxes: &Boxes, counts: &mut [u32]) {
        match self {
            Self::Piece(way) => counts[boxes.ways[*way].item] += 1,
            Self::Waste => {}
            Self::Row { parts, .. } => parts.iter().for_each(|(_, part)| part.count(boxes, counts)),
        }
    }

    /// The pieces and the cuts of a block at `place`, stage by stage: all rows of one depth before
    /// those within them.
    pub fn lay(&self, boxes: &Boxes, place: Rect) -> (Vec<Placement>, Vec<Cut>) {
        let (mut placements, mut cuts) = (Vec::new(), Vec::new());
        let mut waiting = VecDeque::from([(self, place)]);
        while let Some((block, mut rest)) = waiting.pop_front() {
            match block {
                Self::Piece(way) => placements.push(boxes.placement(*way, rest.x0, rest.y1)),
                Self::Waste => {}
                Self::Row { upright, parts } => {
                    for (size, part) in parts {
                        let room = if *upright { rest.width() } else { rest.height() };
                        // A sliver at the end stays with the last block: nobody can cut it off.
                        if room - mm(*size) < SLIVER {
                            waiting.push_back((part, rest));
                            break;
                        }
                        let at = if *upright { rest.x0 + mm(*size) } else { rest.y1 - mm(*size) };
                        let cut = Cut { block: rest, upright: *upright, at };
                        let [low, high] = cut.halves();
                        let (taken, left) = if *upright { (low, high) } else { (high, low) };
                        cuts.push(cut);
                        waiting.push_back((part, taken));
                        rest = left;
                    }
                }
            }
        }
        (placements, cuts)
    }
}
