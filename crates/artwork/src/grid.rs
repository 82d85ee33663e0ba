//! The grid on which figures stand.

use kurbo::{BezPath, Point, Rect};

use crate::colour::Colour;
use crate::ink::has_area;
use crate::swatch::Element;

/// A figure grid, its squares or hexagons counted from a vertex of the lattice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Shape of its fields.
    pub field: Field,
    /// Side of a square, or distance between opposite sides of a hexagon, mm.
    pub pitch: f64,
    /// How it is drawn.
    pub look: Look,
}

/// Fields of a grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// Squares.
    Square,
    /// Hexagons with two sides upright.
    Hex,
}

/// How a grid is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Thin lines all along.
    Lines,
    /// Only short strokes at the corners.
    Corners,
}

/// Width of the lines, mm.
const WIDTH: f64 = 0.18;
/// Reach of a corner's strokes, as a share of the pitch.
const STROKE: f64 = 0.1;

impl Grid {
    /// The grid's lines over a part of the lattice's plane.
    #[must_use]
    pub fn elements(&self, over: Rect, colour: Colour) -> Vec<Element> {
        if !has_area(over) || self.pitch <= 0.0 {
            return Vec::new();
        }
        let mut path = BezPath::new();
        match self.field {
            Field::Square => self.squares(over, &mut path),
            Field::Hex => self.hexagons(over, &mut path),
        }
        vec![Element::line(path, colour, WIDTH)]
    }

    fn squares(&self, over: Rect, path: &mut BezPath) {
        let steps = |from: f64, to: f64| {
            let (first, last) = ((from / self.pitch).ceil() as i64, (to / self.pitch).floor() as i64);
            (first..=last).map(|i| i as f64 * self.pitch)
        };
        match self.look {
            Look::Lines => {
                for x in steps(over.x0, over.x1) {
                    segment(path, Point::new(x, over.y0), Point::new(x, over.y1));
                }
                for y in steps(over.y0, over.y1) {
                    segment(path, Point::new(over.x0, y), Point::new(over.x1, y));
                }
            }
            Look::Corners => {
                let reach = STROKE * self.pitch;
                for x in steps(over.x0, over.x1) {
                    for y in steps(over.y0, over.y1) {
                        segment(path, Point::new(x - reach, y), Point::new(x + reach, y));
                        segment(path, Point::new(x, y - reach), Point::new(x, y + reach));
                    }
                }
            }
        }
    }

    fn hexagons(&self, over: Rect, path: &mut BezPath) {
        // Corner to middle, and the height of one row.
        let (reach, half) = (self.pitch / 3.0_f64.sqrt(), self.pitch / 2.0);
        let rise = 1.5 * reach;
        let rows = (over.y0 / rise).floor() as i64 - 1..=(over.y1 / rise).ceil() as i64 + 1;
        for row in rows {
            let shift = if row.rem_euclid(2) == 1 { half } else { 0.0 };
            let columns =
                ((over.x0 - shift) / self.pitch).floor() as i64 - 1..=(over.x1 / self.pitch).ceil() as i64 + 1;
            for column in columns {
                let middle = Point::new(column as f64 * self.pitch + shift, row as f64 * rise);
                let corner = |i: i32| {
                    let angle = (f64::from(i) * 60.0 + 30.0).to_radians();
                    middle + reach * kurbo::Vec2::from_angle(angle)
                };
                // Three of its six sides; the neighbours draw the others.
                for i in 0..3 {
                    let (from, to) = (corner(i), corner(i + 1));
                    match self.look {
                        Look::Lines => segment(path, from, to),
                        Look::Corners => {
                            segment(path, from, from.lerp(to, 1.5 * STROKE));
                            segment(path, to, to.lerp(from, 1.5 * STROKE));
                        }
                    }
                }
            }
        }
    }
}

fn segment(path: &mut BezPath, from: Point, to: Point) {
    path.move_to(from);
    path.line_to(to);
}
