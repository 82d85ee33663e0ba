//! A build as it is to be shown: which bodies, in which colours, and where their printed patterns
//! lie on them.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::bend::TurnTile;
use flatwright_geometry::pieces::tile::{self, Tile};
use flatwright_geometry::region::Region;
use flatwright_geometry::turn::quarter;
use kurbo::{Affine, Point};
use parry3d_f64::math::{Pose, Vector};

use crate::place::Body;
use crate::solid::Solid;

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
            PieceKind::Post
            | PieceKind::PostCap
            | PieceKind::CardWall
            | PieceKind::NicheBox
            | PieceKind::Prop
            | PieceKind::Flight
            | PieceKind::Landing
            | PieceKind::StairMarker
            | PieceKind::Pillar
            | PieceKind::FreeWall
            | PieceKind::Roof
            | PieceKind::RoofSkirt
            | PieceKind::BentWall
            | PieceKind::RidgeCap
            | PieceKind::HipCap => Self { upper: face, lower: stock, edges: stock },
            PieceKind::TileCore | PieceKind::TileWrap | PieceKind::TurnCore | PieceKind::TurnWrap => {
                Self { upper: face, lower: stock, edges: face }
            }
            PieceKind::WallCore
            | PieceKind::WallFacing
            | PieceKind::DoorLeaf
            | PieceKind::BentCore
            | PieceKind::BentFacing => Self::plain(face),
            // Of card or of board: what does not show of it is glued.
            PieceKind::Filler => Self::plain(face),
            PieceKind::Grating => Self { upper: face, lower: stock, edges: stock },
            PieceKind::GratingBoard => Self::plain(stock),
            PieceKind::CornerPocket
            | PieceKind::BendPocket
            | PieceKind::Biscuit
            | PieceKind::Gauge
            | PieceKind::BasePlate
            | PieceKind::SleevePlug
            | PieceKind::WallBase
            | PieceKind::Coupler => Self::plain(stock),
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
    /// Printed paper over the upper face of its first solid, which hides notches and what lies in them.
    pub cover: Option<Cover>,
    /// The printed patterns that it is made of or covered with, in the order of its solids: each on
    /// those from [`Skin::first`] up to the next one's.
    pub skins: Vec<Skin>,
}

impl<'a> Shown<'a> {
    /// All that it is made of: the body's solids, and the cover as a sheet on the first of them. The
    /// sheet is counted twice, since it is a part of what was measured as the board's thickness.
    #[must_use]
    pub fn solids(&self) -> Vec<Solid> {
        let mut solids = self.body.solids.clone();
        let sheet = self.cover.as_ref().zip(solids.first()).map(|(cover, solid)| {
            // From its own plane up: a model's single precision keeps the caliper then.
            let pose = solid.pose * Pose::from_translation(Vector::new(0.0, 0.0, solid.heights.1));
            Solid { region: cover.region.clone(), heights: (0.0, cover.thickness), pose }
        });
        solids.extend(sheet);
        solids
    }

    /// What one of its solids wears, the cover being the last of them.
    #[must_use]
    pub fn skin(&self, solid: usize) -> Option<Skin> {
        let solid = if solid < self.body.solids.len() { solid } else { 0 };
        self.skins.iter().rfind(|skin| skin.first <= solid).copied()
    }

    /// A piece in the colours of its kind, without a cover and a print.
    #[must_use]
    pub const fn new(body: &'a Body, face: Rgb, stock: Rgb) -> Self {
        Self { body, paint: Paint::of(body.kind, face, stock), cover: None, skins: Vec::new() }
    }
}

/// Paper that lies on a solid.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Its area, in the solid's own plane.
    pub region: Region,
    /// Its caliper, mm.
    pub thickness: f64,
}

/// A printed pattern, of which there may be many pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// What the piece is called.
    pub id: String,
    /// The flat pattern.
    pub pattern: Pattern,
}

/// How a body wears a print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skin {
    /// Index into [`Scene::prints`].
    pub print: usize,
    /// Index of the first solid that wears it.
    pub first: usize,
    /// From the flat pattern to the plane of the body's solids.
    pub motion: Affine,
}

impl Skin {
    /// A print on pieces that are drawn as they stand: all but tiles.
    #[must_use]
    pub const fn as_drawn(print: usize) -> Self {
        Self { print, first: 0, motion: Affine::IDENTITY }
    }

    /// The wrap on a tile: wraps are drawn for the wider way, and turned with their tile.
    #[must_use]
    pub fn on_tile(print: usize, tile: Tile) -> Self {
        let drawn = tile.up_to_rotation();
        let turns = (0..4).find(|turns| drawn.turned(*turns) == tile).unwrap_or(0);
        Self { print, first: 0, motion: quarter(turns) }
    }

    /// The wrap on a turn tile whose frame is turned by quarter turns.
    #[must_use]
    pub const fn on_turn_tile(print: usize, turns: u32) -> Self {
        Self { print, first: 0, motion: quarter(turns) }
    }
}

/// The cover of a turn tile whose frame is turned by quarter turns.
///
/// # Errors
/// Where the tile has no wrap.
pub fn turn_cover(p: &Parameters, tile: TurnTile, turns: u32) -> Result<Option<Cover>, PieceError> {
    let top = tile.wrap(p)?.net.panels.into_iter().next();
    Ok(top.map(|top| Cover { region: top.region.moved(quarter(turns)), thickness: p.paper.get() }))
}

/// One face of a solid, with coordinates of its own, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Side {
    /// The upper face: x and y of the solid's plane.
    Upper,
    /// The lower face, seen from below: x and -y.
    Lower,
    /// The face along a side of the area, which lies on the left on the way from the first point to
    /// the second: the distance from the first point, and the height above the lower face.
    Edge(Point, Point),
}

/// Pieces in their places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene<'a> {
    /// What it is called.
    pub title: String,
    /// The pieces.
    pub shown: Vec<Shown<'a>>,
    /// The printed patterns that they wear.
    pub prints: Vec<Print>,
}

impl Scene<'_> {
    /// What is printed on a side of one of a piece's solids, with its index: the number of the print, and the map from the
    /// side's coordinates to those of the flat pattern. `None` for bare stock. A print covers no
    /// more of the side than [`Pattern::face`] reaches.
    ///
    /// Wraps and facings are taken to be of no thickness and to turn at the very edge: what they
    /// show is off by less than two calipers of their paper.
    #[must_use]
    pub fn printed(&self, shown: &Shown<'_>, (index, solid): (usize, &Solid), side: Side) -> Option<(usize, Affine)> {
        let skin = shown.skin(index)?;
        let pattern = &self.prints.get(skin.print)?.pattern;
        let wraps = matches!(pattern.kind, PieceKind::TileWrap | PieceKind::TurnWrap | PieceKind::WallFacing);
        let unrolled = match side {
            Side::Upper => Affine::IDENTITY,
            // The back of a facing is its front mirrored about the middle of its top.
            Side::Lower if pattern.kind == PieceKind::WallFacing => {
                let bounds = pattern.material.bounds();
                Affine::translate((0.0, bounds.y0 + bounds.y1))
            }
            Side::Edge(from, to) if wraps => {
                let along = (to - from).normalize();
                let out = kurbo::Vec2::new(along.y, -along.x);
                let thick = solid.heights.1 - solid.heights.0;
                let origin = from + out * thick;
                Affine::new([along.x, along.y, -out.x, -out.y, origin.x, origin.y])
            }
            Side::Lower | Side::Edge(..) => return None,
        };
        let map = skin.motion.inverse() * unrolled;
        if let Side::Edge(from, to) = side {
            // Edges are covered by what is folded down from the first panel, never by that itself:
            // in notches and openings the board is bare.
            let thick = solid.heights.1 - solid.heights.0;
            let middle = map * Point::new(from.distance(to) / 2.0, thick / 2.0);
            let first = pattern.net.panels.first().is_some_and(|panel| panel.region.contains(middle));
            if first || !pattern.face.iter().any(|region| region.contains(middle)) {
                return None;
            }
        }
        Some((skin.print, map))
    }
}

/// The cover of a tile: the top of its wrap, which closes the notches that its core has.
///
/// # Errors
/// Where the tile has no wrap.
pub fn cover(p: &Parameters, tile: Tile) -> Result<Option<Cover>, PieceError> {
    // The top is the wrap's first panel, drawn about the tile's middle as the core is.
    let top = tile::wrap(p, tile)?.net.panels.into_iter().next();
    Ok(top.map(|top| Cover { region: top.region, thickness: p.paper.get() }))
}
