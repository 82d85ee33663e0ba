//! The printed wrap of a turn tile: over the top, down the sides on the lattice and under them. On a bend
//! it ends flush with the core.

use kurbo::{Affine, Line, Rect};

use super::bend::TurnTile;
use super::turn_tile::{Notch, Side};
use super::{Draft, PieceError, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, Pattern, PieceKind, Plane, Stock};
use crate::region::{self, Region};
use crate::units::{Angle, Mm};

/// How far a return stays off a bend's cut edge, mm, so that it does not show.
const OFF_THE_BEND: Mm = Mm::new(1.0);
/// Shallowest return, mm: what is less does not hold.
const LEAST_RETURN: f64 = 1.0;

impl TurnTile {
    /// The printed wrap in the bend's frame, printed side up.
    ///
    /// # Errors
    /// [`PieceError`] where a reach is out of range, the tile has no room, or it is cut apart.
    pub fn wrap(self, p: &Parameters) -> Result<Pattern, PieceError> {
        self.check(p)?;
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let sides = self.lattice_sides(p);
        let mut draft = Draft::new(PieceKind::TurnWrap, Stock::Paper, self.detail());
        // Fold lines lie on the core's edges, half an allowance out.
        let in_by = mm(p.paper) - bend / 2.0;
        let top = draft.panel("top", &self.ground(p, in_by), &self.reliefs(p))?;
        draft.shows(top);
        draft.planes.push(Plane::everywhere(Affine::IDENTITY));
        let fold = -mm(p.play) / 2.0 - in_by;
        for flap in self.flaps(p) {
            self.flap(&mut draft, p, top, (&sides[flap.side], fold), flap)?;
        }
        // The longest return gives the label most room.
        draft.label_spots.sort_by(|a, b| {
            let length = |spot: &crate::pattern::LabelSpot| spot.rect.width().max(spot.rect.height());
            length(b).total_cmp(&length(a)).then(a.upward.cmp(&b.upward))
        });
        draft.finish()
    }

    /// Side and return of one flap; its fold lies `fold` from the lattice line.
    fn flap(
        self,
        draft: &mut Draft,
        p: &Parameters,
        top: usize,
        (side, fold): (&Side, f64),
        flap: Notch,
    ) -> Result<(), PieceError> {
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let Notch { from, to, .. } = flap;
        let low = fold + mm(p.board) + bend;
        let (mitre_from, mitre_to) = (side.meets_from && from == side.from, side.meets_to && to == side.to);
        // A short flap with two mitres would come to a point: its return is shortened to leave a millimetre.
        let mitres = f64::from(u8::from(mitre_from) + u8::from(mitre_to));
        let room = if mitres > 0.0 { (to - from - 1.0) / mitres } else { f64::INFINITY };
        let depth = (mm(p.wrap_return) + bend / 2.0).min(room);
        let placed = |regions: &[Region]| regions.iter().map(|r| r.moved(side.motion)).collect::<Vec<_>>();
        let line = |y: f64| side.motion * Line::new((from, y), (to, y));

        let upright = draft.panel("side", &placed(&rect(from, fold, to, low)), &[])?;
        draft.shows(upright);
        draft.hinge(top, upright, line(fold), Fold::Mountain, Angle::QUARTER);
        let end_from = if mitre_from { from + depth } else { from };
        let end_to = if mitre_to { to - depth } else { to };
        let under = polygon(&[(from, low), (to, low), (end_to, low + depth), (end_from, low + depth)]);
        // Folded under, it lies as far inside the core's edge as it reaches past its fold here.
        let edge = fold - bend / 2.0;
        let unfolded = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, edge + low + bend / 2.0]) * side.motion.inverse();
        let mut ground: Vec<Region> = self.off_the_bends(p, OFF_THE_BEND).iter().map(|r| r.moved(unfolded)).collect();
        // The fold itself is whole, wherever the side itself is.
        ground.extend(rect(from, low - 1.0, to, low + bend / 2.0 + LEAST_RETURN));
        let under = region::intersection(&under, &region::union(&ground));
        // A part of it that hangs on no fold is of no use.
        let hangs = |part: &&Region| part.bounds().y0 < low + crate::tolerance::FIT;
        let Some(under) = under.iter().find(hangs) else { return Ok(()) };
        let panel = draft.panel("return", &placed(std::slice::from_ref(under)), &[])?;
        draft.hinge(upright, panel, line(low), Fold::Mountain, Angle::QUARTER);
        // The artwork's bleed runs onto the return; the label keeps beyond it.
        let spot = Rect::new(end_from, low + mm(p.bleed), end_to, low + depth);
        let whole = region::difference(&rect(spot.x0, spot.y0, spot.x1, spot.y1), std::slice::from_ref(under));
        if whole.is_empty() {
            let spot = side.motion.transform_rect_bbox(spot);
            draft.label(spot, spot.height() > spot.width());
        }
        Ok(())
    }
}
