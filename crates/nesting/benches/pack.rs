//! Time to pack sets of terrain pieces.

#[path = "../tests/common/mod.rs"]
mod common;

use criterion::{Criterion, criterion_group, criterion_main};
use flatwright_nesting::{Job, check, lower_bound, pack};

fn sets(c: &mut Criterion) {
    let jobs = [
        ("forty tiles", Some(common::forty_tiles(Job::DEFAULT_EFFORT))),
        ("small", common::terrain("small", Job::DEFAULT_EFFORT)),
        ("class", common::terrain("class", 5 * Job::DEFAULT_EFFORT)),
    ];
    let mut group = c.benchmark_group("pack");
    group.sample_size(10);
    for (name, job) in jobs {
        let Some(job) = job else { continue };
        let Ok(layout) = pack(&job, &lower_bound(&job), &mut |_| {}) else { continue };
        println!("{name}: {} pages, bound {}", layout.sheets_used(), lower_bound(&job).sheets);
        group.bench_function(name, |b| b.iter(|| pack(&job, &lower_bound(&job), &mut |_| {})));
        group.bench_function(format!("{name}, check"), |b| b.iter(|| check::check(&job, &layout)));
    }
    group.finish();
}

criterion_group!(benches, sets);
criterion_main!(benches);
