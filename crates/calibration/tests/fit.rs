//! Kerf, play and folds on made-up cutters, hands and stocks.

use fastrand::Rng;
use flatwright_calibration::kerf::{self, Gauge, KerfError};
use flatwright_calibration::{fold, play};
use flatwright_geometry::units::Mm;

const TRIALS: usize = 2000;

fn normal(rng: &mut Rng) -> f64 {
    let (u, v) = (1.0 - rng.f64(), rng.f64());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Hole, piece and six strips, for a kerf and a printer's scale.
fn gauges(kerf: f64, scale: f64, mut error: impl FnMut() -> f64, round: f64) -> Vec<Gauge> {
    let mut gauge = |nominal: f64, cuts: f64| {
        let mm = scale * nominal + cuts * kerf + error();
        let mm = if round > 0.0 { (mm / round).round() * round } else { mm };
        Gauge { nominal: Mm::new(nominal), cuts, readings: vec![Mm::new(mm)] }
    };
    vec![gauge(30.0, 1.0), gauge(30.0, -1.0), gauge(60.0, -6.0)]
}

#[test]
fn exact_gauges_give_the_kerf_back_whatever_the_scale() {
    let mut rng = Rng::with_seed(2);
    for _ in 0..TRIALS {
        let (width, scale) = (rng.f64() * 0.8, 0.95 + 0.1 * rng.f64());
        let found = kerf::fit(&gauges(width, scale, || 0.0, 0.0)).unwrap();
        assert!((found.width.get() - width).abs() < 1e-9, "{width} at {scale}: {found:?}");
        // A hole and its piece alone tell it too.
        let found = kerf::fit(&gauges(width, scale, || 0.0, 0.0)[..2]).unwrap();
        assert!((found.width.get() - width).abs() < 1e-9, "{width} at {scale}: {found:?}");
    }
}

#[test]
fn a_kerf_is_as_good_as_its_standard_error_says() {
    let mut rng = Rng::with_seed(4);
    let (mut held, mut sum, mut squares) = (0, 0.0, 0.0);
    for _ in 0..TRIALS {
        let (width, scale) = (0.1 + rng.f64() * 0.5, 0.99 + 0.02 * rng.f64());
        let found = kerf::fit(&gauges(width, scale, || 0.05 * normal(&mut rng), 0.05)).unwrap();
        let off = (found.width.get() - width).abs();
        held += usize::from(off <= found.coverage_factor * found.standard_error.get());
        sum += found.width.get() - width;
        squares += off * off;
    }
    let n = TRIALS as f64;
    let share = held as f64 / n;
    println!("kerf: {share} held");
    assert!((0.90..=0.98).contains(&share), "{share}");
    assert!((sum / n).abs() < 4.0 * (squares / n).sqrt() / n.sqrt(), "bias {}", sum / n);
}

/// Strips tried in graded openings, without a caliper: each trial has a hand of its own. A hand that is steadier
/// than a step makes the interval hold more often than it says, since the error is then bounded.
#[test]
fn openings_tell_a_kerf_as_well_as_they_say() {
    let mut rng = Rng::with_seed(9);
    let (mut held, mut sum, mut squares) = (0, 0.0, 0.0);
    for _ in 0..TRIALS {
        let truth = 0.1 + 0.12 * rng.f64();
        let trials: Vec<Mm> = (0..5)
            .map(|_| {
                // The widest difference that still goes, and the last grade not above it.
                let own = 2.0 * truth + 0.08 * normal(&mut rng);
                play::grades().into_iter().rfind(|grade| grade.get() <= own).unwrap_or(Mm::ZERO)
            })
            .collect();
        let found = kerf::from_openings(&trials).unwrap();
        let off = found.width.get() - truth;
        held += usize::from(off.abs() <= found.coverage_factor * found.standard_error.get());
        sum += off;
        squares += off * off;
    }
    let n = TRIALS as f64;
    let share = held as f64 / n;
    println!("openings: {share} held");
    assert!((0.90..=0.98).contains(&share), "{share}");
    assert!((sum / n).abs() < 4.0 * (squares / n).sqrt() / n.sqrt(), "bias {}", sum / n);
    // One trial: between two grades, halved.
    let one = kerf::from_openings(&[Mm::new(0.2)]).unwrap();
    assert!((one.width.get() - 0.125).abs() < 1e-12, "{one:?}");
    assert!(kerf::from_openings(&[Mm::new(0.8)]).is_none() && kerf::from_openings(&[]).is_none());
}

#[test]
fn gauges_that_make_no_sense_are_refused() {
    assert_eq!(kerf::fit(&[]), Err(KerfError::Nothing));
    // Hole and piece exchanged: less than nothing.
    let mut swapped = gauges(0.4, 1.0, || 0.0, 0.0);
    swapped.truncate(2);
    let (hole, piece) = (swapped[0].readings.clone(), swapped[1].readings.clone());
    (swapped[0].readings, swapped[1].readings) = (piece, hole);
    assert!(matches!(kerf::fit(&swapped), Err(KerfError::Negative(_))));
    assert!(matches!(kerf::fit(&gauges(5.0, 1.0, || 0.0, 0.0)), Err(KerfError::TooWide(_))));
    // A knife: a hair less than nothing is nothing.
    let knife = kerf::fit(&gauges(-0.02, 1.0, || 0.0, 0.0)).unwrap();
    assert_eq!(knife.width, Mm::ZERO);
}

#[test]
fn grades_tell_a_threshold_as_well_as_they_say() {
    let mut rng = Rng::with_seed(6);
    let (mut held, mut sum, mut squares) = (0, 0.0, 0.0);
    for _ in 0..TRIALS {
        let truth = 0.15 + 0.4 * rng.f64();
        // Each trial's own threshold, and the tightest grade not below it.
        let trials: Vec<Mm> = (0..5)
            .map(|_| {
                let own = truth + 0.08 * normal(&mut rng);
                play::grades().into_iter().find(|grade| grade.get() >= own).unwrap_or(Mm::new(0.8))
            })
            .collect();
        let found = play::threshold(&trials).unwrap();
        let off = found.estimate.get() - truth;
        held += usize::from(off.abs() <= found.coverage_factor * found.standard_error.get());
        sum += off;
        squares += off * off;
    }
    let n = TRIALS as f64;
    let share = held as f64 / n;
    println!("play: {share} held");
    assert!((0.90..=0.98).contains(&share), "{share}");
    assert!((sum / n).abs() < 4.0 * (squares / n).sqrt() / n.sqrt(), "bias {}", sum / n);
}

#[test]
fn one_trial_holds_the_threshold_between_its_grades() {
    let found = play::threshold(&[Mm::new(0.3)]).unwrap();
    let half = found.coverage_factor * found.standard_error.get();
    assert!((half - 0.05).abs() < 1e-12 && (found.estimate.get() - 0.25).abs() < 1e-12, "{found:?}");
    assert!((found.fails.get() - 0.2).abs() < 1e-12 && (found.goes.get() - 0.3).abs() < 1e-12, "{found:?}");
    assert!(play::threshold(&[]).is_none());
    assert_eq!(play::grades().len(), 9);
    assert_eq!(play::grade_of(Mm::new(0.3)), Some(3));
    assert_eq!(play::grade_of(Mm::new(0.35)), None);
}

/// A slot of 0.5 + 0.2 mm, cut with a kerf of 0.1 mm, takes a wall of two cards of 0.28 mm: there are
/// 0.7 + 0.1 - 0.56 mm of play.
#[test]
fn kerf_and_thickness_are_taken_into_account() {
    let threshold = play::threshold(&[Mm::new(0.2)]).unwrap();
    let play = play::needed(&threshold, 1, Mm::new(0.1), Mm::new(0.5), Mm::new(0.56));
    assert!((play.get() - 0.24).abs() < 1e-12, "{play}");
}

#[test]
fn a_folded_strip_tells_its_neutral_line() {
    for (factor, caliper) in [(0.3, 0.25), (0.5, 1.0), (0.42, 0.6)] {
        // Inside lengths of 30 mm each, and what the fold uses up between them.
        let flat = 60.0 + std::f64::consts::PI * factor * caliper;
        let leg = [Mm::new(30.0 + caliper)];
        let found = fold::neutral(Mm::new(flat), Mm::new(caliper), [&leg, &leg]).unwrap();
        assert!((found.factor - factor).abs() < 1e-9, "{found:?}");
        assert!(found.is_usable());
    }
    let leg = [Mm::new(30.0)];
    assert!(fold::neutral(Mm::new(60.0), Mm::new(0.25), [&leg, &[]]).is_none());
    // Thin paper hides it: the readings' error is larger than what is sought.
    let thin = fold::neutral(Mm::new(60.0), Mm::new(0.05), [&leg, &leg]).unwrap();
    assert!(!thin.is_usable());
}

/// Bias and coverage for card of 0.5 mm, with a caliper's error.
#[test]
fn a_neutral_line_is_as_good_as_its_standard_error_says() {
    let mut rng = Rng::with_seed(8);
    let (mut held, mut sum) = (0, 0.0);
    let flat = 60.0 + std::f64::consts::PI * 0.45 * 0.5;
    for _ in 0..TRIALS {
        let mut leg = || [Mm::new(((30.5 + 0.05 * normal(&mut rng)) / 0.01).round() * 0.01)];
        let found = fold::neutral(Mm::new(flat), Mm::new(0.5), [&leg(), &leg()]).unwrap();
        held += usize::from((found.factor - 0.45).abs() <= 1.96 * found.standard_error);
        sum += found.factor - 0.45;
    }
    let share = held as f64 / TRIALS as f64;
    assert!((0.90..=0.98).contains(&share), "{share}");
    assert!((sum / TRIALS as f64).abs() < 0.01, "{sum}");
}
