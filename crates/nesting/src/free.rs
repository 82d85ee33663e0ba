//! What a sheet leaves free.

use flatwright_geometry::contour::Contour;
use kurbo::Rect;

use crate::engine::holes::{self, Holes};
use crate::job::Job;
use crate::layout::PackedSheet;

/// The largest upright rectangle of the sheet's free area that keeps the job's gap to every piece,
/// page coordinates in mm. Of equally large ones the one furthest up, then furthest right. Without
/// width and height where the sheet is full.
///
/// Exact where all sides of the pieces are upright or level. A slanted side counts as the box
/// around it, and the gap as square at corners: what is returned is free in any case.
#[must_use]
pub fn largest_free(job: &Job, sheet: &PackedSheet) -> Rect {
    let free = job.sheets()[sheet.kind].free;
    let gap = job.gap().get();
    let outlines = sheet.placements.iter().map(|p| job.items()[p.item].outline.moved(p.motion()));
    let mut boxes: Vec<Rect> = outlines.clone().flat_map(|outline| slabs(&outline)).collect();
    if boxes.len() > MOST_BOXES {
        boxes = outlines.map(|outline| outline.bounds()).collect();
    }
    let mut holes = Holes::default();
    holes.reset(holes::inner(free));
    for b in boxes {
        holes.cut(holes::outer(b.inflate(gap, gap)));
    }
    let area = |h: &[i64; 4]| i128::from(h[2] - h[0]) * i128::from(h[3] - h[1]);
    let largest = holes.list.iter().max_by_key(|h| (area(h), h[1], h[0]));
    largest.map_or(Rect::ZERO, holes::rectangle)
}

/// Boxes up to which outlines are taken apart; beyond, each counts as its box.
const MOST_BOXES: usize = 2_000;

/// Boxes that cover an outline: between any two levels of corners that follow each other, one for
/// each stretch inside.
fn slabs(outline: &Contour) -> Vec<Rect> {
    let mut levels: Vec<f64> = outline.points().iter().map(|p| p.y).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let mut boxes: Vec<Rect> = Vec::new();
    for pair in levels.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        // Where each side that runs through the slab meets its edges.
        let mut through: Vec<(f64, f64)> = outline
            .sides()
            .filter(|(a, b)| a.y.min(b.y) <= low && a.y.max(b.y) >= high)
            .map(|(a, b)| {
                let at = |y: f64| if a.y == y { a.x } else { a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x) };
                (at(low), at(high))
            })
            .collect();
        // Sides of a simple outline do not cross: their middles are in order.
        through.sort_by(|p, q| (p.0 + p.1).total_cmp(&(q.0 + q.1)));
        boxes.extend(through.chunks_exact(2).map(|side| {
            let (left, right) = (side[0].0.min(side[0].1), side[1].0.max(side[1].1));
            Rect::new(left, low, right, high)
        }));
    }
    boxes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Item, SheetKind, Turns};
    use crate::layout::Placement;
    use flatwright_geometry::units::Mm;
    use kurbo::{Point, Vec2};

    fn largest(points: &[(f64, f64)], places: &[(f64, f64)], gap: f64) -> Rect {
        let outline = Contour::new(points.iter().copied().map(Point::from)).unwrap();
        let item = Item { name: "piece".into(), outline, copies: 9, turns: Turns::Fixed };
        let sheet = SheetKind { name: "page".into(), free: Rect::new(10.0, 10.0, 110.0, 60.0), price: 1.0 };
        let job = Job::new(vec![item], vec![sheet], Mm::new(gap), 0, 0).unwrap();
        let place = |&(x, y): &(f64, f64)| Placement { item: 0, quarter_turns: 0, shift: Vec2::new(x, y) };
        largest_free(&job, &PackedSheet { kind: 0, copies: 1, placements: places.iter().map(place).collect() })
    }

    const SQUARE: [(f64, f64); 4] = [(0., 0.), (20., 0.), (20., 20.), (0., 20.)];

    #[test]
    fn the_gap_is_kept_to_pieces_but_not_to_the_edge() {
        assert_eq!(largest(&SQUARE, &[], 2.0), Rect::new(10.0, 10.0, 110.0, 60.0));
        assert_eq!(largest(&SQUARE, &[(10.0, 10.0)], 2.0), Rect::new(32.0, 10.0, 110.0, 60.0));
        assert_eq!(largest(&SQUARE, &[(50.0, 25.0)], 0.0), Rect::new(10.0, 10.0, 50.0, 60.0).with_origin((70.0, 10.0)));
    }

    /// The notch of an angle is free; the triangle under a slope is not.
    #[test]
    fn notches_count_and_slopes_do_not() {
        let angle = [(0., 0.), (100., 0.), (100., 10.), (10., 10.), (10., 50.), (0., 50.)];
        assert_eq!(largest(&angle, &[(10.0, 10.0)], 0.0), Rect::new(20.0, 20.0, 110.0, 60.0));
        let slope = [(0., 0.), (100., 0.), (0., 50.)];
        assert_eq!(largest(&slope, &[(10.0, 10.0)], 0.0).area(), 0.0);
    }
}
