//! The printer's fit on made-up printers: exact readings give them back, noisy ones as well as the
//! standard errors say, and wrong ones are found.

use fastrand::Rng;
use flatwright_calibration::printer::{self, Distortion, FitError, Measured};
use flatwright_geometry::units::{Angle, MM_PER_INCH, Mm};
use kurbo::{Point, Vec2};

/// The lengths of the calibration page on A4.
const PAGE: [(&str, f64, f64); 9] = [
    ("A", 180.0, 0.0),
    ("B", 0.0, 200.0),
    ("C", 100.0, 100.0),
    ("D", 100.0, -100.0),
    ("E", 100.0, 0.0),
    ("F", 0.0, 100.0),
    ("G", 100.0, 0.0),
    ("H", 0.0, 100.0),
    ("J", 50.0, 100.0),
];
const TRIALS: usize = 2000;

fn between(rng: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * rng.f64()
}

/// A normal value (Box and Muller's transform).
fn normal(rng: &mut Rng) -> f64 {
    let (u, v) = (1.0 - rng.f64(), rng.f64());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

fn some_printer(rng: &mut Rng) -> Distortion {
    Distortion::new(between(rng, 0.96, 1.03), between(rng, 0.96, 1.03), Angle::degrees(between(rng, -0.4, 0.4)))
}

fn read(printer: Distortion, mut error: impl FnMut() -> f64, round: f64) -> Vec<Measured> {
    let reading = |length: f64| if round > 0.0 { (length / round).round() * round } else { length };
    let mut one = |(letter, x, y): (&str, f64, f64)| {
        // The length as geometry has it, by the printed ends and not by the crate's own formula.
        let end = printer.motion() * Point::new(x, y);
        let length = end.distance(printer.motion() * Point::ORIGIN) + error();
        Measured { letter: letter.into(), nominal: Vec2::new(x, y), readings: vec![Mm::new(reading(length))] }
    };
    PAGE.into_iter().map(&mut one).collect()
}

fn off(a: Distortion, b: Distortion) -> f64 {
    [a.x_scale - b.x_scale, a.y_scale - b.y_scale, a.shear - b.shear].into_iter().map(f64::abs).fold(0.0, f64::max)
}

#[test]
fn exact_readings_give_the_printer_back() {
    let mut rng = Rng::with_seed(1);
    for _ in 0..TRIALS {
        let truth = some_printer(&mut rng);
        let fit = printer::fit(&read(truth, || 0.0, 0.0)).unwrap();
        assert!(off(fit.distortion, truth) < 1e-9, "{truth:?}: {fit:?}");
        assert!(fit.skewed && fit.freedom == 6);
        // What is corrected prints true.
        let both = truth.motion() * fit.distortion.correction();
        let corner = both * Point::new(200.0, 280.0);
        assert!(corner.distance(Point::new(200.0, 280.0)) < 1e-6, "{corner:?}");
    }
}

/// Coverage of the interval of nineteen in twenty, bias, and false alarms, with a reading error of
/// 0.1 mm and a rule that is read to 0.1 mm or to 0.5 mm.
#[test]
fn errors_are_as_large_as_the_standard_errors_say() {
    for round in [0.1, 0.5] {
        let mut rng = Rng::with_seed(7);
        let (mut held, mut sums, mut squares) = ([0usize; 3], [0.0; 3], [0.0; 3]);
        let (mut fits, mut alarms) = (0, 0);
        for _ in 0..TRIALS {
            let truth = some_printer(&mut rng);
            let lengths = read(truth, || 0.1 * normal(&mut rng), round);
            let Ok(fit) = printer::fit(&lengths) else {
                alarms += 1;
                continue;
            };
            fits += 1;
            let values = |d: Distortion| [d.x_scale, d.y_scale, d.shear];
            let factor = fit.coverage_factor();
            let found = values(fit.distortion).into_iter().zip(values(truth)).zip(values(fit.standard_errors));
            for (i, ((found, truth), error)) in found.enumerate() {
                held[i] += usize::from((found - truth).abs() <= factor * error);
                sums[i] += found - truth;
                squares[i] += (found - truth).powi(2);
            }
        }
        let n = f64::from(fits);
        println!("read to {round} mm: held {held:?} of {fits}, {alarms} false alarms");
        assert!(alarms * 40 < TRIALS, "{alarms} of {TRIALS} good pages refused");
        for i in 0..3 {
            let share = held[i] as f64 / n;
            assert!((0.90..=0.98).contains(&share), "number {i}, read to {round}: {share}");
            let (bias, spread) = (sums[i] / n, (squares[i] / n).sqrt());
            // The mean of n errors of that spread is within four of its own standard errors of nothing.
            assert!(bias.abs() < 4.0 * spread / n.sqrt(), "number {i}: bias {bias}, spread {spread}");
        }
    }
}

#[test]
fn repeats_of_one_length_are_averaged() {
    let mut lengths = read(Distortion::NONE, || 0.0, 0.0);
    lengths[0].readings = [179.9, 180.0, 180.1].map(Mm::new).to_vec();
    let fit = printer::fit(&lengths).unwrap();
    assert!(off(fit.distortion, Distortion::NONE) < 1e-9, "{fit:?}");
    lengths[0].readings.push(Mm::new(182.0));
    let errors = printer::fit(&lengths).unwrap_err();
    assert!(matches!(&errors[..], [FitError::Apart { letter, .. }] if letter == "A"), "{errors:?}");
}

/// A length misread by 2 to 6 mm is named, and no other.
#[test]
fn a_misread_length_is_named() {
    let mut rng = Rng::with_seed(3);
    let (mut named, mut other) = (0, 0);
    for _ in 0..1000 {
        let mut lengths = read(some_printer(&mut rng), || 0.1 * normal(&mut rng), 0.1);
        let wrong = rng.usize(0..lengths.len());
        let by = between(&mut rng, 2.0, 6.0) * if rng.bool() { 1.0 } else { -1.0 };
        lengths[wrong].readings[0] += Mm::new(by);
        if let Err(errors) = printer::fit(&lengths) {
            let letters: Vec<&str> = errors.iter().flat_map(letters).collect();
            if letters.contains(&PAGE[wrong].0) { named += 1 } else { other += 1 }
        }
    }
    println!("{named} of 1000 named, {other} named another");
    assert!(named >= 985 && other <= 5, "{named} named, {other} named another");
}

fn letters(error: &FitError) -> Vec<&str> {
    match error {
        FitError::Missing { .. } => Vec::new(),
        FitError::FarOff { letter, like, .. } => {
            [Some(letter), like.as_ref()].into_iter().flatten().map(String::as_str).collect()
        }
        FitError::Unit { letter, .. } | FitError::Apart { letter, .. } | FitError::Disagrees { letter, .. } => {
            vec![letter]
        }
        FitError::Swapped { one, other, or } => {
            [Some(one), Some(other), or.as_ref()].into_iter().flatten().map(String::as_str).collect()
        }
    }
}

/// Two readings exchanged, of all lengths that differ by 1.5 mm or more as printed.
#[test]
fn exchanged_readings_are_named() {
    let mut rng = Rng::with_seed(5);
    let (mut tried, mut named) = (0, 0);
    for _ in 0..1500 {
        let mut lengths = read(some_printer(&mut rng), || 0.1 * normal(&mut rng), 0.1);
        let (i, j) = (rng.usize(0..9), rng.usize(0..9));
        let (a, b) = (lengths[i].readings[0], lengths[j].readings[0]);
        if (a - b).abs() < Mm::new(1.5) {
            continue;
        }
        tried += 1;
        lengths[i].readings[0] = b;
        lengths[j].readings[0] = a;
        let errors = printer::fit(&lengths).err().unwrap_or_default();
        let found: Vec<&str> = errors.iter().flat_map(letters).collect();
        let both = found.contains(&PAGE[i].0) && found.contains(&PAGE[j].0);
        if !both {
            println!("{} and {}, {a} and {b}: {errors:?}", PAGE[i].0, PAGE[j].0);
        }
        named += usize::from(both);
    }
    println!("{named} of {tried} exchanges named");
    assert!(tried > 800 && named * 100 >= tried * 98, "{named} of {tried}");
}

#[test]
fn other_units_are_told() {
    let printed = || read(Distortion::NONE, || 0.0, 0.0);
    for (factor, expected) in [(1.0 / MM_PER_INCH, "inches"), (0.1, "centimetres")] {
        let mut lengths = printed();
        lengths[4].readings[0] = lengths[4].readings[0] * factor;
        let errors = printer::fit(&lengths).unwrap_err();
        assert!(
            matches!(&errors[..], [FitError::Unit { letter, unit, .. }] if letter == "E" && *unit == expected),
            "{errors:?}"
        );
    }
    let mut lengths = printed();
    lengths[0].readings[0] = Mm::new(141.4);
    let errors = printer::fit(&lengths).unwrap_err();
    assert!(matches!(&errors[..], [FitError::FarOff { like: Some(like), .. }] if like == "C"), "{errors:?}");
}

#[test]
fn what_was_not_measured_is_told() {
    let all = read(Distortion::new(0.99, 1.01, Angle::ZERO), || 0.0, 0.0);
    let only =
        |letters: &str| -> Vec<Measured> { all.iter().filter(|one| letters.contains(&one.letter)).cloned().collect() };
    let missing = |letters: &str| printer::fit(&only(letters)).unwrap_err();
    assert_eq!(missing("AE"), [FitError::Missing { way: "up" }]);
    assert_eq!(missing("BF"), [FitError::Missing { way: "across" }]);
    assert_eq!(missing("").len(), 2);
    // Two bars are enough for the scales; the skew is then taken for none.
    let fit = printer::fit(&only("AB")).unwrap();
    assert!(!fit.skewed && fit.freedom == 0 && fit.distortion.shear == 0.0);
    assert!((fit.distortion.x_scale - 0.99).abs() < 1e-9 && (fit.distortion.y_scale - 1.01).abs() < 1e-9);
    assert!(printer::fit(&only("ABC")).unwrap().skewed);
}
