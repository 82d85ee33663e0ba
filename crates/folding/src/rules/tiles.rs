//! Rules of the floor: tiles, their notches and biscuits, and the wraps round them.

use flatwright_geometry::pattern::{Hinge, Pattern};
use flatwright_geometry::pieces::tile::{self, Tile};
use flatwright_geometry::region::Region;
use flatwright_geometry::units::{Angle, Mm, plain};

use super::Case;
use super::finding::Finding;
use super::measure::{Notch, notch};

/// Board that must be left between notches, mm. Below it foam board tears; an estimate.
const LEAST_LAND: f64 = 0.5;
/// Tiles in the row by which the pitch is judged.
const ROW: u32 = 10;

/// A row that is longer than its pitch pushes posts and walls apart; each tile must be shorter.
pub(super) fn tile_pitch(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let mut sides: Vec<(u32, Tile)> =
        case.tiles().into_iter().flat_map(|tile| [(tile.across, tile), (tile.along, tile)]).collect();
    sides.sort_by_key(|(modules, _)| *modules);
    sides.dedup_by_key(|(modules, _)| *modules);
    let row = f64::from(ROW);
    sides
        .into_iter()
        .map(|(modules, tile)| {
            let size = finished_side(case, tile, modules);
            let pitch = p.module.get() * f64::from(modules);
            let what = format!("{ROW} tiles of {modules} modules in a row");
            Finding::at_most("tile pitch", what, row * size, row * pitch)
        })
        .collect()
}

fn finished_side(case: &Case<'_>, tile: Tile, modules: u32) -> f64 {
    let p = case.parameters;
    let bounds =
        tile::finished(p, tile).ok().and_then(|parts| parts.iter().map(Region::bounds).reduce(|a, b| a.union(b)));
    match bounds {
        Some(bounds) if tile.across == modules => bounds.width(),
        Some(bounds) => bounds.height(),
        None => p.tile_size(modules).get(),
    }
}

/// A biscuit that is as large as its notches cannot be pushed in; one that is too small holds nothing in place.
pub(super) fn biscuit_in_notch(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "biscuit in notch");
    let Some(tile) = case.tiles().first().copied() else { return Vec::new() };
    let Notch { width, depth, .. } = notch(p, tile);
    let (length, across) = tile::biscuit(p).map_or_else(|_| p.biscuit(), |pattern| pattern.size());
    let (length, across) = (length.get(), across.get());
    let (f, k) = (p.play.get(), p.kerf.get());
    let what = |name: &str, piece: f64, room: f64| {
        format!("play of the {name}: biscuit {}, notches {}", plain(piece, 3), plain(room, 3))
    };
    let lost = (k > 0.0).then(|| format!("uncorrected for the kerf its play would be {}", Mm::new(f + 2.0 * k)));
    vec![
        Finding::at_least(rule, what("length", length, 2.0 * depth), 2.0 * depth - length, f).with_note(lost.clone()),
        Finding::at_least(rule, what("width", across, width), width - across, f).with_note(lost),
    ]
}

/// Notches of neighbouring edges that run into each other cut the core apart.
pub(super) fn notch_against_notch(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "notch against notch");
    // The narrowest tile has the least board between opposite notches.
    let narrowest = case.tiles().into_iter().map(Tile::up_to_rotation).min_by_key(|tile| tile.along);
    let Some(tile) = narrowest else { return Vec::new() };
    let Notch { width, depth, left } = notch(p, tile);
    let corner = p.module.get() / 2.0 - width / 2.0;
    let opposite = format!("board between opposite notches of the {} x {} tile", tile.across, tile.along);
    vec![
        Finding::below(rule, "depth of a notch, and the corner beside the next", depth, corner, LEAST_LAND),
        Finding::at_least(rule, opposite, left, LEAST_LAND),
    ]
}

/// A wrap whose fold lines are not on the core's edges hangs loose or cannot close.
///
/// Judged with the stock in hand. Half of the play is kept for the joint, a quarter on each side
/// may be lost here; an estimate.
pub(super) fn wrap_over_core(case: &Case<'_>) -> Vec<Finding> {
    let (p, hand, rule) = (case.parameters, case.in_hand(), "wrap over core");
    let used = Angle::QUARTER.radians() * hand.fold_factor * hand.paper.get();
    let allowed = p.play.get() / 4.0;
    case.tiles()
        .into_iter()
        .flat_map(|tile| {
            let name = format!("{} x {} tile", tile.across, tile.along);
            let measured = tile::wrap(p, tile).ok().zip(tile::core(p, tile).ok());
            let off = measured.map_or_else(Vec::new, |(wrap, core)| {
                let bounds = core.material.bounds();
                let (across, up, side) = fold_distances(&wrap);
                vec![
                    (format!("{name}: distance of its fold lines, off the core's"), across - used - bounds.width()),
                    (format!("{name}: the other way"), up - used - bounds.height()),
                    (format!("{name}: height of its sides, off the board's"), side - used - hand.board.get()),
                ]
            });
            off.into_iter().map(|(what, off)| Finding::at_most(rule, what, off.abs(), allowed)).collect::<Vec<_>>()
        })
        .collect()
}

/// Distances between the outermost fold lines of the top, along x and along y, and between the two of a side.
fn fold_distances(wrap: &Pattern) -> (f64, f64, f64) {
    let upright = |hinge: &Hinge| (hinge.line.p0.x - hinge.line.p1.x).abs() < BARELY;
    let (mut x, mut y) = ((f64::MAX, f64::MIN), (f64::MAX, f64::MIN));
    let mut side = 0.0_f64;
    for hinge in &wrap.net.hinges {
        let at = hinge.line.p0;
        if hinge.from == 0 {
            let (range, at) = if upright(hinge) { (&mut x, at.x) } else { (&mut y, at.y) };
            *range = (range.0.min(at), range.1.max(at));
            continue;
        }
        // The fold between the top and the side that this return hangs on.
        if let Some(first) = wrap.net.hinges.iter().find(|first| first.to == hinge.from) {
            let off = hinge.line.p0 - first.line.p0;
            side = side.max(if upright(hinge) { off.x.abs() } else { off.y.abs() });
        }
    }
    (x.1 - x.0, y.1 - y.0, side)
}

/// Fold lines of a wrap are exactly upright or level, but for the grid.
const BARELY: f64 = flatwright_geometry::tolerance::FIT;
