//! The way of a wall that leaves the lattice: a quarter turn or a diagonal over a square of modules,
//! straight where it meets its posts, so that its hooks are those of any wall.

use std::fmt;

use kurbo::{Point, Vec2};

use super::{PieceError, mm};
use crate::parameters::Parameters;
use crate::tolerance;
use crate::units::plain;

/// Most modules along the side of a square that a bend crosses.
pub const LONGEST_REACH: u32 = 8;
/// The straight piece between a post and the first fold, mm, beyond half the play: room for the hook's
/// neck and for fingers.
const STRAIGHT: f64 = 4.0;
/// The angle by which a round bend turns at each of its folds, degrees: twelve folds to a quarter.
/// The corners then stand out from the circle by a 465th of its radius (1 / cos 3.75 degrees - 1).
const STEP: f64 = 7.5;
/// Shortest way between two folds, mm: nearer ones are not scored cleanly by hand. Common practice.
const LEAST_FACET: f64 = 3.0;

/// How a bend gets from one post to the other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BendForm {
    /// A quarter of a circle.
    #[default]
    Round,
    /// A straight line over the corner, with a fold at either end.
    Diagonal,
}

impl fmt::Display for BendForm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Round => "round",
            Self::Diagonal => "diagonal",
        })
    }
}

/// A bend over a square of modules. In its own frame the corner that it turns about is the origin, and
/// it leads from the post at (0, nM), which it leaves to the east, to the one at (nM, 0), at which it
/// arrives from the north.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bend {
    /// Its form.
    pub form: BendForm,
    /// Modules from the corner to either post.
    pub reach: u32,
}

impl Bend {
    /// From a post's middle to the first fold, mm.
    #[must_use]
    pub fn stub(p: &Parameters) -> f64 {
        (mm(p.post_side()) + mm(p.play)) / 2.0 + STRAIGHT
    }

    /// The angle of each of its folds, degrees.
    #[must_use]
    pub const fn fold_angle(self) -> f64 {
        match self.form {
            BendForm::Round => STEP,
            BendForm::Diagonal => 45.0,
        }
    }

    /// How many folds it has.
    #[must_use]
    pub const fn folds(self) -> u32 {
        match self.form {
            BendForm::Round => 12,
            BendForm::Diagonal => 2,
        }
    }

    /// Its middle line: from post to post over its folds, mm.
    ///
    /// A round one is the polygon about its circle: the circle's radius is nM less the stub, and every
    /// side touches it, so that the first and the last lie in line with the stubs.
    #[must_use]
    pub fn line(self, p: &Parameters) -> Vec<Point> {
        let (side, stub) = (mm(p.module) * f64::from(self.reach), Self::stub(p));
        let radius = side - stub;
        let mut line = vec![Point::new(0.0, side)];
        match self.form {
            BendForm::Diagonal => line.extend([Point::new(stub, side), Point::new(side, stub)]),
            BendForm::Round => {
                let step = STEP.to_radians();
                let corner = radius / (step / 2.0).cos();
                line.extend((0..self.folds()).map(|fold| {
                    let angle = std::f64::consts::FRAC_PI_2 - step * (f64::from(fold) + 0.5);
                    Point::new(stub + corner * angle.cos(), stub + corner * angle.sin())
                }));
            }
        }
        line.push(Point::new(side, 0.0));
        line
    }

    /// Its middle line moved outwards, away from its corner, by a distance in mm (inwards by a negative
    /// one): every side stays parallel to where it was, and the ends stay at right angles to theirs.
    #[must_use]
    pub fn beside(self, p: &Parameters, outwards: f64) -> Vec<Point> {
        let line = self.line(p);
        // It turns to the right all the way: outwards is on the left.
        let normals: Vec<Vec2> =
            line.windows(2).map(|side| (side[1] - side[0]).normalize()).map(|d| Vec2::new(-d.y, d.x)).collect();
        let moved = |(at, point): (usize, &Point)| {
            let before = at.checked_sub(1).and_then(|side| normals.get(side)).or(normals.first());
            let after = normals.get(at).or(normals.last());
            let (before, after) = (before.copied().unwrap_or_default(), after.copied().unwrap_or_default());
            *point + (before + after) * (outwards / (1.0 + before.dot(after)))
        };
        line.iter().enumerate().map(moved).collect()
    }

    /// Lengths of the sides of that line, from post to post, mm.
    #[must_use]
    pub fn sides(self, p: &Parameters, outwards: f64) -> Vec<f64> {
        self.beside(p, outwards).windows(2).map(|side| side[0].distance(side[1])).collect()
    }

    /// Whether it can be built at all.
    ///
    /// # Errors
    /// [`PieceError`] where its reach is out of range, or its folds lie too near to each other.
    pub fn check(self, p: &Parameters) -> Result<(), PieceError> {
        if !(1..=LONGEST_REACH).contains(&self.reach) {
            return Err(PieceError::OutOfRange {
                what: "a bend's reach",
                found: format!("{} modules", self.reach),
                help: format!("give a whole number of modules from 1 to {LONGEST_REACH}"),
            });
        }
        // Over the whole thickness of a wall, so that what lies on its inner face has room, too. The
        // first and the last side go on to a post.
        let (straight, thick) = (mm(p.module) * f64::from(self.reach) - Self::stub(p), mm(p.wall_thickness()));
        let sides = if straight > thick { self.sides(p, -thick) } else { Vec::new() };
        let inner = sides.get(1..sides.len().saturating_sub(1)).unwrap_or_default();
        let shortest = inner.iter().copied().reduce(f64::min).unwrap_or(0.0);
        if shortest >= LEAST_FACET - tolerance::FIT {
            return Ok(());
        }
        Err(PieceError::NoRoom {
            what: format!("a {} bend over {} modules keeps its folds apart", self.form, self.reach),
            found: format!("{} mm where at least {LEAST_FACET} mm are needed", plain(shortest, 2)),
            help: "use a longer reach, a narrower post or a larger module".into(),
        })
    }
}

/// Which part of a square that a bend crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TurnPart {
    /// From the corner to the bend.
    Fan,
    /// Between a bend of a shorter reach, modules, and the bend.
    Ring(u32),
    /// From the bend to the square's far corner.
    Spandrel,
}

/// A tile with a side on a bend, in the bend's frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TurnTile {
    /// The bend: the outer one of a ring.
    pub bend: Bend,
    /// Which side of it the tile lies on.
    pub part: TurnPart,
}
