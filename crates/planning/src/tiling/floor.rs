//! The floor as the tiles see it: which cells hang together, where a tile may lie, and the lines
//! along which a seam could run straight through.

use flatwright_geometry::pieces::tile::Reliefs;

use crate::build::{PostPlace, TilePlace};
use crate::plan::{Edge, Level, Plan, Vertex};

/// No part: a cell without floor.
pub(super) const NONE: usize = usize::MAX;

/// A rectangle of cells that one tile may cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    pub y: usize,
    pub x: usize,
    pub width: usize,
    pub height: usize,
}

impl Place {
    pub fn cells(self, columns: usize) -> impl Iterator<Item = usize> {
        (self.y..self.y + self.height).flat_map(move |y| (self.x..self.x + self.width).map(move |x| y * columns + x))
    }

    /// Modules along both sides together: the measure of a tile's board, see [`super`].
    pub const fn half_perimeter(self) -> usize {
        self.width + self.height
    }

    /// The longer side first.
    pub const fn size(self) -> (usize, usize) {
        if self.width >= self.height { (self.width, self.height) } else { (self.height, self.width) }
    }

    pub const fn tile(self, surface: usize) -> TilePlace {
        TilePlace { y: self.y, x: self.x, width: self.width, height: self.height, surface }
    }
}

/// A straight run of edges inside one part, from border to border.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    /// Whether it runs from north to south.
    pub down: bool,
    /// Its column (or row) of vertices.
    pub at: usize,
    /// Its first edge along its own direction, and the edge after its last one.
    pub from: usize,
    pub to: usize,
    pub part: usize,
}

impl Line {
    /// Whether a tile lies across it, so that no seam runs straight through. The cells beside the line
    /// are all of its part: no tile of another part can.
    pub const fn crossed_by(&self, p: &Place) -> bool {
        if self.down {
            p.x < self.at && self.at < p.x + p.width && p.y < self.to && self.from < p.y + p.height
        } else {
            p.y < self.at && self.at < p.y + p.height && p.x < self.to && self.from < p.x + p.width
        }
    }
}

/// One level's floor.
pub(super) struct Floor {
    pub width: usize,
    pub height: usize,
    /// Number of the connected part of each cell, [`NONE`] without floor.
    pub part: Vec<usize>,
    /// Cells of each part, in rising order.
    pub parts: Vec<Vec<usize>>,
    /// Surface of each part.
    pub surfaces: Vec<usize>,
    /// Lines of all parts.
    pub lines: Vec<Line>,
    /// Sides of tiles, both ways round, largest area first.
    pub sides: Vec<(usize, usize)>,
    reliefs: Reliefs,
    /// Sums over all vertices, edges and cells north-west of an index: what must not lie in a tile.
    posts: Sums,
    blocked_down: Sums,
    blocked_across: Sums,
}

impl Floor {
    pub fn new(plan: &Plan, level: &Level, posts: &[PostPlace]) -> Self {
        let (width, height) = (level.width, level.height);
        let joined = |from: Edge| joins(level, from);
        let (part, parts) = parts(level);
        let surfaces = parts.iter().filter_map(|cells| level.cells[cells[0]]).collect();
        let at = |x, y, down| Edge { from: Vertex { x, y }, down };
        let mut sides: Vec<(usize, usize)> = plan
            .tiles
            .iter()
            .map(|&(a, b)| (a as usize, b as usize))
            .flat_map(|(a, b)| [(a, b), (b, a)])
            .filter(|&(a, b)| a > 0 && b > 0)
            .collect();
        sides.sort_by_key(|&(a, b)| std::cmp::Reverse((a * b, a)));
        sides.dedup();
        let standing: std::collections::BTreeSet<Vertex> = posts.iter().map(|post| post.at).collect();
        Self {
            width,
            height,
            lines: lines(level, &part),
            part,
            parts,
            surfaces,
            sides,
            reliefs: plan.reliefs,
            posts: Sums::new(width + 1, height + 1, |x, y| standing.contains(&Vertex { x, y })),
            blocked_down: Sums::new(width + 1, height, |x, y| !joined(at(x, y, true))),
            blocked_across: Sums::new(width, height + 1, |x, y| !joined(at(x, y, false))),
        }
    }

    /// Whether each tile cut by a row or column is another one of the plan's.
    pub fn nested(&self) -> bool {
        let has = |side: (usize, usize)| self.sides.contains(&side);
        self.sides.iter().all(|&(a, b)| (a == 1 || has((a - 1, b))) && (b == 1 || has((a, b - 1))))
    }

    /// Whether a tile may lie there.
    pub fn allows(&self, p: Place) -> bool {
        let (right, bottom) = (p.x + p.width, p.y + p.height);
        if right > self.width || bottom > self.height || self.part[p.y * self.width + p.x] == NONE {
            return false;
        }
        let walls = self.blocked_down.within(p.x + 1, p.y, right, bottom)
            + self.blocked_across.within(p.x, p.y + 1, right, bottom);
        let inside = match self.reliefs {
            Reliefs::EveryModule => self.posts.within(p.x + 1, p.y + 1, right, bottom),
            Reliefs::Corners => {
                let corner = |x, y| self.posts.within(x, y, x + 1, y + 1);
                self.posts.within(p.x, p.y, right + 1, bottom + 1)
                    - corner(p.x, p.y)
                    - corner(right, p.y)
                    - corner(p.x, bottom)
                    - corner(right, bottom)
            }
        };
        walls + inside == 0
    }

    /// All tiles that may lie on cells for which `free` holds.
    pub fn places<'a>(&'a self, cells: &'a [usize], free: &'a [bool]) -> impl Iterator<Item = Place> + 'a {
        cells.iter().flat_map(move |&cell| {
            let (x, y) = (cell % self.width, cell / self.width);
            self.sides
                .iter()
                .map(move |&(width, height)| Place { y, x, width, height })
                .filter(move |&p| self.allows(p) && p.cells(self.width).all(|cell| free[cell]))
        })
    }
}

/// Whether the two cells beside an edge hang together.
fn joins(level: &Level, edge: Edge) -> bool {
    let Vertex { x, y } = edge.from;
    let before = if edge.down { x.checked_sub(1).map(|x| (x, y)) } else { y.checked_sub(1).map(|y| (x, y)) };
    let surface = before.and_then(|(x, y)| level.cell(x, y));
    surface.is_some() && surface == level.cell(x, y) && level.wall(edge).is_none()
}

/// The connected parts: cells of one surface without a wall between them, walking the lattice.
fn parts(level: &Level) -> (Vec<usize>, Vec<Vec<usize>>) {
    let width = level.width;
    let mut part = vec![NONE; level.cells.len()];
    let mut parts = Vec::new();
    for first in 0..part.len() {
        if part[first] != NONE || level.cells[first].is_none() {
            continue;
        }
        let number = parts.len();
        let mut found = vec![first];
        part[first] = number;
        let mut next = 0;
        while next < found.len() {
            let cell = found[next];
            next += 1;
            let (x, y) = (cell % width, cell / width);
            let edge = |x, y, down| Edge { from: Vertex { x, y }, down };
            let around = [
                (edge(x, y, false), cell.wrapping_sub(width)),
                (edge(x, y + 1, false), cell + width),
                (edge(x, y, true), cell.wrapping_sub(1)),
                (edge(x + 1, y, true), cell + 1),
            ];
            for (edge, other) in around {
                if joins(level, edge) && part[other] == NONE {
                    part[other] = number;
                    found.push(other);
                }
            }
        }
        found.sort_unstable();
        parts.push(found);
    }
    (part, parts)
}

/// The lines from border to border. A wall that meets a line from one side only does not end it:
/// the seam goes straight past the wall's end.
fn lines(level: &Level, part: &[usize]) -> Vec<Line> {
    let mut lines = Vec::new();
    for down in [true, false] {
        let (across, along) = if down { (level.width, level.height) } else { (level.height, level.width) };
        for at in 1..across {
            let mut open: Option<Line> = None;
            for i in 0..along {
                let (x, y) = if down { (at, i) } else { (i, at) };
                let from = Vertex { x, y };
                let joined = joins(level, Edge { from, down });
                // A wall on both sides of the vertex crosses the line.
                let ahead =
                    i > 0 && Level::edge_at(from, if down { 1 } else { 0 }).is_some_and(|edge| joins(level, edge));
                let beside = i > 0 && joins(level, Edge { from, down: !down });
                if !joined || !(ahead || beside) {
                    lines.extend(open.take());
                }
                if joined {
                    let part = part[y * level.width + x];
                    open.get_or_insert(Line { down, at, from: i, to: i, part }).to = i + 1;
                }
            }
            lines.extend(open);
        }
    }
    lines
}

/// Sums of a grid of yes and no, for counts over rectangles.
struct Sums {
    stride: usize,
    sums: Vec<usize>,
}

impl Sums {
    fn new(width: usize, height: usize, holds: impl Fn(usize, usize) -> bool) -> Self {
        let stride = width + 1;
        let mut sums = vec![0; stride * (height + 1)];
        for y in 0..height {
            let mut row = 0;
            for x in 0..width {
                row += usize::from(holds(x, y));
                sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1] + row;
            }
        }
        Self { stride, sums }
    }

    /// How often it holds in columns `left..right` of rows `top..bottom`.
    fn within(&self, left: usize, top: usize, right: usize, bottom: usize) -> usize {
        let at = |x: usize, y: usize| self.sums[y * self.stride + x];
        if left >= right || top >= bottom {
            return 0;
        }
        at(right, bottom) + at(left, top) - at(left, bottom) - at(right, top)
    }
}
