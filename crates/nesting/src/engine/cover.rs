//! Whole sheets from the master's mix.
//!
//! The whole parts of the mix are taken as they are; what they leave to place is a small job.
//! It is covered by a branch-and-bound search over the pool, limited in nodes, and by rounds of
//! fillings made for just this rest; the cheaper way is taken.

use microlp::SolveOptions;

use super::filler::{Filler, Filling};
use super::master;
use super::plan::Plan;
use super::pool::Pool;
use super::rounds::{Rounds, repeats};
use super::tuning;

/// Plans from a mix of the fillings.
pub(super) fn whole(
    filler: &mut Filler<'_>,
    pool: &mut Pool,
    rounds: &mut Rounds,
    fillings: &[Filling],
    mix: &[f64],
    demand: &[u32],
) -> Vec<Plan> {
    let mut plans = Vec::new();
    // How many whole sheets less than the mix has: more freedom for the rest.
    for short in [0, 1, 2] {
        let mut left = demand.to_vec();
        let mut base: Plan = Vec::new();
        for (filling, part) in fillings.iter().zip(mix) {
            let times = ((part + 1e-6).floor() as u32).saturating_sub(short);
            let times = times.min(repeats(filling, &left).unwrap_or(0));
            if times > 0 {
                take(&mut left, filling, times);
                base.push((filling.clone(), times));
            }
        }
        let refs: Vec<&Filling> = fillings.iter().collect();
        if let Some(rest) = searched(filler, &refs, &left) {
            plans.push([base.clone(), rest].concat());
        }
        if short == 0 {
            for _ in 0..tuning::REST_ROUNDS {
                if let Some(rest) = rounds.round(filler, pool, left.clone()) {
                    plans.push([base.clone(), rest].concat());
                }
            }
        }
    }
    plans
}

/// The cheapest cover of `left` by whole fillings that a limited search finds.
fn searched(filler: &mut Filler<'_>, fillings: &[&Filling], left: &[u32]) -> Option<Plan> {
    if left.iter().all(|&n| n == 0) {
        return Some(Vec::new());
    }
    let useful: Vec<&Filling> =
        fillings.iter().filter(|f| f.counts.iter().zip(left).any(|(c, l)| *c > 0 && *l > 0)).copied().collect();
    let most = i32::try_from(left.iter().map(|&n| u64::from(n)).sum::<u64>()).ok()?;
    let (problem, variables) =
        master::cover(filler, &useful, left, |problem, price| problem.add_integer_var(price, (0, most)));
    let mut options = SolveOptions::default();
    options.node_limit = Some(tuning::COVER_NODES);
    let outcome = problem.solve_with(options).ok()?;
    filler.work(outcome.stats().nodes_solved.max(1) * (useful.len() * left.len()) as u64);
    let solution = outcome.solution()?;
    let mut plan: Plan = Vec::new();
    let mut left = left.to_vec();
    for (filling, &variable) in useful.iter().zip(&variables) {
        let times = solution.var_value(variable).round() as u32;
        place(filler, &mut plan, &mut left, filling, times);
    }
    left.iter().all(|&n| n == 0).then_some(plan)
}

/// Uses a filling `times` times, without the pieces that are not wanted any more.
fn place(filler: &Filler<'_>, plan: &mut Plan, left: &mut [u32], filling: &Filling, mut times: u32) {
    while times > 0 {
        let trimmed = filler.trimmed(filling, left);
        let Some(most) = repeats(&trimmed, left) else { return };
        let now = most.clamp(1, times);
        take(left, &trimmed, now);
        plan.push((trimmed, now));
        times -= now;
    }
}

fn take(left: &mut [u32], filling: &Filling, times: u32) {
    left.iter_mut().zip(&filling.counts).for_each(|(l, c)| *l -= c * times);
}
