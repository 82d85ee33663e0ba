//! What stands free on a floor, as it is drawn: its outline, the treads of a stair with an arrow up
//! (common practice of floor plans), the wall on its plate.

use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Circle, Line, Point, Rect, Shape as _, Vec2};

use super::State;
use super::symbols::{NEW, WALL_HALF, darker, fill, lighter, pen, segment, stroke};
use crate::page::{Colour, Mark, Pen};

/// A fitting. Points are in squares, to the east and to the south of the level's north-west corner.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingView {
    /// Identifier of its first piece, such as `PR1`.
    pub label: String,
    /// What it is.
    pub kind: FittingKind,
    /// What it covers of the floor.
    pub outline: Vec<Vec<(f64, f64)>>,
    /// Lines on it: the treads of a stair, a wall on its plate.
    pub lines: Vec<((f64, f64), (f64, f64))>,
    /// The way up a stair, or down where a marker leads.
    pub arrow: Option<((f64, f64), (f64, f64))>,
}

/// What a fitting is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FittingKind {
    /// A prop.
    Prop,
    /// A pillar.
    Pillar,
    /// A wall on a base plate.
    FreeWall,
    /// A flight of stairs.
    Flight,
    /// A half landing.
    Landing,
    /// A marker where a stair leads down.
    Marker,
    /// A roof over what is drawn.
    Roof,
}

const CARD: Colour = Colour(0xFB, 0xF3, 0xDE);
const INK: Colour = Colour(0x4A, 0x40, 0x2C);
/// Over walls and floors alike.
const ROOF: Colour = Colour(0x8A, 0x2B, 0x1E);
const FADED: Colour = Colour(0xBF, 0xC5, 0xCA);

impl FittingView {
    /// All points of it.
    pub(super) fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let lines = self.lines.iter().chain(&self.arrow).flat_map(|(from, to)| [*from, *to]);
        self.outline.iter().flatten().copied().chain(lines)
    }

    /// The rectangle around it in a drawing with squares of side `s`.
    pub(super) fn bounds(&self, s: f64) -> Rect {
        let rect = |point: (f64, f64)| Rect::from_points(at(point, s), at(point, s));
        self.points().map(rect).reduce(|one, other| one.union(other)).unwrap_or_default()
    }

    /// The ends of all its lines in a drawing with squares of side `s`.
    pub(super) fn strokes(&self, s: f64) -> Vec<(Point, Point)> {
        let sides =
            self.outline.iter().flat_map(|ring| (0..ring.len()).map(move |i| (ring[i], ring[(i + 1) % ring.len()])));
        sides.chain(self.lines.iter().copied()).map(|(from, to)| (at(from, s), at(to, s))).collect()
    }

    /// By how much its name stands off its middle, in squares: off the arrow or the wall along it. `None`
    /// where that runs at a slant.
    pub(super) fn aside(&self) -> Option<(f64, f64)> {
        let (line, off) = match self.kind {
            FittingKind::FreeWall => (self.lines.first(), 0.125),
            _ => (self.arrow.as_ref(), 0.2),
        };
        let Some(((x0, y0), (x1, y1))) = line else { return Some((0.0, 0.0)) };
        match ((x1 - x0).abs() < 1e-6, (y1 - y0).abs() < 1e-6) {
            (_, true) => Some((0.0, off)),
            (true, _) => Some((off, 0.0)),
            _ => None,
        }
    }
}

fn at((x, y): (f64, f64), s: f64) -> Point {
    Point::new(x * s, -y * s)
}

/// A fitting in a drawing with squares of side `s`.
pub(super) fn draw(fitting: &FittingView, s: f64, state: State) -> Vec<Mark> {
    let (ground, ink) = match state {
        State::Plain => (CARD, INK),
        State::New => (lighter(NEW, 0.85), NEW),
        State::Before => (lighter(CARD, 0.5), FADED),
        State::Later => return Vec::new(),
    };
    let mut outline = BezPath::new();
    for ring in &fitting.outline {
        for (i, point) in ring.iter().enumerate() {
            if i == 0 { outline.move_to(at(*point, s)) } else { outline.line_to(at(*point, s)) }
        }
        outline.close_path();
    }
    let mut lines = BezPath::new();
    for (from, to) in &fitting.lines {
        let (from, to) = (at(*from, s), at(*to, s));
        segment(&mut lines, from.into(), to.into());
    }
    if fitting.kind == FittingKind::Roof {
        let dash = Mm::new(0.07 * s);
        let ink = if state == State::Plain { ROOF } else { ink };
        let line = Pen { dashes: vec![dash, dash], ..pen(0.02 * s, ink) };
        return vec![stroke(outline, line.clone()), stroke(lines, line)];
    }
    let edge = pen(if state == State::New { 0.035 * s } else { 0.018 * s }, ink);
    let mut marks = vec![fill(outline.clone(), ground)];
    match fitting.kind {
        FittingKind::FreeWall => {
            marks.push(stroke(outline, pen(0.012 * s, ink)));
            marks.push(stroke(lines, pen(1.4 * WALL_HALF * s, ink)));
        }
        FittingKind::Marker => {
            let dash = Mm::new(0.05 * s);
            marks.push(stroke(lines, pen(0.012 * s, ink)));
            marks.push(stroke(outline, Pen { dashes: vec![dash, dash], ..edge }));
        }
        FittingKind::Pillar => {
            marks.push(fill(outline.clone(), if state == State::Plain { darker(CARD, 0.25) } else { ground }));
            marks.push(stroke(outline, edge));
        }
        FittingKind::Prop | FittingKind::Flight | FittingKind::Landing | FittingKind::Roof => {
            if !lines.is_empty() {
                marks.push(stroke(lines, pen(0.012 * s, ink)));
            }
            marks.push(stroke(outline, edge));
        }
    }
    marks.extend(fitting.arrow.iter().flat_map(|(from, to)| arrow(at(*from, s), at(*to, s), s, ink)));
    marks
}

/// A dot where a stair begins, a line along it, and a point at its end.
fn arrow(from: Point, to: Point, s: f64, ink: Colour) -> Vec<Mark> {
    let way = (to - from).normalize();
    let across = Vec2::new(-way.y, way.x);
    let (long, wide) = (0.12 * s, 0.05 * s);
    let mut head = BezPath::new();
    head.move_to(to);
    head.line_to(to - way * long + across * wide);
    head.line_to(to - way * long - across * wide);
    head.close_path();
    vec![
        stroke(Line::new(from, to - way * (0.5 * long)).to_path(0.1), pen(0.022 * s, ink)),
        fill(Circle::new(from, 0.028 * s).to_path(0.01), ink),
        fill(head, ink),
    ]
}

/// Names and samples of the kinds that there are, each `wide` mm wide, its left middle at the origin.
pub(super) fn legend(has: &dyn Fn(FittingKind) -> bool, wide: f64) -> Vec<(&'static str, Vec<Mark>)> {
    const SIDE: f64 = 10.0;
    const KINDS: [(FittingKind, &str); 7] = [
        (FittingKind::Prop, "prop"),
        (FittingKind::Pillar, "pillar"),
        (FittingKind::FreeWall, "free-standing wall"),
        (FittingKind::Flight, "stair, the arrow points up"),
        (FittingKind::Landing, "half landing"),
        (FittingKind::Marker, "stair that leads down"),
        (FittingKind::Roof, "roof above"),
    ];
    let rectangle = |x: f64, y: f64| vec![vec![(-x, -y), (x, -y), (x, y), (-x, y)]];
    let sample = |kind: FittingKind| {
        let stair = matches!(kind, FittingKind::Flight | FittingKind::Marker);
        let round = |i: u32| (std::f64::consts::FRAC_PI_8 * f64::from(2 * i + 1)).sin_cos();
        let outline = match kind {
            FittingKind::Pillar => vec![(0..8).map(|i| (0.2 * round(i).1, 0.2 * round(i).0)).collect()],
            FittingKind::FreeWall => rectangle(0.38, 0.2),
            FittingKind::Prop => rectangle(0.22, 0.18),
            _ => rectangle(0.4, 0.2),
        };
        let lines = match kind {
            FittingKind::FreeWall => vec![((-0.38, 0.0), (0.38, 0.0))],
            FittingKind::Roof => vec![((-0.2, 0.0), (0.2, 0.0))],
            _ if stair => (-2..=2).map(|i| f64::from(i) * 0.133).map(|x| ((x, -0.2), (x, 0.2))).collect(),
            _ => Vec::new(),
        };
        let arrow = stair.then_some(((-0.33, 0.0), (0.36, 0.0)));
        let middle = |(x, y): (f64, f64)| (x + wide / 2.0 / SIDE, y);
        FittingView {
            label: String::new(),
            kind,
            outline: outline.into_iter().map(|ring: Vec<_>| ring.into_iter().map(middle).collect()).collect(),
            lines: lines.into_iter().map(|(from, to)| (middle(from), middle(to))).collect(),
            arrow: arrow.map(|(from, to)| (middle(from), middle(to))),
        }
    };
    let kinds = KINDS.into_iter().filter(|(kind, _)| has(*kind));
    kinds.map(|(kind, name)| (name, draw(&sample(kind), SIDE, State::Plain))).collect()
}
