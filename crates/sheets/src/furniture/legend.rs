//! The row that says what each type of line means, and the arrow that shows the grain.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Line, Point, Rect, Shape as _};

use super::arrow;
use super::marks::{Face, stroke, text};
use crate::lines::LineType;
use crate::page::{Align, Layer, Mark};

/// Height of the row, mm.
pub const HEIGHT: f64 = 2.9;

/// What the arrow is called.
const GRAIN: &str = "grain";

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
    /// Whether there is room for the arrow after them.
    grain: bool,
    pub width: f64,
}

impl Measure {
    /// The largest legend of some types of line, and of the `grain` arrow, that fits a width, mm.
    pub fn within(width: f64, lines: &'static [LineType], grain: bool) -> Option<Self> {
        SETTINGS.into_iter().map(|setting| Self::of(setting, lines, grain)).find(|measure| measure.width <= width)
    }

    /// As [`Measure::within`], but not small.
    pub fn roomy(width: f64, lines: &'static [LineType], grain: bool) -> Option<Self> {
        Self::within(width, lines, grain).filter(|measure| measure.size.get() >= 2.2)
    }

    fn of([size, sample, gap, between]: [f64; 4], lines: &'static [LineType], grain: bool) -> Self {
        let size = Mm::new(size);
        let names = lines.iter().map(|line| line.name()).chain(grain.then_some(GRAIN));
        let names: f64 = names.map(|name| Face::regular(size).width(name)).sum();
        let count = (lines.len() + usize::from(grain)) as f64;
        let width = names + count * (sample + gap) + (count - 1.0) * between;
        Self { size, sample, gap, between, lines, grain, width }
    }
}

/// The row, its lower left corner at `at`; with the arrow where there is `grain` on the sheet, and
/// room for it.
pub(crate) fn draw(measure: &Measure, at: Point, grain: bool) -> Vec<Mark> {
    let face = Face::regular(measure.size);
    let middle = at.y + HEIGHT / 2.0;
    let mut x = at.x;
    let mut marks = Vec::new();
    let lines = measure.lines.iter().map(|&kind| Some(kind));
    for entry in lines.chain((measure.grain && grain).then_some(None)) {
        let start = Point::new(x, middle);
        let (sample, name) = match entry {
            Some(kind) => (sample(kind, start, measure.sample), kind.name()),
            None => (grain_sample(start, measure.sample), GRAIN),
        };
        marks.extend(sample);
        x += measure.sample + measure.gap;
        let baseline = middle - 0.36 * measure.size.get();
        marks.push(text(Point::new(x, baseline), name, face, Align::Start));
        x += face.width(name) + measure.between;
    }
    marks
}

/// A sample of the arrow that shows the grain.
fn grain_sample(at: Point, length: f64) -> Vec<Mark> {
    arrow::double(&[Line::new(at, at + (length, 0.0))], Layer::Furniture)
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
