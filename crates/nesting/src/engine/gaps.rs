//! Gaps between pieces that are laid without waste.

use super::tile::{SLACK, Tile};

/// What gaps along one axis can be filled.
pub(super) struct Gaps {
    /// Sizes of rectangles that are left, the two smallest, mm.
    least: [f64; 2],
    /// The smallest other piece.
    other: f64,
    sizes: Vec<f64>,
}

impl Gaps {
    /// What the tiles of which there are any `left` fill along `axis`.
    pub(super) fn new(tiles: &[Tile], left: impl Fn(&Tile) -> u32, axis: usize) -> Self {
        let mut gaps = Self { least: [f64::INFINITY; 2], other: f64::INFINITY, sizes: Vec::new() };
        for tile in tiles {
            let left = left(tile);
            if left == 0 || tile.faces[axis].is_empty() && tile.faces[axis + 2].is_empty() {
                continue;
            }
            let size = if axis == 0 { tile.size.x } else { tile.size.y };
            if !tile.is_rectangle() {
                gaps.other = gaps.other.min(size);
                continue;
            }
            for _ in 0..left.min(2) {
                if size < gaps.least[0] {
                    gaps.least = [size, gaps.least[0]];
                } else if size < gaps.least[1] {
                    gaps.least[1] = size;
                }
            }
            gaps.sizes.push(size);
        }
        gaps
    }

    pub(super) fn fillable(&self, gap: f64) -> bool {
        gap > self.other - SLACK
            || gap > self.least[0] + self.least[1] - SLACK
            || self.sizes.iter().any(|s| (s - gap).abs() <= SLACK)
    }
}
