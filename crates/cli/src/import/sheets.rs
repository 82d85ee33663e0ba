//! Sheets: sizes, turns, margins and gaps.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::units::Mm;
use flatwright_sheets::paper::{Orientation, PaperSize};

use super::Given;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{self, BoardEntry, BoardLayout, Length, Line, SheetEntry, StockEntries};

/// Largest margin, gap and kerf.
const LARGEST: [(&str, Mm); 3] = [("margin", Mm::new(100.0)), ("gap", Mm::new(100.0)), ("kerf", Mm::new(5.0))];

/// What is cut from which sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets {
    /// Sheets of paper.
    pub paper: SheetChoice,
    /// Sheets of card.
    pub card: SheetChoice,
    /// Board.
    pub board: BoardChoice,
    /// Margin along every side.
    pub margin: Mm,
    /// Least gap between pieces.
    pub gap: Mm,
    /// Whether a piece that is too large for its sheet is split.
    pub split_large: bool,
}

/// One kind of stock's sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetChoice {
    /// Size, upright.
    pub size: PaperSize,
    /// Which way it is turned.
    pub orientation: Orientation,
    /// What it is.
    pub material: String,
    /// Width that its cutter removes.
    pub kerf: Mm,
}

/// Board, and how it is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardChoice {
    /// Size of the sheets that the pieces are laid out on; none where templates on paper are used.
    pub sheet: Option<PaperSize>,
    /// Size of the sheets that the board comes in.
    pub size: PaperSize,
    /// What it is.
    pub material: String,
    /// Width that its cutter removes.
    pub kerf: Mm,
}

/// The sheets: defaults, then the file's, then the command line's.
pub(super) fn sheets(
    entries: Option<&StockEntries>,
    given: &Given,
    parameters: Option<&Parameters>,
    problems: &mut Vec<Problem>,
) -> Option<Sheets> {
    let before = problems.len();
    let p = parameters.cloned().unwrap_or_default();
    let orientation = given_orientation(given, problems);
    let given_size = given.get("--paper").and_then(|size| size_of(&size.value, &size.at, problems));
    let paper = sheet(entries.and_then(|e| e.paper.as_ref()), ("paper", p.paper), &p, given, problems);
    let card = sheet(entries.and_then(|e| e.card.as_ref()), ("card", p.card), &p, given, problems);
    let turned = |sheet: SheetChoice| SheetChoice {
        orientation: orientation.unwrap_or(sheet.orientation),
        size: given_size.clone().unwrap_or(sheet.size),
        ..sheet
    };
    let board = board(entries.and_then(|e| e.board.as_ref()), &p, given, problems);
    let margin = length("--margin", entries.and_then(|e| e.margin.as_ref()), Mm::new(7.0), given, problems);
    let gap = length("--gap", entries.and_then(|e| e.gap.as_ref()), Mm::new(2.0), given, problems);
    let split_large = entries.and_then(|e| e.split_large).is_none_or(|flag| flag.0);
    let sheets = Sheets { paper: turned(paper?), card: turned(card?), board: board?, margin, gap, split_large };
    (problems.len() == before).then_some(sheets)
}

/// Paper or card. The command line's size and orientation count for both and are read once.
fn sheet(
    entry: Option<&SheetEntry>,
    (name, caliper): (&str, Mm),
    p: &Parameters,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<SheetChoice> {
    let size = size(entry.and_then(|e| e.size.as_ref()), "A4", problems);
    let orientation = match entry.and_then(|e| e.orientation) {
        Some(set_file::Orientation::Portrait) => Orientation::Portrait,
        Some(set_file::Orientation::Landscape) => Orientation::Landscape,
        Some(set_file::Orientation::Either) | None => Orientation::Either,
    };
    let kerf = kerf(entry.and_then(|e| e.kerf.as_ref()), p, given, problems);
    let material = material(entry.and_then(|e| e.material.as_ref()), name, caliper);
    Some(SheetChoice { size: size?, orientation, material, kerf })
}

fn board(
    entry: Option<&BoardEntry>,
    p: &Parameters,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<BoardChoice> {
    let file_size = entry.and_then(|e| e.size.as_ref());
    let size = match given.get("--board-sheet") {
        Some(text) => size_of(&text.value, &text.at, problems),
        None => size(file_size, "20x30 in", problems),
    };
    let layout = match given.get("--board-as") {
        None => entry.and_then(|e| e.layout),
        Some(text) => {
            let layout = BoardLayout::from_word(&text.value);
            if layout.is_none() {
                let message = format!("--board-as cannot be \"{}\"", text.value);
                problems.push(Problem::new(message).at(&text.at, "here").help("write template or sheet"));
            }
            layout
        }
    };
    let kerf = kerf(entry.and_then(|e| e.kerf.as_ref()), p, given, problems);
    let material = material(entry.and_then(|e| e.material.as_ref()), "board", p.board);
    let size = size?;
    let sheet = match layout {
        Some(BoardLayout::Sheet) => Some(size.clone()),
        Some(BoardLayout::Template) | None => None,
    };
    Some(BoardChoice { sheet, size, material, kerf })
}

fn material(entry: Option<&Line>, name: &str, caliper: Mm) -> String {
    entry.map_or_else(|| format!("{name} {caliper}"), |material| material.0.clone())
}

/// The stock's own kerf; on the command line one kerf counts for all.
fn kerf(entry: Option<&Spanned<Length>>, p: &Parameters, given: &Given, problems: &mut Vec<Problem>) -> Mm {
    match (entry, given.get("--kerf")) {
        (Some(kerf), None) => within("kerf", &Spanned { value: kerf.value.0, at: kerf.at.clone() }, problems),
        _ => p.kerf,
    }
}

fn length(
    option: &str,
    entry: Option<&Spanned<Length>>,
    default: Mm,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Mm {
    let from_file = || entry.map(|length| Spanned { value: length.value.0, at: length.at.clone() });
    match given.length(option, problems).or_else(from_file) {
        Some(length) => within(option.trim_start_matches('-'), &length, problems),
        None => default,
    }
}

/// Notes a length that is larger than the largest of its name.
fn within(name: &str, length: &Spanned<Mm>, problems: &mut Vec<Problem>) -> Mm {
    for (_, largest) in LARGEST.iter().filter(|(limited, largest)| *limited == name && length.value > *largest) {
        let message = format!("a {name} of {} is more than {largest}", length.value);
        problems.push(Problem::new(message).at(&length.at, "here").help(format!("give at most {largest}")));
    }
    length.value
}

fn size(entry: Option<&Spanned<Line>>, default: &str, problems: &mut Vec<Problem>) -> Option<PaperSize> {
    match entry {
        Some(text) => size_of(&text.value.0, &text.at, problems),
        None => default.parse().ok(),
    }
}

fn size_of(text: &str, at: &At, problems: &mut Vec<Problem>) -> Option<PaperSize> {
    match text.parse::<PaperSize>() {
        Ok(size) => Some(size),
        Err(error) => {
            problems.push(Problem::new(error.to_string()).at(at, "here").help(error.help()));
            None
        }
    }
}

fn given_orientation(given: &Given, problems: &mut Vec<Problem>) -> Option<Orientation> {
    let text = given.get("--orientation")?;
    let orientation = text.value.parse().ok();
    if orientation.is_none() {
        let message = format!("--orientation cannot be \"{}\"", text.value);
        problems.push(Problem::new(message).at(&text.at, "here").help("write portrait, landscape or either"));
    }
    orientation
}
