//! Where one shape may lie relative to another, as cells of a grid that becomes finer.
//!
//! A shift of the one shape against the other is *barred* where it brings them nearer than the
//! gap or makes their common box too large for the room. A cell of shifts is barred where one
//! pair of convex parts bars all of it (the sum of two convex sets is convex, so its four corners
//! tell), or where its four quarters are barred. All others are *open*: nothing is known of them.

use kurbo::{Point, Rect};

use super::convex::{self, Convex};

/// Finest level of cells. At level n the pitch is the room's longer side / 2^(n + 3).
pub(super) const FINEST: usize = 7;
/// Finest level that is kept in tables; finer cells are looked at when they are asked for.
const KEPT: usize = 4;
/// Looks that take as long as making empty tables.
const TABLE_LOOKS: u64 = 500;

/// Lengths that say when two pieces are in each other's way, all mm.
#[derive(Clone, Copy)]
pub(super) struct Rules {
    /// Nearer than this they are.
    pub reach: f64,
    /// Strip that is taken off every part first.
    pub strip: f64,
}

/// One outline in one turn.
pub(super) struct Shape {
    pub class: usize,
    /// Quarter turns.
    pub turn: u8,
    pub width: f64,
    pub height: f64,
    parts: Vec<Convex>,
}

impl Shape {
    /// `points` have their box's lower left corner at the origin.
    pub(super) fn new(class: usize, turn: u8, points: &[Point], inner: Rect, rules: Rules) -> Self {
        let far = points.iter().fold(Point::ORIGIN, |far, p| Point::new(far.x.max(p.x), far.y.max(p.y)));
        let whole = if points.len() <= convex::CORNERS {
            convex::parts(points)
        } else {
            let Rect { x0, y0, x1, y1 } = inner;
            convex::parts(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from))
        };
        let parts =
            if rules.strip > 0.0 { whole.iter().filter_map(|p| p.shrunk(rules.strip)).collect() } else { whole };
        Self { class, turn, width: far.x, height: far.y, parts }
    }
}

/// The shifts of a shape `b` against a shape `a`.
pub(super) struct Relation {
    sums: Vec<Convex>,
    reach: f64,
    /// Shifts that keep both in the room.
    room: Rect,
    /// Pitch of level 0, mm.
    pitch: f64,
    levels: Vec<Level>,
    /// Sums tested against cells, for the budget.
    pub looks: u64,
}

/// Open cells of one level.
struct Level {
    /// Cells from here to there on either side of zero.
    half: i32,
    cells: Bits,
    /// Open cells among the four around a grid point, by grid point.
    around: Bits,
}

impl Relation {
    pub(super) fn new(a: &Shape, b: &Shape, width: f64, height: f64, rules: Rules) -> Self {
        let sums: Vec<Convex> =
            a.parts.iter().flat_map(|p| b.parts.iter().map(move |q| Convex::meeting(p, q))).collect();
        let room = Rect::new(a.width - width, a.height - height, width - b.width, height - b.height);
        let pitch = width.max(height) * (1.0 + 1e-6) / 8.0;
        let levels = (0..=KEPT)
            .map(|level| {
                let half = 8 << level;
                Level { half, cells: Bits::new(half), around: Bits::new(half) }
            })
            .collect();
        let mut relation = Self { sums, reach: rules.reach, room, pitch, levels, looks: TABLE_LOOKS };
        let near: Vec<usize> = (0..relation.sums.len()).collect();
        for x in -8..8 {
            for y in -8..8 {
                relation.fill(0, [x, y], &near);
            }
        }
        relation.levels.iter_mut().for_each(Level::sum_up);
        relation
    }

    /// Whether no shift in the cell is known to be barred: `at * pitch` up to `(at + 1) * pitch`.
    pub(super) fn cell_open(&mut self, level: usize, at: [i32; 2]) -> bool {
        let half = 8 << level;
        if at.iter().any(|&c| c < -half || c >= half) {
            return false;
        }
        match self.levels.get(level) {
            Some(kept) => kept.cells.get(at),
            None => self.cell_open(level - 1, at.map(|c| c >> 1)) && self.look(level, at),
        }
    }

    /// The same for the four cells around a grid point: all shifts less than a pitch from it.
    pub(super) fn around_open(&mut self, level: usize, at: [i32; 2]) -> bool {
        let half = 8 << level;
        if at.iter().any(|&c| c < -half || c > half) {
            return false;
        }
        match self.levels.get(level) {
            Some(kept) => kept.around.get(at),
            None => {
                let cells = [[0, 0], [-1, 0], [0, -1], [-1, -1]];
                cells.iter().any(|d| self.cell_open(level, [at[0] + d[0], at[1] + d[1]]))
            }
        }
    }

    fn cell(&self, level: usize, [x, y]: [i32; 2]) -> Rect {
        let pitch = self.pitch / f64::from(1_u32 << level);
        let (x, y) = (f64::from(x) * pitch, f64::from(y) * pitch);
        Rect::new(x, y, x + pitch, y + pitch)
    }

    /// A cell of a level that is not kept.
    fn look(&mut self, level: usize, at: [i32; 2]) -> bool {
        let cell = self.cell(level, at);
        let Some(cell) = within(cell, self.room) else { return false };
        self.looks += self.sums.len() as u64;
        !self.sums.iter().any(|sum| sum.covers(cell, self.reach))
    }

    /// Fills in a cell and all below it; whether it is open. `near` are the sums that may touch it.
    fn fill(&mut self, level: usize, at: [i32; 2], near: &[usize]) -> bool {
        let Some(cell) = within(self.cell(level, at), self.room) else { return false };
        self.looks += near.len() as u64;
        let mut touching = Vec::new();
        for &i in near {
            if self.sums[i].covers(cell, self.reach) {
                return false;
            }
            if self.sums[i].may_touch(cell, self.reach) {
                touching.push(i);
            }
        }
        let open = if level == KEPT {
            true
        } else {
            let mut open = false;
            for quarter in 0..4 {
                open |= self.fill(level + 1, [2 * at[0] + (quarter & 1), 2 * at[1] + (quarter >> 1)], &touching);
            }
            open
        };
        if open {
            self.levels[level].cells.set(at);
        }
        open
    }
}

/// What of a cell the room leaves; the room's sides belong to it.
fn within(cell: Rect, room: Rect) -> Option<Rect> {
    let cell = Rect::new(cell.x0.max(room.x0), cell.y0.max(room.y0), cell.x1.min(room.x1), cell.y1.min(room.y1));
    (cell.x0 <= cell.x1 && cell.y0 <= cell.y1).then_some(cell)
}

impl Level {
    fn sum_up(&mut self) {
        for y in -self.half..self.half {
            for x in -self.half..self.half {
                if self.cells.get([x, y]) {
                    [[0, 0], [1, 0], [0, 1], [1, 1]].iter().for_each(|d| self.around.set([x + d[0], y + d[1]]));
                }
            }
        }
    }
}

/// A square of bits, `-half..=half` in both directions.
struct Bits {
    half: i32,
    side: usize,
    words: Vec<u64>,
}

impl Bits {
    fn new(half: i32) -> Self {
        let side = 2 * half as usize + 1;
        Self { half, side, words: vec![0; (side * side).div_ceil(64)] }
    }

    fn index(&self, [x, y]: [i32; 2]) -> usize {
        (y + self.half) as usize * self.side + (x + self.half) as usize
    }

    fn get(&self, at: [i32; 2]) -> bool {
        let i = self.index(at);
        self.words[i / 64] >> (i % 64) & 1 == 1
    }

    fn set(&mut self, at: [i32; 2]) {
        let i = self.index(at);
        self.words[i / 64] |= 1 << (i % 64);
    }
}
