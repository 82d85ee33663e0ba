//! The linear programme over fillings: how often each would be used if parts of sheets could be,
//! and what a copy of each item then costs.
//!
//! Gilmore and Gomory's master problem: least price of sheets such that every item is placed
//! often enough. The costs are its dual values: the most that the items could be charged such
//! that no known filling carries more than its sheet's price. The dual is solved as a programme
//! of its own, for the solver gives no dual values.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

use super::filler::{Filler, Filling};

/// Dual values and the master's optimum.
pub(super) struct Charges {
    pub(super) values: Vec<f64>,
    pub(super) total: f64,
}

/// What each item may be charged, the fillings being all there are. `None` where the solver fails.
pub(super) fn charges(filler: &Filler<'_>, fillings: &[&Filling], demand: &[u32]) -> Option<Charges> {
    let dearest = (0..filler.kinds()).map(|kind| filler.price(kind)).fold(0.0, f64::max);
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let variables: Vec<Variable> = demand.iter().map(|&d| problem.add_var(f64::from(d), (0.0, dearest))).collect();
    for filling in fillings {
        let row = counted(filling).map(|(item, count)| (variables[item], count)).collect::<Vec<_>>();
        problem.add_constraint(row.as_slice(), ComparisonOp::Le, filler.price(filling.kind));
    }
    let outcome = problem.solve().ok()?;
    let solution = outcome.solution()?;
    let values = variables.iter().map(|&v| solution.var_value(v).clamp(0.0, dearest)).collect();
    Some(Charges { values, total: solution.objective() })
}

/// How often each filling is used in a cheapest mix that places at least `demand`.
pub(super) fn mix(filler: &Filler<'_>, fillings: &[&Filling], demand: &[u32]) -> Option<Vec<f64>> {
    let (problem, variables) =
        cover(filler, fillings, demand, |problem, price| problem.add_var(price, (0.0, f64::INFINITY)));
    let outcome = problem.solve().ok()?;
    let solution = outcome.solution()?;
    Some(variables.iter().map(|&v| solution.var_value(v).max(0.0)).collect())
}

/// The programme that covers `demand` at the least price, its variables made by `variable`.
pub(super) fn cover(
    filler: &Filler<'_>,
    fillings: &[&Filling],
    demand: &[u32],
    variable: impl Fn(&mut Problem, f64) -> Variable,
) -> (Problem, Vec<Variable>) {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let variables: Vec<Variable> = fillings.iter().map(|f| variable(&mut problem, filler.price(f.kind))).collect();
    let mut rows: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); demand.len()];
    for (filling, &variable) in fillings.iter().zip(&variables) {
        counted(filling).for_each(|(item, count)| rows[item].push((variable, count)));
    }
    for (row, &wanted) in rows.iter().zip(demand) {
        if wanted > 0 {
            problem.add_constraint(row.as_slice(), ComparisonOp::Ge, f64::from(wanted));
        }
    }
    (problem, variables)
}

fn counted(filling: &Filling) -> impl Iterator<Item = (usize, f64)> + '_ {
    filling.counts.iter().enumerate().filter(|(_, c)| **c > 0).map(|(item, c)| (item, f64::from(*c)))
}
