//! Rules of caps: the post that they lie on, the walls that they leave free, and each other.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::cap::{self, Cap};
use flatwright_geometry::units::plain;

use super::Case;
use super::finding::Finding;
use super::measure::{Along, BESIDE, extent, gaps, sleeve, spans};
use super::walls::thickness;
use crate::fold::fold;
use crate::prove::sheet;
use crate::solid::Solid;

/// A cap that is as narrow as its post is not pushed over it; one that hangs loose falls off.
pub(super) fn cap_on_its_post(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "cap on its post");
    case.caps()
        .into_iter()
        .filter_map(|cap| {
            let side = sleeve(p, cap.arms).side;
            let room = Folded::of(p, cap)?.room()?;
            let what = format!("play of the {} cap: post {}, room {}", cap.shape(), plain(side, 3), plain(room, 3));
            Some(Finding::at_least(rule, what, room - side, p.play.get()))
        })
        .collect()
}

/// A wall moves by the play of its slot, and the cap by its own: a notch must take both. Skirts keep
/// to the slot's height, since the wall's neck below it is part of what the post holds.
pub(super) fn cap_and_wall(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "cap and wall");
    let Some(cap) = case.caps().into_iter().max_by_key(|cap| cap.arms.count()) else { return Vec::new() };
    let mut found = Vec::new();
    if let Some(notch) = notch(p, cap) {
        // The facing of a board wall lies outside of the board, past the slot.
        let facing = if p.walls == WallBuild::Board { 2.0 * case.in_hand().paper.get() } else { 0.0 };
        let wall = thickness(case) + facing;
        let what = format!("play of the wall in a cap's notch: wall {}, notch {}", plain(wall, 3), plain(notch, 3));
        found.push(Finding::at_least(rule, what, notch - wall, 2.0 * p.play.get()));
        let what = "kerf, and the cap's notch that it must leave a line in";
        found.push(Finding::below(rule, what, p.kerf.get(), notch, flatwright_geometry::tolerance::CHORD));
    }
    if let Some(folded) = Folded::of(p, cap) {
        let what = "a cap's skirts below the post's top, and the slot's depth";
        found.push(Finding::at_most(rule, what, folded.hang(), p.slot_depth().get()));
    }
    found
}

/// Caps on both ends of the shortest wall must not touch, each pushed towards the other.
pub(super) fn caps_apart(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "caps apart");
    let Some(cap) = case.caps().into_iter().min_by_key(|cap| cap.arms.count()) else { return Vec::new() };
    let Some(folded) = Folded::of(p, cap) else { return Vec::new() };
    let span = case.walls().iter().map(|wall| wall.span).fold(1.0, f64::min);
    let size = extent(&folded.panels, |_| true);
    let what = format!(
        "two caps at the ends of a wall over {}, with their play",
        flatwright_geometry::pieces::span_text(span)
    );
    vec![Finding::at_most(rule, what, size[0].max(size[1]) + p.play.get(), p.module.get() * span)]
}

/// A folded cap: the lid first, its printed face at z = 0, the skirts and tabs hanging from it.
struct Folded {
    panels: Vec<Solid>,
}

impl Folded {
    fn of(p: &Parameters, cap: Cap) -> Option<Self> {
        let net = cap::net(p, cap).ok()?;
        fold(&net, sheet(p, net.stock)).ok().map(|panels| Self { panels })
    }

    /// The narrower of the two ways between what stands around the post; `None` where nothing
    /// stands on both sides.
    fn room(&self) -> Option<f64> {
        let across = [0, 1].map(|axis| {
            let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
            for panel in &self.panels[1..] {
                let size = extent(std::slice::from_ref(panel), |_| true);
                // It faces along the axis in which it is thin.
                if size[axis] > size[1 - axis] {
                    continue;
                }
                let values = || panel.corners().map(|corner| if axis == 0 { corner.x } else { corner.y });
                let (from, to) = (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
                if to < 0.0 {
                    low = low.max(to);
                } else {
                    high = high.min(from);
                }
            }
            high - low
        });
        let narrower = across[0].min(across[1]);
        narrower.is_finite().then_some(narrower)
    }

    /// How far it hangs below the lid's underside.
    fn hang(&self) -> f64 {
        let lowest = |panels: &[Solid]| {
            panels.iter().flat_map(Solid::corners).map(|corner| corner.z).fold(f64::INFINITY, f64::min)
        };
        lowest(&self.panels[..1]) - lowest(&self.panels)
    }
}

/// Width of a cap's notch, measured along its lower edge; `None` where it has none, or no skirt beside it.
fn notch(p: &Parameters, cap: Cap) -> Option<f64> {
    // Turned so that the southern skirt has one.
    let south = (0..4).map(|turns| cap.turned(turns)).find(|cap| cap.arms.has(2))?;
    let net = cap::net(p, south).ok()?;
    let low = spans(&net.material, Along::X, net.material.bounds().y0 + BESIDE);
    let (from, to) = gaps(&low).into_iter().find(|gap| gap.0 < 0.0 && gap.1 > 0.0)?;
    Some(to - from)
}
