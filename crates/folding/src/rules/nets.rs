//! Rules of folding: every flap lands on its seat, and every piece has a shape at all.

use flatwright_geometry::pattern::{Pattern, Stock};
use flatwright_geometry::tolerance;

use super::Case;
use super::finding::Finding;
use crate::fold::{FoldFault, Sheet, fold};
use crate::prove::{prove, sheet};

/// A flap beside its seat, or above it, does not hold.
pub(super) fn glue_flap(case: &Case<'_>) -> Vec<Finding> {
    patterns(case)
        .iter()
        .filter(|pattern| !pattern.net.seats.is_empty())
        .filter_map(|pattern| {
            let name = format!("{} {}", pattern.kind, pattern.detail);
            let sheet = in_hand(case, pattern.stock);
            let seats = off_seat(pattern, sheet)?;
            let faults = prove(pattern.clone(), sheet).err().unwrap_or_default();
            // Largest of what was measured and what the proof found beside a seat.
            let over = faults.iter().filter_map(|fault| match fault {
                FoldFault::OverSeat { area, .. } => Some(*area),
                _ => None,
            });
            let worst = over.fold(seats, f64::max);
            let note = faults.first().map(ToString::to_string);
            let what = format!("{}: flap off its seat", name.trim_end());
            Some(Finding::at_most("glue flap", what, worst, tolerance::FIT).with_note(note))
        })
        .collect()
}

/// How far the corners of flaps are off their seats' planes, at most.
fn off_seat(pattern: &Pattern, sheet: Sheet) -> Option<f64> {
    let folded = fold(pattern, sheet).ok()?;
    let worst = pattern.net.seats.iter().map(|seat| {
        let (flap, onto) = (&folded[seat.flap], &folded[seat.onto]);
        let back = onto.pose.inverse();
        let heights: Vec<f64> = flap.corners().map(|corner| (back * corner).z).collect();
        // Flat on one face or the other: the flap fills the caliper above or below the seat.
        let off = |low: f64, high: f64| {
            let beyond = heights.iter().map(|z| (low - z).max(z - high).max(0.0)).fold(0.0, f64::max);
            let reached = [low, high].map(|level| heights.iter().map(|z| (z - level).abs()).fold(f64::MAX, f64::min));
            beyond.max(reached[0]).max(reached[1])
        };
        let (below, above) = onto.heights;
        let caliper = flap.heights.1 - flap.heights.0;
        off(below - caliper, below).min(off(above, above + caliper))
    });
    worst.reduce(f64::max)
}

/// What no other rule explains: pieces without a pattern, nets that do not fold or whose panels cross.
pub(super) fn shape(case: &Case<'_>) -> Vec<Finding> {
    let pieces = case.distinct();
    let mut found = Vec::new();
    let mut good = 0;
    for piece in &pieces {
        let faults: Vec<String> = match piece.patterns(case.parameters) {
            Err(error) => vec![error.to_string()],
            Ok(patterns) => patterns.iter().flat_map(|pattern| faults(case, pattern)).collect(),
        };
        good += usize::from(faults.is_empty());
        found.extend(faults.into_iter().map(|fault| Finding::equal("shape", fault, 0.0, 1.0)));
    }
    if found.is_empty() {
        let count = |n: usize| n as f64;
        found.push(Finding::equal("shape", "pieces that have a shape and fold", count(good), count(pieces.len())));
    }
    found
}

/// Faults of folding other than flaps and their seats, which have a rule of their own.
fn faults(case: &Case<'_>, pattern: &Pattern) -> Vec<String> {
    let faults = prove(pattern.clone(), in_hand(case, pattern.stock)).err().unwrap_or_default();
    let others = faults.iter().filter(|f| !matches!(f, FoldFault::OffSeat { .. } | FoldFault::OverSeat { .. }));
    // Panels that cross because a flap misses its seat are the flap's fault.
    let seats_fail = faults.iter().any(|f| matches!(f, FoldFault::OffSeat { .. } | FoldFault::OverSeat { .. }));
    others
        .filter(|fault| !(seats_fail && matches!(fault, FoldFault::Cross { .. })))
        .map(|fault| format!("{} {}: {fault}", pattern.kind, pattern.detail))
        .collect()
}

/// The patterns of all distinct pieces that have any.
fn patterns(case: &Case<'_>) -> Vec<Pattern> {
    case.distinct().into_iter().filter_map(|piece| piece.patterns(case.parameters).ok()).flatten().collect()
}

/// The sheet as it is, creased where the pattern says: the neutral line is the pattern's own.
fn in_hand(case: &Case<'_>, stock: Stock) -> Sheet {
    let hand = case.in_hand();
    let caliper = match stock {
        Stock::Paper => hand.paper,
        Stock::Card => hand.card,
        Stock::Board => hand.board,
    };
    Sheet { caliper, ..sheet(case.parameters, stock) }
}
