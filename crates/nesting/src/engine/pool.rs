//! Fillings that were found, each once.

use std::collections::BTreeSet;

use super::filler::Filling;
use super::tuning;

#[derive(Default)]
pub(super) struct Pool {
    pub(super) list: Vec<Filling>,
    seen: BTreeSet<(usize, Vec<u32>)>,
}

impl Pool {
    /// Keeps a filling; `false` where one like it is known or there are too many.
    pub(super) fn add(&mut self, filling: &Filling) -> bool {
        let fresh = !filling.puts.is_empty()
            && self.list.len() < tuning::POOL
            && self.seen.insert((filling.kind, filling.counts.clone()));
        if fresh {
            self.list.push(filling.clone());
        }
        fresh
    }
}
