//! Sheets: sizes, turns, margins and gaps.

use flatwright_geometry::units::Mm;
use flatwright_sheets::paper::{Orientation, PaperSize};

use super::Given;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{self, SheetEntry, StockEntries};

/// Least width and height that margins may leave free.
const LEAST_FREE: Mm = Mm::new(20.0);
/// Largest gap between pieces.
const LARGEST_GAP: Mm = Mm::new(100.0);

/// What is cut from which sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets {
    /// Sheets of paper.
    pub paper: SheetChoice,
    /// Sheets of card.
    pub card: SheetChoice,
    /// Sheets of board.
    pub board: SheetChoice,
    /// How board pieces are laid out.
    pub board_as: BoardAs,
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
    /// Margin along every side.
    pub margin: Mm,
    /// Least gap between pieces.
    pub gap: Mm,
    /// What to buy.
    pub grammage: Option<String>,
}

/// How board pieces are laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BoardAs {
    /// As templates on paper.
    #[default]
    Template,
    /// On board sheets.
    Sheet,
}

/// The sheets: defaults, then the file's, then the command line's.
pub(super) fn sheets(entries: Option<&StockEntries>, given: &Given, problems: &mut Vec<Problem>) -> Option<Sheets> {
    let before = problems.len();
    let choice = |entry: Option<&SheetEntry>, default: &str, option: &str, problems: &mut Vec<Problem>| {
        sheet(entry, default, option, given, problems)
    };
    let paper = choice(entries.and_then(|e| e.paper.as_ref()), "A4", "--paper", problems);
    let after_paper = problems.len();
    let card = choice(entries.and_then(|e| e.card.as_ref()), "A4", "--paper", problems);
    let board = choice(entries.and_then(|e| e.board.as_ref()), "20x30 in", "--board-sheet", problems);
    // An option that is wrong for paper is wrong for card and board too: say it once.
    let mut seen: Vec<String> = problems[before..after_paper].iter().map(ToString::to_string).collect();
    let rest = problems.split_off(after_paper);
    for problem in rest {
        if problem.is_of_command_line() && seen.contains(&problem.to_string()) {
            continue;
        }
        seen.push(problem.to_string());
        problems.push(problem);
    }
    let board_as = board_as(entries, given, problems);
    let split_large = entries.and_then(|e| e.split_large).is_none_or(|flag| flag.0);
    Some(Sheets { paper: paper?, card: card?, board: board?, board_as, split_large })
        .filter(|_| problems.len() == before)
}

fn sheet(
    entry: Option<&SheetEntry>,
    default: &str,
    option: &str,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<SheetChoice> {
    let file_size = entry.and_then(|e| e.size.as_ref()).map(|size| (&size.value.0, &size.at));
    let named = given.get(option).map(|size| (&size.value, &size.at)).or(file_size);
    let size = match named {
        None => default.parse().ok()?,
        Some((text, at)) => size_of(text, at, problems)?,
    };
    let orientation = orientation(entry, given, problems);
    let length = |option, from_file: Option<&Spanned<set_file::Length>>, problems: &mut Vec<Problem>| {
        let from_file = || from_file.map(|length| Spanned { value: length.value.0, at: length.at.clone() });
        given.length(option, problems).or_else(from_file)
    };
    let margin = length("--margin", entry.and_then(|e| e.margin.as_ref()), problems);
    let gap = length("--gap", entry.and_then(|e| e.gap.as_ref()), problems);
    let free = size.width - margin_of(margin.as_ref()) * 2.0;
    if free < LEAST_FREE {
        let message =
            format!("a margin of {} leaves {} of {size} free", margin_of(margin.as_ref()), free.max(Mm::ZERO));
        let problem =
            Problem::new(message).help(format!("leave at least {LEAST_FREE} free: a smaller margin or a larger sheet"));
        let at = margin.as_ref().map(|margin| &margin.at).or(named.map(|(_, at)| at));
        problems.push(match at {
            Some(at) => problem.at(at, "here"),
            None => problem,
        });
    }
    let wide = gap.as_ref().filter(|gap| gap.value > LARGEST_GAP);
    if let Some(gap) = wide {
        let message = format!("a gap of {} is more than {LARGEST_GAP}", gap.value);
        problems.push(Problem::new(message).at(&gap.at, "here").help("2 mm suit a knife; give a smaller gap"));
    }
    Some(SheetChoice {
        size,
        orientation,
        margin: margin_of(margin.as_ref()),
        gap: gap.map_or(Mm::new(2.0), |gap| gap.value),
        grammage: entry.and_then(|e| e.grammage.as_ref()).map(|grammage| grammage.0.clone()),
    })
}

fn margin_of(margin: Option<&Spanned<Mm>>) -> Mm {
    margin.map_or(Mm::new(7.0), |margin| margin.value)
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

fn orientation(entry: Option<&SheetEntry>, given: &Given, problems: &mut Vec<Problem>) -> Orientation {
    if let Some(text) = given.get("--orientation") {
        return text.value.parse().unwrap_or_else(|_| {
            let message = format!("--orientation cannot be \"{}\"", text.value);
            problems.push(Problem::new(message).at(&text.at, "here").help("write portrait, landscape or either"));
            Orientation::Either
        });
    }
    match entry.and_then(|e| e.orientation) {
        Some(set_file::Orientation::Portrait) => Orientation::Portrait,
        Some(set_file::Orientation::Landscape) => Orientation::Landscape,
        Some(set_file::Orientation::Either) | None => Orientation::Either,
    }
}

fn board_as(entries: Option<&StockEntries>, given: &Given, problems: &mut Vec<Problem>) -> BoardAs {
    let word = match given.get("--board-as") {
        Some(text) => {
            let word = set_file::BoardAs::from_word(&text.value);
            if word.is_none() {
                let message = format!("--board-as cannot be \"{}\"", text.value);
                problems.push(Problem::new(message).at(&text.at, "here").help("write template or sheet"));
            }
            word
        }
        None => entries.and_then(|e| e.board_as),
    };
    match word {
        Some(set_file::BoardAs::Sheet) => BoardAs::Sheet,
        Some(set_file::BoardAs::Template) | None => BoardAs::Template,
    }
}
