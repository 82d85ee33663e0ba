//! How few sheets could do at best, with a proof that others can check.
//!
//! A [`Bound`] rests on *weights*: where the pieces on any one sheet weigh at most 1, whatever
//! they are, as many sheets are needed as all pieces weigh (rounded up). What a sheet holds at
//! most is searched over all numbers of pieces that the following do not rule out.
//!
//! - *Area.* Outlines that lie `gap` apart stay disjoint when each is grown by `r = gap/2`, and lie
//!   in the free area grown by `r`. The grown area of a convex outline of area A and perimeter P is
//!   `A + P r + pi r^2` (Steiner's formula), that of any other at least
//!   `A + 2 r sqrt(pi A) + pi r^2` (the Brunn-Minkowski inequality).
//! - *Dual feasible functions* of a rectangle within each outline ([`DualFunction`] names the
//!   sources). Points at least `gap` apart differ by `gap/sqrt 2` in x or in y, so the rectangles
//!   stay disjoint when their sides grow by that. A piece that may be turned counts the least of
//!   what it does in the turns in which it fits.
//! - *Excluded sets*: pieces that lie together on no sheet, in any allowed turns and places. The
//!   proof is an exhaustive search over a grid of differences of places, from coarse to fine.
//!
//! The weights come from a linear programme whose rows are sets of pieces that the three admit;
//! sets that hold the bound down are the ones for which an exclusion is sought. Weights are then
//! whole numbers, and what a sheet holds is searched exactly, so that no rounding of the
//! programme reaches the bound.
//!
//! What is proved holds for every layout that [`crate::check::check`] accepts: its tolerance is
//! taken off the gap (or, with next to no gap, off the outlines) and added to the free area.
//!
//! [`recheck`] goes through a certificate again, with code of its own.

use crate::job::Job;

mod certificate;
mod classes;
mod convex;
mod dual;
mod inscribed;
mod knapsack;
mod lengths;
mod programme;
mod recheck;
mod relation;
mod search;
mod together;
mod tuning;

pub use certificate::{Certificate, Excluded, Limits, Measure, Weights};
pub use dual::DualFunction;
use lengths::{Lengths, MARGIN};
pub use recheck::{Doubt, recheck};

/// What no layout can undercut, and why.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bound {
    /// The number of sheets.
    pub sheets: u64,
    /// The price of all sheets, in the unit of their prices.
    pub price: f64,
    /// The reason.
    pub certificate: Certificate,
}

/// The best bound that the job's effort finds: no layout that [`crate::check::check`] accepts has
/// fewer sheets or a lower price. Same job, same bound.
///
/// [`recheck`] has gone through it. A set of pieces that it cannot exclude is left alone, and the
/// bound sought anew without it.
#[must_use]
pub fn lower_bound(job: &Job) -> Bound {
    let mut doubted = Vec::new();
    for _ in 0..tuning::DOUBTS {
        let bound = search::bound(job, &doubted);
        let Err(doubts) = recheck(job, &bound) else { return bound };
        let before = doubted.len();
        doubted.extend(doubts.iter().filter_map(|doubt| match doubt {
            Doubt::Excluded { sheet, set } => Some((*sheet, bound.certificate.limits[*sheet].excluded[*set].clone())),
            _ => None,
        }));
        if doubted.len() == before {
            break;
        }
    }
    // The measures alone need no excluded sets.
    search::by_measures(job)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Item, SheetKind, Turns};
    use flatwright_geometry::contour::Contour;
    use flatwright_geometry::units::Mm;
    use kurbo::Rect;

    fn job(copies: u32, gap: f64) -> Job {
        let outline = Contour::rectangle(Rect::new(0.0, 0.0, 49.0, 49.0)).unwrap();
        let item = Item { name: "square".into(), outline, copies, turns: Turns::Fixed };
        let sheet = SheetKind { name: "page".into(), free: Rect::new(0.0, 0.0, 99.0, 99.0), price: 1.0 };
        Job::new(vec![item], vec![sheet], Mm::new(gap), 0, 0).unwrap()
    }

    /// Four squares of 49 with a gap of 1 fill a sheet of 99: the bound must not ask for more.
    #[test]
    fn a_perfect_sheet_meets_the_bound() {
        assert_eq!(lower_bound(&job(4, 1.0)).sheets, 1);
        assert_eq!(lower_bound(&job(40, 1.0)).sheets, 10);
        assert_eq!(lower_bound(&job(41, 1.0)).sheets, 11);
    }

    /// By area 40 would do with 10 sheets at 9.8, and 81 with 20 at 19.84; but no more than two
    /// lie side by side, which the dual feasible functions know.
    #[test]
    fn two_lie_side_by_side_without_a_gap_too() {
        assert_eq!(lower_bound(&job(40, 0.0)).sheets, 10);
        assert_eq!(lower_bound(&job(81, 0.0)).sheets, 21);
    }
}
