//! The turns of a plan as drawings and parts.json show them.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::{Bend, TurnPart};
use flatwright_planning::assemble::Spot;
use flatwright_planning::build::TurnTilePlace;
use flatwright_planning::plan::Level;
use flatwright_planning::turns::{Turn, part_name};
use flatwright_sheets::page::Colour;
use flatwright_sheets::plan_view::ShapeView;
use kurbo::Point;
use schemars::JsonSchema;
use serde::Serialize;

use super::{Planned, pair};

/// How far tiles are drawn from the lattice and from bends, squares: as those without a bend.
const INSET: f64 = 0.02;
/// Where a spandrel is narrower than this it is not made, mm.
const LEAST_SPANDREL: f64 = 8.0;

/// A turn: a block of cells over which walls leave the lattice.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct TurnRecord {
    /// Column and row of the block's north-west cell.
    pub cell: [usize; 2],
    /// Cells along either side of the block.
    pub reach: u32,
    /// Cells from the corner to the shorter bend. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inner: Option<u32>,
    /// "round" or "diagonal".
    pub form: String,
    /// The corner that it turns about.
    pub about: [usize; 2],
    /// Which corner of the block that is: "NE", "NW", "SW" or "SE".
    pub corner: String,
    /// Its tiles, from that corner outward.
    pub tiles: Vec<TurnTileRecord>,
    /// Its walls, that on the shorter bend first.
    pub walls: Vec<BentWallRecord>,
}

/// A tile of a turn.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct TurnTileRecord {
    /// Its core and its wrap.
    pub pieces: Vec<String>,
    /// "fan": from the corner to the (shorter) bend; "ring": between the two; "spandrel": outside.
    pub part: String,
    /// The name of its surface.
    pub surface: String,
}

/// A wall on a bend.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct BentWallRecord {
    /// Its pieces: two skins of card, or the core and what covers it.
    pub pieces: Vec<String>,
    /// Cells from the corner to either of its ends.
    pub reach: u32,
    /// The end from which it runs clockwise about the corner.
    pub from: [usize; 2],
    /// Its other end.
    pub to: [usize; 2],
    /// The name of its design.
    pub design: String,
}

/// The turns of a level for parts.json.
#[must_use]
pub fn records(planned: &Planned, level: usize) -> Vec<TurnRecord> {
    let (drawn, build) = (&planned.plan.levels[level], &planned.levels[level].build);
    let ids = |spot| planned.ids_at(level, spot);
    let record = |(index, turn): (usize, &Turn)| {
        let (x, y) = turn.cell();
        let tiles = build.turn_tiles.iter().enumerate().filter(|(_, place)| place.turn == index);
        let walls = build.bent_walls.iter().enumerate().filter(|(_, place)| place.turn == index);
        TurnRecord {
            cell: [x, y],
            reach: turn.bend.reach,
            inner: turn.inner,
            form: turn.bend.form.to_string(),
            about: pair(turn.at),
            corner: ["SW", "SE", "NE", "NW"][turn.turns as usize % 4].to_owned(),
            tiles: tiles
                .map(|(i, place)| TurnTileRecord {
                    pieces: ids(Spot::TurnTile(i)),
                    part: part_name(place.tile.part).to_owned(),
                    surface: planned.plan.surfaces.get(place.surface).map(|s| s.name.clone()).unwrap_or_default(),
                })
                .collect(),
            walls: walls
                .map(|(i, place)| {
                    let [from, to] = turn.ends(place.bend).map(|(at, _)| pair(at));
                    let design = planned.plan.designs.get(place.design).map(|design| design.name.clone());
                    let (pieces, reach) = (ids(Spot::BentWall(i)), place.bend.reach);
                    BentWallRecord { pieces, reach, from, to, design: design.unwrap_or_default() }
                })
                .collect(),
        }
    };
    drawn.turns.iter().enumerate().map(record).collect()
}

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
    beside(bend, p, 0.0).into_iter().map(|at| placed(turn, at)).collect()
}

/// A tile as it is drawn.
#[must_use]
pub fn shape(turn: &Turn, place: &TurnTilePlace, p: &Parameters, label: String, colour: Colour) -> Option<ShapeView> {
    let bend = place.tile.bend;
    let side = f64::from(bend.reach);
    let line = beside(bend, p, 0.0);
    let far = crossing(&line)?;
    let (outline, middle) = match place.tile.part {
        TurnPart::Fan => {
            let mut outline = vec![Point::new(INSET, INSET)];
            outline.extend(between_axes(beside(bend, p, -INSET)));
            (outline, 0.53 * far)
        }
        TurnPart::Ring(inner) => {
            let shorter = Bend { reach: inner, ..bend };
            let near = crossing(&beside(shorter, p, 0.0))?;
            let mut outline = between_axes(beside(bend, p, -INSET));
            outline.extend(between_axes(beside(shorter, p, INSET)).into_iter().rev());
            (outline, f64::midpoint(near, far))
        }
        TurnPart::Spandrel => {
            let least = LEAST_SPANDREL / p.module.get();
            let outline = beyond(&beside(bend, p, INSET), side, least);
            (outline, f64::midpoint(far, side) + 0.1 * (side - far))
        }
    };
    let outline = outline.into_iter().map(|at| placed(turn, at)).collect();
    Some(ShapeView { outline, middle: placed(turn, Point::new(middle, middle)), label, colour })
}

/// A line so many squares outside a bend, in its own frame, in squares.
fn beside(bend: Bend, p: &Parameters, outwards: f64) -> Vec<Point> {
    let m = p.module.get();
    bend.beside(p, outwards * m).into_iter().map(|at| Point::new(at.x / m, at.y / m)).collect()
}

/// Where a bend crosses the diagonal of its block: squares from the corner, along either axis.
fn crossing(line: &[Point]) -> Option<f64> {
    line.windows(2).find_map(|pair| {
        let (a, b) = (pair[0].x - pair[0].y, pair[1].x - pair[1].y);
        (a <= 0.0 && b >= 0.0 && a < b).then(|| pair[0].lerp(pair[1], a / (a - b)).x)
    })
}

/// From the frame of a bend to squares from the west and from the north.
fn placed(turn: &Turn, at: Point) -> (f64, f64) {
    let turned = flatwright_geometry::turn::quarter(turn.turns) * at;
    (turn.at.x as f64 + turned.x, turn.at.y as f64 - turned.y)
}

/// A line between the axes of its frame, as far from them as tiles are.
fn between_axes(mut line: Vec<Point>) -> Vec<Point> {
    if let [first, .., last] = &mut line[..] {
        (first.x, last.y) = (INSET, INSET);
    }
    line
}

/// The spandrel between a line and the far sides, from where it is `least` wide.
fn beyond(moved: &[Point], side: f64, least: f64) -> Vec<Point> {
    let far = side - INSET;
    let mut outline: Vec<Point> = Vec::new();
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
