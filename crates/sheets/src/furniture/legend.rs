//! The row that says what each type of line means.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Point, Rect, Shape as _};

use super::marks::{Face, stroke, text};
use crate::lines::LineType;
use crate::page::{Align, Mark};

/// Height of the row, mm.
pub const HEIGHT: f64 = 2.9;

/// Em, length of a sample, room after a sample and after a name, mm; the roomiest first.
const SETTINGS: [[f64; 4]; 7] = [
    [2.4, 9.0, 1.3, 4.2],
    [2.4, 8.0, 1.2, 3.2],
    [2.2, 8.0, 1.0, 2.8],
    [2.2, 7.0, 1.0, 2.4],
    [2.0, 6.0, 0.8, 2.2],
    [1.7, 4.5, 0.7, 1.5],
    [1.5, 3.6, 0.5, 1.0],
];

/// How wide the parts of a legend are set.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Measure {
    size: Mm,
    sample: f64,
    gap: f64,
    between: f64,
    lines: &'static [LineType],
    pub width: f64,
}

impl Measure {
    /// The largest legend of some types of line that fits a width, mm.
    pub fn within(width: f64, lines: &'static [LineType]) -> Option<Self> {
        SETTINGS.into_iter().map(|setting| Self::of(setting, lines)).find(|measure| measure.width <= width)
    }

    /// As [`Measure::within`], but not small.
    pub fn roomy(width: f64, lines: &'static [LineType]) -> Option<Self> {
        Self::within(width, lines).filter(|measure| measure.size.get() >= 2.2)
    }

    fn of([size, sample, gap, between]: [f64; 4], lines: &'static [LineType]) -> Self {
        let size = Mm::new(size);
        let names: f64 = lines.iter().map(|line| Face::regular(size).width(line.name())).sum();
        let count = lines.len() as f64;
        Self { size, sample, gap, between, lines, width: names + count * (sample + gap) + (count - 1.0) * between }
    }
}

/// The row, its lower left corner at `at`.
pub(crate) fn draw(measure: &Measure, at: Point) -> Vec<Mark> {
    let face = Face::regular(measure.size);
    let middle = at.y + HEIGHT / 2.0;
    let mut x = at.x;
    let mut marks = Vec::new();
    for &kind in measure.lines {
        marks.extend(sample(kind, Point::new(x, middle), measure.sample));
        x += measure.sample + measure.gap;
        let baseline = middle - 0.36 * measure.size.get();
        marks.push(text(Point::new(x, baseline), kind.name(), face, Align::Start));
        x += face.width(kind.name()) + measure.between;
    }
    marks
}

/// A sample of a line of length `length`, beginning at `at`.
pub(crate) fn sample(kind: LineType, at: Point, length: f64) -> Vec<Mark> {
    if kind != LineType::Glue {
        let mut path = BezPath::new();
        path.move_to(at);
        path.line_to(at + (length, 0.0));
        return vec![stroke(path, kind.pen())];
    }
    let rect = Rect::new(at.x, at.y - 1.1, at.x + length, at.y + 1.1);
    let mut hatch = BezPath::new();
    let height = rect.height();
    let mut x = rect.x0;
    while x + height <= rect.x1 + 1e-9 {
        hatch.move_to((x, rect.y0));
        hatch.line_to((x + height, rect.y1));
        x += 1.4;
    }
    vec![stroke(hatch, LineType::hatch()), stroke(rect.into_path(0.1), kind.pen())]
}
