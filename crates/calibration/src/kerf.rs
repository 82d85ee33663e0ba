//! The width that a cutter removes, from gauges: a hole grows by it, a piece shrinks by it, and of a
//! row of strips each shrinks by it.
//!
//! A gauge measures scale * nominal + cuts * kerf. A hole and a piece cut with one line tell the
//! kerf whatever the printer's scale is: they differ by twice the kerf.

use flatwright_geometry::units::Mm;

use crate::play::{self, STEP};
use crate::{linear, student};

/// The widest kerf that is believed.
pub const WIDEST: Mm = Mm::new(3.0);
/// The error that a gauge's reading has at least: a caliper on a soft edge. Common practice, no
/// source.
pub const LEAST_ERROR: Mm = Mm::new(0.05);

/// One gauge and what was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// As drawn.
    pub nominal: Mm,
    /// By how many kerfs it measures more: 1 for a hole, -1 for a piece, -6 for six strips side by
    /// side.
    pub cuts: f64,
    /// What was read; at least one reading.
    pub readings: Vec<Mm>,
}

/// What the gauges came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kerf {
    /// The kerf, not below zero.
    pub width: Mm,
    /// Its standard error.
    pub standard_error: Mm,
    /// Factor of the standard error that holds the true value in nineteen cases of twenty.
    pub coverage_factor: f64,
}

/// Why gauges tell no kerf.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum KerfError {
    /// No gauge was read.
    #[error("no gauge was read")]
    Nothing,
    /// Less than nothing, by more than the readings' error.
    #[error("the gauges make a kerf of {0}: less than nothing")]
    Negative(Mm),
    /// More than any tool takes.
    #[error("the gauges make a kerf of {0}: more than {WIDEST}")]
    TooWide(Mm),
}

/// The kerf that explains the gauges best.
///
/// # Errors
/// [`KerfError`].
pub fn fit(gauges: &[Gauge]) -> Result<Kerf, KerfError> {
    let mean = |gauge: &Gauge| gauge.readings.iter().map(|r| r.get()).sum::<f64>() / gauge.readings.len().max(1) as f64;
    let read: Vec<&Gauge> = gauges.iter().filter(|gauge| !gauge.readings.is_empty()).collect();
    let off: Vec<f64> = read.iter().map(|gauge| mean(gauge) - gauge.nominal.get()).collect();
    // Kerf, and how far the scale is off where the gauges tell it.
    let rows = |scaled: bool| -> Vec<Vec<f64>> {
        let row = |gauge: &&Gauge| if scaled { vec![gauge.cuts, gauge.nominal.get()] } else { vec![gauge.cuts] };
        read.iter().map(row).collect()
    };
    let scaled = if read.len() > 1 { linear::solve(&rows(true), &off) } else { None };
    let found = scaled.or_else(|| linear::solve(&rows(false), &off)).ok_or(KerfError::Nothing)?;
    let rows = rows(found.x.len() == 2);
    let left: f64 = rows
        .iter()
        .zip(&off)
        .map(|(row, off)| off - row.iter().zip(&found.x).map(|(a, x)| a * x).sum::<f64>())
        .map(|rest| rest * rest)
        .sum();
    let freedom = read.len() - found.x.len();
    let error = if freedom == 0 { 0.0 } else { (left / freedom as f64).sqrt() }.max(LEAST_ERROR.get());
    let (width, standard_error) = (Mm::new(found.x[0]), Mm::new(error * found.cofactor[0][0].sqrt()));
    // With one gauge more than unknowns the residuals say next to nothing: the usual error stands.
    let coverage_factor = if freedom < 2 { 1.96 } else { student::exceeded(0.05, freedom) };
    if width > WIDEST {
        return Err(KerfError::TooWide(width));
    }
    if width < -(standard_error * 3.0) {
        return Err(KerfError::Negative(width));
    }
    Ok(Kerf { width: width.max(Mm::ZERO), standard_error, coverage_factor })
}

/// The kerf from openings graded as [`play::grades`], each narrower than a strip by its grade, as drawn:
/// the narrowest that a strip went into, of each trial. Strip and opening differ by two kerfs then, to
/// a grade. It needs no caliper, and a soft board yields a little. `None` without a trial, and where
/// even the narrowest opening let it in.
#[must_use]
pub fn from_openings(narrowest: &[Mm]) -> Option<Kerf> {
    let last = STEP * f64::from(play::GRADES - 1);
    if narrowest.iter().any(|opening| *opening > last - STEP / 2.0) {
        return None;
    }
    let found = play::threshold(narrowest)?;
    // Here the next grade up is the one that fails.
    let twice = found.goes + STEP / 2.0;
    let (width, standard_error) = (twice / 2.0, found.standard_error / 2.0);
    Some(Kerf { width, standard_error, coverage_factor: found.coverage_factor })
}
