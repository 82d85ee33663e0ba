//! A part's flat pattern, small.

use flatwright_geometry::pattern::{Fold, Pattern, Stock};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Line, Rect, Shape as _};

use crate::lines::LineType;
use crate::page::{Colour, Mark, Pen, Shape};
use crate::plan_view::symbols::fill;

/// Small pieces are not drawn larger than this part of their size, so that they look small.
const LARGEST_SCALE: f64 = 0.6;
/// Width of the outline and of all other lines, mm.
const OUTLINE: f64 = 0.28;
const INNER: f64 = 0.2;

/// The pattern in the middle of a box: material, face, folds and cuts, all on the artwork's layer,
/// for none of it is to be cut.
pub(super) fn draw(pattern: &Pattern, face: Option<Colour>, area: Rect) -> Vec<Mark> {
    let bounds = pattern.material.bounds();
    let scale = (area.width() / bounds.width()).min(area.height() / bounds.height()).min(LARGEST_SCALE);
    if !(scale.is_finite() && scale > 0.0) {
        return Vec::new();
    }
    let map = Affine::translate(area.center().to_vec2())
        * Affine::scale(scale)
        * Affine::translate(-bounds.center().to_vec2());
    let mut marks = vec![fill(map * pattern.material.path(), ground(pattern.stock))];
    if let Some(colour) = face {
        marks.extend(pattern.face.iter().map(|region| fill(map * region.path(), colour)));
    }
    let inner = |line: &Line, kind: LineType| stroke(map * line.to_path(0.1), kind, INNER);
    marks.extend(pattern.scores.iter().map(|line| inner(line, LineType::Score)));
    marks.extend(pattern.net.hinges.iter().map(|hinge| {
        let kind = match hinge.fold {
            Fold::Valley => LineType::Valley,
            Fold::Mountain => LineType::Mountain,
        };
        inner(&hinge.line, kind)
    }));
    marks.extend(pattern.perforations.iter().map(|line| inner(line, LineType::Perforation)));
    marks.extend(pattern.slits.iter().map(|slit| stroke(map * slit.clone(), LineType::Cut, OUTLINE)));
    marks.extend(pattern.material.contours().map(|contour| stroke(map * contour.path(), LineType::Cut, OUTLINE)));
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

fn stroke(path: BezPath, kind: LineType, width: f64) -> Mark {
    let pen = kind.pen();
    let width = Mm::new(width);
    // The pattern of the sheets' lines at half its length, to show on short folds.
    let dashes = kind.dashes().iter().map(|multiple| width * (0.5 * *multiple)).collect();
    Mark { layer: crate::page::Layer::Artwork, shape: Shape::Stroke { path, pen: Pen { width, dashes, ..pen } } }
}
