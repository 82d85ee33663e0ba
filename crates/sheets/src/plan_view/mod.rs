//! A floor plan redrawn as a builder reads it: tiles, walls, posts and ties in their places.
//!
//! [`PlanView`] is neutral: whoever has worked out a plan fills it. Squares count from the west
//! and from the north; lattice point (x, y) is the north-west corner of square (x, y).
//! [`document`] draws one page a level, to be written by any writer.
//!
//! ```
//! use flatwright_geometry::units::Mm;
//! use flatwright_sheets::page::Colour;
//! use flatwright_sheets::plan_view::{Fit, LevelView, PlanView, TileView, document};
//!
//! let tile = TileView { x: 0, y: 0, width: 2, height: 1, label: "TW1".into(), colour: Colour(0xC9, 0xD2, 0xCB) };
//! let level = LevelView { name: "Quay".into(), columns: 2, rows: 1, tiles: vec![tile], ..LevelView::default() };
//! let view = PlanView { title: "Lamp store".into(), module: Mm::inches(3.0), levels: vec![level] };
//! let drawing = document(&view, &Fit::Square(Mm::new(20.0)))?;
//! assert_eq!(drawing.pages.len(), 1);
//! # Ok::<(), flatwright_sheets::plan_view::PlanError>(())
//! ```

use std::collections::BTreeSet;

use flatwright_geometry::units::Mm;

use crate::page::Colour;
use crate::paper::PaperSize;

mod bends;
mod check;
mod drawing;
pub(crate) mod figure;
mod fitting;
mod labels;
mod legend;
mod pages;
pub(crate) mod symbols;

pub(crate) use check::faults;
pub use check::{PlanError, PlanFault};
pub use fitting::{FittingKind, FittingView};
pub use pages::document;

/// A plan to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanView {
    /// What it is called.
    pub title: String,
    /// Side of one square as built, for the note on the scale.
    pub module: Mm,
    /// Levels, lowest first.
    pub levels: Vec<LevelView>,
}

/// One level.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LevelView {
    /// Its name.
    pub name: String,
    /// Squares from west to east.
    pub columns: usize,
    /// Squares from north to south.
    pub rows: usize,
    /// Tiles.
    pub tiles: Vec<TileView>,
    /// Walls.
    pub walls: Vec<WallView>,
    /// Tiles with a side that leaves the lattice.
    pub shapes: Vec<ShapeView>,
    /// Walls that leave the lattice.
    pub bends: Vec<BendView>,
    /// Posts.
    pub posts: Vec<PostView>,
    /// Edges between two tiles that a biscuit ties.
    pub biscuits: Vec<EdgeView>,
    /// What stands free on its floor.
    pub fittings: Vec<FittingView>,
    /// Edges of the weakest seam, made to stand out; empty where it is not to be shown.
    pub cut: Vec<EdgeView>,
}

/// A tile.
#[derive(Clone, Debug, PartialEq)]
pub struct TileView {
    /// Column of its north-west square.
    pub x: usize,
    /// Row of its north-west square.
    pub y: usize,
    /// Squares from west to east.
    pub width: usize,
    /// Squares from north to south.
    pub height: usize,
    /// Identifier of the piece, such as `TW2`.
    pub label: String,
    /// Colour of its face.
    pub colour: Colour,
}

/// A wall.
#[derive(Clone, Debug, PartialEq)]
pub struct WallView {
    /// Column of its western or northern end.
    pub x: usize,
    /// Row of its western or northern end.
    pub y: usize,
    /// Whether it runs from north to south (else from west to east).
    pub down: bool,
    /// How many squares it is long.
    pub span: usize,
    /// Identifier of the piece, such as `WA1`.
    pub label: String,
    /// What is in it.
    pub kind: WallKind,
}

/// A tile with a side that leaves the lattice. Places are squares from the west and from the north.
#[derive(Clone, Debug, PartialEq)]
pub struct ShapeView {
    /// Its corners, in order.
    pub outline: Vec<(f64, f64)>,
    /// Where its name stands best.
    pub middle: (f64, f64),
    /// Identifier of the piece, such as `TW4`.
    pub label: String,
    /// Colour of its face.
    pub colour: Colour,
}

/// A wall that leaves the lattice. Places are squares from the west and from the north.
#[derive(Clone, Debug, PartialEq)]
pub struct BendView {
    /// Its middle line from post to post, its outer side on the left.
    pub line: Vec<(f64, f64)>,
    /// Identifier of the piece, such as `WB1`.
    pub label: String,
    /// What is in it.
    pub kind: WallKind,
}

/// What is in a wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallKind {
    /// Nothing.
    #[default]
    Plain,
    /// A door with a leaf.
    Door,
    /// An open passage under an arch.
    Arch,
    /// A window.
    Window,
    /// A grille.
    Bars,
    /// It is no higher than a parapet.
    Low,
    /// It hangs in one post and fills a part of its square's side.
    Filler {
        /// Thirds of the side: 1 or 2.
        thirds: u8,
        /// Whether it hangs at the eastern or southern end.
        far: bool,
    },
}

/// A post.
#[derive(Clone, Debug, PartialEq)]
pub struct PostView {
    /// Column of its lattice point.
    pub x: usize,
    /// Row of its lattice point.
    pub y: usize,
    /// Identifier of the piece, such as `PO3`.
    pub label: String,
    /// Which sides take a wall, as it stands: bit 0 north, 1 west, 2 south, 3 east.
    pub arms: u8,
    /// Whether it stands on a base plate.
    pub plate: bool,
}

/// One side of a square.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EdgeView {
    /// Column of its western or northern end.
    pub x: usize,
    /// Row of its western or northern end.
    pub y: usize,
    /// Whether it runs from north to south (else from west to east).
    pub down: bool,
}

/// One thing on a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlanRef {
    /// Index into [`PlanView::levels`].
    pub level: usize,
    /// What it is there.
    pub item: PlanItem,
}

/// One thing on a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlanItem {
    /// Index into [`LevelView::tiles`].
    Tile(usize),
    /// Index into [`LevelView::walls`].
    Wall(usize),
    /// Index into [`LevelView::posts`].
    Post(usize),
    /// Index into [`LevelView::biscuits`].
    Biscuit(usize),
    /// Index into [`LevelView::shapes`].
    Shape(usize),
    /// Index into [`LevelView::bends`].
    Bend(usize),
    /// Index into [`LevelView::fittings`].
    Fitting(usize),
}

/// How large a plan is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Fit {
    /// A square of the plan gets this side; the page is as large as the drawing needs.
    Square(Mm),
    /// As large as a sheet takes, the sheet turned whichever way serves better.
    Paper {
        /// The sheet.
        paper: PaperSize,
        /// Its edge that stays free.
        margin: Mm,
    },
}

/// What to show of a level.
#[derive(Clone, Debug)]
pub(crate) enum Show {
    /// Everything, as built.
    All,
    /// What is new stands out, what was there before is light, the rest is not there yet.
    Step { new: BTreeSet<PlanItem>, before: BTreeSet<PlanItem> },
    /// Tiles and walls light, so that the weakest seam stands out.
    Cut,
}

/// How one thing is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum State {
    Plain,
    New,
    Before,
    Later,
}

impl Show {
    pub(crate) fn state(&self, item: PlanItem) -> State {
        match self {
            Self::All => State::Plain,
            Self::Cut => State::Before,
            Self::Step { new, .. } if new.contains(&item) => State::New,
            Self::Step { before, .. } if before.contains(&item) => State::Before,
            Self::Step { .. } => State::Later,
        }
    }
}
