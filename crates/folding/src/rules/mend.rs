//! The nearest value of a parameter with which a rule holds, found on the rule itself.

use flatwright_geometry::parameters::Parameters;

use super::field::Field;
use super::finding::Mend;

/// Values are told to a thousandth of a millimetre, always on the side that holds.
const PER_MM: f64 = 1000.0;
/// First step of the search; each further one is `GROWTH` times as far out.
const FIRST: f64 = 0.004;
const GROWTH: f64 = 1.2;
const STEPS: usize = 62;

/// The first of `fields` that alone can make `holds` true without making `also` false; if none can,
/// the first that makes `holds` true. Its nearest such value, up or down; `measured` gives the
/// values of the stock in hand.
pub(super) fn mend(
    p: &Parameters,
    fields: &[Field],
    measured: impl Fn(Field) -> Option<f64>,
    holds: impl Fn(&Parameters) -> bool,
    also: impl Fn(&Parameters) -> bool,
) -> Option<Mend> {
    let mut second_best = None;
    for &field in fields {
        // A window too narrow to be found by steps lies at what was measured, if anywhere.
        let exact = measured(field).filter(|value| field.set(p, *value).is_some_and(|p| holds(&p)));
        let Some(value) = nearest(p, field, &holds).or(exact) else { continue };
        if field.set(p, value).is_some_and(|mended| also(&mended)) {
            return Some(field.mend(value));
        }
        second_best.get_or_insert(field.mend(value));
    }
    second_best
}

/// Nearest value in either direction.
fn nearest(p: &Parameters, field: Field, holds: &impl Fn(&Parameters) -> bool) -> Option<f64> {
    let from = field.get(p);
    let towards = |sign: f64| {
        let works = |distance: f64| field.set(p, from + sign * distance).is_some_and(|p| holds(&p));
        let mut fails = 0.0;
        let mut step = FIRST;
        for _ in 0..STEPS {
            if works(step) {
                return refine(from, sign, fails, step, &works);
            }
            fails = step;
            step *= GROWTH;
        }
        None
    };
    let (down, up) = (towards(-1.0), towards(1.0));
    [down, up].into_iter().flatten().min_by(|a, b| (a - from).abs().total_cmp(&(b - from).abs()))
}

/// Halves the distance between one that fails and one that works, then goes to the next grain
/// on the side that works.
fn refine(from: f64, sign: f64, mut fails: f64, mut works: f64, holds: &impl Fn(f64) -> bool) -> Option<f64> {
    while works - fails > 0.25 / PER_MM {
        let middle = (works + fails) / 2.0;
        if holds(middle) { works = middle } else { fails = middle }
    }
    let edge = (from + sign * works) * PER_MM;
    // What holds may hold by a hair: the grain before counts if it holds too.
    let grains = if sign > 0.0 { [edge.floor(), edge.ceil()] } else { [edge.ceil(), edge.floor()] };
    grains
        .into_iter()
        .map(|grain| grain / PER_MM)
        .find(|value| holds((value - from) * sign))
        .or_else(|| holds(works).then_some(from + sign * works))
}
