//! The class in parts.json. Names are left out: they belong on the bags alone.

use schemars::JsonSchema;
use serde::Serialize;

use super::book::is_small;
use crate::import::Set;
use crate::set_file::ClassSheets;

/// A class set: `pieces` are those of one kit, the copies of pages are for all kits.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ClassRecord {
    /// How many kits.
    pub kits: u32,
    /// "own": every kit has sheets of its own; "shared": they share their sheets.
    pub sheets: String,
    /// The most sheets that are cut at once.
    pub stack: u32,
    /// Identifiers of pieces that are small parts by their nominal size, flat or built: an estimate.
    pub small_parts: Vec<String>,
}

impl ClassRecord {
    /// The record of a set's class, where it has one.
    #[must_use]
    pub fn new(set: &Set) -> Option<Self> {
        let class = set.class.as_ref()?;
        let sheets = if class.shared { ClassSheets::Shared } else { ClassSheets::Own };
        Some(Self {
            kits: set.kits().count(),
            sheets: sheets.word().to_owned(),
            stack: class.stack,
            small_parts: set.pieces.iter().filter(|piece| is_small(piece)).map(|piece| piece.id.clone()).collect(),
        })
    }
}
