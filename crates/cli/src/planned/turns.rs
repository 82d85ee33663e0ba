//! The turns of a plan as drawings and parts.json show them.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::{Bend, TurnPart};
use flatwright_planning::build::TurnTilePlace;
use flatwright_planning::plan::Level;
use flatwright_planning::turns::Turn;
use flatwright_sheets::page::Colour;
use flatwright_sheets::plan_view::ShapeView;
use kurbo::{Point, Vec2};

/// How far tiles are drawn from the lattice and from bends, squares: as those without a bend.
const INSET: f64 = 0.02;
/// Where a spandrel is narrower than this it is not made, mm.
const LEAST_SPANDREL: f64 = 8.0;

/// Line and column of the north-west cell of a turn in the plan's text.
#[must_use]
pub fn in_text(level: &Level, turn: usize) -> (usize, usize) {
    level.turns.get(turn).map_or(level.origin, |turn| {
        let (x, y) = turn.cell();
        level.cell_in_text(x, y)
    })
}

/// The middle line of a bend, in squares from the west and from the north.
#[must_use]
pub fn line(turn: &Turn, bend: Bend, p: &Parameters) -> Vec<(f64, f64)> {
    own_line(bend, p).into_iter().map(|at| placed(turn, at)).collect()
}

/// A tile as it is drawn.
#[must_use]
pub fn shape(turn: &Turn, place: &TurnTilePlace, p: &Parameters, label: String, colour: Colour) -> Option<ShapeView> {
    let bend = place.tile.bend;
    let side = f64::from(bend.reach);
    let line = own_line(bend, p);
    // On the diagonal of its block, where the bend crosses it.
    let crossing = line.windows(2).find_map(|pair| {
        let (a, b) = (pair[0].x - pair[0].y, pair[1].x - pair[1].y);
        (a <= 0.0 && b >= 0.0 && a < b).then(|| pair[0].lerp(pair[1], a / (a - b)).x)
    })?;
    let (outline, middle) = match place.tile.part {
        TurnPart::Fan => {
            let mut outline = vec![Point::new(INSET, INSET)];
            outline.extend(within(&line, INSET));
            (outline, 0.53 * crossing)
        }
        TurnPart::Ring(inner) => {
            let shorter = own_line(Bend { reach: inner, ..bend }, p);
            let inner = shorter.windows(2).find_map(|pair| {
                let (a, b) = (pair[0].x - pair[0].y, pair[1].x - pair[1].y);
                (a <= 0.0 && b >= 0.0 && a < b).then(|| pair[0].lerp(pair[1], a / (a - b)).x)
            })?;
            let mut outline = within(&line, INSET);
            outline.extend(within(&shorter, -INSET).into_iter().rev());
            (outline, f64::midpoint(inner, crossing))
        }
        TurnPart::Spandrel => {
            let least = LEAST_SPANDREL / p.module.get();
            (beyond(&line, side, least), f64::midpoint(crossing, side) + 0.1 * (side - crossing))
        }
    };
    let outline = outline.into_iter().map(|at| placed(turn, at)).collect();
    Some(ShapeView { outline, middle: placed(turn, Point::new(middle, middle)), label, colour })
}

/// A bend in its own frame, in squares.
fn own_line(bend: Bend, p: &Parameters) -> Vec<Point> {
    let m = p.module.get();
    bend.line(p).into_iter().map(|at| Point::new(at.x / m, at.y / m)).collect()
}

/// From the frame of a bend to squares from the west and from the north.
fn placed(turn: &Turn, at: Point) -> (f64, f64) {
    let turned = flatwright_geometry::turn::quarter(turn.turns) * at;
    (turn.at.x as f64 + turned.x, turn.at.y as f64 - turned.y)
}

/// A line so far on the side of the corner (or, where negative, on the other side), between the axes.
fn within(line: &[Point], by: f64) -> Vec<Point> {
    let mut moved = offset(line, by);
    if let [first, .., last] = &mut moved[..] {
        (first.x, last.y) = (INSET, INSET);
    }
    moved
}

/// The spandrel between a line and the far sides, from where it is `least` wide.
fn beyond(line: &[Point], side: f64, least: f64) -> Vec<Point> {
    let far = side - INSET;
    let mut outline: Vec<Point> = Vec::new();
    let moved = offset(line, -INSET);
    let limit = side - least;
    for pair in moved.windows(2) {
        // It falls from the one end, and goes on to the east up to the other.
        if pair[0].y > limit && pair[1].y <= limit {
            let start = pair[0].lerp(pair[1], (pair[0].y - limit) / (pair[0].y - pair[1].y));
            outline.extend([Point::new(start.x, far), start]);
        }
        if pair[0].x < limit && pair[1].x >= limit {
            let end = pair[0].lerp(pair[1], (limit - pair[0].x) / (pair[1].x - pair[0].x));
            outline.extend([end, Point::new(far, end.y)]);
        } else if pair[1].y <= limit && pair[1].x < limit {
            outline.push(pair[1]);
        }
    }
    outline.push(Point::new(far, far));
    outline
}

/// Parallel to a line that turns to the right, on its right for positive distances; mitred.
fn offset(line: &[Point], by: f64) -> Vec<Point> {
    let ways: Vec<Vec2> = line.windows(2).map(|pair| (pair[1] - pair[0]).normalize()).collect();
    let right = |way: Vec2| Vec2::new(way.y, -way.x);
    let at = |i: usize| {
        let (before, after) = (ways[i.saturating_sub(1).min(ways.len() - 1)], ways[i.min(ways.len() - 1)]);
        let sum = right(before) + right(after);
        line[i] + sum * (by * 2.0 / sum.hypot2())
    };
    (0..line.len()).map(at).collect()
}
