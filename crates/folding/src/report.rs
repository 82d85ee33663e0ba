//! The proof of a set or a plan: every check in a table, and how far rows and runs may go.

use std::fmt;

use flatwright_geometry::units::plain;
use serde::Serialize;

use crate::place::Body;
use crate::rules::{Case, Finding, check};
use crate::stack::{Chain, Stack, Tolerances, stacks};

/// Everything that was checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Findings: those that fail first, then in the order of the rules.
    pub findings: Vec<Finding>,
    /// Tolerance stacks; estimates, which decide nothing.
    pub stacks: [Stack; 2],
    /// The tolerances that they are made from.
    pub tolerances: Tolerances,
}

impl Report {
    /// Checks a case. The build's bodies come with it, where it could be put together.
    #[must_use]
    pub fn of(case: &Case<'_>, tolerances: &Tolerances) -> (Self, Vec<Body>) {
        let checked = check(case);
        let mut findings = checked.findings;
        // Stable: within each verdict the order of the rules stays.
        findings.sort_by_key(|finding| finding.verdict);
        (Self { findings, stacks: stacks(case.parameters, tolerances), tolerances: *tolerances }, checked.bodies)
    }

    /// Whether every check holds.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.findings.iter().all(Finding::holds)
    }
}

impl fmt::Display for Report {
    /// As plain text: a table of findings, mends and notes below those that have them, then the stacks.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        findings(f, &self.findings)?;
        writeln!(f)?;
        let failed = self.findings.iter().filter(|finding| !finding.holds()).count();
        match failed {
            0 => writeln!(f, "All {} checks hold.", self.findings.len())?,
            _ => writeln!(f, "{failed} of {} checks fail.", self.findings.len())?,
        }
        for stack in &self.stacks {
            writeln!(f)?;
            sums(f, stack)?;
        }
        Ok(())
    }
}

const INDENT: &str = "      ";

fn findings(f: &mut fmt::Formatter<'_>, findings: &[Finding]) -> fmt::Result {
    let rows: Vec<[String; 4]> = findings
        .iter()
        .map(|finding| {
            let (a, b) = (plain(finding.numbers.0, 4), plain(finding.numbers.1, 4));
            [
                finding.rule.to_owned(),
                format!("{a} {} {b}", finding.relation),
                plain(finding.margin, 4),
                finding.what.clone(),
            ]
        })
        .collect();
    let heads = ["rule", "numbers", "margin", "what"];
    let width = |column: usize| {
        let lengths = rows.iter().map(|row| row[column].chars().count());
        lengths.chain([heads[column].len()]).max().unwrap_or(0)
    };
    let (rule, numbers, margin) = (width(0), width(1), width(2));
    writeln!(f, "{:<7}  {:<rule$}  {:<numbers$}  {:>margin$}  {}", "verdict", heads[0], heads[1], heads[2], heads[3])?;
    for (finding, [name, two, left, what]) in findings.iter().zip(&rows) {
        writeln!(f, "{:<7}  {name:<rule$}  {two:<numbers$}  {left:>margin$}  {what}", finding.verdict.to_string())?;
        if let Some(mend) = &finding.mend {
            writeln!(f, "{INDENT}-> {mend}: the nearest value with which this rule holds")?;
        }
        if let Some(note) = &finding.note {
            writeln!(f, "{INDENT}   {note}")?;
        }
    }
    Ok(())
}

fn sums(f: &mut fmt::Formatter<'_>, stack: &Stack) -> fmt::Result {
    let what = match stack.chain {
        Chain::Tiles => "tiles in a row",
        Chain::Walls => "walls in a run",
    };
    writeln!(f, "Tolerances of {what}, against a play of {} (from estimated tolerances)", stack.play)?;
    writeln!(f, "{:>6}  {:>10}  {:>15}", "N", "worst case", "root-sum-square")?;
    for sum in &stack.sums {
        let (worst, square) = (plain(sum.worst.get(), 3), plain(sum.root_sum_square.get(), 3));
        writeln!(f, "{:>6}  {worst:>10}  {square:>15}", sum.n)?;
    }
    let ends = |n: Option<u32>| match n {
        Some(n) => format!("may no longer close at N = {n}"),
        None => format!("closes up to N = {}", crate::stack::MOST),
    };
    writeln!(f, "worst case: {}; root-sum-square: {}", ends(stack.worst_fails_at), ends(stack.root_sum_square_fails_at))
}
