//! Free room on a piece, found on a raster.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::Region;
use kurbo::{BezPath, Line, ParamCurve as _, Point, Rect};

/// Side of a cell, mm; larger on pieces that would have too many.
const CELL: f64 = 0.2;
/// The most cells of a raster.
const MOST_CELLS: f64 = 1e6;
/// Room that is kept from a line's middle, mm: half a wide line, and air.
const CLEAR: f64 = 0.3;

/// A raster over a rectangle: which of its cells are closed. All are at first.
pub(super) struct Raster {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    closed: Vec<bool>,
}

impl Raster {
    pub fn new(bounds: Rect) -> Self {
        let cell = CELL.max((bounds.area() / MOST_CELLS).sqrt());
        let count = |length: f64| (length / cell).ceil().max(1.0) as usize;
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Self { origin: bounds.origin(), cell, columns, rows, closed: vec![true; columns * rows] }
    }

    /// Opens the cells whose middles lie in any of some areas.
    pub fn open(&mut self, regions: &[Region]) {
        self.set(regions, false);
    }

    /// Closes the cells whose middles lie in any of some areas.
    pub fn close(&mut self, regions: &[Region]) {
        self.set(regions, true);
    }

    /// Closes what a line touches, and some air.
    pub fn close_line(&mut self, line: Line) {
        let steps = ((line.p1 - line.p0).hypot() / (self.cell / 2.0)).ceil().max(1.0);
        for step in 0..=steps as usize {
            let at = line.eval(step as f64 / steps);
            self.close_rect(Rect::from_center_size(at, (2.0 * CLEAR, 2.0 * CLEAR)));
        }
    }

    /// The same for a path; curves are flattened.
    pub fn close_path(&mut self, path: &BezPath) {
        let mut flat = BezPath::new();
        kurbo::flatten(path, flatwright_geometry::tolerance::CHORD, |element| flat.push(element));
        for segment in flat.segments() {
            self.close_line(Line::new(segment.start(), segment.end()));
        }
    }

    /// Closes every cell that a rectangle touches.
    pub fn close_rect(&mut self, rect: Rect) {
        let span = |from: f64, to: f64, origin: f64, count: usize| {
            let index = |at: f64| ((at - origin) / self.cell).clamp(0.0, count as f64);
            index(from).floor() as usize..index(to).ceil() as usize
        };
        let columns = span(rect.x0, rect.x1, self.origin.x, self.columns);
        for row in span(rect.y0, rect.y1, self.origin.y, self.rows) {
            self.closed[row * self.columns..][columns.clone()].fill(true);
        }
    }

    /// What stays open, ready to be searched.
    pub fn into_free(self) -> Free {
        let across = self.columns + 1;
        let mut sums = vec![0; across * (self.rows + 1)];
        for row in 0..self.rows {
            let mut run = 0;
            for column in 0..self.columns {
                run += u32::from(self.closed[row * self.columns + column]);
                sums[(row + 1) * across + column + 1] = sums[row * across + column + 1] + run;
            }
        }
        Free { origin: self.origin, cell: self.cell, columns: self.columns, rows: self.rows, sums }
    }

    fn set(&mut self, regions: &[Region], closed: bool) {
        for region in regions {
            let sides: Vec<(Point, Point)> = region.contours().flat_map(Contour::sides).collect();
            for row in 0..self.rows {
                let y = self.origin.y + (row as f64 + 0.5) * self.cell;
                // Even-odd: inside between the first and the second crossing, and so on.
                let mut crossings: Vec<f64> = sides
                    .iter()
                    .filter(|(a, b)| (a.y <= y) != (b.y <= y))
                    .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
                    .collect();
                crossings.sort_by(f64::total_cmp);
                for pair in crossings.chunks_exact(2) {
                    // The first cell whose middle lies beyond a crossing.
                    let index = |x: f64| {
                        ((x - self.origin.x) / self.cell - 0.5).ceil().clamp(0.0, self.columns as f64) as usize
                    };
                    let (from, to) = (index(pair[0]), index(pair[1]));
                    self.closed[row * self.columns..][from..to.max(from)].fill(closed);
                }
            }
        }
    }
}

/// The open cells of a raster.
pub(super) struct Free {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    /// How many cells below and to the left of each corner are closed.
    sums: Vec<u32>,
}

impl Free {
    /// A free rectangle of a width and a height whose middle is as near as can be to a point; of
    /// equally near ones, the lowest and then the leftmost.
    pub fn nearest(&self, (width, height): (f64, f64), to: Point) -> Option<Rect> {
        let cells = |length: f64| (length / self.cell).ceil() as usize;
        let (w, h) = (cells(width), cells(height));
        if w > self.columns || h > self.rows {
            return None;
        }
        let across = self.columns + 1;
        let mut best: Option<(f64, Point)> = None;
        for row in 0..=self.rows - h {
            for column in 0..=self.columns - w {
                let corner = |row: usize, column: usize| self.sums[row * across + column];
                let closed = corner(row + h, column + w) + corner(row, column)
                    - corner(row + h, column)
                    - corner(row, column + w);
                if closed > 0 {
                    continue;
                }
                let half = |first: usize, count: usize| (first as f64 + count as f64 / 2.0) * self.cell;
                let middle = Point::new(self.origin.x + half(column, w), self.origin.y + half(row, h));
                let distance = middle.distance(to);
                if best.is_none_or(|(least, _)| distance < least) {
                    best = Some((distance, middle));
                }
            }
        }
        best.map(|(_, middle)| Rect::from_center_size(middle, (width, height)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raster() -> Raster {
        let mut raster = Raster::new(Rect::new(-10.0, 0.0, 30.0, 20.0));
        let whole = Region::from(Contour::rectangle(Rect::new(-10.0, 0.0, 30.0, 20.0)).unwrap());
        raster.open(&[whole]);
        raster
    }

    #[test]
    fn room_is_found_beside_what_is_closed() {
        let mut raster = raster();
        let middle = Point::new(10.0, 10.0);
        let free = self::raster().into_free().nearest((8.0, 4.0), middle).unwrap();
        assert!(free.center().distance(middle) <= CELL, "{free:?}");
        raster.close_rect(Rect::new(5.0, 5.0, 15.0, 15.0));
        raster.close_line(Line::new((-10.0, 2.0), (30.0, 2.0)));
        raster.close(&[Region::from(Contour::rectangle(Rect::new(20.0, 2.0, 30.0, 20.0)).unwrap())]);
        let free = raster.into_free();
        // So wide it fits below the line alone, and nothing higher fits there.
        assert!(free.nearest((35.0, 1.6), middle).is_some_and(|low| low.y1 <= 2.0 - CLEAR + 1e-9));
        assert!(free.nearest((35.0, 1.9), middle).is_none());
        assert!(free.nearest((41.0, 1.0), middle).is_none());
        let free = free.nearest((8.0, 4.0), middle).unwrap();
        assert!(free.y0 >= 15.0 - 1e-9 && free.y0 < 15.0 + 2.0 * CELL, "{free:?}");
        assert_eq!((free.width(), free.height()), (8.0, 4.0));
    }
}
