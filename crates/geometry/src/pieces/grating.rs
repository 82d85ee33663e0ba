//! A grating: bars that lie in the opening of a tile. A frame of board drops in, and a frame of card on
//! it, with the same bars, rests on the floor with its rim.

use kurbo::Rect;

use super::{PieceError, flat, mm, rect, span_text};
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind, Plane, Stock};
use crate::region::Region;
use crate::units::{Mm, plain};

/// How far the card rests on the floor round the opening, mm.
const RIM: f64 = 5.0;
/// Least bar and least gap, mm, and width of the board's frame: narrower webs of foam board tear under a
/// knife. Common practice.
pub const LEAST_BAR: f64 = 4.0;
/// See [`LEAST_BAR`].
pub const LEAST_GAP: f64 = 3.0;

/// A grating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grating {
    /// The opening that it lies in, in thirds of a module along x and y.
    pub size: (u32, u32),
    /// Width of a bar, and of the frame.
    pub bar: Mm,
    /// Least width of a gap; gaps are alike and as narrow as this allows.
    pub gap: Mm,
    /// Whether bars run along y too, so that the gaps are short.
    pub crossed: bool,
}

impl Grating {
    /// What sets it apart, for people.
    #[must_use]
    pub fn detail(self) -> String {
        let side = |thirds: u32| span_text(f64::from(thirds) / 3.0);
        let crossed = if self.crossed { ", crossed" } else { "" };
        let (bar, gap) = (plain(self.bar.get(), 2), plain(self.gap.get(), 2));
        format!("{} x {}, bars {bar} mm, gaps {gap} mm{crossed}", side(self.size.0), side(self.size.1))
    }

    /// Width and height of the board, which drops into the opening with the play.
    #[must_use]
    pub fn board_size(self, p: &Parameters) -> (Mm, Mm) {
        let side = |thirds: u32| p.module * (f64::from(thirds) / 3.0) - p.play;
        (side(self.size.0), side(self.size.1))
    }

    /// The board and the card on it, their middles at the origin, printed side up.
    ///
    /// # Errors
    /// [`PieceError`] where bars or gaps are too narrow, or the opening is too small for them.
    pub fn patterns(self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        for (what, found, least) in [("bars", self.bar, LEAST_BAR), ("gaps", self.gap, LEAST_GAP)] {
            if found.get() < least {
                return Err(PieceError::NoRoom {
                    what: format!("a grating has {what} as wide as a knife needs"),
                    found: format!("{} mm where at least {least} mm are needed", plain(found.get(), 2)),
                    help: "make them wider".into(),
                });
            }
        }
        let (width, height) = self.board_size(p);
        let (x, y) = (mm(width) / 2.0, mm(height) / 2.0);
        let across = self.gaps(mm(height));
        let along = if self.crossed { self.gaps(mm(width)) } else { Some(vec![(-x + mm(self.bar), x - mm(self.bar))]) };
        let (Some(across), Some(along)) = (across, along.filter(|along| along[0].1 - along[0].0 >= LEAST_GAP)) else {
            return Err(PieceError::NoRoom {
                what: "a grating has room for a gap between its frame's bars".into(),
                found: format!("{} x {} mm", plain(mm(width), 2), plain(mm(height), 2)),
                help: "make it larger, or its bars and gaps narrower".into(),
            });
        };
        let holes: Vec<Region> =
            across.iter().flat_map(|(y0, y1)| along.iter().flat_map(|(x0, x1)| rect(*x0, *y0, *x1, *y1))).collect();
        let board =
            flat(PieceKind::GratingBoard, Stock::Board, self.detail(), &rect(-x, -y, x, y), &holes)?.finish()?;
        let (x, y) = (x + mm(p.play) / 2.0 + RIM, y + mm(p.play) / 2.0 + RIM);
        let mut card = flat(PieceKind::Grating, Stock::Card, self.detail(), &rect(-x, -y, x, y), &holes)?;
        card.shows(0);
        card.planes.push(Plane::everywhere(kurbo::Affine::IDENTITY));
        Ok(vec![board, card.finish()?])
    }

    /// Gaps along a side: the frame at either end, bars between.
    fn gaps(self, side: f64) -> Option<Vec<(f64, f64)>> {
        let (bar, gap) = (mm(self.bar), mm(self.gap));
        let room = side - bar;
        let count = (room / (gap + bar) + crate::tolerance::FIT).floor();
        if count < 1.0 {
            return None;
        }
        let step = room / count;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "openings are metres large at most"
        )]
        let gaps = (0..count as usize).map(|i| {
            let from = -side / 2.0 + bar + i as f64 * step;
            (from, from + step - bar)
        });
        Some(gaps.collect())
    }

    /// The board's outline, for whoever places it.
    #[must_use]
    pub fn outline(self, p: &Parameters) -> Rect {
        let (width, height) = self.board_size(p);
        Rect::from_center_size((0.0, 0.0), (mm(width), mm(height)))
    }
}
