//! What stands free on a floor: props, pillars, free-standing walls, stairs.
//!
//! A drawing puts them by their letters, [`places`] works out where each stands, and [`check`] sees
//! that it stands on floor and off everything else.

use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::stair::{Flight, Landing, Marker};
use flatwright_geometry::region::Region;
use flatwright_geometry::units::Mm;
use kurbo::Affine;

use crate::plan::{Level, Plan};

mod check;
pub mod roofs;
pub mod stairs;

pub use check::{Sizes, check};

/// Most letters of fittings in all drawings of a plan.
pub const MOST_FITTINGS: usize = 500;
/// Most letters that a plan defines for them.
pub const MOST_DESIGNS: usize = 100;

/// A fitting that drawings call by its letter.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingDesign {
    /// The letter.
    pub letter: char,
    /// Its name, for people: `crate`, `pillar`.
    pub name: String,
    /// What it is.
    pub form: Form,
    /// By how much it is turned, degrees, counterclockwise as seen from above. Stairs: the way up (or
    /// down, for a marker), 0 for the east.
    pub turn: f64,
    /// Where its middle stands, modules to the east and to the south of its cell's north-west corner;
    /// in the middle of its cell or of half of it where the text says nothing.
    pub at: Option<(f64, f64)>,
    /// The surface or the colour that covers it, as written, and where: line and column, from 1.
    pub face: Option<(String, (usize, usize))>,
    /// What it is made of. A plan that was just read has none yet: whoever reads a plan draws it.
    pub body: FittingBody,
}

/// What a fitting is.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// A prop; its text only calls it by its name (see [`crate::text::FittingCall`]).
    Prop,
    /// A pillar.
    Pillar {
        /// How many sides it has.
        sides: u32,
        /// From side to side.
        across: Mm,
        /// Its height; that of the walls where the text says nothing.
        height: Option<Mm>,
    },
    /// A free-standing wall over so many modules.
    FreeWall(f64),
    /// A flight of stairs. It begins at its cell's side.
    Flight(Flight),
    /// A half landing. Its cell is its north-west one.
    Landing(Landing),
    /// A marker where a stair leads down.
    Marker(Marker),
}

/// What a fitting is made of, in coordinates of its own: x and y about the middle of its outline, z up
/// from the floor, mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FittingBody {
    /// Its pieces.
    pub parts: Vec<FittingPart>,
    /// What it covers of the floor.
    pub outline: Vec<Region>,
    /// Its height.
    pub height: Mm,
}

/// A piece of a fitting, as often as it has it.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingPart {
    /// Which.
    pub piece: Piece,
    /// Where its copies stand.
    pub stances: Vec<Stance>,
}

/// How a piece stands in its fitting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Where its own east, north and up point.
    pub axes: [Vector; 3],
    /// Where its origin is, mm.
    pub at: Vector,
}

/// A letter in a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Put {
    /// Row of the cell.
    pub y: usize,
    /// Column of the cell.
    pub x: usize,
    /// Where it stands in the cell.
    pub spot: CellSpot,
    /// Whether the letter is in the last of the cell's three columns (else in the first).
    pub last: bool,
    /// Index into [`Plan::fittings`].
    pub design: usize,
}

/// Where in a cell a fitting stands that does not say it itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CellSpot {
    /// In its middle: it is the only one.
    Middle,
    /// In the western half.
    West,
    /// In the eastern half.
    East,
}

/// A fitting in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittingPlace {
    /// Index into [`Plan::fittings`].
    pub design: usize,
    /// The letter that asks for it.
    pub put: Put,
    /// The middle of its outline: modules to the east and to the south of the level's north-west corner.
    pub at: (f64, f64),
}

impl Form {
    /// Modules along and across the cells of a stair, from the side at which it begins; `None` for what
    /// stands within a cell.
    #[must_use]
    pub fn cells(&self) -> Option<(u32, u32)> {
        match self {
            Self::Flight(Flight { run, wide, .. }) | Self::Marker(Marker { run, wide }) => Some((*run, *wide)),
            Self::Landing(Landing { size }) => Some(*size),
            Self::Prop | Self::Pillar { .. } | Self::FreeWall(_) => None,
        }
    }
}

impl FittingDesign {
    /// What messages call it: `the crate 'c'`.
    #[must_use]
    pub fn called(&self) -> String {
        format!("the {} '{}'", self.name, self.letter)
    }

    /// By how many quarters it is turned, where it is turned by quarters.
    #[must_use]
    pub fn quarters(&self) -> u32 {
        let quarters = (self.turn / 90.0).round().rem_euclid(4.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is 0 to 3")]
        let quarters = quarters as u32;
        quarters % 4
    }
}

impl FittingPlace {
    /// From the fitting's own coordinates to the level's, x east and y north of the level's north-west
    /// corner, mm.
    #[must_use]
    pub fn motion(&self, turn: f64, module: Mm) -> Affine {
        let m = module.get();
        Affine::translate((self.at.0 * m, -self.at.1 * m)) * Affine::rotate(turn.to_radians())
    }

    /// Line and column (from 1) of its letter in the plan's text.
    #[must_use]
    pub const fn in_text(&self, level: &Level) -> (usize, usize) {
        let (line, middle) = level.cell_in_text(self.put.x, self.put.y);
        (line, if self.put.last { middle + 1 } else { middle.saturating_sub(1) })
    }
}

/// Where the fittings of a level stand, in the order of its letters.
#[must_use]
pub fn places(plan: &Plan, level: &Level) -> Vec<FittingPlace> {
    let place = |put: &Put| {
        let design = plan.fittings.get(put.design)?;
        Some(FittingPlace { design: put.design, put: *put, at: middle(design, put) })
    };
    level.fittings.iter().filter_map(place).collect()
}

fn middle(design: &FittingDesign, put: &Put) -> (f64, f64) {
    let (x, y) = (put.x as f64, put.y as f64);
    if let Some((run, wide)) = design.form.cells() {
        let (run, wide) = (f64::from(run), f64::from(wide));
        // Along the way from the side at which it begins; across to the south or to the east.
        return match design.quarters() {
            0 => (x + run / 2.0, y + wide / 2.0),
            1 => (x + wide / 2.0, y + 1.0 - run / 2.0),
            2 => (x + 1.0 - run / 2.0, y + wide / 2.0),
            _ => (x + wide / 2.0, y + run / 2.0),
        };
    }
    let (east, south) = design.at.unwrap_or(match put.spot {
        CellSpot::Middle => (0.5, 0.5),
        CellSpot::West => (0.25, 0.5),
        CellSpot::East => (0.75, 0.5),
    });
    (x + east, y + south)
}
