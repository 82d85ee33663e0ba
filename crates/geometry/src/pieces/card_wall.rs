//! Card wall: front, fold along the top, back; glued face to face.

use kurbo::{Affine, BezPath, Line, Rect};

use super::opening::{Cut, HingeSide, Leaf};
use super::wall::{Wall, tab_spot, tabs, wall_plane};
use super::{Draft, PieceError, mm, niche, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Stock};
use crate::region::{self, Region};
use crate::units::{Angle, snapped};

/// The net and, where there is a niche, its box.
pub(super) fn patterns(p: &Parameters, wall: &Wall) -> Result<Vec<Pattern>, PieceError> {
    let body = wall.body(p)?;
    let cut = wall.opening.as_ref().map_or(Ok(Cut::default()), |opening| opening.cut(p, body))?;
    let mut patterns = vec![net(p, wall, body, &cut)?];
    if let Some(niche) = &cut.niche {
        patterns.push(niche::tray(p, wall, niche)?);
    }
    Ok(patterns)
}

/// The net, printed side up: x along the wall from the body's left end, the front's bottom edge at
/// y = 0, the back upside down above the fold.
fn net(p: &Parameters, wall: &Wall, body: f64, cut: &Cut) -> Result<Pattern, PieceError> {
    // The fold's outside is the wall's top edge at H: it stands one caliper above the fold's inside.
    let bend = mm(p.fold_allowance(Angle::HALF, p.card));
    // On the grid, so that the mirrored back begins exactly where the front ends: a gap of one step
    // would part the two.
    let fold = snapped(mm(p.wall_height) - mm(p.card) + bend / 2.0);
    let back = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 2.0 * fold]);

    let outline = region::union(&[rect(0.0, 0.0, body, fold), tabs(p, body, fold, 1.0)].concat());
    let flipped = |regions: &[Region]| regions.iter().map(|r| r.moved(back)).collect::<Vec<_>>();

    let mut draft = Draft::new(PieceKind::CardWall, Stock::Card, wall.detail());
    let front = draft.panel("front", &outline, &cut.through)?;
    let rear = draft.panel("back", &flipped(&outline), &flipped(&cut.through))?;
    for (from, to) in top_edges(&draft.net.panels[front].region, fold) {
        draft.hinge(front, rear, Line::new((from, fold), (to, fold)), Fold::Mountain, Angle::HALF);
    }
    draft.net.seats.push(GlueSeat { flap: rear, onto: front });
    if let Some(leaf) = cut.leaf {
        hang_leaf(&mut draft, p, front, leaf)?;
    }
    show_body(&mut draft, body, fold);
    let front = wall_plane(p);
    draft.plane((-1e5, fold), front);
    draft.plane((fold, 1e5), back * front);
    let spot = tab_spot(p, body);
    draft.label(Rect { y1: fold, ..spot }, true);
    draft.label(Rect::new(body - spot.x1, spot.y0, body - spot.x0, fold), true);
    draft.finish()
}

/// The stretches of the front that reach the fold line. A low wall has two, its shoulders.
pub(super) fn top_edges(front: &Region, fold: f64) -> Vec<(f64, f64)> {
    let at_fold = |y: f64| (y - fold).abs() < crate::tolerance::SNAP * 2.0;
    let mut edges: Vec<(f64, f64)> = front
        .outer
        .sides()
        .filter(|(a, b)| at_fold(a.y) && at_fold(b.y))
        .map(|(a, b)| (a.x.min(b.x), a.x.max(b.x)))
        .collect();
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    edges
}

/// The leaf stays in the front's doorway, cut free on three sides and scored on the fourth.
fn hang_leaf(draft: &mut Draft, p: &Parameters, front: usize, leaf: Leaf) -> Result<(), PieceError> {
    let Rect { x0, x1, y1: top, .. } = leaf.area;
    let panel = draft.panel("leaf", &rect(x0, 0.0, x1, top), &[])?;
    draft.shows(panel);
    let (hinge, free) = match leaf.hinge {
        HingeSide::Left => (x0, x1),
        HingeSide::Right => (x1, x0),
    };
    let mut slit = BezPath::new();
    slit.move_to((hinge, top));
    slit.line_to((free, top));
    slit.line_to((free, -mm(p.kerf) / 2.0));
    draft.slits.push(slit);
    draft.swing(front, panel, hinge, top);
    Ok(())
}

/// The body shows on both sides; the tabs are inside the posts.
pub(super) fn show_body(draft: &mut Draft, body: f64, fold: f64) {
    let whole = rect(0.0, -1.0, body, 2.0 * fold + 1.0);
    let panels: Vec<Region> = draft.net.panels[..2].iter().map(|panel| panel.region.clone()).collect();
    draft.face.extend(region::intersection(&panels, &whole));
}
