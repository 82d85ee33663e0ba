//! A floor plan's text, with its problems as diagnostics show them.

use std::sync::Arc;

use flatwright_planning::text::{self, PlanText, TextError};

use crate::problem::{At, Problem, Problems, Source, SourceText};
use crate::set_file::{LARGEST, document};

/// Longest title and longest name of a surface: they are printed, characters.
const LONGEST_NAME: usize = 80;
/// Most lines: enough for the largest drawings of all levels with as many remarks.
const MOST_LINES: usize = 20_000;

/// Reads a plan. `name` is what diagnostics call it.
///
/// # Errors
/// Everything that is wrong with its text: bytes that are not text, unknown keys and letters, cells
/// and edges that are none, names that are too long to print.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<(PlanText, Source), Problems> {
    let mut source = document::text(name, bytes, "a floor plan", LARGEST, "draw its levels in files of their own")?;
    if let Some(bare) = source.text.strip_prefix('\u{feff}') {
        source = Arc::new(SourceText { name: name.to_owned(), text: bare.to_owned() });
    }
    let lines = source.text.lines().count();
    if lines > MOST_LINES {
        let problem = Problem::new(format!("{name} has {lines} lines; a floor plan has at most {MOST_LINES}"));
        return Err(Problems::new(name, vec![problem.help("draw its levels in files of their own")]));
    }
    let mut problems: Vec<Problem> = source
        .text
        .lines()
        .enumerate()
        .filter_map(|(i, line)| odd(&source, i + 1, line))
        .take(text::MOST_ERRORS)
        .collect();
    match text::read(&source.text) {
        Ok(read) if problems.is_empty() => return Ok((read, source)),
        Ok(_) => {}
        Err(errors) => problems.extend(errors.iter().map(|error| problem(&source, error))),
    }
    Err(Problems::new(name, problems))
}

fn problem(source: &Source, error: &TextError) -> Problem {
    let at = At::line(source, error.line, error.column, error.length);
    Problem::new(error.message.as_str()).at(&at, "here").help(error.help.as_str())
}

/// What cannot be printed.
fn odd(source: &Source, number: usize, line: &str) -> Option<Problem> {
    let control = |c: char| c.is_control() && c != '\t';
    if let Some(column) = line.chars().position(control) {
        let at = At::line(source, number, column + 1, 1);
        return Some(Problem::new("a character that cannot be printed").at(&at, "here").help("delete it"));
    }
    let (key, value) = line.split_once(':')?;
    let printed = key.trim() == "title" || key.split_whitespace().next() == Some("surface");
    let length = value.split('#').next().unwrap_or_default().trim().chars().count();
    if !printed || length <= LONGEST_NAME {
        return None;
    }
    let at = At::line(source, number, key.chars().count() + 2, value.chars().count());
    let message = format!("a name of {length} characters; at most {LONGEST_NAME} can be printed");
    Some(Problem::new(message).at(&at, "here").help("write it shorter"))
}
