//! The 500 rectangle instances of Berkey and Wang (1987) and Martello and Vigo (1998).

use std::collections::BTreeMap;
use std::fmt::Write;

use flatwright_nesting::Turns;

use crate::measure::{Packed, SEEDS, again, packed, prove, spread, tell_slow};
use crate::published;

const EFFORT: u32 = 20_000;
/// Effort of the bounds: more proves little more here and takes most of the time.
const BOUND_EFFORT: u32 = 500;

#[derive(Default)]
struct Sum {
    instances: usize,
    /// By seed.
    pages: [u64; SEEDS],
    known: u64,
    at_least: u64,
    /// By seed.
    proved: [usize; SEEDS],
    seconds: f64,
    longest: f64,
    bound_seconds: f64,
    doubts: usize,
    violations: usize,
}

/// Both ways of turning.
pub fn all() -> String {
    let mut out = format!(
        "Effort {EFFORT} (bounds {BOUND_EFFORT}), no gap. Best known: the lists beside the data. Simple greedy libraries take 7,348 and \
         7,107 bins (notes of the data).\n\n| turns | class | instances | bins, seeds 1 to {SEEDS} | best known | at least | proved optimal | \
         seconds in all | longest of one | for the bounds | doubts of bounds | violations |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n"
    );
    for (name, turns) in [("as drawn", Turns::Fixed), ("quarter", Turns::Quarter)] {
        let mut sums: BTreeMap<String, Sum> = BTreeMap::new();
        for problem in published::rectangles(turns, EFFORT) {
            let class = problem.name.rsplit('/').next().and_then(|n| n.split('.').next()).unwrap_or("").to_owned();
            let Some(quick) = again(&problem.job, 1, BOUND_EFFORT) else { continue };
            let proved = prove(&quick);
            let runs: Vec<Packed> = (1..=SEEDS as u64)
                .filter_map(|seed| again(&problem.job, seed, EFFORT))
                .map(|job| packed(&job, &proved.bound))
                .collect();
            for key in [class, "all".into()] {
                let sum = sums.entry(key).or_default();
                sum.instances += 1;
                sum.known += problem.known;
                sum.at_least += proved.bound.sheets;
                sum.bound_seconds += proved.seconds;
                sum.doubts += proved.doubts;
                for (seed, run) in runs.iter().enumerate() {
                    sum.pages[seed] += run.pages;
                    sum.proved[seed] += usize::from(run.pages == proved.bound.sheets);
                    sum.seconds += run.seconds;
                    sum.longest = sum.longest.max(run.seconds);
                    sum.violations += run.violations;
                }
            }
            runs.iter().for_each(|run| tell_slow(&problem.name, run.seconds, 2.0));
        }
        for (class, s) in sums {
            eprintln!("rectangles {name} {class}: {} of {}", spread(&s.pages), s.known);
            // Writing to a string cannot fail.
            let _ = writeln!(
                out,
                "| {name} | {class} | {} | {} | {} | {} | {} | {:.0} | {:.1} | {:.0} | {} | {} |",
                s.instances,
                spread(&s.pages),
                s.known,
                s.at_least,
                spread(&s.proved),
                s.seconds,
                s.longest,
                s.bound_seconds,
                s.doubts,
                s.violations
            );
        }
    }
    out
}
