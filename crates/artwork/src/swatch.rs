//! A surface drawn for one module.

use kurbo::{BezPath, ParamCurveNearest as _, PathEl, Point, Rect, Shape as _};

use crate::colour::Colour;

/// How a path is painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paint {
    /// Filled by the even-odd rule.
    Fill(Colour),
    /// A line with round ends and corners; its width, mm.
    Line(Colour, f64),
}

impl Paint {
    /// Its colour.
    #[must_use]
    pub const fn colour(self) -> Colour {
        match self {
            Self::Fill(colour) | Self::Line(colour, _) => colour,
        }
    }
}

/// One painted path, mm, y up.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Where.
    pub path: BezPath,
    /// How.
    pub paint: Paint,
    /// Whether it only shades what another element draws: left out of line art.
    pub detail: bool,
}

impl Element {
    /// An area. Coordinates are rounded to 0.01 mm: finer than any printer, and shorter in a file.
    #[must_use]
    pub fn fill(path: BezPath, colour: Colour) -> Self {
        Self { path: rounded(path), paint: Paint::Fill(colour), detail: false }
    }

    /// A line `width` mm wide, rounded likewise.
    #[must_use]
    pub fn line(path: BezPath, colour: Colour, width: f64) -> Self {
        Self { path: rounded(path), paint: Paint::Line(colour, width), detail: false }
    }

    /// The same as a detail.
    #[must_use]
    pub fn as_detail(self) -> Self {
        Self { detail: true, ..self }
    }

    /// The same of straight pieces alone, at most `tolerance` mm off.
    #[must_use]
    pub fn flattened(&self, tolerance: f64) -> Self {
        let mut path = BezPath::new();
        kurbo::flatten(&self.path, tolerance, |part| path.push(part));
        Self { path, paint: self.paint, detail: self.detail }
    }

    /// Whether it paints a point.
    #[must_use]
    pub fn covers(&self, point: Point) -> bool {
        match self.paint {
            Paint::Fill(_) => self.path.winding(point) % 2 != 0,
            Paint::Line(_, width) => {
                let reach = width * width / 4.0;
                self.path.segments().any(|segment| segment.nearest(point, 1e-3).distance_sq <= reach)
            }
        }
    }

    /// The area that it paints, mm2; of a line its length times its width.
    #[must_use]
    pub fn area(&self) -> f64 {
        match self.paint {
            Paint::Fill(_) => self.path.area().abs(),
            Paint::Line(_, width) => self.path.perimeter(0.1) * width,
        }
    }

    /// What it covers, line width included.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        let half = match self.paint {
            Paint::Fill(_) => 0.0,
            Paint::Line(_, width) => width / 2.0,
        };
        self.path.bounding_box().inflate(half, half)
    }
}

/// A surface as drawings of the square from (0, 0) to (`side`, `side`).
///
/// A plane is painted by its ground, then layer by layer: of every square that is met, the layer
/// of any one variant, moved there. What crosses a square's side is in all variants alike, so
/// neighbours always fit. Elements belong to the square they begin in and are drawn whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Swatch {
    /// Side of the square, mm.
    pub side: f64,
    /// Colour under everything; `None` where the paper stays bare.
    pub ground: Option<Colour>,
    /// Layers of each variant, bottom first: as many in each.
    pub variants: Vec<Vec<Vec<Element>>>,
}

impl Swatch {
    /// How far elements reach out of their square, mm.
    #[must_use]
    pub fn reach(&self) -> f64 {
        let out = |b: Rect| [-b.x0, -b.y0, b.x1 - self.side, b.y1 - self.side].into_iter().fold(0.0, f64::max);
        self.variants.iter().flatten().flatten().map(|element| out(element.bounds())).fold(0.0, f64::max)
    }

    /// Every colour in it.
    #[must_use]
    pub fn colours(&self) -> Vec<Colour> {
        let elements = self.variants.iter().flatten().flatten();
        let mut all: Vec<Colour> = elements.map(|element| element.paint.colour()).chain(self.ground).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

fn rounded(path: BezPath) -> BezPath {
    let near = |p: Point| Point::new((p.x * 100.0).round() / 100.0, (p.y * 100.0).round() / 100.0);
    let element = |element: PathEl| match element {
        PathEl::MoveTo(p) => PathEl::MoveTo(near(p)),
        PathEl::LineTo(p) => PathEl::LineTo(near(p)),
        PathEl::QuadTo(p, q) => PathEl::QuadTo(near(p), near(q)),
        PathEl::CurveTo(p, q, r) => PathEl::CurveTo(near(p), near(q), near(r)),
        PathEl::ClosePath => PathEl::ClosePath,
    };
    path.into_iter().map(element).collect()
}
