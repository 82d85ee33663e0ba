//! Bounds with their certificates and times:
//! `cargo run --release -p flatwright-nesting --example bound -- small class --effort 8000`.
//! `oriented`, `turned` and `jigsaws` stand for the published sets and give their sums.

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../tests/published/mod.rs"]
mod published;

use std::time::Instant;

use flatwright_nesting::{Job, Turns, bound, lower_bound};
use published::Problem;

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
        let problems = match name.as_str() {
            "oriented" => published::rectangles(Turns::Fixed, effort),
            "turned" => published::rectangles(Turns::Quarter, effort),
            "jigsaws" => published::jigsaws(effort),
            _ => Vec::new(),
        };
        if !problems.is_empty() {
            sums(&name, &problems);
            continue;
        }
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

/// The sum of all bounds and of what is known, and every bound that is too large or not proved.
fn sums(name: &str, problems: &[Problem]) {
    let (mut bounds, mut met, mut longest) = (0, 0, 0.0_f64);
    let start = Instant::now();
    for problem in problems {
        let start = Instant::now();
        let bound = lower_bound(&problem.job);
        longest = longest.max(start.elapsed().as_secs_f64());
        bounds += bound.sheets;
        met += usize::from(bound.sheets == problem.known);
        if bound.sheets > problem.known {
            println!("  {}: bound {} exceeds {}", problem.name, bound.sheets, problem.known);
        }
    }
    let took = start.elapsed().as_secs_f64();
    let known: u64 = problems.iter().map(|p| p.known).sum();
    println!(
        "{name}: {} problems, bounds {bounds}, known {known}, met {met}; {took:.1} s in all, {longest:.3} s at most",
        problems.len()
    );
    let start = Instant::now();
    for problem in problems {
        if let Err(doubts) = bound::recheck(&problem.job, &lower_bound(&problem.job)) {
            println!("  {}: {}", problem.name, doubts[0]);
        }
    }
    println!("  found and checked again in {:.1} s", start.elapsed().as_secs_f64());
}
