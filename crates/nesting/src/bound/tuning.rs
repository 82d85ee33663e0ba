//! How far the search for a bound goes.

use crate::job::Job;

/// Classes up to which pieces are weighed; with more the measures alone give the bound.
pub(super) const CLASSES: usize = 150;
/// Products of dual feasible functions that count as measures.
pub(super) const PRODUCTS: usize = 4;
/// Pieces in a set that is asked for.
pub(super) const PIECES: u32 = 5;
/// Classes of a row that are looked at.
pub(super) const DIFFERENT: usize = 8;
/// Sets asked for of one row and number of pieces.
pub(super) const PARTS: usize = 24;
/// Part of the sheet that a set must fill to be asked for.
pub(super) const FILLED: f64 = 0.35;
/// Part of the budget that one set may take at first: one in this many.
pub(super) const SHARES: u64 = 400;
/// Factor by which the share grows when all sets that hold the bound down have had theirs.
pub(super) const SHARE_GROWTH: u64 = 4;
/// Steps of proofs for a step of effort.
pub(super) const STEPS_PER_EFFORT: u64 = 8_000;
/// Work of the linear programme for a step of effort.
pub(super) const WORK_PER_EFFORT: u64 = 5_000;

/// Bounds that are sought before those with doubtful sets are given up.
pub(super) const DOUBTS: usize = 4;

/// Nodes of a search for whether a set is needed.
pub(super) const TRIM_NODES: u64 = 1_000;

/// Sizes worked out in the search for good products.
pub(super) fn product_budget(job: &Job) -> u64 {
    200_000 + 200 * u64::from(job.effort())
}
