//! The few drawing operations that a sheet needs, over the library's page operations.
//!
//! Everything is in millimetres: [`Canvas::new`] may start with the one scale to PDF's points.
//! The rest of the writer does not see the library's types, so that it can be replaced.

use std::collections::BTreeSet;

use flatwright_geometry::units::MM_PER_POINT;
use kurbo::{Affine, BezPath, PathEl, Point};
use printpdf::{
    Color, CurTransMat, DictItem, FontId, Greyscale, LayerInternalId, LineCapStyle, LineDashPattern, LineJoinStyle, Op,
    PdfFontHandle, Pt, Rgb, TextMatrix,
};

use super::ink::{Inks, components};
use super::text::{Types, font_name};
use crate::font::measure;
use crate::page::{Align, Colour, Layer, Pen, Text, Weight};

/// Names of what a content stream refers to, for its resource dictionary.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Used {
    /// Layers begun.
    pub layers: BTreeSet<Layer>,
    /// Weights of type.
    pub weights: BTreeSet<Weight>,
    /// Spot colours: layer and colour.
    pub inks: BTreeSet<(Layer, Colour)>,
    /// Parts of forms: index of the form, and layer.
    pub parts: BTreeSet<(usize, Layer)>,
    /// Pictures: their indices.
    pub images: BTreeSet<usize>,
}

/// One content stream being drawn.
pub(super) struct Canvas<'a> {
    inks: &'a Inks,
    types: &'a Types,
    layer: Layer,
    ops: Vec<Op>,
    used: Used,
    state: State,
    /// What was set before each clip that is still open.
    outer: Vec<State>,
}

/// What the stream has set so far; nothing where it must be set before use.
#[derive(Clone, Default)]
struct State {
    stroke: Option<(Layer, Colour)>,
    fill: Option<(Layer, Colour)>,
    width: Option<f64>,
    dashes: Option<Vec<f64>>,
    round: Option<bool>,
}

impl<'a> Canvas<'a> {
    /// A stream in millimetres: on a page, corrected and scaled to points; in a form, as its placing
    /// scales it.
    pub(super) fn new(inks: &'a Inks, types: &'a Types, layer: Layer, on_page: Option<Affine>) -> Self {
        let to_points = |correction| transform(Affine::scale(1.0 / MM_PER_POINT) * correction);
        let ops = on_page.map(to_points).into_iter().collect();
        Self { inks, types, layer, ops, used: Used::default(), state: State::default(), outer: Vec::new() }
    }

    /// The operations, and what they refer to.
    pub(super) fn finish(self) -> (Vec<Op>, Used) {
        (self.ops, self.used)
    }

    pub(super) fn begin_layer(&mut self, layer: Layer) {
        self.layer = layer;
        self.used.layers.insert(layer);
        self.ops.push(Op::BeginLayer { layer_id: LayerInternalId(layer.id().to_owned()) });
    }

    pub(super) fn end_layer(&mut self) {
        self.ops.push(Op::EndLayer);
    }

    pub(super) fn stroke(&mut self, path: &BezPath, pen: &Pen) {
        if path.elements().is_empty() {
            return;
        }
        self.set_stroke_colour(pen.colour);
        let width = pen.width.get();
        if self.state.width.replace(width) != Some(width) {
            self.ops.push(Op::SetOutlineThickness { pt: Pt(number(width)) });
        }
        let dashes: Vec<f64> = pen.dashes.iter().map(|dash| dash.get()).collect();
        if self.state.dashes.as_ref() != Some(&dashes) {
            let pattern = dashes.iter().map(|&dash| number(dash)).collect();
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern { offset: 0.0, pattern } });
            self.state.dashes = Some(dashes);
        }
        if self.state.round.replace(pen.round) != Some(pen.round) {
            let (cap, join) = if pen.round {
                (LineCapStyle::Round, LineJoinStyle::Round)
            } else {
                (LineCapStyle::Butt, LineJoinStyle::Miter)
            };
            self.ops.extend([Op::SetLineCapStyle { cap }, Op::SetLineJoinStyle { join }]);
        }
        self.trace(path);
        self.operator("S", Vec::new());
    }

    pub(super) fn fill(&mut self, path: &BezPath, colour: Colour) {
        if path.elements().is_empty() {
            return;
        }
        self.set_fill_colour(colour);
        self.trace(path);
        self.operator("f*", Vec::new());
    }

    pub(super) fn text(&mut self, text: &Text) {
        let codes = self.types.encode(&text.text, text.weight);
        if codes.is_empty() {
            return;
        }
        self.used.weights.insert(text.weight);
        self.set_fill_colour(text.colour);
        let share = match text.align {
            Align::Start => 0.0,
            Align::Middle => 0.5,
            Align::End => 1.0,
        };
        let back = share * measure(&text.text, text.size, text.weight).get();
        let place = Affine::translate(text.at.to_vec2()) * Affine::rotate(text.turn.radians());
        let font = PdfFontHandle::External(FontId(font_name(text.weight).to_owned()));
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font, size: Pt(number(text.size.get())) },
            Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix(place * Affine::translate((-back, 0.0)))) },
        ]);
        self.operator("Tj", vec![DictItem::Bytes(codes)]);
        self.ops.push(Op::EndTextSection);
    }

    /// Places a form's part that lies on the current layer; `name` is its name among the resources.
    pub(super) fn place(&mut self, form: usize, name: String, motion: Affine) {
        self.used.parts.insert((form, self.layer));
        self.ops.extend([Op::SaveGraphicsState, transform(motion)]);
        self.operator("Do", vec![DictItem::Name(name.into_bytes())]);
        self.ops.push(Op::RestoreGraphicsState);
    }

    /// Draws a picture into the image of the unit square; `name` is its name among the resources.
    pub(super) fn image(&mut self, image: usize, name: String, motion: Affine) {
        self.used.images.insert(image);
        self.ops.extend([Op::SaveGraphicsState, transform(motion)]);
        self.operator("Do", vec![DictItem::Name(name.into_bytes())]);
        self.ops.push(Op::RestoreGraphicsState);
    }

    /// From here to [`Canvas::end_clip`] only what lies in the path shows.
    pub(super) fn begin_clip(&mut self, path: &BezPath) {
        self.outer.push(self.state.clone());
        self.ops.push(Op::SaveGraphicsState);
        // Without a path nothing may show: an empty rectangle hides all.
        if path.elements().is_empty() {
            self.operator("re", vec![DictItem::Int(0); 4]);
        }
        self.trace(path);
        self.operator("W*", Vec::new());
        self.operator("n", Vec::new());
    }

    pub(super) fn end_clip(&mut self) {
        self.ops.push(Op::RestoreGraphicsState);
        self.state = self.outer.pop().unwrap_or_default();
    }

    fn set_stroke_colour(&mut self, colour: Colour) {
        let ink = self.inks.get(self.layer, colour);
        let wanted = (self.layer, colour);
        if self.state.stroke.replace(wanted) == Some(wanted) {
            return;
        }
        if let Some(ink) = ink {
            self.used.inks.insert(wanted);
            self.ops.push(Op::SetColorSpaceStroke { id: ink.name.clone() });
            self.operator("SCN", vec![DictItem::Int(1)]);
        } else {
            self.ops.push(Op::SetOutlineColor { col: device(colour) });
        }
    }

    fn set_fill_colour(&mut self, colour: Colour) {
        let ink = self.inks.get(self.layer, colour);
        let wanted = (self.layer, colour);
        if self.state.fill.replace(wanted) == Some(wanted) {
            return;
        }
        if let Some(ink) = ink {
            self.used.inks.insert(wanted);
            self.ops.push(Op::SetColorSpaceFill { id: ink.name.clone() });
            self.operator("scn", vec![DictItem::Int(1)]);
        } else {
            self.ops.push(Op::SetFillColor { col: device(colour) });
        }
    }

    /// Path construction. PDF has no quadratic curves: those are raised to cubic ones, exactly.
    fn trace(&mut self, path: &BezPath) {
        let mut start = Point::ZERO;
        let mut last = Point::ZERO;
        for element in path.elements() {
            match *element {
                PathEl::MoveTo(to) => {
                    self.points("m", &[to]);
                    start = to;
                }
                PathEl::LineTo(to) => self.points("l", &[to]),
                PathEl::QuadTo(control, to) => {
                    self.points("c", &[last.lerp(control, 2.0 / 3.0), to.lerp(control, 2.0 / 3.0), to]);
                }
                PathEl::CurveTo(first, second, to) => self.points("c", &[first, second, to]),
                PathEl::ClosePath => self.operator("h", Vec::new()),
            }
            last = element.end_point().unwrap_or(start);
        }
    }

    fn points(&mut self, key: &str, points: &[Point]) {
        self.operator(key, points.iter().flat_map(|at| [at.x, at.y]).map(|n| DictItem::Real(number(n))).collect());
    }

    fn operator(&mut self, key: &str, value: Vec<DictItem>) {
        self.ops.push(Op::Unknown { key: key.to_owned(), value });
    }
}

fn device(colour: Colour) -> Color {
    match components(colour)[..] {
        [r, g, b] => Color::Rgb(Rgb { r, g, b, icc_profile: None }),
        [percent, ..] => Color::Greyscale(Greyscale { percent, icc_profile: None }),
        [] => Color::Greyscale(Greyscale { percent: 0.0, icc_profile: None }),
    }
}

fn transform(motion: Affine) -> Op {
    Op::SetTransformationMatrix { matrix: CurTransMat::Raw(matrix(motion)) }
}

/// The turn to eight decimals (a nanometre over the longest page), the shift like any length.
fn matrix(motion: Affine) -> [f32; 6] {
    let [a, b, c, d, e, f] = motion.as_coeffs();
    let turn = |part: f64| rounded(part, 1e8);
    [turn(a), turn(b), turn(c), turn(d), number(e), number(f)]
}

/// A length for the file: to 1e-5 mm, then to the library's single precision, which is within
/// 6.2e-5 mm up to 2 m (A0 and longer).
pub(super) fn number(mm: f64) -> f32 {
    rounded(mm, 1e5)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the library's numbers are single precision; the loss is bounded above"
)]
fn rounded(value: f64, per_unit: f64) -> f32 {
    // Adding zero turns a negative zero into a plain one.
    ((value * per_unit).round() / per_unit) as f32 + 0.0
}
