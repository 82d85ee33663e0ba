//! Stairs: straight flights with one tread for each square of the grid, half landings, and flat
//! markers for a stair that leads down.
//!
//! A flight stands on the floor between posts, from lattice line to lattice line, and its top tread
//! is flush with the floor above: n steps rise the pitch of the levels, each by an n-th of it.

use kurbo::{Line, Rect};

use super::solid::space::Vector;
use super::solid::{self, Face, Made, Shell, ShellError};
use super::{PieceError, flat, mm, rect};
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind, Stock};
use crate::units::{Mm, plain};

/// The most steps of a flight: each has four faces and their flaps to fold.
pub const MOST_STEPS: u32 = 18;
/// Modules that a flight or a landing may be long or wide.
pub const LONGEST: u32 = 6;
/// Shortest tread and lowest rise that can be folded and stood on, mm.
const LEAST_TREAD: f64 = 6.0;
const LEAST_RISE: f64 = 2.0;
/// Squares of the grid along a module: a square of one inch on a module of three is common practice.
pub const SQUARES: u32 = 3;

/// Which part of the way from one floor to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Climb {
    /// From the floor to the floor above.
    #[default]
    Whole,
    /// From the floor to a half landing.
    Lower,
    /// From a half landing to the floor above.
    Upper,
}

impl Climb {
    /// Where it begins and ends, in halves of the pitch.
    const fn halves(self) -> (u32, u32) {
        match self {
            Self::Whole => (0, 2),
            Self::Lower => (0, 1),
            Self::Upper => (1, 2),
        }
    }

    /// Its words, for people; empty for the whole way.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Whole => "",
            Self::Lower => ", to a half landing",
            Self::Upper => ", from a half landing",
        }
    }
}

/// A straight flight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Flight {
    /// Modules that it is long.
    pub run: u32,
    /// Modules that it is wide.
    pub wide: u32,
    /// Steps; one for each square of the grid is usual.
    pub steps: u32,
    /// Which part of the way up it leads.
    pub climb: Climb,
}

/// A half landing: a box half as high as the way to the next floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Landing {
    /// Modules along and across.
    pub size: (u32, u32),
}

/// A flat marker that lies on a floor where a stair leads down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Marker {
    /// Modules that it is long.
    pub run: u32,
    /// Modules that it is wide.
    pub wide: u32,
}

/// Anything of a stair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stair {
    /// A straight flight.
    Flight(Flight),
    /// A half landing.
    Landing(Landing),
    /// A marker of a stair that leads down.
    Marker(Marker),
}

impl Flight {
    /// One step for each square of the grid.
    #[must_use]
    pub const fn usual_steps(run: u32) -> u32 {
        run * SQUARES
    }

    /// Depth of a tread: the flight's length by its steps.
    #[must_use]
    pub fn tread(&self, p: &Parameters) -> Mm {
        length(p, self.run) / f64::from(self.steps)
    }

    /// Height of a step: all steps together rise exactly as far as the flight leads.
    #[must_use]
    pub fn rise(&self, p: &Parameters) -> Mm {
        let (from, to) = self.climb.halves();
        p.level_pitch() * (f64::from(to - from) / 2.0) / f64::from(self.steps)
    }

    /// Its outside: x along the flight from its foot, y across, z up from the floor. What stands on a
    /// half landing begins at the landing's height and reaches down to the floor.
    ///
    /// # Errors
    /// [`ShellError`] where its steps close no body.
    pub fn outside(&self, p: &Parameters) -> Result<Shell, ShellError> {
        let (tread, rise) = (mm(self.tread(p)), mm(self.rise(p)));
        let start = mm(p.level_pitch()) * f64::from(self.climb.halves().0) / 2.0;
        let width = mm(clear_width(p, self.wide));
        // Counterclockwise as the south sees it: the foot, along the floor, up the back, down the steps.
        let top = |step: u32| start + rise * f64::from(step);
        let mut profile = vec![(0.0, 0.0), (tread * f64::from(self.steps), 0.0)];
        for step in (1..=self.steps).rev() {
            profile.push((tread * f64::from(step), top(step)));
            profile.push((tread * f64::from(step - 1), top(step)));
        }
        let n = profile.len();
        let points = [0.0, width].iter().flat_map(|y| profile.iter().map(|&(x, z)| Vector::new(x, *y, z))).collect();
        let mut faces = vec![
            Face { name: "south side", corners: (0..n).collect(), made: true },
            Face { name: "north side", corners: (n..2 * n).rev().collect(), made: true },
        ];
        for side in 0..n {
            let next = (side + 1) % n;
            let name = match side {
                0 => "bottom",
                1 => "back",
                _ if side % 2 == 0 => "tread",
                _ => "riser",
            };
            faces.push(Face { name, corners: vec![side, side + n, next + n, next], made: side != 0 });
        }
        Shell::new(points, faces)
    }

    fn check(&self, p: &Parameters) -> Result<(), PieceError> {
        sizes("a flight", &[self.run, self.wide])?;
        if !(1..=MOST_STEPS).contains(&self.steps) {
            return Err(PieceError::OutOfRange {
                what: "a flight's number of steps",
                found: self.steps.to_string(),
                help: format!("give 1 to {MOST_STEPS}, or leave it out for one on each square of the grid"),
            });
        }
        let (tread, rise) = (mm(self.tread(p)), mm(self.rise(p)));
        if tread < LEAST_TREAD || rise < LEAST_RISE {
            return Err(PieceError::NoRoom {
                what: format!("a step is at least {LEAST_TREAD} mm deep and {LEAST_RISE} mm high"),
                found: format!("{} mm deep, {} mm high", plain(tread, 2), plain(rise, 2)),
                help: "give it fewer steps, or a longer run".into(),
            });
        }
        Ok(())
    }
}

impl Stair {
    /// What sets it apart, for people: `1 x 1, 3 steps`.
    #[must_use]
    pub fn detail(&self) -> String {
        match self {
            Self::Flight(flight) => {
                let steps = if flight.steps == 1 { "1 step".to_owned() } else { format!("{} steps", flight.steps) };
                format!("{} x {}, {steps}{}", flight.run, flight.wide, flight.climb.words())
            }
            Self::Landing(Landing { size: (along, across) }) => format!("{along} x {across}"),
            Self::Marker(marker) => format!("{} x {}", marker.run, marker.wide),
        }
    }

    /// Which family it is of.
    #[must_use]
    pub const fn kind(&self) -> PieceKind {
        match self {
            Self::Flight(_) => PieceKind::Flight,
            Self::Landing(_) => PieceKind::Landing,
            Self::Marker(_) => PieceKind::StairMarker,
        }
    }

    /// Its outside as a body; `None` for what is flat.
    ///
    /// # Errors
    /// [`PieceError`] where a size is out of range, or the steps close no body.
    pub fn outside(&self, p: &Parameters) -> Result<Option<Shell>, PieceError> {
        let shell = match self {
            Self::Flight(flight) => {
                flight.check(p)?;
                flight.outside(p)
            }
            Self::Landing(Landing { size: (along, across) }) => {
                sizes("a landing", &[*along, *across])?;
                let base = solid::form::rectangle(mm(clear_width(p, *along)), mm(clear_width(p, *across)));
                let ends = solid::form::Ends { bottom: false, top: true };
                solid::form::stack(&[(base.clone(), 0.0), (base, mm(p.level_pitch()) / 2.0)], ends)
            }
            Self::Marker(_) => return Ok(None),
        };
        shell.map(Some).map_err(|error| no_body(self, &error))
    }

    /// Its nets, where it is a body.
    ///
    /// # Errors
    /// As [`Self::outside`] has them, and where flaps find no room.
    pub fn nets(&self, p: &Parameters) -> Result<Vec<Made>, PieceError> {
        let Some(outside) = self.outside(p)? else { return Ok(Vec::new()) };
        let inside = outside.inset(mm(p.card)).map_err(|error| no_body(self, &error))?;
        solid::nets(p, &inside, self.kind(), &self.detail())
    }

    /// Its flat patterns.
    ///
    /// # Errors
    /// As [`Self::nets`] has them.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        match self {
            Self::Marker(found) => Ok(vec![marker(p, *found, self.detail())?]),
            _ => Ok(self.nets(p)?.into_iter().map(|made| made.pattern).collect()),
        }
    }
}

/// From lattice line to lattice line: nM - f, as a tile.
fn length(p: &Parameters, modules: u32) -> Mm {
    p.tile_size(modules)
}

/// Between the posts on both sides: nM - s - f, as a wall.
fn clear_width(p: &Parameters, modules: u32) -> Mm {
    p.wall_body(f64::from(modules))
}

fn sizes(what: &'static str, modules: &[u32]) -> Result<(), PieceError> {
    match modules.iter().find(|modules| !(1..=LONGEST).contains(*modules)) {
        None => Ok(()),
        Some(modules) => Err(PieceError::OutOfRange {
            what,
            found: format!("{modules} modules"),
            help: format!("give 1 to {LONGEST} modules for each side"),
        }),
    }
}

fn no_body(stair: &Stair, error: &ShellError) -> PieceError {
    PieceError::NoRoom {
        what: format!("the {} {} has an inside", stair.kind(), stair.detail()),
        found: error.to_string(),
        help: "use thinner card, fewer steps, or a larger module".into(),
    }
}

/// A card with a line for each tread.
fn marker(p: &Parameters, marker: Marker, detail: String) -> Result<Pattern, PieceError> {
    sizes("a stair marker", &[marker.run, marker.wide])?;
    let (long, wide) = (mm(clear_width(p, marker.run)), mm(clear_width(p, marker.wide)));
    if wide < LEAST_TREAD {
        return Err(PieceError::NoRoom {
            what: "a stair marker lies between its posts: nM - s - f".into(),
            found: format!("{} mm wide", plain(wide, 2)),
            help: "use a narrower post or a larger module".into(),
        });
    }
    let mut draft = flat(PieceKind::StairMarker, Stock::Card, detail, &rect(0.0, 0.0, long, wide), &[])?;
    draft.shows(0);
    draft.label(Rect::new(0.0, 0.0, long, wide), false);
    let mut pattern = draft.finish()?;
    let steps = Flight::usual_steps(marker.run);
    pattern.scores = (1..steps)
        .map(|step| {
            let x = long * f64::from(step) / f64::from(steps);
            Line::new((x, 0.0), (x, wide))
        })
        .collect();
    Ok(pattern)
}
