//! Coupler: a square sleeve folded from card, half in a post and half in the post that stands on it.
//!
//! Its upper half is glued into the upper post. Its lower half slides into the lower one, over the
//! tabs of the walls that hang there, so that a level lifts off whole. The load does not go through
//! it: post stands on post. It only keeps them in line.

use kurbo::{Line, Rect};

use super::post::{Arms, strip};
use super::{Draft, PieceError, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Stock};
use crate::region;
use crate::units::{Angle, plain};

/// Narrowest leg between a slot and the corner, mm: what can still be cut and folded. Common
/// practice, no source.
pub const LEAST_LEG: f64 = 3.0;
/// Least length of either half, mm: what can still be glued or found by a hand that sets a level
/// on. Common practice, no source.
pub const LEAST_HOLD: f64 = 5.0;
/// Legs are at most so many times as long as they are wide, or they bend when the level is set on.
/// Common practice, no source.
const SLENDER: f64 = 4.0;

/// One coupler.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Coupler {
    /// Faces of the lower post in which a wall hangs.
    pub arms: Arms,
}

impl Coupler {
    /// The coupler turned counterclockwise by quarter turns.
    #[must_use]
    pub const fn turned(self, quarters: u32) -> Self {
        Self { arms: self.arms.turned(quarters) }
    }

    /// The one of its four turns that stands for all of them.
    #[must_use]
    pub fn up_to_rotation(self) -> Self {
        Self { arms: self.arms.up_to_rotation() }
    }

    /// The name of its arms up to rotation: plain, end, line, corner, tee or cross.
    #[must_use]
    pub const fn shape(self) -> &'static str {
        self.arms.shape()
    }

    /// The face (index into [`super::post::FACES`]) with which its strip begins.
    #[must_use]
    pub fn first_face(self) -> usize {
        self.arms.first_without()
    }
}

/// Outer side, mm: s - 4c - f. Each post is two calipers thick at its glued face, which may be any of
/// its four, so two come off on every side; what is left has the play of a sliding joint.
#[must_use]
pub fn side(p: &Parameters) -> f64 {
    mm(p.post_side()) - 4.0 * mm(p.card) - mm(p.play)
}

/// Width of a slot, mm: w + 2f. The wall has half the play on either side in the post, and the coupler
/// as much (see [`super::cap::notch_width`]). Never less than the tool can cut.
#[must_use]
pub fn slot_width(p: &Parameters) -> f64 {
    (mm(p.wall_thickness()) + 2.0 * mm(p.play)).max(mm(p.tool_gap_card))
}

/// Width of what a slot leaves beside it, up to the corner's outside, mm.
#[must_use]
pub fn leg_width(p: &Parameters) -> f64 {
    (side(p) - slot_width(p)) / 2.0
}

/// How far it reaches into the lower post, from that post's top, mm: as much as the post is wide, no
/// further than the slots that the walls hang in, and no further than its legs hold together.
#[must_use]
pub fn reach_below(p: &Parameters) -> f64 {
    mm(p.post_side()).min(mm(p.slot_depth())).min(SLENDER * leg_width(p))
}

/// How far it reaches into the upper post, from that post's foot, mm: as much as the post is wide, and
/// clear of the hooks that hang in it: T + H - d - q - f.
#[must_use]
pub fn reach_above(p: &Parameters) -> f64 {
    let hooks = mm(p.post_height()) - mm(p.slot_depth()) - mm(p.hook_drop);
    mm(p.post_side()).min(hooks - mm(p.play))
}

/// Height of its slots, open at the bottom, mm: up to the upper post's foot, a caliper above the lower
/// post's top and two above its walls.
#[must_use]
pub fn slot_height(p: &Parameters) -> f64 {
    reach_below(p) + mm(p.card)
}

/// Whether there is room for any coupler at all.
///
/// # Errors
/// Every half that is too short, and legs that are too narrow.
fn room(p: &Parameters) -> Result<(), PieceError> {
    let least = |what: &str, found: f64, least: f64, help: &str| {
        if found + crate::tolerance::FIT >= least {
            return Ok(());
        }
        Err(PieceError::NoRoom {
            what: what.to_owned(),
            found: format!("{} mm where at least {} mm are needed", plain(found, 3), plain(least, 3)),
            help: help.to_owned(),
        })
    };
    let wide = "make the post wider, or leave its side out to have it derived";
    least("a coupler has legs beside its slots: (s - 4c - f - slot) / 2", leg_width(p), LEAST_LEG, wide)?;
    let deep = "make the slot of the walls deeper";
    least("a coupler reaches into the post below: d", reach_below(p), LEAST_HOLD, deep)?;
    let high = "make the walls higher, their slot shallower or the hook shorter";
    least("a coupler reaches into the post above: T + H - d - q - f", reach_above(p), LEAST_HOLD, high)
}

/// The sleeve's net, printed side up, the first face's free edge at x = 0, its lower end at y = 0.
///
/// The strip begins with [`Coupler::first_face`]. Glue goes inside the first face, and on the outside
/// of the upper half.
///
/// # Errors
/// [`PieceError`] where the parameters leave no room for it.
pub fn sleeve(p: &Parameters, coupler: Coupler) -> Result<Pattern, PieceError> {
    room(p)?;
    let strip = strip(p, side(p));
    let (height, slot_top, half) = (slot_height(p) + reach_above(p), slot_height(p), slot_width(p) / 2.0);
    let first = coupler.first_face();
    let slot = |face: usize, at: f64| match coupler.arms.has(face) {
        true => rect(at - half, -1.0, at + half, slot_top),
        false => Vec::new(),
    };
    let upright = |x: f64| Line::new((x, 0.0), (x, height));
    let mut draft = Draft::new(PieceKind::Coupler, Stock::Card, coupler.arms.named());
    for i in 0..4 {
        let face = (first + i) % 4;
        let area = rect(strip.edges[i], 0.0, strip.edges[i + 1], height);
        let name = ["first face", "second face", "third face", "fourth face"][i];
        let panel = draft.panel(name, &area, &slot(face, strip.middles[i]))?;
        if i > 0 {
            draft.hinge(panel - 1, panel, upright(strip.edges[i]), Fold::Mountain, Angle::QUARTER);
        }
    }
    let (from, to) = (strip.edges[4], strip.edges[5]);
    let chamfer = 1.0_f64.min((to - from) / 4.0);
    let outline = polygon(&[
        (from, 0.0),
        (to - chamfer, 0.0),
        (to, chamfer),
        (to, height - chamfer),
        (to - chamfer, height),
        (from, height),
    ]);
    let flap = draft.panel("flap", &outline, &slot(first, strip.middles[4]))?;
    draft.hinge(3, flap, upright(from), Fold::Mountain, Angle::QUARTER);
    draft.net.seats.push(GlueSeat { flap, onto: 0 });
    let upper = rect(0.0, slot_top, strip.edges[4], height);
    draft.glue = region::union(&[upper, vec![draft.net.panels[flap].region.clone()]].concat());
    // The flap's upper half is whole whatever the arms.
    draft.label(Rect::new(from, slot_top, to - chamfer, height - chamfer), true);
    draft.finish()
}
