//! Partition fillers: walls of a third or two thirds of a module that hang in a post at one end. The
//! other end is free and stands on a base plate of board, which lies on the floor.

use kurbo::{Affine, Line, Point, Rect};

use super::card_wall::{show_body, top_edges};
use super::free_wall::{FOOT, RIM};
use super::wall::{tab_spot, tabs, wall_plane};
use super::{Draft, PieceError, flat, mm, polygon, rect, span_text};
use crate::parameters::{Parameters, WallBuild};
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Stock};
use crate::region::{self, Region};
use crate::units::{Angle, Mm, plain, snapped};

/// Longest and shortest foot along the wall, mm. An estimate: the hook keeps the wall upright.
const FOOT_LENGTH: (f64, f64) = (14.0, 6.0);
/// Least wall beside the foot, mm.
const LEAST: f64 = 4.0;
/// Cut between the foot and the wall beside it, mm: as wide as two strokes of a knife need.
const GAP: f64 = 0.6;

/// A partition filler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Filler {
    /// Thirds of a module from the middle of its post to its free end, play left out: 1 or 2.
    pub thirds: u32,
}

impl Filler {
    /// What sets it apart, for people.
    #[must_use]
    pub fn detail(self) -> String {
        span_text(self.span())
    }

    /// Its span in modules.
    #[must_use]
    pub fn span(self) -> f64 {
        f64::from(self.thirds) / 3.0
    }

    /// Length of the body, from half the play off the post's face to half the play before its span's
    /// end: nM - s/2 - f.
    ///
    /// # Errors
    /// [`PieceError`] where the parameters leave no room for wall and foot.
    pub fn length(self, p: &Parameters) -> Result<Mm, PieceError> {
        if !(1..=2).contains(&self.thirds) {
            return Err(PieceError::OutOfRange {
                what: "a filler's span",
                found: format!("{} of a module", span_text(self.span())),
                help: "give \"1/3\" or \"2/3\"; a whole module is a wall".into(),
            });
        }
        let length = mm(p.module) * self.span() - mm(p.post_side()) / 2.0 - mm(p.play);
        if length < LEAST + FOOT_LENGTH.1 {
            return Err(PieceError::NoRoom {
                what: format!("a filler over {} of a module: nM - s/2 - f", self.detail()),
                found: format!("{} mm where at least {} mm are needed", plain(length, 2), LEAST + FOOT_LENGTH.1),
                help: "use a longer span, a narrower post or a larger module".into(),
            });
        }
        Ok(Mm::new(length))
    }

    /// From where on the wall stands on its plate.
    fn foot_from(self, p: &Parameters) -> Result<f64, PieceError> {
        let length = mm(self.length(p)?);
        Ok(length - FOOT_LENGTH.0.min(length - LEAST))
    }

    /// Outline of the plate, its length along x from the body's hooked end, the wall's middle at y = 0.
    ///
    /// # Errors
    /// As [`Self::length`].
    pub fn plate(self, p: &Parameters) -> Result<Rect, PieceError> {
        let half = FOOT + RIM + mm(p.wall_thickness()) / 2.0;
        Ok(Rect::new(self.foot_from(p)? + mm(p.play), -half, mm(self.length(p)?), half))
    }

    /// The wall (one net of card, or core and facing) and its plate.
    ///
    /// # Errors
    /// As [`Self::length`].
    pub fn patterns(self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        let mut patterns = match p.walls {
            WallBuild::Card => vec![self.net(p)?],
            WallBuild::Board => vec![self.core(p)?, self.facing(p)?],
        };
        let Rect { x0, y0, x1, y1 } = self.plate(p)?;
        let mut plate = flat(PieceKind::WallBase, Stock::Board, self.named(), &rect(x0, y0, x1, y1), &[])?;
        plate.label(Rect::new(x0, y0, x1, y1), true);
        patterns.push(plate.finish()?);
        Ok(patterns)
    }

    fn named(self) -> String {
        format!("filler {}", self.detail())
    }

    /// Body and hook up to `top`, less what the plate takes below `raised` at the free end.
    fn outline(self, p: &Parameters, top: f64, raised: f64) -> Result<Vec<Region>, PieceError> {
        let (length, from) = (mm(self.length(p)?), self.foot_from(p)?);
        // Of the two tabs that a wall has the left one.
        let tab = region::intersection(&tabs(p, length, top, 1.0), &rect(-1e3, -1e3, 1.0, 1e3));
        let whole = region::union(&[rect(0.0, 0.0, length, top), tab].concat());
        Ok(region::difference(&whole, &rect(from, -1.0, length + 1.0, raised)))
    }

    /// The net, printed side up: as a card wall's, with a foot at the free end of either side.
    fn net(self, p: &Parameters) -> Result<Pattern, PieceError> {
        let (length, from) = (mm(self.length(p)?), self.foot_from(p)?);
        let bend = mm(p.fold_allowance(Angle::HALF, p.card));
        let quarter = mm(p.fold_allowance(Angle::QUARTER, p.card));
        let fold = snapped(mm(p.wall_height) - mm(p.card) + bend / 2.0);
        let back = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 2.0 * fold]);
        // The foot's fold turns about a line a caliper above the plate.
        let low = snapped(mm(p.board) + mm(p.card) - quarter / 2.0);
        let outline = self.outline(p, fold, low)?;
        let mut draft = Draft::new(PieceKind::Filler, Stock::Card, self.detail());
        let front = draft.panel("front", &outline, &[])?;
        let flipped: Vec<Region> = outline.iter().map(|region| region.moved(back)).collect();
        let rear = draft.panel("back", &flipped, &[])?;
        for (from, to) in top_edges(&draft.net.panels[front].region, fold) {
            draft.hinge(front, rear, Line::new((from, fold), (to, fold)), Fold::Mountain, Angle::HALF);
        }
        draft.net.seats.push(GlueSeat { flap: rear, onto: front });
        show_body(&mut draft, length, fold);
        let (from, to) = (from + GAP, length);
        let (chamfer, end) = (1.5_f64.min((to - from) / 4.0), low - quarter / 2.0 - FOOT);
        for (panel, motion) in [(front, Affine::IDENTITY), (rear, back)] {
            let area = polygon(&[(from, low), (from + chamfer, end), (to - chamfer, end), (to, low)]);
            let area: Vec<Region> = area.iter().map(|region| region.moved(motion)).collect();
            let foot = draft.panel("foot", &area, &[])?;
            let line = Line::new(motion * Point::new(from, low), motion * Point::new(to, low));
            draft.hinge(panel, foot, line, Fold::Valley, Angle::QUARTER);
        }
        let plane = wall_plane(p);
        draft.plane((-1e5, fold), plane);
        draft.plane((fold, 1e5), back * plane);
        let spot = tab_spot(p, length);
        draft.label(Rect::new(length - spot.x1, spot.y0, length - spot.x0, fold), true);
        draft.finish()
    }

    fn core(self, p: &Parameters) -> Result<Pattern, PieceError> {
        let (height, raised) = (mm(p.wall_height), mm(p.board));
        let outline = self.outline(p, height, raised)?;
        let mut draft = Draft::new(PieceKind::WallCore, Stock::Board, self.named());
        draft.panel("whole", &outline, &[])?;
        draft.label(Rect::new(0.0, raised, mm(self.length(p)?), height), true);
        draft.finish()
    }

    /// The facing, printed side up: front, strip over the top, back; the tab stays bare.
    fn facing(self, p: &Parameters) -> Result<Pattern, PieceError> {
        let (length, from) = (mm(self.length(p)?), self.foot_from(p)?);
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let height = mm(p.wall_height);
        let (first, second) = (height + bend / 2.0, height + mm(p.board) + 1.5 * bend);
        let mirror = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, first + second]);
        let notch = rect(from, -1.0, length + 1.0, mm(p.board));
        let mirrored: Vec<Region> = notch.iter().map(|region| region.moved(mirror)).collect();
        let mut draft = Draft::new(PieceKind::WallFacing, Stock::Paper, self.named());
        let front = draft.panel("front", &rect(0.0, 0.0, length, first), &notch)?;
        let top = draft.panel("top", &rect(0.0, first, length, second), &[])?;
        let rear = draft.panel("back", &rect(0.0, second, length, first + second), &mirrored)?;
        for panel in [front, top, rear] {
            draft.shows(panel);
        }
        draft.hinge(front, top, Line::new((0.0, first), (length, first)), Fold::Mountain, Angle::QUARTER);
        draft.hinge(top, rear, Line::new((0.0, second), (length, second)), Fold::Mountain, Angle::QUARTER);
        let plane = wall_plane(p);
        draft.plane((-1e5, second), plane);
        draft.plane((second, 1e5), mirror * plane);
        draft.finish()
    }
}
