//! How each thing on a plan is drawn, for a square of side `s`, mm.
//!
//! Walls are drawn along the x axis from the origin and then moved, so that each convention is
//! written once. A door swings to the right of its wall's direction (down, for a wall that runs
//! east) unless it is flipped.

use flatwright_geometry::units::Mm;
use kurbo::{Affine, Arc, BezPath, Circle, Line, Point, Rect, RoundedRect, Shape as _, Vec2};

use super::{State, WallKind};
use crate::page::{Colour, Layer, Mark, Pen, Shape};

/// What stands out in a step.
pub(crate) const NEW: Colour = Colour::BLUE;
/// The weakest seam.
pub(crate) const CUT: Colour = Colour::VERMILLION;
const CUT_BAND: Colour = Colour(0xF6, 0xCF, 0xB4);
const WALL: Colour = Colour(0x3B, 0x46, 0x50);
const POST: Colour = Colour(0x20, 0x28, 0x30);
const FADED: Colour = Colour(0xBF, 0xC5, 0xCA);
const BOARD: Colour = Colour(0xE6, 0xD5, 0xB3);
const TIE: Colour = Colour(0xB8, 0x8A, 0x58);

/// Half the thickness of a wall, as a part of a square's side.
pub(crate) const WALL_HALF: f64 = 0.055;
/// Half the side of a post.
pub(crate) const POST_HALF: f64 = 0.1;
/// Half the side of a base plate.
pub(crate) const PLATE_HALF: f64 = 0.19;
/// Half the length of a filler's plate along it.
const FOOT_HALF: f64 = 0.08;
/// Half the length and half the width of a biscuit.
pub(crate) const TIE_HALF: (f64, f64) = (0.105, 0.05);
/// Width of a door or passage.
pub(crate) const DOOR: f64 = 0.36;
/// White around walls and posts, so that they stand out on any floor.
pub(super) const HALO: f64 = 0.018;

/// A colour mixed with white; 0 leaves it, 1 is white.
pub(crate) fn lighter(Colour(r, g, b): Colour, part: f64) -> Colour {
    let mix = |channel: u8| (f64::from(channel) + (255.0 - f64::from(channel)) * part).round() as u8;
    Colour(mix(r), mix(g), mix(b))
}

/// A colour mixed with black.
pub(crate) fn darker(Colour(r, g, b): Colour, part: f64) -> Colour {
    let mix = |channel: u8| (f64::from(channel) * (1.0 - part)).round() as u8;
    Colour(mix(r), mix(g), mix(b))
}

/// What a tile's face is filled with.
pub(crate) fn tile_fill(colour: Colour, state: State) -> Colour {
    match state {
        State::Plain | State::New => colour,
        State::Before => lighter(colour, 0.66),
        State::Later => Colour::WHITE,
    }
}

/// A tile over `rect`, of `across` by `along` squares.
pub(crate) fn tile(rect: Rect, (across, along): (usize, usize), s: f64, colour: Colour, state: State) -> Vec<Mark> {
    let slab = RoundedRect::from_rect(rect.inset(-0.02 * s), 0.07 * s).to_path(0.01);
    if state == State::Later {
        let dash = Mm::new(0.05 * s);
        let pen = Pen { dashes: vec![dash, dash], ..pen(0.012 * s, Colour(0xB4, 0xB4, 0xB4)) };
        return vec![stroke(slab, pen)];
    }
    let edge = match state {
        State::Before => Colour(0xC8, 0xC8, 0xC8),
        State::New => NEW,
        State::Plain | State::Later => darker(colour, 0.45),
    };
    let mut marks = vec![fill(slab.clone(), tile_fill(colour, state))];
    // Short ticks where the squares of a larger tile meet: a whole line would look like a seam.
    let mut ticks = BezPath::new();
    let tick = 0.13 * s;
    for i in 1..across {
        let x = rect.x0 + i as f64 * s;
        segment(&mut ticks, (x, rect.y0 + 0.02 * s), (x, rect.y0 + tick));
        segment(&mut ticks, (x, rect.y1 - tick), (x, rect.y1 - 0.02 * s));
    }
    for i in 1..along {
        let y = rect.y0 + i as f64 * s;
        segment(&mut ticks, (rect.x0 + 0.02 * s, y), (rect.x0 + tick, y));
        segment(&mut ticks, (rect.x1 - tick, y), (rect.x1 - 0.02 * s, y));
    }
    if !ticks.is_empty() {
        marks.push(stroke(ticks, pen(0.012 * s, edge)));
    }
    marks.push(stroke(slab, pen(if state == State::New { 0.045 * s } else { 0.014 * s }, edge)));
    marks
}

/// Band and dashes along an edge of the weakest seam: what lies under ties and walls, and over.
pub(crate) fn cut(from: Point, to: Point, s: f64) -> (Mark, Mark) {
    let line = Line::new(from, to).to_path(0.1);
    let band = stroke(line.clone(), Pen { round: true, ..pen(0.19 * s, CUT_BAND) });
    let (dash, gap) = (Mm::new(0.13 * s), Mm::new(0.12 * s));
    let dashes = stroke(line, Pen { dashes: vec![dash, gap], round: true, ..pen(0.05 * s, CUT) });
    (band, dashes)
}

/// A biscuit in the middle of an edge.
pub(crate) fn biscuit(middle: Point, down: bool, s: f64, state: State) -> Vec<Mark> {
    let (length, width) = (TIE_HALF.0 * s, TIE_HALF.1 * s);
    // Across its seam.
    let half = if down { Vec2::new(length, width) } else { Vec2::new(width, length) };
    let rect = RoundedRect::from_rect(Rect::from_points(middle - half, middle + half), 0.03 * s).to_path(0.01);
    let (colour, edge) = match state {
        State::Plain => (TIE, darker(TIE, 0.4)),
        State::New => (NEW, Colour::WHITE),
        State::Before => (lighter(TIE, 0.6), FADED),
        State::Later => return Vec::new(),
    };
    vec![fill(rect.clone(), colour), stroke(rect, pen(0.012 * s, edge))]
}

/// What walls are drawn in; `None` where they are not there yet.
pub(super) const fn wall_colour(state: State) -> Option<Colour> {
    match state {
        State::Plain => Some(WALL),
        State::New => Some(NEW),
        State::Before => Some(FADED),
        State::Later => None,
    }
}

/// A wall of `span` squares, placed by `motion`.
pub(crate) fn wall(kind: WallKind, span: usize, flip: bool, s: f64, state: State, motion: Affine) -> Vec<Mark> {
    let Some(colour) = wall_colour(state) else { return Vec::new() };
    let motion = if flip { motion * Affine::scale_non_uniform(1.0, -1.0) } else { motion };
    let (length, half) = (span as f64 * s, WALL_HALF * s);
    let bar = |from: f64, to: f64, half: f64| Rect::new(from, -half, to, half).to_path(0.1);
    let thin = pen(0.02 * s, colour);
    let mut marks = Vec::new();
    if let WallKind::Filler { thirds, far } = kind {
        // From its post to its foot.
        let part = length * f64::from(thirds) / 3.0;
        let (from, to, foot) = if far { (length - part, length, length - part) } else { (0.0, part, part) };
        let foot = (foot - FOOT_HALF * s).clamp(from, to - 2.0 * FOOT_HALF * s);
        let plate =
            Rect::new(foot, -PLATE_HALF * s / 1.5, foot + 2.0 * FOOT_HALF * s, PLATE_HALF * s / 1.5).to_path(0.1);
        let pale = state == State::Before;
        marks.push(fill(bar(from, to, half + HALO * s), Colour::WHITE));
        marks.push(fill(plate.clone(), if pale { lighter(BOARD, 0.5) } else { BOARD }));
        marks.push(stroke(plate, pen(0.012 * s, if pale { FADED } else { darker(BOARD, 0.5) })));
        marks.push(fill(bar(from, to, half), colour));
        return marks.into_iter().map(|mark| placed(mark, motion)).collect();
    }
    let width = match kind {
        WallKind::Plain | WallKind::Low | WallKind::Filler { .. } => 0.0,
        WallKind::Door => DOOR * s,
        WallKind::Arch | WallKind::Window | WallKind::Bars => 0.44 * length,
    };
    let (a, b) = ((length - width) / 2.0, f64::midpoint(length, width));
    let halo = HALO * s;
    if width > 0.0 {
        marks.push(fill(bar(0.0, a + halo, half + halo), Colour::WHITE));
        marks.push(fill(bar(b - halo, length, half + halo), Colour::WHITE));
    } else {
        marks.push(fill(bar(0.0, length, half + halo), Colour::WHITE));
    }
    match kind {
        WallKind::Plain | WallKind::Filler { .. } => {}
        WallKind::Low => {
            let mut hatch = BezPath::new();
            let step = 0.09 * s;
            for i in 0..(length / step) as usize {
                let x = i as f64 * step;
                segment(&mut hatch, (x, -half), ((x + 2.0 * half).min(length), half));
            }
            marks.push(stroke(hatch, pen(0.014 * s, colour)));
            marks.push(stroke(bar(0.0, length, half), thin));
        }
        WallKind::Door => {
            let leaf = Rect::new(a - 0.018 * s, -width, a + 0.018 * s, 0.0).to_path(0.1);
            let swing = Arc::new((a, 0.0), (width, width), 0.0, -std::f64::consts::FRAC_PI_2, 0.0).to_path(0.01);
            marks.push(stroke(swing, pen(0.014 * s, colour)));
            marks.push(fill(leaf, colour));
        }
        WallKind::Arch => {
            let (dash, gap) = (Mm::new(0.06 * s), Mm::new(0.04 * s));
            let mut sides = BezPath::new();
            segment(&mut sides, (a, half), (b, half));
            segment(&mut sides, (a, -half), (b, -half));
            marks.push(stroke(sides, Pen { dashes: vec![dash, gap], ..thin.clone() }));
        }
        WallKind::Window => {
            marks.push(fill(bar(a, b, half), Colour::WHITE));
            let mut panes = BezPath::new();
            for y in [-0.4 * half, 0.4 * half] {
                segment(&mut panes, (a, y), (b, y));
            }
            marks.push(stroke(panes, pen(0.014 * s, colour)));
            marks.push(stroke(bar(a, b, half), pen(0.012 * s, colour)));
        }
        WallKind::Bars => {
            marks.push(fill(bar(a, b, half), Colour::WHITE));
            let count = ((b - a) / (0.085 * s)).floor().max(2.0);
            for i in 1..count as usize {
                let x = a + (b - a) * i as f64 / count;
                marks.push(fill(Circle::new((x, 0.0), 0.026 * s).to_path(0.01), colour));
            }
        }
    }
    if width > 0.0 {
        marks.push(fill(bar(0.0, a, half), colour));
        marks.push(fill(bar(b, length, half), colour));
    } else if kind == WallKind::Plain {
        marks.push(fill(bar(0.0, length, half), colour));
    }
    marks.into_iter().map(|mark| placed(mark, motion)).collect()
}

/// A post at a point.
pub(crate) fn post(at: Point, arms: u8, plate: bool, s: f64, state: State) -> Vec<Mark> {
    let colour = match state {
        State::Plain => POST,
        State::New => NEW,
        State::Before => FADED,
        State::Later => return Vec::new(),
    };
    let square = |half: f64, radius: f64| {
        RoundedRect::from_rect(Rect::from_center_size(at, (2.0 * half, 2.0 * half)), radius).to_path(0.01)
    };
    let mut marks = Vec::new();
    if plate {
        let ground = if state == State::Before { lighter(BOARD, 0.5) } else { BOARD };
        let base = square(PLATE_HALF * s, 0.04 * s);
        marks.push(fill(base.clone(), ground));
        marks.push(stroke(base, pen(0.012 * s, if state == State::Before { FADED } else { darker(BOARD, 0.5) })));
    }
    let half = POST_HALF * s;
    marks.push(fill(square(half + HALO * s, 0.02 * s), Colour::WHITE));
    marks.push(fill(square(half, 0.01 * s), colour));
    let mut cross = BezPath::new();
    for (bit, way) in [(0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)].into_iter().enumerate() {
        if arms & (1 << bit) != 0 {
            let end = at + Vec2::from(way) * (0.78 * half);
            segment(&mut cross, (at.x, at.y), (end.x, end.y));
        }
    }
    if !cross.is_empty() {
        marks.push(stroke(cross, Pen { round: true, ..pen(0.034 * s, Colour::WHITE) }));
    }
    marks
}

pub(crate) fn fill(path: BezPath, colour: Colour) -> Mark {
    Mark { layer: Layer::Artwork, shape: Shape::Fill { path, colour } }
}

pub(crate) fn stroke(path: BezPath, pen: Pen) -> Mark {
    Mark { layer: Layer::Artwork, shape: Shape::Stroke { path, pen } }
}

/// A continuous pen; never so thin that a printer drops it.
pub(crate) fn pen(width: f64, colour: Colour) -> Pen {
    Pen { width: Mm::new(width.max(0.1)), colour, dashes: Vec::new(), round: false }
}

pub(crate) fn segment(path: &mut BezPath, from: (f64, f64), to: (f64, f64)) {
    path.move_to(from);
    path.line_to(to);
}

fn placed(mark: Mark, motion: Affine) -> Mark {
    let shape = match mark.shape {
        Shape::Stroke { path, pen } => Shape::Stroke { path: motion * path, pen },
        Shape::Fill { path, colour } => Shape::Fill { path: motion * path, colour },
        other => other,
    };
    Mark { layer: mark.layer, shape }
}
