//! A double-headed arrow: which way the grain runs.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Line, Point};

use super::style;
use crate::page::{Layer, Mark, Pen, Shape};

/// Length and half the width of a head, mm.
const HEAD: (f64, f64) = (1.1, 0.5);

/// The shaft, in one or more stretches from end to end, and the heads at its two ends.
pub(crate) fn double(shaft: &[Line], layer: Layer) -> Vec<Mark> {
    let (Some(first), Some(last)) = (shaft.first(), shaft.last()) else { return Vec::new() };
    let (from, to) = (first.p0, last.p1);
    let length = (to - from).hypot().max(1e-9);
    let along = (to - from) / length;
    // Two heads never meet, however short the arrow is.
    let head = HEAD.0.min(length * 0.4);
    let side = along.turn_90() * HEAD.1;
    let mut heads = BezPath::new();
    for (tip, inward) in [(from, along * head), (to, along * -head)] {
        heads.move_to(tip);
        heads.line_to(tip + inward + side);
        heads.line_to(tip + inward - side);
        heads.close_path();
    }
    let mut lines = BezPath::new();
    for (i, stretch) in shaft.iter().enumerate() {
        // The line ends within the heads, so that their tips stay sharp.
        let p0: Point = if i == 0 { from + along * (head / 2.0) } else { stretch.p0 };
        let p1: Point = if i + 1 == shaft.len() { to - along * (head / 2.0) } else { stretch.p1 };
        lines.move_to(p0);
        lines.line_to(p1);
    }
    let pen = Pen { width: Mm::new(0.2), colour: style::INK, dashes: Vec::new(), round: false };
    vec![
        Mark { layer, shape: Shape::Stroke { path: lines, pen } },
        Mark { layer, shape: Shape::Fill { path: heads, colour: style::INK } },
    ]
}
