//! What a run tells of its layout: how many pages there are, and how few there could be.

use flatwright_sheets::compose::{Composed, LayoutMode, Progress, StockTally};
use schemars::JsonSchema;
use serde::Serialize;

use crate::import::Set;
use crate::parts::StockName;
use crate::steps;

/// How pieces were put on sheets, and what is proved of the number of sheets. The cover is not
/// counted.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct LayoutRecord {
    /// "fewest-pages", "stacked" or "by-step".
    pub mode: String,
    /// Sheets in all, copies counted.
    pub sheets: u64,
    /// How many any layout needs: a proved lower bound. Where every kit of a class or every level has
    /// sheets of its own, of all layouts that keep to that.
    pub at_least: u64,
    /// The same for each stock.
    pub stocks: Vec<StockRecord>,
    /// The steps that pages follow. Only for "by-step".
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepRecord>,
}

/// Sheets of one stock.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct StockRecord {
    /// The stock.
    pub stock: StockName,
    /// How many sheets, copies counted.
    pub sheets: u64,
    /// How many any layout needs: a proved lower bound.
    pub at_least: u64,
    /// The proof of it, with its numbers.
    pub certificate: String,
    /// Share of the sheets' area that ink would cover if all of it were black, 0 to 1: an estimate.
    pub ink: f64,
    /// Sheets of each size that is used.
    pub papers: Vec<PaperRecord>,
}

/// Sheets of one size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PaperRecord {
    /// Name of the size, such as "A4".
    pub paper: String,
    /// How many.
    pub sheets: u64,
    /// What one was taken to cost, in any unit; 1 where there is one size.
    pub price: f64,
}

/// A step of building.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct StepRecord {
    /// Its number, from 1, as on the sheets.
    pub number: usize,
    /// What it is.
    pub name: String,
    /// The pieces that are made for it.
    pub pieces: Vec<StepPieceRecord>,
}

/// Pieces of one kind that a step uses up.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct StepPieceRecord {
    /// Identifier of the piece.
    pub piece: String,
    /// How many.
    pub count: u32,
}

impl LayoutRecord {
    /// The record of a layout.
    #[must_use]
    pub fn new(set: &Set, composed: &Composed) -> Self {
        let stock = |tally: &StockTally| StockRecord {
            stock: StockName::from(tally.stock),
            sheets: tally.sheets,
            at_least: tally.at_least,
            certificate: tally.certificate.clone(),
            ink: crate::page_record::thousandths(tally.ink),
            papers: (tally.papers.iter())
                .map(|count| PaperRecord { paper: count.paper.name.clone(), sheets: count.sheets, price: count.price })
                .collect(),
        };
        let steps = if set.layout == LayoutMode::ByStep { steps::steps(set) } else { Vec::new() };
        let step = |(index, step): (usize, flatwright_sheets::compose::BuildStep)| StepRecord {
            number: index + 1,
            name: step.name,
            pieces: (step.pieces.iter())
                .map(|&(piece, count)| StepPieceRecord { piece: set.pieces[piece].id.clone(), count })
                .collect(),
        };
        let (sheets, at_least) = sums(&composed.tallies);
        Self {
            mode: mode(set.layout).to_owned(),
            sheets,
            at_least,
            stocks: composed.tallies.iter().map(stock).collect(),
            steps: steps.into_iter().enumerate().map(step).collect(),
        }
    }
}

/// The way of laying out as the set file and the command line call it.
#[must_use]
pub const fn mode(layout: LayoutMode) -> &'static str {
    use crate::set_file::LayoutWord;
    match layout {
        LayoutMode::FewestPages => LayoutWord::FewestPages.word(),
        LayoutMode::Stacked => LayoutWord::Stacked.word(),
        LayoutMode::ByStep => LayoutWord::ByStep.word(),
    }
}

/// A line for each stock, and one for all of them, such as `card: 12 pages; at least 11 are needed`.
#[must_use]
pub fn lines(tallies: &[StockTally]) -> Vec<String> {
    let of = |tally: &StockTally| {
        let sizes: Vec<String> =
            tally.papers.iter().map(|count| format!("{} of {}", count.sheets, count.paper.name)).collect();
        let sizes = if sizes.len() > 1 { format!(" ({})", sizes.join(", ")) } else { String::new() };
        let ink = (tally.ink * 100.0).round();
        format!(
            "{}: {}{sizes}; {}; ink: about {ink} % of the paper's area, an estimate",
            tally.stock,
            pages(tally.sheets),
            needed(tally.at_least, tally.kits)
        )
    };
    let mut lines: Vec<String> = tallies.iter().map(of).collect();
    if tallies.len() > 1 {
        let (sheets, at_least) = sums(tallies);
        let kits = tallies.iter().map(|tally| tally.kits).max().unwrap_or(1);
        lines.push(format!("in all: {}; {}", pages(sheets), needed(at_least, kits)));
    }
    lines
}

/// How far the layout is, such as `laying out card: 12 pages, at least 11`.
#[must_use]
pub fn now(progress: &Progress) -> String {
    let found = progress.sheets.map(|sheets| format!(": {}, at least {}", pages(sheets), progress.at_least));
    format!("laying out {}{}", progress.stock, found.unwrap_or_default())
}

fn sums(tallies: &[StockTally]) -> (u64, u64) {
    (tallies.iter().map(|tally| tally.sheets).sum(), tallies.iter().map(|tally| tally.at_least).sum())
}

fn pages(count: u64) -> String {
    format!("{count} {}", if count == 1 { "page" } else { "pages" })
}

fn needed(count: u64, kits: u32) -> String {
    let own = if kits > 1 { " where every kit has its own" } else { "" };
    format!("at least {count} {} needed{own}", if count == 1 { "is" } else { "are" })
}
