//! Anything that has patterns of its own, as one type: what set files and plans ask for.

use super::PieceError;
use super::cap::{self, Cap};
use super::coupler::{self, Coupler};
use super::post::{self, Post};
use super::tile::{self, Tile};
use super::wall::Wall;
use crate::parameters::Parameters;
use crate::pattern::Pattern;

/// One thing to make.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Board core of a tile.
    Core(Tile),
    /// Printed wrap of a tile.
    Wrap(Tile),
    /// Card patch under a relieved corner.
    Pocket,
    /// Board tie between two tiles.
    Biscuit,
    /// Folded post.
    Sleeve(Post),
    /// Folded lid on a post.
    Cap(Cap),
    /// Folded sleeve half in a post and half in the post above it.
    Coupler(Coupler),
    /// Board plate under a post where no tile is.
    Plate,
    /// Board plug on a plate, inside the post.
    Plug,
    /// Wall: one net of card, or the parts of a board wall.
    Wall(Wall),
}

impl Piece {
    /// Its flat patterns: one, but for board walls and walls with a niche.
    ///
    /// # Errors
    /// [`PieceError`] where the parameters or its own sizes leave it no shape.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        let one = match self {
            Self::Core(tile) => tile::core(p, *tile),
            Self::Wrap(tile) => tile::wrap(p, *tile),
            Self::Pocket => tile::corner_pocket(p),
            Self::Biscuit => tile::biscuit(p),
            Self::Sleeve(post) => post::sleeve(p, *post),
            Self::Cap(cap) => cap::net(p, *cap),
            Self::Coupler(coupler) => coupler::sleeve(p, *coupler),
            Self::Plate => post::base_plate(p),
            Self::Plug => post::sleeve_plug(p),
            Self::Wall(wall) => return wall.patterns(p),
        };
        Ok(vec![one?])
    }

    /// Whether one pattern serves both: posts that differ by quarter turns are one piece, and so
    /// are caps, couplers and tiles.
    #[must_use]
    pub fn same_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Sleeve(a), Self::Sleeve(b)) => a.up_to_rotation() == b.up_to_rotation(),
            (Self::Cap(a), Self::Cap(b)) => a.up_to_rotation() == b.up_to_rotation(),
            (Self::Coupler(a), Self::Coupler(b)) => a.up_to_rotation() == b.up_to_rotation(),
            (Self::Core(a), Self::Core(b)) | (Self::Wrap(a), Self::Wrap(b)) => a.up_to_rotation() == b.up_to_rotation(),
            (a, b) => a == b,
        }
    }

    /// Whether its face shows when it is built, so that a colour matters.
    #[must_use]
    pub const fn shows(&self) -> bool {
        matches!(self, Self::Wrap(_) | Self::Sleeve(_) | Self::Cap(_) | Self::Wall(_))
    }
}
