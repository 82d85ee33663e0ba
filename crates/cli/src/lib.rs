//! Arguments, diagnostics and files around the library crates: the only crate that touches the
//! file system and the terminal.
//!
//! Data flows one way: [`args`], [`set_file`], [`plan_file`] and [`stock_file`] are the outside
//! formats, [`open`] reads the files that belong to a job, [`import`] joins them to the inner
//! types, [`planned`] works floor plans out, [`calibration`] makes profiles of printers and stocks, [`pipeline`] calls the phases in order, [`output`]
//! puts the files in their place. [`run`] is the terminal's side of it.
//!
//! ```
//! use flatwright::{args::Overrides, pipeline};
//! let file = br#"{ "name": "Brine hall", "pieces": [{ "piece": "tile", "size": [1, 2], "count": 3 }] }"#;
//! let set = pipeline::resolve("set.json", file.to_vec(), &Overrides::default())?;
//! let counts: Vec<_> = set.pieces.iter().map(|piece| (piece.id.as_str(), piece.count)).collect();
//! assert_eq!(counts, [("TC1", 3), ("TW1", 3), ("CP1", 12)]);
//! # Ok::<(), flatwright::problem::Problems>(())
//! ```

pub mod args;
pub mod art_record;
pub mod calibration;
pub mod class;
pub mod faces;
pub mod import;
mod job;
mod json;
pub mod layout_report;
pub mod machine;
pub mod open;
pub mod output;
pub mod page_record;
pub mod parameter_list;
pub mod parts;
pub mod pictures;
pub mod pipeline;
pub mod plan_file;
pub mod planned;
pub mod problem;
pub mod proof;
pub mod run;
pub mod set_file;
pub mod steps;
pub mod stock_file;
pub mod stock_record;
mod table;
pub mod templates;
