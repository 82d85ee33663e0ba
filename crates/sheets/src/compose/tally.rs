//! What each stock came to, beside what is proved that it needs.

use flatwright_geometry::pattern::Stock;
use flatwright_nesting::PackedSheet;

use super::pack::Packed;
use super::unit::Group;
use crate::paper::PaperSize;

/// Sheets of one stock, copies counted.
#[derive(Clone, Debug, PartialEq)]
pub struct StockTally {
    /// The stock.
    pub stock: Stock,
    /// How many sheets there are.
    pub sheets: u64,
    /// How many any layout needs: a proved lower bound.
    pub at_least: u64,
    /// The proof in a sentence, with its numbers.
    pub certificate: String,
    /// How many there are of each size that is used, in the order of the settings.
    pub papers: Vec<PaperCount>,
}

/// Sheets of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperCount {
    /// The size.
    pub paper: PaperSize,
    /// How many.
    pub sheets: u64,
    /// What one was taken to cost.
    pub price: f64,
}

pub(super) fn tally(group: &Group, packed: &Packed) -> StockTally {
    let of = |paper: &PaperSize| -> u64 {
        let same = |sheet: &&PackedSheet| packed.choices[sheet.kind].offer.paper == *paper;
        packed.layout.sheets.iter().filter(same).map(|sheet| u64::from(sheet.copies)).sum()
    };
    let counts = group.sheet.papers.iter().map(|offer| PaperCount {
        paper: offer.paper.clone(),
        sheets: of(&offer.paper),
        price: offer.price,
    });
    StockTally {
        stock: group.stock,
        sheets: packed.layout.sheets_used(),
        at_least: packed.bound.sheets,
        certificate: packed.bound.certificate.to_string(),
        papers: counts.filter(|count| count.sheets > 0).collect(),
    }
}
