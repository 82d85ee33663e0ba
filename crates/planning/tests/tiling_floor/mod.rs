//! Floors for the tests, and the rules of a cover written down once more, plainly.

use std::collections::BTreeSet;

use flatwright_geometry::pieces::post::{Arms, Post, Stand};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::build::{PostPlace, TilePlace};
use flatwright_planning::plan::{Edge, Level, OffFloor, Plan, Surface, Vertex};
use flatwright_planning::tiling::{self, Cover, OnHand};

/// A plan, a level and posts.
#[derive(Clone, Debug)]
pub struct Floor {
    pub plan: Plan,
    pub level: Level,
    pub posts: Vec<PostPlace>,
    pub on_hand: OnHand,
}

pub fn open(width: usize, height: usize, tiles: &[(u32, u32)]) -> Floor {
    let mut level = Level::empty("hall", width, height);
    level.cells.fill(Some(0));
    let surface = |letter| Surface { letter, name: letter.to_string(), colour: None, drawn_as: None };
    let plan = Plan {
        title: "Brine hall".into(),
        surfaces: vec![surface('f'), surface('p')],
        designs: Vec::new(),
        tiles: tiles.to_vec(),
        reliefs: Reliefs::Corners,
        spans: vec![1],
        off_floor: OffFloor::BasePlate,
        caps: false,
        extras: Vec::new(),
        fittings: Vec::new(),
        roofs: Vec::new(),
        levels: Vec::new(),
    };
    Floor { plan, level, posts: Vec::new(), on_hand: OnHand::new() }
}

pub fn post(x: usize, y: usize) -> PostPlace {
    PostPlace { at: Vertex { x, y }, post: Post { arms: Arms::from_bits(1), stand: Stand::BasePlate, under: false } }
}

impl Floor {
    pub fn cover(&self) -> Option<Cover> {
        tiling::cover(&self.plan, &self.level, &self.posts, &self.on_hand, tiling::DEFAULT_EFFORT).ok()
    }

    /// Whether a tile may lie there, cell by cell and edge by edge.
    pub fn allows(&self, t: TilePlace) -> bool {
        let level = &self.level;
        let (xs, ys) = (t.x..t.x + t.width, t.y..t.y + t.height);
        let cells = ys.clone().all(|y| xs.clone().all(|x| level.cell(x, y) == Some(t.surface)));
        let wall = |x, y, down| level.wall(Edge { from: Vertex { x, y }, down }).is_some();
        let walls =
            ys.clone().any(|y| xs.clone().any(|x| (y > t.y && wall(x, y, false)) || (x > t.x && wall(x, y, true))));
        let posts = self.posts.iter().all(|post| {
            let Vertex { x, y } = post.at;
            let (right, bottom) = (t.x + t.width, t.y + t.height);
            let touches = (t.x..=right).contains(&x) && (t.y..=bottom).contains(&y);
            let inside = t.x < x && x < right && t.y < y && y < bottom;
            match self.plan.reliefs {
                Reliefs::Corners => !touches || t.has_corner(post.at),
                Reliefs::EveryModule => !inside,
            }
        });
        let size = (t.size().0 as u32, t.size().1 as u32);
        cells && !walls && posts && self.plan.tiles.contains(&size)
    }

    /// Whether tiles cover every cell once, all of them allowed.
    pub fn is_covered_by(&self, tiles: &[TilePlace]) -> bool {
        let mut count = vec![0; self.level.cells.len()];
        for t in tiles {
            for y in t.y..t.y + t.height {
                (t.x..t.x + t.width).for_each(|x| count[y * self.level.width + x] += 1);
            }
        }
        let once = count.iter().zip(&self.level.cells).all(|(&n, cell)| n == u32::from(cell.is_some()));
        once && tiles.iter().all(|&t| self.allows(t))
    }

    /// Whether two cells beside an edge are of one surface without a wall between.
    fn joined(&self, x: usize, y: usize, down: bool) -> bool {
        let (dx, dy) = if down { (1, 0) } else { (0, 1) };
        if x < dx || y < dy {
            return false;
        }
        let (one, other) = (self.level.cell(x - dx, y - dy), self.level.cell(x, y));
        one.is_some() && one == other && self.level.wall(Edge { from: Vertex { x, y }, down }).is_none()
    }

    /// Seams that run straight through: maximal straight runs of edges inside the floor, not cut by a
    /// wall or gap that crosses them, along which no tile lies across.
    pub fn straight_seams(&self, tiles: &[TilePlace]) -> usize {
        let mut inner = BTreeSet::new();
        for t in tiles {
            for y in t.y..t.y + t.height {
                for x in t.x..t.x + t.width {
                    if x > t.x {
                        inner.insert((true, x, y));
                    }
                    if y > t.y {
                        inner.insert((false, x, y));
                    }
                }
            }
        }
        let mut seams = 0;
        for down in [true, false] {
            let edges = self.level.vertices().filter(|v| self.joined(v.x, v.y, down));
            for Vertex { x, y } in edges {
                let step = |i: usize| if down { (x, y + i) } else { (x + i, y) };
                // It goes on past a vertex unless something crosses it there.
                let passes = |x: usize, y: usize| {
                    self.joined(x, y, !down)
                        || if down {
                            x > 0 && self.joined(x - 1, y, false)
                        } else {
                            y > 0 && self.joined(x, y - 1, true)
                        }
                };
                let before =
                    if down { y > 0 && self.joined(x, y - 1, true) } else { x > 0 && self.joined(x - 1, y, false) };
                if before && passes(x, y) {
                    continue;
                }
                let mut length = 1;
                while self.joined(step(length).0, step(length).1, down) && passes(step(length).0, step(length).1) {
                    length += 1;
                }
                seams += usize::from(!(0..length).any(|i| inner.contains(&(down, step(i).0, step(i).1))));
            }
        }
        seams
    }

    /// Everything that is made least, in order: new tiles, tiles, board, straight seams. Board as in
    /// the documentation: the more a tile's sides, the less; with stock 9 for each new cell.
    pub fn worth(&self, tiles: &[TilePlace]) -> (usize, usize, i64, usize) {
        let mut left = self.on_hand.clone();
        let (mut new, mut board) = (0, 0);
        for t in tiles {
            let sides = (t.width + t.height) as i64;
            match left.get_mut(&(t.surface, t.size())).filter(|count| **count > 0) {
                Some(count) => *count -= 1,
                None => {
                    new += 1;
                    board += if self.on_hand.is_empty() { -sides } else { 9 * (t.width * t.height) as i64 - sides };
                }
            }
        }
        (new, tiles.len(), board, self.straight_seams(tiles))
    }
}
