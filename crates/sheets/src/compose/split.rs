//! Splitting a piece that fits no page: straight across, with a tab under the other half.
//!
//! The first half keeps a tab as wide as the overlap, hatched for glue; the second half is cut at
//! the line and glued onto it. Along the line stand two pairs of triangles and a letter: on the
//! tab, and in the waste beyond the other half's edge with a tick that reaches into it, so that
//! the marks are still there when the waste is gone.

use flatwright_geometry::pattern::{Fold, LabelSpot};
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::turn::quarter;
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Line, PathSeg, Point, Rect};

use super::flat::{Flat, area};
use super::unit::Unit;
use crate::furniture::style;
use crate::page::{Layer, Mark, Pen, Shape};

/// How often a piece is cut on the way to one half: eight halves each way are more than anyone
/// wants to join.
const DEEPEST: u32 = 6;
/// How far the marks of the second half reach into its waste, mm.
const WASTE: f64 = 5.0;

/// The halves of a drawing, each of which fits; `None` where no straight line leaves both halves
/// in one piece and fitting.
///
/// `make` gives the unit of a drawing, `fits` says whether a page holds it.
pub(super) fn split(
    whole: Flat,
    overlap: Mm,
    make: &dyn Fn(Flat) -> Unit,
    fits: &dyn Fn(&Unit) -> bool,
) -> Option<Vec<Unit>> {
    let id = whole.id.clone();
    // The letter is there while halves are measured, for the label's sake.
    let whole = Flat { id: format!("{id}a"), ..whole };
    let mut joints = 0;
    let flats = divide(whole, overlap, &mut joints, 0, &|flat| fits(&make(flat.clone())))?;
    let named = |(number, flat)| make(Flat { id: format!("{id}{}", letter(number)), ..flat });
    Some(flats.into_iter().enumerate().map(named).collect())
}

/// Cuts off what fits, or halves, until every part fits.
fn divide(flat: Flat, overlap: Mm, joints: &mut u8, depth: u32, fits: &dyn Fn(&Flat) -> bool) -> Option<Vec<Flat>> {
    if fits(&flat) {
        return Some(vec![flat]);
    }
    if depth == DEEPEST {
        return None;
    }
    let joint = *joints;
    *joints = joints.checked_add(1)?;
    let halves =
        |shares: u32| cuts(&flat, overlap, shares).into_iter().find_map(|cut| halves(&flat, cut, overlap, joint));
    // As few parts as will do: two, else a third of three, ... else two that are divided again.
    let (first, second) = (2..=6).filter_map(halves).find(|(first, _)| fits(first)).or_else(|| halves(2))?;
    let mut all = divide(first, overlap, joints, depth + 1, fits)?;
    all.extend(divide(second, overlap, joints, depth + 1, fits)?);
    Some(all)
}

fn letter(number: usize) -> char {
    char::from(b'a' + u8::try_from(number.min(25)).unwrap_or(25))
}

/// A straight cut: at `at` across x, or across y.
#[derive(Clone, Copy, Debug)]
struct Cut {
    at: f64,
    across_x: bool,
}

/// Cuts to try on a grid of 2 mm: across the long side first, nearest to one of `shares` equal parts
/// first.
fn cuts(flat: &Flat, overlap: Mm, shares: u32) -> Vec<Cut> {
    let bounds = flat.material.bounds();
    let mut sides = [(bounds.x0, bounds.x1, true), (bounds.y0, bounds.y1, false)];
    if bounds.height() > bounds.width() {
        sides.swap(0, 1);
    }
    let mut cuts = Vec::new();
    for (from, to, across_x) in sides {
        let (first, last) = (from + overlap.get(), to - 2.0 * overlap.get());
        let target = from + (to - from) / f64::from(shares);
        let count = ((last - first) / 2.0).clamp(0.0, 2000.0) as usize;
        let mut places: Vec<f64> = (0..=count).map(|i| first + 2.0 * i as f64).chain([target]).collect();
        places.retain(|at| (first..=last).contains(at));
        places.sort_by(|a, b| (a - target).abs().total_cmp(&(b - target).abs()).then(a.total_cmp(b)));
        cuts.extend(places.into_iter().map(|at| Cut { at, across_x }));
    }
    cuts
}

/// Both sides of a cut, or `None` where one of them falls apart.
fn halves(flat: &Flat, cut: Cut, overlap: Mm, joint: u8) -> Option<(Flat, Flat)> {
    let bounds = flat.material.bounds().inflate(50.0, 50.0);
    let part = |from: f64, to: f64| {
        if cut.across_x { Rect { x0: from, x1: to, ..bounds } } else { Rect { y0: from, y1: to, ..bounds } }
    };
    let (low, high) = if cut.across_x { (bounds.x0, bounds.x1) } else { (bounds.y0, bounds.y1) };
    let end = cut.at + overlap.get();
    // A fold that runs along the joint would be glued flat.
    let along = |line: &Line| {
        let (a, b) = if cut.across_x { (line.p0.x, line.p1.x) } else { (line.p0.y, line.p1.y) };
        a.max(b) > cut.at - 3.0 && a.min(b) < end + 3.0 && (a - b).abs() < (line.p1 - line.p0).hypot() * 0.7
    };
    if flat.folds.iter().any(|(_, line)| along(line)) {
        return None;
    }
    let mut first = clip(flat, part(low, end))?;
    let mut second = clip(flat, part(cut.at, high))?;

    let inside = area(part(low, cut.at))?;
    first.face = region::intersection(&first.face, std::slice::from_ref(&inside));
    first.glue = region::intersection(&first.glue, &[inside]);
    let tab = area(part(cut.at, end))?;
    let tab = region::intersection(std::slice::from_ref(&first.material), &[tab]);
    first.glue.extend(tab.clone());

    let marks = places(&tab, cut);
    for (i, &place) in marks.iter().enumerate() {
        let (on_tab, in_waste, waste) = joint_marks(place, cut, joint, i == 0);
        for (half, side) in [(&mut first, on_tab), (&mut second, in_waste)] {
            half.joints.extend(side.marks);
            half.joint_letters.extend(side.letters);
        }
        second.joint_areas.push(waste);
    }
    Some((first, second))
}

/// What of a drawing lies within a rectangle; `None` where its material does not stay in one
/// piece.
fn clip(flat: &Flat, rect: Rect) -> Option<Flat> {
    let window = area(rect)?;
    let window = std::slice::from_ref(&window);
    let material = region::intersection(std::slice::from_ref(&flat.material), window);
    let [material] = <[Region; 1]>::try_from(material).ok()?;
    let lines = |lines: &[Line]| lines.iter().filter_map(|line| clipped(*line, rect)).collect::<Vec<_>>();
    let spot = |spot: &LabelSpot| {
        let rect = spot.rect.intersect(rect);
        (rect.width() > 2.0 && rect.height() > 2.0).then_some(LabelSpot { rect, ..*spot })
    };
    let folds: Vec<(Fold, Line)> =
        flat.folds.iter().filter_map(|(fold, line)| clipped(*line, rect).map(|line| (*fold, line))).collect();
    let inside = |area: &&Rect| rect.contains(area.center());
    Some(Flat {
        part: flat.part,
        id: flat.id.clone(),
        name: flat.name.clone(),
        material,
        slits: flat.slits.iter().flat_map(|slit| clipped_path(slit, rect)).collect(),
        folds,
        scores: lines(&flat.scores),
        perforations: lines(&flat.perforations),
        glue: region::intersection(&flat.glue, window),
        face: region::intersection(&flat.face, window),
        planes: flat.planes.clone(),
        spots: flat.spots.iter().filter_map(spot).collect(),
        joints: flat.joints.iter().filter(|mark| rect.contains(anchor(mark))).cloned().collect(),
        joint_letters: flat.joint_letters.iter().filter(|(_, at)| rect.contains(*at)).cloned().collect(),
        joint_areas: flat.joint_areas.iter().filter(inside).copied().collect(),
    })
}

/// The part of a segment within a rectangle (Liang and Barsky 1984); `None` where it has no length.
pub(super) fn clipped(line: Line, rect: Rect) -> Option<Line> {
    let d = line.p1 - line.p0;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (-d.x, line.p0.x - rect.x0),
        (d.x, rect.x1 - line.p0.x),
        (-d.y, line.p0.y - rect.y0),
        (d.y, rect.y1 - line.p0.y),
    ];
    for (slope, room) in edges {
        if slope == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if slope < 0.0 {
            enter = enter.max(room / slope);
        } else {
            leave = leave.min(room / slope);
        }
    }
    (leave - enter > 1e-9).then(|| Line::new(line.p0 + d * enter, line.p0 + d * leave))
}

/// The parts of a path within a rectangle, curves flattened.
fn clipped_path(path: &BezPath, rect: Rect) -> Vec<BezPath> {
    let mut flat = BezPath::new();
    kurbo::flatten(path, flatwright_geometry::tolerance::CHORD, |element| flat.push(element));
    let mut paths: Vec<BezPath> = Vec::new();
    let mut last: Option<Point> = None;
    for segment in flat.segments() {
        let PathSeg::Line(line) = segment else { continue };
        let Some(piece) = clipped(line, rect) else { continue };
        match (last, paths.last_mut()) {
            (Some(end), Some(path)) if end == piece.p0 => path.line_to(piece.p1),
            _ => {
                let mut path = BezPath::new();
                path.move_to(piece.p0);
                path.line_to(piece.p1);
                paths.push(path);
            }
        }
        last = Some(piece.p1);
    }
    paths
}

/// Where the two pairs of marks stand along the cut: a quarter and three quarters along the widest
/// stretch of the tab, pattern coordinates.
fn places(tab: &[Region], cut: Cut) -> Vec<Point> {
    let reach = |region: &Region| {
        let b = region.bounds();
        if cut.across_x { (b.y0, b.y1) } else { (b.x0, b.x1) }
    };
    let widest = tab.iter().map(reach).max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
    let Some((from, to)) = widest else { return Vec::new() };
    let at = |share: f64| {
        let along = from + (to - from) * share;
        if cut.across_x { Point::new(cut.at, along) } else { Point::new(along, cut.at) }
    };
    vec![at(0.25), at(0.75)]
}

/// What is printed on one side of a joint.
struct Side {
    marks: Vec<Mark>,
    letters: Vec<(String, Point)>,
}

/// The marks of one place: on the tab of the first half, in the waste of the second, and the waste
/// that those need.
fn joint_marks(place: Point, cut: Cut, joint: u8, lettered: bool) -> (Side, Side, Rect) {
    // Local axes: x across the cut towards the second half, y along it.
    let frame = Affine::translate(place.to_vec2()) * quarter(u32::from(!cut.across_x));
    let letter = char::from(b'A' + joint % 26).to_string();
    let triangle = |towards: f64| {
        let mut path = BezPath::new();
        path.move_to(frame * Point::new(0.0, 0.0));
        path.line_to(frame * Point::new(towards * 2.4, 1.2));
        path.line_to(frame * Point::new(towards * 2.4, -1.2));
        path.close_path();
        Mark { layer: Layer::Labels, shape: Shape::Fill { path, colour: style::INK } }
    };
    let stroke = |from: (f64, f64), to: (f64, f64)| {
        let mut path = BezPath::new();
        path.move_to(frame * Point::from(from));
        path.line_to(frame * Point::from(to));
        let pen = Pen { width: Mm::new(0.18), colour: style::INK, dashes: Vec::new(), round: false };
        Mark { layer: Layer::Labels, shape: Shape::Stroke { path, pen } }
    };
    let on_tab = vec![triangle(1.0), stroke((0.0, -8.0), (0.0, 8.0))];
    let in_waste = vec![triangle(-1.0), stroke((0.0, 0.0), (1.2, 0.0))];
    let letters = |towards: f64| {
        let centre = frame * Point::new(towards * 1.8, 2.9);
        if lettered { vec![(letter.clone(), centre)] } else { Vec::new() }
    };
    let side = |marks, towards| Side { marks, letters: letters(towards) };
    let (on_tab, in_waste) = (side(on_tab, 1.0), side(in_waste, -1.0));
    let waste = frame.transform_rect_bbox(Rect::new(-WASTE, -5.5, 0.5, 5.5));
    (on_tab, in_waste, waste)
}

/// A point that tells on which side of a later cut a joint mark is.
fn anchor(mark: &Mark) -> Point {
    match &mark.shape {
        Shape::Stroke { path, .. } | Shape::Fill { path, .. } | Shape::Clip { path, .. } => {
            kurbo::Shape::bounding_box(path).center()
        }
        Shape::Text(text) => text.at,
        Shape::Place { motion, .. } | Shape::Image { motion, .. } => *motion * Point::ORIGIN,
    }
}
