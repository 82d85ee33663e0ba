//! Faces of which nothing shows: most of a build is inside or behind something.
//!
//! A raster as fine as a good printer's tells which places nearer faces cover. A face is left out
//! where every dot of its area and of its outline is covered; what shows of it would be finer than
//! a dot.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::Region;
use kurbo::{Affine, Point, Rect};

/// Side of a dot, mm: 254 to the inch.
const DOT: f64 = 0.1;
/// Most dots; a larger picture has coarser ones.
const MOST: f64 = 16e6;

/// Which dots of a picture are covered.
pub(super) struct Raster {
    dot: f64,
    origin: Point,
    columns: usize,
    rows: usize,
    covered: Vec<bool>,
}

impl Raster {
    /// Nothing covered yet within `bounds`.
    pub fn new(bounds: Rect) -> Self {
        let bounds = bounds.inflate(DOT, DOT);
        let dot = DOT.max((bounds.area() / MOST).sqrt());
        let count = |length: f64| (length / dot).ceil().max(1.0) as usize;
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Self { dot, origin: bounds.origin(), columns, rows, covered: vec![false; columns * rows] }
    }

    /// Whether an area, mapped to the picture, is hidden by what was covered before; covers it.
    pub fn hides(&mut self, area: &Region, map: Affine) -> bool {
        let corners: Vec<Vec<Point>> = area
            .contours()
            .map(|contour: &Contour| contour.points().iter().map(|p| self.dots(map * *p)).collect())
            .collect();
        let mut hidden = corners.iter().all(|outline| self.outline_hidden(outline));
        for row in self.rows_of(&corners) {
            for (from, to) in spans(&corners, row as f64 + 0.5) {
                // The dots whose middles lie between.
                let dot = |x: f64| ((x - 0.5).ceil().max(0.0) as usize).min(self.columns);
                let (first, last) = (dot(from), dot(to));
                let dots = &mut self.covered[row * self.columns..][first..last];
                hidden &= dots.iter().all(|covered| *covered);
                dots.fill(true);
            }
        }
        hidden
    }

    /// A place on the picture, counted in dots.
    fn dots(&self, p: Point) -> Point {
        ((p - self.origin) / self.dot).to_point()
    }

    fn rows_of(&self, corners: &[Vec<Point>]) -> std::ops::Range<usize> {
        let heights = corners.iter().flatten().map(|p| p.y);
        let (low, high) = heights.fold((f64::MAX, 0.0_f64), |(low, high), y| (low.min(y), high.max(y)));
        low.max(0.0) as usize..(high as usize + 1).min(self.rows)
    }

    fn outline_hidden(&self, outline: &[Point]) -> bool {
        let n = outline.len();
        (0..n).all(|k| {
            let (from, to) = (outline[k], outline[(k + 1) % n]);
            let steps = from.distance(to).ceil().max(1.0);
            (0..steps as usize).all(|i| self.is_covered(from.lerp(to, i as f64 / steps)))
        })
    }

    fn is_covered(&self, p: Point) -> bool {
        let (x, y) = (p.x.max(0.0) as usize, p.y.max(0.0) as usize);
        x < self.columns && y < self.rows && self.covered[y * self.columns + x]
    }
}

/// Where a level line lies inside, by the even-odd rule.
fn spans(corners: &[Vec<Point>], y: f64) -> Vec<(f64, f64)> {
    let mut crossings = Vec::new();
    for outline in corners {
        for (k, a) in outline.iter().enumerate() {
            let b = outline[(k + 1) % outline.len()];
            if (a.y <= y) != (b.y <= y) {
                crossings.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
            }
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(rect: Rect) -> Region {
        Contour::rectangle(rect).unwrap().into()
    }

    #[test]
    fn only_what_is_covered_altogether_is_hidden() {
        let mut raster = Raster::new(Rect::new(0.0, 0.0, 100.0, 50.0));
        let see = Affine::IDENTITY;
        // Two neighbours, and what lies across their seam.
        assert!(!raster.hides(&area(Rect::new(10.0, 10.0, 30.0, 40.0)), see));
        assert!(!raster.hides(&area(Rect::new(30.0, 10.0, 50.0, 40.0)), see));
        assert!(raster.hides(&area(Rect::new(25.0, 20.0, 35.0, 30.0)), see));
        // A strip that reaches out by two dots, above and below.
        assert!(!raster.hides(&area(Rect::new(20.0, 9.8, 21.0, 40.0)), see));
        assert!(!raster.hides(&area(Rect::new(20.0, 12.0, 21.0, 40.2)), see));
        // Larger than all that covers it.
        assert!(!raster.hides(&area(Rect::new(0.0, 0.0, 100.0, 50.0)), see));
        assert!(raster.hides(&area(Rect::new(0.0, 0.0, 10.0, 5.0)), Affine::scale(2.0)));
    }

    #[test]
    fn what_shows_through_a_hole_is_not_hidden() {
        let mut raster = Raster::new(Rect::new(0.0, 0.0, 50.0, 50.0));
        let frame = flatwright_geometry::region::difference(
            &[area(Rect::new(0.0, 0.0, 50.0, 50.0))],
            &[area(Rect::new(20.0, 20.0, 30.0, 30.0))],
        );
        assert!(!raster.hides(&frame[0], Affine::IDENTITY));
        assert!(!raster.hides(&area(Rect::new(15.0, 22.0, 35.0, 25.0)), Affine::IDENTITY));
        assert!(raster.hides(&area(Rect::new(2.0, 2.0, 19.0, 48.0)), Affine::IDENTITY));
    }
}
