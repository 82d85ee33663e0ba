//! Cap: a folded card lid on a post's open top, notched where walls hang in the post.

use kurbo::{Affine, Line, Rect};

use super::post::Arms;
use super::{Draft, PieceError, mm, polygon, rect};
use crate::parameters::{Parameters, WallBuild};
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Plane, Stock};
use crate::region::{self, Region};
use crate::turn::quarter;
use crate::units::Angle;

/// Longest glue tab, mm.
const TAB: f64 = 5.0;
/// Distance of a tab from the notch of the skirt that it is glued in, mm, so that it stays out of
/// sight. Common practice, no source.
const MARGIN: f64 = 0.5;
/// Least length and height of a tab, mm: what can still be glued by hand. Common practice, no source.
const LEAST_TAB: f64 = 1.0;

/// One cap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cap {
    /// Faces of the post in which a wall hangs: those of the post that it lies on.
    pub arms: Arms,
}

impl Cap {
    /// The cap turned counterclockwise by quarter turns.
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
}

/// Inside side of a cap, mm: s + 2c + f. A tab lies inside each skirt, so the post between two
/// tabs has the play of a sliding joint.
#[must_use]
pub fn inside(p: &Parameters) -> f64 {
    mm(p.post_side()) + 2.0 * mm(p.card) + mm(p.play)
}

/// Width of a notch, mm: w + 2f. The wall has half the play on either side in its slot, the cap as
/// much round its post. On a board wall the facing adds two papers, since it lies outside of the
/// board past the slot. Never less than the tool can cut.
#[must_use]
pub fn notch_width(p: &Parameters) -> f64 {
    let facing = match p.walls {
        WallBuild::Card => 0.0,
        WallBuild::Board => 2.0 * mm(p.paper),
    };
    (mm(p.wall_thickness()) + facing + 2.0 * mm(p.play)).max(mm(p.tool_gap_card))
}

/// How far the skirts hang below the post's top, mm: a tenth of the wall's height, at least 4, and
/// at most half the slot's depth.
#[must_use]
pub fn skirt_height(p: &Parameters) -> f64 {
    (mm(p.wall_height) / 10.0).max(4.0).min(mm(p.slot_depth()) / 2.0)
}

/// The lengths of one skirt, seen as the southern one: x along it to the east, its fold at y = `fold`,
/// hanging towards negative y. The others are this one turned.
struct Size {
    /// Half the inside side.
    half: f64,
    /// Half a fold's allowance.
    bend: f64,
    /// Caliper.
    card: f64,
    /// Where the skirt folds down from the lid.
    fold: f64,
    /// The skirt's lower edge.
    end: f64,
    /// Where the tab at its right end folds.
    corner: f64,
    /// Upper edge of the tab, clear of the next skirt in the flat.
    tab_top: f64,
    /// Half the notch.
    notch: f64,
    /// Narrowest gap and strip that the tool can cut.
    tool: f64,
}

impl Size {
    fn new(p: &Parameters) -> Result<Self, PieceError> {
        let (card, tool) = (mm(p.card), mm(p.tool_gap_card));
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.card)) / 2.0;
        let half = inside(p) / 2.0;
        let fold = -half - bend;
        let end = fold - bend - skirt_height(p);
        // The next skirt's end reaches the outside of this one, a caliper past the inside.
        let tab_top = -half - card - tool;
        let least = tool.max(LEAST_TAB);
        if tab_top - end < least {
            return Err(PieceError::NoRoom {
                what: "a cap's skirts leave their glue tabs a height that can be cut".into(),
                found: format!(
                    "{} mm where at least {} mm are needed",
                    crate::units::plain(tab_top - end, 3),
                    crate::units::plain(least, 3)
                ),
                help: "make the slot deeper, or the walls higher".into(),
            });
        }
        let notch = notch_width(p) / 2.0;
        Ok(Self { half, bend, card, fold, end, corner: half - card + bend, tab_top, notch, tool })
    }

    /// Length of the tab inside a skirt; `None` where what is left beside the notch holds none.
    fn tab(&self, notched: bool) -> Option<f64> {
        let room = self.half - if notched { self.notch } else { 0.0 } - MARGIN;
        (room >= self.tool.max(LEAST_TAB)).then_some(room.min(TAB))
    }
}

/// Names of the skirts, in the order of [`super::post::FACES`].
const SKIRTS: [&str; 4] = ["north skirt", "west skirt", "south skirt", "east skirt"];

/// The net, printed side up as seen from above, north up, the post's middle at the origin.
///
/// Each skirt carries a tab at its right end, seen from outside, that is glued inside the next one;
/// one with an arm is notched in its middle. A skirt of which the notch leaves no strip that can
/// be cut and glued is left off, and with it the tabs at both of its corners.
///
/// # Errors
/// [`PieceError`] where the parameters leave no skirt, or none that can be glued.
pub fn net(p: &Parameters, cap: Cap) -> Result<Pattern, PieceError> {
    let size = Size::new(p)?;
    let there = |face: usize| size.tab(cap.arms.has(face)).is_some();
    if !(0..4).any(there) {
        return Err(PieceError::NoRoom {
            what: "a cap has skirts beside its notches".into(),
            found: format!("{} mm on either side of each", crate::units::plain((size.half - size.notch).max(0.0), 3)),
            help: "make the post wider, or leave its side out to have it derived".into(),
        });
    }
    let mut draft = Draft::new(PieceKind::PostCap, Stock::Card, cap.arms.named());
    let lid = lid(&mut draft, p, &size, cap)?;
    draft.shows(lid);
    // The strips of each skirt, left and right of its notch.
    let mut strips: [Option<(usize, usize)>; 4] = [None; 4];
    for face in (0..4).filter(|&face| there(face)) {
        let joined = [there(face + 3), there(face + 1)];
        strips[face] = Some(skirt(&mut draft, &size, (lid, face), cap.arms.has(face), joined)?);
    }
    for face in 0..4 {
        let next = (face + 1) % 4;
        if let (Some((_, from)), Some((onto, _)), Some(length)) =
            (strips[face], strips[next], size.tab(cap.arms.has(next)))
        {
            tab(&mut draft, &size, (from, face), onto, length)?;
        }
    }
    planes(&mut draft, p, &size);
    draft.finish()
}

/// From the southern skirt to that of a face.
const fn turn(face: usize) -> Affine {
    quarter((face as u32 + 2) % 4)
}

fn turned(area: &[Region], face: usize) -> Vec<Region> {
    area.iter().map(|region| region.moved(turn(face))).collect()
}

/// The lid: its corners are left out, where two folds would meet, and its notches end at the post's
/// face, so that no wall under its edge lifts it.
fn lid(draft: &mut Draft, p: &Parameters, size: &Size, cap: Cap) -> Result<usize, PieceError> {
    let arm = rect(-size.half, size.fold, size.corner, 0.0);
    let arms: Vec<Region> = (0..4).flat_map(|face| turned(&arm, face)).collect();
    let notch = rect(-size.notch, size.fold - 1.0, size.notch, -mm(p.post_side()) / 2.0);
    let notches: Vec<Region> =
        (0..4).filter(|&face| cap.arms.has(face)).flat_map(|face| turned(&notch, face)).collect();
    draft.panel("lid", &region::union(&arms), &notches)
}

/// A skirt; its first and its last strip, which are one where it has no notch. `joined` says at which of
/// its ends, left and right, there is another skirt.
fn skirt(
    draft: &mut Draft,
    size: &Size,
    (lid, face): (usize, usize),
    notched: bool,
    joined: [bool; 2],
) -> Result<(usize, usize), PieceError> {
    // The left end covers the edge of the skirt before, a gap below the fold; the right end bends
    // into the tab, or is as long as the lid where there is nothing to be glued to.
    let left = if joined[0] { -size.half - size.card } else { -size.half };
    let whole =
        [rect(-size.half, size.end, size.corner, size.fold), rect(left, size.end, 0.0, size.fold - size.tool)].concat();
    let whole = region::union(&whole);
    let pieces = if notched {
        let cut = |from: f64, to: f64| region::intersection(&whole, &rect(from, size.end - 1.0, to, size.fold + 1.0));
        vec![
            (cut(left - 1.0, -size.notch), -size.half, -size.notch),
            (cut(size.notch, size.half + 1.0), size.notch, size.corner),
        ]
    } else {
        vec![(whole, -size.half, size.corner)]
    };
    let mut panels = Vec::new();
    for (area, from, to) in pieces {
        let panel = draft.panel(SKIRTS[face], &turned(&area, face), &[])?;
        draft.shows(panel);
        let line = turn(face) * Line::new((from, size.fold), (to, size.fold));
        draft.hinge(lid, panel, line, Fold::Mountain, Angle::QUARTER);
        panels.push(panel);
    }
    Ok((panels[0], panels[panels.len() - 1]))
}

/// The tab at a skirt's right end, glued inside the next skirt.
fn tab(
    draft: &mut Draft,
    size: &Size,
    (from, face): (usize, usize),
    onto: usize,
    length: f64,
) -> Result<(), PieceError> {
    let end = size.corner + size.bend + length;
    let chamfer = 1.0_f64.min(length / 4.0).min((size.tab_top - size.end) / 4.0);
    let outline = polygon(&[
        (size.corner, size.end),
        (end, size.end + chamfer),
        (end, size.tab_top - chamfer),
        (size.corner, size.tab_top),
    ]);
    let tab = draft.panel("tab", &turned(&outline, face), &[])?;
    let line = turn(face) * Line::new((size.corner, size.end), (size.corner, size.tab_top));
    draft.hinge(from, tab, line, Fold::Mountain, Angle::QUARTER);
    draft.net.seats.push(GlueSeat { flap: tab, onto });
    draft.glue.push(draft.net.panels[tab].region.clone());
    let spot = Rect::new(size.corner, size.end + chamfer, end, size.tab_top - chamfer);
    draft.label(turn(face).transform_rect_bbox(spot), face % 2 == 1);
    Ok(())
}

/// Each skirt hangs from the walls' top, so that courses run on from the post's face below it; the
/// lid goes on from the southern skirt.
fn planes(draft: &mut Draft, p: &Parameters, size: &Size) {
    let south = Affine::translate((-mm(p.post_side()) / 2.0, size.fold - mm(p.wall_height)));
    let (edge, far) = (-size.fold, 1e5);
    let windows = [
        (0, Rect::new(-far, edge, far, far)),
        (1, Rect::new(-far, -edge, -edge, edge)),
        (2, Rect::new(-far, -far, far, -edge)),
        (3, Rect::new(edge, -edge, far, edge)),
        (2, Rect::new(-edge, -edge, edge, edge)),
    ];
    draft.planes.extend(windows.map(|(face, window)| Plane { window, motion: turn(face) * south }));
}
