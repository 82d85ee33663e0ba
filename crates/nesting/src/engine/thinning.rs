//! One sheet less: a sheet is taken away, and its pieces are worked into the others.
//!
//! Pieces without a place wait. Again and again a few sheets are emptied and filled anew with
//! what was on them and what waits; the change is kept where the waiting pieces then weigh no
//! more, or a little more now and then. Pieces that wait long grow heavier, until something
//! lighter waits instead. When nothing waits any more, there is one sheet less.

use super::filler::{Filler, Filling, order};
use super::plan::Plan;
use super::tuning;

pub(super) struct Thinning {
    /// Sheets that are left alone.
    fixed: Plan,
    pages: Vec<Filling>,
    waiting: Vec<u32>,
    weights: Vec<f64>,
    stalled: u32,
}

impl Thinning {
    /// Takes a sheet from the plan, or puts a cheaper one in its place.
    pub(super) fn new(filler: &mut Filler<'_>, plan: &Plan, demand: &[u32]) -> Self {
        let (mut pages, fixed) = chosen(filler, plan);
        let items = demand.len();
        let weights: Vec<f64> = filler.areas.clone();
        let mut waiting = vec![0; items];
        if !pages.is_empty() {
            let worth = |f: &Filling| filler.worth(f, &weights) / filler.price(f.kind);
            let mut by_worth: Vec<usize> = (0..pages.len()).collect();
            by_worth.sort_by(|&a, &b| worth(&pages[a]).total_cmp(&worth(&pages[b])).then(a.cmp(&b)));
            let n = pages.len();
            let pick = by_worth[filler.chance.below(n).min(filler.chance.below(n)).min(filler.chance.below(n))];
            let gone = pages.swap_remove(pick);
            let cheaper: Vec<usize> =
                (0..filler.kinds()).filter(|&k| filler.price(k) < filler.price(gone.kind)).collect();
            if !cheaper.is_empty() && filler.chance.below(2) == 0 {
                let kind = cheaper[filler.chance.below(cheaper.len())];
                pages.push(Filling { kind, counts: vec![0; items], puts: Vec::new() });
            }
            waiting = gone.counts;
        }
        Self { fixed, pages, waiting, weights, stalled: 0 }
    }

    /// Works for a while; the plan once nothing waits.
    pub(super) fn run(&mut self, filler: &mut Filler<'_>, until: u64) -> Option<Plan> {
        if self.pages.is_empty() {
            filler.work(until.saturating_sub(filler.looks()));
            return None;
        }
        while !filler.spent() && filler.looks() < until {
            self.step(filler);
            if self.waiting.iter().all(|&n| n == 0) {
                let pages = self.pages.drain(..).map(|page| (page, 1));
                return Some(self.fixed.drain(..).chain(pages).filter(|(f, _)| !f.puts.is_empty()).collect());
            }
        }
        None
    }

    fn step(&mut self, filler: &mut Filler<'_>) {
        let n = self.pages.len();
        let several = 1 + filler.chance.below(tuning::THINNED_TOGETHER.min(n));
        let mut picks: Vec<usize> = Vec::with_capacity(several);
        while picks.len() < several {
            let pick = filler.chance.below(n);
            if !picks.contains(&pick) {
                picks.push(pick);
            }
        }
        let mut left = self.waiting.clone();
        for &pick in &picks {
            left.iter_mut().zip(&self.pages[pick].counts).for_each(|(l, c)| *l += c);
        }
        let mut fresh = Vec::with_capacity(several);
        for &pick in &picks {
            let way = filler.chance_way(&self.weights, &left);
            let filling = filler.fill(self.pages[pick].kind, &way, &left);
            left.iter_mut().zip(&filling.counts).for_each(|(l, c)| *l -= c);
            fresh.push(filling);
        }
        let weight = |waiting: &[u32]| waiting.iter().zip(&self.weights).map(|(n, w)| f64::from(*n) * w).sum::<f64>();
        let (before, after) = (weight(&self.waiting), weight(&left));
        let allowed = before * (1.0 - tuning::THINNING_HEAT * filler.chance.part().max(1e-9).ln());
        if after <= allowed {
            self.stalled = if after < before { 0 } else { self.stalled + 1 };
            for (pick, filling) in picks.into_iter().zip(fresh) {
                self.pages[pick] = filling;
            }
            self.waiting = left;
        } else {
            self.stalled += 1;
        }
        if self.stalled >= tuning::THINNING_PATIENCE {
            self.stalled = 0;
            for item in order(&self.waiting, |_| 0.0) {
                self.weights[item] += tuning::THINNING_GROWTH * filler.areas[item];
            }
        }
    }
}

/// Sheets to work on, one by one, and the rest of the plan.
fn chosen(filler: &mut Filler<'_>, plan: &Plan) -> (Vec<Filling>, Plan) {
    let mut fixed = plan.clone();
    let mut pages = Vec::new();
    let mut total: u64 = plan.iter().map(|(_, times)| u64::from(*times)).sum();
    while total > 0 && pages.len() < tuning::THINNED_PAGES {
        let mut at = filler.chance.below(usize::try_from(total).unwrap_or(usize::MAX)) as u64;
        for (filling, times) in &mut fixed {
            if at < u64::from(*times) {
                pages.push(filling.clone());
                *times -= 1;
                break;
            }
            at -= u64::from(*times);
        }
        total -= 1;
    }
    fixed.retain(|(_, times)| *times > 0);
    (pages, fixed)
}
