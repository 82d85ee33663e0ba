//! The one point at which outside formats become inner types: set file and command line in,
//! parameters, sheets and patterns out.

mod artwork;
mod bends;
mod designs;
mod entries;
mod fittings;
mod inner;
mod pieces;
mod props;
mod roofs;
mod sheets;
mod standing;
mod stock;
mod weights;
mod wells;

use std::collections::BTreeMap;

use flatwright_folding::prove::Proved;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::units::Mm;
use flatwright_sheets::compose::{Grain, LayoutMode};

use crate::args::Overrides;
use crate::calibration::{Materials, Printer};
use crate::class::{self, Class};
use crate::open::Opened;
use crate::planned::{self, Planned};
use crate::problem::{At, COMMAND_LINE, Problem, Problems, Source, SourceText, Spanned};
use crate::set_file::{Length, ParameterEntries, PieceGrain, Rates, StockEntries, Walls};
use designs::Designs;

pub use artwork::{Artwork, Cover, Own};
pub use designs::Ornament;
pub use pieces::Entry;
pub(crate) use pieces::MOST_PIECES;
pub use sheets::{BoardChoice, SheetChoice, Sheets, Size};
pub use weights::CaliperSource;

/// A set, checked and computed: what the rest of the program works on.
#[derive(Clone, Debug)]
pub struct Set {
    /// Its name.
    pub name: String,
    /// A sentence or two about it.
    pub about: Option<String>,
    /// Resolved parameters.
    pub parameters: Parameters,
    /// What is cut from what.
    pub sheets: Sheets,
    /// How pieces are put on sheets.
    pub layout: LayoutMode,
    /// How artwork is printed.
    pub artwork: Artwork,
    /// What a builder should know, though nothing is wrong.
    pub warnings: Vec<Problem>,
    /// What is an estimate until it is measured: a sentence each.
    pub notes: Vec<String>,
    /// The pieces to be made, each different one once, by kind.
    pub pieces: Vec<Piece>,
    /// What the entries of the set file's own list came to, in its order.
    pub entries: Vec<Entry>,
    /// The floor plan that they are for.
    pub plan: Option<Planned>,
    /// For which class it is made.
    pub class: Option<Class>,
    /// What sheets and work cost.
    pub rates: Option<Rates>,
    /// The printer that pages are corrected for.
    pub printer: Option<Printer>,
    /// The materials profile that values are taken from.
    pub materials: Option<Lent>,
}

/// What a materials profile lends to a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lent {
    /// Its name.
    pub name: String,
    /// The values that are taken from it.
    pub taken: Vec<&'static str>,
    /// Those that it has, but the set file or the command line gives too.
    pub left: Vec<&'static str>,
}

/// One kind of piece of a set.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Short name, unique in the set, such as `TC1`.
    pub id: String,
    /// What it is a pattern of.
    pub part: Part,
    /// Its flat pattern, folded and found to close.
    pub pattern: Proved,
    /// How many of it.
    pub count: u32,
    /// What covers its face.
    pub face: Option<Cover>,
    /// What is painted over that, where the piece is a wall.
    pub ornament: Ornament,
    /// The name that the set file or the plan gives it.
    pub label: Option<String>,
    /// Whether its label may be printed on its face.
    pub label_on_face: bool,
    /// How it lies to the grain of its sheet.
    pub grain: Grain,
    /// Where the set file or the plan asks for it first.
    pub at: At,
}

/// Joins what was read and the command line's values to the inner types.
///
/// # Errors
/// Everything that is wrong with the values: sizes that are not known, parameters from which
/// nothing can be built, plans that cannot be built, pieces that have no pattern, options that
/// cannot be read.
pub fn import(opened: Opened, overrides: &Overrides) -> Result<Set, Problems> {
    let mut problems = Vec::new();
    let given = Given::new(overrides.given());
    let set = opened.set.as_ref();
    let entries_of_parameters = set.and_then(|set| set.parameters.as_ref());
    let lent = opened.materials.as_ref();
    let stock = set.and_then(|set| set.stock.as_ref());
    let parameters = parameters(entries_of_parameters, lent, stock, &given, &mut problems);
    let calipers = weights::sources(entries_of_parameters, lent, stock, &given);
    let mut sheets = sheets::sheets(stock, calipers, &given, parameters.as_ref(), &mut problems);
    // A kerf that the set or the command line gives counts for every stock.
    let own_kerf = entries_of_parameters.is_some_and(|of| of.kerf.is_some()) || given.get("--kerf").is_some();
    if let (Some(sheets), Some(lent), false) = (&mut sheets, lent, own_kerf) {
        sheets::lend_kerf(sheets, stock, lent);
    }
    let designs = parameters.as_ref().map(|parameters| Designs { library: &opened.library, parameters });
    let on_hand = opened.stock.as_ref().map(|stock| stock::on_hand(stock, designs, &mut problems)).unwrap_or_default();
    let mut ornaments = Vec::new();
    let mut fitted = fittings::Fitted::default();
    let mut warnings = Vec::new();
    let worked = opened.plan.and_then(|(mut text, source)| {
        if let Some(designs) = designs {
            ornaments = designs.of_plan(&mut text.plan, &text.calls, &source, &mut problems);
            fitted = designs.fittings(&mut text, &source, &mut problems);
        }
        planned::work_out(text.plan, &parameters.clone().unwrap_or_default(), &source, &on_hand)
            .map(|mut worked| {
                warnings.append(&mut worked.warnings);
                worked
            })
            .map_err(|found| problems.extend(found))
            .ok()
    });
    // A set that a plan names lends its materials; its own pieces are another job.
    let own = set.filter(|_| !opened.plan_leads);
    let title = worked.as_ref().map(|worked| worked.plan.title.clone());
    let entries = own.and_then(|set| set.pieces.as_ref());
    let faces = set.and_then(|set| set.faces.as_ref());
    let entries_of_art = set.and_then(|set| set.artwork.as_ref());
    let mut art = Artwork::new(entries_of_art, opened.pictures, &given, &mut problems);
    let class = set.and_then(|set| set.class.as_ref()).map(|entry| class::of_set(entry, &mut problems));
    let layout = sheets::layout(set.and_then(|set| set.layout), &given, &mut problems);
    let grain = |stock| match (stock, &sheets) {
        (Stock::Paper, Some(sheets)) => sheets.paper.piece_grain,
        (Stock::Card, Some(sheets)) => sheets.card.piece_grain,
        // How board lies is for whoever cuts it.
        (Stock::Board, _) | (_, None) => PieceGrain::Any,
    };
    let made = match &parameters {
        Some(parameters) => {
            let library = &opened.library;
            let mut covers = pieces::Covers { art: &mut art, library, faces, ornaments: &ornaments, fitted: &fitted };
            pieces::pieces(worked, &mut covers, entries, parameters, &grain, &mut problems)
        }
        None => pieces::Made::default(),
    };
    warnings.extend(designs::warnings(&opened.library, &made.pieces));
    let printer = opened.printer.map(|(printer, at)| {
        if let Some(sheets) = &sheets {
            printer.consider(at.as_ref(), sheets, &mut problems, &mut warnings);
        }
        printer
    });
    if let Some(parameters) = &parameters {
        warnings.extend(art.print_pictures(&made.pieces, parameters, &mut problems));
    }
    let mut notes = Vec::new();
    if let (Some(parameters), Some(sheets)) = (&parameters, &sheets) {
        warnings.extend(weights::warnings(parameters, stock, sheets, &made.pieces));
        notes = weights::notes(parameters, sheets);
    }
    match (parameters, sheets) {
        (Some(parameters), Some(sheets)) if problems.is_empty() => Ok(Set {
            name: own.map(|set| set.name.0.clone()).or(title).unwrap_or_default(),
            about: own.and_then(|set| set.about.as_ref()).map(|about| about.0.clone()),
            parameters,
            sheets,
            layout,
            artwork: art,
            warnings,
            notes,
            pieces: made.pieces,
            entries: made.entries,
            plan: made.plan,
            class,
            rates: set.and_then(|set| set.rates.clone()),
            printer,
            materials: lent.map(|lent| borrowed(lent, entries_of_parameters, &given)),
        }),
        _ => Err(Problems::new(opened.name, problems)),
    }
}

/// The command line's values, each with its place in the command line as diagnostics show it.
pub(crate) struct Given {
    values: BTreeMap<&'static str, Spanned<String>>,
}

impl Given {
    /// Options that were given, by their long names.
    pub(crate) fn new(given: Vec<(&'static str, &str)>) -> Self {
        let text = given.iter().map(|(name, value)| format!("{name} '{value}'")).collect::<Vec<_>>().join(" ");
        let source = Source::new(SourceText { name: COMMAND_LINE.to_owned(), text });
        let mut start = 0;
        let mut values = BTreeMap::new();
        for (name, value) in given {
            let begin = start + name.len() + 2;
            let at = At { source: source.clone(), start: begin, end: begin + value.len() };
            start = at.end + 2;
            values.insert(name, Spanned { value: value.to_owned(), at });
        }
        Self { values }
    }

    pub(crate) fn get(&self, name: &str) -> Option<&Spanned<String>> {
        self.values.get(name)
    }

    /// A length from the command line.
    pub(crate) fn length(&self, name: &str, problems: &mut Vec<Problem>) -> Option<Spanned<Mm>> {
        let given = self.get(name)?;
        match given.value.parse::<Length>() {
            Ok(length) => Some(Spanned { value: length.0, at: given.at.clone() }),
            Err((what, help)) => {
                problems.push(Problem::new(format!("{name} {what}")).at(&given.at, "here").help(help));
                None
            }
        }
    }
}

/// The parameters: defaults, then a materials profile's, then the file's, then the command line's;
/// calipers that none of these gives from the weights of the stock.
fn parameters(
    entries: Option<&ParameterEntries>,
    lent: Option<&Materials>,
    stock: Option<&StockEntries>,
    given: &Given,
    problems: &mut Vec<Problem>,
) -> Option<Parameters> {
    let before = problems.len();
    let mut p = Parameters::default();
    let mut places: BTreeMap<&str, At> = BTreeMap::new();
    if let Some(lent) = lent {
        from_profile(&mut p, lent, &mut places);
    }
    if let Some(entries) = entries {
        from_file(&mut p, entries, &mut places);
    }
    let targets = [
        ("module", "--module", &mut p.module),
        ("board", "--board", &mut p.board),
        ("card", "--card", &mut p.card),
        ("paper", "--wrap-paper", &mut p.paper),
        ("kerf", "--kerf", &mut p.kerf),
        ("play", "--play", &mut p.play),
        ("bleed", "--bleed", &mut p.bleed),
    ];
    for (field, option, target) in targets {
        if let Some(length) = given.length(option, problems) {
            *target = length.value;
            places.insert(field, length.at);
        }
    }
    if problems.len() > before {
        return None;
    }
    weights::estimate(&mut p, stock, &mut places);
    let errors = p.check().err().unwrap_or_default();
    problems.extend(errors.iter().map(|error| {
        let problem = Problem::new(format!("`parameters.{}` does not work: {error}", error.field)).help(&error.help);
        // Where the parameter at fault has its default, one that the rule names and that was given is shown.
        let named = || error.rule.split(|c: char| !c.is_alphabetic()).find_map(|word| places.get(field_of(word)?));
        match (places.get(error.field), named()) {
            (Some(at), _) => problem.at(at, "here"),
            (None, Some(at)) => problem.at(at, "does not go with this"),
            (None, None) => problem,
        }
    }));
    errors.is_empty().then_some(p)
}

/// The parameter that a rule's symbol stands for.
fn field_of(symbol: &str) -> Option<&'static str> {
    Some(match symbol {
        "M" => "module",
        "T" => "board",
        "c" => "card",
        "p" => "paper",
        "k" => "kerf",
        "f" => "play",
        "s" => "post_side",
        "H" => "wall_height",
        "d" => "slot_depth",
        "q" => "hook_drop",
        "W" => "notch_width",
        "D" => "notch_depth",
        "t" => "tongue",
        _ => return None,
    })
}

fn from_profile(p: &mut Parameters, lent: &Materials, places: &mut BTreeMap<&str, At>) {
    let lengths = [
        ("board", lent.board.as_ref(), &mut p.board),
        ("card", lent.card.as_ref(), &mut p.card),
        ("paper", lent.paper.as_ref(), &mut p.paper),
        ("play", lent.play(), &mut p.play),
        // Where one kerf stands for all, as in rules, the widest is on the safe side.
        ("kerf", lent.widest_kerf(), &mut p.kerf),
    ];
    for (field, entry, target) in lengths {
        if let Some(entry) = entry {
            *target = entry.value.0;
            places.insert(field, entry.at.clone());
        }
    }
    if let Some(factor) = &lent.fold_factor {
        p.fold_factor = factor.value.0;
        places.insert("fold_factor", factor.at.clone());
    }
}

/// Which of a profile's values a set takes, and which it gives itself.
fn borrowed(lent: &Materials, entries: Option<&ParameterEntries>, given: &Given) -> Lent {
    let own =
        |own: fn(&ParameterEntries) -> bool, option: &str| entries.is_some_and(own) || given.get(option).is_some();
    let all = [
        ("board", lent.board.is_some(), own(|of| of.board.is_some(), "--board")),
        ("card", lent.card.is_some(), own(|of| of.card.is_some(), "--card")),
        ("paper", lent.paper.is_some(), own(|of| of.paper.is_some(), "--wrap-paper")),
        ("play", lent.play().is_some(), own(|of| of.play.is_some(), "--play")),
        ("kerf", lent.widest_kerf().is_some(), own(|of| of.kerf.is_some(), "--kerf")),
        ("fold factor", lent.fold_factor.is_some(), own(|of| of.fold_factor.is_some(), "")),
    ];
    let names =
        |owned: bool| all.iter().filter(|(_, lent, own)| *lent && *own == owned).map(|(name, ..)| *name).collect();
    Lent { name: lent.name.0.clone(), taken: names(false), left: names(true) }
}

fn from_file<'a>(p: &mut Parameters, entries: &ParameterEntries, places: &mut BTreeMap<&'a str, At>) {
    let lengths: [(&'a str, &Option<Spanned<Length>>, &mut Mm); 16] = [
        ("module", &entries.module, &mut p.module),
        ("board", &entries.board, &mut p.board),
        ("card", &entries.card, &mut p.card),
        ("paper", &entries.paper, &mut p.paper),
        ("kerf", &entries.kerf, &mut p.kerf),
        ("play", &entries.play, &mut p.play),
        ("wall_height", &entries.wall_height, &mut p.wall_height),
        ("hook_drop", &entries.hook_drop, &mut p.hook_drop),
        ("notch_width", &entries.notch_width, &mut p.notch_width),
        ("notch_depth", &entries.notch_depth, &mut p.notch_depth),
        ("tongue", &entries.tongue, &mut p.tongue),
        ("wrap_return", &entries.wrap_return, &mut p.wrap_return),
        ("bleed", &entries.bleed, &mut p.bleed),
        ("pocket_band", &entries.pocket_band, &mut p.pocket_band),
        ("tool_gap_card", &entries.tool_gap_card, &mut p.tool_gap_card),
        ("tool_gap_board", &entries.tool_gap_board, &mut p.tool_gap_board),
    ];
    for (field, entry, target) in lengths {
        if let Some(entry) = entry {
            *target = entry.value.0;
            places.insert(field, entry.at.clone());
        }
    }
    let derived =
        [("post_side", &entries.post_side, &mut p.post_side), ("slot_depth", &entries.slot_depth, &mut p.slot_depth)];
    for (field, entry, target) in derived {
        if let Some(entry) = entry {
            *target = Some(entry.value.0);
            places.insert(field, entry.at.clone());
        }
    }
    if let Some(factor) = &entries.fold_factor {
        p.fold_factor = factor.value.0;
        places.insert("fold_factor", factor.at.clone());
    }
    p.walls = match entries.walls {
        Some(Walls::Board) => WallBuild::Board,
        Some(Walls::Card) | None => WallBuild::Card,
    };
}
