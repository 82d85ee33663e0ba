//! The only way to a [`Proved`] pattern: fold it, close its flaps, see that nothing crosses.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::{GlueSeat, Pattern, Stock};
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use kurbo::Affine;
use parry3d_f64::math::{Pose, Vector};

use crate::collide;
use crate::fold::{FoldFault, Sheet, fold};
use crate::solid::Solid;

/// A pattern that has been folded: its flaps land on their seats and its panels do not cross.
///
/// It can be made by [`prove`] alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Proved {
    pattern: Pattern,
    folded: Vec<Solid>,
}

impl Proved {
    /// The pattern.
    #[must_use]
    pub const fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// The same pattern with another `detail` for people; its geometry cannot be changed.
    #[must_use]
    pub fn renamed(mut self, detail: String) -> Self {
        self.pattern.detail = detail;
        self
    }

    /// Its panels as folded, in the order of its net; the first lies where it was drawn.
    #[must_use]
    pub fn folded(&self) -> &[Solid] {
        &self.folded
    }
}

impl std::ops::Deref for Proved {
    type Target = Pattern;

    fn deref(&self) -> &Pattern {
        &self.pattern
    }
}

/// The sheet that a pattern is cut from, under the parameters of its set.
#[must_use]
pub fn sheet(p: &Parameters, stock: Stock) -> Sheet {
    let caliper = match stock {
        Stock::Paper => p.paper,
        Stock::Card => p.card,
        Stock::Board => p.board,
    };
    // Board is cut half through where it bends: what bends is the paper at the fold's inside.
    let factor = if stock == Stock::Board { 0.0 } else { p.fold_factor };
    Sheet { caliper, factor }
}

/// Folds a pattern and checks it.
///
/// # Errors
/// Everything that is wrong with it: folds that cannot be made, flaps that miss their seats,
/// panels that cross.
pub fn prove(pattern: Pattern, sheet: Sheet) -> Result<Proved, Vec<FoldFault>> {
    let folded = fold(&pattern, sheet)?;
    let mut faults: Vec<FoldFault> =
        pattern.net.seats.iter().filter_map(|seat| check_own_seat(&pattern, &folded, *seat)).collect();
    let bodies: Vec<Vec<Solid>> = folded.iter().map(|panel| vec![panel.clone()]).collect();
    let name = |panel: usize| pattern.net.panels[panel].name;
    faults.extend(collide::clashes(&bodies, tolerance::FIT).into_iter().map(|clash| FoldFault::Cross {
        one: name(clash.one),
        other: name(clash.other),
        depth: clash.depth,
    }));
    if faults.is_empty() { Ok(Proved { pattern, folded }) } else { Err(faults) }
}

fn check_own_seat(pattern: &Pattern, folded: &[Solid], seat: GlueSeat) -> Option<FoldFault> {
    let panel = |index: usize| (pattern.net.panels[index].name, &folded[index]);
    check_seat(panel(seat.flap), panel(seat.onto))
}

/// A flap lies flat on its seat, on either face of it, and nowhere beside it. Both come with their names.
pub(crate) fn check_seat(
    (flap_name, flap): (&'static str, &Solid),
    (seat_name, onto): (&'static str, &Solid),
) -> Option<FoldFault> {
    // The flap as its seat sees it.
    let there = Solid { pose: onto.pose.inverse() * flap.pose, ..flap.clone() };
    let heights: Vec<f64> = there.corners().map(|corner| corner.z).collect();
    let (lowest, highest) = heights.iter().fold((f64::MAX, f64::MIN), |(l, h), z| (l.min(*z), h.max(*z)));
    let thickness = flap.heights.1 - flap.heights.0;
    let above = (lowest - onto.heights.1).abs();
    let below = (highest - onto.heights.0).abs();
    let tilt = (highest - lowest - thickness).abs();
    let gap = above.min(below).max(tilt);
    if gap > tolerance::FIT {
        return Some(FoldFault::OffSeat { flap: flap_name, seat: seat_name, gap });
    }
    let landed = flap.region.moved(in_plane(there.pose));
    // What hangs over by less than the tolerance all round is no fault.
    let seats: Vec<Region> =
        region::offset(std::slice::from_ref(&onto.region), flatwright_geometry::units::Mm::new(tolerance::FIT));
    let area: f64 = region::difference(&[landed], &seats).iter().map(Region::area).sum();
    (area > tolerance::FIT).then_some(FoldFault::OverSeat { flap: flap_name, seat: seat_name, area })
}

/// The part of a motion that stays in the plane, where it turns no panel out of it.
fn in_plane(pose: Pose) -> Affine {
    let at = |x: f64, y: f64| pose * Vector::new(x, y, 0.0);
    let (o, x, y) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0));
    Affine::new([x.x - o.x, x.y - o.y, y.x - o.x, y.y - o.y, o.x, o.y])
}
