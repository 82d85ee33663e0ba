//! Gauges: small pieces that are cut, tried and measured before a set is made.
//!
//! They are no part of a build. What they tell is worked out elsewhere; here are their shapes.

use kurbo::{BezPath, Line, Point, Rect};

use super::{PieceError, flat, mm, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, Pattern, PieceKind, Stock};
use crate::units::{Angle, Mm};

/// Side of a window gauge's hole and of the piece that comes out of it.
pub const WINDOW: Mm = Mm::new(30.0);
/// Width of one strip of a strip gauge.
pub const STRIP: Mm = Mm::new(10.0);
/// How many strips lie side by side.
pub const STRIPS: u32 = 6;
/// Length of a fold gauge before it is folded.
pub const FOLD_STRIP: Mm = Mm::new(60.0);

/// Board or card left round a slot, a window and so on, mm.
const EDGE: f64 = 8.0;
/// Height of the middle of a joint's mark above the foot of its piece, mm; below it is room for a word.
const MARK: f64 = 5.3;

/// A piece with joints of several plays, and where each is to be marked.
#[derive(Clone, Debug)]
pub struct Graded {
    /// The piece.
    pub pattern: Pattern,
    /// For each joint the middle of a free place beside it, and its play.
    pub marks: Vec<(Point, Mm)>,
}

/// A card with a slot for a wall's tab for each play: as wide as the wall and that play, and as deep as
/// a post's.
///
/// # Errors
/// [`PieceError`] where the parameters leave no card between the slots.
pub fn slots(p: &Parameters, plays: &[Mm]) -> Result<Graded, PieceError> {
    let (wall, depth) = (mm(p.wall_thickness()), mm(p.slot_depth()));
    let pitch = wall + EDGE;
    let height = depth + EDGE;
    let width = pitch * plays.len() as f64 + EDGE / 2.0;
    let middle = |i: usize| EDGE / 4.0 + pitch * (i as f64 + 0.5);
    let cutters: Vec<_> = plays
        .iter()
        .enumerate()
        .flat_map(|(i, play)| {
            let half = (wall + mm(*play)) / 2.0;
            rect(middle(i) - half, height - depth, middle(i) + half, height + 1.0)
        })
        .collect();
    let whole = rect(0.0, 0.0, width, height);
    let draft = flat(PieceKind::Gauge, Stock::Card, "slots".into(), &whole, &cutters)?;
    let marks = plays.iter().enumerate().map(|(i, play)| (Point::new(middle(i), MARK), *play)).collect();
    Ok(Graded { pattern: draft.finish()?, marks })
}

/// A frame with a square cut out of it by one line: the hole grows by the kerf, the piece that comes
/// out shrinks by it.
///
/// # Errors
/// None in practice: its size is fixed.
pub fn window(stock: Stock) -> Result<Pattern, PieceError> {
    let side = mm(WINDOW);
    let whole = rect(-EDGE, -EDGE, side + EDGE, side + EDGE);
    let mut draft = flat(PieceKind::Gauge, stock, "window".into(), &whole, &[])?;
    let mut cut = BezPath::new();
    cut.move_to((0.0, 0.0));
    for corner in [(side, 0.0), (side, side), (0.0, side)] {
        cut.line_to(corner);
    }
    cut.close_path();
    draft.slits.push(cut);
    draft.label(Rect::new(0.0, 0.0, side, side), false);
    draft.finish()
}

/// Strips side by side, parted by one cut each: together they are narrower by as many kerfs as there are
/// strips.
///
/// # Errors
/// None in practice: its size is fixed.
pub fn strips(stock: Stock) -> Result<Pattern, PieceError> {
    let (width, height) = (mm(STRIP) * f64::from(STRIPS), mm(WINDOW));
    let mut draft = flat(PieceKind::Gauge, stock, "strips".into(), &rect(0.0, 0.0, width, height), &[])?;
    for number in 1..STRIPS {
        let x = mm(STRIP) * f64::from(number);
        let mut cut = BezPath::new();
        cut.move_to((x, 0.0));
        cut.line_to((x, height));
        draft.slits.push(cut);
    }
    draft.finish()
}

/// Openings for a strip of a strip gauge, each narrower than the strip is drawn by one of `steps`. A kerf
/// widens them and narrows the strip: it goes into those that are narrower by up to two kerfs.
///
/// # Errors
/// [`PieceError`] where steps are as wide as the strip.
pub fn openings(stock: Stock, steps: &[Mm]) -> Result<Graded, PieceError> {
    let (strip, between, depth) = (mm(STRIP), 5.0, 12.0);
    let pitch = strip + between;
    let middle = |i: usize| between / 2.0 + pitch * (i as f64 + 0.5);
    let (width, height) = (pitch * steps.len() as f64 + between, depth + EDGE);
    let cutters: Vec<_> = steps
        .iter()
        .enumerate()
        .flat_map(|(i, step)| {
            let half = (strip - mm(*step)) / 2.0;
            rect(middle(i) - half, height - depth, middle(i) + half, height + 1.0)
        })
        .collect();
    let whole = rect(0.0, 0.0, width, height);
    let draft = flat(PieceKind::Gauge, stock, "openings".into(), &whole, &cutters)?;
    let marks = steps.iter().enumerate().map(|(i, step)| (Point::new(middle(i), MARK), *step)).collect();
    Ok(Graded { pattern: draft.finish()?, marks })
}

/// A strip of card with one fold in its middle, to be folded flat upon itself.
///
/// # Errors
/// None in practice: its size is fixed.
pub fn fold() -> Result<Pattern, PieceError> {
    let (half, height) = (mm(FOLD_STRIP) / 2.0, EDGE * 2.0);
    let mut draft = super::Draft::new(PieceKind::Gauge, Stock::Card, "fold".into());
    let left = draft.panel("left", &rect(-half, 0.0, 0.0, height), &[])?;
    let right = draft.panel("right", &rect(0.0, 0.0, half, height), &[])?;
    draft.hinge(left, right, Line::new((0.0, 0.0), (0.0, height)), Fold::Mountain, Angle::HALF);
    draft.finish()
}
