//! Places on the lattice.

use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::units::plain;

use crate::build::Placed;
use crate::place::Lattice;

/// Places that are closer than this, in modules, are one. Thirds and sums of thirds are off by far less.
pub(super) const NEAR: f64 = 1e-6;

/// Whether two places are one.
pub(super) fn same(a: Lattice, b: Lattice) -> bool {
    (a.x - b.x).abs() < NEAR && (a.y - b.y).abs() < NEAR
}

/// `(2, 1.5)`.
pub(super) fn text(at: Lattice) -> String {
    format!("({}, {})", plain(at.x, 3), plain(at.y, 3))
}

/// The rectangle that a tile covers, in modules: west, south, east, north.
pub(super) fn covered(tile: &Placed<Tile>) -> [f64; 4] {
    let Lattice { x, y } = tile.at;
    [x, y, x + f64::from(tile.piece.across), y + f64::from(tile.piece.along)]
}

/// How far two rectangles lie over each other, the smaller way; none or less where they do not.
pub(super) fn overlap(a: [f64; 4], b: [f64; 4]) -> f64 {
    (a[2].min(b[2]) - a[0].max(b[0])).min(a[3].min(b[3]) - a[1].max(b[1]))
}

/// The tile over a cell's middle.
pub(super) fn tile_over(tiles: &[Placed<Tile>], x: f64, y: f64) -> Option<usize> {
    tiles.iter().position(|tile| {
        let [west, south, east, north] = covered(tile);
        x > west && x < east && y > south && y < north
    })
}
