//! A part's flat pattern, small.

use flatwright_geometry::pattern::{Fold, Stock};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Line, Rect, Shape as _};

use super::GuidePart;
use crate::art::{self, Forms};
use crate::embed;
use crate::lines::LineType;
use crate::page::{Colour, Form, Layer, Mark, Pen, Shape};
use crate::plan_view::symbols::fill;

/// Small pieces are not drawn larger than this part of their size, so that they look small.
const LARGEST_SCALE: f64 = 0.6;
/// Width of the outline and of all other lines, mm.
const OUTLINE: f64 = 0.28;
const INNER: f64 = 0.2;

/// The guide's artwork.
pub(super) struct Print<'a> {
    /// Surfaces and pictures.
    pub art: Forms<'a>,
    /// All forms of the guide.
    pub forms: &'a [Form],
}

/// The pattern in the middle of a box: material, face, folds and cuts, all on the artwork's layer,
/// for none of it is to be cut.
pub(super) fn draw(part: &GuidePart, print: &Print<'_>, area: Rect) -> Vec<Mark> {
    let pattern = &part.pattern;
    let bounds = pattern.material.bounds();
    let scale = (area.width() / bounds.width()).min(area.height() / bounds.height()).min(LARGEST_SCALE);
    if !(scale.is_finite() && scale > 0.0) {
        return Vec::new();
    }
    let map = Affine::translate(area.center().to_vec2())
        * Affine::scale(scale)
        * Affine::translate(-bounds.center().to_vec2());
    let mut marks = vec![fill(map * pattern.material.path(), ground(pattern.stock))];
    let face = embed::met(print.art.paint(&part.face, &pattern.face, &pattern.planes, &part.id), print.forms);
    marks
        .extend(face.iter().filter_map(|mark| Some(Mark { layer: mark.layer, shape: mark.shape.mapped(map, scale)? })));
    let colours = if part.face.prints() { print.art.line_colours(&part.face) } else { Vec::new() };
    let stroke = |path: BezPath, kind: LineType, width: f64| strokes(&path, kind, width, &colours);
    let inner = |line: &Line, kind: LineType| stroke(map * line.to_path(0.1), kind, INNER);
    marks.extend(pattern.scores.iter().flat_map(|line| inner(line, LineType::Score)));
    marks.extend(pattern.net.hinges.iter().flat_map(|hinge| {
        let kind = match hinge.fold {
            _ if pattern.scores(hinge) => LineType::Score,
            Fold::Valley => LineType::Valley,
            Fold::Mountain => LineType::Mountain,
        };
        inner(&hinge.line, kind)
    }));
    marks.extend(pattern.perforations.iter().flat_map(|line| inner(line, LineType::Perforation)));
    marks.extend(pattern.slits.iter().flat_map(|slit| stroke(map * slit.clone(), LineType::Cut, OUTLINE)));
    marks.extend(pattern.material.contours().flat_map(|contour| stroke(map * contour.path(), LineType::Cut, OUTLINE)));
    marks
}

/// What the bare stock looks like.
fn ground(stock: Stock) -> Colour {
    match stock {
        Stock::Paper => Colour::WHITE,
        Stock::Card => Colour(0xFA, 0xF4, 0xE4),
        Stock::Board => Colour(0xEC, 0xE0, 0xC6),
    }
}

/// A line as on the sheets: over artwork black, with a casing where that is dark.
fn strokes(path: &BezPath, kind: LineType, width: f64, on: &[Colour]) -> Vec<Mark> {
    let pens = if on.is_empty() { vec![kind.pen()] } else { art::pens_on(on, kind) };
    let (line, casing) = (kind.pen().width.get(), width);
    let pens = pens.into_iter().map(|pen| {
        let around = pen.width.get() - line;
        let width = Mm::new(casing + around * 0.5);
        // The pattern of the sheets' lines at half its length, to show on short folds.
        let dashes = if pen.dashes.is_empty() { &[] } else { kind.dashes() };
        let dashes = dashes.iter().map(|multiple| width * (0.5 * *multiple)).collect();
        Pen { width, dashes, ..pen }
    });
    let mark = |pen| Mark { layer: Layer::Artwork, shape: Shape::Stroke { path: path.clone(), pen } };
    pens.map(mark).collect()
}
