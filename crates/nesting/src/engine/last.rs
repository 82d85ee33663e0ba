//! The last sheet: its free area in one piece.

use super::filler::{Filler, Filling};
use super::plan::Plan;
use super::tuning;
use crate::free::largest_free;
use crate::layout::PackedSheet;

/// Puts the emptiest sheet last, filled such that it leaves the largest rectangle free that some
/// tries find; fuller sheets come first. Only a sheet that is made once is filled anew.
pub(super) fn tidied(filler: &mut Filler<'_>, mut plan: Plan) -> Plan {
    let fullness = |filler: &Filler<'_>, filling: &Filling| {
        filler.worth(filling, &filler.areas) / filler.job.sheets()[filling.kind].free.area()
    };
    plan.sort_by(|(a, _), (b, _)| fullness(filler, b).total_cmp(&fullness(filler, a)));
    let Some(at) = plan.iter().rposition(|(_, times)| *times == 1) else { return plan };
    let (last, _) = plan.remove(at);
    let last = compact(filler, last);
    plan.push((last, 1));
    plan
}

/// The same pieces on the same sheet, with as large a free rectangle as some tries find.
fn compact(filler: &mut Filler<'_>, filling: Filling) -> Filling {
    if filling.puts.len() > tuning::LAST_PIECES {
        return filling;
    }
    let free = |filler: &Filler<'_>, filling: &Filling| {
        let sheet = PackedSheet { kind: filling.kind, copies: 1, placements: filler.placements(filling) };
        largest_free(filler.job, &sheet).area()
    };
    let mut best = free(filler, &filling);
    let mut kept = filling;
    let wanted = kept.counts.clone();
    let fixed = filler.plain_ways();
    for number in 0..fixed + tuning::LAST_TRIES {
        let way = if number < fixed {
            filler.plain_way(number, &wanted, |i| filler.areas[i])
        } else {
            let areas = filler.areas.clone();
            filler.chance_way(&areas, &wanted)
        };
        let other = filler.fill(kept.kind, &way, &wanted);
        if other.counts != wanted {
            continue;
        }
        let area = free(filler, &other);
        // Rounding is no gain.
        if area > best * (1.0 + 1e-9) {
            (best, kept) = (area, other);
        }
    }
    kept
}
