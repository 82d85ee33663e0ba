//! Time to prove builds: every rule, every net folded, all pieces put together, all pairs compared.

#[path = "../tests/rules_floor/mod.rs"]
mod rules_floor;

use criterion::{Criterion, criterion_group, criterion_main};
use flatwright_folding::build::assemble;
use flatwright_folding::report::Report;
use flatwright_folding::rules::{Case, shared};
use flatwright_folding::stack::Tolerances;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::units::Mm;

fn builds(c: &mut Criterion) {
    let p = Parameters::default();
    let narrow = Parameters {
        board: Mm::new(10.0),
        walls: WallBuild::Board,
        post_side: Some(Mm::new(15.0)),
        ..Parameters::default()
    };
    let mut group = c.benchmark_group("prove");
    group.sample_size(10);
    for (side, pockets) in [(3, false), (10, true)] {
        let build = rules_floor::floor(side, side, pockets);
        let case = Case { build: Some(&build), ..Case::new(&p) };
        let (report, bodies) = Report::of(&case, &Tolerances::default());
        println!("{} pieces, holds: {}", bodies.len(), report.holds());
        let name = format!("{} pieces", bodies.len());
        group.bench_function(&name, |b| b.iter(|| Report::of(&case, &Tolerances::default())));
        group.bench_function(format!("{name}, assembled"), |b| b.iter(|| assemble(&p, &build)));
        group.bench_function(format!("{name}, compared"), |b| b.iter(|| shared(&bodies)));
        // A set that fails looks for its mend.
        let broken = Case { parameters: &narrow, ..case };
        group
            .bench_function(format!("{name}, with a mend"), |b| b.iter(|| Report::of(&broken, &Tolerances::default())));
    }
    group.finish();
}

criterion_group!(benches, builds);
criterion_main!(benches);
