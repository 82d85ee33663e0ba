//! Marks for a cutter that looks for them: an angle at each corner of what can be printed, with a
//! square in the lower left one, so that a sheet that lies upside down is told from one that does
//! not.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Point, Rect, Shape as _, Vec2};

use super::marks::stroke;
use crate::page::{Colour, Layer, Mark, Pen, Shape};

/// Room that the marks take from every edge of what can be printed.
pub const ROOM: Mm = Mm::new(4.5);
/// Length of an arm, from the outer corner.
pub const ARM: Mm = Mm::new(8.0);
/// Width of the lines.
pub const WIDTH: Mm = Mm::new(0.5);
/// Side of the square, and its distance from the middles of the lower left angle's lines.
pub const SQUARE: Mm = Mm::new(2.0);
const OFF: f64 = 1.5;

/// The corners of the angles, in the middles of their lines: lower left, lower right, upper right,
/// upper left.
#[must_use]
pub fn corners(printable: Rect) -> [Point; 4] {
    let half = WIDTH.get() / 2.0;
    let Rect { x0, y0, x1, y1 } = printable.inflate(-half, -half);
    [Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)]
}

/// The angles at these corners as ways, from arm's end to arm's end.
pub(crate) fn arms(corners: [Point; 4]) -> [[Point; 3]; 4] {
    let centre = corners[0].midpoint(corners[2]);
    let arm = ARM.get() - WIDTH.get() / 2.0;
    corners.map(|corner| {
        let inward = Vec2::new((centre.x - corner.x).signum(), (centre.y - corner.y).signum()) * arm;
        [corner + Vec2::new(inward.x, 0.0), corner, corner + Vec2::new(0.0, inward.y)]
    })
}

/// The marks.
pub(crate) fn marks(printable: Rect) -> Vec<Mark> {
    let pen = Pen { width: WIDTH, colour: Colour::BLACK, dashes: Vec::new(), round: false };
    let angle = |[from, corner, to]: [Point; 3]| {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(corner);
        path.line_to(to);
        stroke(path, pen.clone())
    };
    let all = corners(printable);
    let square = Rect::from_origin_size(all[0] + Vec2::new(OFF, OFF), (SQUARE.get(), SQUARE.get()));
    let square = Shape::Fill { path: square.into_path(0.1), colour: Colour::BLACK };
    arms(all).into_iter().map(angle).chain([Mark { layer: Layer::Furniture, shape: square }]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nothing of a mark lies outside of what can be printed, or where the furniture is.
    #[test]
    fn marks_keep_to_their_room() {
        let printable = Rect::new(7.0, 7.0, 203.0, 290.0);
        let inner = printable.inflate(-ROOM.get(), -ROOM.get());
        let mut count = 0;
        for mark in marks(printable) {
            let covered: Vec<Rect> = match &mark.shape {
                Shape::Stroke { path, pen } => {
                    let half = pen.width.get() / 2.0;
                    path.segments().map(|arm| arm.bounding_box().inflate(half, half)).collect()
                }
                Shape::Fill { path, .. } => vec![path.bounding_box()],
                other => panic!("{other:?}"),
            };
            for part in covered {
                count += 1;
                assert!(printable.inflate(1e-9, 1e-9).contains_rect(part), "{part:?}");
                let shared = part.intersect(inner);
                assert!(shared.width() <= 0.0 || shared.height() <= 0.0, "{part:?}");
            }
        }
        assert_eq!(count, 4 * 2 + 1, "four angles and a square");
    }
}
