//! Looks for the best bound within the job's effort.

use std::collections::BTreeMap;

use super::certificate::{Certificate, Excluded, Measure};
use super::classes::{Class, classes};
use super::dual;
use super::knapsack::{self, WHOLE};
use super::programme::{Programme, Row, Weighed};
use super::relation::{Rules, Shape};
use super::together::{Answer, Prover};
use super::{Bound, Lengths, certificate, tuning};
use crate::job::{Job, SheetKind};

/// The best bound found; see [`super::lower_bound`]. `doubted` are sets of pieces, by sheet kind,
/// that must not be excluded.
pub(super) fn bound(job: &Job, doubted: &[(usize, Excluded)]) -> Bound {
    with_effort(job, doubted, u64::from(job.effort()))
}

/// The best bound that needs no excluded sets.
pub(super) fn by_measures(job: &Job) -> Bound {
    with_effort(job, &[], 0)
}

fn with_effort(job: &Job, doubted: &[(usize, Excluded)], effort: u64) -> Bound {
    let classes = classes(job);
    if classes.is_empty() {
        return Bound::default();
    }
    Search::new(job, &classes).run(doubted, effort)
}

struct Search<'a> {
    job: &'a Job,
    classes: &'a [Class],
    lengths: Lengths,
    copies: Vec<u64>,
    measures: Vec<Vec<Measure>>,
    limits: Vec<knapsack::Limits>,
}

impl<'a> Search<'a> {
    fn new(job: &'a Job, classes: &'a [Class]) -> Self {
        let lengths = Lengths::of(job);
        let mut search = Self {
            job,
            classes,
            lengths,
            copies: classes.iter().map(|class| class.copies).collect(),
            measures: Vec::new(),
            limits: Vec::new(),
        };
        for sheet in job.sheets() {
            let boxes = search.boxes(sheet);
            let mut measures = vec![Measure::Area];
            let counted: Vec<_> = boxes.iter().cloned().zip(search.copies.iter().copied()).collect();
            let pairs = dual::best(&counted, tuning::PRODUCTS, tuning::product_budget(job));
            measures.extend(pairs.into_iter().map(|(f, g)| Measure::Product(f, g)));
            let sizes = measures.iter().map(|&m| search.sizes(sheet, &boxes, m)).collect();
            let most = boxes
                .iter()
                .zip(&search.copies)
                .map(|(turns, &n)| if turns.is_empty() { 0 } else { u32::try_from(n).unwrap_or(u32::MAX) });
            search.limits.push(knapsack::Limits { most: most.collect(), sizes, excluded: Vec::new() });
            search.measures.push(measures);
        }
        search
    }

    fn run(mut self, doubted: &[(usize, Excluded)], effort: u64) -> Bound {
        let ones = vec![1.0; self.job.sheets().len()];
        // What each measure gives alone: sizes are weights of which a sheet holds at most one whole.
        let mut best = self.plain();
        let known = self.classes.iter().all(Class::turns_by_quarters);
        let placeable = known && (0..self.classes.len()).all(|c| self.limits.iter().any(|l| l.most[c] > 0));
        let mut price = None;
        if placeable && effort > 0 && self.classes.len() <= tuning::CLASSES {
            let found = self.exclude(&ones, doubted, effort);
            best.extend(found);
            let prices: Vec<f64> = self.job.sheets().iter().map(|s| s.price).collect();
            if prices.iter().any(|p| *p != prices[0]) {
                let mut programme =
                    Programme::new(self.copies.clone(), &prices, &self.limits, effort * tuning::WORK_PER_EFFORT);
                price = programme.solve(&self.limits);
            }
        }
        // Limits have only become tighter: a ceiling found under fewer of them still holds.
        let worth = |w: &Weighed| w.worth(&self.copies, &ones);
        let sheets = best.into_iter().reduce(|a, b| if worth(&b) > worth(&a) { b } else { a });
        let nothing = Weighed { weights: vec![0; self.classes.len()], most: vec![1; ones.len()] };
        let mut sheets = sheets.unwrap_or(nothing);
        if price.is_none() {
            self.trim(&mut sheets);
        }
        self.bound(sheets, price)
    }

    fn plain(&self) -> Vec<Weighed> {
        let single = self.job.sheets().len() == 1;
        let by_measure = |measure: usize| {
            // With several kinds of sheets a piece counts the least that it does on any.
            let weights =
                (0..self.classes.len()).map(|c| self.limits.iter().map(|l| l.sizes[measure][c]).min().unwrap_or(0));
            Weighed { weights: weights.collect(), most: vec![WHOLE; self.limits.len()] }
        };
        let count = if single { self.measures[0].len() } else { 1 };
        (0..count).map(by_measure).collect()
    }

    /// Rounds of: best weights, the sets of pieces that hold them down, proofs that some of those
    /// cannot lie on one sheet.
    fn exclude(&mut self, ones: &[f64], doubted: &[(usize, Excluded)], effort: u64) -> Vec<Weighed> {
        let classes = self.classes;
        let lengths = self.lengths;
        let rules = Rules { reach: lengths.reach, strip: lengths.strip };
        let shapes: Vec<Shape> = classes
            .iter()
            .enumerate()
            .flat_map(|(c, class)| {
                class.turned().into_iter().map(move |t| Shape::new(c, t.turn, &t.points, t.inner, rules))
            })
            .collect();
        let half: Vec<bool> = classes.iter().map(|class| class.turns.allows(2)).collect();
        let mut provers: Vec<Prover<'_>> = self
            .job
            .sheets()
            .iter()
            .map(|sheet| {
                let (width, height) = lengths.room(sheet);
                Prover::new(&shapes, half.clone(), width, height, rules)
            })
            .collect();
        let budget = effort * tuning::STEPS_PER_EFFORT;
        let mut programme = Programme::new(self.copies.clone(), ones, &self.limits, effort * tuning::WORK_PER_EFFORT);
        let mut asked: Vec<BTreeMap<Excluded, Answer>> = vec![BTreeMap::new(); provers.len()];
        for (sheet, set) in doubted {
            asked[*sheet].insert(set.clone(), Answer::Doubted);
        }
        let mut found = Vec::new();
        let mut share = budget / tuning::SHARES;
        while let Some(weighed) = programme.solve(&self.limits) {
            found.push(weighed);
            let mut any = false;
            for row in programme.cover() {
                let spent: u64 = provers.iter().map(|p| p.steps).sum();
                let ask = Ask { limits: &self.limits[row.sheet], budget: budget.saturating_sub(spent).min(share) };
                if ask.budget == 0 {
                    break;
                }
                if let Some(set) = ask.row(&row, &mut provers[row.sheet], &mut asked[row.sheet]) {
                    self.limits[row.sheet].excluded.push(set);
                    any = true;
                }
            }
            if any {
                programme.tightened(&self.limits);
                continue;
            }
            // What was too long for a small share may be answered with a larger one.
            let undecided = asked.iter().flat_map(BTreeMap::values).any(|answer| *answer == Answer::Unknown);
            if !undecided || provers.iter().map(|p| p.steps).sum::<u64>() >= budget {
                break;
            }
            share *= tuning::SHARE_GROWTH;
            asked.iter_mut().for_each(|asked| asked.retain(|_, answer| *answer != Answer::Unknown));
        }
        found
    }

    /// Drops excluded sets that the number of sheets does not need, those of most pieces first, and
    /// measures, so that what is left is short to read and to check.
    fn trim(&mut self, weighed: &mut Weighed) {
        let total = weighed.total(&self.copies);
        let heaviest = weighed.most.iter().copied().max().unwrap_or(0);
        let sheets = total.div_ceil(u128::from(heaviest.max(1)));
        // With less than this on a sheet, one sheet less is too few.
        let allowed = u64::try_from(total.saturating_sub(1) / sheets.saturating_sub(1).max(1)).unwrap_or(u64::MAX);
        for (sheet, limits) in self.limits.iter_mut().enumerate() {
            let mut enough = |fewer: &knapsack::Limits| {
                let ceiling = knapsack::most(fewer, &weighed.weights, &mut tuning::TRIM_NODES.clone()).ceiling;
                let enough = ceiling <= allowed;
                if enough {
                    weighed.most[sheet] = weighed.most[sheet].max(ceiling);
                }
                enough
            };
            let pieces = |set: &Excluded| set.iter().map(|(_, n)| n).sum::<u32>();
            let mut order = limits.excluded.clone();
            order.reverse();
            order.sort_by_key(|set| std::cmp::Reverse(pieces(set)));
            for set in order {
                let mut fewer = limits.clone();
                fewer.excluded.retain(|other| *other != set);
                if enough(&fewer) {
                    *limits = fewer;
                }
            }
            for measure in (0..limits.sizes.len()).rev().filter(|_| sheets > 1) {
                let mut fewer = limits.clone();
                fewer.sizes.remove(measure);
                if enough(&fewer) {
                    *limits = fewer;
                    self.measures[sheet].remove(measure);
                }
            }
        }
    }

    /// The inner rectangle of every class in the turns in which it fits the sheet, as parts of the
    /// sheet's sides.
    fn boxes(&self, sheet: &SheetKind) -> Vec<dual::Box2> {
        let (width, height) = self.lengths.room(sheet);
        let (grow, strip) = (self.lengths.box_growth(), self.lengths.strip);
        let part = |length: f64, room: f64| (length - 2.0 * strip - super::MARGIN + grow).max(0.0) / (room + grow);
        let turns = |class: &Class| {
            let outline = class.outline.bounds().size();
            let inner = class.inner.size();
            let mut turns = Vec::new();
            for turn in [0, 1] {
                let side = |a: f64, b: f64| if turn == 0 { (a, b) } else { (b, a) };
                let (w, h) = side(outline.width, outline.height);
                let allowed = class.turns.allows(turn) || class.turns.allows(turn + 2);
                if allowed && w <= width && h <= height {
                    let (w, h) = side(inner.width, inner.height);
                    turns.push([part(w, width).min(1.0), part(h, height).min(1.0)]);
                }
            }
            turns
        };
        self.classes.iter().map(turns).collect()
    }

    /// The size of each class in parts of [`WHOLE`], rounded down.
    fn sizes(&self, sheet: &SheetKind, boxes: &[dual::Box2], measure: Measure) -> Vec<u64> {
        let whole = |part: f64| (part * WHOLE as f64 * (1.0 - 1e-12)) as u64;
        match measure {
            Measure::Area => {
                let room = self.lengths.grown_room(sheet);
                let r = self.lengths.radius();
                self.classes.iter().map(|c| whole(c.grown_area(r, self.lengths.strip) / room)).collect()
            }
            Measure::Product(f, g) => boxes.iter().map(|turns| whole(dual::size(turns, f, g))).collect(),
        }
    }

    fn bound(self, sheets: Weighed, price: Option<Weighed>) -> Bound {
        let prices: Vec<f64> = self.job.sheets().iter().map(|s| s.price).collect();
        let weights =
            |w: Weighed| certificate::Weights { total: w.total(&self.copies), of_class: w.weights, most: w.most };
        let limits = self.measures.iter().zip(self.limits);
        let certificate = Certificate {
            classes: self.classes.iter().map(|class| class.items.clone()).collect(),
            names: self.classes.iter().map(|class| self.job.items()[class.items[0]].name.clone()).collect(),
            inner: self.classes.iter().map(|class| class.inner).collect(),
            limits: limits
                .map(|(measures, l)| certificate::Limits { measures: measures.clone(), excluded: l.excluded })
                .collect(),
            sheets: weights(sheets),
            price: price.map(weights),
        };
        Bound { sheets: certificate.least_sheets(), price: certificate.least_price(&prices), certificate }
    }
}

/// A question about one row.
struct Ask<'a> {
    limits: &'a knapsack::Limits,
    /// Steps for one set.
    budget: u64,
}

impl Ask<'_> {
    /// A smallest part of the row that no sheet holds, if one is proved.
    fn row(&self, row: &Row, prover: &mut Prover<'_>, asked: &mut BTreeMap<Excluded, Answer>) -> Option<Excluded> {
        for pieces in 2..=tuning::PIECES {
            let mut sets = Vec::new();
            self.parts(&row.counts, pieces, &mut sets);
            for set in sets {
                // One of an earlier row may have settled this one.
                if self.limits.excluded.iter().any(|other| holds(&set, other)) {
                    return None;
                }
                let may = |(other, answer): (&Excluded, &Answer)| *answer == Answer::Maybe && holds(other, &set);
                if asked.contains_key(&set) || asked.iter().any(may) {
                    continue;
                }
                let answer = prover.ask(&set, self.budget);
                asked.insert(set.clone(), answer);
                if answer == Answer::Never {
                    return Some(set);
                }
            }
        }
        None
    }

    /// Parts of a row with that many pieces, those of the largest pieces first, not too many and
    /// none that leaves most of the sheet free.
    fn parts(&self, counts: &[u32], pieces: u32, sets: &mut Vec<Excluded>) {
        let size = |class: usize| self.limits.sizes[0][class];
        let mut order: Vec<usize> = (0..counts.len()).filter(|&c| counts[c] > 0).collect();
        order.sort_by_key(|&c| (std::cmp::Reverse(size(c)), c));
        order.truncate(tuning::DIFFERENT);
        let mut all = Vec::new();
        choose(&order, counts, pieces, &mut Vec::new(), &mut all);
        let filled = |set: &Excluded| set.iter().map(|&(c, n)| size(c) * u64::from(n)).sum::<u64>();
        all.retain(|set| filled(set) as f64 > tuning::FILLED * WHOLE as f64);
        all.sort_by_key(|set| std::cmp::Reverse(filled(set)));
        all.truncate(tuning::PARTS);
        sets.extend(all);
    }
}

/// All ways to take `pieces` of the classes in `order`, at most `counts` of each.
fn choose(order: &[usize], counts: &[u32], pieces: u32, taken: &mut Excluded, all: &mut Vec<Excluded>) {
    if pieces == 0 {
        all.push(taken.clone());
        return;
    }
    let Some((&class, rest)) = order.split_first() else { return };
    for n in (0..=pieces.min(counts[class])).rev() {
        if n > 0 {
            taken.push((class, n));
        }
        choose(rest, counts, pieces - n, taken, all);
        if n > 0 {
            taken.pop();
        }
    }
}

/// Whether all of `part` is in `whole`.
fn holds(whole: &Excluded, part: &Excluded) -> bool {
    part.iter().all(|(class, n)| whole.iter().any(|(c, m)| c == class && m >= n))
}
