//! Layouts that follow an order: the sheets of one step of the work come before those of the next.
//!
//! A sheet that a step leaves open is continued with pieces of the next step, so that little is
//! lost; no sheet holds a piece of a step whose predecessors are not all on it or on earlier ones.

use crate::bound::{Bound, lower_bound};
use crate::job::{Item, Job};
use crate::layout::{Layout, PackedSheet, Placement};
use crate::{PackError, Progress, check, misfits, pack};

mod check_order;

pub use check_order::{OrderFault, check_order};

/// What one step needs: items (indices into the job) and how many of each.
pub type StepNeeds = Vec<(usize, u32)>;

/// A layout in the order of the steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ordered {
    /// The layout; its sheets stand in the order of the steps.
    pub layout: Layout,
    /// For each of its sheets the first and the last step that it serves, from 0.
    pub spans: Vec<(usize, usize)>,
}

/// Every step's needs, item by item: what no step names belongs to the last one, and what the
/// steps name beyond the job's copies is left out, later steps first.
#[must_use]
pub fn needs(job: &Job, steps: &[StepNeeds]) -> Vec<Vec<u32>> {
    let mut left: Vec<u32> = job.items().iter().map(|item| item.copies).collect();
    let kinds = left.len();
    let mut needs: Vec<Vec<u32>> = steps
        .iter()
        .map(|step| {
            let mut need = vec![0; kinds];
            for &(item, copies) in step.iter().filter(|(item, _)| *item < kinds) {
                let taken = copies.min(left[item]);
                left[item] -= taken;
                need[item] += taken;
            }
            need
        })
        .collect();
    if needs.is_empty() {
        needs.push(vec![0; kinds]);
    }
    if let Some(last) = needs.last_mut() {
        last.iter_mut().zip(left).for_each(|(need, left)| *need += left);
    }
    needs
}

/// Places every copy of every item, the sheets in the order of `steps`. Same job, same layout.
///
/// `bound` is that of the job without an order: it holds for any order.
///
/// # Errors
/// [`PackError::TooLarge`] lists every item that no sheet holds.
pub fn in_order(
    job: &Job,
    steps: &[StepNeeds],
    bound: &Bound,
    progress: &mut dyn FnMut(Progress),
) -> Result<Ordered, PackError> {
    let misfits = misfits(job);
    if !misfits.is_empty() {
        return Err(PackError::TooLarge(misfits));
    }
    let needs = needs(job, steps);
    let busy = needs.iter().filter(|need| need.iter().any(|&n| n > 0)).count();
    let mut packer = Packer { job, effort: job.effort() / u32::try_from(busy).unwrap_or(u32::MAX).max(1) };
    let mut ordered = Ordered::default();
    let mut open: Option<Open> = None;
    for (step, need) in needs.iter().enumerate() {
        let spent = step as f64 / needs.len() as f64;
        progress(Progress { spent, sheets: None, at_least: bound.sheets });
        let mut need = need.clone();
        if let Some(page) = &mut open {
            packer.fill_up(page, &mut need, step);
        }
        if need.iter().all(|&n| n == 0) {
            continue;
        }
        if let Some(page) = open.take() {
            ordered.push(page.sheet, page.span);
        }
        let (full, last) = packer.sheets(&need)?;
        full.into_iter().for_each(|sheet| ordered.push(sheet, (step, step)));
        open = last.map(|sheet| Open { counts: counts(job, &sheet), sheet, span: (step, step) });
    }
    if let Some(page) = open {
        ordered.push(page.sheet, page.span);
    }
    let sheets = Some(ordered.layout.sheets_used());
    progress(Progress { spent: 1.0, sheets, at_least: bound.sheets });
    debug_assert_eq!(check::check(job, &ordered.layout), Ok(()), "the packer broke its promise");
    debug_assert_eq!(check_order(job, steps, &ordered), Ok(()), "the packer broke its promise");
    Ok(ordered)
}

/// A sheet that may take more.
struct Open {
    counts: Vec<u32>,
    sheet: PackedSheet,
    span: (usize, usize),
}

impl Ordered {
    fn push(&mut self, sheet: PackedSheet, span: (usize, usize)) {
        self.layout.sheets.push(sheet);
        self.spans.push(span);
    }
}

struct Packer<'a> {
    job: &'a Job,
    /// Effort for one step.
    effort: u32,
}

impl Packer<'_> {
    /// The sheets of some pieces: those that are done, and the emptiest one, which may take more.
    fn sheets(&self, need: &[u32]) -> Result<(Vec<PackedSheet>, Option<PackedSheet>), PackError> {
        let Some((small, items)) = self.part(need, None, self.effort) else { return Ok((Vec::new(), None)) };
        let layout = pack(&small, &lower_bound(&small), &mut |_| {})?;
        let mut sheets: Vec<PackedSheet> = layout.sheets.into_iter().map(|sheet| renamed(sheet, &items)).collect();
        let used = |sheet: &PackedSheet| -> f64 {
            let area = |p: &Placement| self.job.items()[p.item].outline.area();
            sheet.placements.iter().map(area).sum::<f64>() / self.job.sheets()[sheet.kind].free.area()
        };
        let emptiest = (0..sheets.len()).min_by(|&a, &b| used(&sheets[a]).total_cmp(&used(&sheets[b])).then(b.cmp(&a)));
        let Some(emptiest) = emptiest else { return Ok((sheets, None)) };
        let mut last = sheets.remove(emptiest);
        if last.copies > 1 {
            sheets.push(PackedSheet { copies: last.copies - 1, ..last.clone() });
            last.copies = 1;
        }
        Ok((sheets, Some(last)))
    }

    /// Adds to an open sheet what it takes of `need`: all of it where that fits, or else large
    /// pieces first.
    fn fill_up(&mut self, page: &mut Open, need: &mut [u32], step: usize) {
        if self.add(page, need) {
            need.fill(0);
            page.span.1 = step;
            return;
        }
        let mut order: Vec<usize> = (0..need.len()).filter(|&item| need[item] > 0).collect();
        let area = |item: usize| self.job.items()[item].outline.area();
        order.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
        for item in order {
            // The number that fits, between one that does and one that does not.
            let (mut fits, mut fails) = (0, need[item] + 1);
            let free = self.job.sheets()[page.sheet.kind].free.area();
            fails = fails.min((free / area(item)) as u32 + 2);
            let start = page.counts[item];
            while fails - fits > 1 {
                let middle = fits + (fails - fits) / 2;
                let mut more = vec![0; need.len()];
                more[item] = start + middle - page.counts[item];
                if self.add(page, &more) {
                    fits = middle;
                } else {
                    fails = middle;
                }
            }
            need[item] -= fits;
            if fits > 0 {
                page.span.1 = step;
            }
        }
    }

    /// Whether an open sheet takes some more pieces; then it has them.
    fn add(&self, page: &mut Open, more: &[u32]) -> bool {
        let sum: Vec<u32> = page.counts.iter().zip(more).map(|(a, b)| a.saturating_add(*b)).collect();
        let free = self.job.sheets()[page.sheet.kind].free;
        let area: f64 = sum.iter().zip(self.job.items()).map(|(n, item)| f64::from(*n) * item.outline.area()).sum();
        if area > free.area() {
            return false;
        }
        let Some((small, items)) = self.part(&sum, Some(page.sheet.kind), self.effort / 8) else { return false };
        let bound = lower_bound(&small);
        if bound.sheets > 1 {
            return false;
        }
        // An item that does not fit this kind of sheet at all is refused.
        let Ok(layout) = pack(&small, &bound, &mut |_| {}) else { return false };
        match &layout.sheets[..] {
            [sheet] if sheet.copies == 1 => {
                page.sheet = PackedSheet { kind: page.sheet.kind, ..renamed(sheet.clone(), &items) };
                page.counts = sum;
                true
            }
            _ => false,
        }
    }

    /// A job of some of the pieces, on all kinds of sheet or on one; with the items' indices.
    fn part(&self, need: &[u32], kind: Option<usize>, effort: u32) -> Option<(Job, Vec<usize>)> {
        let items: Vec<usize> = (0..need.len()).filter(|&item| need[item] > 0).collect();
        let wanted = |&item: &usize| Item { copies: need[item], ..self.job.items()[item].clone() };
        let sheets = match kind {
            Some(kind) => vec![self.job.sheets()[kind].clone()],
            None => self.job.sheets().to_vec(),
        };
        if items.is_empty() {
            return None;
        }
        // A part of a sane job is sane.
        let job = Job::new(items.iter().map(wanted).collect(), sheets, self.job.gap(), self.job.seed(), effort).ok()?;
        Some((job, items))
    }
}

/// A part's sheet with the whole job's item indices.
fn renamed(mut sheet: PackedSheet, items: &[usize]) -> PackedSheet {
    sheet.placements.iter_mut().for_each(|placement| placement.item = items[placement.item]);
    sheet
}

fn counts(job: &Job, sheet: &PackedSheet) -> Vec<u32> {
    let mut counts = vec![0; job.items().len()];
    sheet.placements.iter().for_each(|placement| counts[placement.item] += 1);
    counts
}
