//! The floor of a build: tiles beside each other, posts in reliefs, biscuits in seams, pockets under corners.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::post::{Feet, Post, QUADRANTS, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};

use super::Case;
use super::bends;
use super::finding::{Finding, Mend, Value};
use super::grid::{NEAR, covered, overlap, same, text, tile_over};
use crate::build::{Build, Placed};
use crate::place::Lattice;

/// Two tiles cannot cover one cell.
pub(super) fn tiles_beside_each_other(case: &Case<'_>) -> Vec<Finding> {
    let (Some(build), m) = (case.build, case.parameters.module.get()) else { return Vec::new() };
    let pairs = pairs(&build.tiles).filter_map(|(one, other)| {
        let over = overlap(covered(one), covered(other));
        let what = format!("{} lies over {}: by how much", one.name, other.name);
        (over > NEAR).then(|| Finding::at_most("tile pitch", what, over * m, 0.0))
    });
    pairs.collect()
}

fn pairs<T>(all: &[Placed<T>]) -> impl Iterator<Item = (&Placed<T>, &Placed<T>)> {
    all.iter().enumerate().flat_map(|(i, one)| all[i + 1..].iter().map(move |other| (one, other)))
}

/// A post that stands where a tile is not relieved runs into the tile.
pub(super) fn posts_and_reliefs(case: &Case<'_>) -> Vec<Finding> {
    let (Some(build), rule) = (case.build, "posts and reliefs") else { return Vec::new() };
    let mut found: Vec<Finding> = Vec::new();
    for post in &build.posts {
        for tile in &build.tiles {
            found.extend(in_tile(case, post, tile));
        }
        found.extend(feet(case.parameters, build, post));
    }
    if found.is_empty() && !build.posts.is_empty() {
        let count = build.posts.len() as f64;
        found.push(Finding::equal(rule, "posts that stand where all tiles are relieved, of all", count, count));
    }
    found
}

/// A finding where the tile is not relieved for the post.
fn in_tile(case: &Case<'_>, post: &Placed<Post>, tile: &Placed<Tile>) -> Option<Finding> {
    let (p, rule) = (case.parameters, "posts and reliefs");
    // What the post needs of the floor: its own square, or that of its plate.
    let half = match post.piece.stand {
        Stand::Feet(_) => p.post_side().get() / 2.0,
        Stand::BasePlate => p.post_side().get() / 2.0 + p.tongue.get(),
    };
    // A tile ends half the play before the lattice line.
    let half = (half - p.play.get() / 2.0) / p.module.get();
    let Lattice { x, y } = post.at;
    let over = overlap([x - half, y - half, x + half, y + half], covered(tile));
    if over < NEAR || (post.piece.stand != Stand::BasePlate && relieved(tile, post.at)) {
        return None;
    }
    let what = format!("{} stands in {} where that has no relief: by how much", post.name, tile.name);
    let every = Placed { piece: Tile { reliefs: Reliefs::EveryModule, ..tile.piece }, ..tile.clone() };
    let mends = post.piece.stand != Stand::BasePlate && relieved(&every, post.at);
    let mend =
        mends.then(|| Mend { parameter: "reliefs", value: Value::Text(format!("every module for {}", tile.name)) });
    Some(Finding::at_most(rule, what, over * p.module.get(), 0.0).with_mend(mend))
}

/// Whether a tile has a relief at a place: at a corner, or at a module point of an edge.
fn relieved(tile: &Placed<Tile>, at: Lattice) -> bool {
    let [west, south, east, north] = covered(tile);
    let on = |value: f64, line: f64| (value - line).abs() < NEAR;
    let (upright, level) = (on(at.x, west) || on(at.x, east), on(at.y, south) || on(at.y, north));
    let whole = |value: f64| on(value, value.round());
    let every = tile.piece.reliefs == Reliefs::EveryModule;
    (upright && level) || (every && upright && whole(at.y - south)) || (every && level && whole(at.x - west))
}

/// Findings for tongues that have no tile above them.
fn feet(p: &Parameters, build: &Build, post: &Placed<Post>) -> Vec<Finding> {
    let rule = "posts and reliefs";
    let bare = (0..4).filter(|&quadrant| post.piece.feet().has(quadrant) && !tiled(p, build, post.at, quadrant));
    let kept = (0..4_u8)
        .filter(|&q| post.piece.feet().has(usize::from(q)) && tiled(p, build, post.at, usize::from(q)))
        .fold(0, |bits, q| bits | 1 << q);
    let feet = if kept == 0 { "none".to_owned() } else { Feet::from_bits(kept).to_string() };
    bare.map(|quadrant| {
        let place = QUADRANTS[quadrant];
        let what = format!("{} has a foot {place} where no tile lies: tiles there, and needed", post.name);
        let mend = Mend { parameter: "feet", value: Value::Text(format!("{feet} for {}", post.name)) };
        Finding::at_least(rule, what, 0.0, 1.0).with_mend(Some(mend))
    })
    .collect()
}

/// Whether a tile or the corner of a turn tile lies in a quadrant of a lattice point.
fn tiled(p: &Parameters, build: &Build, at: Lattice, quadrant: usize) -> bool {
    tile_in(build, at, quadrant).is_some() || bends::corner(p, build, at, quadrant).is_some()
}

/// The tile in a quadrant of a lattice point.
fn tile_in(build: &Build, at: Lattice, quadrant: usize) -> Option<usize> {
    let (east, north) = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)][quadrant % 4];
    tile_over(&build.tiles, at.x + east * 0.25, at.y + north * 0.25)
}

/// A biscuit lies in two facing notches of two tiles; anywhere else it runs into board.
pub(super) fn biscuits_in_seams(case: &Case<'_>) -> Vec<Finding> {
    let (Some(build), rule) = (case.build, "biscuit in notch") else { return Vec::new() };
    let mut found = Vec::new();
    for biscuit in &build.biscuits {
        let Lattice { x, y } = biscuit.at;
        let (middle, across) =
            if biscuit.piece.north { ((x, y + 0.5), (0.25, 0.0)) } else { ((x + 0.5, y), (0.0, 0.25)) };
        let sides = [1.0, -1.0].map(|s| tile_over(&build.tiles, middle.0 + s * across.0, middle.1 + s * across.1));
        let tied = matches!(sides, [Some(one), Some(other)] if one != other && facing(build, middle, [one, other]));
        // Turn tiles, and one tile that faces one of them.
        let turned = bends::notches(case.parameters, build, biscuit);
        let single = match sides {
            [Some(one), None] | [None, Some(one)] => usize::from(facing(build, middle, [one, one])),
            _ => 0,
        };
        if !tied && turned + single != 2 {
            let what =
                format!("{} at {} lies in notches of two tiles: notches, and needed", biscuit.name, text(biscuit.at));
            let notches = match sides {
                [Some(one), Some(other)] if one != other => 0.0,
                [Some(_), None] | [None, Some(_)] => 1.0,
                _ => turned as f64,
            };
            found.push(Finding::at_least(rule, what, notches, 2.0));
        }
    }
    for (one, other) in pairs(&build.biscuits).filter(|(a, b)| a.piece == b.piece && same(a.at, b.at)) {
        let what = format!("{} lies where {} does: pieces there, and room for", one.name, other.name);
        found.push(Finding::at_most(rule, what, 2.0, 1.0));
    }
    found
}

/// Whether both tiles have the middle of a module of their edge at a place.
fn facing(build: &Build, middle: (f64, f64), tiles: [usize; 2]) -> bool {
    tiles.into_iter().all(|tile| {
        let [west, south, ..] = covered(&build.tiles[tile]);
        // On an edge one coordinate is whole from the tile's corner, the other is half a module off.
        let part = |value: f64| ((value * 2.0).round(), (value * 2.0 - (value * 2.0).round()).abs() < NEAR);
        let ((x, near_x), (y, near_y)) = (part(middle.0 - west), part(middle.1 - south));
        near_x && near_y && (x % 2.0 == 0.0) != (y % 2.0 == 0.0)
    })
}

/// A pocket holds a post's tongues under a corner of a tile; two in one place do not fit.
pub(super) fn pockets_under_corners(case: &Case<'_>) -> Vec<Finding> {
    let (Some(build), rule) = (case.build, "pockets apart") else { return Vec::new() };
    let bare = build.pockets.iter().filter(|pocket| {
        let quadrant = usize::try_from(pocket.piece.quadrant).unwrap_or(0);
        let tile = tile_in(build, pocket.at, quadrant).map(|tile| &build.tiles[tile]);
        let turned = bends::corner(case.parameters, build, pocket.at, quadrant);
        !tile.is_some_and(|tile| relieved(tile, pocket.at)) && turned.is_none_or(|corner| corner.pocket.is_some())
    });
    let bare = bare.map(|pocket| {
        let what = format!("{} at {} lies under a relief: reliefs, and needed", pocket.name, text(pocket.at));
        Finding::at_least(rule, what, 0.0, 1.0)
    });
    let doubled = pairs(&build.pockets).filter(|(a, b)| a.piece == b.piece && same(a.at, b.at));
    let doubled = doubled.map(|(one, other)| {
        let what = format!("{} lies where {} does: pieces there, and room for", one.name, other.name);
        Finding::at_most(rule, what, 2.0, 1.0)
    });
    bare.chain(doubled).chain(bends::pockets(case.parameters, build)).collect()
}
