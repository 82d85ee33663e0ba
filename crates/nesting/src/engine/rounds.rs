//! Sheet after sheet until nothing is left to place, again and again with better values.
//!
//! Every item has a value that stands for what a copy of it costs to place. Each round fills
//! sheets by the greatest value per price and repeats each while demand lasts; then the values
//! of items on badly filled sheets are raised (sequential value correction). Fillings are pooled
//! and may serve again.

use super::filler::{Filler, Filling};
use super::plan::Plan;
use super::pool::Pool;
use super::tuning;

pub(super) struct Rounds {
    values: Vec<f64>,
    /// Values count raised to this power in the present round.
    power: f64,
    number: u64,
}

impl Rounds {
    pub(super) fn new(filler: &Filler<'_>) -> Self {
        Self { values: filler.areas.clone(), power: 1.0, number: 0 }
    }

    /// What remains to be placed, placed; `None` where the budget ran out. The first round is quick
    /// and always made.
    pub(super) fn round(&mut self, filler: &mut Filler<'_>, pool: &mut Pool, mut left: Vec<u32>) -> Option<Plan> {
        let mut plan: Plan = Vec::new();
        let round = self.number as usize;
        self.number += 1;
        self.power = tuning::VALUE_POWERS[round % tuning::VALUE_POWERS.len()];
        while left.iter().any(|&n| n > 0) {
            if round > 0 && filler.spent() {
                return None;
            }
            // An item that fits nowhere was refused before: every try places at least one piece.
            let filling = self.best_filling(filler, pool, round, &left)?;
            let most = repeats(&filling, &left)?;
            // Later rounds now and then stop short of exhausting the scarcest item.
            let times = if round % 3 == 2 { most.div_ceil(2) } else { most };
            for (left, count) in left.iter_mut().zip(&filling.counts) {
                *left -= count * times;
            }
            self.correct(filler, &filling);
            plan.push((filling, times));
        }
        Some(plan)
    }

    /// The filling with the greatest value for its price among fresh tries and the pool; where
    /// one holds all that is left, the cheapest and most compact such one.
    fn best_filling(&self, filler: &mut Filler<'_>, pool: &mut Pool, round: usize, left: &[u32]) -> Option<Filling> {
        let fixed = if round == 0 { 1 } else { filler.plain_ways() };
        let by_chance = if round == 0 { 0 } else { tuning::CHANCE_TRIES[round % tuning::CHANCE_TRIES.len()] };
        let mut best: Option<(Score, Filling)> = None;
        let values: Vec<f64> = self.values.iter().map(|v| v.powf(self.power)).collect();
        for kind in 0..filler.kinds() {
            for number in 0..fixed + by_chance {
                let way = if number < fixed {
                    filler.plain_way(number, left, |i| self.values[i])
                } else {
                    filler.chance_way(&self.values, left)
                };
                let filling = filler.fill(kind, &way, left);
                if filling.puts.is_empty() {
                    continue;
                }
                let score = Score::of(filler, &filling, &values, left);
                pool.add(&filling, &way);
                if best.as_ref().is_none_or(|(old, _)| score.better(old)) {
                    best = Some((score, filling));
                }
            }
        }
        filler.work((pool.list.len() * left.len() / 8) as u64);
        let pooled = pool
            .list
            .iter()
            .filter(|f| f.counts.iter().zip(left).all(|(c, l)| c <= l))
            .map(|f| (Score::of(filler, f, &values, left), f))
            .reduce(|a, b| if b.0.better(&a.0) { b } else { a });
        match (best, pooled) {
            (Some((score, filling)), Some((other, f))) => Some(if other.better(&score) { f.clone() } else { filling }),
            (Some((_, filling)), None) => Some(filling),
            (None, pooled) => pooled.map(|(_, f)| f.clone()),
        }
    }

    /// Draws the values of the items on a sheet towards their share of its whole room.
    fn correct(&mut self, filler: &Filler<'_>, filling: &Filling) {
        let used = filler.worth(filling, &filler.areas);
        let waste = filler.job.sheets()[filling.kind].free.area() / used;
        let keep = tuning::VALUE_INERTIA;
        for (item, _) in filling.counts.iter().enumerate().filter(|(_, c)| **c > 0) {
            let share = filler.areas[item] * waste;
            self.values[item] = keep * self.values[item] + (1.0 - keep) * share;
        }
    }
}

/// How often a filling can be used while `left` lasts.
pub(super) fn repeats(filling: &Filling, left: &[u32]) -> Option<u32> {
    filling.counts.iter().zip(left).filter(|(c, _)| **c > 0).map(|(c, l)| l / c).min()
}

/// What a filling is worth while it is chosen.
struct Score {
    last: bool,
    price: f64,
    value: f64,
    extent: f64,
}

impl Score {
    fn of(filler: &Filler<'_>, filling: &Filling, values: &[f64], left: &[u32]) -> Self {
        let price = filler.price(filling.kind);
        let last = filling.counts == left;
        let extent = if last { filler.extent(filling) } else { 0.0 };
        Self { last, price, value: filler.worth(filling, values) / price, extent }
    }

    fn better(&self, old: &Self) -> bool {
        match (self.last, old.last) {
            (true, true) => (self.price, self.extent) < (old.price, old.extent),
            (last, other) if last != other => last,
            _ => self.value > old.value,
        }
    }
}
