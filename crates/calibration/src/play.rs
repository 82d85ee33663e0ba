//! Play from graded joints: the tightest that goes together tells between which two grades the least
//! play lies that this hand, stock and cutter need.

use flatwright_geometry::units::Mm;

use crate::student;

/// From one grade to the next.
pub const STEP: Mm = Mm::new(0.1);
/// How many grades there are, from no play up.
pub const GRADES: u32 = 9;

/// The play of every grade, from the tightest.
#[must_use]
pub fn grades() -> Vec<Mm> {
    (0..GRADES).map(|grade| STEP * f64::from(grade)).collect()
}

/// The grade that a play names, counted from 0.
#[must_use]
pub fn grade_of(play: Mm) -> Option<u32> {
    (0..GRADES).find(|grade| (STEP * f64::from(*grade) - play).abs().get() < 1e-6)
}

/// The least play with which a joint goes together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// Mean of the loosest grades that did not go.
    pub fails: Mm,
    /// Mean of the tightest grades that went.
    pub goes: Mm,
    /// The middle between the two: the best guess at the threshold itself.
    pub estimate: Mm,
    /// Standard error of the estimate.
    pub standard_error: Mm,
    /// Factor of the standard error that holds the true value in nineteen cases of twenty.
    pub coverage_factor: f64,
}

/// From the tightest grade that went, of each trial. Each trial's own threshold lies within the
/// step below its grade (an interval-censored value; the middle of the interval stands for it, and
/// its error of a twelfth of the step's square is in the spread of trials that differ). `None`
/// without a trial.
#[must_use]
pub fn threshold(tightest: &[Mm]) -> Option<Threshold> {
    let n = tightest.len() as f64;
    let goes = tightest.iter().copied().reduce(|a, b| a + b)? / n;
    let spread: f64 = tightest.iter().map(|grade| (*grade - goes).get().powi(2)).sum();
    let within_step = STEP.get() / 12f64.sqrt();
    // Trials that all end at one grade say that the step is coarser than the hand: it does not average out.
    let (standard_error, coverage_factor) = if spread < 1e-12 {
        (within_step, 12f64.sqrt() / 2.0)
    } else {
        let deviation = (spread / (n - 1.0)).sqrt().max(within_step);
        // The spread of two or three trials is no spread to reckon with: then it is taken as known.
        let factor = if tightest.len() < 4 { 1.96 } else { student::exceeded(0.05, tightest.len() - 1) };
        (deviation / n.sqrt(), factor)
    };
    Some(Threshold {
        fails: goes - STEP,
        goes,
        estimate: goes - STEP / 2.0,
        standard_error: Mm::new(standard_error),
        coverage_factor,
    })
}

/// The play that a set should be built with, from the threshold of a joint that was drawn for one
/// thickness and made with another: `cut` of its two parts were cut, each with `kerf`.
///
/// The mean grade that went is taken, not the threshold: a joint must go together every time.
/// A kerf that was not allowed for has widened the joint, and so has a part that is thinner than drawn.
#[must_use]
pub fn needed(threshold: &Threshold, cut: u32, kerf: Mm, drawn: Mm, measured: Mm) -> Mm {
    (threshold.goes + kerf * f64::from(cut) + (drawn - measured)).max(Mm::ZERO)
}
