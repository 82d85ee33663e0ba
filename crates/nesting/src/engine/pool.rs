//! Fillings that were found, each once.

use std::collections::BTreeSet;

use super::filler::{Filling, Way};
use super::tuning;

#[derive(Default)]
pub(super) struct Pool {
    pub(super) list: Vec<Filling>,
    /// How each was filled.
    pub(super) ways: Vec<Way>,
    seen: BTreeSet<(usize, Vec<u32>)>,
}

impl Pool {
    /// Keeps a filling; `false` where one like it is known or there are too many.
    pub(super) fn add(&mut self, filling: &Filling, way: &Way) -> bool {
        let fresh = !filling.puts.is_empty()
            && self.list.len() < tuning::POOL
            && self.seen.insert((filling.kind, filling.counts.clone()));
        if fresh {
            self.list.push(filling.clone());
            self.ways.push(way.again());
        }
        fresh
    }
}
