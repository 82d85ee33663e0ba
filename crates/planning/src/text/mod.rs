//! The plan text: statements of the form `key: value`, and one drawing for each level.
//!
//! ```text
//! plan      = { line }
//! line      = [ statement | drawing-row ] [ "#" comment ] newline
//! statement = key [ letter ] ":" value
//! drawing   = a "level NAME:" statement, then the rows up to an empty line or a statement
//! rows      = vertex-row { cell-row vertex-row }
//! vertex-row: every fourth column a vertex ("+", or "-" "|" " " where nothing turns; "o" for a column, a
//!             post that stands there without walls or parts those that pass), between two of them an
//!             edge of three columns: "---" wall, "-X-" wall of design X, "   " open
//! cell-row:   every fourth column an edge: "|" wall, a letter for a wall of that design, " " open;
//!             between two of them a cell of three columns: " x " surface x, "   " no floor
//! ```
//!
//! The value of a `wall` statement is `NAME [LENGTH x LENGTH | LENGTH] { "," KEY VALUE }`: width and
//! height, or the height alone, and what else the design of that name takes. `filler 1/3, at west` (or
//! `2/3`; `at east`, and for north-south edges `at north`, `at south`) hangs in the post at that end of its
//! edge and ends before the other, where it asks for no post.
//!
//! Drawings begin at the same corner, so that levels stand on each other; `offset LEVEL: COLUMNS ROWS`
//! moves one to the east and to the south.
//!
//! Comments begin with `#` at a line's start or after a blank, except in a colour (`#` and six
//! hexadecimal digits).

mod design;
mod drawing;
mod statements;

use crate::plan::Plan;

/// One thing wrong with a plan's text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{line}:{column}: {message}")]
pub struct TextError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// How many characters it concerns, at least 1.
    pub length: usize,
    /// What is wrong and what was expected.
    pub message: String,
    /// How to mend it.
    pub help: String,
}

/// A plan as read, with the settings it names.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanText {
    /// The plan.
    pub plan: Plan,
    /// The set file whose parameters and stock it uses, as written, with its line and column.
    pub set: Option<(String, (usize, usize))>,
    /// The wall designs that it calls by name; whoever reads a plan draws them before it is used.
    pub calls: Vec<Call>,
}

/// A wall design as the text calls it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Call {
    /// Index into the plan's designs.
    pub design: usize,
    /// The design's name, and where it is written.
    pub name: (String, Spot),
    /// What the text says about it, in the text's order.
    pub values: Vec<Said>,
}

/// A value of a design, not yet looked into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// Its key, such as `sill`.
    pub key: String,
    /// What follows the key; empty for a mere word.
    pub value: String,
    /// Where that is written.
    pub at: Spot,
}

/// A place in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// How many characters.
    pub length: usize,
}

/// Most characters in a line.
pub const LONGEST_LINE: usize = 2000;
/// Most cells along a side.
pub const LONGEST_SIDE: usize = 200;
/// Most levels.
pub const MOST_LEVELS: usize = 20;
/// Most cells of all drawings together.
pub const MOST_CELLS: usize = 40_000;
/// After so many errors the rest of a text is not looked at. Those of the row that reaches the
/// number are still told.
pub const MOST_ERRORS: usize = 1000;

/// Reads a plan.
///
/// # Errors
/// Everything that is wrong with it, in the order of the text.
pub fn read(text: &str) -> Result<PlanText, Vec<TextError>> {
    let mut reader = statements::Reader::default();
    let lines: Vec<Line> = text.lines().enumerate().map(|(i, text)| Line::new(i + 1, text)).collect();
    let mut i = 0;
    while i < lines.len() && reader.errors.len() < MOST_ERRORS {
        let line = &lines[i];
        i += 1;
        if line.chars.len() > LONGEST_LINE {
            reader.errors.push(line.error(
                LONGEST_LINE,
                1,
                "the line is too long",
                "a line has at most 2000 characters",
            ));
            continue;
        }
        if line.is_blank() {
            continue;
        }
        if let Some(name) = reader.level(line) {
            let rows = lines[i..].iter().take_while(|line| line.is_drawing()).count();
            reader.drawings.push((name, line.number, lines[i..i + rows].to_vec()));
            i += rows;
        } else {
            reader.statement(line);
        }
    }
    reader.finish()
}

/// One line without its comment.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub number: usize,
    pub chars: Vec<char>,
}

impl Line {
    fn new(number: usize, text: &str) -> Self {
        let mut chars: Vec<char> = text.chars().collect();
        let comment = (0..chars.len()).find(|&at| {
            let colour = (1..=6).all(|d| chars.get(at + d).is_some_and(char::is_ascii_hexdigit))
                && chars.get(at + 7).is_none_or(|c| c.is_whitespace() || *c == ',');
            chars[at] == '#' && !colour && (at == 0 || chars[at - 1].is_whitespace())
        });
        chars.truncate(comment.unwrap_or(chars.len()));
        while chars.last().is_some_and(|c| c.is_whitespace()) {
            chars.pop();
        }
        Self { number, chars }
    }

    fn is_blank(&self) -> bool {
        self.chars.is_empty()
    }

    /// A row of a drawing: no colon, and not empty.
    fn is_drawing(&self) -> bool {
        !self.is_blank() && !self.chars.contains(&':')
    }

    pub(crate) fn error(&self, column: usize, length: usize, message: &str, help: &str) -> TextError {
        TextError { line: self.number, column, length: length.max(1), message: message.into(), help: help.into() }
    }
}
