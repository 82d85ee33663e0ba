//! The terrain sets of the data, and ten mixes of our own, each with five seeds.

use std::fmt::Write;

use flatwright_nesting::{Item, Job, Turns};

use crate::common;
use crate::measure::{Packed, SEEDS, again, packed, prove, spread};
use crate::mixes;

const EFFORT: u32 = 20_000;

/// Small, class, and small without the grain limit.
pub fn sets() -> String {
    let mut rows = Vec::new();
    for (name, set, free) in [("small", "small", false), ("class", "class", false), ("small, any turn", "small", true)]
    {
        let Some(job) = common::terrain(set, EFFORT) else { return "The data is not there.".into() };
        let turned = |item: &Item| Item { turns: if free { Turns::Quarter } else { item.turns }, ..item.clone() };
        let items = job.items().iter().map(turned).collect();
        match Job::new(items, job.sheets().to_vec(), job.gap(), 1, EFFORT) {
            Ok(job) => rows.push(row(name, &job)),
            Err(_) => return "The data is not sane.".into(),
        }
    }
    format!(
        "Letter, margins 6.35 mm, gap 2 mm; effort {EFFORT}. A prototype in another language took 35 pages in 60 s and \
         1,050 in 90 s.\n\n{}",
        table(&rows)
    )
}

/// The ten mixes.
pub fn ten() -> String {
    let rows: Vec<String> = mixes::mixes(1, EFFORT).iter().map(|mix| row(mix.name, &mix.job)).collect();
    format!(
        "Made of the construction rules' own patterns (`tests/common/mixes.rs`): A4, A3, Letter, Tabloid and panels, \
         margins 7 mm, gap 2 mm; effort {EFFORT}. Where two sizes are offered, the least price counts.\n\n{}",
        table(&rows)
    )
}

fn table(rows: &[String]) -> String {
    format!(
        "| set | pages, seeds 1 to {SEEDS} | at least | price | at least | different | free on the last page, mm | seconds | \
         for the bound | doubts of bounds | violations |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n{}",
        rows.concat()
    )
}

fn row(name: &str, job: &Job) -> String {
    eprintln!("{name}");
    let proved = prove(job);
    let runs: Vec<Packed> =
        (1..=SEEDS as u64).filter_map(|seed| again(job, seed, EFFORT)).map(|job| packed(&job, &proved.bound)).collect();
    let list = |of: fn(&Packed) -> String| spread(&runs.iter().map(of).collect::<Vec<_>>());
    let mut out = String::new();
    let longest = runs.iter().map(|run| run.seconds).fold(0.0, f64::max);
    let violations = runs.iter().map(|run| run.violations).sum::<usize>();
    let free = runs.first().map_or((0.0, 0.0), |run| run.free);
    // Writing to a string cannot fail.
    let _ = writeln!(
        out,
        "| {name} | {} | {} | {} | {:.1} | {} | {:.0} x {:.0} | {longest:.1} | {:.1} | {} | {violations} |",
        list(|run| run.pages.to_string()),
        proved.bound.sheets,
        list(|run| format!("{:.1}", run.price)),
        proved.bound.price,
        list(|run| run.different.to_string()),
        free.0,
        free.1,
        proved.seconds,
        proved.doubts,
    );
    out
}
