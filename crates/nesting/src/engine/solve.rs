//! The order of the search, and when it ends.
//!
//! Stages take turns with growing shares of work. What they do never depends on the budget, which
//! only says where they stop: more effort continues the same search, so it is never worse.

use super::cover;
use super::filler::{Filler, Filling};
use super::last;
use super::master;
use super::plan::{Plan, Rank, joined};
use super::pool::Pool;
use super::pricing;
use super::rounds::Rounds;
use super::thinning::Thinning;
use super::tuning;
use crate::Progress;
use crate::bound::Bound;
use crate::job::Job;
use crate::layout::Layout;

pub(super) struct Solver<'a> {
    filler: Filler<'a>,
    demand: Vec<u32>,
    pool: Pool,
    rounds: Rounds,
    best: Option<(Rank, Plan)>,
    /// A search for one sheet less than so many, and how many turns it has left.
    thinning: Option<(u64, u32, Thinning)>,
    bound: &'a Bound,
    progress: &'a mut dyn FnMut(Progress),
}

impl<'a> Solver<'a> {
    pub(super) fn new(job: &'a Job, bound: &'a Bound, progress: &'a mut dyn FnMut(Progress)) -> Self {
        let filler = Filler::new(job);
        let demand = job.items().iter().map(|item| item.copies).collect();
        let rounds = Rounds::new(&filler);
        Self { filler, demand, pool: Pool::default(), rounds, best: None, thinning: None, bound, progress }
    }

    pub(super) fn run(mut self) -> Layout {
        let mut share = tuning::FIRST_SHARE;
        self.round();
        while !self.done() {
            let until = self.filler.looks() + share;
            while !self.done() && self.filler.looks() < until {
                self.round();
            }
            // Where items come once or twice, the master's charges say little.
            let many = self.demand.len() as u64 * tuning::MASTER_COPIES <= self.copies();
            if many && !self.done() {
                self.generate(share);
            }
            if !self.done() {
                self.thin(if many { share / 4 } else { 2 * share });
            }
            share += share / 2;
        }
        let (rank, plan) = self.best.take().unwrap_or((Rank::NONE, Vec::new()));
        (self.progress)(Progress { spent: 1.0, sheets: Some(rank.sheets), at_least: self.bound.sheets });
        let plan = last::tidied(&mut self.filler, plan);
        super::plan::layout(&self.filler, &plan)
    }

    fn done(&self) -> bool {
        self.filler.spent() || self.met()
    }

    /// Whether nothing cheaper is possible.
    fn met(&self) -> bool {
        let prices = self.prices();
        let equal = prices.iter().all(|p| *p == prices[0]);
        self.best.as_ref().is_some_and(|(rank, _)| {
            rank.price <= self.bound.price * (1.0 + 1e-9) || equal && rank.sheets <= self.bound.sheets
        })
    }

    fn prices(&self) -> Vec<f64> {
        (0..self.filler.kinds()).map(|kind| self.filler.price(kind)).collect()
    }

    fn round(&mut self) {
        if let Some(plan) = self.rounds.round(&mut self.filler, &mut self.pool, self.demand.clone()) {
            self.offer(plan);
        }
        self.tell();
    }

    fn offer(&mut self, plan: Plan) {
        let plan = joined(plan);
        let rank = Rank::of(&self.filler, &plan);
        if self.best.as_ref().is_none_or(|(old, _)| rank.better(old)) {
            self.best = Some((rank, plan));
        }
    }

    fn tell(&mut self) {
        let sheets = self.best.as_ref().map(|(rank, _)| rank.sheets);
        (self.progress)(Progress { spent: self.filler.part_spent(), sheets, at_least: self.bound.sheets });
    }

    fn copies(&self) -> u64 {
        self.demand.iter().map(|&n| u64::from(n)).sum()
    }

    /// Seeks plans with a sheet less for `share` looks.
    fn thin(&mut self, share: u64) {
        let until = self.filler.looks() + share;
        while !self.done() && self.filler.looks() < until {
            let Some((rank, plan)) = &self.best else { return };
            let sheets = rank.sheets;
            let stale = self.thinning.as_ref().is_none_or(|(from, turns, _)| *from != sheets || *turns == 0);
            if stale {
                let thinning = Thinning::new(&mut self.filler, plan, &self.demand);
                self.thinning = Some((sheets, tuning::THINNING_TURNS, thinning));
            }
            let Some((_, turns, thinning)) = &mut self.thinning else { return };
            *turns -= 1;
            let now = self.filler.looks();
            if let Some(plan) = thinning.run(&mut self.filler, until.min(now + tuning::THINNING_TURN)) {
                self.thinning = None;
                self.offer(plan);
            }
            self.tell();
        }
    }

    /// Column generation for `share` looks, then a cover.
    fn generate(&mut self, share: u64) {
        let until = self.filler.looks() + share;
        let mut idle = 0;
        let mut total = f64::INFINITY;
        while !self.filler.spent() && self.filler.looks() < until && idle < tuning::IDLE_SEARCHES {
            let known: Vec<&Filling> = self.pool.list.iter().collect();
            self.filler.work((known.len() * self.demand.len()) as u64);
            let Some(charges) = master::charges(&self.filler, &known, &self.demand) else { return };
            total = charges.total;
            let mut better = false;
            for kind in 0..self.filler.kinds() {
                better |= pricing::search(&mut self.filler, &mut self.pool, kind, &charges.values, &self.demand);
            }
            idle = if better { 0 } else { idle + 1 };
        }
        // A cover of what half a search found could be luckier than that of the whole search.
        if !self.filler.spent() && self.could_be_cheaper(total) {
            self.cover();
        }
        self.tell();
    }

    /// Whether whole sheets that cost at least `total` could cost less than the best plan.
    fn could_be_cheaper(&self, total: f64) -> bool {
        let Some((best, _)) = &self.best else { return true };
        let prices = self.prices();
        let equal = prices.iter().all(|p| *p == prices[0]);
        let least = if equal { (total / prices[0] - 1e-6).ceil() * prices[0] } else { total };
        least < best.price * (1.0 - 1e-9)
    }

    fn cover(&mut self) {
        let fillings: Vec<Filling> = self.pool.list.clone();
        let known: Vec<&Filling> = fillings.iter().collect();
        self.filler.work((known.len() * self.demand.len()) as u64);
        let Some(mix) = master::mix(&self.filler, &known, &self.demand) else { return };
        let plans = cover::whole(&mut self.filler, &mut self.pool, &mut self.rounds, &fillings, &mix, &self.demand);
        plans.into_iter().for_each(|plan| self.offer(plan));
    }
}
