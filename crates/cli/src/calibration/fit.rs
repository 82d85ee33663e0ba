//! From readings to profiles.

use std::collections::BTreeMap;

use flatwright_calibration::printer::{self, Fit, FitError, Measured};
use flatwright_geometry::units::plain;
use kurbo::Vec2;
use serde_json::{Value, json};

use super::materials_fit;
use super::profiles::Printer;
use super::readings::{LengthEntry, ReadingsFile};
use super::typed;
use super::values::MOST_SKEW;
use crate::problem::{At, Problem, Problems, Spanned};

/// What readings came to.
#[derive(Clone, Debug, Default)]
pub struct Profiles {
    /// The printer's profile, as a file.
    pub printer: Option<Value>,
    /// The materials' profile, as a file.
    pub materials: Option<Value>,
    /// What was found, line by line, with its errors.
    pub report: Vec<String>,
    /// What should be looked into.
    pub warnings: Vec<Problem>,
}

/// Works out all that readings tell. `name` is what diagnostics call their file; `typed` readings, and a
/// name for the profiles, take the place of the file's.
///
/// # Errors
/// Readings that cannot be: typed ones that name nothing, letters used twice, units mistaken, lengths that do
/// not go with the others, grades that were not printed, less kerf than none; or no readings at all.
pub fn fit(name: &str, mut file: ReadingsFile, typed: &[String], called: Option<&str>) -> Result<Profiles, Problems> {
    let mut problems = Vec::new();
    typed::apply(&mut file, typed, &mut problems);
    let called = called.unwrap_or(&file.name.0).to_owned();
    if called.is_empty() || called.chars().count() > 80 || called.chars().any(char::is_control) {
        problems.push(Problem::new("--name must be 1 to 80 characters on one line").help("give another name"));
    }
    let mut made = Profiles::default();
    let fitted = fit_printer(&file, &mut problems);
    if let Some(fit) = &fitted {
        tell_printer(&called, fit, &file, &mut made);
    }
    materials_fit::fit(&called, &file, fitted.as_ref(), &mut made, &mut problems);
    if problems.is_empty() && made.printer.is_none() && made.materials.is_none() {
        let message = format!("{name} holds no readings yet");
        problems
            .push(Problem::new(message).help("write what you measured in the place of null, or give it with --read"));
    }
    if problems.is_empty() { Ok(made) } else { Err(Problems::new(name, problems)) }
}

/// The printer, where any of its lengths was measured and they go together.
fn fit_printer(file: &ReadingsFile, problems: &mut Vec<Problem>) -> Option<Fit> {
    let list = file.printer.as_ref()?;
    let before = problems.len();
    let mut places: BTreeMap<&str, &At> = BTreeMap::new();
    let mut measured = Vec::new();
    for Spanned { value: entry, .. } in &list.value {
        let LengthEntry { letter, across, up, reads } = entry;
        let nominal = Vec2::new(across.0, up.0);
        if nominal.hypot() < SHORTEST {
            let message = format!("{} is drawn {} mm long", letter.value.0, plain(nominal.hypot(), 2));
            let help = format!("a length of at least {SHORTEST} mm tells something of a printer");
            problems.push(Problem::new(message).at(&letter.at, "this length").help(help));
        }
        let reads_at = reads.as_ref().map_or(&letter.at, |reads| &reads.at);
        if places.insert(&letter.value.0, reads_at).is_some() {
            let problem = Problem::new(format!("the letter \"{}\" is used twice", letter.value.0));
            problems.push(
                problem.at(&letter.at, "the second one").help("give each length its own letter, or a list of readings"),
            );
        }
        if let Some(reads) = reads.as_ref().filter(|reads| !reads.value.0.is_empty()) {
            measured.push(Measured { letter: letter.value.0.clone(), nominal, readings: reads.value.0.clone() });
        }
    }
    if measured.is_empty() || problems.len() > before {
        return None;
    }
    match printer::fit(&measured) {
        Ok(fit) if is_a_printer(&fit) => Some(fit),
        Ok(fit) => {
            let d = fit.distortion;
            let message = format!(
                "these readings make a printer of {:.1} % across, {:.1} % up and a skew of {:.1} degrees",
                100.0 * d.x_scale,
                100.0 * d.y_scale,
                d.skew().to_degrees()
            );
            let at = At { end: list.at.start + 1, ..list.at.clone() };
            let help = "no printer is that far off: measure the lengths again, the diagonals first";
            problems.push(Problem::new(message).at(&at, "in this list").help(help));
            None
        }
        Err(errors) => {
            problems.extend(errors.iter().map(|error| told(error, &places, list)));
            None
        }
    }
}

/// Whether a profile can hold it.
fn is_a_printer(fit: &Fit) -> bool {
    let d = fit.distortion;
    let scales = [d.x_scale, d.y_scale];
    scales.iter().all(|scale| (scale - 1.0).abs() <= printer::FARTHEST) && d.skew().to_degrees().abs() <= MOST_SKEW
}

/// A shorter length tells nothing, mm.
const SHORTEST: f64 = 20.0;

/// A fault of the readings, at its place and with a way to mend it.
fn told(error: &FitError, places: &BTreeMap<&str, &At>, list: &Spanned<Vec<Spanned<LengthEntry>>>) -> Problem {
    let (letter, help) = match error {
        FitError::Missing { way } => {
            let bar = if *way == "across" { "A" } else { "B" };
            (None, format!("measure a length that runs {way} the page too, such as {bar}"))
        }
        FitError::Unit { letter, unit, .. } => {
            let write = match *unit {
                "inches" => "write the unit, such as \"6.5 in\", or read millimetres",
                "centimetres" => "write the unit, such as \"16.9 cm\", or read millimetres",
                _ => "leave the unit out where the rule shows millimetres",
            };
            (Some(letter), write.to_owned())
        }
        FitError::FarOff { letter, like: Some(other), .. } => {
            (Some(letter), format!("that looks like the reading of {other}: see whether the two are exchanged"))
        }
        FitError::FarOff { letter, .. } => {
            (Some(letter), "no printer is that far off: measure it again, or leave it null".to_owned())
        }
        FitError::Apart { letter, .. } => {
            (Some(letter), "measure it again, and leave out the reading that was wrong".to_owned())
        }
        FitError::Disagrees { letter, .. } => (Some(letter), format!("measure {letter} again, or leave it null")),
        FitError::Swapped { one, other, or } => {
            let or = or.as_ref().map(|or| format!("; if they are not exchanged, {or} is wrong")).unwrap_or_default();
            (Some(one), format!("measure {one} and {other} again{or}"))
        }
    };
    let problem = Problem::new(error.to_string()).help(help);
    match letter.and_then(|letter| places.get(letter.as_str())) {
        Some(at) => problem.at(at, "read here"),
        None => {
            let at = At { end: list.at.start + 1, ..list.at.clone() };
            problem.at(&at, "in this list")
        }
    }
}

/// The printer's file and what is said of it.
fn tell_printer(name: &str, fit: &Fit, file: &ReadingsFile, made: &mut Profiles) {
    let d = fit.distortion;
    let skew_error = (fit.standard_errors.shear / d.y_scale).atan().to_degrees();
    let round = |value: f64, digits: i32| (value * 10f64.powi(digits)).round() / 10f64.powi(digits) + 0.0;
    let mut errors = json!({
        "x_scale": round(fit.standard_errors.x_scale, 6),
        "y_scale": round(fit.standard_errors.y_scale, 6),
    });
    if let (true, Some(errors)) = (fit.skewed, errors.as_object_mut()) {
        errors.insert("skew".into(), json!(round(skew_error, 4)));
    }
    made.printer = Some(json!({
        "name": name,
        "x_scale": round(d.x_scale, 6),
        "y_scale": round(d.y_scale, 6),
        "skew": round(d.skew().to_degrees(), 4),
        "standard_error": errors,
        "lengths": fit.residuals.len(),
        "reading_error": round(fit.reading_error.get(), 3),
    }));

    let factor = fit.coverage_factor();
    let scale = |way: &str, value: f64, error: f64| {
        format!("  {way:8}{:8.2} % +- {:.2} %", 100.0 * value, 100.0 * factor * error)
    };
    let report = &mut made.report;
    report.push(format!("Printer \"{name}\": what it makes of a true length"));
    report.push(scale("across", d.x_scale, fit.standard_errors.x_scale));
    report.push(scale("up", d.y_scale, fit.standard_errors.y_scale));
    report.push(if fit.skewed {
        format!("  skew    {:8.2} degrees +- {:.2}", d.skew().to_degrees() + 0.0, factor * skew_error)
    } else {
        "  skew: not measured, taken for none; measure C and D to know it".to_owned()
    });
    report.push(match fit.freedom {
        0 => {
            format!("  Errors are estimates for readings to {}; more lengths would tell them.", printer::ASSUMED_ERROR)
        }
        _ => format!(
            "  The true values lie within +- in 19 cases of 20; a reading is off by {} mm as a rule.",
            plain(fit.reading_error.get(), 2)
        ),
    });
    report.push("  length    drawn     read  left over, mm".to_owned());
    let entries = file.printer.iter().flat_map(|list| &list.value);
    let entries: BTreeMap<&str, &LengthEntry> =
        entries.map(|entry| (entry.value.letter.value.0.as_str(), &entry.value)).collect();
    for (letter, left) in &fit.residuals {
        let Some(entry) = entries.get(letter.as_str()) else { continue };
        let drawn = entry.across.0.hypot(entry.up.0);
        let reads = entry.reads.iter().flat_map(|reads| &reads.value.0);
        let (count, sum) = reads.fold((0.0, 0.0), |(n, sum), reading| (n + 1.0, sum + reading.get()));
        let left = round(left.get(), 2);
        report.push(format!("  {letter:8} {drawn:7.2}  {:7.2}  {left:+.2}", sum / f64::max(count, 1.0)));
    }
    let printer = Printer { name: name.to_owned(), distortion: d };
    made.warnings.extend(printer.advice().map(|(message, cause)| Problem::new(message).help(cause)));
}
