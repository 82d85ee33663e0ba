//! One piece as it lies flat on its stock.

use std::fmt;

use kurbo::{Affine, BezPath, Line, Rect};
use serde::Serialize;

use crate::region::{self, Region};
use crate::units::{Angle, Mm};

/// What a pattern is cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stock {
    /// Printed paper that wraps or faces a board.
    Paper,
    /// Card that is folded into posts and walls.
    Card,
    /// Foam board, greyboard or similar, thickness T.
    Board,
}

impl fmt::Display for Stock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Paper => "paper",
            Self::Card => "card",
            Self::Board => "board",
        })
    }
}

/// The families of pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PieceKind {
    /// Board core of a tile.
    TileCore,
    /// Printed wrap of a tile.
    TileWrap,
    /// Card patch under a relieved corner.
    CornerPocket,
    /// Board tie between two edge notches.
    Biscuit,
    /// Part of the calibration coupon, of no build.
    Gauge,
    /// Folded sleeve.
    Post,
    /// Folded lid on a post.
    PostCap,
    /// Folded sleeve that joins a post to the post above it.
    Coupler,
    /// Board plate under a post that stands where no tile is.
    BasePlate,
    /// Board plug on a base plate, inside the post.
    SleevePlug,
    /// Folded card wall.
    CardWall,
    /// Board core of a wall.
    WallCore,
    /// Printed facing of a board wall.
    WallFacing,
    /// Hinged leaf of a board wall's door.
    DoorLeaf,
    /// Folded box behind a niche.
    NicheBox,
    /// Folded part of a prop, such as a crate.
    Prop,
    /// Straight flight of stairs.
    Flight,
    /// Half landing of a stair.
    Landing,
    /// Flat marker where a stair leads down.
    StairMarker,
    /// Folded pillar.
    Pillar,
    /// Folded card wall that stands free.
    FreeWall,
    /// Card of a grating, over its board.
    Grating,
    /// Board of a grating, in the opening.
    GratingBoard,
    /// Folded card wall that hangs in one post, its other end on a base plate.
    Filler,
    /// Board plate under a free-standing wall, or under the free end of a filler.
    WallBase,
    /// Folded slopes and soffit of a roof, or its deck and parapet.
    Roof,
    /// Folded skirt that holds a roof on its walls.
    RoofSkirt,
    /// Folded strip over a ridge.
    RidgeCap,
    /// Folded strip over a hip.
    HipCap,
    /// Skin of a card wall that follows a bend.
    BentWall,
    /// Board core of a wall that follows a bend.
    BentCore,
    /// Printed facing of a board wall that follows a bend.
    BentFacing,
    /// Board core of a tile with a side on a bend.
    TurnCore,
    /// Printed wrap of a tile with a side on a bend.
    TurnWrap,
    /// Card patch under a corner at a bend.
    BendPocket,
}

impl PieceKind {
    /// The name that sheets and lists print.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::TileCore => "tile core",
            Self::TileWrap => "tile wrap",
            Self::CornerPocket => "corner pocket",
            Self::Biscuit => "biscuit",
            Self::Gauge => "gauge",
            Self::Post => "post",
            Self::PostCap => "post cap",
            Self::Coupler => "coupler",
            Self::BasePlate => "base plate",
            Self::SleevePlug => "sleeve plug",
            Self::CardWall => "wall",
            Self::WallCore => "wall core",
            Self::WallFacing => "wall facing",
            Self::DoorLeaf => "door leaf",
            Self::NicheBox => "niche box",
            Self::Prop => "prop",
            Self::Flight => "stair flight",
            Self::Landing => "half landing",
            Self::StairMarker => "stair marker",
            Self::Pillar => "pillar",
            Self::FreeWall => "free-standing wall",
            Self::Grating => "grating",
            Self::GratingBoard => "grating board",
            Self::Filler => "filler",
            Self::WallBase => "wall base",
            Self::Roof => "roof",
            Self::RoofSkirt => "roof skirt",
            Self::RidgeCap => "ridge cap",
            Self::HipCap => "hip cap",
            Self::BentWall => "bent wall",
            Self::BentCore => "bent wall core",
            Self::BentFacing => "bent wall facing",
            Self::TurnCore => "turn tile core",
            Self::TurnWrap => "turn tile wrap",
            Self::BendPocket => "bend pocket",
        }
    }

    /// Letters that begin a piece's identifier.
    #[must_use]
    pub const fn letters(self) -> &'static str {
        match self {
            Self::TileCore => "TC",
            Self::TileWrap => "TW",
            Self::CornerPocket => "CP",
            Self::Biscuit => "BI",
            Self::Gauge => "GA",
            Self::Post => "PO",
            Self::PostCap => "PC",
            Self::Coupler => "CS",
            Self::BasePlate => "BP",
            Self::SleevePlug => "SP",
            Self::CardWall => "WA",
            Self::WallCore => "WC",
            Self::WallFacing => "WF",
            Self::DoorLeaf => "DL",
            Self::NicheBox => "NB",
            Self::Prop => "PR",
            Self::Flight => "ST",
            Self::Landing => "HL",
            Self::StairMarker => "SM",
            Self::Pillar => "PI",
            Self::FreeWall => "FW",
            Self::Grating => "GR",
            Self::GratingBoard => "GB",
            Self::Filler => "FI",
            Self::WallBase => "WB",
            Self::Roof => "RF",
            Self::RoofSkirt => "RS",
            Self::RidgeCap => "RC",
            Self::HipCap => "HC",
            Self::BentWall => "BW",
            Self::BentCore => "BC",
            Self::BentFacing => "BF",
            Self::TurnCore => "UC",
            Self::TurnWrap => "UW",
            Self::BendPocket => "BK",
        }
    }
}

impl fmt::Display for PieceKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Which way a fold goes, seen from the printed side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fold {
    /// The printed faces close towards each other.
    Valley,
    /// The printed faces open away from each other.
    Mountain,
}

/// A flat part of a net that stays flat when the net is folded.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Its name within the net, such as `north` or `flap`.
    pub name: &'static str,
    /// Its area on the flat pattern.
    pub region: Region,
}

/// A fold between two panels.
#[derive(Clone, Debug, PartialEq)]
pub struct Hinge {
    /// Index of the panel that stays where it is.
    pub from: usize,
    /// Index of the panel that turns.
    pub to: usize,
    /// The fold line, along the middle of the bent strip.
    pub line: Line,
    /// Which way.
    pub fold: Fold,
    /// By how much.
    pub angle: Angle,
    /// Whether it swings, like a door's leaf, up to its angle; other folds are made once.
    pub swings: bool,
}

impl Hinge {
    /// Whether it bends so little, as between the facets of what is to look round, that it is scored
    /// and bent over an edge instead of folded: under 20 degrees. Common practice, no source.
    #[must_use]
    pub fn is_scored(&self) -> bool {
        !self.swings && self.angle < Angle::degrees(20.0)
    }
}

/// A panel that is glued onto another when the net is closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GlueSeat {
    /// Index of the glued panel (the flap).
    pub flap: usize,
    /// Index of the panel that it must land on.
    pub onto: usize,
}

/// The panels of a folded piece and how they hang together. A flat piece has one panel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Net {
    /// Panels; the first one stays in place.
    pub panels: Vec<Panel>,
    /// Folds between them: a tree over the panels.
    pub hinges: Vec<Hinge>,
    /// Glued pairs of panels within the net.
    pub seats: Vec<GlueSeat>,
}

/// A rectangle in which the piece's label may be printed: never on the artwork's face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelSpot {
    /// Free rectangle, pattern coordinates.
    pub rect: Rect,
    /// Whether the text runs upward (turned a quarter counterclockwise) instead of to the right.
    pub upward: bool,
}

/// How artwork lies on a part of the flat pattern.
///
/// Artwork is drawn on a plane that goes on for ever, so that it runs from piece to piece: for
/// floors the lattice (a vertex at the origin, x and y along the modules), for what stands the
/// face of a wall (x along it from the middle of its left post, y up from the floor).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// The part of the pattern that it is for.
    pub window: Rect,
    /// From the artwork's plane to the pattern. A reflection where the back of a wall is the
    /// mirror image of its front.
    pub motion: Affine,
}

impl Plane {
    /// For the whole of a pattern.
    #[must_use]
    pub const fn everywhere(motion: Affine) -> Self {
        // Farther out than any pattern may reach, near enough to stay exact.
        Self { window: Rect::new(-1e5, -1e5, 1e5, 1e5), motion }
    }
}

/// One piece, flat, at nominal size: kerf and bleed are added when it is placed on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// Family.
    pub kind: PieceKind,
    /// What sets it apart within its family, for people: `1 x 2`, `corner, 3 feet`.
    pub detail: String,
    /// What it is cut from.
    pub stock: Stock,
    /// The material that is left when all cutting is done (the union of the panels).
    pub material: Region,
    /// Cuts that do not go round an area, such as the three free sides of a hinged leaf.
    pub slits: Vec<BezPath>,
    /// Panels and folds.
    pub net: Net,
    /// Lines scored but not folded.
    pub scores: Vec<Line>,
    /// Lines of perforation.
    pub perforations: Vec<Line>,
    /// Areas that take glue, on the printed side.
    pub glue: Vec<Region>,
    /// Areas that show when the piece is built, to be printed with artwork.
    pub face: Vec<Region>,
    /// How artwork lies on the face; windows do not overlap.
    pub planes: Vec<Plane>,
    /// Where the label may go, best first.
    pub label_spots: Vec<LabelSpot>,
}

impl Pattern {
    /// The contours the tool runs along: outer ones moved outward and holes inward by half the
    /// kerf, so that the piece that is left has its nominal size.
    #[must_use]
    pub fn tool_contours(&self, kerf: Mm) -> Vec<Region> {
        region::offset(std::slice::from_ref(&self.material), kerf / 2.0)
    }

    /// Where the artwork is printed: the face, and `bleed` beyond it where it ends at a cut.
    /// It also runs past folds onto hidden panels, where a cut or fold may stray.
    #[must_use]
    pub fn printed_area(&self, bleed: Mm) -> Vec<Region> {
        region::offset(&self.face, bleed)
    }

    /// All the sheet that the piece needs for itself: material and cuts, with artwork and bleed
    /// where `printed`.
    #[must_use]
    pub fn footprint(&self, kerf: Mm, bleed: Mm, printed: bool) -> Vec<Region> {
        // The tool's path is half a kerf out, and the tool clears half a kerf more.
        let mut parts = region::offset(std::slice::from_ref(&self.material), kerf);
        if printed {
            parts.extend(self.printed_area(bleed));
        }
        region::union(&parts)
    }

    /// Whether a fold is made by scoring: one that bends little, and every one of board, which is cut half
    /// through there.
    #[must_use]
    pub fn scores(&self, fold: &Hinge) -> bool {
        fold.is_scored() || self.stock == Stock::Board
    }

    /// Width and height of the material's bounding rectangle.
    #[must_use]
    pub fn size(&self) -> (Mm, Mm) {
        let bounds = self.material.bounds();
        (Mm::new(bounds.width()), Mm::new(bounds.height()))
    }
}
