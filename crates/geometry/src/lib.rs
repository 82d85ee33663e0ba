//! Units, contours, fold nets and the pieces of modular terrain, as flat patterns.
//!
//! Everything is in millimetres, y up. A [`pattern::Pattern`] is one piece as it lies flat:
//! its panels and hinges, the outline that follows from them, and what is printed on it.
//!
//! ```
//! use flatwright_geometry::units::Mm;
//! let module: Mm = "3 in".parse()?;
//! assert_eq!(module.to_string(), "76.2 mm");
//! # Ok::<(), flatwright_geometry::units::LengthError>(())
//! ```

pub mod contour;
pub mod parameters;
mod parameters_check;
pub mod pattern;
pub mod pieces;
pub mod region;
pub mod tolerance;
pub mod turn;
pub mod units;

pub use parameters_check::{LONGEST, ParameterError};
