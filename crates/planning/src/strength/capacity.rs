//! How much each joint is taken to hold.
//!
//! All of these are ESTIMATES in relative units, made from the joints' sizes at the usual
//! parameters (5 mm board, 0.25 mm card, 15 mm posts) for parts put together dry. No source is
//! known for card terrain, and nothing was loaded until it failed. They rank joints against each
//! other; they say nothing about newtons. Pass others where you have measured.

/// One biscuit: the unit that the others are measured against. It grips each tile along the two
/// flanks and the end of its notch, (2 x 15 + 20) mm x 5 mm = 250 mm2 of board.
pub const BISCUIT: u32 = 100;

/// One foot tongue over a seam: under each tile 7.5 mm x 12 mm of it are held between core and
/// pocket, 180 mm2 on both faces, 0.7 of a biscuit; halved because card bends along the seam where
/// a biscuit does not.
pub const TONGUE: u32 = 35;

/// One wall over a seam: its two hooks lock over the slots (8 mm of card each) and do not rely on
/// friction, but 1 mm or less of play comes before they bite; taken as much as half a biscuit.
pub const WALL: u32 = 50;

/// What each kind of joint holds, relative units. A kind at 0 ties nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Capacities {
    /// One biscuit.
    pub biscuit: u32,
    /// One foot tongue over a seam.
    pub tongue: u32,
    /// One wall; shared among the pairs of tiles that it ties.
    pub wall: u32,
}

impl Default for Capacities {
    fn default() -> Self {
        Self { biscuit: BISCUIT, tongue: TONGUE, wall: WALL }
    }
}
