//! Anything that has patterns of its own, as one type: what set files and plans ask for.

use super::PieceError;
use super::bend::TurnTile;
use super::bend_pocket::BendPocket;
use super::bent_wall::BentWall;
use super::cap::{self, Cap};
use super::coupler::{self, Coupler};
use super::filler::Filler;
use super::free_wall::FreeWall;
use super::grating::Grating;
use super::pillar::Pillar;
use super::post::{self, Post};
use super::prop::Prop;
use super::roof::Roof;
use super::solid::Made;
use super::stair::Stair;
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
    /// Part of a prop.
    Prop(Prop),
    /// A flight, landing or marker of a stair.
    Stair(Stair),
    /// A pillar.
    Pillar(Pillar),
    /// A free-standing wall with its base plate.
    FreeWall(FreeWall),
    /// A wall of a third or two thirds of a module that hangs in one post, with its base plate.
    Filler(Filler),
    /// Grating over an opening: its board and the card on it.
    Grating(Grating),
    /// Roof: its body, its skirt and its ridge caps.
    Roof(Roof),
    /// Wall that follows a bend: two skins of card, or the parts of a board wall.
    BentWall(BentWall),
    /// Board core of a tile with a side on a bend.
    TurnCore(TurnTile),
    /// Printed wrap of a tile with a side on a bend.
    TurnWrap(TurnTile),
    /// Card patch under a corner at a bend, where the usual one has no room.
    BendPocket(BendPocket),
}

impl Piece {
    /// Its flat patterns: one, but for board walls, walls with a niche, bent walls, roofs, and props that need several nets.
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
            Self::Stair(stair) => return stair.patterns(p),
            Self::Pillar(pillar) => return pillar.patterns(p),
            Self::FreeWall(wall) => return wall.patterns(p),
            Self::Filler(filler) => return filler.patterns(p),
            Self::Grating(grating) => return grating.patterns(p),
            Self::Roof(roof) => return roof.patterns(p),
            Self::BentWall(wall) => return wall.patterns(p),
            Self::TurnCore(tile) => tile.core(p),
            Self::TurnWrap(tile) => tile.wrap(p),
            Self::BendPocket(pocket) => pocket.pattern(p),
            Self::Prop(prop) => return Ok(prop.nets(p)?.into_iter().map(|made| made.pattern).collect()),
        };
        Ok(vec![one?])
    }

    /// Its nets, where it is a body whose flaps may be glued from one net to another; `None` for the
    /// others.
    ///
    /// # Errors
    /// As [`Self::patterns`] has them.
    pub fn nets(&self, p: &Parameters) -> Result<Option<Vec<Made>>, PieceError> {
        match self {
            Self::Prop(prop) => prop.nets(p).map(Some),
            Self::Stair(Stair::Marker(_)) => Ok(None),
            Self::Stair(stair) => stair.nets(p).map(Some),
            Self::Pillar(pillar) => pillar.nets(p).map(Some),
            _ => Ok(None),
        }
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
        matches!(
            self,
            Self::Wrap(_)
                | Self::Sleeve(_)
                | Self::Cap(_)
                | Self::Wall(_)
                | Self::Prop(_)
                | Self::Stair(_)
                | Self::Pillar(_)
                | Self::FreeWall(_)
                | Self::Filler(_)
                | Self::Grating(_)
                | Self::Roof(_)
                | Self::BentWall(_)
                | Self::TurnWrap(_)
        )
    }
}
