//! What each stock came to, beside what is proved that it needs.

use flatwright_geometry::pattern::Stock;
use flatwright_nesting::PackedSheet;

use super::SheetRecord;
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
    /// How many any layout needs: a proved lower bound. Where every kit or every bag has sheets of its
    /// own, of all layouts that keep to that.
    pub at_least: u64,
    /// How many kits have sheets of their own; 1 where there is one kit, or all share their sheets.
    pub kits: u32,
    /// The proof in a sentence, with its numbers.
    pub certificate: String,
    /// How many there are of each size that is used, in the order of the settings.
    pub papers: Vec<PaperCount>,
    /// Share of the sheets' area that ink would cover if all of it were black, 0 to 1: an estimate.
    pub ink: f64,
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

impl StockTally {
    /// Adds those of another bag.
    pub(super) fn add(&mut self, other: Self) {
        self.sheets += other.sheets;
        self.at_least = self.at_least.saturating_add(other.at_least);
        self.certificate = format!("{}; {}", self.certificate, other.certificate);
        for count in other.papers {
            match self.papers.iter_mut().find(|known| known.paper == count.paper) {
                Some(known) => known.sheets += count.sheets,
                None => self.papers.push(count),
            }
        }
    }
}

pub(super) fn tally(group: &Group, packed: &Packed, kits: u32) -> StockTally {
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
        at_least: packed.bound.sheets.saturating_mul(u64::from(kits)),
        kits,
        certificate: match kits {
            1 => packed.bound.certificate.to_string(),
            _ => format!("{kits} kits with sheets of their own; each: {}", packed.bound.certificate),
        },
        papers: counts.filter(|count| count.sheets > 0).collect(),
        ink: 0.0,
    }
}

/// The mean of the pages' shares by area, copies counted.
pub(super) fn mean_ink<'a>(records: impl Iterator<Item = &'a SheetRecord>) -> f64 {
    let (mut ink, mut area) = (0.0, 0.0);
    for record in records {
        let sheets = record.size.0.get() * record.size.1.get() * f64::from(record.copies);
        ink += record.ink * sheets;
        area += sheets;
    }
    if area > 0.0 { ink / area } else { 0.0 }
}
