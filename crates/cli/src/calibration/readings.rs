//! Readings of a coupon: the file that `coupon` writes with blanks, and `profile` reads.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::units::Mm;
use flatwright_sheets::coupon::Length as Drawn;
use serde_json::Value;

use super::values::{Reads, Way};
use crate::problem::{Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::record;
use crate::set_file::{Count, LARGEST, Length, Line, Walls};

/// The most sheets that are measured as one stack.
pub const MOST_SHEETS: u32 = 1000;
/// The most lengths of the printer's page.
pub const MOST_LENGTHS: usize = 100;

record! {
    /// Readings of a calibration coupon. What was not measured is null or left out. A reading is a length with
    /// its unit, such as "7 1/16 in", or plain millimetres; several of one length are a list.
    pub struct ReadingsFile {
        /// Name of the profiles: the printer and its paper, such as "lamp store laser, card 250 g/m2".
        pub name: Line,
        /// How the walls of the coupon are built, as in a set file. Default "card".
        pub walls: Option<Walls>,
        /// What was measured on the printer's page: at most 100 lengths, each with a letter of its own.
        #[schemars(length(max = 100))]
        pub printer: Option<Spanned<Vec<Spanned<LengthEntry>>>>,
        /// Gauges cut from paper.
        pub paper: Option<PaperReadings>,
        /// Gauges and joints cut from card.
        pub card: Option<CardReadings>,
        /// Gauges and joints cut from board.
        pub board: Option<BoardReadings>,
    }
}

record! {
    /// A length of the printer's page.
    pub struct LengthEntry {
        /// Its letter on the page.
        pub letter: Spanned<Line>,
        /// How far its one end lies to the right of the other as drawn, mm.
        pub across: Way,
        /// How far it lies above the other, mm; negative where it lies below.
        pub up: Way,
        /// What the rule says, from the middle of the line at one end to that at the other.
        pub reads: Option<Spanned<Reads>>,
    }
}

record! {
    /// Gauges cut from paper.
    pub struct PaperReadings {
        /// How many sheets the caliper is of. Default 1.
        pub sheets: Option<Count<MOST_SHEETS>>,
        /// Thickness of so many sheets.
        pub caliper: Option<Spanned<Reads>>,
        /// Side of the window's hole.
        pub hole: Option<Spanned<Reads>>,
        /// Side of the square that came out of it.
        pub piece: Option<Spanned<Reads>>,
        /// Width of all strips pushed together.
        pub strips: Option<Spanned<Reads>>,
    }
}

record! {
    /// Gauges and joints cut from card.
    pub struct CardReadings {
        /// The caliper that the joints are drawn for. Default 0.25 mm.
        pub drawn_for: Option<Spanned<Length>>,
        /// How many sheets the caliper is of. Default 1.
        pub sheets: Option<Count<MOST_SHEETS>>,
        /// Thickness of so many sheets.
        pub caliper: Option<Spanned<Reads>>,
        /// Side of the window's hole.
        pub hole: Option<Spanned<Reads>>,
        /// Side of the square that came out of it.
        pub piece: Option<Spanned<Reads>>,
        /// Width of all strips pushed together.
        pub strips: Option<Spanned<Reads>>,
        /// The number of the narrowest opening that one strip goes into; used where neither hole, piece nor
        /// strips were measured.
        pub opening: Option<Spanned<Reads>>,
        /// The number below the tightest slot that the wall's tab goes into and holds in.
        pub slot: Option<Spanned<Reads>>,
        /// One leg of the folded strip, to the outside of the fold.
        pub first_leg: Option<Spanned<Reads>>,
        /// The other leg.
        pub second_leg: Option<Spanned<Reads>>,
    }
}

record! {
    /// Gauges and joints cut from board.
    pub struct BoardReadings {
        /// The thickness that the joints are drawn for. Default 5 mm.
        pub drawn_for: Option<Spanned<Length>>,
        /// How many boards the caliper is of. Default 1.
        pub sheets: Option<Count<MOST_SHEETS>>,
        /// Thickness of so many boards.
        pub caliper: Option<Spanned<Reads>>,
        /// Side of the window's hole.
        pub hole: Option<Spanned<Reads>>,
        /// Side of the square that came out of it.
        pub piece: Option<Spanned<Reads>>,
        /// Width of all strips pushed together.
        pub strips: Option<Spanned<Reads>>,
        /// The number of the narrowest opening that one strip goes into; used where neither hole, piece nor
        /// strips were measured.
        pub opening: Option<Spanned<Reads>>,
        /// The number on the tightest biscuit that goes into the notches and holds.
        pub biscuit: Option<Spanned<Reads>>,
    }
}

impl ReadingsFile {
    /// Whether nothing has been read yet.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        let lengths = self.printer.iter().flat_map(|list| &list.value).map(|entry| &entry.value.reads);
        let mut all: Vec<&Option<Spanned<Reads>>> = lengths.collect();
        if let Some(paper) = &self.paper {
            all.extend([&paper.caliper, &paper.hole, &paper.piece, &paper.strips]);
        }
        if let Some(card) = &self.card {
            all.extend([&card.caliper, &card.hole, &card.piece, &card.strips, &card.slot]);
            all.extend([&card.first_leg, &card.second_leg, &card.opening]);
        }
        if let Some(board) = &self.board {
            all.extend([&board.caliper, &board.hole, &board.piece, &board.strips, &board.opening, &board.biscuit]);
        }
        all.into_iter().flatten().all(|reads| reads.value.0.is_empty())
    }
}

const CALLED: Called = Called {
    file: "a readings file",
    whole: "the file of readings",
    write: "let 'flatwright coupon' write one, and fill it in",
    largest: LARGEST,
    shorten: "keep the readings of one coupon",
};

/// Reads a file of readings. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them, and too many lengths.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<(ReadingsFile, Source), Problems> {
    document::read(name, bytes, CALLED, |value, reader| {
        let list = value.as_object().and_then(|object| object.get_array("printer"));
        if let Some(list) = list.filter(|list| list.elements.len() > MOST_LENGTHS) {
            let brace = jsonc_parser::common::Range::new(list.range.start, list.range.start + 1);
            let what = format!("has {} lengths; it can have at most {MOST_LENGTHS}", list.elements.len());
            reader.wrong(&brace, &what, "this list", "give several readings of one length as a list in its \"reads\"");
        }
    })
}

/// The JSON Schema of the file of readings.
#[must_use]
pub fn schema() -> schemars::Schema {
    document::schema::<ReadingsFile>()
}

/// A file with a blank for everything that a coupon asks for, a line each.
#[must_use]
pub fn template(name: &str, p: &Parameters, lengths: &[Drawn]) -> String {
    let walls = if p.walls == WallBuild::Card { "card" } else { "board" };
    let length = |drawn: &Drawn| {
        let (letter, x, y) = (drawn.letter, drawn.vector.x, drawn.vector.y);
        format!("    {{ \"letter\": \"{letter}\", \"across\": {x}, \"up\": {y}, \"reads\": null }}")
    };
    let lengths: Vec<String> = lengths.iter().map(length).collect();
    let short: String = name.chars().take(80).collect();
    format!(
        "{{\n  \"name\": {},\n  \"walls\": \"{walls}\",\n  \"printer\": [\n{}\n  ],\n{},\n{},\n{}\n}}\n",
        Value::from(short),
        lengths.join(",\n"),
        stock("paper", None, 10, &[]),
        stock("card", Some(p.card), 1, &["opening", "slot", "first_leg", "second_leg"]),
        stock("board", Some(p.board), 1, &["opening", "biscuit"]),
    )
}

fn stock(name: &str, drawn_for: Option<Mm>, sheets: u32, more: &[&str]) -> String {
    let mut lines: Vec<String> = drawn_for.map(|mm| format!("    \"drawn_for\": \"{mm}\"")).into_iter().collect();
    lines.push(format!("    \"sheets\": {sheets}"));
    let blanks = ["caliper", "hole", "piece", "strips"].into_iter().chain(more.iter().copied());
    lines.extend(blanks.map(|key| format!("    \"{key}\": null")));
    format!("  \"{name}\": {{\n{}\n  }}", lines.join(",\n"))
}
