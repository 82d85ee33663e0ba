//! A build as it is to be shown: which bodies, in which colours.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::tile::{self, Tile};
use flatwright_geometry::region::Region;

use crate::place::Body;

/// An sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rgb(pub u8, pub u8, pub u8);

/// The colours of a body's solids, as seen by each of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Paint {
    /// The upper face: the printed one of a panel.
    pub upper: Rgb,
    /// The lower face: the back of a panel.
    pub lower: Rgb,
    /// What is left between them: cut edges.
    pub edges: Rgb,
}

impl Paint {
    /// One colour all over.
    #[must_use]
    pub const fn plain(colour: Rgb) -> Self {
        Self { upper: colour, lower: colour, edges: colour }
    }

    /// The paint of a piece whose artwork is a flat tint: printed card shows its stock at the back
    /// and at its cut edges, a wrapped tile underneath, a faced wall nowhere, and plain board and
    /// patches everywhere.
    #[must_use]
    pub const fn of(kind: PieceKind, face: Rgb, stock: Rgb) -> Self {
        match kind {
            PieceKind::Post | PieceKind::CardWall => Self { upper: face, lower: stock, edges: stock },
            PieceKind::TileCore | PieceKind::TileWrap => Self { upper: face, lower: stock, edges: face },
            PieceKind::WallCore | PieceKind::WallFacing | PieceKind::DoorLeaf => Self::plain(face),
            PieceKind::CornerPocket | PieceKind::Biscuit | PieceKind::BasePlate | PieceKind::SleevePlug => {
                Self::plain(stock)
            }
        }
    }
}

/// One piece of a scene.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown<'a> {
    /// The piece in its place.
    pub body: &'a Body,
    /// Its colours.
    pub paint: Paint,
    /// Printed paper over the upper face of its first solid, in that solid's own plane, which hides
    /// notches and what lies in them. It has no thickness: pictures show it, solids do not.
    pub cover: Option<Region>,
}

impl<'a> Shown<'a> {
    /// A piece in the colours of its kind, without a cover.
    #[must_use]
    pub const fn new(body: &'a Body, face: Rgb, stock: Rgb) -> Self {
        Self { body, paint: Paint::of(body.kind, face, stock), cover: None }
    }
}

/// Pieces in their places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene<'a> {
    /// What it is called.
    pub title: String,
    /// The pieces.
    pub shown: Vec<Shown<'a>>,
}

/// The cover of a tile: the top of its wrap, which closes the notches that its core has.
///
/// # Errors
/// Where the tile has no wrap.
pub fn cover(p: &Parameters, tile: Tile) -> Result<Option<Region>, PieceError> {
    // The top is the wrap's first panel, drawn about the tile's middle as the core is.
    Ok(tile::wrap(p, tile)?.net.panels.into_iter().next().map(|panel| panel.region))
}
