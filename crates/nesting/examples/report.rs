//! Measures the packer and writes BENCH.md beside this crate's manifest.
//!
//! `cargo run --release -p flatwright-nesting --example report` measures all; names of sections
//! behind `--` measure just these and leave the rest of the report as it is: `terrain`, `mixes`,
//! `rectangles`, `jigsaws`, `others`. Every layout is judged by the layout checker and every bound
//! is checked again.

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "report/irregular.rs"]
#[allow(dead_code, reason = "it can run on its own too")]
mod irregular;
#[path = "report/jigsaws.rs"]
mod jigsaws;
#[path = "report/measure.rs"]
mod measure;
#[path = "../tests/common/mixes.rs"]
mod mixes;
#[path = "report/others.rs"]
mod others;
#[path = "../tests/published/mod.rs"]
mod published;
#[path = "report/rectangles.rs"]
mod rectangles;
#[path = "report/terrain.rs"]
mod terrain;

use std::path::PathBuf;
use std::process::ExitCode;

/// A section: its name for the command line, its heading, what measures it.
type Section = (&'static str, &'static str, fn() -> String);

const SECTIONS: [Section; 5] = [
    ("terrain", "Terrain sets", terrain::sets),
    ("mixes", "Ten further mixes", terrain::ten),
    ("rectangles", "Published rectangles", rectangles::all),
    ("jigsaws", "Published irregular jigsaws", jigsaws::all),
    ("others", "Other engines", others::all),
];

const HEAD: &str = "# How well the packer does

Written by `cargo run --release -p flatwright-nesting --example report`; add `-- NAME` for a single section \
(terrain, mixes, rectangles, jigsaws, others). Pages, bounds and violations are the same on every machine; \
seconds are those of the machine that ran it, one thread, and include everything but the bound, whose time is \
given apart. Violations are what the layout checker finds; doubts, what the check of the bounds' certificates finds.
";

fn main() -> ExitCode {
    let names: Vec<String> = std::env::args().skip(1).collect();
    if let Some(unknown) = names.iter().find(|name| !SECTIONS.iter().any(|(known, ..)| known == name)) {
        eprintln!("there is no section \"{unknown}\"; give terrain, mixes, rectangles, jigsaws or others");
        return ExitCode::from(2);
    }
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("BENCH.md");
    let wanted = |name: &str| names.is_empty() || names.iter().any(|wanted| wanted == name);
    let fresh: Vec<Option<String>> = SECTIONS.iter().map(|(name, _, measure)| wanted(name).then(measure)).collect();
    // Read last: another section may have been measured meanwhile.
    let before = std::fs::read_to_string(&path).unwrap_or_default();
    let texts = fresh.into_iter().zip(SECTIONS).map(|(text, (_, heading, _))| text.or_else(|| old(&before, heading)));
    let sections = texts
        .zip(SECTIONS)
        .filter_map(|(text, (_, heading, _))| text.map(|text| format!("\n## {heading}\n\n{}\n", text.trim())));
    let report: String = std::iter::once(HEAD.to_owned()).chain(sections).collect();
    match std::fs::write(&path, report) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{} cannot be written: {error}", path.display());
            ExitCode::FAILURE
        }
    }
}

/// A section's text in the report as it was.
fn old(report: &str, heading: &str) -> Option<String> {
    let (_, after) = report.split_once(&format!("\n## {heading}\n"))?;
    let end = after.find("\n## ").unwrap_or(after.len());
    Some(after[..end].trim().to_owned())
}
