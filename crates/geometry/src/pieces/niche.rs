//! Niche: an opening with a folded box glued behind it.

use kurbo::{Line, Rect};

use super::opening::{LEAST_EDGE, require};
use super::wall::{Wall, wall_plane};
use super::{Draft, PieceError, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Plane, Stock};
use crate::region;
use crate::units::Angle;

/// An opening with a box behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Niche {
    /// The opening, wall coordinates: x along the body from its left end, y up from the floor, mm.
    pub area: Rect,
    /// From the back of the wall to the inside of the box's back, mm.
    pub depth: f64,
}

/// How far the box stands back from the opening's edge all round, mm: its sides stay out of sight
/// where it is glued on a little off. Common practice, no source.
pub const MARGIN: f64 = 0.5;
/// How far the flanges reach past the opening, mm: inside the material that every wall keeps.
const REACH: f64 = LEAST_EDGE - 0.5;
/// Least depth, mm: what can still be folded and glued by hand. Common practice, no source.
const LEAST_DEPTH: f64 = 5.0;
/// Least width and height of the opening, mm. Common practice, no source.
const LEAST_SIDE: f64 = 6.0;
/// Longest corner tab, mm.
const TAB: f64 = 5.0;

impl Niche {
    /// The deepest niche that leaves its neighbours room, mm. The nearest one hangs in a wall
    /// round the corner: each box keeps within the square that the other one cannot reach, since no
    /// box begins nearer to a body's end than the material that every wall keeps.
    #[must_use]
    pub fn deepest(p: &Parameters) -> f64 {
        let body = (mm(p.post_side()) + mm(p.play)) / 2.0;
        let first = body + LEAST_EDGE - MARGIN - mm(p.card);
        first - mm(p.wall_thickness()) / 2.0 - mm(p.card) - mm(p.play)
    }

    pub(super) fn check(&self, p: &Parameters, name: &str) -> Result<(), PieceError> {
        require(format!("the {name} has a width that can be folded"), LEAST_SIDE, self.area.width())?;
        require(format!("the {name} has a height that can be folded"), LEAST_SIDE, self.area.height())?;
        require(format!("the {name} has a depth that can be folded"), LEAST_DEPTH, self.depth)?;
        let free = Self::deepest(p) - self.depth;
        if free < -crate::tolerance::FIT {
            return Err(PieceError::NoRoom {
                what: format!("the {name}'s box leaves its neighbour round the corner room"),
                found: format!(
                    "{} mm deep where at most {} mm are free",
                    crate::units::plain(self.depth, 3),
                    crate::units::plain(Self::deepest(p), 3)
                ),
                help: "make it less deep".into(),
            });
        }
        Ok(())
    }
}

/// The box in wall coordinates, printed side up: the inside shows. Its back in the middle, four
/// sides round it, a flange on each, and tabs that close the four corners.
///
/// # Errors
/// [`PieceError`] where a panel is used up.
pub(super) fn tray(p: &Parameters, wall: &Wall, niche: &Niche) -> Result<Pattern, PieceError> {
    let size = Size::new(p, niche);
    let Size { inside: Rect { x0, y0, x1, y1 }, half, .. } = size;
    let mut draft = Draft::new(PieceKind::NicheBox, Stock::Card, wall.detail());
    // Notched at the corners, where two folds would meet.
    let cross = [rect(x0 - half, y0, x1 + half, y1), rect(x0, y0 - half, x1, y1 + half)].concat();
    let back = draft.panel("back", &region::union(&cross), &[])?;
    draft.shows(back);
    let upright = [true, false].map(|left| size.upright(&mut draft, back, left));
    let level = [true, false].map(|upper| size.level(&mut draft, back, upper));
    for (left, side) in [true, false].into_iter().zip(upright) {
        let side = side?;
        for (upper, onto) in [true, false].into_iter().zip(&level) {
            let onto = onto.as_ref().map_err(Clone::clone)?;
            size.tab(&mut draft, (side, left), (*onto, upper))?;
        }
    }
    draft.planes.push(Plane::everywhere(wall_plane(p)));
    draft.finish()
}

/// The lengths of a box. Mountain and valley are seen from the inside, which is printed.
struct Size {
    /// Inside of the box.
    inside: Rect,
    /// Half an allowance of a quarter turn.
    half: f64,
    /// Caliper.
    card: f64,
    /// From the inside of the back to where the flange bends away.
    side: f64,
    /// Width of a flange past its fold.
    flange: f64,
    /// Gap that the tool can cut.
    gap: f64,
}

impl Size {
    fn new(p: &Parameters, niche: &Niche) -> Self {
        let card = mm(p.card);
        Self {
            inside: niche.area.inflate(MARGIN, MARGIN),
            half: mm(p.fold_allowance(Angle::QUARTER, p.card)) / 2.0,
            card,
            // The flange's printed face lies on the wall's back, its fold's inside a caliper lower.
            side: niche.depth - card,
            flange: REACH - MARGIN - card,
            gap: mm(p.tool_gap_card),
        }
    }

    /// From the fold at the back to the one at the flange, in the flat.
    fn run(&self) -> f64 {
        self.side + 2.0 * self.half
    }

    /// The left or right side with its flange; longer than the back by the tabs' folds.
    fn upright(&self, draft: &mut Draft, back: usize, left: bool) -> Result<usize, PieceError> {
        let Rect { x0, x1, y0, y1 } = self.inside;
        let out = if left { -1.0 } else { 1.0 };
        let near = if left { x0 - self.half } else { x1 + self.half };
        let far = near + out * self.run();
        let (from, to) = (near + out * self.gap, far - out * self.gap);
        let past = self.card + self.half;
        let area = [across(near, far, y0, y1), across(from, to, y0 - past, y1 + past)].concat();
        let side = draft.panel(if left { "left side" } else { "right side" }, &region::union(&area), &[])?;
        draft.shows(side);
        draft.hinge(back, side, Line::new((near, y0), (near, y1)), Fold::Valley, Angle::QUARTER);
        let end = far + out * (self.half + self.flange);
        let chamfer = 1.0_f64.min(self.flange / 2.0);
        let outline = [(far, y0), (end, y0 + chamfer), (end, y1 - chamfer), (far, y1)];
        let flange = draft.panel(if left { "left flange" } else { "right flange" }, &polygon(&outline), &[])?;
        draft.hinge(side, flange, Line::new((far, y0), (far, y1)), Fold::Mountain, Angle::QUARTER);
        draft.glue.push(draft.net.panels[flange].region.clone());
        draft.label(Rect::new(far.min(end), y0 + chamfer, far.max(end), y1 - chamfer), true);
        Ok(side)
    }

    /// The upper or lower side with its flange.
    fn level(&self, draft: &mut Draft, back: usize, upper: bool) -> Result<usize, PieceError> {
        let Rect { x0, x1, y0, y1 } = self.inside;
        let out = if upper { 1.0 } else { -1.0 };
        let near = if upper { y1 + self.half } else { y0 - self.half };
        let far = near + out * self.run();
        let side = draft.panel(if upper { "upper side" } else { "lower side" }, &across(x0, x1, near, far), &[])?;
        draft.shows(side);
        draft.hinge(back, side, Line::new((x0, near), (x1, near)), Fold::Valley, Angle::QUARTER);
        let end = far + out * (self.half + self.flange);
        let chamfer = 1.0_f64.min(self.flange / 2.0);
        let outline = [(x0, far), (x0 + chamfer, end), (x1 - chamfer, end), (x1, far)];
        let flange = draft.panel(if upper { "upper flange" } else { "lower flange" }, &polygon(&outline), &[])?;
        draft.hinge(side, flange, Line::new((x0, far), (x1, far)), Fold::Mountain, Angle::QUARTER);
        draft.glue.push(draft.net.panels[flange].region.clone());
        draft.label(Rect::new(x0 + chamfer, far.min(end), x1 - chamfer, far.max(end)), false);
        Ok(side)
    }

    /// The tab at one end of an upright side, glued on the outside of a level one.
    fn tab(
        &self,
        draft: &mut Draft,
        (side, left): (usize, bool),
        (onto, upper): (usize, bool),
    ) -> Result<(), PieceError> {
        let Rect { x0, x1, y0, y1 } = self.inside;
        let (out, up) = (if left { -1.0 } else { 1.0 }, if upper { 1.0 } else { -1.0 });
        let near = if left { x0 - self.half } else { x1 + self.half };
        let (from, to) = (near + out * self.gap, near + out * (self.run() - self.gap));
        let fold = if upper { y1 } else { y0 } + up * (self.card + self.half);
        // Two tabs share a side.
        let length = TAB.min((x1 - x0) / 2.0 - self.half);
        let end = fold + up * (self.half + length);
        let chamfer = (out * (to - from) / 4.0).min(1.0) * out;
        let outline = [(from, fold), (from + chamfer, end), (to - chamfer, end), (to, fold)];
        let tab = draft.panel("tab", &polygon(&outline), &[])?;
        draft.hinge(side, tab, Line::new((from, fold), (to, fold)), Fold::Valley, Angle::QUARTER);
        draft.net.seats.push(GlueSeat { flap: tab, onto });
        draft.glue.push(draft.net.panels[tab].region.clone());
        Ok(())
    }
}

/// A rectangle through two opposite corners.
fn across(x0: f64, x1: f64, y0: f64, y1: f64) -> Vec<region::Region> {
    rect(x0.min(x1), y0.min(y1), x0.max(x1), y0.max(y1))
}
