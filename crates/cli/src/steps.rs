//! The steps of building as the layout by step takes them: those of the plan, then the entries of
//! the set file's list.

use flatwright_sheets::compose::{Bag, BuildStep};

use crate::import::{Entry, Set};
use crate::planned::{Kind, Planned};

/// Every step with the pieces that are made for it: indices into the set's pieces, and how many for
/// all kits that share sheets.
#[must_use]
pub fn steps(set: &Set) -> Vec<BuildStep> {
    let index = |id: &str| set.pieces.iter().position(|piece| piece.id == id);
    let of_plan = set.plan.iter().flat_map(|planned| of_plan(planned, &index));
    let others = set.plan.as_ref().map_or(0, |planned| planned.levels.len());
    let of_list = set.entries.iter().map(|Entry { name, pieces }| BuildStep {
        bag: others,
        name: name.clone(),
        pieces: pieces.iter().filter_map(|(id, count)| Some((index(id)?, *count))).collect(),
    });
    let mut steps: Vec<BuildStep> = of_plan.chain(of_list).collect();
    for (_, count) in steps.iter_mut().flat_map(|step| &mut step.pieces) {
        *count = count.saturating_mul(set.kits().shares());
    }
    steps
}

/// The plan's steps. What is on hand for a level is used first, so its first steps need less that is new.
fn of_plan(planned: &Planned, index: &dyn Fn(&str) -> Option<usize>) -> Vec<BuildStep> {
    let spares = planned.levels.len();
    let on_hand = |kind: &Kind| {
        let mut needed = vec![0; spares + 1];
        kind.needed.places.iter().for_each(|place| needed[place.level] += 1);
        needed[spares] = kind.needed.count.saturating_sub(needed.iter().sum());
        let had = needed.iter().zip(&kind.by_level).map(|(needed, made): (&u32, &u32)| needed.saturating_sub(*made));
        had.collect::<Vec<u32>>()
    };
    let mut on_hand: Vec<Vec<u32>> = planned.kinds.iter().map(on_hand).collect();
    let several = spares > 1;
    let mut steps = Vec::new();
    for step in &planned.steps {
        let level = step.level.filter(|_| several).map(|level| format!("{}: ", planned.plan.levels[level].name));
        let bag = step.level.unwrap_or(spares);
        let mut pieces: Vec<(usize, u32)> = Vec::new();
        for &(kind, count) in &step.pieces {
            let had = on_hand[kind][bag].min(count);
            on_hand[kind][bag] -= had;
            let made = planned.kinds[kind].pieces.iter().filter_map(|piece| index(&piece.id));
            pieces.extend(made.map(|piece| (piece, count - had)).filter(|(_, count)| *count > 0));
        }
        steps.push(BuildStep { name: format!("{}{}", level.unwrap_or_default(), step.title), pieces, bag });
    }
    steps
}

/// Levels whose pieces get sheets of their own, and last what belongs to none of them; none where there
/// is one level.
#[must_use]
pub fn bags(set: &Set) -> Vec<Bag> {
    let levels = set.plan.as_ref().map(Planned::by_level).unwrap_or_default();
    if levels.is_empty() {
        return Vec::new();
    }
    let shares = set.kits().shares();
    let mut left: Vec<u32> = set.pieces.iter().map(|piece| piece.count).collect();
    let mut bags: Vec<Bag> = Vec::new();
    for (name, counts) in levels {
        let copies = set.pieces.iter().zip(&mut left).map(|(piece, left)| {
            let count = counts.get(piece.id.as_str()).copied().unwrap_or(0).min(*left);
            *left -= count;
            count.saturating_mul(shares)
        });
        bags.push(Bag { name: name.to_owned(), copies: copies.collect() });
    }
    let copies = left.iter().map(|count| count.saturating_mul(shares)).collect();
    bags.push(Bag { name: "for all levels".to_owned(), copies });
    bags
}
