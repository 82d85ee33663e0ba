//! Arguments, diagnostics and files around the library crates: the only crate that touches the
//! file system and the terminal.

pub mod args;
pub mod import;
pub mod problem;
pub mod set_file;
