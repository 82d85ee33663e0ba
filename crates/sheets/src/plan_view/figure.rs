//! A level's drawing with what explains it, as one picture.

use flatwright_geometry::units::{MM_PER_INCH, Mm, plain};
use kurbo::{Point, Vec2};

use super::drawing::{self, OVERHANG};
use super::{LevelView, PlanView, Show, legend};
use crate::furniture::marks::{Face, fitted, moved, text};
use crate::furniture::style;
use crate::page::{Align, Mark};

/// A picture below and to the right of the origin.
#[derive(Clone, Debug)]
pub(crate) struct Figure {
    pub marks: Vec<Mark>,
    /// Width and height, mm.
    pub size: (f64, f64),
}

/// Between the drawing and its legend, mm.
const GAP: f64 = 3.0;
/// Below this side of a square nothing can be told apart, mm.
pub(crate) const LEAST_SQUARE: f64 = 1.5;
/// A square is not drawn larger than this to fill a page, mm.
const LARGEST_SQUARE: f64 = 45.0;

/// The largest square with which a level fits into a width and height without its legend.
pub(crate) fn square(level: &LevelView, width: f64, height: f64) -> f64 {
    let across = level.columns as f64 + 2.0 * OVERHANG;
    let along = level.rows as f64 + 2.0 * OVERHANG;
    (width / across).min(height / along).min(LARGEST_SQUARE)
}

/// Width and height of the drawing alone, with squares of side `s`.
pub(crate) fn bare_size(level: &LevelView, s: f64) -> (f64, f64) {
    ((level.columns as f64 + 2.0 * OVERHANG) * s, (level.rows as f64 + 2.0 * OVERHANG) * s)
}

/// Only the drawing, with squares of side `s`.
pub(crate) fn bare(level: &LevelView, show: &Show, s: f64) -> Figure {
    let size = bare_size(level, s);
    let marks = moved(&drawing::level(level, show, s), Vec2::new(OVERHANG * s, -OVERHANG * s));
    Figure { marks, size }
}

/// Height of legend, note and compass set in a width.
pub(crate) fn foot_height(level: &LevelView, width: f64) -> f64 {
    let (_, rows) = legend::draw(&[level], legend_width(width));
    GAP + (rows + legend::ROW).max(legend::COMPASS.1)
}

/// The drawing with squares of side `s` in the middle of `width`, and below it the legend, the
/// note on the scale and the compass.
pub(crate) fn explained(view: &PlanView, level: &LevelView, show: &Show, s: f64, width: f64, note: &str) -> Figure {
    let plan = bare(level, show, s);
    let foot = -plan.size.1 - GAP;
    let mut marks = moved(&plan.marks, Vec2::new((width - plan.size.0) / 2.0, 0.0));
    let (rows, height) = legend::draw(&[level], legend_width(width));
    marks.extend(moved(&rows, Vec2::new(0.0, foot)));
    let scale = format!("One square = one module, {}.{note}", module(view.module));
    let (scale, face) = fitted(&scale, legend_width(width), Face::muted(legend::FACE.size), style::LEAST);
    let at = Point::new(0.0, foot - height - 0.5 * legend::ROW - 0.36 * face.size.get());
    marks.push(text(at, scale, face, Align::Start));
    let (w, h) = legend::COMPASS;
    marks.extend(legend::compass(Point::new(width - w / 2.0, foot - h / 2.0)));
    Figure { marks, size: (width, plan.size.1 + foot_height(level, width)) }
}

fn legend_width(width: f64) -> f64 {
    (width - legend::COMPASS.0 - 4.0).max(1.0)
}

/// A module as builders call it: in inches too where these are whole or quarters.
fn module(module: Mm) -> String {
    let inches = module.get() / MM_PER_INCH;
    let quarters = inches * 4.0;
    if (quarters - quarters.round()).abs() < 1e-6 {
        format!("{} in ({} mm)", plain(inches, 2), plain(module.get(), 2))
    } else {
        format!("{} mm", plain(module.get(), 2))
    }
}
