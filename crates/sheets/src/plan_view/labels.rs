//! Where the names of tiles, walls and posts stand: on nothing else, and on no other name.

use std::collections::BTreeMap;

use flatwright_geometry::units::{Angle, Mm};
use kurbo::{BezPath, Point, Rect, Shape as _, Vec2};

use super::drawing::{OVERHANG, lattice_point, swings_back, tile_rect, wall_motion};
use super::symbols::{DOOR, PLATE_HALF, POST_HALF, TIE_HALF, WALL_HALF, tile_fill};
use super::{FittingKind, FittingView, LevelView, PlanItem, ShapeView, Show, State, WallKind, WallView, bends};
use crate::furniture::text_box;
use crate::furniture::{marks::Face, style};
use crate::lines::readable_on;
use crate::page::{Align, Colour, Layer, Mark, Shape, Text, Weight};

/// Em of a tile's name and of the others', in squares.
const TILE_EM: f64 = 0.19;
const OTHER_EM: f64 = 0.125;
/// Least em, mm: what a good eye reads at arm's length.
const LEAST: f64 = 1.7;
/// Largest em, mm.
const LARGEST: f64 = 6.0;

/// The names, as far as there is room for them: in a small drawing, or where walls crowd a place,
/// some are left out. In a step only what is new is named.
pub(crate) fn of(level: &LevelView, show: &Show, s: f64) -> Vec<Mark> {
    let named = |item: PlanItem| match show {
        Show::All => true,
        Show::Step { .. } => show.state(item) == State::New,
        Show::Cut => false,
    };
    let mut names = Names::new(level, show, s);
    names.fittings(&named);
    let roofed = level.fittings.iter().any(|fitting| fitting.kind == FittingKind::Roof);
    for (_, wall) in level.walls.iter().enumerate().filter(|(i, _)| named(PlanItem::Wall(*i))) {
        names.wall(wall);
    }
    for (_, bend) in level.bends.iter().enumerate().filter(|(i, _)| named(PlanItem::Bend(*i))) {
        let em = em(OTHER_EM, s);
        let size = (Face::bold(em).width(&bend.label), 0.9 * em.get());
        let spots = names.off_edges(bends::beside(bend, s, size), size);
        names.put(&bend.label, em, &spots);
    }
    for (_, post) in level.posts.iter().enumerate().filter(|(i, _)| named(PlanItem::Post(*i))) {
        let em = em(OTHER_EM, s);
        let half = Face::bold(em).width(&post.label) / 2.0;
        let clear = if post.plate { PLATE_HALF } else { POST_HALF } * s + 0.04 * s;
        let (long, short) = (clear + half, clear + 0.45 * em.get());
        let at = lattice_point(post.x, post.y, s);
        // At the plan's edge rather outside, where the floor's names are not crowded; upright where
        // the walls' names leave no other room.
        let (h, v) = (if post.x == 0 { -1.0 } else { 1.0 }, if post.y == level.rows { -1.0 } else { 1.0 });
        let corners = [(h, v), (-h, v), (h, -v), (-h, -v)];
        let lying = corners.map(|(x, y)| (at + Vec2::new(x * long, y * short), false));
        let upright = corners.map(|(x, y)| (at + Vec2::new(x * short, y * long), true));
        let mut spots = [lying, upright].concat();
        if roofed {
            // Beyond the eaves, which keep off the names of walls.
            spots.extend(corners.map(|(x, y)| (at + Vec2::new(x * (0.31 * s + half), y * short), false)));
        }
        if 2.0 * half <= 0.6 * s {
            names.put(&post.label, em, &spots);
        }
    }
    for (_, tile) in level.tiles.iter().enumerate().filter(|(i, _)| named(PlanItem::Tile(*i))) {
        let rect = tile_rect(tile, s);
        let em = em(TILE_EM, s);
        let width = Face::bold(em).width(&tile.label);
        let mut spots = vec![rect.center()];
        for y in 0..tile.height {
            for x in 0..tile.width {
                spots.push(lattice_point(tile.x + x, tile.y + y, s) + Vec2::new(0.5 * s, -0.5 * s));
            }
        }
        let lower: Vec<Point> = spots.iter().map(|at| *at - Vec2::new(0.0, 0.2 * s)).collect();
        let higher: Vec<Point> = spots.iter().map(|at| *at + Vec2::new(0.0, 0.2 * s)).collect();
        // Where something stands in the middle.
        let aside = [(0.0, -0.31), (0.0, 0.31), (-0.28, -0.3), (0.28, -0.3), (-0.28, 0.3), (0.28, 0.3)];
        let aside = spots.iter().flat_map(|at| aside.map(|(x, y)| *at + Vec2::new(x * s, y * s))).collect::<Vec<_>>();
        spots.extend(lower.into_iter().chain(higher).chain(aside));
        let spots: Vec<(Point, bool)> = spots.into_iter().map(|at| (at, false)).collect();
        if width <= 0.85 * rect.width() {
            names.put(&tile.label, em, &spots);
        }
    }
    for (_, shape) in level.shapes.iter().enumerate().filter(|(i, _)| named(PlanItem::Shape(*i))) {
        // In a narrow one smaller rather than not at all.
        let sizes = [TILE_EM, OTHER_EM].map(|squares| em(squares, s));
        let _ = sizes.into_iter().any(|em| {
            let spots = names.within(shape, em);
            names.put_on(&shape.label, em, &spots, false)
        });
    }
    names.marks
}

struct Names<'a> {
    level: &'a LevelView,
    show: &'a Show,
    s: f64,
    /// What names must not cover.
    taken: Taken,
    /// The last tile over each square, row by row.
    floor: Vec<Option<usize>>,
    /// Bounds and outlines of the tiles that leave the lattice.
    shapes: Vec<(Rect, BezPath)>,
    marks: Vec<Mark>,
}

impl<'a> Names<'a> {
    fn new(level: &'a LevelView, show: &'a Show, s: f64) -> Self {
        let mut floor = vec![None; level.columns * level.rows];
        for (index, tile) in level.tiles.iter().enumerate() {
            for y in tile.y..tile.y + tile.height {
                floor[y * level.columns + tile.x..][..tile.width].fill(Some(index));
            }
        }
        let mut taken = Taken { side: s, areas: BTreeMap::new() };
        obstacles(level, show, s).into_iter().for_each(|area| taken.add(area));
        let outlined = |shape| {
            let outline = bends::outline(shape, s);
            (outline.bounding_box(), outline)
        };
        let shapes = level.shapes.iter().map(outlined).collect();
        Self { level, show, s, taken, floor, shapes, marks: Vec::new() }
    }

    /// In the middle of what they name where there is room, else beside it. What stands free is in the way
    /// of all names but its own.
    fn fittings(&mut self, named: &dyn Fn(PlanItem) -> bool) {
        let level = self.level;
        let em = em(OTHER_EM, self.s);
        let mut beside: Vec<(&FittingView, Rect)> = Vec::new();
        for (i, fitting) in level.fittings.iter().enumerate() {
            let bounds = fitting.bounds(self.s);
            if fitting.kind == FittingKind::Roof {
                if named(PlanItem::Fitting(i)) {
                    beside.push((fitting, bounds));
                }
                continue;
            }
            let width = Face::bold(em).width(&fitting.label);
            let middle = bounds.center();
            // All of it on the fitting, off the arrow or the wall along that.
            let tall = 0.75 * em.get();
            let fits = |off: Vec2, upright: bool| {
                let (w, h) = if upright { (tall, width) } else { (width, tall) };
                2.0 * off.x.abs() + w < bounds.width() && 2.0 * off.y.abs() + h < bounds.height()
            };
            let offs = fitting.aside().map(|(x, y)| Vec2::new(x, y) * self.s).into_iter().flat_map(|off| {
                // What lies under a large one may be in the way in its middle.
                let along = [Vec2::ZERO, Vec2::new(0.3 * self.s, 0.0), Vec2::new(0.0, 0.3 * self.s)];
                along.into_iter().flat_map(move |by| [off + by, by - off, off - by, -off - by])
            });
            let spots: Vec<(Point, bool)> = offs
                .flat_map(|off| [(off, false), (off, true)])
                .filter(|(off, upright)| fits(*off, *upright))
                .map(|(off, upright)| (middle + off, upright))
                .collect();
            let put = named(PlanItem::Fitting(i)) && self.put_on(&fitting.label, em, &spots, true);
            if named(PlanItem::Fitting(i)) && !put {
                beside.push((fitting, bounds));
            }
        }
        for (i, fitting) in level.fittings.iter().enumerate() {
            // A roof lies over all names.
            if self.show.state(PlanItem::Fitting(i)) != State::Later && fitting.kind != FittingKind::Roof {
                self.taken.add(fitting.bounds(self.s));
            }
        }
        for (fitting, bounds) in beside {
            let half = Face::bold(em).width(&fitting.label) / 2.0;
            let (along, above) = (0.03 * self.s + half, 0.03 * self.s + 0.5 * em.get());
            let middle = bounds.center();
            let spots = [
                (Point::new(middle.x, bounds.y0 - above), false),
                (Point::new(middle.x, bounds.y1 + above), false),
                (Point::new(bounds.x1 + along, middle.y), false),
                (Point::new(bounds.x0 - along, middle.y), false),
                (Point::new(bounds.x1 + above, middle.y), true),
                (Point::new(bounds.x0 - above, middle.y), true),
            ];
            self.put(&fitting.label, em, &spots);
        }
    }

    /// Beside the wall, on the side that a door in it leaves free.
    fn wall(&mut self, wall: &WallView) {
        let s = self.s;
        let em = em(OTHER_EM, s);
        let length = wall.span as f64 * s;
        if Face::bold(em).width(&wall.label) > 0.7 * length {
            return;
        }
        let motion = wall_motion(wall, s);
        let side = if swings_back(self.level, wall) { -1.0 } else { 1.0 };
        let off = (WALL_HALF + 0.05) * s + 0.42 * em.get();
        let mut spots = Vec::new();
        for side in [side, -side] {
            for part in [0.5, 0.32, 0.68, 0.25, 0.75] {
                spots.push((motion * Point::new(part * length, side * off), wall.down));
            }
        }
        self.put(&wall.label, em, &spots);
    }

    /// Spots at which a name lies within a shape, that next to its middle first.
    fn within(&self, shape: &ShapeView, em: Mm) -> Vec<(Point, bool)> {
        let s = self.s;
        let path = bends::outline(shape, s);
        let middle = Point::new(shape.middle.0 * s, -shape.middle.1 * s);
        let half = Vec2::new(Face::bold(em).width(&shape.label) / 2.0, 0.45 * em.get());
        let steps = || (-4..=4).map(|step| f64::from(step) * 0.08 * s);
        let mut spots: Vec<Point> = steps().flat_map(|dx| steps().map(move |dy| middle + Vec2::new(dx, dy))).collect();
        spots.sort_by(|a, b| a.distance_squared(middle).total_cmp(&b.distance_squared(middle)));
        let corners = |at: &Point| {
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| *at + Vec2::new(x * half.x, y * half.y))
        };
        spots.retain(|at| corners(at).into_iter().all(|corner| path.contains(corner)));
        spots.into_iter().map(|at| (at, false)).collect()
    }

    /// A name with its middle at the first free spot; upright ones read from the right.
    fn put(&mut self, label: &str, em: Mm, spots: &[(Point, bool)]) {
        self.put_on(label, em, spots, false);
    }

    /// The same, on a bright ground instead of the floor where it is so; whether there was room.
    fn put_on(&mut self, label: &str, em: Mm, spots: &[(Point, bool)], bright: bool) -> bool {
        let over = OVERHANG * self.s;
        let corner = lattice_point(self.level.columns, self.level.rows, self.s);
        let bounds = Rect::from_points(Point::ORIGIN, corner).inflate(over, over);
        for &(middle, upright) in spots {
            // Down from the middle of the capitals to the baseline.
            let drop = 0.357 * em.get();
            let by = if upright { Vec2::new(drop, 0.0) } else { Vec2::new(0.0, -drop) };
            let text = Text {
                at: middle + by,
                text: label.to_owned(),
                size: em,
                weight: Weight::Bold,
                align: Align::Middle,
                turn: if upright { Angle::QUARTER } else { Angle::ZERO },
                colour: if bright { style::INK } else { self.ink(middle) },
            };
            let area = text_box(&text);
            if self.taken.spares(area) && bounds.contains_rect(area) && !label.trim().is_empty() {
                self.taken.add(area);
                self.marks.push(Mark { layer: Layer::Labels, shape: Shape::Text(text) });
                return true;
            }
        }
        false
    }

    /// The tile at a place: one that leaves the lattice, or the last one over its square.
    fn ground(&self, at: Point) -> Option<PlanItem> {
        if let Some(shape) = self.shapes.iter().position(|(area, outline)| area.contains(at) && outline.contains(at)) {
            return Some(PlanItem::Shape(shape));
        }
        let (column, row) = ((at.x / self.s).floor(), (-at.y / self.s).floor());
        let inside = column >= 0.0 && row >= 0.0 && (column as usize) < self.level.columns;
        let index = inside.then(|| row as usize * self.level.columns + column as usize);
        index.and_then(|index| self.floor.get(index).copied().flatten()).map(PlanItem::Tile)
    }

    /// What is read on the floor there.
    fn ink(&self, at: Point) -> Colour {
        let fill = |colour: Colour, item: PlanItem| tile_fill(colour, self.show.state(item));
        let ground = match self.ground(at) {
            Some(item @ PlanItem::Shape(index)) => fill(self.level.shapes[index].colour, item),
            Some(item @ PlanItem::Tile(index)) => fill(self.level.tiles[index].colour, item),
            _ => Colour::WHITE,
        };
        if readable_on(ground) == Colour::WHITE { Colour::WHITE } else { style::INK }
    }

    /// Spots for a name of that size, those over no tile's edge first.
    fn off_edges(&self, mut spots: Vec<(Point, bool)>, (width, height): (f64, f64)) -> Vec<(Point, bool)> {
        let corners = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)];
        let over_edge = |(at, _): &(Point, bool)| {
            corners.iter().any(|(x, y)| self.ground(*at + Vec2::new(x * width, y * height)) != self.ground(*at))
        };
        spots.sort_by_cached_key(over_edge);
        spots
    }
}

/// Areas by the squares that they touch, so that a large plan is not searched as a whole.
struct Taken {
    side: f64,
    areas: BTreeMap<(i64, i64), Vec<Rect>>,
}

impl Taken {
    fn add(&mut self, area: Rect) {
        for square in self.squares(area) {
            self.areas.entry(square).or_default().push(area);
        }
    }

    fn spares(&self, area: Rect) -> bool {
        let near = self.squares(area).into_iter().filter_map(|square| self.areas.get(&square)).flatten();
        near.into_iter().all(|taken| taken.intersect(area).is_zero_area())
    }

    fn squares(&self, area: Rect) -> Vec<(i64, i64)> {
        let at = |length: f64| (length / self.side).floor() as i64;
        let columns = at(area.x0)..=at(area.x1);
        columns.flat_map(|x| (at(area.y0)..=at(area.y1)).map(move |y| (x, y))).collect()
    }
}

fn em(squares: f64, s: f64) -> Mm {
    Mm::new((squares * s).clamp(LEAST, LARGEST))
}

/// What is drawn and must stay seen: walls, doors' swings, posts, ties, the lines of roofs.
fn obstacles(level: &LevelView, show: &Show, s: f64) -> Vec<Rect> {
    let drawn = |item: PlanItem| show.state(item) != State::Later;
    let mut taken = Vec::new();
    for (_, wall) in level.walls.iter().enumerate().filter(|(i, _)| drawn(PlanItem::Wall(*i))) {
        let (length, half) = (wall.span as f64 * s, (WALL_HALF + 0.01) * s);
        let motion = wall_motion(wall, s);
        taken.push(motion.transform_rect_bbox(Rect::new(0.0, -half, length, half)));
        if wall.kind == WallKind::Door {
            let (a, b) = ((length - DOOR * s) / 2.0, f64::midpoint(length, DOOR * s));
            let reach = if swings_back(level, wall) { DOOR * s } else { -DOOR * s };
            taken.push(motion.transform_rect_bbox(Rect::from_points((a, 0.0), (b, reach))));
        }
    }
    for (_, bend) in level.bends.iter().enumerate().filter(|(i, _)| drawn(PlanItem::Bend(*i))) {
        taken.extend(bends::areas(bend, s));
    }
    for (_, post) in level.posts.iter().enumerate().filter(|(i, _)| drawn(PlanItem::Post(*i))) {
        let half = if post.plate { PLATE_HALF } else { POST_HALF } * s;
        taken.push(Rect::from_center_size(lattice_point(post.x, post.y, s), (2.0 * half, 2.0 * half)));
    }
    for (_, edge) in level.biscuits.iter().enumerate().filter(|(i, _)| drawn(PlanItem::Biscuit(*i))) {
        let (from, to) = super::drawing::ends(*edge, s);
        let (length, width) = (2.0 * TIE_HALF.0 * s, 2.0 * TIE_HALF.1 * s);
        let size = if edge.down { (length, width) } else { (width, length) };
        taken.push(Rect::from_center_size(from.midpoint(to), size));
    }
    let roofs = level.fittings.iter().enumerate().filter(|(_, fitting)| fitting.kind == FittingKind::Roof);
    for (_, roof) in roofs.filter(|(i, _)| drawn(PlanItem::Fitting(*i))) {
        for (from, to) in roof.strokes(s) {
            let steps = (from.distance(to) / (0.06 * s)).ceil().max(1.0);
            let along = (0..=steps as usize).map(|step| from.lerp(to, step as f64 / steps));
            taken.extend(along.map(|at| Rect::from_center_size(at, (0.05 * s, 0.05 * s))));
        }
    }
    taken
}
