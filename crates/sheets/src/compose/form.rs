//! A drawing's marks: artwork, glue, scores, folds, perforations, cuts.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::Fold;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Line, ParamCurve as _, Point, Rect, Shape as _};

use super::Part;
use super::flat::area;
use super::unit::Unit;
use crate::art::{self, Forms};
use crate::lines::{HATCH_PITCH, LineType};
use crate::page::{Colour, Form, Layer, Mark, Pen, Shape};

/// The form of a unit. Its label is not in it: it must read the same way however the piece is
/// turned, so it is set on the page.
pub(super) fn form(unit: &Unit, part: &Part, art: &Forms<'_>, bleed: Mm) -> Form {
    let flat = &unit.flat;
    let printed = flat.printed(bleed);
    let mut marks = art.paint(&part.face, &printed, &flat.planes, &part.id);
    let lines = Lines { on: &printed, pens: art.line_colours(&part.face) };
    // The hatch spares label and arrow; its outline does not show behind artwork anyway.
    let rooms = [Some(unit.label.room), unit.arrow.map(|arrow| arrow.room)];
    let label: Vec<Region> = rooms.into_iter().flatten().filter_map(area).collect();
    for glue in &flat.glue {
        let open = region::difference(std::slice::from_ref(glue), &label);
        let hatch = hatch(&open, HATCH_PITCH);
        if !hatch.is_empty() {
            let pen = lines.hatch(&hatch);
            marks.push(Mark { layer: Layer::Gluing, shape: Shape::Stroke { path: hatch, pen } });
        }
        marks.extend(glue.contours().flat_map(|contour| lines.stroke(LineType::Glue, contour.path())));
    }
    marks.extend(flat.scores.iter().flat_map(|line| lines.segment(LineType::Score, *line)));
    for (fold, line) in &flat.folds {
        let kind = match fold {
            Fold::Valley => LineType::Valley,
            Fold::Mountain => LineType::Mountain,
        };
        marks.extend(lines.segment(kind, *line));
    }
    marks.extend(flat.perforations.iter().flat_map(|line| lines.segment(LineType::Perforation, *line)));
    marks.extend(flat.slits.iter().flat_map(|slit| lines.stroke(LineType::Cut, slit.clone())));
    let contours = flat.tool_contours(unit.kerf);
    let cuts = contours.iter().flat_map(Region::contours);
    marks.extend(cuts.flat_map(|contour| lines.stroke(LineType::Cut, contour.path())));
    marks.extend(flat.joints.iter().cloned());

    let areas = printed.iter().chain(&contours).map(Region::bounds).chain(flat.joint_areas.iter().copied());
    // Half the widest line, with mitred corners.
    let bounds = areas.reduce(|a, b| a.union(b)).unwrap_or_default().inflate(0.6, 0.6);
    Form { id: flat.id.clone(), bounds, marks }
}

/// How lines of a piece are drawn: where they cross its artwork, so that they stand out from it.
struct Lines<'a> {
    on: &'a [Region],
    /// Colours of the artwork; none where there is none.
    pens: Vec<Colour>,
}

impl Lines<'_> {
    fn segment(&self, kind: LineType, line: Line) -> Vec<Mark> {
        self.stroke(kind, line.into_path(0.1))
    }

    /// The pen of a hatch: black where any of it lies on artwork, which no colour can hide.
    fn hatch(&self, path: &BezPath) -> Pen {
        let on_artwork = !self.pens.is_empty() && self.crosses(path);
        Pen { colour: if on_artwork { Colour::BLACK } else { LineType::hatch().colour }, ..LineType::hatch() }
    }

    fn stroke(&self, kind: LineType, path: BezPath) -> Vec<Mark> {
        if self.pens.is_empty() || !self.crosses(&path) {
            return vec![stroke(kind, path)];
        }
        let pens = art::pens_on(&self.pens, kind);
        let last = pens.len() - 1;
        // The casing is artwork: a tool follows the line alone.
        let layer = |i: usize| if i == last { kind.layer() } else { Layer::Artwork };
        let mark = |(i, pen)| Mark { layer: layer(i), shape: Shape::Stroke { path: path.clone(), pen } };
        pens.into_iter().enumerate().map(mark).collect()
    }

    /// Whether any corner of the path, or the middle of any of its sides, lies on artwork.
    fn crosses(&self, path: &BezPath) -> bool {
        let inside = |point: Point| self.on.iter().any(|region| region.contains(point));
        path.segments().any(|segment| [0.0, 0.5, 1.0].into_iter().any(|t| inside(segment.eval(t))))
    }
}

fn stroke(kind: LineType, path: BezPath) -> Mark {
    Mark { layer: kind.layer(), shape: Shape::Stroke { path, pen: kind.pen() } }
}

/// Parallel lines at 45 degrees, `pitch` apart, where the regions are. Neighbouring regions share
/// their lines, for these are counted from the origin.
fn hatch(regions: &[Region], pitch: Mm) -> BezPath {
    let turn = Affine::rotate(-std::f64::consts::FRAC_PI_4);
    let back = Affine::rotate(std::f64::consts::FRAC_PI_4);
    let mut path = BezPath::new();
    for region in regions {
        let sides: Vec<(Point, Point)> =
            region.contours().flat_map(Contour::sides).map(|(a, b)| (turn * a, turn * b)).collect();
        let bounds = sides.iter().fold(Rect::from_points(sides[0].0, sides[0].1), |r, (a, _)| r.union_pt(*a));
        let mut row = (bounds.y0 / pitch.get()).ceil();
        while row * pitch.get() < bounds.y1 {
            let y = row * pitch.get();
            // Even-odd: a line is inside between its first and second crossing, and so on.
            let mut crossings: Vec<f64> = sides
                .iter()
                .filter(|(a, b)| (a.y <= y) != (b.y <= y))
                .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
                .collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2).filter(|pair| pair[1] - pair[0] > 0.3) {
                path.move_to(back * Point::new(pair[0], y));
                path.line_to(back * Point::new(pair[1], y));
            }
            row += 1.0;
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines of a hatch are as long together as the area over the pitch, to the edges' share.
    #[test]
    fn a_hatch_covers_its_area_and_spares_holes() {
        let outer = area(Rect::new(0.0, 0.0, 80.0, 60.0)).unwrap();
        let hole = area(Rect::new(20.0, 20.0, 50.0, 50.0)).unwrap();
        let region = region::difference(&[outer], &[hole]);
        let path = hatch(&region, Mm::new(2.0));
        let length: f64 = path.segments().map(|segment| kurbo::ParamCurveArclen::arclen(&segment, 1e-9)).sum();
        let expected = (80.0 * 60.0 - 30.0 * 30.0) / 2.0;
        assert!((length / expected - 1.0).abs() < 0.02, "{length} against {expected}");
        for segment in path.segments() {
            let middle = kurbo::ParamCurve::eval(&segment, 0.5);
            assert!(region[0].contains(middle), "{middle:?}");
        }
    }
}
