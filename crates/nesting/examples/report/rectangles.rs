//! The 500 rectangle instances of Berkey and Wang (1987) and Martello and Vigo (1998).

use std::collections::BTreeMap;
use std::fmt::Write;

use flatwright_nesting::Turns;

use crate::measure::{again, packed, prove};
use crate::published;

const EFFORT: u32 = 50_000;
/// Effort of the bounds: more proves little more here and takes most of the time.
const BOUND_EFFORT: u32 = 500;

#[derive(Default)]
struct Sum {
    instances: usize,
    pages: u64,
    known: u64,
    at_least: u64,
    proved: usize,
    seconds: f64,
    longest: f64,
    bound_seconds: f64,
    doubts: usize,
    violations: usize,
}

/// Both ways of turning.
pub fn all() -> String {
    let mut out = format!(
        "Effort {EFFORT} (bounds {BOUND_EFFORT}), seed 1, no gap. Best known: the lists beside the data. Simple greedy libraries take 7,348 and \
         7,107 bins (notes of the data).\n\n| turns | class | instances | bins | best known | at least | proved optimal | \
         seconds in all | longest | for the bounds | doubts of bounds | violations |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n"
    );
    for (name, turns) in [("as drawn", Turns::Fixed), ("quarter", Turns::Quarter)] {
        let mut sums: BTreeMap<String, Sum> = BTreeMap::new();
        for problem in published::rectangles(turns, EFFORT) {
            let class = problem.name.rsplit('/').next().and_then(|n| n.split('.').next()).unwrap_or("").to_owned();
            let Some(quick) = again(&problem.job, 1, BOUND_EFFORT) else { continue };
            let proved = prove(&quick);
            let run = packed(&problem.job, &proved.bound);
            for key in [class, "all".into()] {
                let sum = sums.entry(key).or_default();
                sum.instances += 1;
                sum.pages += run.pages;
                sum.known += problem.known;
                sum.at_least += proved.bound.sheets;
                sum.proved += usize::from(run.pages == proved.bound.sheets);
                sum.seconds += run.seconds;
                sum.longest = sum.longest.max(run.seconds);
                sum.bound_seconds += proved.seconds;
                sum.doubts += proved.doubts;
                sum.violations += run.violations;
            }
        }
        for (class, s) in sums {
            eprintln!("rectangles {name} {class}: {} of {}", s.pages, s.known);
            // Writing to a string cannot fail.
            let _ = writeln!(
                out,
                "| {name} | {class} | {} | {} | {} | {} | {} | {:.0} | {:.1} | {:.0} | {} | {} |",
                s.instances,
                s.pages,
                s.known,
                s.at_least,
                s.proved,
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
