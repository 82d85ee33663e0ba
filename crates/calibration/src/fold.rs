//! The neutral line of a fold: how much of a flat strip a fold of half a turn uses up.
//!
//! A strip of flat length F and caliper u, folded flat upon itself, has two inside lengths that come
//! to F - pi K u; each leg, measured to the outside of the fold, is one caliper longer. So
//! K = (F + 2 u - legs) / (pi u): construction rule "fold allowance A K u" with A = pi.

use std::f64::consts::PI;

use flatwright_geometry::units::Mm;

/// A factor that is known no better than this is not worth using, as a part of the caliper.
pub const LARGEST_ERROR: f64 = 0.2;
/// The error of a measured leg: half a tenth, a caliper on card. Common practice, no source.
pub const LEG_ERROR: Mm = Mm::new(0.05);

/// Where the neutral line of a fold lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neutral {
    /// K, a part of the caliper.
    pub factor: f64,
    /// Its standard error.
    pub standard_error: f64,
}

impl Neutral {
    /// Whether it is known well enough to be used, and lies within the stock.
    #[must_use]
    pub fn is_usable(self) -> bool {
        self.standard_error <= LARGEST_ERROR && (0.0..=1.0).contains(&self.factor)
    }
}

/// From both legs of a strip that was folded flat, each with its readings. `None` where either was
/// not measured.
#[must_use]
pub fn neutral(flat: Mm, caliper: Mm, legs: [&[Mm]; 2]) -> Option<Neutral> {
    let mean = |readings: &[Mm]| {
        let sum = readings.iter().copied().reduce(|a, b| a + b)?;
        Some(sum / readings.len() as f64)
    };
    let both = mean(legs[0])? + mean(legs[1])?;
    let uses = caliper.get() * PI;
    let error = LEG_ERROR.get() * legs.iter().map(|leg| 1.0 / leg.len() as f64).sum::<f64>().sqrt();
    let factor = (flat + caliper * 2.0 - both).get() / uses;
    (uses > 0.0).then_some(Neutral { factor, standard_error: error / uses })
}
