//! From readings with a rule to what a printer, a cutter and a stock do: scales and skew, kerf,
//! play, the neutral line of a fold, each with its standard error.
//!
//! Nothing here knows of files or pages. Lengths are nominal (as drawn) and measured (as read);
//! every fit is a linear or linearised least-squares problem (Press, Teukolsky, Vetterling and
//! Flannery, Numerical Recipes, chapter 15, "Modeling of Data").
//!
//! ```
//! use flatwright_calibration::printer::{self, Measured};
//! use flatwright_geometry::units::Mm;
//! use kurbo::Vec2;
//! let read = |letter: &str, nominal: (f64, f64), mm: f64| Measured {
//!     letter: letter.into(),
//!     nominal: Vec2::from(nominal),
//!     readings: vec![Mm::new(mm)],
//! };
//! // A printer that prints everything two per cent too small, measured across and up.
//! let fit = printer::fit(&[read("A", (100.0, 0.0), 98.0), read("B", (0.0, 100.0), 98.0)])?;
//! assert!((fit.distortion.x_scale - 0.98).abs() < 1e-9);
//! # Ok::<(), Vec<printer::FitError>>(())
//! ```

pub mod fold;
mod gross;
pub mod kerf;
mod linear;
pub mod play;
pub mod printer;
pub mod student;
