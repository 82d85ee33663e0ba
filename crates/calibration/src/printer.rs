//! What a printer does to lengths: a scale across, a scale up, and a skew.
//!
//! A drawn vector v comes out as A v with A = [[x_scale, shear], [0, y_scale]]: how the sheet is
//! turned as a whole is not seen by a rule, so four numbers would be one too many. A reading is the
//! length of A v; the three numbers are found by Gauss-Newton steps, each of them a linear
//! least-squares problem (Press et al., Numerical Recipes, sections 15.4 and 15.5).

use flatwright_geometry::units::{Angle, MM_PER_INCH, Mm};
use kurbo::{Affine, Vec2};

use crate::{gross, linear, student};

/// The farthest that a reading may be off its nominal length, as a share: beyond it something else is
/// wrong than a printer. Fitting a page to the paper takes 2.8 to 6 %.
pub const FARTHEST: f64 = 0.08;
/// From this share on a correction should make its user think.
pub const NOTABLE: f64 = 0.005;
/// Repeated readings of one length are not farther apart: half a millimetre each of a rule's division,
/// of the eye and of the hand. Common practice, no source.
pub const APART: Mm = Mm::new(1.5);
/// Nobody reads a printed line better; the error that is worked with is never smaller. Common practice,
/// no source.
pub const LEAST_ERROR: Mm = Mm::new(0.05);
/// The error of a reading where there are no more readings than unknowns: a quarter of a
/// millimetre, a rule with half millimetres read by eye. Common practice, no source.
pub const ASSUMED_ERROR: Mm = Mm::new(0.25);

/// One length of the calibration page, and what was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Its name on the page.
    pub letter: String,
    /// From its one end to the other as drawn, mm, x to the right and y up.
    pub nominal: Vec2,
    /// What was read; at least one reading.
    pub readings: Vec<Mm>,
}

impl Measured {
    /// The mean of the readings. Repeats are averaged and then count as one: most of a rule's
    /// error (its divisions, the thickness of the line) is the same each time.
    pub(crate) fn mean(&self) -> f64 {
        self.readings.iter().map(|reading| reading.get()).sum::<f64>() / self.readings.len().max(1) as f64
    }
}

/// What a printer does to a drawn vector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distortion {
    /// Printed length of a drawn unit across.
    pub x_scale: f64,
    /// Printed height of a drawn unit up.
    pub y_scale: f64,
    /// How far a drawn unit up leans to the right.
    pub shear: f64,
}

impl Distortion {
    /// A printer that prints true.
    pub const NONE: Self = Self { x_scale: 1.0, y_scale: 1.0, shear: 0.0 };

    /// Of scales and of the angle by which upright lines lean to the right.
    #[must_use]
    pub fn new(x_scale: f64, y_scale: f64, skew: Angle) -> Self {
        Self { x_scale, y_scale, shear: y_scale * skew.radians().tan() }
    }

    /// The angle by which upright lines lean to the right.
    #[must_use]
    pub fn skew(self) -> Angle {
        Angle::degrees(self.shear.atan2(self.y_scale).to_degrees())
    }

    /// From what is drawn to what is printed, about the origin.
    #[must_use]
    pub const fn motion(self) -> Affine {
        Affine::new([self.x_scale, 0.0, self.shear, self.y_scale, 0.0, 0.0])
    }

    /// From what is wanted to what must be drawn, about the origin.
    #[must_use]
    pub fn correction(self) -> Affine {
        let (x, y) = (1.0 / self.x_scale, 1.0 / self.y_scale);
        Affine::new([x, 0.0, -self.shear * x * y, y, 0.0, 0.0])
    }

    /// The printed length of a drawn vector, mm.
    #[must_use]
    pub fn length(self, nominal: Vec2) -> f64 {
        self.printed(nominal).hypot()
    }

    /// The largest departure from true: of either scale from 1, of the shear from 0.
    #[must_use]
    pub fn largest(self) -> f64 {
        [self.x_scale - 1.0, self.y_scale - 1.0, self.shear].into_iter().map(f64::abs).fold(0.0, f64::max)
    }

    fn printed(self, v: Vec2) -> Vec2 {
        Vec2::new(self.x_scale * v.x + self.shear * v.y, self.y_scale * v.y)
    }

    /// How its length grows with the two scales and the shear.
    fn gradient(self, v: Vec2) -> [f64; 3] {
        let at = self.printed(v);
        let length = at.hypot().max(f64::MIN_POSITIVE);
        [at.x * v.x / length, at.y * v.y / length, at.x * v.y / length]
    }

    fn of(values: &[f64]) -> Self {
        let value = |i: usize, default: f64| values.get(i).copied().unwrap_or(default);
        Self { x_scale: value(0, 1.0), y_scale: value(1, 1.0), shear: value(2, 0.0) }
    }
}

/// What the readings came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The printer.
    pub distortion: Distortion,
    /// Standard errors of its three numbers; none for the shear where it was not measured.
    pub standard_errors: Distortion,
    /// Whether the readings tell the skew; without a diagonal it is taken for none.
    pub skewed: bool,
    /// The error of a reading, from what is left over.
    pub reading_error: Mm,
    /// Readings less unknowns. With none left, [`ASSUMED_ERROR`] stands for the error of a reading.
    pub freedom: usize,
    /// What is left over of each length: measured less fitted.
    pub residuals: Vec<(String, Mm)>,
}

impl Fit {
    /// By how many standard errors the true value is off in at most one case of twenty.
    #[must_use]
    pub fn coverage_factor(&self) -> f64 {
        if self.freedom == 0 { 1.96 } else { student::exceeded(0.05, self.freedom) }
    }
}

/// Why readings tell no printer. Lengths are named by their letters.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Nothing was measured along one of the axes.
    #[error("no length {way} was measured")]
    Missing {
        /// `across` or `up`.
        way: &'static str,
    },
    /// A reading in another unit.
    #[error("{letter} reads {reading} where {nominal} is drawn: that is the number of {unit}")]
    Unit {
        /// The length.
        letter: String,
        /// What was read.
        reading: Mm,
        /// What is drawn.
        nominal: Mm,
        /// The unit that it looks like, in the plural.
        unit: &'static str,
    },
    /// A reading that no printer explains.
    #[error("{letter} reads {reading} where {nominal} is drawn, {percent:.0} % off", percent = 100.0 * (reading.get() / nominal.get() - 1.0).abs())]
    FarOff {
        /// The length.
        letter: String,
        /// What was read.
        reading: Mm,
        /// What is drawn.
        nominal: Mm,
        /// Another length that it looks like.
        like: Option<String>,
    },
    /// Readings of one length that differ.
    #[error("readings of {letter} lie {apart} apart")]
    Apart {
        /// The length.
        letter: String,
        /// Largest less smallest.
        apart: Mm,
    },
    /// A reading that does not go with the others.
    #[error("{letter} reads {reading}, but from the others it should be {expected}")]
    Disagrees {
        /// The length.
        letter: String,
        /// What was read.
        reading: Mm,
        /// What the others make of it.
        expected: Mm,
    },
    /// Two readings that go with the others when they are exchanged.
    #[error("the readings of {one} and {other} do not go with the others, but do when they are exchanged")]
    Swapped {
        /// The one length.
        one: String,
        /// The other.
        other: String,
        /// A third that, left out, would explain it too.
        or: Option<String>,
    },
}

/// The printer that explains readings best. Every length has another letter.
///
/// # Errors
/// Every reading that is in another unit, too far off or apart from its repeats; then a length that
/// does not go with the others; axes along which nothing was measured.
pub fn fit(measured: &[Measured]) -> Result<Fit, Vec<FitError>> {
    let errors: Vec<FitError> = measured.iter().filter_map(|one| implausible(one, measured)).collect();
    if !errors.is_empty() {
        return Err(errors);
    }
    let data: Vec<(Vec2, f64)> = measured.iter().map(|one| (one.nominal, one.mean())).collect();
    let Some(adjusted) = Adjusted::new(&data) else { return Err(missing(measured)) };
    if let Some(error) = gross::find(measured, &data, &adjusted) {
        return Err(vec![error]);
    }
    let freedom = adjusted.freedom();
    let error = if freedom == 0 { ASSUMED_ERROR.get() } else { adjusted.deviation() };
    let cofactor = |i: usize| adjusted.solution.cofactor.get(i).map_or(0.0, |line| line[i]);
    // A worked error below what anyone can read is luck; the residuals themselves stay as they are.
    let worked = error.max(LEAST_ERROR.get());
    let standard = |i: usize| worked * cofactor(i).sqrt();
    Ok(Fit {
        distortion: adjusted.distortion,
        standard_errors: Distortion { x_scale: standard(0), y_scale: standard(1), shear: standard(2) },
        skewed: adjusted.solution.x.len() == 3,
        reading_error: Mm::new(error),
        freedom,
        residuals: measured.iter().zip(&adjusted.residuals).map(|(m, r)| (m.letter.clone(), Mm::new(*r))).collect(),
    })
}

/// A least-squares solution with what it leaves over.
pub(crate) struct Adjusted {
    pub distortion: Distortion,
    pub solution: linear::Solution,
    pub residuals: Vec<f64>,
}

impl Adjusted {
    /// Scales and shear, or without diagonals the scales alone. `None` where an axis was not measured.
    pub fn new(data: &[(Vec2, f64)]) -> Option<Self> {
        Self::of(data, 3).or_else(|| Self::of(data, 2))
    }

    fn of(data: &[(Vec2, f64)], unknowns: usize) -> Option<Self> {
        /// Steps until nothing changes; a few suffice, since what is sought is small.
        const STEPS: usize = 30;
        if data.len() < unknowns {
            return None;
        }
        let mut distortion = Distortion::NONE;
        let mut solution = None;
        for _ in 0..STEPS {
            let rows: Vec<Vec<f64>> = data.iter().map(|(v, _)| distortion.gradient(*v)[..unknowns].to_vec()).collect();
            let right: Vec<f64> = data.iter().map(|(v, length)| length - distortion.length(*v)).collect();
            let found = linear::solve(&rows, &right)?;
            let now = [distortion.x_scale, distortion.y_scale, distortion.shear];
            let next: Vec<f64> = now.iter().zip(&found.x).map(|(value, step)| value + step).collect();
            distortion = Distortion::of(&next);
            let still = found.x.iter().all(|step| step.abs() < 1e-15);
            solution = Some(found);
            if still {
                break;
            }
        }
        let residuals = data.iter().map(|(v, length)| length - distortion.length(*v)).collect();
        Some(Self { distortion, solution: solution?, residuals })
    }

    pub fn freedom(&self) -> usize {
        self.residuals.len().saturating_sub(self.solution.x.len())
    }

    /// The sum of the squares of what is left over.
    pub fn left_over(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }

    /// The error of a reading as the residuals tell it.
    pub fn deviation(&self) -> f64 {
        (self.left_over() / self.freedom().max(1) as f64).sqrt()
    }

    /// The fitted length of a vector, and its cofactor.
    pub fn fitted(&self, v: Vec2) -> (f64, f64) {
        let row = &self.distortion.gradient(v)[..self.solution.x.len()];
        (self.distortion.length(v), self.solution.cofactor_of(row))
    }
}

/// What is wrong with one length's readings alone.
fn implausible(one: &Measured, all: &[Measured]) -> Option<FitError> {
    let letter = one.letter.clone();
    let nominal = one.nominal.hypot();
    for reading in &one.readings {
        let share = reading.get() / nominal;
        let like = |factor: f64| (share * factor - 1.0).abs() <= FARTHEST;
        let units =
            [(MM_PER_INCH, "inches"), (10.0, "centimetres"), (1.0 / MM_PER_INCH, "inches taken for millimetres")];
        let nominal = Mm::new(nominal);
        if like(1.0) {
            continue;
        }
        if let Some((_, unit)) = units.into_iter().find(|(factor, _)| like(*factor)) {
            return Some(FitError::Unit { letter, reading: *reading, nominal, unit });
        }
        let far = |other: &Measured| (reading.get() / other.nominal.hypot() - 1.0).abs();
        let others = all.iter().filter(|other| other.letter != letter && far(other) < FARTHEST / 2.0);
        // Of lengths drawn alike, the one whose own reading would do here.
        let odd = |other: &Measured| (other.mean() / nominal.get() - 1.0).abs();
        let like = others.min_by(|a, b| odd(a).total_cmp(&odd(b))).map(|other| other.letter.clone());
        return Some(FitError::FarOff { letter, reading: *reading, nominal, like });
    }
    let least = one.readings.iter().copied().reduce(Mm::min)?;
    let most = one.readings.iter().copied().reduce(Mm::max)?;
    (most - least > APART).then_some(FitError::Apart { letter, apart: most - least })
}

/// The axes along which nothing was measured; both where a single diagonal is all.
fn missing(measured: &[Measured]) -> Vec<FitError> {
    // A length tells of the axis that it runs along for the most part.
    let across = measured.iter().any(|one| one.nominal.x.abs() > 2.0 * one.nominal.y.abs());
    let up = measured.iter().any(|one| one.nominal.y.abs() > 2.0 * one.nominal.x.abs());
    let ways = [(across, "across"), (up, "up")];
    ways.into_iter().filter(|(there, _)| !there).map(|(_, way)| FitError::Missing { way }).collect()
}
