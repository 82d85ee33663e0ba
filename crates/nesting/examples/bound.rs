//! Bounds of the terrain sets with their certificates and times:
//! `cargo run --release -p flatwright-nesting --example bound -- small class --effort 20000`.

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use flatwright_nesting::{Job, bound, lower_bound};

fn main() {
    let mut effort = Job::DEFAULT_EFFORT;
    let mut names = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--effort" => effort = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(effort),
            _ => names.push(argument),
        }
    }
    for name in names {
        let job = if name == "forty" { Some(common::forty_tiles(effort)) } else { common::terrain(&name, effort) };
        let Some(job) = job else { continue };
        let start = Instant::now();
        let bound = lower_bound(&job);
        let took = start.elapsed();
        println!("{name}: at least {} sheets, {:.3} s\n  {}", bound.sheets, took.as_secs_f64(), bound.certificate);
        let start = Instant::now();
        match bound::recheck(&job, &bound) {
            Ok(()) => println!("  checked again in {:.3} s", start.elapsed().as_secs_f64()),
            Err(doubts) => doubts.iter().for_each(|doubt| println!("  not proved: {doubt}")),
        }
        for limits in &bound.certificate.limits {
            for set in &limits.excluded {
                let named = set.iter().map(|&(class, n)| format!("{n} {}", bound.certificate.names[class]));
                println!("  never: {}", named.collect::<Vec<_>>().join(" + "));
            }
        }
    }
}
