//! Free-standing walls: a folded card wall without hooks, on two feet glued to a base plate.

use kurbo::{Affine, Line, Rect};

use super::card_wall::top_edges;
use super::opening::{Cut, Opening};
use super::{Draft, PieceError, flat, mm, polygon, rect, span_text};
use crate::parameters::Parameters;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Plane, Stock};
use crate::region;
use crate::units::{Angle, Mm, plain, snapped};

/// Depth of a foot, mm: enough to glue, less than a base plate leaves on either side.
pub(super) const FOOT: f64 = 12.0;
/// Shortest wall, mm: below it there is nothing to hold on to.
const SHORTEST: f64 = 8.0;
/// How far the base plate reaches out under a foot, mm.
pub(super) const RIM: f64 = 4.0;
/// Least material between an opening and the wall's ends, mm, so that the feet hold together.
const LEAST: f64 = 4.0;

/// A free-standing wall.
#[derive(Clone, Debug, PartialEq)]
pub struct FreeWall {
    /// Its length in modules: 1/3, 2/3, 1 or any other number; it is shorter by a post and the play,
    /// so that it fits between two posts, too.
    pub span: f64,
    /// Its opening, if any.
    pub opening: Option<Opening>,
}

impl FreeWall {
    /// What sets it apart, for people.
    #[must_use]
    pub fn detail(&self) -> String {
        let span = span_text(self.span);
        match &self.opening {
            Some(opening) => format!("{span}, {}", opening.name()),
            None => span,
        }
    }

    /// Length of the wall: nM - s - f.
    fn length(&self, p: &Parameters) -> Result<f64, PieceError> {
        if !(self.span > 0.0 && self.span <= super::wall::LONGEST_SPAN) {
            return Err(PieceError::OutOfRange {
                what: "a free-standing wall's span",
                found: format!("{} modules", plain(self.span, 3)),
                help: "give a number of modules above 0, such as 1/3, 1 or 2".into(),
            });
        }
        let length = mm(p.wall_body(self.span));
        if length < SHORTEST {
            return Err(PieceError::NoRoom {
                what: format!("a free-standing wall over {} modules: nM - s - f", span_text(self.span)),
                found: format!("{} mm where at least {SHORTEST} mm are needed", plain(length, 2)),
                help: "use a longer span, a narrower post or a larger module".into(),
            });
        }
        Ok(length)
    }

    /// Width and depth of its base plate.
    ///
    /// # Errors
    /// [`PieceError`] where the span has no room.
    pub fn plate_size(&self, p: &Parameters) -> Result<(Mm, Mm), PieceError> {
        let across = 2.0 * (FOOT + RIM) + 2.0 * mm(p.card);
        Ok((Mm::new(self.length(p)?), Mm::new(across)))
    }

    /// The wall, of card, and its base plate, of board.
    ///
    /// # Errors
    /// [`PieceError`] where the span or the opening has no room.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        let length = self.length(p)?;
        let cut = self.opening.as_ref().map_or(Ok(Cut::default()), |opening| opening.cut(p, length))?;
        if cut.niche.is_some() || cut.leaf.is_some() {
            return Err(PieceError::OutOfRange {
                what: "a free-standing wall's opening",
                found: "one with a box or a leaf".into(),
                help: "use a plain door, an arch, a window, bars or another design without either".into(),
            });
        }
        let (long, across) = self.plate_size(p)?;
        let plate = rect(0.0, 0.0, mm(long), mm(across));
        let mut base = flat(PieceKind::WallBase, Stock::Board, self.detail(), &plate, &[])?;
        base.label(Rect::new(0.0, 0.0, mm(long), mm(across)), false);
        Ok(vec![self.net(p, length, &cut)?, base.finish()?])
    }

    /// The net, printed side up: the front's foot fold at y = 0, the back upside down above the fold
    /// along the top, a foot at either end.
    fn net(&self, p: &Parameters, length: f64, cut: &Cut) -> Result<Pattern, PieceError> {
        let bend = mm(p.fold_allowance(Angle::HALF, p.card));
        let quarter = mm(p.fold_allowance(Angle::QUARTER, p.card));
        // It stands on its plate, and its top is as high as that of other walls. Between the inner corners
        // of its two folds: the foot's is a caliper above the plate, on the printed side, the upper one's a
        // caliper below the top.
        let height = mm(p.wall_height) - mm(p.board);
        let fold = snapped(height - 2.0 * mm(p.card) + (bend + quarter) / 2.0);
        let back = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 2.0 * fold]);
        let body = rect(0.0, 0.0, length, fold);
        // Openings are measured from the floor.
        let lowered = Affine::translate((0.0, -mm(p.board)));
        let through: Vec<region::Region> = cut.through.iter().map(|hole| hole.moved(lowered)).collect();
        let flipped = |regions: &[region::Region]| regions.iter().map(|r| r.moved(back)).collect::<Vec<_>>();
        // Openings down to the floor leave the feet in two, each below its own part of the wall.
        let feet: Vec<(f64, f64)> = feet(&region::difference(&body, &through));
        if feet.is_empty() || feet.iter().any(|(from, to)| to - from < LEAST) {
            return Err(PieceError::NoRoom {
                what: format!("a free-standing wall keeps at least {LEAST} mm of foot beside its opening"),
                found: format!("{} mm long", plain(length, 2)),
                help: "use a longer span or a narrower opening".into(),
            });
        }
        let mut draft = Draft::new(PieceKind::FreeWall, Stock::Card, self.detail());
        let front = draft.panel("front", &body, &through)?;
        let rear = draft.panel("back", &flipped(&body), &flipped(&through))?;
        for (from, to) in top_edges(&draft.net.panels[front].region, fold) {
            draft.hinge(front, rear, Line::new((from, fold), (to, fold)), Fold::Mountain, Angle::HALF);
        }
        draft.net.seats.push(GlueSeat { flap: rear, onto: front });
        draft.shows(front);
        draft.shows(rear);
        for (panel, motion) in [(front, Affine::IDENTITY), (rear, back)] {
            for &(from, to) in &feet {
                // Chamfered, so that neighbours never meet.
                let c = 1.5_f64.min((to - from) / 4.0);
                let outline = [(from, 0.0), (from + c, -FOOT), (to - c, -FOOT), (to, 0.0)];
                let area: Vec<_> = polygon(&outline).iter().map(|r| r.moved(motion)).collect();
                let foot = draft.panel("foot", &area, &[])?;
                let line = Line::new(motion * kurbo::Point::new(from, 0.0), motion * kurbo::Point::new(to, 0.0));
                draft.hinge(panel, foot, line, Fold::Valley, Angle::QUARTER);
                let spot = Rect::new(from + c, -FOOT, to - c, 0.0);
                draft.label(motion.transform_rect_bbox(spot), false);
            }
        }
        let plane = lowered * Affine::translate((-(mm(p.post_side()) + mm(p.play)) / 2.0, 0.0));
        draft.planes.push(Plane { window: Rect::new(-1e5, -1e5, 1e5, fold), motion: plane });
        draft.planes.push(Plane { window: Rect::new(-1e5, fold, 1e5, 1e5), motion: back * plane });
        draft.finish()
    }
}

/// The stretches of the front that reach the floor.
fn feet(front: &[region::Region]) -> Vec<(f64, f64)> {
    let at_floor = |y: f64| y.abs() < crate::tolerance::SNAP * 2.0;
    let mut stretches: Vec<(f64, f64)> = (front.iter())
        .flat_map(|region| region.outer.sides())
        .filter(|(a, b)| at_floor(a.y) && at_floor(b.y))
        .map(|(a, b)| (a.x.min(b.x), a.x.max(b.x)))
        .collect();
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    stretches
}
