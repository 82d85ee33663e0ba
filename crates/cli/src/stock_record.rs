//! Paper and card in parts.json: what they weigh, how thick they are, how their grain runs.

use flatwright_geometry::units::{Mm, snapped};
use flatwright_sheets::compose::SheetGrain;
use flatwright_sheets::grammage::PaperWeight;
use schemars::JsonSchema;
use serde::Serialize;

use crate::import::{CaliperSource, Set, SheetChoice};
use crate::parts::StockName;

/// Paper or card.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct StockRecord {
    /// Which of the two.
    pub stock: StockName,
    /// What it is, as printed on the sheets.
    pub material: String,
    /// Its nominal grammage, g/m2, where the set gives a weight; to two decimals where that is
    /// converted from pounds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grammage: Option<f64>,
    /// Its pound weight with the basic size, such as "110 lb index", where the set gives one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pound_weight: Option<String>,
    /// Its thickness.
    pub caliper: CaliperRecord,
    /// Along which side of the sheet its grain runs, "long" or "short", where the set says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grain: Option<SheetGrainName>,
}

/// A thickness, and how it is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct CaliperRecord {
    /// The thickness.
    pub value: f64,
    /// Whether it is an estimate: from the weight, or without a weight what is usual. False where the
    /// set file or the command line gives it, as measured.
    pub estimated: bool,
}

/// Along which side of a sheet its grain runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SheetGrainName {
    /// Along the longer side.
    Long,
    /// Along the shorter side.
    Short,
}

/// The records of paper and card.
#[must_use]
pub(crate) fn stocks(set: &Set) -> Vec<StockRecord> {
    let record = |stock: StockName, choice: &SheetChoice, caliper: Mm| StockRecord {
        stock,
        material: choice.material.clone(),
        grammage: choice.weight.map(|weight| (weight.grammage().get() * 100.0).round() / 100.0),
        pound_weight: choice.weight.and_then(PaperWeight::pounds).map(|pounds| pounds.to_string()),
        caliper: CaliperRecord { value: snapped(caliper.get()), estimated: choice.caliper != CaliperSource::Given },
        grain: choice.grain.map(|grain| match grain {
            SheetGrain::Long => SheetGrainName::Long,
            SheetGrain::Short => SheetGrainName::Short,
        }),
    };
    vec![
        record(StockName::Paper, &set.sheets.paper, set.parameters.paper),
        record(StockName::Card, &set.sheets.card, set.parameters.card),
    ]
}
