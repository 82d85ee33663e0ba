//! Items with one outline are packed as one, and told apart again afterwards.
//!
//! The cost of packing grows with distinct shapes. A hundred tiles with names of their own are
//! one shape; which of them lies where is decided when all places are known.

use std::collections::BTreeMap;

use crate::job::{Item, Job};
use crate::layout::{Layout, PackedSheet, Placement};

/// Items that share outline and turns, by the item of the smaller job that stands for them.
pub(super) struct Alike {
    groups: Vec<Vec<usize>>,
}

/// The job with one item for each distinct outline; `None` where all are distinct.
pub(super) fn merged(job: &Job) -> Option<(Job, Alike)> {
    let mut seen: BTreeMap<Vec<u64>, usize> = BTreeMap::new();
    let mut items: Vec<Item> = Vec::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, item) in job.items().iter().enumerate() {
        let corners = item.outline.points().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]);
        let key: Vec<u64> = std::iter::once(item.turns as u64).chain(corners).collect();
        match seen.get(&key) {
            Some(&group) => {
                items[group].copies += item.copies;
                groups[group].push(index);
            }
            None => {
                seen.insert(key, items.len());
                items.push(item.clone());
                groups.push(vec![index]);
            }
        }
    }
    if items.len() == job.items().len() {
        return None;
    }
    // Sums stay within the limits of the whole job, so the smaller one is sane too.
    let smaller = Job::new(items, job.sheets().to_vec(), job.gap(), job.seed(), job.effort()).ok()?;
    Some((smaller, Alike { groups }))
}

impl Alike {
    /// The same places, each with an item of the whole job. A sheet's copies stay together as
    /// far as there are as many copies of the items on it.
    pub(super) fn told_apart(&self, job: &Job, layout: &Layout) -> Layout {
        let mut left: Vec<u32> = job.items().iter().map(|item| item.copies).collect();
        let sheets = layout.sheets.iter().flat_map(|sheet| self.sheet(&mut left, sheet)).collect();
        Layout { sheets }
    }

    fn sheet(&self, left: &mut [u32], sheet: &PackedSheet) -> Vec<PackedSheet> {
        let mut done = Vec::new();
        let mut copies = sheet.copies;
        while copies > 0 {
            let mut uses: BTreeMap<usize, u32> = BTreeMap::new();
            let placements: Vec<Placement> = sheet
                .placements
                .iter()
                .map(|place| {
                    // Of the items that could lie here, the one that would repeat most often.
                    let repeats = |item: &usize| left[*item] / (uses.get(item).copied().unwrap_or(0) + 1);
                    let group = &self.groups[place.item];
                    let best = group.iter().rev().max_by_key(|item| repeats(item)).copied().unwrap_or(group[0]);
                    *uses.entry(best).or_default() += 1;
                    Placement { item: best, ..*place }
                })
                .collect();
            let repeats = uses.iter().map(|(item, uses)| left[*item] / uses).min().unwrap_or(copies);
            let repeats = repeats.clamp(1, copies);
            for (item, uses) in uses {
                left[item] = left[item].saturating_sub(uses * repeats);
            }
            copies -= repeats;
            done.push(PackedSheet { kind: sheet.kind, copies: repeats, placements });
        }
        done
    }
}
