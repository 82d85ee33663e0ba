//! Packs the two irregular jigsaw sets and prints totals: sheets, ratio, times, violations.
//!
//! `cargo run --release -p flatwright-nesting --example irregular -- [every] [effort] [classes]`
//! takes each `every`-th instance (1: all), spends `effort` steps on each, and looks at the named
//! classes only (`TA,TB`). `optimum` as first word checks the published optimal placements instead.

use std::process::ExitCode;

#[path = "report/irregular.rs"]
mod irregular;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let word = |i: usize| words.get(i).map(String::as_str);
    if word(0) == Some("optimum") {
        return irregular::check_optima();
    }
    let number = |i: usize, default: u32| word(i).map_or(Ok(default), str::parse);
    let (Ok(every), Ok(effort)) = (number(0, 1), number(1, irregular::EFFORT)) else {
        eprintln!("give whole numbers: every effort");
        return ExitCode::from(2);
    };
    irregular::run(every as usize, effort, word(2))
}
