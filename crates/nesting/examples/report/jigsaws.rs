//! The irregular jigsaw sets JP1 and JP2.

use std::fmt::Write;

use crate::irregular;
use crate::measure::{packed, prove};

/// Totals of both sets.
pub fn all() -> String {
    let Some(instances) = irregular::instances() else { return "The data is not there.".into() };
    let mut out = format!(
        "Terashima-Marin et al. (2010) and Lopez-Camacho (2012): square bins cut into polygons; the optimum is the number \
         of bins that were cut. Effort {}, seed 1, no gap, pieces as drawn.\n\n| set | instances | bins | optimum | beyond | \
         solved | seconds in all | longest | doubts of bounds | violations |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
        irregular::EFFORT
    );
    for set in ["JP1", "JP2"] {
        let (mut count, mut bins, mut optimum, mut solved, mut doubts, mut violations) = (0, 0, 0, 0, 0, 0);
        let (mut seconds, mut longest) = (0.0, 0.0_f64);
        for instance in instances.iter().filter(|i| i.set == set) {
            let (Some(known), Some(job)) = (&instance.optimum, instance.job(1, irregular::EFFORT)) else { continue };
            let known = known.len() as u64;
            let proved = prove(&job);
            let run = packed(&job, &proved.bound);
            count += 1;
            bins += run.pages;
            optimum += known;
            solved += usize::from(run.pages == known);
            seconds += run.seconds;
            longest = longest.max(run.seconds);
            doubts += proved.doubts + usize::from(proved.bound.sheets > known);
            violations += run.violations;
        }
        eprintln!("jigsaws {set}: {bins} of {optimum}");
        let beyond = 100.0 * (bins as f64 / f64::max(optimum as f64, 1.0) - 1.0);
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "| {set} | {count} | {bins} | {optimum} | {beyond:.1} % | {solved} | {seconds:.0} | {longest:.1} | {doubts} | {violations} |"
        );
    }
    out
}
