//! Sheets: sizes, turns, margins and gaps.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::{Pattern, Stock};
use flatwright_geometry::units::Mm;
use flatwright_sheets::compose::{Axis, Grain, LayoutMode, SheetGrain, folds_along};
use flatwright_sheets::grammage::PaperWeight;
use flatwright_sheets::paper::{Orientation, PaperSize};

use super::Given;
use super::weights::CaliperSource;
use crate::calibration::Materials;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{
    self, BoardEntry, BoardLayout, LayoutWord, Length, Line, PieceGrain, SheetEntry, SizeEntry, Sizes, StockEntries,
};

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

/// A size of sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// Size, upright.
    pub paper: PaperSize,
    /// What one sheet costs, where a list of sizes says so.
    pub price: Option<f64>,
}

/// One kind of stock's sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetChoice {
    /// The usual size, upright.
    pub size: PaperSize,
    /// All sizes, the usual one first.
    pub sizes: Vec<Size>,
    /// Along which side its grain runs, where that is said.
    pub grain: Option<SheetGrain>,
    /// How its pieces lie to the grain, where they do not say so themselves.
    pub piece_grain: PieceGrain,
    /// Which way it is turned.
    pub orientation: Orientation,
    /// What it is.
    pub material: String,
    /// Its nominal weight, where it is given.
    pub weight: Option<PaperWeight>,
    /// How its caliper is known.
    pub caliper: CaliperSource,
    /// Width that its cutter removes.
    pub kerf: Mm,
}

/// Board, and how it is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardChoice {
    /// Whether pieces are laid out on its sheets; else templates on paper are used.
    pub direct: bool,
    /// The usual size of the sheets that the board comes in.
    pub size: PaperSize,
    /// All sizes, the usual one first.
    pub sizes: Vec<Size>,
    /// What it is.
    pub material: String,
    /// Width that its cutter removes.
    pub kerf: Mm,
}

/// The sheets: defaults, then the file's, then the command line's. `calipers` says how those of paper
/// and of card are known.
pub(super) fn sheets(
    entries: Option<&StockEntries>,
    calipers: [CaliperSource; 2],
    given: &Given,
    parameters: Option<&Parameters>,
    problems: &mut Vec<Problem>,
) -> Option<Sheets> {
    let before = problems.len();
    let p = parameters.cloned().unwrap_or_default();
    let orientation = given_orientation(given, problems);
    let given_size = given.get("--paper").and_then(|size| size_of(&size.value, &size.at, problems));
    let given_sizes = given_size.map(|paper| vec![Size { paper, price: None }]);
    let paper = sheet(entries.and_then(|e| e.paper.as_ref()), ("paper", p.paper, calipers[0]), &p, given, problems);
    let card = sheet(entries.and_then(|e| e.card.as_ref()), ("card", p.card, calipers[1]), &p, given, problems);
    let turned = |sheet: SheetChoice| {
        let sizes = given_sizes.clone().unwrap_or(sheet.sizes);
        SheetChoice {
            orientation: orientation.unwrap_or(sheet.orientation),
            size: sizes.first().map_or(sheet.size, |size| size.paper.clone()),
            sizes,
            ..sheet
        }
    };
    let board = board(entries.and_then(|e| e.board.as_ref()), &p, given, problems);
    let margin = length("--margin", entries.and_then(|e| e.margin.as_ref()), Mm::new(7.0), given, problems);
    let gap = length("--gap", entries.and_then(|e| e.gap.as_ref()), Mm::new(2.0), given, problems);
    let split_large = entries.and_then(|e| e.split_large).is_none_or(|flag| flag.0);
    let sheets = Sheets { paper: turned(paper?), card: turned(card?), board: board?, margin, gap, split_large };
    (problems.len() == before).then_some(sheets)
}

/// Puts a materials profile's kerfs where the set file gives a stock none of its own.
pub(super) fn lend_kerf(sheets: &mut Sheets, entries: Option<&StockEntries>, lent: &Materials) {
    let own = |stock: Stock| {
        let entries = entries?;
        match stock {
            Stock::Paper => entries.paper.as_ref()?.kerf.as_ref(),
            Stock::Card => entries.card.as_ref()?.kerf.as_ref(),
            Stock::Board => entries.board.as_ref()?.kerf.as_ref(),
        }
    };
    let stocks = [
        (Stock::Paper, &mut sheets.paper.kerf),
        (Stock::Card, &mut sheets.card.kerf),
        (Stock::Board, &mut sheets.board.kerf),
    ];
    for (stock, kerf) in stocks {
        if let (None, Some(known)) = (own(stock), lent.kerf(stock)) {
            *kerf = known;
        }
    }
}

/// Paper or card. The command line's size and orientation count for both and are read once.
fn sheet(
    entry: Option<&SheetEntry>,
    (name, caliper, source): (&str, Mm, CaliperSource),
    p: &Parameters,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<SheetChoice> {
    let sizes = sizes(entry.and_then(|e| e.size.as_ref()), "A4", problems);
    let grain = entry.and_then(|e| e.grain).map(|grain| match grain {
        set_file::SheetGrain::Short => SheetGrain::Short,
        set_file::SheetGrain::Long => SheetGrain::Long,
    });
    let piece_grain = entry.and_then(|e| e.piece_grain).unwrap_or(PieceGrain::Any);
    let orientation = match entry.and_then(|e| e.orientation) {
        Some(set_file::Orientation::Portrait) => Orientation::Portrait,
        Some(set_file::Orientation::Landscape) => Orientation::Landscape,
        Some(set_file::Orientation::Either) | None => Orientation::Either,
    };
    let kerf = kerf(entry.and_then(|e| e.kerf.as_ref()), p, given, problems);
    let weight = entry.and_then(|e| e.weight.as_ref()).map(|weight| weight.value.0);
    let named = entry.and_then(|e| e.material.as_ref());
    let material = match weight {
        Some(weight) => format!("{}, {weight}", named.map_or(name, |named| &named.0)),
        None => material(named, name, caliper),
    };
    let sizes = sizes?;
    let size = sizes.first()?.paper.clone();
    let caliper = source;
    Some(SheetChoice { size, sizes, grain, piece_grain, orientation, material, weight, caliper, kerf })
}

/// How a piece lies to the grain.
pub(super) fn grain_of(word: PieceGrain, pattern: &Pattern) -> Grain {
    match word {
        PieceGrain::Any => Grain::Any,
        PieceGrain::Along => Grain::Along,
        PieceGrain::Across => Grain::Across,
        PieceGrain::Folds => match folds_along(pattern) {
            Some(Axis::Y) => Grain::Along,
            Some(Axis::X) => Grain::Across,
            None => Grain::Any,
        },
    }
}

/// How pieces are put on sheets: the command line's way, then the file's, then the default.
pub(super) fn layout(entry: Option<LayoutWord>, given: &Given, problems: &mut Vec<Problem>) -> LayoutMode {
    let word = match given.get("--layout") {
        None => entry,
        Some(text) => {
            let word = LayoutWord::from_word(&text.value);
            if word.is_none() {
                let message = format!("--layout cannot be \"{}\"", text.value);
                let all = set_file::reader::listed(LayoutWord::WORDS, "or").replace('"', "");
                let near = set_file::reader::nearest(&text.value, LayoutWord::WORDS);
                let help =
                    near.map_or_else(|| format!("write {all}"), |near| format!("did you mean {near}? It can be {all}"));
                problems.push(Problem::new(message).at(&text.at, "here").help(help));
            }
            word
        }
    };
    match word {
        Some(LayoutWord::Stacked) => LayoutMode::Stacked,
        Some(LayoutWord::ByStep) => LayoutMode::ByStep,
        Some(LayoutWord::FewestPages) | None => LayoutMode::FewestPages,
    }
}

fn board(
    entry: Option<&BoardEntry>,
    p: &Parameters,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<BoardChoice> {
    let file_size = entry.and_then(|e| e.size.as_ref());
    let sizes = match given.get("--board-sheet") {
        Some(text) => {
            let paper = size_of(&text.value, &text.at, problems);
            paper.map(|paper| vec![Size { paper, price: None }])
        }
        None => sizes(file_size, "20x30 in", problems),
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
    let sizes = sizes?;
    let size = sizes.first()?.paper.clone();
    Some(BoardChoice { direct: layout == Some(BoardLayout::Sheet), size, sizes, material, kerf })
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

/// The sizes of a stock's sheets; each differs from the others, and all have a price or none.
fn sizes(entry: Option<&Spanned<Sizes>>, default: &str, problems: &mut Vec<Problem>) -> Option<Vec<Size>> {
    let entries = match entry {
        None => return default.parse().ok().map(|paper| vec![Size { paper, price: None }]),
        Some(Spanned { value: Sizes::One(Line(text)), at }) => {
            return size_of(text, at, problems).map(|paper| vec![Size { paper, price: None }]);
        }
        Some(Spanned { value: Sizes::Several(entries), .. }) => entries,
    };
    let before = problems.len();
    let priced = entries.iter().any(|entry| entry.value.price.is_some());
    let mut sizes: Vec<Size> = Vec::new();
    for Spanned { value: SizeEntry { size, price }, .. } in entries {
        if priced && price.is_none() {
            let message = format!("\"{}\" has no price, but other sizes of the list have one", size.value.0);
            let help = "give every size a \"price\", or none";
            problems.push(Problem::new(message).at(&size.at, "this size").help(help));
        }
        if let Some(price) = price.as_ref().filter(|price| price.value.0 <= 0.0) {
            let message = "a price of 0 leaves nothing to choose by";
            problems.push(Problem::new(message).at(&price.at, "here").help("give what one sheet costs, above 0"));
        }
        let Some(paper) = size_of(&size.value.0, &size.at, problems) else { continue };
        if sizes.iter().any(|other| (other.paper.width, other.paper.height) == (paper.width, paper.height)) {
            let message = format!("the size {paper} is listed twice");
            problems.push(Problem::new(message).at(&size.at, "the second one").help("keep one of the two"));
        }
        sizes.push(Size { paper, price: price.as_ref().map(|price| price.value.0) });
    }
    (problems.len() == before).then_some(sizes)
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
