//! Ways of filling one sheet, and the budget they are paid from.

use super::chance::Chance;
use super::contact::Contacts;
use super::page::{Choice, Page, Put, Recipe};
use super::rectangles::{Rectangles, Rule};
use super::shapes::{Shapes, Units, room};
use super::tuning;
use crate::job::Job;
use crate::layout::Placement;

/// One way to fill a sheet.
#[derive(Clone)]
pub(super) struct Filling {
    pub(super) kind: usize,
    /// How many of each item.
    pub(super) counts: Vec<u32>,
    pub(super) puts: Vec<Put>,
}

/// How to fill a sheet: by contact of outlines, or, where all are rectangles, by a rule for those.
pub(super) struct Way {
    pub(super) recipe: Recipe,
    pub(super) rule: Option<Rule>,
}

impl Way {
    /// The same way once more.
    pub(super) fn again(&self) -> Self {
        let recipe = Recipe { axis: self.recipe.axis, passes: self.recipe.passes.clone() };
        Self { recipe, rule: self.rule }
    }
}

pub(super) struct Filler<'a> {
    pub(super) job: &'a Job,
    pub(super) shapes: Shapes,
    contacts: Contacts,
    rectangles: Option<Rectangles>,
    rooms: Vec<(Units, Units)>,
    pub(super) areas: Vec<f64>,
    pub(super) chance: Chance,
    /// Work that is not counted by contacts.
    beside: u64,
    budget: u64,
}

impl<'a> Filler<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        let shapes = Shapes::new(job);
        let rooms: Vec<_> = job.sheets().iter().map(|sheet| room(sheet.free)).collect();
        Self {
            job,
            contacts: Contacts::new(job.gap().get(), shapes.list.len()),
            rectangles: Rectangles::new(job, &shapes, &rooms),
            rooms,
            areas: job.items().iter().map(|item| item.outline.area()).collect(),
            shapes,
            chance: Chance::new(job.seed()),
            beside: 0,
            budget: u64::from(job.effort()) * tuning::LOOKS_PER_STEP,
        }
    }

    pub(super) fn kinds(&self) -> usize {
        self.rooms.len()
    }

    pub(super) fn price(&self, kind: usize) -> f64 {
        self.job.sheets()[kind].price
    }

    /// Work done so far, in looks at a contact.
    pub(super) fn looks(&self) -> u64 {
        self.contacts.looks + self.beside
    }

    /// Counts work done elsewhere.
    pub(super) fn work(&mut self, looks: u64) {
        self.beside += looks;
    }

    pub(super) fn spent(&self) -> bool {
        self.looks() >= self.budget
    }

    /// Part of the budget that is spent, 0 to 1.
    pub(super) fn part_spent(&self) -> f64 {
        if self.budget == 0 { 1.0 } else { (self.looks() as f64 / self.budget as f64).min(1.0) }
    }

    pub(super) fn fill(&mut self, kind: usize, way: &Way, left: &[u32]) -> Filling {
        // A sheet costs something even where it is empty, or a job of tiny sheets would never end.
        self.beside += 50;
        let puts = match (&mut self.rectangles, way.rule) {
            (Some(rectangles), Some(rule)) => {
                let passes = way.recipe.passes.iter().map(|&(item, _, most)| (item, most));
                let (puts, looks) = rectangles.fill(kind, rule, passes, left);
                self.beside += looks;
                puts
            }
            _ => Page::fill(&self.shapes, &mut self.contacts, self.rooms[kind], &way.recipe, left),
        };
        let mut counts = vec![0; left.len()];
        puts.iter().for_each(|put| counts[self.shapes.list[put.shape].item] += 1);
        Filling { kind, counts, puts }
    }

    /// How many ways [`Self::plain_way`] knows.
    pub(super) fn plain_ways(&self) -> usize {
        if self.rectangles.is_some() { Rule::ALL.len() } else { 4 }
    }

    /// Items by falling key, in both directions and with both greedy choices, or by each rule.
    pub(super) fn plain_way(&self, number: usize, left: &[u32], key: impl Fn(usize) -> f64) -> Way {
        let choice = if number / 2 == 0 { Choice::LowestTop } else { Choice::Lowest };
        let order = order(left, key);
        let recipe =
            Recipe { axis: number % 2, passes: order.into_iter().map(|item| (item, choice, u32::MAX)).collect() };
        let rule = self.rectangles.is_some().then(|| Rule::ALL[number % Rule::ALL.len()]);
        Way { recipe, rule }
    }

    /// Items in an order, with choices and shares, that are partly left to chance.
    pub(super) fn chance_way(&mut self, values: &[f64], left: &[u32]) -> Way {
        let by = self.chance.below(6);
        let keys: Vec<f64> = (0..left.len())
            .map(|i| {
                if left[i] == 0 {
                    return 0.0;
                }
                let noise = 0.5 + self.chance.part();
                match by {
                    0 => values[i] * noise,
                    1 => values[i] / self.areas[i] * (0.8 + 0.4 * noise),
                    2 => noise,
                    3 => self.longest(i) * (0.8 + 0.4 * noise),
                    4 => self.areas[i] * noise,
                    _ => values[i] * (0.9 + 0.2 * noise),
                }
            })
            .collect();
        let order = order(left, |i| keys[i]);
        let shares = self.chance.below(3) > 0;
        let mut passes = Vec::with_capacity(2 * order.len());
        let mut rest = Vec::new();
        for item in order {
            let choice = self.chance_choice(item);
            let share = if shares && self.chance.below(2) == 0 { 1 + self.chance.below(4) as u32 } else { u32::MAX };
            passes.push((item, choice, share));
            if share < left[item] {
                rest.push((item, choice, u32::MAX));
            }
        }
        passes.extend(rest);
        Way { recipe: Recipe { axis: self.chance.below(2), passes }, rule: self.chance_rule() }
    }

    /// The longer side of an item's box.
    fn longest(&self, item: usize) -> f64 {
        self.shapes.of_item[item]
            .first()
            .map_or(0.0, |&s| self.shapes.list[s].size[0].max(self.shapes.list[s].size[1]) as f64)
    }

    pub(super) fn chance_choice(&mut self, item: usize) -> Choice {
        let turns = self.shapes.of_item[item].len();
        match self.chance.below(5) {
            0 => Choice::Lowest,
            1 => Choice::InTurn(self.chance.below(turns)),
            2 | 3 => Choice::Prefer(self.chance.below(turns)),
            _ => Choice::LowestTop,
        }
    }

    pub(super) fn chance_rule(&mut self) -> Option<Rule> {
        self.rectangles.is_some().then(|| Rule::ALL[self.chance.below(Rule::ALL.len())])
    }

    /// The value of everything on a sheet.
    pub(super) fn worth(&self, filling: &Filling, values: &[f64]) -> f64 {
        filling.counts.iter().zip(values).map(|(c, v)| f64::from(*c) * v).sum()
    }

    /// The area of the box from the room's corner around all pieces.
    pub(super) fn extent(&self, filling: &Filling) -> f64 {
        let low = self.rooms[filling.kind].0;
        [0, 1]
            .map(|axis| {
                let far = filling.puts.iter().map(|put| put.at[axis] + self.shapes.list[put.shape].size[axis]).max();
                (far.unwrap_or(low[axis]) - low[axis]) as f64
            })
            .iter()
            .product()
    }

    pub(super) fn placements(&self, filling: &Filling) -> Vec<Placement> {
        filling.puts.iter().map(|put| self.shapes.list[put.shape].placement(put.at)).collect()
    }

    /// The filling without the pieces beyond `most` of each item; those placed last go.
    pub(super) fn trimmed(&self, filling: &Filling, most: &[u32]) -> Filling {
        let mut counts = vec![0; most.len()];
        let mut puts = Vec::with_capacity(filling.puts.len());
        for put in &filling.puts {
            let item = self.shapes.list[put.shape].item;
            if counts[item] < most[item] {
                counts[item] += 1;
                puts.push(*put);
            }
        }
        Filling { kind: filling.kind, counts, puts }
    }
}

/// Items of which something is left, by falling key.
pub(super) fn order(left: &[u32], key: impl Fn(usize) -> f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..left.len()).filter(|&i| left[i] > 0).collect();
    order.sort_by(|&a, &b| key(b).total_cmp(&key(a)).then(a.cmp(&b)));
    order
}
