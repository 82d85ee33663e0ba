//! An estimate of the ink that pages take.
//!
//! Lines count by length and width, type by its usual blackness, artwork by the means of its
//! surfaces and pictures. What lies over other things is not taken off, and what a printer mixes
//! from its inks, its driver alone knows.

use flatwright_artwork::ink::coverage;
use flatwright_geometry::units::Mm;
use kurbo::Shape as _;

use super::Part;
use super::unit::Unit;
use crate::art::Forms;
use crate::font;
use crate::page::{Form, Layer, Mark, Pen, Shape, Weight};

/// Share of an em's height times a text's width that is black: measured on the shipped type.
const fn blackness(weight: Weight) -> f64 {
    match weight {
        Weight::Regular => 0.18,
        Weight::Bold => 0.27,
    }
}

/// A piece's ink, mm2 of full black.
pub(super) fn of_form(form: &Form, unit: &Unit, part: &Part, art: &Forms<'_>, bleed: Mm) -> f64 {
    let printed = unit.flat.printed(bleed);
    let lines = form.marks.iter().filter(|mark| mark.layer != Layer::Artwork);
    art.ink(&part.face, &printed, &unit.flat.planes) + lines.map(|mark| of_shape(&mark.shape)).sum::<f64>()
}

/// The ink of marks that place no forms and hold no artwork, mm2 of full black.
pub(super) fn of_marks(marks: &[Mark]) -> f64 {
    marks.iter().map(|mark| of_shape(&mark.shape)).sum()
}

fn of_shape(shape: &Shape) -> f64 {
    match shape {
        Shape::Stroke { path, pen } => path.perimeter(0.1) * pen.width.get() * drawn(pen) * coverage(pen.colour),
        Shape::Fill { path, colour } => path.area().abs() * coverage(*colour),
        Shape::Text(text) => {
            let width = font::measure(&text.text, text.size, text.weight).get();
            width * text.size.get() * blackness(text.weight) * coverage(text.colour)
        }
        Shape::Place { .. } | Shape::Clip { .. } | Shape::Image { .. } => 0.0,
    }
}

/// The share of a line's length that is drawn.
fn drawn(pen: &Pen) -> f64 {
    let all: f64 = pen.dashes.iter().map(|dash| dash.get()).sum();
    if all <= 0.0 {
        return 1.0;
    }
    // Round ends add half a width at either end of a dash, less their corners.
    let ends = if pen.round { pen.width.get() * std::f64::consts::FRAC_PI_4 } else { 0.0 };
    let dashes = pen.dashes.iter().step_by(2).map(|dash| dash.get() + ends);
    (dashes.sum::<f64>() / all).min(1.0)
}
