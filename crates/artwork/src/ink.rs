//! How artwork is printed: in colour, in grey, as lines, or not at all.

use kurbo::{Point, Rect};

use crate::colour::Colour;
use crate::swatch::{Element, Paint, Swatch};

/// Which ink a set is printed with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ink {
    /// All colours.
    #[default]
    Colour,
    /// Black ink only: every colour as the grey of its luminance.
    Grey,
    /// Thin lines on bare paper, to be coloured by hand.
    LineArt,
    /// No artwork.
    Blank,
}

/// How artwork is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Print {
    /// The ink.
    pub ink: Ink,
    /// Lighter (above 0, towards 1) or darker (below 0, towards -1), for printers that print too
    /// dark or too pale.
    pub shade: f64,
}

/// Colour of line art: dark, but not to be taken for a line of the sheet.
const LINE: Colour = Colour(0x55, 0x55, 0x55);
/// Width of line art, mm.
const LINE_WIDTH: f64 = 0.13;

impl Print {
    /// A colour as printed.
    #[must_use]
    pub fn colour(self, colour: Colour) -> Colour {
        let shaded = colour.shaded(self.shade);
        match self.ink {
            Ink::Colour => shaded,
            Ink::Grey => shaded.grey(),
            Ink::LineArt | Ink::Blank => Colour::WHITE,
        }
    }

    /// An element as printed; `None` where nothing of it is.
    #[must_use]
    pub fn element(self, element: &Element) -> Option<Element> {
        let paint = match (self.ink, element.paint) {
            (Ink::Blank, _) => return None,
            (Ink::LineArt, _) if element.detail => return None,
            (Ink::LineArt, Paint::Fill(_)) => Paint::Line(LINE, LINE_WIDTH),
            (Ink::LineArt, Paint::Line(_, width)) => Paint::Line(LINE, width.min(LINE_WIDTH)),
            (_, Paint::Fill(colour)) => Paint::Fill(self.colour(colour)),
            (_, Paint::Line(colour, width)) => Paint::Line(self.colour(colour), width),
        };
        Some(Element { path: element.path.clone(), paint, detail: element.detail })
    }

    /// A ground as printed; `None` where the paper stays bare.
    #[must_use]
    pub fn ground(self, ground: Colour) -> Option<Colour> {
        matches!(self.ink, Ink::Colour | Ink::Grey).then(|| self.colour(ground))
    }

    /// A surface as printed.
    #[must_use]
    pub fn swatch(self, swatch: &Swatch) -> Swatch {
        let layer = |layer: &Vec<Element>| layer.iter().filter_map(|element| self.element(element)).collect();
        let variants = swatch.variants.iter().map(|layers| layers.iter().map(layer).collect()).collect();
        Swatch { side: swatch.side, ground: swatch.ground.and_then(|ground| self.ground(ground)), variants }
    }
}

/// How much ink a colour takes: 0 for white, 1 for the darkest black; the mean of what the three
/// channels leave out. An estimate: what a printer really mixes depends on its driver.
#[must_use]
pub fn coverage(colour: Colour) -> f64 {
    1.0 - (f64::from(colour.0) + f64::from(colour.1) + f64::from(colour.2)) / (3.0 * 255.0)
}

/// The mean ink coverage of a surface, 0 to 1: the mean over a lattice of points of its first
/// variant's square.
#[must_use]
pub fn mean_coverage(swatch: &Swatch) -> f64 {
    let points = sampled(swatch);
    points.iter().copied().map(coverage).sum::<f64>() / points.len() as f64
}

/// The colour that a surface shows from afar: the mean over the same points.
#[must_use]
pub fn mean_colour(swatch: &Swatch) -> Colour {
    let points = sampled(swatch);
    let mean = |part: fn(&Colour) -> u8| {
        let sum: u64 = points.iter().map(|colour| u64::from(part(colour))).sum();
        u8::try_from((sum + points.len() as u64 / 2) / points.len() as u64).unwrap_or(u8::MAX)
    };
    Colour(mean(|colour| colour.0), mean(|colour| colour.1), mean(|colour| colour.2))
}

/// Points along each side of a square: half a millimetre apart on a usual module.
const SAMPLES: usize = 150;

/// The colours of the first variant's square at the middles of small squares. What reaches out of
/// the square comes in on the other side, as its neighbour's does.
fn sampled(swatch: &Swatch) -> Vec<Colour> {
    let mut points = vec![swatch.ground.unwrap_or(Colour::WHITE); SAMPLES * SAMPLES];
    let step = swatch.side / SAMPLES as f64;
    let place = |index: i64| (index as f64 + 0.5) * step;
    for element in swatch.variants.iter().take(1).flatten().flatten() {
        // Straight pieces are looked at much faster, and this far off nothing is seen of them.
        let element = &element.flattened(step / 10.0);
        let bounds = element.bounds();
        let range = |from: f64, to: f64| (from / step - 0.5).ceil() as i64..=(to / step - 0.5).floor() as i64;
        let wrapped = |index: i64| index.rem_euclid(SAMPLES as i64).unsigned_abs() as usize;
        for row in range(bounds.y0, bounds.y1) {
            for column in range(bounds.x0, bounds.x1) {
                if element.covers(Point::new(place(column), place(row))) {
                    points[wrapped(row) * SAMPLES + wrapped(column)] = element.paint.colour();
                }
            }
        }
    }
    points
}

/// Whether a rectangle is worth painting at all.
pub(crate) fn has_area(rect: Rect) -> bool {
    rect.width() > 0.0 && rect.height() > 0.0
}
