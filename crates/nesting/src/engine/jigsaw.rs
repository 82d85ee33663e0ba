//! Sheets without any waste first, the rest by any other engine.
//!
//! Where pieces meet without a gap and were cut from whole sheets, those sheets can be found
//! again: [`super::tiling`] lays them, this module says how long and in which manner it is tried.

use super::chance::Chance;
use super::shapes::{Shapes, room};
use super::tile::SLACK;
use super::tiling::{Full, Manner, Tiler};
use crate::Progress;
use crate::bound::{Bound, lower_bound};
use crate::job::{Item, Job, JobError};
use crate::layout::{Layout, PackedSheet};

/// Steps of the tiler that cost as much as a thousand looks at contacts, one step of effort.
const STEPS_PER_EFFORT: u64 = 1_000;
/// Part of the effort that may be spent here, as one over this number.
const SHARE: u64 = 1;
/// The same where the pieces do not add up to whole sheets.
const SMALL_SHARE: u64 = 40;
/// Steps of the first attempt; some later ones are given more.
const FIRST_STEPS: u64 = 100_000;
/// Part of the effort for what full sheets leave; the remainder is for the whole without them.
const REST: f64 = 0.15;
/// Effort of the bound on what full sheets leave: it only ends a search early, so a weak one does.
const REST_BOUND: u32 = 200;
/// Rounding of a sum of areas, as a part of a sheet.
const NOISE: f64 = 1e-6;

/// Another engine that packs a job.
type Engine<'e> = &'e mut dyn FnMut(&Job, &Bound, &mut dyn FnMut(Progress)) -> Layout;

/// Packs `job`: by full sheets, and what these leave by `engine`, where that is no worse than the
/// whole by `engine`.
pub(super) fn solve(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress), engine: Engine<'_>) -> Layout {
    let full = full_sheets(job);
    if full.is_empty() {
        return engine(job, bound, progress);
    }
    let Some(first) = completed(job, full, engine) else { return engine(job, bound, progress) };
    let sheets = first.sheets_used();
    // With several kinds of sheet a price would have to be proved as well.
    let met = sheets <= bound.sheets && job.sheets().len() == 1;
    progress(Progress { spent: if met { 1.0 } else { REST }, sheets: Some(sheets), at_least: bound.sheets });
    if met {
        return first;
    }
    let effort = (f64::from(job.effort()) * (1.0 - REST)) as u32;
    let Ok(whole) = with(job, job.items().to_vec(), effort) else { return first };
    let second = engine(&whole, bound, &mut |p| {
        let sheets = Some(p.sheets.map_or(sheets, |s| s.min(sheets)));
        progress(Progress { spent: REST + p.spent * (1.0 - REST), sheets, ..p });
    });
    let price = |layout: &Layout| -> f64 {
        layout.sheets.iter().map(|s| job.sheets()[s.kind].price * f64::from(s.copies)).sum()
    };
    if price(&first) <= price(&second) * (1.0 + 1e-9) { first } else { second }
}

/// The full sheets, and what they leave packed by `engine`.
fn completed(job: &Job, full: Vec<PackedSheet>, engine: Engine<'_>) -> Option<Layout> {
    let mut left: Vec<u32> = job.items().iter().map(|item| item.copies).collect();
    for sheet in &full {
        sheet.placements.iter().for_each(|p| left[p.item] = left[p.item].saturating_sub(sheet.copies));
    }
    let kept: Vec<usize> = (0..left.len()).filter(|&i| left[i] > 0).collect();
    let mut layout = Layout { sheets: full };
    if kept.is_empty() {
        return Some(layout);
    }
    let items = kept.iter().map(|&i| Item { copies: left[i], ..job.items()[i].clone() }).collect();
    let rest = with(job, items, (f64::from(job.effort()) * REST) as u32).ok()?;
    let quick = with(&rest, rest.items().to_vec(), rest.effort().min(REST_BOUND)).ok()?;
    let others = engine(&rest, &lower_bound(&quick), &mut |_| {});
    layout.sheets.extend(others.sheets.into_iter().map(|mut sheet| {
        sheet.placements.iter_mut().for_each(|p| p.item = kept[p.item]);
        sheet
    }));
    Some(layout)
}

/// `job` with other items and another effort.
fn with(job: &Job, items: Vec<Item>, effort: u32) -> Result<Job, Vec<JobError>> {
    Job::new(items, job.sheets().to_vec(), job.gap(), job.seed(), effort)
}

/// As many sheets of the kind with the least price for its area as can be filled without waste.
fn full_sheets(job: &Job) -> Vec<PackedSheet> {
    let price = |kind: usize| job.sheets()[kind].price / job.sheets()[kind].free.area();
    let Some(kind) = (0..job.sheets().len()).min_by(|&a, &b| price(a).total_cmp(&price(b))) else { return Vec::new() };
    let free = job.sheets()[kind].free;
    let area: f64 = job.items().iter().map(|item| f64::from(item.copies) * item.outline.area()).sum();
    let ratio = area / free.area();
    let goal = (ratio + NOISE).floor();
    if job.gap().get() > SLACK || goal < 1.0 {
        return Vec::new();
    }
    // Pieces that add up to whole sheets were most likely cut from them.
    let share = if ratio - goal < NOISE { SHARE } else { SMALL_SHARE };
    let most = u64::from(job.effort()) * STEPS_PER_EFFORT / share;
    let shapes = Shapes::new(job);
    let left: Vec<u32> = job.items().iter().map(|item| item.copies).collect();
    let mut tiler = Tiler::new(&shapes);
    let mut chance = Chance::new(job.seed());
    let mut best = tiler.fill(
        room(free),
        &left,
        goal as u64,
        Manner { mood: 0.0, strict: false },
        &mut chance,
        FIRST_STEPS.min(most),
    );
    for attempt in 1.. {
        if best.exhausted || best.sheets >= goal as u64 || tiler.steps >= most {
            break;
        }
        let steps = (FIRST_STEPS * luby(attempt)).min(most - tiler.steps);
        let manner = Manner { mood: chance.part(), strict: attempt % 4 != 0 };
        let next = tiler.fill(room(free), &left, goal as u64, manner, &mut chance, steps);
        let exhausted = next.exhausted;
        if next.sheets > best.sheets {
            best = next;
        }
        best.exhausted |= exhausted;
    }
    let sheet = |full: &Full| {
        let placements = full.puts.iter().map(|put| shapes.list[put.shape].placement(put.at)).collect();
        PackedSheet { kind, copies: full.times, placements }
    };
    best.full.iter().map(sheet).collect()
}

/// The number at `index`, from 1, of the sequence 1, 1, 2, 1, 1, 2, 4, ...: lengths of attempts that
/// are never far from the best for searches whose luck varies widely (Luby, Sinclair and Zuckerman 1993).
fn luby(index: u64) -> u64 {
    let above = (index + 1).next_power_of_two();
    if above == index + 1 { above / 2 } else { luby(index + 1 - above / 2) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attempts_have_the_published_lengths() {
        assert_eq!((1..=15).map(luby).collect::<Vec<_>>(), [1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8]);
    }
}
