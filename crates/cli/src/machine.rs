//! Files for a cutting machine: what the command line asks for, and what comes of it.

use flatwright_geometry::units::Mm;
use flatwright_sheets::compose::{Composed, SheetRecord};
use flatwright_sheets::cutter::{self, Ease};

use crate::args::machine::{BRIDGES, Machine, OVERCUT};
use crate::import::Given;
use crate::problem::{COMMAND_LINE, Problem, Problems, Spanned};

/// The longest overcut.
const MOST_OVERCUT: Mm = Mm::new(10.0);
/// The widest bridge.
const WIDEST_BRIDGE: Mm = Mm::new(5.0);
/// The most pages whose files an earlier run can have left.
const PAGES: usize = 999;

/// How cuts are to be made easier; `None` where no files are asked for.
///
/// # Errors
/// What is no length, or out of its range; all of it at once.
pub fn ease(asked: &Machine) -> Result<Option<Ease>, Problems> {
    let given = Given::new(asked.given());
    let mut problems = Vec::new();
    let mut length = |name: &str, most: Mm| {
        let Spanned { value, at } = given.length(name, &mut problems)?;
        if value > most {
            let problem = Problem::new(format!("{name} is {value}")).at(&at, "here");
            problems.push(problem.help(format!("give 0 mm to {most}")));
        }
        Some(value)
    };
    let ease = Ease {
        overcut: length(OVERCUT, MOST_OVERCUT).unwrap_or_default(),
        bridge: length(BRIDGES, WIDEST_BRIDGE).unwrap_or_default(),
    };
    if problems.is_empty() { Ok(asked.cutter.then_some(ease)) } else { Err(Problems::new(COMMAND_LINE, problems)) }
}

/// A file for each sheet.
#[must_use]
pub fn files(composed: &Composed, ease: Ease) -> Vec<(String, Vec<u8>)> {
    let document = &composed.document;
    let file = |sheet: &SheetRecord| {
        let work = cutter::work(document, &document.pages[sheet.page], sheet.registration, ease);
        (name(sheet.page + 1), cutter::svg(&work).into_bytes())
    };
    composed.sheets.iter().map(file).collect()
}

/// The names of all such files.
pub fn names() -> impl Iterator<Item = String> {
    (1..=PAGES).map(name)
}

fn name(number: usize) -> String {
    format!("cutter-{number:03}.svg")
}
