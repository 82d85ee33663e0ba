//! A complete choice of sheets, and which of two is the better.

use super::filler::{Filler, Filling};
use crate::layout::{Layout, PackedSheet};

/// Fillings and how often each is used.
pub(super) type Plan = Vec<(Filling, u32)>;

/// What a complete plan is worth.
#[derive(Clone, Copy)]
pub(super) struct Rank {
    pub(super) price: f64,
    pub(super) sheets: u64,
    different: usize,
    /// How full the emptiest sheet is that is made once.
    last: f64,
}

impl Rank {
    pub(super) const NONE: Self = Self { price: 0.0, sheets: 0, different: 0, last: 0.0 };

    pub(super) fn of(filler: &Filler<'_>, plan: &Plan) -> Self {
        let price = plan.iter().map(|(f, times)| filler.price(f.kind) * f64::from(*times)).sum();
        let sheets = plan.iter().map(|(_, times)| u64::from(*times)).sum();
        let once = plan.iter().filter(|(_, times)| *times == 1);
        let last = once.map(|(f, _)| filler.worth(f, &filler.areas)).fold(f64::INFINITY, f64::min);
        Self { price, sheets, different: plan.len(), last }
    }

    /// Whether it costs less, rounding aside.
    pub(super) fn cheaper(&self, old: &Self) -> bool {
        // Sums of the same prices in another order differ by rounding only.
        self.price < old.price * (1.0 - 1e-9)
    }

    pub(super) fn better(&self, old: &Self) -> bool {
        self.cheaper(old)
            || !old.cheaper(self) && (self.sheets, self.different, self.last) < (old.sheets, old.different, old.last)
    }
}

/// Equal fillings joined.
pub(super) fn joined(plan: Plan) -> Plan {
    let mut out: Plan = Vec::with_capacity(plan.len());
    for (filling, times) in plan {
        match out.iter_mut().find(|(f, _)| f.kind == filling.kind && f.counts == filling.counts) {
            Some(known) => known.1 += times,
            None => out.push((filling, times)),
        }
    }
    out
}

/// The plan as a layout.
pub(super) fn layout(filler: &Filler<'_>, plan: &Plan) -> Layout {
    let sheets = plan
        .iter()
        .map(|(filling, copies)| PackedSheet {
            kind: filling.kind,
            copies: *copies,
            placements: filler.placements(filling),
        })
        .collect();
    Layout { sheets }
}
