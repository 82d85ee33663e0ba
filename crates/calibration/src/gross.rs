//! Gross errors: a reading that does not go with the others, and two that were exchanged.
//!
//! A single one is found by leaving each length out in turn and asking how far it is from what the
//! others make of it, in standard errors of that difference (the externally studentised residual:
//! Belsley, Kuh and Welsch, Regression Diagnostics, section 2.1), held against Student's
//! distribution for as many lengths as were tried (Bonferroni). An exchange is found by trying all.

use flatwright_geometry::units::Mm;
use kurbo::Vec2;

use crate::printer::{Adjusted, FitError, LEAST_ERROR, Measured};
use crate::student;

/// How often readings without a gross error may be refused.
const ALARM: f64 = 0.01;
/// An error below this may be a rule that is read to half millimetres, mm.
const LEAST_GROSS: f64 = 0.75;
/// An exchange must bring what is left over down to one part in so many.
const BETTER: f64 = 6.0;
/// Two explanations whose errors of a reading lie within this factor explain equally well.
const ALIKE: f64 = 1.5;

/// The gross error that explains readings best, where there is one.
pub(crate) fn find(measured: &[Measured], data: &[(Vec2, f64)], adjusted: &Adjusted) -> Option<FitError> {
    // With one reading more than unknowns, each could be the wrong one.
    if adjusted.freedom() < 2 {
        return None;
    }
    let single = single(data);
    match (exchanged(data, adjusted), single) {
        (Some((i, j, error)), single) if single.as_ref().is_none_or(|s| error <= ALIKE * s.error) => {
            let third = single.filter(|s| s.error <= ALIKE * error && ![i, j].contains(&s.index));
            Some(FitError::Swapped {
                one: measured[i].letter.clone(),
                other: measured[j].letter.clone(),
                or: third.map(|third| measured[third.index].letter.clone()),
            })
        }
        (_, Some(single)) => Some(FitError::Disagrees {
            letter: measured[single.index].letter.clone(),
            reading: Mm::new(data[single.index].1),
            expected: Mm::new((single.expected * 100.0).round() / 100.0),
        }),
        (_, None) => None,
    }
}

/// A length that the others contradict.
struct Single {
    index: usize,
    expected: f64,
    /// Error of a reading without it.
    error: f64,
}

fn single(data: &[(Vec2, f64)]) -> Option<Single> {
    let mut worst: Option<(f64, Single)> = None;
    for (index, (nominal, reading)) in data.iter().enumerate() {
        let others = [&data[..index], &data[index + 1..]].concat();
        let Some(without) = Adjusted::new(&others).filter(|without| without.freedom() >= 1) else { continue };
        let (expected, cofactor) = without.fitted(*nominal);
        let error = without.deviation().max(LEAST_ERROR.get());
        let off = (reading - expected).abs();
        let far = off / (error * (1.0 + cofactor).sqrt());
        let limit = student::exceeded(ALARM / data.len() as f64, without.freedom());
        let gross = far > limit && off > LEAST_GROSS;
        if gross && worst.as_ref().is_none_or(|(most, _)| far > *most) {
            worst = Some((far, Single { index, expected, error }));
        }
    }
    worst.map(|(_, single)| single)
}

/// The two lengths whose exchange leaves least over, with the error of a reading then.
fn exchanged(data: &[(Vec2, f64)], adjusted: &Adjusted) -> Option<(usize, usize, f64)> {
    let mut best: Option<(usize, usize, f64)> = None;
    for i in 0..data.len() {
        for j in i + 1..data.len() {
            if (data[i].1 - data[j].1).abs() < LEAST_GROSS {
                continue;
            }
            let mut turned = data.to_vec();
            (turned[i].1, turned[j].1) = (data[j].1, data[i].1);
            let Some(other) = Adjusted::new(&turned) else { continue };
            let error = other.deviation().max(LEAST_ERROR.get());
            let better = adjusted.deviation() > error * BETTER.sqrt();
            if better && best.is_none_or(|(_, _, least)| error < least) {
                best = Some((i, j, error));
            }
        }
    }
    best
}
