//! A floor plan: levels of cells and edges on the lattice.
//!
//! Columns count from the west, rows from the north, as one reads a drawing. Vertex (x, y) is the
//! north-west corner of cell (x, y); there is one more vertex than cells along both axes.

use std::collections::BTreeSet;

use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::tile::Reliefs;

use crate::fittings::roofs::RoofDesign;
use crate::fittings::{FittingDesign, Put};
use crate::turns::Turn;

/// A whole plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What it is called.
    pub title: String,
    /// Surfaces that cells name.
    pub surfaces: Vec<Surface>,
    /// Wall designs that edges name. The first one is the plain wall.
    pub designs: Vec<Design>,
    /// Tile sizes to cover the floor with, modules, the longer side first.
    pub tiles: Vec<(u32, u32)>,
    /// Where tiles are relieved.
    pub reliefs: Reliefs,
    /// Spans that plain walls may have, modules, longest first.
    pub spans: Vec<u32>,
    /// What to do with a post at a vertex without any tile.
    pub off_floor: OffFloor,
    /// Whether posts carry caps on which nothing stands.
    pub caps: bool,
    /// Pieces beyond those that the plan needs.
    pub extras: Vec<Extra>,
    /// What stands free on its floors; drawings call it by letters.
    pub fittings: Vec<FittingDesign>,
    /// Roofs, over its topmost level.
    pub roofs: Vec<RoofDesign>,
    /// Levels, lowest first.
    pub levels: Vec<Level>,
}

/// A floor surface.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Surface {
    /// The letter that stands for it in the drawing.
    pub letter: char,
    /// Its name.
    pub name: String,
    /// Its colour, red, green, blue.
    pub colour: Option<(u8, u8, u8)>,
    /// The name of the drawing that it is printed with, and where that is written: line and column
    /// from 1.
    pub drawn_as: Option<(String, (usize, usize))>,
}

/// A wall design.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// The letter that stands for it; `None` for the plain wall of `-` and `|`.
    pub letter: Option<char>,
    /// Its name.
    pub name: String,
    /// What is cut into it, if anything. A plan that was just read has none yet: its text only calls
    /// designs by their names (see [`crate::text::PlanText::calls`]).
    pub opening: Option<Opening>,
    /// How many edges one wall of it spans.
    pub span: u32,
    /// How much of an edge it fills, where it hangs in one post only.
    pub filler: Option<Filler>,
}

/// A wall that hangs in the post at one end of its edge and ends before the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Filler {
    /// Thirds of the edge that it fills: 1 or 2.
    pub thirds: u32,
    /// The end of its edge at which it hangs.
    pub side: Side,
}

/// An end of an edge: of a west-east one west or east, of a north-south one north or south.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the words say it")]
pub enum Side {
    West,
    East,
    North,
    South,
}

impl Side {
    /// Whether it is an end of north-south edges.
    #[must_use]
    pub const fn down(self) -> bool {
        matches!(self, Self::North | Self::South)
    }

    /// Whether it is the eastern or southern end, at which edges end.
    #[must_use]
    pub const fn far(self) -> bool {
        matches!(self, Self::East | Self::South)
    }
}

/// What to do with a post at a vertex that no tile touches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OffFloor {
    /// Stand it on a base plate.
    #[default]
    BasePlate,
    /// Refuse the plan.
    Refuse,
}

/// Pieces beyond those that the plan needs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Extra {
    /// Which.
    pub piece: ExtraPiece,
    /// How many.
    pub count: u32,
}

/// What can be asked for beyond the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ExtraPiece {
    /// Biscuits.
    Biscuit,
    /// Corner pockets.
    Pocket,
}

/// One level.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Level {
    /// Its name.
    pub name: String,
    /// Number of columns of cells.
    pub width: usize,
    /// Number of rows of cells.
    pub height: usize,
    /// Surface of each cell (index into [`Plan::surfaces`]), row by row; `None` where there is no floor.
    pub cells: Vec<Option<usize>>,
    /// Design of each west-east edge (index into [`Plan::designs`]): `height + 1` rows of `width`.
    pub across: Vec<Option<usize>>,
    /// Design of each north-south edge: `height` rows of `width + 1`.
    pub down: Vec<Option<usize>>,
    /// Vertices with a post that no wall asks for.
    pub columns: BTreeSet<Vertex>,
    /// Turns, by row and then by column of their north-west cell. Their cells have no surface of their own.
    pub turns: Vec<Turn>,
    /// Letters of fittings in its cells, row by row.
    pub fittings: Vec<Put>,
    /// Where the drawing's first vertex stands in the text: line and column, from 1.
    pub origin: (usize, usize),
    /// Columns and rows, without anything in them, that were put before the drawing's own.
    pub offset: (usize, usize),
}

/// A vertex of the lattice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Vertex {
    /// Column from the west.
    pub x: usize,
    /// Row from the north.
    pub y: usize,
}

/// A unit edge of the lattice, from its western or northern vertex.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Edge {
    /// Its western or northern vertex.
    pub from: Vertex,
    /// Whether it runs from north to south (else from west to east).
    pub down: bool,
}

impl Plan {
    /// The level that stands on a level. Levels are told by their names.
    #[must_use]
    pub fn above(&self, level: &Level) -> Option<&Level> {
        let index = self.levels.iter().position(|other| other.name == level.name)?;
        self.levels.get(index + 1)
    }

    /// Whether a post carries a cap: where the plan has caps, and the level above has neither floor nor
    /// wall over it.
    #[must_use]
    pub fn cap_at(&self, level: &Level, at: Vertex) -> bool {
        self.caps && !self.above(level).is_some_and(|above| above.touches(at))
    }
}

impl Edge {
    /// Its eastern or southern vertex.
    #[must_use]
    pub const fn to(self) -> Vertex {
        if self.down {
            Vertex { x: self.from.x, y: self.from.y + 1 }
        } else {
            Vertex { x: self.from.x + 1, y: self.from.y }
        }
    }
}

impl Level {
    /// An empty level.
    #[must_use]
    pub fn empty(name: &str, width: usize, height: usize) -> Self {
        Self {
            name: name.to_owned(),
            width,
            height,
            cells: vec![None; width * height],
            across: vec![None; width * (height + 1)],
            down: vec![None; (width + 1) * height],
            columns: BTreeSet::new(),
            turns: Vec::new(),
            fittings: Vec::new(),
            origin: (1, 1),
            offset: (0, 0),
        }
    }

    /// The same level with so many empty columns before it and rows above it.
    #[must_use]
    pub fn moved(self, (columns, rows): (usize, usize)) -> Self {
        let mut moved = Self::empty(&self.name, self.width + columns, self.height + rows);
        let put = |to: &mut [Option<usize>], from: &[Option<usize>], width: usize| {
            for (y, row) in from.chunks(width).enumerate() {
                to[(y + rows) * (width + columns) + columns..][..width].copy_from_slice(row);
            }
        };
        put(&mut moved.cells, &self.cells, self.width);
        put(&mut moved.across, &self.across, self.width);
        put(&mut moved.down, &self.down, self.width + 1);
        moved.columns = self.columns.iter().map(|at| Vertex { x: at.x + columns, y: at.y + rows }).collect();
        moved.turns = self.turns;
        for turn in &mut moved.turns {
            turn.at = Vertex { x: turn.at.x + columns, y: turn.at.y + rows };
        }
        let fittings = self.fittings.iter();
        moved.fittings = fittings.map(|put| Put { x: put.x + columns, y: put.y + rows, ..*put }).collect();
        Self { origin: self.origin, offset: (self.offset.0 + columns, self.offset.1 + rows), ..moved }
    }

    /// Whether floor or a wall lies at a vertex, or a column stands there; a turn counts for all of its block.
    #[must_use]
    pub fn touches(&self, at: Vertex) -> bool {
        let floor = |q: usize| self.cell_at(at, q).is_some_and(|(x, y)| self.cell(x, y).is_some());
        let wall = |face: usize| Self::edge_at(at, face).is_some_and(|edge| self.wall(edge).is_some());
        let turn = || self.turns.iter().any(|turn| turn.meets(at));
        (0..4).any(floor) || (0..4).any(wall) || self.columns.contains(&at) || turn()
    }

    /// Surface of cell (x, y); `None` outside the drawing too.
    #[must_use]
    pub fn cell(&self, x: usize, y: usize) -> Option<usize> {
        if x < self.width && y < self.height { self.cells[y * self.width + x] } else { None }
    }

    /// Whether floor lies at a place, columns and rows from the north-west corner; near a bend that is not
    /// said of all that does.
    #[must_use]
    pub fn surely_has_floor(&self, x: f64, y: f64) -> bool {
        let cell = x >= 0.0 && y >= 0.0 && self.cell(x.floor() as usize, y.floor() as usize).is_some();
        cell || self.turns.iter().any(|turn| turn.surely_has_floor(x, y))
    }

    /// Whether a tile lies in cell (x, y), or in some part of it: that of a turn.
    #[must_use]
    pub fn may_have_floor(&self, x: usize, y: usize) -> bool {
        self.cell(x, y).is_some() || self.turns.iter().any(|turn| turn.covers(x, y) && turn.tiles().next().is_some())
    }

    /// Design on an edge; `None` outside the drawing too.
    #[must_use]
    pub fn wall(&self, edge: Edge) -> Option<usize> {
        let Vertex { x, y } = edge.from;
        if edge.down {
            if x <= self.width && y < self.height { self.down[y * (self.width + 1) + x] } else { None }
        } else if x < self.width && y <= self.height {
            self.across[y * self.width + x]
        } else {
            None
        }
    }

    /// The edge that leaves a vertex towards face `face` of a post there (north, west, south,
    /// east: the order of [`flatwright_geometry::pieces::post::FACES`]).
    #[must_use]
    pub fn edge_at(vertex: Vertex, face: usize) -> Option<Edge> {
        let Vertex { x, y } = vertex;
        match face {
            0 => y.checked_sub(1).map(|y| Edge { from: Vertex { x, y }, down: true }),
            1 => x.checked_sub(1).map(|x| Edge { from: Vertex { x, y }, down: false }),
            2 => Some(Edge { from: vertex, down: true }),
            _ => Some(Edge { from: vertex, down: false }),
        }
    }

    /// The cell in quadrant `quadrant` of a vertex (north-east, north-west, south-west, south-east:
    /// the order of [`flatwright_geometry::pieces::post::QUADRANTS`]), if it is in the drawing.
    #[must_use]
    pub fn cell_at(&self, vertex: Vertex, quadrant: usize) -> Option<(usize, usize)> {
        let Vertex { x, y } = vertex;
        let (x, y) = match quadrant {
            0 => (Some(x), y.checked_sub(1)),
            1 => (x.checked_sub(1), y.checked_sub(1)),
            2 => (x.checked_sub(1), Some(y)),
            _ => (Some(x), Some(y)),
        };
        match (x, y) {
            (Some(x), Some(y)) if x < self.width && y < self.height => Some((x, y)),
            _ => None,
        }
    }

    /// All vertices, row by row.
    pub fn vertices(&self) -> impl Iterator<Item = Vertex> + use<> {
        let (width, height) = (self.width, self.height);
        (0..=height).flat_map(move |y| (0..=width).map(move |x| Vertex { x, y }))
    }

    /// All edges with a wall, west-east ones first, with their designs.
    pub fn walls(&self) -> impl Iterator<Item = (Edge, usize)> + '_ {
        let across = (0..=self.height)
            .flat_map(move |y| (0..self.width).map(move |x| Edge { from: Vertex { x, y }, down: false }));
        let down = (0..self.height)
            .flat_map(move |y| (0..=self.width).map(move |x| Edge { from: Vertex { x, y }, down: true }));
        across.chain(down).filter_map(|edge| self.wall(edge).map(|design| (edge, design)))
    }

    /// Number of cells with a floor.
    #[must_use]
    pub fn floor_cells(&self) -> usize {
        self.cells.iter().flatten().count()
    }

    /// Line and column (from 1) of the middle of a cell in the plan's text.
    #[must_use]
    pub const fn cell_in_text(&self, x: usize, y: usize) -> (usize, usize) {
        let (x, y) = (x.saturating_sub(self.offset.0), y.saturating_sub(self.offset.1));
        (self.origin.0 + 2 * y + 1, self.origin.1 + 4 * x + 2)
    }

    /// Line and column (from 1) of a vertex in the plan's text.
    #[must_use]
    pub const fn vertex_in_text(&self, vertex: Vertex) -> (usize, usize) {
        let (x, y) = (vertex.x.saturating_sub(self.offset.0), vertex.y.saturating_sub(self.offset.1));
        (self.origin.0 + 2 * y, self.origin.1 + 4 * x)
    }
}
