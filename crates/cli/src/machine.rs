//! Files for a cutting machine: what the command line asks for, and what comes of it.

use flatwright_geometry::units::Mm;
use flatwright_sheets::compose::Composed;
use flatwright_sheets::cutter::{self, Ease};

use crate::args::Machine;
use crate::problem::{At, COMMAND_LINE, Problem, Problems, Source, SourceText};

/// The longest overcut.
const OVERCUT: Mm = Mm::new(10.0);
/// The widest bridge.
const BRIDGE: Mm = Mm::new(5.0);
/// The most pages whose files an earlier run can have left.
const PAGES: usize = 999;

/// How cuts are to be made easier; `None` where no files are asked for.
///
/// # Errors
/// What is no length, or out of its range; all of it at once.
pub fn ease(asked: &Machine) -> Result<Option<Ease>, Problems> {
    let mut problems = Vec::new();
    let mut length = |name: &str, text: Option<&str>, most: Mm| -> Mm {
        let Some(text) = text else { return Mm::ZERO };
        let source = Source::new(SourceText { name: COMMAND_LINE.to_owned(), text: format!("{name} '{text}'") });
        let begin = name.len() + 2;
        let at = At { source, start: begin, end: begin + text.len() };
        match text.parse::<Mm>() {
            Ok(length) if (Mm::ZERO..=most).contains(&length) => length,
            Ok(length) => {
                let help = format!("give 0 mm to {most}");
                problems.push(Problem::new(format!("{name} is {length}")).at(&at, "here").help(help));
                Mm::ZERO
            }
            Err(error) => {
                let help = "write a number with its unit, such as '0.5 mm'";
                problems.push(Problem::new(format!("{name} is not a length: {error}")).at(&at, "here").help(help));
                Mm::ZERO
            }
        }
    };
    let overcut = length("--overcut", asked.overcut.as_deref(), OVERCUT);
    let bridge = length("--bridges", asked.bridges.as_deref(), BRIDGE);
    match problems.is_empty() {
        true => Ok(asked.cutter.then_some(Ease { overcut, bridge })),
        false => Err(Problems::new(COMMAND_LINE, problems)),
    }
}

/// A file for each page on which a tool has anything to do.
#[must_use]
pub fn files(composed: &Composed, ease: Ease) -> Vec<(String, Vec<u8>)> {
    let document = &composed.document;
    let work = |(index, page)| {
        let corners = composed.sheets.iter().find(|sheet| sheet.page == index).and_then(|sheet| sheet.registration);
        cutter::work(document, page, corners, ease)
    };
    let made = document.pages.iter().enumerate().map(|page| (page.0 + 1, work(page)));
    made.filter(|(_, work)| !work.steps.is_empty())
        .map(|(number, work)| (name(number), cutter::svg(&work).into_bytes()))
        .collect()
}

/// The names of all such files.
pub fn names() -> impl Iterator<Item = String> {
    (1..=PAGES).map(name)
}

fn name(number: usize) -> String {
    format!("cutter-{number:03}.svg")
}
