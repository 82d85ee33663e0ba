//! Sheet after sheet until nothing is left to place, again and again with better values.
//!
//! Every item has a value that stands for what a copy of it costs to place. Each round fills
//! sheets by the greatest value per price and repeats each while demand lasts; then the values
//! of items on badly filled sheets are raised (sequential value correction). Fillings are pooled
//! and may serve again. The cheapest round wins.

use std::collections::BTreeSet;

use super::contact::Contacts;
use super::page::{Choice, Page, Put, Recipe};
use super::shapes::{Shapes, Units, room};
use super::tuning;
use crate::Progress;
use crate::bound::Bound;
use crate::job::Job;
use crate::layout::{Layout, PackedSheet};

/// One way to fill a sheet.
#[derive(Clone)]
struct Filling {
    kind: usize,
    /// How many of each item.
    counts: Vec<u32>,
    puts: Vec<Put>,
}

pub(super) struct Planner<'a> {
    job: &'a Job,
    shapes: Shapes,
    contacts: Contacts,
    rooms: Vec<(Units, Units)>,
    areas: Vec<f64>,
    values: Vec<f64>,
    /// Values count raised to this power in the present round.
    power: f64,
    pool: Vec<Filling>,
    pooled: BTreeSet<(usize, Vec<u32>)>,
    chance: Chance,
    budget: u64,
}

/// A complete layout in the making: a filling and how often it is used.
type Plan = Vec<(Filling, u32)>;

impl<'a> Planner<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        let shapes = Shapes::new(job);
        let contacts = Contacts::new(job.gap().get(), shapes.list.len());
        let areas: Vec<f64> = job.items().iter().map(|item| item.outline.area()).collect();
        Self {
            job,
            contacts,
            rooms: job.sheets().iter().map(|sheet| room(sheet.free)).collect(),
            values: areas.clone(),
            power: tuning::VALUE_POWERS[0],
            areas,
            shapes,
            pool: Vec::new(),
            pooled: BTreeSet::new(),
            chance: Chance(job.seed()),
            budget: u64::from(job.effort()) * tuning::LOOKS_PER_STEP,
        }
    }

    pub(super) fn run(mut self, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Layout {
        let mut best: Option<(Rank, Plan)> = None;
        for round in 0..tuning::ROUNDS {
            if let Some(plan) = self.round(round, best.is_some()) {
                let rank = self.rank(&plan);
                if best.as_ref().is_none_or(|(old, _)| rank.better(old)) {
                    best = Some((rank, plan));
                }
            }
            let sheets = best.as_ref().map(|(rank, _)| rank.sheets);
            let spent = if self.budget == 0 { 1.0 } else { (self.looks() as f64 / self.budget as f64).min(1.0) };
            progress(Progress { spent, sheets, at_least: bound.sheets });
            if self.looks() >= self.budget {
                break;
            }
        }
        let (rank, plan) = best.unwrap_or_else(|| (Rank::NONE, Vec::new()));
        progress(Progress { spent: 1.0, sheets: Some(rank.sheets), at_least: bound.sheets });
        self.layout(plan)
    }

    fn looks(&self) -> u64 {
        self.contacts.looks
    }

    /// One complete layout, or `None` where the budget ran out and there is one already.
    fn round(&mut self, round: u64, may_stop: bool) -> Option<Plan> {
        let mut left: Vec<u32> = self.job.items().iter().map(|item| item.copies).collect();
        let mut plan: Plan = Vec::new();
        self.power = tuning::VALUE_POWERS[round as usize % tuning::VALUE_POWERS.len()];
        while left.iter().any(|&n| n > 0) {
            if may_stop && self.looks() >= self.budget {
                return None;
            }
            // An item that fits nowhere was refused before: every try places at least one piece.
            let filling = self.best_filling(round, &left)?;
            let most = filling.counts.iter().zip(&left).filter(|(c, _)| **c > 0).map(|(c, l)| l / c).min()?;
            // Later rounds now and then stop short of exhausting the scarcest item.
            let times = if round % 3 == 2 { most.div_ceil(2) } else { most };
            for (left, count) in left.iter_mut().zip(&filling.counts) {
                *left -= count * times;
            }
            self.correct(&filling);
            plan.push((filling, times));
        }
        Some(plan)
    }

    /// The filling with the greatest value for its price among fresh tries and the pool; where
    /// one holds all that is left, the cheapest and most compact such one.
    fn best_filling(&mut self, round: u64, left: &[u32]) -> Option<Filling> {
        let chance_tries = tuning::CHANCE_TRIES[round as usize % tuning::CHANCE_TRIES.len()];
        let mut best: Option<(Score, Filling)> = None;
        for kind in 0..self.rooms.len() {
            for number in 0..tuning::FIXED_TRIES + chance_tries {
                let fixed = number < tuning::FIXED_TRIES;
                if self.looks() >= self.budget && best.is_some() {
                    break;
                }
                let recipe = if fixed { self.plain_recipe(number, left) } else { self.chance_recipe(left) };
                let filling = self.fill(kind, &recipe, left);
                if filling.puts.is_empty() {
                    continue;
                }
                let score = self.score(&filling, left);
                if best.as_ref().is_none_or(|(old, _)| score.better(old)) {
                    best = Some((score, filling.clone()));
                }
                if self.pool.len() < tuning::POOL && self.pooled.insert((kind, filling.counts.clone())) {
                    self.pool.push(filling);
                }
            }
        }
        let pooled = (0..self.pool.len())
            .filter(|&i| self.pool[i].counts.iter().zip(left).all(|(c, l)| c <= l))
            .map(|i| (self.score(&self.pool[i], left), i))
            .reduce(|a, b| if b.0.better(&a.0) { b } else { a });
        match (best, pooled) {
            (Some((score, filling)), Some((other, i))) => {
                Some(if other.better(&score) { self.pool[i].clone() } else { filling })
            }
            (Some((_, filling)), None) => Some(filling),
            (None, pooled) => pooled.map(|(_, i)| self.pool[i].clone()),
        }
    }

    fn fill(&mut self, kind: usize, recipe: &Recipe, left: &[u32]) -> Filling {
        let puts = Page::fill(&self.shapes, &mut self.contacts, self.rooms[kind], recipe, left);
        // A sheet costs something even where it is empty, or a job of tiny sheets would never end.
        self.contacts.looks += 50;
        let mut counts = vec![0; left.len()];
        puts.iter().for_each(|put| counts[self.shapes.list[put.shape].item] += 1);
        Filling { kind, counts, puts }
    }

    /// Items by falling value, in both directions and with both greedy choices.
    fn plain_recipe(&self, number: usize, left: &[u32]) -> Recipe {
        let choice = if number / 2 == 0 { Choice::LowestTop } else { Choice::Lowest };
        let order = self.order(left, |i| self.values[i]);
        Recipe { axis: number % 2, passes: order.into_iter().map(|item| (item, choice, u32::MAX)).collect() }
    }

    /// Items in an order, with choices and shares, that are partly left to chance.
    fn chance_recipe(&mut self, left: &[u32]) -> Recipe {
        let by = self.chance.below(4);
        let keys: Vec<f64> = (0..left.len())
            .map(|i| {
                let noise = 0.5 + self.chance.part();
                match by {
                    0 => self.values[i] * noise,
                    1 => self.values[i] / self.areas[i] * (0.8 + 0.4 * noise),
                    2 => noise,
                    _ => self.values[i] * (0.9 + 0.2 * noise),
                }
            })
            .collect();
        let order = self.order(left, |i| keys[i]);
        let shares = self.chance.below(3) > 0;
        let mut passes = Vec::with_capacity(2 * order.len());
        let mut rest = Vec::new();
        for item in order {
            let turns = self.shapes.of_item[item].len();
            let choice = match self.chance.below(5) {
                0 => Choice::Lowest,
                1 => Choice::InTurn(self.chance.below(turns)),
                2 | 3 => Choice::Prefer(self.chance.below(turns)),
                _ => Choice::LowestTop,
            };
            let share = if shares && self.chance.below(2) == 0 { 1 + self.chance.below(4) as u32 } else { u32::MAX };
            passes.push((item, choice, share));
            if share < u32::MAX {
                rest.push((item, choice, u32::MAX));
            }
        }
        passes.extend(rest);
        Recipe { axis: self.chance.below(2), passes }
    }

    fn order(&self, left: &[u32], key: impl Fn(usize) -> f64) -> Vec<usize> {
        let mut order: Vec<usize> = (0..left.len()).filter(|&i| left[i] > 0).collect();
        order.sort_by(|&a, &b| key(b).total_cmp(&key(a)).then(a.cmp(&b)));
        order
    }

    fn score(&self, filling: &Filling, left: &[u32]) -> Score {
        let price = self.job.sheets()[filling.kind].price;
        let value: f64 = filling.counts.iter().zip(&self.values).map(|(c, v)| f64::from(*c) * v.powf(self.power)).sum();
        let last = filling.counts == left;
        let extent = if last { self.extent(filling) } else { 0.0 };
        Score { last, price, value: value / price, extent }
    }

    /// The area of the box from the room's corner around all pieces.
    fn extent(&self, filling: &Filling) -> f64 {
        let low = self.rooms[filling.kind].0;
        [0, 1]
            .map(|axis| {
                let far = filling.puts.iter().map(|put| put.at[axis] + self.shapes.list[put.shape].size[axis]).max();
                (far.unwrap_or(low[axis]) - low[axis]) as f64
            })
            .iter()
            .product()
    }

    /// Draws the values of the items on a sheet towards their share of its whole room.
    fn correct(&mut self, filling: &Filling) {
        let used: f64 = filling.counts.iter().zip(&self.areas).map(|(c, a)| f64::from(*c) * a).sum();
        let waste = self.job.sheets()[filling.kind].free.area() / used;
        let keep = tuning::VALUE_INERTIA;
        for (item, _) in filling.counts.iter().enumerate().filter(|(_, c)| **c > 0) {
            let share = self.areas[item] * waste;
            self.values[item] = keep * self.values[item] + (1.0 - keep) * share;
        }
    }

    fn rank(&self, plan: &Plan) -> Rank {
        let price = plan.iter().map(|(f, times)| self.job.sheets()[f.kind].price * f64::from(*times)).sum();
        let sheets = plan.iter().map(|(_, times)| u64::from(*times)).sum();
        let last = plan.last().map_or(0.0, |(filling, _)| self.extent(filling));
        Rank { price, sheets, different: plan.len(), last }
    }

    /// Sheets with equal pieces in equal places become one with more copies.
    fn layout(&self, plan: Plan) -> Layout {
        let mut sheets: Vec<PackedSheet> = Vec::new();
        for (filling, copies) in plan {
            let placements: Vec<_> = filling.puts.iter().map(|p| self.shapes.list[p.shape].placement(p.at)).collect();
            match sheets.iter_mut().find(|s| s.kind == filling.kind && s.placements == placements) {
                Some(sheet) => sheet.copies += copies,
                None => sheets.push(PackedSheet { kind: filling.kind, copies, placements }),
            }
        }
        Layout { sheets }
    }
}

/// What a filling is worth while it is chosen.
struct Score {
    last: bool,
    price: f64,
    value: f64,
    extent: f64,
}

impl Score {
    fn better(&self, old: &Self) -> bool {
        match (self.last, old.last) {
            (true, true) => (self.price, self.extent) < (old.price, old.extent),
            (last, other) if last != other => last,
            _ => self.value > old.value,
        }
    }
}

/// What a complete plan is worth.
struct Rank {
    price: f64,
    sheets: u64,
    different: usize,
    last: f64,
}

impl Rank {
    const NONE: Self = Self { price: 0.0, sheets: 0, different: 0, last: 0.0 };

    fn better(&self, old: &Self) -> bool {
        // Sums of the same prices in another order differ by rounding only.
        let noise = 1e-9 * old.price;
        if (self.price - old.price).abs() > noise {
            return self.price < old.price;
        }
        (self.sheets, self.different, self.last) < (old.sheets, old.different, old.last)
    }
}

/// Deterministic chance: the SplitMix64 generator (Steele, Lea and Flood 2014).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n` (at least 1).
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    /// A number from 0 to 1.
    fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
