//! What parts.json says of calibration.

use schemars::JsonSchema;
use serde::Serialize;

use super::Printer;
use crate::import::Set;

/// The printer that sheets.pdf is corrected for. Contents of every page but sheets of board for a cutter are
/// drawn through the inverse of [[x_scale, shear], [0, y_scale]] about the page's middle, where shear is
/// y_scale times the tangent of the skew. Places and sizes in this file are those that are wanted on
/// paper, as in the SVG sheets.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PrinterRecord {
    /// Its name.
    pub name: String,
    /// Printed length of a unit across the sheet.
    pub x_scale: f64,
    /// Printed height of a unit up the sheet.
    pub y_scale: f64,
    /// By how many degrees upright lines lean to the right as printed.
    pub skew: f64,
}

/// The record of a set's printer.
#[must_use]
pub fn printer_record(set: &Set) -> Option<PrinterRecord> {
    let Printer { name, distortion } = set.printer.as_ref()?;
    let rounded = |value: f64| (value * 1e9).round() / 1e9 + 0.0;
    Some(PrinterRecord {
        name: name.clone(),
        x_scale: rounded(distortion.x_scale),
        y_scale: rounded(distortion.y_scale),
        skew: rounded(distortion.skew().to_degrees()),
    })
}
