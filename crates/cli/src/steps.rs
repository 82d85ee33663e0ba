//! The steps of building as the layout by step takes them: those of the plan, then the entries of
//! the set file's list.

use flatwright_sheets::compose::BuildStep;

use crate::import::{Entry, Set};
use crate::planned::Planned;

/// Every step with the pieces that are made for it: indices into the set's pieces, and how many for
/// all kits that share sheets.
#[must_use]
pub fn steps(set: &Set) -> Vec<BuildStep> {
    let index = |id: &str| set.pieces.iter().position(|piece| piece.id == id);
    let of_plan = set.plan.iter().flat_map(|planned| of_plan(planned, &index));
    let of_list = set.entries.iter().map(|Entry { name, pieces }| BuildStep {
        name: name.clone(),
        pieces: pieces.iter().filter_map(|(id, count)| Some((index(id)?, *count))).collect(),
    });
    let mut steps: Vec<BuildStep> = of_plan.chain(of_list).collect();
    for (_, count) in steps.iter_mut().flat_map(|step| &mut step.pieces) {
        *count = count.saturating_mul(set.kits().shares());
    }
    steps
}

/// The plan's steps. What is on hand is used first, so the first steps need less that is new.
fn of_plan(planned: &Planned, index: &dyn Fn(&str) -> Option<usize>) -> Vec<BuildStep> {
    let mut on_hand: Vec<u32> =
        planned.kinds.iter().map(|kind| kind.needed.count.saturating_sub(kind.missing)).collect();
    let several = planned.levels.len() > 1;
    let mut steps = Vec::new();
    for step in &planned.steps {
        let level = step.level.filter(|_| several).map(|level| format!("{}: ", planned.plan.levels[level].name));
        let mut pieces: Vec<(usize, u32)> = Vec::new();
        for &(kind, count) in &step.pieces {
            let had = on_hand[kind].min(count);
            on_hand[kind] -= had;
            let made = planned.kinds[kind].pieces.iter().filter_map(|piece| index(&piece.id));
            pieces.extend(made.map(|piece| (piece, count - had)).filter(|(_, count)| *count > 0));
        }
        steps.push(BuildStep { name: format!("{}{}", level.unwrap_or_default(), step.title), pieces });
    }
    steps
}
