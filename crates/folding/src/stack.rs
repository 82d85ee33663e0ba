//! Tolerance stacks: how far errors add up along a row of tiles and along a run of walls.
//!
//! A row of N tiles is off its pitch by the sum of N tiles' errors, a run of N walls by that of N
//! walls and the N posts between them. The sum is held against the play f of the one joint that
//! closes the row or run. The other joints' play is left out, as if each had been pushed to one
//! side while building: whoever spreads the error over all joints gets further than the N told here.
//!
//! Worst case adds the tolerances up; root-sum-square adds their squares, for errors that are
//! independent and centred (common practice for dimension chains, no source). The error of the
//! printer's scale is the same on every sheet, so along a row it adds up like a worst case within
//! both sums.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::{Mm, snapped};
use serde::Serialize;

/// Longest row or run that is looked at.
pub const MOST: u32 = 1000;

/// What board, cutter, printer and hand may be off by: each a limit to both sides, all of them at
/// the same number of standard deviations.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tolerances {
    /// Thickness of the board.
    pub board: Mm,
    /// Place of one cut edge.
    pub cutter: Mm,
    /// Scale of a print: 0.001 is 1 mm in a metre.
    pub printer: f64,
    /// Place of a fold or a glued part: the wrap on its core, the folds of a sleeve.
    pub placing: Mm,
}

impl Default for Tolerances {
    /// Careful work with a knife along a steel rule. All four are estimates: measure your own.
    fn default() -> Self {
        Self { board: Mm::new(0.1), cutter: Mm::new(0.05), printer: 0.001, placing: Mm::new(0.1) }
    }
}

/// What a stack is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Chain {
    /// Tiles of one module in a row.
    Tiles,
    /// Walls of one module in a run, with their posts.
    Walls,
}

/// The errors of one module of a chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Errors {
    /// Independent errors of every module, mm: each may fall to either side, anew in every module.
    pub each: Vec<f64>,
    /// Errors that are the same in every module, mm.
    pub shared: Vec<f64>,
    /// Errors that come once, whatever the length, mm.
    pub once: Vec<f64>,
}

/// A chain's sum at one length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sum {
    /// How many modules.
    pub n: u32,
    /// Worst case.
    pub worst: Mm,
    /// Root-sum-square.
    pub root_sum_square: Mm,
}

/// A chain with its sums.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stack {
    /// What it is about.
    pub chain: Chain,
    /// The play against which the sums are held.
    pub play: Mm,
    /// Sums at 1, 2, 3, 5, 10, 20, 50 ... modules and where a joint first fails to close.
    pub sums: Vec<Sum>,
    /// Smallest number of modules at which a joint may no longer close in the worst case; none up to [`MOST`].
    pub worst_fails_at: Option<u32>,
    /// The same by root-sum-square.
    pub root_sum_square_fails_at: Option<u32>,
}

impl Errors {
    /// The errors of a chain under the parameters and tolerances of a set.
    #[must_use]
    pub fn of(chain: Chain, p: &Parameters, t: &Tolerances) -> Self {
        let (cut, placing) = (t.cutter.get(), t.placing.get());
        match chain {
            // Both cut edges of the core, and the wrap glued round it.
            Chain::Tiles => {
                Self { each: vec![cut, cut, placing], shared: vec![p.tile_size(1).get() * t.printer], once: Vec::new() }
            }
            // Both ends of the wall's body, and the folds of the post beside it. A board wall is
            // as thick as its board, once, where the last one goes into its slot.
            Chain::Walls => Self {
                each: vec![cut, cut, placing],
                shared: vec![(p.wall_body(1.0) + p.post_side()).get() * t.printer],
                once: if p.walls == WallBuild::Board { vec![t.board.get()] } else { Vec::new() },
            },
        }
    }

    /// Largest possible sum over `n` modules, mm.
    #[must_use]
    pub fn worst(&self, n: u32) -> f64 {
        let n = f64::from(n);
        let sum = |errors: &[f64]| errors.iter().sum::<f64>();
        n * sum(&self.each) + n * sum(&self.shared) + sum(&self.once)
    }

    /// Root-sum-square over `n` modules, mm.
    #[must_use]
    pub fn root_sum_square(&self, n: u32) -> f64 {
        let n = f64::from(n);
        let squares = |errors: &[f64]| errors.iter().map(|e| e * e).sum::<f64>();
        (n * squares(&self.each) + n * n * squares(&self.shared) + squares(&self.once)).sqrt()
    }
}

/// Both stacks of a set.
#[must_use]
pub fn stacks(p: &Parameters, t: &Tolerances) -> [Stack; 2] {
    [Chain::Tiles, Chain::Walls].map(|chain| stack(chain, p, t))
}

/// One stack of a set.
#[must_use]
pub fn stack(chain: Chain, p: &Parameters, t: &Tolerances) -> Stack {
    let errors = Errors::of(chain, p, t);
    let play = p.play.get();
    let fails = |sum: f64| sum > play + tolerance::FIT;
    // Both sums grow with n, so the first that is too large is where it ends.
    let worst_fails_at = (1..=MOST).find(|&n| fails(errors.worst(n)));
    let root_sum_square_fails_at = (1..=MOST).find(|&n| fails(errors.root_sum_square(n)));
    let mut lengths = vec![1, 2, 3, 5, 10, 20, 50, 100];
    lengths.extend(worst_fails_at.into_iter().chain(root_sum_square_fails_at));
    lengths.sort_unstable();
    lengths.dedup();
    let sums = lengths.into_iter().map(|n| Sum {
        n,
        worst: Mm::new(snapped(errors.worst(n))),
        root_sum_square: Mm::new(snapped(errors.root_sum_square(n))),
    });
    Stack { chain, play: p.play, sums: sums.collect(), worst_fails_at, root_sum_square_fails_at }
}
