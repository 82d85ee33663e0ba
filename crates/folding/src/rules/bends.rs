//! Rules of bends: what their tiles have at corners and along edges, and posts' tongues under them.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::TurnTile;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::turn_tile::TurnCorner;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::snapped;
use kurbo::{Affine, Point};

use super::Case;
use super::finding::Finding;
use super::grid::{same, text};
use crate::build::{Build, Placed, Seam, TurnedTile};
use crate::place::{self, Lattice};

/// Part of a tongue that must lie under its tile; an estimate.
const HELD: f64 = 0.5;

/// Where a bend begins and ends its tile falls away beside the post: enough of each tongue must lie under
/// it to hold.
pub(super) fn tongue_under_a_bend(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let mut tiles: Vec<TurnTile> = Vec::new();
    for piece in case.distinct() {
        if let Piece::TurnCore(tile) | Piece::TurnWrap(tile) = piece
            && !tiles.contains(&tile)
            && tile.check(p).is_ok()
        {
            tiles.push(tile);
        }
    }
    let tongues = if tiles.is_empty() { Vec::new() } else { tongues(p) };
    let mut found = Vec::new();
    for tile in tiles {
        let corners = tile.corners(p);
        let shares = corners.iter().filter(|corner| corner.pocket.is_some()).flat_map(|corner| {
            let ground = tile.ground_from(p, *corner);
            let under = |tongue: &Region| area(&region::intersection(std::slice::from_ref(tongue), &ground));
            tongues.iter().map(|tongue| (under(tongue), tongue.area())).collect::<Vec<_>>()
        });
        let worst = shares.min_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)));
        if let Some((under, all)) = worst {
            let what = format!("mm2 of a post's tongue under the {} at its bend, and half of it", tile.detail());
            found.push(Finding::at_least("tongue under a bend", what, snapped(under), snapped(all * HELD)));
        }
    }
    found
}

fn area(regions: &[Region]) -> f64 {
    regions.iter().map(Region::area).sum()
}

/// The tongues of a post under the tile to the north east of it, the finished tile's corner at the origin.
fn tongues(p: &Parameters) -> Vec<Region> {
    let post = Post { arms: Arms::NONE, stand: Stand::Feet(Feet::from_bits(1)), under: false };
    let Ok(body) = place::post(p, String::new(), post, Lattice { x: 0.0, y: 0.0 }) else { return Vec::new() };
    let corner = Affine::translate((-p.play.get() / 2.0, -p.play.get() / 2.0));
    let below = |solid: &&crate::solid::Solid| solid.corners().all(|corner| corner.z < tolerance::FIT);
    let flat = body.solids.iter().filter(below).filter_map(|solid| {
        let points = solid.region.outer.points().iter().map(|point| solid.at(*point, 0.0));
        Contour::new(points.map(|point| corner * Point::new(point.x, point.y))).ok()
    });
    flat.map(Region::from).collect()
}

/// The corner of a turn tile in a quadrant of a lattice point.
pub(super) fn corner(p: &Parameters, build: &Build, at: Lattice, quadrant: usize) -> Option<TurnCorner> {
    build.turn_tiles.iter().filter(|tile| near(tile, at)).find_map(|tile| {
        let TurnedTile { tile: turn, turns } = tile.piece;
        turn.corners(p).into_iter().find(|corner| {
            let there = tile.at.beside(f64::from(corner.at.0), f64::from(corner.at.1), turns);
            same(there, at) && (corner.quadrant + turns) as usize % 4 == quadrant
        })
    })
}

/// Whether a turn tile reaches as far as a point; most do not, and their corners are not worked out for it.
fn near(tile: &Placed<TurnedTile>, at: Lattice) -> bool {
    let reach = f64::from(tile.piece.tile.bend.reach);
    (tile.at.x - at.x).abs() <= reach && (tile.at.y - at.y).abs() <= reach
}

/// How many turn tiles have a notch where a biscuit lies.
pub(super) fn notches(p: &Parameters, build: &Build, biscuit: &Placed<Seam>) -> usize {
    let middle = |from: Lattice, north: bool| {
        if north { Lattice { y: from.y + 0.5, ..from } } else { Lattice { x: from.x + 0.5, ..from } }
    };
    let here = middle(biscuit.at, biscuit.piece.north);
    let has = |tile: &&Placed<TurnedTile>| {
        let TurnedTile { tile: turn, turns } = tile.piece;
        near(tile, here)
            && turn.notches(p).into_iter().any(|edge| {
                let from = Lattice { x: f64::from(edge.from.0), y: f64::from(edge.from.1) };
                let there = middle(from, edge.north);
                same(tile.at.beside(there.x, there.y, turns), here)
            })
    };
    build.turn_tiles.iter().filter(has).count()
}

/// Findings for pockets at bends under which no such corner lies.
pub(super) fn pockets(p: &Parameters, build: &Build) -> Vec<Finding> {
    let bare = build.bend_pockets.iter().filter(|pocket| {
        let quadrant = usize::try_from(pocket.piece.quadrant).unwrap_or(0) % 4;
        corner(p, build, pocket.at, quadrant).and_then(|corner| corner.pocket) != Some(pocket.piece.pocket)
    });
    let finding = |pocket: &Placed<crate::build::BentCorner>| {
        let what = format!("{} at {} lies under its corner: corners, and needed", pocket.name, text(pocket.at));
        Finding::at_least("pockets apart", what, 0.0, 1.0)
    };
    bare.map(finding).collect()
}
