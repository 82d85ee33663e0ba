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
//!             between two of them a cell of three columns: " x " surface or turn x, "   " no floor; the
//!             first and the third may hold the letter of a fitting each
//! ```
//!
//! `prop`, `pillar`, `free-wall`, `stair`, `half-landing` and `stair-marker` statements give fittings
//! their letters. One in a cell stands in its middle, two in its western and its eastern half:
//!
//! ```text
//! prop      = NAME { "," KEY VALUE } common
//! pillar    = NUMBER "sides" "," "across" LENGTH [ "," "height" LENGTH ] common
//! free-wall = MODULES [ "," "along" ( "east" | "north" ) ] [ "," ( "wall" LETTER | a wall's value ) ] common
//! stair     = "up" WAY { "," ( "run" | "wide" | "steps" ) NUMBER | "," "climb" ( "lower" | "upper" ) } face
//! half-landing = NUMBER "x" NUMBER face
//! stair-marker = "down" WAY { "," ( "run" | "wide" ) NUMBER } face
//! common    = [ "," "turned" DEGREES ] [ "," "at" EAST SOUTH ] face
//! face      = [ "," "face" ( SURFACE | COLOUR ) ]
//! ```
//!
//! WAY is east, north, west or south. A stair begins at the side of its letter's cell that lies against its
//! way, and leads `run` modules on; one wider than a module reaches to the south of that cell, or to its
//! east. The letter of a half landing stands in its north-west cell.
//!
//! A `roof LEVEL` statement lays a roof over the topmost level, or over a part of it, columns and rows
//! counted from 0:
//!
//! ```text
//! roof      = ( "hip" | "gable" | "lean-to" | "flat" ) { "," ( "pitch" NUMBER "deg" | "overhang" LENGTH |
//!             "skirt" ( "inside" | "outside" ) | "over" COLUMN ROW COLUMNS ROWS ) } face
//! ```
//!
//! `turned` is counterclockwise as seen from above, `at` in parts of a module from the cell's north-west
//! corner.
//!
//! The value of a `wall` statement is `NAME [LENGTH x LENGTH | LENGTH] { "," KEY VALUE }`: width and
//! height, or the height alone, and what else the design of that name takes. `filler 1/3, at west` (or
//! `2/3`; `at east`, and for north-south edges `at north`, `at south`) hangs in the post at that end of its
//! edge and ends before the other, where it asks for no post.
//!
//! The value of a `turn` statement is `FORM REACH "," "about" CORNER { "," PART }`: a block of REACH x REACH
//! cells that carry its letter instead of a surface's is one turn, whose wall leaves the lattice.
//!
//! ```text
//! FORM      = "round" (a quarter of a circle) | "diagonal" (straight over the corner)
//! CORNER    = "NE" | "NW" | "SW" | "SE": the block's corner that it turns about
//! PART      = "inner" REACH      a shorter bend about the same corner
//!           | "fan" SURFACE      floor from the corner to the (shorter) bend
//!           | "ring" SURFACE     floor between the two bends
//!           | "spandrel" SURFACE floor outside the bend
//!           | "wall" WALL        wall on the bend: "plain" or the letter of a design
//!           | "inner wall" WALL  wall on the shorter bend
//! ```
//!
//! Drawings begin at the same corner, so that levels stand on each other; `offset LEVEL: COLUMNS ROWS`
//! moves one to the east and to the south.
//!
//! Comments begin with `#` at a line's start or after a blank, except in a colour (`#` and six
//! hexadecimal digits).

mod design;
mod drawing;
mod fitting;
mod roof;
mod statements;
mod turn;

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
    /// The props and wall designs that its fittings call by name; whoever reads a plan draws them too.
    pub fitting_calls: Vec<FittingCall>,
    /// Where each fitting is defined, in the order of [`Plan::fittings`].
    pub fitting_spots: Vec<Spot>,
}

/// A prop or the design of a free-standing wall, as the text calls it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FittingCall {
    /// Index into the plan's fittings.
    pub design: usize,
    /// The name, and where it is written.
    pub name: (String, Spot),
    /// What the text says about it, in the text's order.
    pub values: Vec<Said>,
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
