//! The coupon's files.

use std::path::Path;

use flatwright_calibration::play;
use flatwright_sheets::coupon::{self, CouponError, Settings};
use flatwright_sheets::{pdf, svg};

use super::readings;
use crate::args::Overrides;
use crate::import::{self, Set};
use crate::open::{self, Input};
use crate::output::Output;
use crate::pipeline::{self, Failure};
use crate::problem::{Problem, Problems};

/// Name of the file that readings are written into.
pub const READINGS: &str = "readings.json";
/// The most pages that a coupon may have had.
const PAGES: usize = 9;

/// The set that a coupon is for; without a file, one with the default stocks on A4.
///
/// # Errors
/// Everything that is wrong with the file, or with the values that replace its own.
pub fn set(file: Option<&Path>, overrides: &Overrides) -> Result<Set, Problems> {
    match file {
        Some(file) => {
            let mut opened = open::open(Input::load(file)?, None)?.with_profiles(&overrides.profiles)?;
            // What the printer was taken for is what is to be measured anew.
            opened.printer = None;
            import::import(opened, overrides)
        }
        None => pipeline::resolve(
            "the default set",
            br#"{ "name": "Calibration coupon", "pieces": [{ "piece": "biscuit" }] }"#.to_vec(),
            overrides,
        ),
    }
}

/// The contents of every file of a coupon. It is never corrected: it tells what the bare printer does.
///
/// # Errors
/// [`Failure::Input`] for paper that is too small and stocks that make no joint; [`Failure::Check`] where a
/// writer refuses its document.
pub fn render(name: &str, set: &Set, titled: bool) -> Result<Output, Failure> {
    let sheets = &set.sheets;
    let settings = Settings {
        title: if titled { format!("{}: calibration coupon", set.name) } else { set.name.clone() },
        parameters: set.parameters.clone(),
        paper: (sheets.paper.size.clone(), sheets.paper.material.clone()),
        card: (sheets.card.size.clone(), sheets.card.material.clone()),
        board: sheets.board.material.clone(),
        margin: sheets.margin,
        plays: play::grades(),
    };
    let made = coupon::coupon(&settings).map_err(|error| failure(name, &error))?;
    let check = |error: &dyn std::error::Error| Failure::Check(error.to_string());
    let mut files = vec![("coupon.pdf".to_owned(), pdf::write(&made.document).map_err(|error| check(&error))?)];
    for page in 0..made.document.pages.len() {
        let drawing = svg::write(&made.document, page).map_err(|error| check(&error))?;
        files.push((format!("coupon-{}.svg", page + 1), drawing.into_bytes()));
    }
    let template = readings::template(&set.name, &set.parameters, &made.lengths);
    files.push((READINGS.to_owned(), template.into_bytes()));
    Ok(Output { pages: Vec::new(), files, former: (1..=PAGES).map(|page| format!("coupon-{page}.svg")).collect() })
}

/// Refuses a folder whose readings would be lost.
///
/// # Errors
/// One problem, where a file of that name holds readings or is none of ours.
pub fn spare_readings(folder: &Path) -> Result<(), Problems> {
    let path = folder.join(READINGS);
    let Ok(bytes) = std::fs::read(&path) else { return Ok(()) };
    let name = path.display().to_string();
    if readings::read(&name, bytes).is_ok_and(|(file, _)| file.is_blank()) {
        return Ok(());
    }
    let problem = Problem::new(format!("{name} is there already and is more than a blank form: it would be lost"));
    Err(Problems::new(name, vec![problem.help("choose another folder with -o, or move that file away")]))
}

fn failure(name: &str, error: &CouponError) -> Failure {
    let help = match error {
        CouponError::PageTooSmall { .. } => "give --paper A4, --paper Letter or a larger one",
        CouponError::Piece(piece) => piece.help(),
        CouponError::Fold(_) => return Failure::Check(error.to_string()),
    };
    Failure::Input(Problems::new(name, vec![Problem::new(error.to_string()).help(help)]))
}
