//! What a plan comes to: every tile, wall, post and biscuit in its place.

use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::post::Post;

use crate::fittings::FittingPlace;
use crate::fittings::roofs::RoofPlace;
use crate::plan::{Edge, Filler, Level, Vertex};

/// One level, worked out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LevelBuild {
    /// Tiles, by row and then by column of their north-west cell.
    pub tiles: Vec<TilePlace>,
    /// Walls, west-east ones first.
    pub walls: Vec<WallPlace>,
    /// Posts, row by row.
    pub posts: Vec<PostPlace>,
    /// Edges between two tiles: one biscuit each.
    pub biscuits: Vec<Edge>,
    /// Corner pockets: the post's vertex and the quadrant of the tile that holds its tongue.
    pub pockets: Vec<(Vertex, usize)>,
    /// Posts that carry a cap: indices into `posts`, each at most once.
    pub caps: Vec<usize>,
    /// Couplers that join posts to those of the level below, by post.
    pub couplers: Vec<CouplerPlace>,
    /// What stands free on its floor, in the order of its letters.
    pub fittings: Vec<FittingPlace>,
    /// Roofs on its posts, in the order of the text.
    pub roofs: Vec<RoofPlace>,
    /// Tiles of turns, in the order of the level's turns, each from its corner outward.
    pub turn_tiles: Vec<TurnTilePlace>,
    /// Walls on bends, in the order of the level's turns, the shorter bend first.
    pub bent_walls: Vec<BentWallPlace>,
}

impl LevelBuild {
    /// How many tiles there are, those of turns among them: these are numbered on from the others.
    #[must_use]
    pub const fn slabs(&self) -> usize {
        self.tiles.len() + self.turn_tiles.len()
    }

    /// The squares that a tile lies in, its number that of [`Self::slabs`]: of a tile of a turn those of the
    /// turn's block, or for the fan within a shorter bend the square of that.
    #[must_use]
    pub fn slab(&self, level: &Level, slab: usize) -> TilePlace {
        let Some(place) = slab.checked_sub(self.tiles.len()).and_then(|index| self.turn_tiles.get(index)) else {
            return self.tiles[slab];
        };
        let turn = &level.turns[place.turn];
        let (reach, corner) = (place.tile.bend.reach, turn.at);
        let far = turn.vertex(reach, reach);
        let (x, y, side) = (corner.x.min(far.x), corner.y.min(far.y), reach as usize);
        TilePlace { x, y, width: side, height: side, surface: place.surface }
    }
}

/// A tile in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TilePlace {
    /// Row of its north-west cell.
    pub y: usize,
    /// Column of its north-west cell.
    pub x: usize,
    /// Cells from west to east.
    pub width: usize,
    /// Cells from north to south.
    pub height: usize,
    /// Index into the plan's surfaces.
    pub surface: usize,
}

impl TilePlace {
    /// Its size in modules, the longer side first: a turned tile is the same piece.
    #[must_use]
    pub const fn size(&self) -> (usize, usize) {
        if self.width >= self.height { (self.width, self.height) } else { (self.height, self.width) }
    }

    /// Whether it covers cell (x, y).
    #[must_use]
    pub const fn covers(&self, x: usize, y: usize) -> bool {
        x >= self.x && x < self.x + self.width && y >= self.y && y < self.y + self.height
    }

    /// Whether a vertex is one of its four corners.
    #[must_use]
    pub const fn has_corner(&self, v: Vertex) -> bool {
        (v.x == self.x || v.x == self.x + self.width) && (v.y == self.y || v.y == self.y + self.height)
    }
}

/// A wall in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WallPlace {
    /// Whether it runs from north to south (else from west to east).
    pub down: bool,
    /// Its western or northern end.
    pub from: Vertex,
    /// How many edges it spans.
    pub span: usize,
    /// Index into the plan's designs.
    pub design: usize,
    /// How much of its edge it fills, where it hangs in one post only.
    pub filler: Option<Filler>,
}

impl WallPlace {
    /// Where it hangs, each with the face of the post there (index into
    /// [`flatwright_geometry::pieces::post::FACES`]).
    pub fn hooks(self) -> impl Iterator<Item = (Vertex, usize)> {
        // Faces in the order north, west, south, east.
        let (at_from, at_to) = if self.down { (2, 0) } else { (3, 1) };
        let far = self.filler.map(|filler| filler.side.far());
        let near = (far != Some(true)).then_some((self.from, at_from));
        near.into_iter().chain((far != Some(false)).then_some((self.to(), at_to)))
    }

    /// Its eastern or southern end.
    #[must_use]
    pub const fn to(&self) -> Vertex {
        let Vertex { x, y } = self.from;
        if self.down { Vertex { x, y: y + self.span } } else { Vertex { x: x + self.span, y } }
    }

    /// The lattice edges under it.
    pub fn edges(self) -> impl Iterator<Item = Edge> {
        (0..self.span).map(move |i| {
            let Vertex { x, y } = self.from;
            let from = if self.down { Vertex { x, y: y + i } } else { Vertex { x: x + i, y } };
            Edge { from, down: self.down }
        })
    }
}

/// A tile of a turn in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TurnTilePlace {
    /// Index into the level's turns, which says where it lies and how it is turned.
    pub turn: usize,
    /// The tile.
    pub tile: TurnTile,
    /// Index into the plan's surfaces.
    pub surface: usize,
}

impl TurnTilePlace {
    /// Its area in whole square modules, rounded: a quarter of a circle of `reach` modules for a fan.
    #[must_use]
    pub fn area(&self) -> usize {
        self.modules().round() as usize
    }

    /// Its area in square modules.
    pub(crate) fn modules(&self) -> f64 {
        let within = |reach: u32| {
            let share = match self.tile.bend.form {
                BendForm::Round => std::f64::consts::FRAC_PI_4,
                BendForm::Diagonal => 0.5,
            };
            share * f64::from(reach).powi(2)
        };
        let reach = self.tile.bend.reach;
        match self.tile.part {
            TurnPart::Fan => within(reach),
            TurnPart::Ring(inner) => within(reach) - within(inner),
            TurnPart::Spandrel => f64::from(reach).powi(2) - within(reach),
        }
    }
}

/// A wall on a bend in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BentWallPlace {
    /// Index into the level's turns, which says where it stands and how it is turned.
    pub turn: usize,
    /// Its bend.
    pub bend: Bend,
    /// Index into the plan's designs.
    pub design: usize,
}

/// A post in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PostPlace {
    /// Where it stands.
    pub at: Vertex,
    /// Its arms and feet as it stands, north up.
    pub post: Post,
}

/// A coupler in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CouplerPlace {
    /// The post whose foot it is glued into: index into the posts of its level.
    pub post: usize,
    /// Its arms as it stands, north up: those of the post below.
    pub coupler: Coupler,
}
