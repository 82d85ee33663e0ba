//! Weights of the classes that make the bound large: a linear programme by row generation.
//!
//! The programme is: raise the weight of all copies together, such that no admitted set weighs
//! more than its sheet costs (the dual of Gilmore and Gomory's, Oper. Res. 9 (1961) 849-859). Its
//! rows are admitted sets, found by [`super::knapsack`] when they are broken. The solver works
//! with rounded numbers; nothing depends on it, because in the end the weights are whole numbers
//! and what a sheet holds of them at most is searched anew.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::knapsack::{Limits, most};

/// A weight of one price unit, in the units of whole weights.
const UNIT: f64 = 16_777_216.0;
/// Sets that weigh this much more than their sheet costs are worth a row.
const BROKEN: f64 = 1e-7;
/// Work of the solver for an entry of its rows.
const WORK_PER_ENTRY: u64 = 10;
/// Nodes of a search for a broken row.
const ROW_NODES: u64 = 2_000;

/// A programme over the sheet kinds' limits, kept warm while limits become tighter.
pub(super) struct Programme {
    /// Copies of each class.
    copies: Vec<u64>,
    /// What a sheet of each kind costs; the largest is 1.
    costs: Vec<f64>,
    rows: Vec<Row>,
    /// Work that may still be done, in comparisons of a class with a measure.
    work: u64,
}

/// A set that a sheet kind admits.
#[derive(Clone)]
pub(super) struct Row {
    pub sheet: usize,
    pub counts: Vec<u32>,
}

/// Whole weights, and what a sheet of each kind holds of them at most.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Weighed {
    pub weights: Vec<u64>,
    pub most: Vec<u64>,
}

impl Weighed {
    /// All copies' weight.
    pub(super) fn total(&self, copies: &[u64]) -> u128 {
        self.weights.iter().zip(copies).map(|(w, n)| u128::from(*w) * u128::from(*n)).sum()
    }

    /// What all sheets cost together at least, as a fraction.
    pub(super) fn worth(&self, copies: &[u64], costs: &[f64]) -> f64 {
        let total = self.total(copies) as f64;
        let per_weight = |(cost, most): (&f64, &u64)| if *most > 0 { cost / *most as f64 } else { f64::INFINITY };
        let least = costs.iter().zip(&self.most).map(per_weight).fold(f64::INFINITY, f64::min);
        if total > 0.0 && least.is_finite() { total * least } else { 0.0 }
    }
}

impl Programme {
    pub(super) fn new(copies: Vec<u64>, costs: &[f64], limits: &[Limits], work: u64) -> Self {
        let dearest = costs.iter().copied().fold(0.0, f64::max);
        let mut programme = Self { costs: costs.iter().map(|c| c / dearest).collect(), rows: Vec::new(), work, copies };
        for (sheet, limits) in limits.iter().enumerate() {
            for class in 0..programme.copies.len() {
                let room =
                    limits.sizes.iter().filter(|s| s[class] > 0).map(|s| super::knapsack::WHOLE / s[class]).min();
                let alone = |(set, n): (&Vec<(usize, u32)>, u32)| {
                    if set.len() == 1 && set[0].0 == class { n } else { u32::MAX }
                };
                let short = limits.excluded.iter().map(|set| alone((set, set[0].1 - 1))).min();
                let count = limits.most[class].min(room.unwrap_or(u64::MAX).min(u64::from(u32::MAX)) as u32);
                let mut counts = vec![0; programme.copies.len()];
                counts[class] = count.min(short.unwrap_or(u32::MAX));
                if counts[class] > 0 {
                    programme.rows.push(Row { sheet, counts });
                }
            }
        }
        programme
    }

    /// Drops the rows that the limits no longer admit.
    pub(super) fn tightened(&mut self, limits: &[Limits]) {
        self.rows.retain(|row| limits[row.sheet].admits(&row.counts));
    }

    /// The best weights under the limits, as far as the work reaches.
    pub(super) fn solve(&mut self, limits: &[Limits]) -> Option<Weighed> {
        let mut best: Option<(f64, Weighed)> = None;
        let (mut solution, variables) = self.propose()?;
        loop {
            let value = |v: &Variable| (solution.var_value(*v) * UNIT).max(0.0) as u64;
            let weights: Vec<u64> = variables.iter().map(value).collect();
            let mut broken = Vec::new();
            let mut most_of = Vec::new();
            for (sheet, limits) in limits.iter().enumerate() {
                let mut nodes = ROW_NODES;
                let found = most(limits, &weights, &mut nodes);
                self.spend((ROW_NODES - nodes) * (limits.sizes.len() * weights.len()) as u64);
                if found.value as f64 > self.costs[sheet] * UNIT * (1.0 + BROKEN) {
                    broken.push(Row { sheet, counts: found.counts });
                }
                most_of.push(found.ceiling);
            }
            let weighed = Weighed { weights, most: most_of };
            let worth = weighed.worth(&self.copies, &self.costs);
            if best.as_ref().is_none_or(|(old, _)| worth > *old) {
                best = Some((worth, weighed));
            }
            if broken.is_empty() || self.work == 0 {
                break;
            }
            for row in broken {
                let terms = terms(&variables, &row.counts);
                let outcome = solution.add_constraint(terms.as_slice(), ComparisonOp::Le, self.costs[row.sheet]);
                self.rows.push(row);
                self.spend((self.rows.len() * variables.len()) as u64 * WORK_PER_ENTRY);
                let next = outcome.ok().and_then(|outcome| outcome.into_solution().ok());
                let Some(next) = next else { return best.map(|(_, weighed)| weighed) };
                solution = next;
            }
        }
        best.map(|(_, weighed)| weighed)
    }

    fn spend(&mut self, work: u64) {
        self.work = self.work.saturating_sub(work);
    }

    /// The rows that a cheapest fractional cover of all copies uses: those that hold the bound down.
    pub(super) fn cover(&self) -> Vec<Row> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let uses: Vec<Variable> =
            self.rows.iter().map(|row| problem.add_var(self.costs[row.sheet], (0.0, f64::INFINITY))).collect();
        for (class, &copies) in self.copies.iter().enumerate() {
            let terms: Vec<(Variable, f64)> = (self.rows.iter().zip(&uses))
                .filter(|(row, _)| row.counts[class] > 0)
                .map(|(row, &used)| (used, f64::from(row.counts[class])))
                .collect();
            problem.add_constraint(terms.as_slice(), ComparisonOp::Ge, copies as f64);
        }
        let Ok(outcome) = problem.solve() else { return Vec::new() };
        let Some(solution) = outcome.solution() else { return Vec::new() };
        let mut used: Vec<(f64, &Row)> =
            uses.iter().zip(&self.rows).map(|(&v, row)| (solution.var_value(v), row)).filter(|u| u.0 > 1e-7).collect();
        used.sort_by(|a, b| b.0.total_cmp(&a.0));
        used.into_iter().map(|(_, row)| row.clone()).collect()
    }

    /// The best weights for the rows so far.
    fn propose(&mut self) -> Option<(Solution, Vec<Variable>)> {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let variables: Vec<Variable> = self.copies.iter().map(|&n| problem.add_var(n as f64, (0.0, 1.0))).collect();
        for row in &self.rows {
            problem.add_constraint(terms(&variables, &row.counts).as_slice(), ComparisonOp::Le, self.costs[row.sheet]);
        }
        self.spend((self.rows.len() * variables.len()) as u64 * WORK_PER_ENTRY);
        Some((problem.solve().ok()?.into_solution().ok()?, variables))
    }
}

fn terms(variables: &[Variable], counts: &[u32]) -> Vec<(Variable, f64)> {
    variables.iter().zip(counts).filter(|(_, n)| **n > 0).map(|(&v, &n)| (v, f64::from(n))).collect()
}
