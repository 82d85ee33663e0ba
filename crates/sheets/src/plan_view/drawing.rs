//! One level, drawn: the lattice's north-west corner at the origin, south and east of it the rest.

use flatwright_geometry::units::Mm;
use kurbo::{Affine, Point, Rect, Shape as _, Vec2};

use super::{
    EdgeView, FittingKind, LevelView, PlanItem, Show, State, TileView, WallView, bends, fitting, labels, symbols,
};
use crate::page::{Colour, Mark, Pen};

/// Room around the lattice for posts, plates and labels, in squares.
pub(crate) const OVERHANG: f64 = 0.58;

/// Everything on a level, with squares of side `s`, mm.
pub(crate) fn level(level: &LevelView, show: &Show, s: f64) -> Vec<Mark> {
    let mut marks = lattice(level, s);
    // What stands out comes last, so that no lighter edge covers it.
    let order = [State::Later, State::Before, State::Plain, State::New];
    let stated = |items: usize, item: fn(usize) -> PlanItem| {
        let all: Vec<(usize, State)> = (0..items).map(|i| (i, show.state(item(i)))).collect();
        order.into_iter().flat_map(move |wanted| all.clone().into_iter().filter(move |&(_, state)| state == wanted))
    };
    for (i, state) in stated(level.tiles.len(), PlanItem::Tile) {
        let tile = &level.tiles[i];
        marks.extend(symbols::tile(tile_rect(tile, s), (tile.width, tile.height), s, tile.colour, state));
    }
    for (i, state) in stated(level.shapes.len(), PlanItem::Shape) {
        marks.extend(bends::shape(&level.shapes[i], s, state));
    }
    let shows_cut = !matches!(show, Show::Step { .. });
    let cuts: Vec<(Mark, Mark)> = level
        .cut
        .iter()
        .filter(|_| shows_cut)
        .map(|edge| {
            let (from, to) = ends(*edge, s);
            symbols::cut(from, to, s)
        })
        .collect();
    marks.extend(cuts.iter().map(|(band, _)| band.clone()));
    for (i, state) in stated(level.biscuits.len(), PlanItem::Biscuit) {
        let edge = level.biscuits[i];
        let (from, to) = ends(edge, s);
        marks.extend(symbols::biscuit(from.midpoint(to), edge.down, s, state));
    }
    for (i, state) in stated(level.fittings.len(), PlanItem::Fitting) {
        if level.fittings[i].kind != FittingKind::Roof {
            marks.extend(fitting::draw(&level.fittings[i], s, state));
        }
    }
    for (i, state) in stated(level.walls.len(), PlanItem::Wall) {
        let wall = &level.walls[i];
        let flip = swings_back(level, wall);
        marks.extend(symbols::wall(wall.kind, wall.span, flip, s, state, wall_motion(wall, s)));
    }
    for (i, state) in stated(level.bends.len(), PlanItem::Bend) {
        marks.extend(bends::wall(&level.bends[i], s, state));
    }
    marks.extend(cuts.into_iter().map(|(_, dashes)| dashes));
    for (i, state) in stated(level.posts.len(), PlanItem::Post) {
        let post = &level.posts[i];
        marks.extend(symbols::post(lattice_point(post.x, post.y, s), post.arms, post.plate, s, state));
    }
    // What lies over all of it.
    for (i, state) in stated(level.fittings.len(), PlanItem::Fitting) {
        if level.fittings[i].kind == FittingKind::Roof {
            marks.extend(fitting::draw(&level.fittings[i], s, state));
        }
    }
    marks.extend(labels::of(level, show, s));
    marks
}

/// Where a lattice point lies.
pub(crate) fn lattice_point(x: usize, y: usize, s: f64) -> Point {
    Point::new(x as f64 * s, -(y as f64) * s)
}

/// The squares of a tile.
pub(crate) fn tile_rect(tile: &TileView, s: f64) -> Rect {
    Rect::from_points(lattice_point(tile.x, tile.y, s), lattice_point(tile.x + tile.width, tile.y + tile.height, s))
}

/// Whether a door opens north or east, so that those in outer walls open inwards.
pub(crate) fn swings_back(level: &LevelView, wall: &WallView) -> bool {
    if wall.down { wall.x == 0 } else { wall.y == level.rows }
}

/// From the wall's own coordinates (along x, from the origin) to the drawing's.
pub(crate) fn wall_motion(wall: &WallView, s: f64) -> Affine {
    let turn = if wall.down { Affine::rotate(-std::f64::consts::FRAC_PI_2) } else { Affine::IDENTITY };
    Affine::translate(lattice_point(wall.x, wall.y, s).to_vec2()) * turn
}

/// Both ends of an edge.
pub(crate) fn ends(edge: EdgeView, s: f64) -> (Point, Point) {
    let from = lattice_point(edge.x, edge.y, s);
    let way = if edge.down { Vec2::new(0.0, -s) } else { Vec2::new(s, 0.0) };
    (from, from + way)
}

/// A dot at every lattice point: one dotted line a row.
fn lattice(level: &LevelView, s: f64) -> Vec<Mark> {
    let pen = Pen {
        width: Mm::new((0.025 * s).max(0.15)),
        colour: Colour(0xB4, 0xB4, 0xB4),
        dashes: vec![Mm::new(0.01), Mm::new(s - 0.01)],
        round: true,
    };
    let row = |y: usize| {
        let (from, to) = (lattice_point(0, y, s), lattice_point(level.columns, y, s));
        // A little longer, so that the last dot is not lost to rounding.
        symbols::stroke(kurbo::Line::new(from, to + Vec2::new(0.02, 0.0)).to_path(0.1), pen.clone())
    };
    (0..=level.rows).map(row).collect()
}
