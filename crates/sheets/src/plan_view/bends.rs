//! What leaves the lattice: tiles with a bent side, and the walls on bends.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Circle, Point, Rect, Shape as _, Vec2};

use super::symbols::{HALO, NEW, WALL_HALF, darker, fill, pen, stroke, tile_fill, wall_colour};
use super::{BendView, ShapeView, State, WallKind};
use crate::page::{Colour, Mark, Pen};

/// Part of a bent wall that its opening takes in the drawing.
const OPENING: f64 = 0.36;

/// A place in squares from the west and from the north, with squares of side `s`.
fn point(&(x, y): &(f64, f64), s: f64) -> Point {
    Point::new(x * s, -y * s)
}

/// The outline of a tile, closed.
pub(super) fn outline(shape: &ShapeView, s: f64) -> BezPath {
    let mut path = polyline(&shape.outline.iter().map(|at| point(at, s)).collect::<Vec<_>>());
    path.close_path();
    path
}

/// A tile with a bent side.
pub(super) fn shape(shape: &ShapeView, s: f64, state: State) -> Vec<Mark> {
    let path = outline(shape, s);
    if state == State::Later {
        let dash = Mm::new(0.05 * s);
        return vec![stroke(path, Pen { dashes: vec![dash, dash], ..pen(0.012 * s, Colour(0xB4, 0xB4, 0xB4)) })];
    }
    let edge = match state {
        State::Before => Colour(0xC8, 0xC8, 0xC8),
        State::New => NEW,
        State::Plain | State::Later => darker(shape.colour, 0.45),
    };
    let wide = if state == State::New { 0.045 } else { 0.014 };
    vec![fill(path.clone(), tile_fill(shape.colour, state)), stroke(path, pen(wide * s, edge))]
}

/// A wall on a bend.
pub(super) fn wall(bend: &BendView, s: f64, state: State) -> Vec<Mark> {
    let Some(colour) = wall_colour(state) else { return Vec::new() };
    let line: Vec<Point> = bend.line.iter().map(|at| point(at, s)).collect();
    let (length, full) = (length(&line), 2.0 * WALL_HALF * s);
    let thick =
        |from: f64, to: f64, width: f64, colour: Colour| stroke(polyline(&part(&line, from, to)), pen(width, colour));
    let mut marks = vec![thick(0.0, length, full + 2.0 * HALO * s, Colour::WHITE)];
    let (a, b) = match bend.kind {
        WallKind::Plain => (length, length),
        WallKind::Low => (0.0, length),
        _ => (length * (0.5 - OPENING / 2.0), length * (0.5 + OPENING / 2.0)),
    };
    marks.extend(
        [(0.0, a), (b, length)]
            .into_iter()
            .filter(|(from, to)| to > from)
            .map(|(from, to)| thick(from, to, full, colour)),
    );
    let inner = full - 0.03 * s;
    let dashed = |width: f64, dash: f64, gap: f64, round: bool| {
        let dashes = vec![Mm::new(dash * s), Mm::new(gap * s)];
        stroke(polyline(&part(&line, a, b)), Pen { dashes, round, ..pen(width, colour) })
    };
    match bend.kind {
        // Fillers stand on no bend.
        WallKind::Plain | WallKind::Filler { .. } => {}
        WallKind::Window => {
            marks.extend([thick(a, b, full, colour), thick(a, b, inner, Colour::WHITE), thick(a, b, 0.02 * s, colour)]);
        }
        WallKind::Low => {
            marks.extend([
                thick(a, b, full, colour),
                thick(a, b, inner, Colour::WHITE),
                dashed(inner, 0.014, 0.076, false),
            ]);
        }
        WallKind::Arch | WallKind::Door => {
            marks.extend([dashed(full, 0.06, 0.04, false), thick(a, b, inner, Colour::WHITE)]);
        }
        WallKind::Bars => {
            let count = ((b - a) / (0.085 * s)).floor().max(2.0);
            let dots = (1..count as usize).map(|i| at(&line, a + (b - a) * i as f64 / count).0);
            marks.extend(dots.map(|dot| fill(Circle::new(dot, 0.026 * s).to_path(0.01), colour)));
        }
    }
    marks
}

/// Where the middle of a name of that size may stand beside a wall on a bend.
pub(super) fn beside(bend: &BendView, s: f64, (width, height): (f64, f64)) -> Vec<(Point, bool)> {
    let line: Vec<Point> = bend.line.iter().map(|at| point(at, s)).collect();
    let length = length(&line);
    // Outside first: the floor within a bend is small.
    let spots = [1.0, -1.0].into_iter().flat_map(|side| {
        let line = &line;
        [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].map(move |share| {
            let (middle, way) = at(line, share * length);
            let out = Vec2::new(-way.y, way.x) * side;
            let off = (WALL_HALF + 0.05) * s + (out.x.abs() * width + out.y.abs() * height) / 2.0;
            (middle + out * off, false)
        })
    });
    spots.collect()
}

/// Areas that a wall on a bend covers.
pub(super) fn areas(bend: &BendView, s: f64) -> Vec<Rect> {
    let line: Vec<Point> = bend.line.iter().map(|at| point(at, s)).collect();
    let length = length(&line);
    let count = (length / (0.12 * s)).ceil().max(1.0) as usize;
    let half = (WALL_HALF + 0.01) * s;
    let along = (0..=count).map(|i| at(&line, length * i as f64 / count as f64).0);
    along.map(|middle| Rect::from_center_size(middle, (2.0 * half, 2.0 * half))).collect()
}

fn polyline(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, at) in points.iter().enumerate() {
        if i == 0 { path.move_to(*at) } else { path.line_to(*at) }
    }
    path
}

fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// The place so far along a line, and its direction there.
fn at(line: &[Point], along: f64) -> (Point, Vec2) {
    let mut left = along;
    let mut last = (Point::ORIGIN, Vec2::new(1.0, 0.0));
    for pair in line.windows(2) {
        let long = pair[0].distance(pair[1]);
        let way = if long > 0.0 { (pair[1] - pair[0]) / long } else { last.1 };
        if left <= long {
            return (pair[0] + way * left, way);
        }
        left -= long;
        last = (pair[1], way);
    }
    last
}

/// The piece of a line between two lengths along it.
fn part(line: &[Point], from: f64, to: f64) -> Vec<Point> {
    let mut points = vec![at(line, from).0];
    let mut along = 0.0;
    for pair in line.windows(2) {
        along += pair[0].distance(pair[1]);
        if along > from && along < to {
            points.push(pair[1]);
        }
    }
    points.push(at(line, to).0);
    points
}
