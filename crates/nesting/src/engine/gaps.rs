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

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    #[test]
    fn gaps_are_filled_by_one_or_two_rectangles_or_by_something_else() {
        let tile = |w: f64, h: f64| Tile::new(0, [(0., 0.), (w, 0.), (w, h), (0., h)].map(Point::from).to_vec());
        let wedge = Tile::new(0, [(0., 0.), (40., 0.), (0., 9.)].map(Point::from).to_vec());
        let tiles = [tile(10., 1.), tile(14., 2.), tile(30., 3.), wedge];
        let without = Gaps::new(&tiles, |t| u32::from(t.is_rectangle()), 0);
        let fillable = |gaps: &Gaps| [9., 10., 12., 14., 20., 24., 25.].map(|gap| gaps.fillable(gap));
        assert_eq!(fillable(&without), [false, true, false, true, false, true, true]);
        let twice = Gaps::new(&tiles, |t| 2 * u32::from(t.is_rectangle()), 0);
        assert_eq!(fillable(&twice), [false, true, false, true, true, true, true]);
        let all = Gaps::new(&tiles, |_| 1, 1);
        assert!(!all.fillable(0.5) && all.fillable(1.0) && !all.fillable(1.5) && all.fillable(3.5));
    }
}
