//! Card patch under a corner of a turn tile: the usual one, cut off where it would stick out beyond the
//! bend.

use super::bend::{Bend, TurnPart, TurnTile};
use super::turn_tile::TurnCorner;
use super::{Draft, PieceError, mm, rect, tile};
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind, Stock};
use crate::region::{self, Region};
use crate::tolerance;
use kurbo::Rect;

/// Which corner of the tiles beside a bend.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PocketPlace {
    /// Inside the bend, where it begins: at (0, nM) of its frame.
    First,
    /// Inside the bend, where it ends: at (nM, 0). It is the mirror image of the first, and a piece of its
    /// own, since its glue is printed on the side that goes against the tile.
    Last,
    /// Outside, in the far corner of a spandrel.
    Far,
}

/// A pocket that is cut off along a bend.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BendPocket {
    /// The bend.
    pub bend: Bend,
    /// Where it lies.
    pub place: PocketPlace,
}

impl BendPocket {
    /// What sets it apart, for people.
    #[must_use]
    pub fn detail(self) -> String {
        let Bend { form, reach } = self.bend;
        let place = match self.place {
            PocketPlace::First => "where it begins",
            PocketPlace::Last => "where it ends",
            PocketPlace::Far => "far corner",
        };
        format!("{form}, {reach}, {place}")
    }

    /// The tile that it lies under, as seen from its corner.
    fn ground(self, p: &Parameters) -> Vec<Region> {
        let n = self.bend.reach;
        let (part, at, quadrant) = match self.place {
            PocketPlace::First => (TurnPart::Fan, (0, n), 3),
            PocketPlace::Last => (TurnPart::Fan, (n, 0), 1),
            PocketPlace::Far => (TurnPart::Spandrel, (n, n), 2),
        };
        TurnTile { bend: self.bend, part }.ground_from(p, TurnCorner { at, quadrant, pocket: None })
    }

    /// Whether the usual pocket would stick out beyond the bend, so that this one is needed.
    #[must_use]
    pub fn is_cut(self, p: &Parameters) -> bool {
        let side = mm(p.post_side()) / 2.0 + mm(p.tongue) + mm(p.pocket_band);
        let outside = region::difference(&rect(0.0, 0.0, side, side), &self.ground(p));
        outside.iter().map(Region::area).sum::<f64>() > tolerance::FIT
    }

    /// The patch, the finished tile's corner at the origin and the tile at positive x and y; glue goes on
    /// the side that is drawn.
    ///
    /// # Errors
    /// [`PieceError`] where the bend has no room or leaves no patch in one piece.
    pub fn pattern(self, p: &Parameters) -> Result<Pattern, PieceError> {
        self.bend.check(p)?;
        let usual = tile::corner_pocket(p)?;
        let ground = self.ground(p);
        let patch = region::intersection(std::slice::from_ref(&usual.material), &ground);
        let mut draft = Draft::new(PieceKind::BendPocket, Stock::Card, self.detail());
        draft.panel("whole", &patch, &[])?;
        draft.glue = region::intersection(&usual.glue, &ground);
        // Within the channel, which no glue may cover, and within what is left of the patch.
        let relief = mm(p.post_side()) / 2.0;
        let channel = relief + mm(p.tongue);
        let whole = |spot: &Rect| region::difference(&rect(spot.x0, spot.y0, spot.x1, spot.y1), &patch).is_empty();
        let spots = [
            (Rect::new(0.0, relief, channel, channel), false),
            (Rect::new(relief, 0.0, channel, channel), true),
            (Rect::new(0.0, relief, relief, channel), true),
            (Rect::new(relief, 0.0, channel, relief), false),
        ];
        for (spot, upward) in spots.into_iter().filter(|(spot, _)| whole(spot)) {
            draft.label(spot, upward);
        }
        draft.finish()
    }
}
