//! Scale bars: millimetres and inches back to back, lying along the foot and standing at the left.

use flatwright_geometry::turn::quarter;
use flatwright_geometry::units::{Angle, MM_PER_INCH, Mm};
use kurbo::{Affine, BezPath, Point};

use super::marks::{Face, stroke};
use super::style;
use crate::page::{Align, Layer, Mark, Shape, Text};

/// How far the bars reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reach {
    /// Whole millimetres of the metric bar, a multiple of ten.
    pub millimetres: u32,
    /// Whole inches of the other bar.
    pub inches: u32,
}

impl Reach {
    /// The bars of a sheet with room: 100 mm and 4 in.
    pub const FULL: Self = Self { millimetres: 100, inches: 4 };
    /// The bars of a sheet too small for those: 50 mm and 2 in.
    pub const HALF: Self = Self { millimetres: 50, inches: 2 };

    /// The longest bars that fit a length, mm.
    #[must_use]
    pub fn within(length: f64) -> Option<Self> {
        [Self::FULL, Self::HALF].into_iter().find(|reach| reach.length() <= length)
    }

    /// Length of bars and labels, mm.
    #[must_use]
    pub fn length(self) -> f64 {
        self.bar() + LABEL_GAP + FACE.width(&self.metric_label()).max(FACE.width(&self.inch_label())) + 0.2
    }

    fn bar(self) -> f64 {
        f64::from(self.millimetres).max(f64::from(self.inches) * MM_PER_INCH)
    }

    fn metric_label(self) -> String {
        format!("{} mm", self.millimetres)
    }

    fn inch_label(self) -> String {
        format!("{} in", self.inches)
    }
}

/// Height of the lying bars, mm.
pub const THICKNESS: f64 = 5.0;

const FACE: Face = Face::regular(Mm::new(2.2));
const LABEL_GAP: f64 = 1.2;
/// The two base lines stand this far from the middle.
const HALF_GAP: f64 = 0.4;
const LONG: f64 = 2.0;
const MIDDLE: f64 = 1.3;
const SHORT: f64 = 0.8;

/// Both bars along the x axis, or standing: their zero at `origin`, in the middle of their
/// thickness.
#[must_use]
pub(crate) fn ruler(origin: Point, standing: bool, reach: Reach) -> Vec<Mark> {
    let turn = if standing { Angle::QUARTER } else { Angle::ZERO };
    let motion = Affine::translate(origin.to_vec2()) * quarter(u32::from(standing));

    let metric = (0..=reach.millimetres / 5).map(|i| (f64::from(i) * 5.0, if i % 2 == 0 { LONG } else { SHORT }));
    let inches = (0..=reach.inches * 4).map(|i| {
        let height = [LONG, SHORT, MIDDLE, SHORT][(i % 4) as usize];
        (f64::from(i) * MM_PER_INCH / 4.0, height)
    });
    let mut marks = Vec::new();
    marks.extend(bar(metric.collect(), HALF_GAP, 1.0).map(|path| stroke(motion * path, style::fine())));
    marks.extend(bar(inches.collect(), -HALF_GAP, -1.0).map(|path| stroke(motion * path, style::fine())));

    let x = reach.bar() + LABEL_GAP;
    let cap = 0.714 * FACE.size.get();
    for (words, y) in [(reach.metric_label(), HALF_GAP + 0.3), (reach.inch_label(), -HALF_GAP - cap)] {
        let label = Text {
            at: motion * Point::new(x, y),
            text: words,
            size: FACE.size,
            weight: FACE.weight,
            align: Align::Start,
            turn,
            colour: FACE.colour,
        };
        marks.push(Mark { layer: Layer::Furniture, shape: Shape::Text(label) });
    }
    marks
}

/// A base line from the first tick to the last, then the ticks, each a path of its own so that a
/// reader can measure the base line.
fn bar(ticks: Vec<(f64, f64)>, base: f64, up: f64) -> impl Iterator<Item = BezPath> {
    let last = ticks.last().map_or(0.0, |tick| tick.0);
    let segment = |from: (f64, f64), to: (f64, f64)| {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        path
    };
    let base_line = segment((0.0, base), (last, base));
    let mut all = BezPath::new();
    for (x, height) in ticks {
        all.extend(segment((x, base), (x, base + up * height)));
    }
    [base_line, all].into_iter()
}
