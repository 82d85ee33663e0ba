//! Every constant that trades time against sheets, with its reason.

/// Contact look-ups in one step of the job's effort.
pub(super) const LOOKS_PER_STEP: u64 = 1_000;
/// Further ways, left to chance, in one round after the other: the fullest sheet first is often
/// not the best plan, so rounds that look less hard have their turn too.
pub(super) const CHANCE_TRIES: [usize; 4] = [0, 4, 12, 2];
/// Fillings remembered for later pages and rounds.
pub(super) const POOL: usize = 4_000;
/// Pieces on one sheet at most: fillings cost the square of this.
pub(super) const PIECES_PER_SHEET: usize = 5_000;
/// Remembered contact answers at most (about 40 bytes each).
pub(super) const ANSWERS: usize = 1_500_000;
/// Spacing of the extra levels tried where outlines have slanted sides, units of 1e-6 mm.
pub(super) const LEVEL_SPACING: i64 = 4_000_000;
/// How much of an item's value survives one correction.
pub(super) const VALUE_INERTIA: f64 = 0.7;
/// Values count raised to these powers, in one round after the other: above one, large pieces are
/// preferred to an equal area of small ones, which then remain to fill the holes.
pub(super) const VALUE_POWERS: [f64; 5] = [1.04, 1.0, 1.1, 1.02, 1.2];
/// Reflex corners of a shape at most; shallower ones are filled in. Contacts cost their square.
pub(super) const REFLEX_CORNERS: usize = 20;
/// Levels that one pair of shapes may offer at most.
pub(super) const LEVELS_PER_PAIR: usize = 48;
/// Convex sums that cost as much as one look at a remembered answer.
pub(super) const SUMS_PER_LOOK: u64 = 2;
/// Looks in each stage's first turn; every further turn has half as many again.
pub(super) const FIRST_SHARE: u64 = 100_000;
/// Changes tried in one search for a filling.
pub(super) const PRICING_STEPS: usize = 60;
/// Rounds that place what the whole part of the master's mix leaves.
pub(super) const REST_ROUNDS: usize = 4;
/// Nodes of one branch-and-bound search for a cover.
pub(super) const COVER_NODES: u64 = 2_000;
/// Known sheets of greatest value near which a search may begin.
pub(super) const PRICING_STARTS: usize = 24;
/// A change may make a sheet worse by about this part of its price at first.
pub(super) const PRICING_HEAT: f64 = 0.03;
/// Searches in a row that find nothing before the master's mix is taken as final for now.
pub(super) const IDLE_SEARCHES: u32 = 8;
/// Sheets that are emptied together at most when one less is sought.
pub(super) const THINNED_TOGETHER: usize = 3;
/// Sheets of a plan that are worked on when one less is sought; the others stay as they are.
pub(super) const THINNED_PAGES: usize = 120;
/// Waiting pieces may weigh more by about this part of their weight.
pub(super) const THINNING_HEAT: f64 = 0.02;
/// Steps without a gain before waiting pieces grow heavier, and by which part of their area.
pub(super) const THINNING_PATIENCE: u32 = 50;
pub(super) const THINNING_GROWTH: f64 = 0.1;
/// Looks in one turn of the search for one sheet less.
pub(super) const THINNING_TURN: u64 = 500_000;
/// Turns of that search before it begins anew from the best plan.
pub(super) const THINNING_TURNS: u32 = 16;
/// Ways of filling the last sheet that are tried, and with how many pieces at most.
pub(super) const LAST_TRIES: usize = 60;
pub(super) const LAST_PIECES: usize = 300;
/// Copies of an item on average from which on the master programme is worth its while.
pub(super) const MASTER_COPIES: u64 = 3;
