//! A large rectangle within an outline.

use flatwright_geometry::contour::Contour;
use kurbo::Rect;

/// Levels tried beside those of the corners, in each direction.
const LEVELS: usize = 12;
/// Corner levels used at most, in each direction.
const CORNERS: usize = 40;

/// A rectangle within `outline`: the largest whose left and right sides lie on a corner's level or
/// on one of a few even ones. Empty where none is found.
pub(super) fn rectangle(outline: &Contour) -> Rect {
    let levels = levels(outline);
    let mut best = Rect::ZERO;
    for (i, &x0) in levels.iter().enumerate() {
        for &x1 in &levels[i + 1..] {
            if let Some((y0, y1)) = tallest(outline, x0, x1)
                && (x1 - x0) * (y1 - y0) > best.area()
            {
                best = Rect::new(x0, y0, x1, y1);
            }
        }
    }
    best
}

fn levels(outline: &Contour) -> Vec<f64> {
    let mut levels: Vec<f64> = outline.points().iter().map(|p| p.x).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    if levels.len() > CORNERS {
        let step = levels.len().div_ceil(CORNERS);
        levels = levels.into_iter().step_by(step).collect();
    }
    let bounds = outline.bounds();
    let even = (0..=LEVELS).map(|i| bounds.x0 + bounds.width() * i as f64 / LEVELS as f64);
    if outline.sides().any(|(a, b)| a.x != b.x && a.y != b.y) {
        levels.extend(even);
        levels.sort_by(f64::total_cmp);
        levels.dedup();
    }
    levels
}

/// The longest stretch of heights at which the strip `x0..x1` lies within the outline.
fn tallest(outline: &Contour, x0: f64, x1: f64) -> Option<(f64, f64)> {
    let middle = (x0 + x1) / 2.0;
    // Heights at which a side runs through the strip, and whether it is met on the middle line.
    let mut ranges: Vec<(f64, f64)> = Vec::new();
    let mut crossings: Vec<f64> = Vec::new();
    for (a, b) in outline.sides() {
        let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
        if b.x <= x0 || a.x >= x1 {
            continue;
        }
        let at = |x: f64| if b.x > a.x { a.y + (x - a.x) / (b.x - a.x) * (b.y - a.y) } else { a.y };
        let ends = if b.x > a.x { [at(a.x.max(x0)), at(b.x.min(x1))] } else { [a.y, b.y] };
        ranges.push((ends[0].min(ends[1]), ends[0].max(ends[1])));
        if a.x <= middle && middle < b.x {
            crossings.push(at(middle));
        }
    }
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, f64)> = None;
    let mut top = f64::NEG_INFINITY;
    for (low, high) in ranges {
        let inside = crossings.iter().filter(|y| **y <= top).count() % 2 == 1;
        if inside && low > top && best.is_none_or(|(a, b)| low - top > b - a) {
            best = Some((top, low));
        }
        top = top.max(high);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    fn of(points: &[(f64, f64)]) -> Rect {
        rectangle(&Contour::new(points.iter().copied().map(Point::from)).unwrap())
    }

    #[test]
    fn the_largest_rectangle_of_plain_shapes_is_found() {
        assert_eq!(of(&[(1., 2.), (31., 2.), (31., 12.), (1., 12.)]), Rect::new(1., 2., 31., 12.));
        let angle = [(0., 0.), (50., 0.), (50., 10.), (12., 10.), (12., 30.), (0., 30.)];
        assert_eq!(of(&angle), Rect::new(0., 0., 50., 10.));
        // Half of a right triangle's area at best.
        assert_eq!(of(&[(0., 0.), (12., 0.), (0., 12.)]).area(), 36.0);
    }
}
