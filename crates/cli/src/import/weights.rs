//! What the weight of paper and card tells of their caliper, and what it is fit for.
//!
//! The numbers are common practice; `grammage` in the sheets crate says which.

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::{PieceKind, Stock};
use flatwright_geometry::units::{Mm, plain};
use flatwright_sheets::grammage::{PLAUSIBLE_BULK, PaperWeight};

use super::{Given, Piece, Sheets};
use crate::calibration::Materials;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{ParameterEntries, SheetEntry, StockEntries, Weight};

/// The lightest card that stands as a post or a wall, g/m2: common practice.
const LIGHTEST_CARD: f64 = 160.0;
/// The heaviest paper that wraps a tile's edges well, g/m2: common practice.
const HEAVIEST_PAPER: f64 = 160.0;

/// How the caliper of a stock is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CaliperSource {
    /// The set file, a materials profile or the command line gives it.
    Given,
    /// It is estimated from the weight.
    Weight,
    /// Nothing is said: the program's default.
    Default,
}

/// Estimates the calipers that are not given, from the weights that are. `places` has where each
/// parameter is given, and gets the weights' places for those that are estimated.
pub(super) fn estimate(p: &mut Parameters, stock: Option<&StockEntries>, places: &mut BTreeMap<&str, At>) {
    for (field, entry, caliper) in [("paper", paper(stock), &mut p.paper), ("card", card(stock), &mut p.card)] {
        if let Some(weight) = entry.and_then(|entry| entry.weight.as_ref()).filter(|_| !places.contains_key(field)) {
            *caliper = weight.value.0.grammage().estimated_caliper();
            places.insert(field, weight.at.clone());
        }
    }
}

/// How the calipers of paper and of card are known.
pub(super) fn sources(
    parameters: Option<&ParameterEntries>,
    lent: Option<&Materials>,
    stock: Option<&StockEntries>,
    given: &Given,
) -> [CaliperSource; 2] {
    let source = |measured: bool, entry: Option<&SheetEntry>| match (measured, entry.and_then(|e| e.weight.as_ref())) {
        (true, _) => CaliperSource::Given,
        (false, Some(_)) => CaliperSource::Weight,
        (false, None) => CaliperSource::Default,
    };
    let in_file = |field: fn(&ParameterEntries) -> bool| parameters.is_some_and(field);
    let in_profile = |field: fn(&Materials) -> bool| lent.is_some_and(field);
    let [paper_measured, card_measured] = [
        in_file(|p| p.paper.is_some()) || in_profile(|lent| lent.paper.is_some()),
        in_file(|p| p.card.is_some()) || in_profile(|lent| lent.card.is_some()),
    ];
    [
        source(paper_measured || given.get("--wrap-paper").is_some(), paper(stock)),
        source(card_measured || given.get("--card").is_some(), card(stock)),
    ]
}

/// What a builder should know of calipers that are estimates: a sentence each.
pub(super) fn notes(p: &Parameters, sheets: &Sheets) -> Vec<String> {
    let note = |name: &str, caliper: Mm, weight: Option<PaperWeight>| {
        let weight = weight?;
        let measure = "measure ten sheets with a caliper and divide";
        Some(format!("{name}: caliper {caliper} estimated from {weight}, a nominal weight: {measure}."))
    };
    let all = [("Paper", p.paper, &sheets.paper), ("Card", p.card, &sheets.card)];
    all.into_iter()
        .filter(|(.., choice)| choice.caliper == CaliperSource::Weight)
        .filter_map(|(name, caliper, choice)| note(name, caliper, choice.weight))
        .collect()
}

/// Weights that do not go with the caliper, or with what is made of the stock.
pub(super) fn warnings(
    p: &Parameters,
    stock: Option<&StockEntries>,
    sheets: &Sheets,
    pieces: &[Piece],
) -> Vec<Problem> {
    let mut warnings = Vec::new();
    let weight = |entry: Option<&SheetEntry>| entry.and_then(|entry| entry.weight.clone());
    let all = [
        ("paper", weight(paper(stock)), p.paper, sheets.paper.caliper),
        ("card", weight(card(stock)), p.card, sheets.card.caliper),
    ];
    for (name, weight, caliper, source) in all {
        let Some(weight) = weight.filter(|_| source == CaliperSource::Given) else { continue };
        let bulk = weight.value.0.grammage().bulk(caliper);
        if !PLAUSIBLE_BULK.contains(&bulk) {
            let message = format!(
                "{name} of {} that is {caliper} thick has a bulk of {} cm3/g, outside {} to {}",
                weight.value.0,
                plain(bulk, 2),
                PLAUSIBLE_BULK.start(),
                PLAUSIBLE_BULK.end()
            );
            let help = "measure ten sheets with a caliper and divide, and look at the packet again";
            warnings.push(Problem::new(message).at(&weight.at, "here").help(help));
        }
    }
    let made = |kinds: &[PieceKind], stock: Stock| {
        pieces.iter().any(|piece| piece.pattern.stock == stock && kinds.contains(&piece.pattern.kind))
    };
    let grams = |weight: &Spanned<Weight>| weight.value.0.grammage().get();
    if let Some(weight) = weight(card(stock)).filter(|weight| grams(weight) < LIGHTEST_CARD)
        && made(&[PieceKind::Post, PieceKind::CardWall, PieceKind::BentWall], Stock::Card)
    {
        let message = format!("card of {} is limp for posts and walls", weight.value.0);
        let help = format!("card of {LIGHTEST_CARD} g/m2 or more stands better (common practice)");
        warnings.push(Problem::new(message).at(&weight.at, "here").help(help));
    }
    if let Some(weight) = weight(paper(stock)).filter(|weight| grams(weight) > HEAVIEST_PAPER)
        && made(&[PieceKind::TileWrap, PieceKind::WallFacing, PieceKind::TurnWrap], Stock::Paper)
    {
        let message = format!("paper of {} is stiff for wraps", weight.value.0);
        let help = format!("paper of {HEAVIEST_PAPER} g/m2 or less folds round edges better (common practice)");
        warnings.push(Problem::new(message).at(&weight.at, "here").help(help));
    }
    warnings
}

fn paper(stock: Option<&StockEntries>) -> Option<&SheetEntry> {
    stock?.paper.as_ref()
}

fn card(stock: Option<&StockEntries>) -> Option<&SheetEntry> {
    stock?.card.as_ref()
}
