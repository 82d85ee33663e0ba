//! Fillings worth more than their sheet's price, by local search over the order of pieces.
//!
//! A sheet is filled by a list of passes; the search changes one thing about the list and keeps
//! the change where the sheet is then worth about as much or more (simulated annealing).

use super::filler::{Filler, Way, order};
use super::page::Recipe;
use super::pool::Pool;
use super::tuning;

/// Charges may exceed a price by this much without a gain: noise of the solver.
const GAIN: f64 = 1.0 + 1e-6;

/// Searches for a filling of greatest value, beginning with some way. Every filling
/// worth more than its price goes to the pool; tells whether there was one.
pub(super) fn search(filler: &mut Filler<'_>, pool: &mut Pool, kind: usize, values: &[f64], left: &[u32]) -> bool {
    let price = filler.price(kind);
    let start = beginning(filler, pool, kind, values, left);
    let mut better = false;
    let mut worth = |filler: &mut Filler<'_>, way: &Way| {
        let filling = filler.fill(kind, way, left);
        let worth = filler.worth(&filling, values);
        better |= worth > GAIN * price && pool.add(&filling, way);
        worth
    };
    let mut way = start;
    let mut now = worth(filler, &way);
    let steps = tuning::PRICING_STEPS;
    for step in 0..steps {
        if filler.spent() {
            break;
        }
        let changed = changed(filler, &way, values, left);
        let next = worth(filler, &changed);
        let heat = tuning::PRICING_HEAT * price * (1.0 - step as f64 / steps as f64);
        if next >= now + heat * filler.chance.part().max(1e-9).ln() {
            (way, now) = (changed, next);
        }
    }
    better
}

/// A way left to chance, or one of those that made the fillings of greatest value: what is nearly
/// as good as the sheets in use often lies near to them.
fn beginning(filler: &mut Filler<'_>, pool: &Pool, kind: usize, values: &[f64], left: &[u32]) -> Way {
    if filler.chance.below(3) == 0 {
        return filler.chance_way(values, left);
    }
    filler.work((pool.list.len() * left.len() / 8) as u64);
    let mut known: Vec<(f64, usize)> = (0..pool.list.len())
        .filter(|&i| pool.list[i].kind == kind)
        .map(|i| (filler.worth(&pool.list[i], values), i))
        .collect();
    known.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    known.truncate(tuning::PRICING_STARTS);
    match known.get(filler.chance.below(known.len())) {
        Some(&(_, i)) => pool.ways[i].again(),
        None => filler.chance_way(values, left),
    }
}

/// The way with one thing changed.
fn changed(filler: &mut Filler<'_>, way: &Way, values: &[f64], left: &[u32]) -> Way {
    let mut passes = way.recipe.passes.clone();
    let (mut axis, mut rule) = (way.recipe.axis, way.rule);
    let n = passes.len().max(1);
    // Early passes decide most: they are changed most often.
    let place = |filler: &mut Filler<'_>| filler.chance.below(n).min(filler.chance.below(n));
    match filler.chance.below(10) {
        0..=2 => {
            let (a, b) = (place(filler), filler.chance.below(n));
            passes.swap(a, b);
        }
        3 | 4 => {
            // One or two copies of some item, first.
            let items = order(left, |_| 0.0);
            let item = items[filler.chance.below(items.len())];
            let choice = filler.chance_choice(item);
            let at = place(filler);
            passes.insert(at, (item, choice, 1 + filler.chance.below(2) as u32));
        }
        5 => {
            let at = place(filler);
            let pass = passes.remove(at);
            // Every item keeps a pass without limit somewhere.
            passes.push((pass.0, pass.1, u32::MAX));
        }
        6 | 7 => {
            let at = place(filler);
            passes[at].1 = filler.chance_choice(passes[at].0);
        }
        8 => {
            let at = place(filler);
            passes[at].2 = 1 + filler.chance.below(3) as u32;
            let (item, choice, _) = passes[at];
            passes.push((item, choice, u32::MAX));
        }
        _ => {
            if filler.chance.below(2) == 0 {
                axis = 1 - axis;
            }
            rule = filler.chance_rule();
        }
    }
    // Passes that can add nothing only cost time.
    let mut open = vec![true; left.len()];
    passes.retain(|&(item, _, most)| {
        let kept = open[item] && values[item] > 0.0;
        open[item] &= most < left[item];
        kept
    });
    Way { recipe: Recipe { axis, passes }, rule }
}
