//! Folding a net into space.
//!
//! A panel is a prism as thick as its stock: printed face at height 0, back at minus a caliper. A
//! fold of angle A with inside radius 0 uses an allowance of flat length. Half of it comes off
//! each of the two panels; what is left meets along the fold's inner edge, about which the panel turns.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::{Fold, Hinge, Pattern};
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::Mm;
use kurbo::{Point, Vec2};
use parry3d_f64::math::{Pose, Rotation, Vector};

use crate::solid::Solid;

/// The stock that a net is folded from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Its caliper.
    pub caliper: Mm,
    /// Where the neutral line of a fold lies, as a part of the caliper.
    pub factor: f64,
}

/// Why a net does not fold.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FoldFault {
    /// A panel that no fold connects to the first one.
    #[error("panel \"{0}\" hangs on nothing")]
    Loose(&'static str),
    /// A fold line that does not lie between its two panels.
    #[error("the fold between \"{0}\" and \"{1}\" does not lie between them")]
    Astray(&'static str, &'static str),
    /// A panel that is used up by its folds.
    #[error("panel \"{0}\" is narrower than its folds take")]
    UsedUp(&'static str),
    /// Two ways round the net that put a panel in different places.
    #[error("the folds around \"{panel}\" put it in two places, {apart:.4} mm apart")]
    Open {
        /// The panel.
        panel: &'static str,
        /// How far apart, mm.
        apart: f64,
    },
    /// A flap that is not flat on its seat.
    #[error("flap \"{flap}\" is {gap:.4} mm off its seat \"{seat}\"")]
    OffSeat {
        /// The flap.
        flap: &'static str,
        /// What it should lie on.
        seat: &'static str,
        /// Distance of its farthest corner from the seat's plane, mm.
        gap: f64,
    },
    /// A flap that hangs over its seat's edge.
    #[error("flap \"{flap}\" hangs over the edge of \"{seat}\" with {area:.4} mm2")]
    OverSeat {
        /// The flap.
        flap: &'static str,
        /// What it should lie on.
        seat: &'static str,
        /// The area that lies beside the seat, mm².
        area: f64,
    },
    /// Two panels that share space.
    #[error("panels \"{one}\" and \"{other}\" cross by {depth:.4} mm when folded")]
    Cross {
        /// The one.
        one: &'static str,
        /// The other.
        other: &'static str,
        /// How deeply, mm.
        depth: f64,
    },
}

/// The panels of a pattern, folded, in the order of its net. The first panel stays where it was
/// drawn, printed face up; leaves that swing are shut.
///
/// # Errors
/// Every fold that cannot be made.
pub fn fold(pattern: &Pattern, sheet: Sheet) -> Result<Vec<Solid>, Vec<FoldFault>> {
    let net = &pattern.net;
    let caliper = sheet.caliper.get();
    let name = |panel: usize| net.panels[panel].name;
    let mut faults = Vec::new();
    let mut poses: Vec<Option<Pose>> = vec![None; net.panels.len()];
    if let Some(first) = poses.first_mut() {
        *first = Some(Pose::IDENTITY);
    }
    // Hinges may stand in any order: go round until nothing more can be placed.
    let mut waiting: Vec<&Hinge> = net.hinges.iter().collect();
    loop {
        let before = waiting.len();
        waiting.retain(|hinge| {
            let Some(parent) = poses[hinge.from] else { return true };
            let Some(step) = step(hinge, &net.panels[hinge.to].region, sheet) else {
                faults.push(FoldFault::Astray(name(hinge.from), name(hinge.to)));
                return false;
            };
            let pose = parent * step;
            match poses[hinge.to] {
                None => poses[hinge.to] = Some(pose),
                Some(known) => {
                    let apart = farthest(&net.panels[hinge.to].region, known, pose);
                    if apart > tolerance::FIT {
                        faults.push(FoldFault::Open { panel: name(hinge.to), apart });
                    }
                }
            }
            false
        });
        if waiting.len() == before {
            break;
        }
    }
    let mut solids = Vec::new();
    for (i, panel) in net.panels.iter().enumerate() {
        let strips: Vec<Region> =
            net.hinges.iter().filter(|h| h.from == i || h.to == i).flat_map(|h| strip(h, sheet)).collect();
        let mut left = region::difference(std::slice::from_ref(&panel.region), &strips);
        // Where a fold runs at a slant, snapping leaves slivers beside its strip.
        left.retain(|region| region.area() > tolerance::FIT);
        match (poses[i], left.len(), left.pop()) {
            (None, ..) => faults.push(FoldFault::Loose(panel.name)),
            (Some(pose), 1, Some(region)) => solids.push(Solid { region, heights: (-caliper, 0.0), pose }),
            _ => faults.push(FoldFault::UsedUp(panel.name)),
        }
    }
    if faults.is_empty() { Ok(solids) } else { Err(faults) }
}

/// Flat length that a hinge uses. A leaf that swings is shut: its line uses none.
fn allowance(hinge: &Hinge, sheet: Sheet) -> f64 {
    if hinge.swings { 0.0 } else { hinge.angle.radians() * sheet.factor * sheet.caliper.get() }
}

/// The bent strip along a hinge: half the allowance to both sides of its line.
fn strip(hinge: &Hinge, sheet: Sheet) -> Option<Region> {
    let half = allowance(hinge, sheet) / 2.0;
    let along = hinge.line.p1 - hinge.line.p0;
    let across = Vec2::new(-along.y, along.x) * (half / along.hypot());
    let corners = [hinge.line.p0 - across, hinge.line.p1 - across, hinge.line.p1 + across, hinge.line.p0 + across];
    Contour::new(corners).ok().map(Region::from)
}

/// From the turning panel's flat coordinates to those of the panel that it hangs on.
fn step(hinge: &Hinge, child: &Region, sheet: Sheet) -> Option<Pose> {
    let along = (hinge.line.p1 - hinge.line.p0).normalize();
    let middle = hinge.line.midpoint();
    let allowance = allowance(hinge, sheet);
    // Towards the child: the side of the line on which it has material just beyond the fold.
    let left = Vec2::new(-along.y, along.x);
    let beyond = allowance / 2.0 + 0.01;
    let towards = [left, -left].into_iter().find(|side| child.contains(middle + *side * beyond))?;
    let angle = if hinge.swings { 0.0 } else { hinge.angle.radians() };
    let (height, up) = match hinge.fold {
        Fold::Mountain => (-sheet.caliper.get(), -1.0),
        Fold::Valley => (0.0, 1.0),
    };
    // Turning about `axis` by a positive angle moves `towards` upwards.
    let axis = Vector::new(towards.x, towards.y, 0.0).cross(Vector::Z);
    let turn = Rotation::from_axis_angle(axis, angle * up);
    let pivot = middle - towards * (allowance / 2.0);
    let pivot = Vector::new(pivot.x, pivot.y, height);
    let closed = Vector::new(-towards.x, -towards.y, 0.0) * allowance;
    Some(Pose::from_parts(pivot - turn * (pivot - closed), turn))
}

/// How far two poses put the corners of a region apart.
fn farthest(region: &Region, one: Pose, other: Pose) -> f64 {
    let at = |pose: Pose, p: &Point| pose * Vector::new(p.x, p.y, 0.0);
    region.outer.points().iter().map(|p| at(one, p).distance(at(other, p))).fold(0.0, f64::max)
}
