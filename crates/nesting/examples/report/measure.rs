//! One job, packed and judged.

use std::time::Instant;

use flatwright_nesting::{Bound, Job, bound, check, lower_bound, pack};

/// How many seeds are tried, from 1 on.
pub const SEEDS: usize = 5;

/// The bound, the seconds it took, and how many doubts its check raises.
pub struct Proved {
    pub bound: Bound,
    pub seconds: f64,
    pub doubts: usize,
}

/// What came of a job.
pub struct Packed {
    pub pages: u64,
    pub different: usize,
    pub price: f64,
    /// The free rectangle of the last page, mm.
    pub free: (f64, f64),
    pub seconds: f64,
    pub violations: usize,
}

pub fn prove(job: &Job) -> Proved {
    let start = Instant::now();
    let bound = lower_bound(job);
    let seconds = start.elapsed().as_secs_f64();
    let doubts = bound::recheck(job, &bound).err().unwrap_or_default();
    doubts.iter().for_each(|doubt| eprintln!("not proved: {doubt}"));
    let doubts = doubts.len();
    Proved { bound, seconds, doubts }
}

/// Packs; a job that cannot be packed counts as one violation and no pages.
pub fn packed(job: &Job, bound: &Bound) -> Packed {
    let start = Instant::now();
    let layout = pack(job, bound, &mut |_| {});
    let seconds = start.elapsed().as_secs_f64();
    let Ok(layout) = layout else {
        return Packed { pages: 0, different: 0, price: 0.0, free: (0.0, 0.0), seconds, violations: 1 };
    };
    let violations = check::check(job, &layout).map_or_else(|violations| violations.len(), |()| 0);
    let price = layout.sheets.iter().map(|s| job.sheets()[s.kind].price * f64::from(s.copies)).sum();
    let free = layout.sheets.last().map_or((0.0, 0.0), |sheet| {
        let free = flatwright_nesting::largest_free(job, sheet);
        (free.width(), free.height())
    });
    Packed { pages: layout.sheets_used(), different: layout.sheets.len(), price, free, seconds, violations }
}

/// `job` with another seed and effort.
pub fn again(job: &Job, seed: u64, effort: u32) -> Option<Job> {
    Job::new(job.items().to_vec(), job.sheets().to_vec(), job.gap(), seed, effort).ok()
}

/// Says on the terminal which instance took longer than the target allows.
pub fn tell_slow(name: &str, seconds: f64, target: f64) {
    if seconds > target {
        eprintln!("{name}: {seconds:.1} s, beyond {target} s");
    }
}

/// The figures of all seeds: one where they agree.
pub fn spread<T: std::fmt::Display + PartialEq>(figures: &[T]) -> String {
    match figures {
        [first, rest @ ..] if rest.iter().all(|figure| figure == first) => first.to_string(),
        all => all.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
    }
}
