//! The irregular jigsaw sets JP1 and JP2.

use std::fmt::Write;

use crate::measure::{SEEDS, again, packed, prove, spread};
use crate::{irregular, measure};

/// Totals of both sets.
pub fn all() -> String {
    let Some(instances) = irregular::instances() else { return "The data is not there.".into() };
    let mut out = format!(
        "Terashima-Marin et al. (2010) and Lopez-Camacho (2012): square bins cut into polygons; the optimum is the number \
         of bins that were cut. Effort {} (bounds {}), no gap, pieces as drawn.\n\n| set | instances | bins, seeds 1 to {SEEDS} | optimum | beyond, at worst | \
         solved | seconds in all | longest of one | doubts of bounds | violations |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
        irregular::EFFORT,
        irregular::BOUND_EFFORT
    );
    for set in ["JP1", "JP2"] {
        let (mut count, mut optimum, mut doubts, mut violations) = (0, 0, 0, 0);
        let (mut bins, mut solved) = ([0_u64; SEEDS], [0_usize; SEEDS]);
        let (mut seconds, mut longest) = (0.0, 0.0_f64);
        for instance in instances.iter().filter(|i| i.set == set) {
            let (Some(known), Some(job)) = (&instance.optimum, instance.job(1, irregular::EFFORT)) else { continue };
            let Some(quick) = again(&job, 1, irregular::BOUND_EFFORT) else { continue };
            let known = known.len() as u64;
            let proved = prove(&quick);
            count += 1;
            optimum += known;
            doubts += proved.doubts + usize::from(proved.bound.sheets > known);
            for seed in 0..SEEDS {
                let Some(job) = again(&job, seed as u64 + 1, irregular::EFFORT) else { continue };
                let run = packed(&job, &proved.bound);
                measure::tell_slow(&instance.name, run.seconds, 10.0);
                bins[seed] += run.pages;
                solved[seed] += usize::from(run.pages == known);
                seconds += run.seconds;
                longest = longest.max(run.seconds);
                violations += run.violations;
            }
        }
        eprintln!("jigsaws {set}: {} of {optimum}", spread(&bins));
        let worst = bins.iter().max().map_or(0.0, |bins| *bins as f64);
        let beyond = 100.0 * (worst / f64::max(optimum as f64, 1.0) - 1.0);
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "| {set} | {count} | {} | {optimum} | {beyond:.1} % | {} | {seconds:.0} | {longest:.1} | {doubts} | {violations} |",
            spread(&bins),
            spread(&solved)
        );
    }
    out
}
