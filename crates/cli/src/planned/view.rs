//! A plan as a drawing.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::design::Mark;
use flatwright_geometry::pieces::post::Stand;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::Spot;
use flatwright_planning::plan::Edge;
use flatwright_planning::strength::Joint;
use flatwright_sheets::page::Colour;
use flatwright_sheets::plan_view::{
    BendView, EdgeView, Fit, LevelView, PlanView, PostView, TileView, WallKind, WallView,
};

use super::{Planned, fittings, turns};

/// Tiles of surfaces without a colour.
const PLAIN: Colour = Colour(0xF4, 0xF4, 0xF2);
/// How much paler than their artwork tiles are drawn, as a part of the way to white.
const PALER: f64 = 0.4;
/// Side of one square in a drawing of its own, and the longest side of a large one, mm.
const SQUARE: f64 = 32.0;
const LONGEST: f64 = 1000.0;

/// The plan with its pieces' identifiers and the weakest seam of each level. Its levels, and in
/// them tiles, walls, posts and biscuits, stand in the plan's order.
#[must_use]
pub fn view(planned: &Planned, title: &str, p: &Parameters) -> PlanView {
    let levels = (0..planned.levels.len()).map(|level| level_view(planned, level, p)).collect();
    PlanView { title: title.to_owned(), module: p.module, levels }
}

/// How large the drawing is, so that the largest level stays a picture that can be opened.
#[must_use]
pub fn fit(planned: &Planned) -> Fit {
    let longest = planned.plan.levels.iter().map(|level| level.width.max(level.height)).max().unwrap_or(1);
    Fit::Square(Mm::new((LONGEST / longest as f64).min(SQUARE)))
}

fn level_view(planned: &Planned, level: usize, p: &Parameters) -> LevelView {
    let (drawn, work) = (&planned.plan.levels[level], &planned.levels[level]);
    let build = &work.build;
    // Of several pieces in a place one stands for it: the one that shows, or else the first.
    let label = |spot: Spot| {
        let kinds: Vec<_> = planned.kinds_at(level, spot).collect();
        let shown = kinds.iter().find(|kind| kind.needed.piece.shows()).or(kinds.first());
        shown.and_then(|kind| kind.pieces.first()).map(|piece| piece.id.clone()).unwrap_or_default()
    };
    let colour = |surface: usize| planned.plan.surfaces.get(surface).and_then(|surface| surface.colour);
    let tiles = build.tiles.iter().enumerate().map(|(index, tile)| TileView {
        x: tile.x,
        y: tile.y,
        width: tile.width,
        height: tile.height,
        label: label(Spot::Tile(index)),
        // Paler than the artwork, so that names, walls and ties stand out.
        colour: colour(tile.surface).map_or(PLAIN, |(r, g, b)| Colour(r, g, b).shaded(PALER)),
    });
    let walls = build.walls.iter().enumerate().map(|(index, wall)| WallView {
        x: wall.from.x,
        y: wall.from.y,
        down: wall.down,
        span: wall.span,
        label: label(Spot::Wall(index)),
        kind: match wall.filler {
            Some(filler) => WallKind::Filler { thirds: if filler.thirds == 1 { 1 } else { 2 }, far: filler.side.far() },
            None => wall_kind(planned, wall.design),
        },
    });
    let posts = build.posts.iter().enumerate().map(|(index, post)| PostView {
        x: post.at.x,
        y: post.at.y,
        label: label(Spot::Post(index)),
        arms: post.post.arms.bits(),
        plate: post.post.stand == Stand::BasePlate,
    });
    let shapes = build.turn_tiles.iter().enumerate().filter_map(|(index, place)| {
        let colour = colour(place.surface).map_or(PLAIN, |(r, g, b)| Colour(r, g, b).shaded(PALER));
        turns::shape(drawn.turns.get(place.turn)?, place, p, label(Spot::TurnTile(index)), colour)
    });
    let bends = build.bent_walls.iter().enumerate().filter_map(|(index, place)| {
        let line = turns::line(drawn.turns.get(place.turn)?, place.bend, p);
        Some(BendView { line, label: label(Spot::BentWall(index)), kind: wall_kind(planned, place.design) })
    });
    let across = work.weakest().map_or(&[][..], |cut| &cut.across);
    let cut = across.iter().filter_map(|&tie| match work.strength.ties[tie].joint {
        Joint::Biscuit(edge) => Some(edge_view(edge)),
        _ => None,
    });
    LevelView {
        name: drawn.name.clone(),
        columns: drawn.width,
        rows: drawn.height,
        tiles: tiles.collect(),
        walls: walls.collect(),
        shapes: shapes.collect(),
        bends: bends.collect(),
        posts: posts.collect(),
        biscuits: build.biscuits.iter().copied().map(edge_view).collect(),
        cut: cut.collect(),
        fittings: fittings::views(planned, level, p.module),
    }
}

fn wall_kind(planned: &Planned, design: usize) -> WallKind {
    let opening = planned.plan.designs.get(design).and_then(|design| design.opening.as_ref());
    match opening.map_or(Mark::Plain, flatwright_geometry::pieces::opening::Opening::mark) {
        Mark::Plain => WallKind::Plain,
        Mark::Door => WallKind::Door,
        Mark::Arch => WallKind::Arch,
        Mark::Window => WallKind::Window,
        Mark::Bars => WallKind::Bars,
        Mark::Low => WallKind::Low,
    }
}

fn edge_view(edge: Edge) -> EdgeView {
    EdgeView { x: edge.from.x, y: edge.from.y, down: edge.down }
}
