//! What a plan comes to: every tile, wall, post and biscuit in its place.

use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::post::Post;

use crate::fittings::FittingPlace;
use crate::fittings::roofs::RoofPlace;
use crate::plan::{Edge, Vertex};

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
}

impl WallPlace {
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
