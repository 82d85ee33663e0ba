//! Calibration: the coupon that is printed, readings of it, and the profiles that they come to.
//!
//! `readings` and `profiles` are the outside formats; `fit` goes from the one to the other through the
//! crate `calibration`; `coupon` draws what is measured; `record` is what parts.json says.

pub mod coupon;
pub mod fit;
mod materials_fit;
pub mod profiles;
pub mod readings;
mod record;
mod typed;
mod values;

pub use profiles::{Materials, Printer};
pub use record::{PrinterRecord, printer_record};
