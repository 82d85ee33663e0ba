//! Every constant that trades time against sheets, with its reason.

/// Contact look-ups in one step of the job's effort.
pub(super) const LOOKS_PER_STEP: u64 = 1_000;
/// Ways of filling a page that are tried whatever happens, per sheet kind: both directions of
/// filling with both ways of choosing a turn.
pub(super) const FIXED_TRIES: usize = 4;
/// Further ways, left to chance, while the step budget lasts.
pub(super) const CHANCE_TRIES: usize = 12;
/// Fillings remembered for later pages and rounds.
pub(super) const POOL: usize = 4_000;
/// Complete layouts that are made at most.
pub(super) const ROUNDS: u64 = 400;
/// Pieces on one sheet at most: fillings cost the square of this.
pub(super) const PIECES_PER_SHEET: usize = 5_000;
/// Remembered contact answers at most (about 40 bytes each).
pub(super) const ANSWERS: usize = 1_500_000;
/// Spacing of the extra levels tried where outlines have slanted sides, units of 1e-6 mm.
pub(super) const LEVEL_SPACING: i64 = 4_000_000;
/// How much of an item's value survives one correction.
pub(super) const VALUE_INERTIA: f64 = 0.7;
/// First values grow a little faster than the area, so that large pieces come first.
pub(super) const VALUE_POWER: f64 = 1.04;
