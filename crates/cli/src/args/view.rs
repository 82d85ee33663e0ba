//! Arguments of `view`.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::Overrides;

/// Arguments of `view`.
#[derive(Debug, Args)]
pub struct ViewArgs {
    /// The floor plan, or a set file that names one, or - for standard input.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The picture to write; its ending says how: .svg, .png or .pdf.
    #[arg(short, long, value_name = "PICTURE", value_hint = ValueHint::FilePath)]
    pub output: PathBuf,
    /// Take the pieces apart: posts and walls above the floor, ties below it.
    #[arg(long)]
    pub exploded: bool,
    /// Which level, from 1 for the lowest; or all of them, on each other.
    #[arg(long, value_name = "NUMBER|all", default_value = "all", value_parser = level)]
    pub level: Shown,
    /// Width of the picture, with a unit.
    #[arg(long, value_name = "LENGTH", default_value = "200 mm")]
    pub width: flatwright_geometry::units::Mm,
    /// Values that replace the file's.
    #[command(flatten)]
    pub overrides: Overrides,
}

/// Which levels a picture shows: one, or all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown(pub Option<usize>);

fn level(text: &str) -> Result<Shown, String> {
    match text {
        "all" => Ok(Shown(None)),
        number => number.parse().map(|level| Shown(Some(level))).map_err(|_| "give a number from 1, or \"all\"".into()),
    }
}
