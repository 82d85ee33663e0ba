//! Wall over any span: the outline that card and board walls share, and its tabs.

use kurbo::Rect;

use super::opening::Opening;
use super::{PieceError, board_wall, card_wall, mm, rect, span_text};
use crate::parameters::{Parameters, WallBuild};
use crate::pattern::Pattern;
use crate::region::{self, Region};
use crate::units::plain;

/// Longest span of a wall, modules.
pub const LONGEST_SPAN: f64 = 20.0;

/// One wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Modules between the middles of its posts: 1/3, 2/3, 1, 2 or any other number.
    pub span: f64,
    /// Its opening, if any.
    pub opening: Option<Opening>,
}

impl Wall {
    pub(super) fn detail(&self) -> String {
        let span = span_text(self.span);
        match &self.opening {
            Some(opening) => format!("{span}, {}", opening.name()),
            None => span,
        }
    }

    /// The body's length, checked: long enough to hold on to, short enough to build.
    pub(super) fn body(&self, p: &Parameters) -> Result<f64, PieceError> {
        if !(self.span > 0.0 && self.span <= LONGEST_SPAN) {
            return Err(PieceError::OutOfRange {
                what: "a wall's span",
                found: format!("{} modules", plain(self.span, 3)),
                help: format!("give a number of modules above 0 and up to {LONGEST_SPAN}, such as 1/3, 1 or 2"),
            });
        }
        let body = mm(p.wall_body(self.span));
        if body < 3.0 {
            return Err(PieceError::NoRoom {
                what: format!("a wall over {} modules has a body: nM - s - f", span_text(self.span)),
                found: format!("{} mm where at least 3 mm are needed", plain(body, 3)),
                help: "use a longer span, a narrower post or a larger module".into(),
            });
        }
        Ok(body)
    }

    /// Its patterns: one net of card, or core, facing and (with a door) leaf of a board wall; then
    /// the box of its niche.
    ///
    /// # Errors
    /// [`PieceError`] where the span or the opening has no room.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        match p.walls {
            WallBuild::Card => card_wall::patterns(p, self),
            WallBuild::Board => board_wall::patterns(p, self),
        }
    }
}

/// Tab length from the body's end: half the play in front of the post's face, and past it
/// s/2 - w/2 - f.
pub(super) fn tab_length(p: &Parameters) -> f64 {
    mm(p.play) / 2.0 + mm(p.tab_past_face())
}

/// From the artwork's plane, which begins in the middle of the left post, to the body's left end.
pub(super) fn wall_plane(p: &Parameters) -> kurbo::Affine {
    kurbo::Affine::translate((-(mm(p.post_side()) + mm(p.play)) / 2.0, 0.0))
}

/// The two hook tabs in wall coordinates, up to z = `top`. Each overlaps the body by `overlap`.
pub(super) fn tabs(p: &Parameters, body: f64, top: f64, overlap: f64) -> Vec<Region> {
    let (tab, gap) = (tab_length(p), mm(p.hook_gap()));
    let neck = mm(p.wall_height) - mm(p.slot_depth());
    let hook = neck - mm(p.hook_drop);
    let right = [rect(body - overlap, neck, body + tab, top), rect(body + gap, hook, body + tab, top)].concat();
    let mirror = kurbo::Affine::new([-1.0, 0.0, 0.0, 1.0, body, 0.0]);
    let left: Vec<Region> = right.iter().map(|r| r.moved(mirror)).collect();
    region::union(&[right, left].concat())
}

/// The rectangle of the right tab that artwork of the body, bleed included, does not reach.
pub(super) fn tab_spot(p: &Parameters, body: f64) -> Rect {
    let neck = mm(p.wall_height) - mm(p.slot_depth());
    let from = mm(p.hook_gap()).max(mm(p.bleed));
    Rect::new(body + from, neck - mm(p.hook_drop), body + tab_length(p), mm(p.wall_height))
}
