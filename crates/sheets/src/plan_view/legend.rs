//! What the symbols of a plan mean: those that it has, in a paragraph of samples and names.

use flatwright_geometry::units::Mm;
use kurbo::{Affine, Circle, Point, Rect, Shape as _, Vec2};

use super::{LevelView, State, WallKind, fitting, symbols};
use crate::furniture::marks::{Face, moved, text};
use crate::furniture::style;
use crate::page::{Align, Colour, Layer, Mark};

pub(crate) const FACE: Face = Face::regular(Mm::new(3.0));
/// Height of a row, mm.
pub(crate) const ROW: f64 = 5.4;
/// Width of a sample.
const SAMPLE: f64 = 8.5;
const GAP: f64 = 1.6;
const BETWEEN: f64 = 5.0;
/// Side of the square for which samples are drawn.
const SIDE: f64 = 14.0;

/// Rows of samples within `width`, mm, below and to the right of the origin, and their height.
pub(crate) fn draw(levels: &[&LevelView], width: f64) -> (Vec<Mark>, f64) {
    let mut marks = Vec::new();
    let (mut x, mut row) = (0.0, 0.0);
    for (name, sample) in entries(levels) {
        let wide = SAMPLE + GAP + FACE.width(name);
        if x > 0.0 && x + wide > width {
            (x, row) = (0.0, row + 1.0);
        }
        let middle = -(row + 0.5) * ROW;
        marks.extend(moved(&sample, Vec2::new(x, middle)));
        let at = Point::new(x + SAMPLE + GAP, middle - 0.36 * FACE.size.get());
        marks.push(text(at, name, FACE, Align::Start));
        x += wide + BETWEEN;
    }
    let height = if marks.is_empty() { 0.0 } else { (row + 1.0) * ROW };
    (marks, height)
}

/// Where north is: an arrow of this size around its middle.
pub(crate) const COMPASS: (f64, f64) = (9.0, 13.0);

/// The arrow, its middle at `at`.
pub(crate) fn compass(at: Point) -> Vec<Mark> {
    let centre = at - Vec2::new(0.0, 1.8);
    let mut needle = kurbo::BezPath::new();
    needle.move_to(centre + Vec2::new(0.0, 4.2));
    needle.line_to(centre + Vec2::new(-1.9, -3.2));
    needle.line_to(centre + Vec2::new(0.0, -1.9));
    let mut other = needle.clone();
    needle.close_path();
    other.line_to(centre + Vec2::new(1.9, -3.2));
    other.line_to(centre + Vec2::new(0.0, 4.2));
    other.close_path();
    let ink = style::INK;
    let furniture = |mark: Mark| Mark { layer: Layer::Furniture, ..mark };
    vec![
        furniture(symbols::stroke(Circle::new(centre, 4.4).to_path(0.01), symbols::pen(0.2, ink))),
        furniture(symbols::fill(needle, ink)),
        furniture(symbols::stroke(other, symbols::pen(0.2, ink))),
        text(centre + Vec2::new(0.0, 5.1), "N", Face::bold(Mm::new(3.2)), Align::Middle),
    ]
}

/// Names and samples of what a plan has; a sample is `SAMPLE` wide, its left middle at the origin.
fn entries(levels: &[&LevelView]) -> Vec<(&'static str, Vec<Mark>)> {
    let any = |has: &dyn Fn(&LevelView) -> bool| levels.iter().any(|level| has(level));
    let middle = Point::new(SAMPLE / 2.0, 0.0);
    let mut entries = Vec::new();
    if any(&|level| !(level.tiles.is_empty() && level.shapes.is_empty())) {
        let (w, h) = (SAMPLE - 1.0, 4.4);
        let rect = Rect::from_center_size(middle, (w, h));
        entries.push(("tile", symbols::tile(rect, (1, 1), SIDE, Colour(0xCB, 0xD2, 0xCC), State::Plain)));
    }
    if any(&|level| !level.biscuits.is_empty()) {
        entries.push(("biscuit under a seam", symbols::biscuit(middle, true, 2.0 * SIDE, State::Plain)));
    }
    const KINDS: [(WallKind, &str); 6] = [
        (WallKind::Plain, "wall"),
        (WallKind::Door, "door"),
        (WallKind::Arch, "arch"),
        (WallKind::Window, "window"),
        (WallKind::Bars, "bars"),
        (WallKind::Low, "low wall"),
    ];
    for (kind, name) in KINDS {
        let straight = |level: &LevelView| level.walls.iter().any(|wall| wall.kind == kind);
        if any(&|level| straight(level) || level.bends.iter().any(|bend| bend.kind == kind)) {
            // A door's leaf needs room below.
            let lift = if kind == WallKind::Door { 1.3 } else { 0.0 };
            let motion = Affine::translate((0.0, lift));
            entries.push((name, symbols::wall(kind, 1, false, SAMPLE, State::Plain, motion)));
        }
    }
    if any(&|level| level.walls.iter().any(|wall| matches!(wall.kind, WallKind::Filler { .. }))) {
        let kind = WallKind::Filler { thirds: 2, far: false };
        entries.push(("filler on a base plate", symbols::wall(kind, 1, false, SAMPLE, State::Plain, Affine::IDENTITY)));
    }
    if any(&|level| level.posts.iter().any(|post| !post.plate)) {
        entries.push(("post", symbols::post(middle, 0b1111, false, SIDE, State::Plain)));
    }
    if any(&|level| level.posts.iter().any(|post| post.plate)) {
        entries.push(("post on a base plate", symbols::post(middle, 0b1111, true, 0.8 * SIDE, State::Plain)));
    }
    entries.extend(fitting::legend(
        &|kind| any(&|level| level.fittings.iter().any(|fitting| fitting.kind == kind)),
        SAMPLE,
    ));
    if any(&|level| !level.cut.is_empty()) {
        let (band, dashes) = symbols::cut(Point::new(1.5, 0.0), Point::new(SAMPLE - 1.5, 0.0), 10.0);
        entries.push(("weakest seam", vec![band, dashes]));
    }
    entries
}
