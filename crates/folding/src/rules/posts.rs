//! Rules of posts: the hole they stand in, the tongues under the tiles, plates and pockets.

use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};

use super::Case;
use super::finding::Finding;
use super::measure::{Along, BESIDE, gaps, notch, sleeve, spans};
use crate::build::Placed;

/// Board that must be left between a tongue and a notch, mm; an estimate.
const LEAST_LAND: f64 = 0.1;
/// Play below which card and board no longer slide by hand, mm; an estimate.
const LEAST_PLAY: f64 = 0.05;

/// Parts of exactly equal size do not slide into each other: every joint of the system needs some play.
pub(super) fn play(case: &Case<'_>) -> Vec<Finding> {
    vec![Finding::at_least("play", "play of the sliding joints", case.parameters.play.get(), LEAST_PLAY)]
}

/// A tongue that reaches the notch lies in the biscuit's way, and its pocket has nothing to hold on to.
pub(super) fn tongue_against_notch(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let Some(tile) = case.tiles().first().copied() else { return Vec::new() };
    let reach = sleeve(p, Arms::NONE).reach;
    let corner = p.module.get() / 2.0 - notch(p, tile).width / 2.0;
    let what = "reach of a tongue from the post's middle, and the notch beside it";
    vec![Finding::below("tongue against notch", what, reach, corner, LEAST_LAND)]
}

/// A post as wide as its hole cannot be set between tiles that are already down.
pub(super) fn sleeve_in_hole(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "sleeve in its hole");
    if case.posts().is_empty() {
        return Vec::new();
    }
    let side = sleeve(p, Arms::NONE).side;
    case.tiles()
        .into_iter()
        .flat_map(|tile| {
            let name = format!("{} x {} tile", tile.across, tile.along);
            let mut found = Vec::new();
            let (corner, along_edge) = holes(case, tile);
            found.push(Finding::at_least(rule, format!("post between corners, {name}"), corner - side, p.play.get()));
            if let Some(hole) = along_edge {
                found.push(Finding::at_least(rule, format!("post at the edge, {name}"), hole - side, p.play.get()));
            }
            found
        })
        .collect()
}

/// Sides of the hole between four corners and of the hole at a module point of an edge.
fn holes(case: &Case<'_>, tile: Tile) -> (f64, Option<f64>) {
    let p = case.parameters;
    let hole = p.post_side().get() + p.play.get();
    let every = tile.reliefs == Reliefs::EveryModule && tile.across > 1;
    let lattice = p.module.get() * f64::from(tile.across) / 2.0;
    let measured = tile::finished(p, tile).ok().and_then(|parts| {
        let finished = parts.first()?;
        let edge = spans(finished, Along::X, finished.bounds().y1 - BESIDE);
        let corner = 2.0 * (lattice - edge.last()?.1);
        let point = p.module.get() - lattice;
        let gap = gaps(&edge).into_iter().find(|gap| gap.0 < point && point < gap.1);
        Some((corner, gap.map(|gap| gap.1 - gap.0).filter(|_| every)))
    });
    measured.unwrap_or((hole, every.then_some(hole)))
}

/// Pockets of neighbouring corners of one tile must not lie on each other.
pub(super) fn pockets_apart(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let used = case.has(|piece| matches!(piece, Piece::Pocket)) || case.build.is_some_and(|b| !b.pockets.is_empty());
    if !used || case.tiles().is_empty() {
        return Vec::new();
    }
    let side = tile::corner_pocket(p).map_or_else(
        |_| (p.post_side() / 2.0 + p.tongue + p.pocket_band).get(),
        |pattern| pattern.material.bounds().width(),
    );
    let room = p.tile_size(1).get();
    vec![Finding::at_most("pockets apart", "two pockets along one module of a tile", 2.0 * side, room)]
}

/// Posts and their base plates must not stand in each other. In a build their real distances count.
pub(super) fn posts_apart(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "posts apart");
    let (m, half) = (p.module.get(), p.post_side().get() / 2.0);
    // From a post's middle to the edge of what it stands on.
    let reach = |post: Post| half + if post.stand == Stand::BasePlate { p.tongue.get() } else { 0.0 };
    let Some(build) = case.build else {
        let widest = case.posts().into_iter().map(reach).max_by(f64::total_cmp);
        let what = "two posts, with their plates, one module apart";
        return widest.map(|reach| Finding::at_most(rule, what, 2.0 * reach, m)).into_iter().collect();
    };
    // Sorted by x: only posts nearer than the widest plates along x can be in each other's way.
    let mut posts: Vec<&Placed<Post>> = build.posts.iter().collect();
    posts.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
    let near = 2.0 * (half + p.tongue.get()) / m;
    let pairs = posts.iter().enumerate().flat_map(|(i, a)| {
        posts[i + 1..].iter().take_while(move |b| b.at.x - a.at.x <= near + 1.0).map(move |b| (a, b))
    });
    let tightest = pairs
        .map(|(a, b)| {
            let far = m * (a.at.x - b.at.x).abs().max((a.at.y - b.at.y).abs());
            (reach(a.piece) + reach(b.piece), far, a, b)
        })
        .min_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0)));
    let what = |a: &str, b: &str| format!("{a} and {b}, with their plates, and their distance");
    tightest.map(|(need, far, a, b)| Finding::at_most(rule, what(&a.name, &b.name), need, far)).into_iter().collect()
}
