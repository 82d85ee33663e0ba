//! Page after page until nothing is left to place, again and again with better values.
//!
//! A page that can be repeated often is taken before one that is a little fuller: how much fuller
//! it must be differs from round to round, and the best round wins. Values of items that end on
//! badly filled pages are raised (sequential value correction, Belov and Scheithauer 2007).

use super::block::Block;
use super::boxes::Boxes;
use super::fill::Filler;
use super::{Cut, Stacked};
use crate::Progress;
use crate::bound::Bound;
use crate::job::Job;
use crate::layout::{Layout, PackedSheet};

/// Looks in one step of the effort: a look is far cheaper than one of the other packer.
const LOOKS_PER_STEP: u64 = 10_000;
/// Most rounds, for jobs that cost next to nothing.
const ROUNDS: u64 = 400;
/// What a different page costs, as a part of its sheet's price.
const SETUP: f64 = 0.25;
/// How much value a page may lack against the fullest one when it can be repeated more often.
const SLACK: [f64; 6] = [0.0, 0.02, 0.05, 0.1, 0.16, 0.25];
/// Values count with this power of the area: more than one favours large pieces.
const POWERS: [f64; 4] = [1.02, 1.0, 1.06, 1.1];
/// How far values are shaken in later rounds.
const SHAKE: f64 = 0.12;

/// One way to fill a sheet, and how often.
#[derive(Clone)]
struct Page {
    kind: usize,
    block: Block,
    counts: Vec<u32>,
    times: u32,
}

pub(super) struct Planner<'a> {
    job: &'a Job,
    boxes: Boxes,
    values: Vec<f64>,
    chance: u64,
    looks: u64,
    budget: u64,
}

impl<'a> Planner<'a> {
    pub fn new(job: &'a Job) -> Self {
        let boxes = Boxes::new(job);
        let values = boxes.areas.clone();
        let budget = u64::from(job.effort()) * LOOKS_PER_STEP;
        Self { job, boxes, values, chance: job.seed(), looks: 0, budget }
    }

    pub fn run(mut self, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Stacked {
        let mut best: Option<(f64, u64, Vec<Page>)> = None;
        for round in 0..ROUNDS {
            let Some(pages) = self.round(round, best.is_some()) else { break };
            let cost: f64 =
                pages.iter().map(|page| self.job.sheets()[page.kind].price * (f64::from(page.times) + SETUP)).sum();
            let sheets = pages.iter().map(|page| u64::from(page.times)).sum();
            if best.as_ref().is_none_or(|(least, _, _)| cost < least - 1e-9) {
                best = Some((cost, sheets, pages));
            }
            let sheets = best.as_ref().map(|(_, sheets, _)| *sheets);
            let spent = if self.budget == 0 { 1.0 } else { (self.looks as f64 / self.budget as f64).min(1.0) };
            progress(Progress { spent, sheets, at_least: bound.sheets });
            if self.looks >= self.budget {
                break;
            }
        }
        let (_, sheets, pages) = best.unwrap_or((0.0, 0, Vec::new()));
        progress(Progress { spent: 1.0, sheets: Some(sheets), at_least: bound.sheets });
        self.stacked(pages)
    }

    /// One complete layout, or `None` where the budget ran out and there is one already.
    fn round(&mut self, round: u64, may_stop: bool) -> Option<Vec<Page>> {
        let mut left: Vec<u32> = self.job.items().iter().map(|item| item.copies).collect();
        let power = POWERS[(round / SLACK.len() as u64) as usize % POWERS.len()];
        let slack = SLACK[round as usize % SLACK.len()];
        let mut pages = Vec::new();
        while left.iter().any(|&n| n > 0) {
            if may_stop && self.looks >= self.budget {
                return None;
            }
            let values: Vec<f64> = (0..self.values.len())
                .map(|i| {
                    let shake = if round < SLACK.len() as u64 { 1.0 } else { 1.0 + SHAKE * (self.chance() - 0.5) };
                    self.values[i].powf(power) * shake
                })
                .collect();
            let page = self.page(&values, slack, &left)?;
            for (left, count) in left.iter_mut().zip(&page.counts) {
                *left -= count * page.times;
            }
            self.correct(&page);
            pages.push(page);
        }
        Some(pages)
    }

    /// The page to take next: the one that repeats most often among those that are full enough.
    fn page(&mut self, values: &[f64], slack: f64, left: &[u32]) -> Option<Page> {
        let fullest = self.fullest(values, left)?;
        let worth = |page: &Page| {
            let value: f64 = page.counts.iter().zip(values).map(|(n, value)| f64::from(*n) * value).sum();
            value / self.job.sheets()[page.kind].price
        };
        let enough = worth(&fullest) * (1.0 - slack);
        let most = left.iter().copied().max().unwrap_or(1);
        let area: f64 = left.iter().zip(&self.boxes.areas).map(|(n, area)| f64::from(*n) * area).sum();
        let [w, h] = self.boxes.rooms[fullest.kind];
        let pages = ((area / (w as f64 * h as f64)).ceil() as u32).clamp(1, most);
        // From all that is left on equal pages down to twice as often as the fullest.
        let mut times = pages;
        while slack > 0.0 && times > fullest.times {
            let share: Vec<u32> = left.iter().map(|n| n / times).collect();
            if share.iter().any(|&n| n > 0)
                && let Some(page) = self.fullest(values, &share)
                && worth(&page) >= enough
            {
                let times = repeats(&page.counts, left);
                return Some(Page { times, ..page });
            }
            times = (times * 3 / 4).min(times - 1);
        }
        Some(fullest)
    }

    /// The page of greatest value for its price, on any sheet, cut either way first; where one
    /// holds all that is left, the cheapest such one.
    fn fullest(&mut self, values: &[f64], left: &[u32]) -> Option<Page> {
        let least = self.job.sheets().iter().map(|sheet| sheet.price).fold(f64::INFINITY, f64::min);
        let mut best: Option<(Score, Page)> = None;
        for kind in 0..self.boxes.rooms.len() {
            for upright in [false, true] {
                let mut rest = left.to_vec();
                let mut filler = Filler { boxes: &self.boxes, values, looks: 0 };
                let block = filler.fill(self.boxes.rooms[kind], upright, &mut rest, 0);
                self.looks += filler.looks;
                let mut counts = vec![0; left.len()];
                block.count(&self.boxes, &mut counts);
                if counts.iter().all(|&n| n == 0) {
                    continue;
                }
                let price = self.job.sheets()[kind].price;
                let value: f64 = counts.iter().zip(values).map(|(n, value)| f64::from(*n) * value).sum();
                let score = Score { all: counts == left, price, rate: value / price };
                if best.as_ref().is_none_or(|(old, _)| score.better(old, least)) {
                    let times = repeats(&counts, left);
                    best = Some((score, Page { kind, block, counts, times }));
                }
            }
        }
        best.map(|(_, page)| page)
    }

    /// Items on a badly filled page were hard to place: they count more from now on.
    fn correct(&mut self, page: &Page) {
        let [w, h] = self.boxes.rooms[page.kind];
        let used: f64 = page.counts.iter().zip(&self.boxes.areas).map(|(n, area)| f64::from(*n) * area).sum();
        let share = (w as f64 * h as f64 / used.max(1.0)).min(3.0);
        for (item, _) in page.counts.iter().enumerate().filter(|(_, n)| **n > 0) {
            self.values[item] = 0.8 * self.values[item] + 0.2 * self.boxes.areas[item] * share;
        }
    }

    fn stacked(&self, mut pages: Vec<Page>) -> Stacked {
        let fill = |page: &Page| -> f64 {
            let used: f64 = page.counts.iter().zip(&self.boxes.areas).map(|(n, area)| f64::from(*n) * area).sum();
            let [w, h] = self.boxes.rooms[page.kind];
            used / (w as f64 * h as f64)
        };
        let mut joined: Vec<Page> = Vec::new();
        for page in pages.drain(..) {
            match joined.iter_mut().find(|other| (other.kind, &other.counts) == (page.kind, &page.counts)) {
                Some(other) => other.times += page.times,
                None => joined.push(page),
            }
        }
        // High stacks first, then full pages; the emptiest comes last.
        joined.sort_by(|a, b| b.times.cmp(&a.times).then(fill(b).total_cmp(&fill(a))));
        let mut stacked = Stacked { layout: Layout::default(), cuts: Vec::new() };
        for page in joined {
            let (placements, cuts): (_, Vec<Cut>) = page.block.lay(&self.boxes, self.boxes.blocks[page.kind]);
            stacked.layout.sheets.push(PackedSheet { kind: page.kind, copies: page.times, placements });
            stacked.cuts.push(cuts);
        }
        stacked
    }

    /// A number from 0 to 1 (SplitMix64, Steele, Lea and Flood 2014).
    fn chance(&mut self) -> f64 {
        self.chance = self.chance.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.chance;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// What decides between two pages.
struct Score {
    /// Whether it holds all that is left.
    all: bool,
    price: f64,
    /// Value for the price.
    rate: f64,
}

impl Score {
    /// A page that holds all is better than one that does not, unless it costs more than that one
    /// and the `least` that a further page costs.
    fn better(&self, other: &Self, least: f64) -> bool {
        match (self.all, other.all) {
            (true, true) => self.price < other.price,
            (true, false) => self.price <= other.price + least,
            (false, true) => other.price > self.price + least,
            (false, false) => self.rate > other.rate,
        }
    }
}

/// How often a page can be had.
fn repeats(counts: &[u32], left: &[u32]) -> u32 {
    counts.iter().zip(left).filter(|(count, _)| **count > 0).map(|(count, left)| left / count).min().unwrap_or(0)
}
