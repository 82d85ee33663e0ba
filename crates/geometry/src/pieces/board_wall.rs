//! Board wall: a board core, a paper facing over its top edge, the leaf of its door, the box of
//! its niche.

use kurbo::{Line, Rect};

use super::opening::{Cut, HingeSide, LEAST_EDGE, Leaf};
use super::wall::{Wall, tabs, wall_plane};
use super::{Draft, PieceError, mm, niche, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, Pattern, PieceKind, Stock};
use crate::region::{self, Region};
use crate::units::Angle;

/// Width of the strip by which a leaf is glued under the facing, mm.
const LEAF_STRIP: f64 = LEAST_EDGE - 1.0;

/// Core, facing and, where there is a door, leaf; where there is a niche, its box.
pub(super) fn patterns(p: &Parameters, wall: &Wall) -> Result<Vec<Pattern>, PieceError> {
    let body = wall.body(p)?;
    let cut = wall.opening.as_ref().map_or(Ok(Cut::default()), |opening| opening.cut(p, body))?;
    let mut patterns = vec![core(p, wall, body, &cut)?, facing(p, wall, body, &cut)?];
    if let Some(leaf) = cut.leaf {
        patterns.push(door_leaf(p, wall, leaf)?);
    }
    if let Some(niche) = &cut.niche {
        patterns.push(niche::tray(p, wall, niche)?);
    }
    Ok(patterns)
}

/// The core: x along the wall from the body's left end, z up from the floor.
fn core(p: &Parameters, wall: &Wall, body: f64, cut: &Cut) -> Result<Pattern, PieceError> {
    let height = mm(p.wall_height);
    let outline = region::union(&[rect(0.0, 0.0, body, height), tabs(p, body, height, 1.0)].concat());
    let mut draft = Draft::new(PieceKind::WallCore, Stock::Board, wall.detail());
    draft.panel("whole", &outline, &cut.through)?;
    for (spot, upward) in strips(body, height, &cut.through) {
        draft.label(spot, upward);
    }
    draft.finish()
}

/// Strips of the body that no opening touches: above and below it, then left and right of it.
fn strips(body: f64, height: f64, through: &[Region]) -> Vec<(Rect, bool)> {
    let Some(hole) = through.iter().map(Region::bounds).reduce(|a, b| a.union(b)) else {
        return vec![(Rect::new(0.0, 0.0, body, height), false)];
    };
    let mut strips = vec![
        (Rect::new(0.0, hole.y1, body, height), false),
        (Rect::new(0.0, 0.0, body, hole.y0), false),
        (Rect::new(0.0, 0.0, hole.x0, height), true),
        (Rect::new(hole.x1, 0.0, body, height), true),
    ];
    strips.retain(|(strip, _)| strip.width() > 0.0 && strip.height() > 0.0);
    strips
}

/// The facing, printed side up: front, top strip, back. The tabs stay bare, so that they keep
/// their play in the slot.
fn facing(p: &Parameters, wall: &Wall, body: f64, cut: &Cut) -> Result<Pattern, PieceError> {
    let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
    let height = mm(p.wall_height);
    let (first, second) = (height + bend / 2.0, height + mm(p.board) + 1.5 * bend);
    let end = second + first;
    // The opening on the front, and mirrored on the back; one that reaches the top edge also
    // takes the strip over it.
    let mirror = kurbo::Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, end]);
    let back: Vec<Region> = cut.through.iter().map(|r| r.moved(mirror)).collect();
    let over: Vec<Region> = cut
        .through
        .iter()
        .map(Region::bounds)
        .filter(|hole| hole.y1 > height)
        .flat_map(|hole| rect(hole.x0, first - 1.0, hole.x1, second + 1.0))
        .collect();

    let mut draft = Draft::new(PieceKind::WallFacing, Stock::Paper, wall.detail());
    let front = draft.panel("front", &rect(0.0, 0.0, body, first), &cut.through)?;
    // Over a low wall only the shoulders have a top strip: two panels instead of one.
    let tops: Vec<Region> = region::difference(&rect(0.0, first, body, second), &over);
    let rear = draft.panel("back", &rect(0.0, second, body, end), &back)?;
    for top in &tops {
        let Rect { x0, x1, .. } = top.bounds();
        let strip = draft.panel("top", std::slice::from_ref(top), &[])?;
        draft.shows(strip);
        draft.hinge(front, strip, Line::new((x0, first), (x1, first)), Fold::Mountain, Angle::QUARTER);
        draft.hinge(strip, rear, Line::new((x0, second), (x1, second)), Fold::Mountain, Angle::QUARTER);
    }
    draft.shows(front);
    draft.shows(rear);
    // The strip over the top goes on from the front.
    let plane = wall_plane(p);
    draft.plane((-1e5, second), plane);
    draft.plane((second, 1e5), mirror * plane);
    draft.finish()
}

/// The leaf of card, with the strip by which it hangs, its lower left corner at the origin.
fn door_leaf(p: &Parameters, wall: &Wall, leaf: Leaf) -> Result<Pattern, PieceError> {
    // The play on the free side and above, so that the leaf swings.
    let (width, height) = (leaf.area.width() - mm(p.play), leaf.area.height() - mm(p.play));
    let mut draft = Draft::new(PieceKind::DoorLeaf, Stock::Card, wall.detail());
    let panel = draft.panel("leaf", &rect(0.0, 0.0, width, height), &[])?;
    draft.shows(panel);
    let doorway = kurbo::Affine::translate((-leaf.area.x0, 0.0));
    draft.planes.push(crate::pattern::Plane::everywhere(doorway * wall_plane(p)));
    let (from, to) = match leaf.hinge {
        HingeSide::Left => (-LEAF_STRIP, 0.0),
        HingeSide::Right => (width, width + LEAF_STRIP),
    };
    let strip = draft.panel("strip", &rect(from, 0.0, to, height), &[])?;
    let at = if from < 0.0 { 0.0 } else { width };
    draft.swing(panel, strip, at, height);
    draft.glue = vec![draft.net.panels[strip].region.clone()];
    draft.label(Rect::new(from, 0.0, to, height), true);
    draft.finish()
}
