//! Points, polygons and rectangles, as plainly as they come.

use kurbo::{Point, Rect};

/// How far `p` is inside the polygon; negative: how far outside.
pub(super) fn depth(p: Point, polygon: &[Point]) -> f64 {
    let n = polygon.len();
    let (mut nearest, mut inside) = (f64::INFINITY, false);
    for i in 0..n {
        let (a, b) = (polygon[i], polygon[if i + 1 == n { 0 } else { i + 1 }]);
        let (dx, dy, px, py) = (b.x - a.x, b.y - a.y, p.x - a.x, p.y - a.y);
        let t = ((px * dx + py * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
        let (ex, ey) = (px - t * dx, py - t * dy);
        nearest = nearest.min(ex * ex + ey * ey);
        // A ray to the right, which a side leaves at its upper end.
        if (a.y <= p.y) != (b.y <= p.y) && (dx * py - px * dy > 0.0) == (dy > 0.0) {
            inside = !inside;
        }
    }
    if inside { nearest.sqrt() } else { -nearest.sqrt() }
}

/// Whether a rectangle lies within a polygon, within rounding.
pub(super) fn rect_within(rect: Rect, polygon: &[Point]) -> bool {
    let inner = rect.inset(-super::ROUNDING / 2.0);
    if inner.width() <= 0.0 || inner.height() <= 0.0 {
        return true;
    }
    let n = polygon.len();
    depth(inner.center(), polygon) > 0.0 && !(0..n).any(|i| crosses(polygon[i], polygon[(i + 1) % n], inner))
}

/// Whether a segment has a point in a rectangle: what of it lies within each side is cut out.
fn crosses(a: Point, b: Point, rect: Rect) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, along, low, high) in [(a.x, b.x - a.x, rect.x0, rect.x1), (a.y, b.y - a.y, rect.y0, rect.y1)] {
        if along == 0.0 {
            if start < low || start > high {
                return false;
            }
            continue;
        }
        let (t0, t1) = ((low - start) / along, (high - start) / along);
        from = from.max(t0.min(t1));
        to = to.min(t0.max(t1));
    }
    from <= to
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_and_rectangles_of_an_angle() {
        let angle = [(0., 0.), (10., 0.), (10., 4.), (4., 4.), (4., 10.), (0., 10.)].map(Point::from);
        assert_eq!(depth(Point::new(2., 7.), &angle), 2.0);
        assert_eq!(depth(Point::new(7., 7.), &angle), -3.0);
        assert_eq!(depth(Point::new(2., 2.), &angle), 2.0);
        assert!(rect_within(Rect::new(0., 0., 10., 4.), &angle));
        assert!(rect_within(Rect::new(1., 0., 4., 10.), &angle));
        assert!(!rect_within(Rect::new(0., 0., 4.1, 10.), &angle));
        assert!(!rect_within(Rect::new(5., 5., 6., 6.), &angle));
    }
}
