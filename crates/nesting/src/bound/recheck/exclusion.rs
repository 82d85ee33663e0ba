//! Whether pieces can lie on one sheet together, by depths of points in polygons.
//!
//! Pieces are placed relative to the first. A point of one outline that lies deep in another lies
//! in it still when the other is shifted by less than that depth: so the depth of a few points
//! bars all shifts within a disc, and a box of shifts is barred where its disc is, or where its
//! ninths are. Boxes are centred on a grid whose pitch is divided by three from level to level;
//! two places that are each rounded to the grid differ by at most one pitch more.

use std::collections::HashMap;
use std::rc::Rc;

use kurbo::{Point, Rect};

use super::{Rules, bounds, plane};

/// Finest level; level 0 has a pitch of an eighth of the sheet's longer side.
const FINEST: usize = 5;
/// Steps for one set and step of the job's effort before the set is given up.
const STEPS_PER_EFFORT: u64 = 5_000;
/// Where each level's boxes begin among those that are kept in one list: sides of 19, 51, 147, 435.
const LEVEL_STARTS: [usize; 5] = [0, 361, 2_962, 24_571, 213_796];
/// Points taken on a side and across an outline, besides corners.
const ALONG: f64 = 7.0;

/// Proofs for one sheet kind.
pub(super) struct Prover {
    width: f64,
    height: f64,
    rules: Rules,
    shapes: HashMap<(usize, u8), Rc<Shape>>,
    barriers: Vec<Barrier>,
    /// Index of the barrier of two classes in two turns.
    between: HashMap<(usize, u8, usize, u8), usize>,
    steps: u64,
    /// Steps for one set.
    budget: u64,
}

/// A turned outline and points of it.
struct Shape {
    class: usize,
    turn: u8,
    outline: Vec<Point>,
    bounds: Rect,
    /// Corners first, then others.
    points: Vec<Point>,
    corners: usize,
}

/// The shifts of `b` against `a` that are barred.
struct Barrier {
    a: Rc<Shape>,
    b: Rc<Shape>,
    /// Shifts that keep both on the sheet.
    room: Rect,
    pitch: f64,
    rules: Rules,
    /// What is known of boxes down to [`LEVEL_STARTS`], narrow and wide: 0 nothing, 1 open, 2 barred.
    coarse: [Vec<u8>; 2],
    /// The same of boxes below.
    fine: HashMap<(u8, i32, i32, bool), bool>,
}

/// A class, its number of pieces, and its outlines by turn.
type Pieces = (usize, u32, Vec<(u8, Vec<Point>)>);

impl Prover {
    pub(super) fn new((width, height): (f64, f64), rules: Rules, effort: u32) -> Self {
        let budget = u64::from(effort) * STEPS_PER_EFFORT;
        let (shapes, between) = (HashMap::new(), HashMap::new());
        Self { width, height, rules, shapes, barriers: Vec::new(), between, steps: 0, budget }
    }

    /// Whether it is proved that no sheet holds all of them.
    pub(super) fn never(&mut self, set: &[Pieces]) -> bool {
        let mut pieces: Vec<Vec<Rc<Shape>>> = Vec::new();
        for (class, count, turned) in set {
            let (width, height, rules) = (self.width, self.height, self.rules);
            let options: Vec<Rc<Shape>> = turned
                .iter()
                .map(|(turn, points)| {
                    let shape = self.shapes.entry((*class, *turn));
                    Rc::clone(shape.or_insert_with(|| Rc::new(Shape::new(*class, *turn, points.clone(), rules))))
                })
                .filter(|shape| shape.bounds.width() <= width && shape.bounds.height() <= height)
                .collect();
            pieces.extend((0..*count).map(|_| options.clone()));
        }
        self.steps = 0;
        self.turn(&pieces, &mut Vec::new())
    }

    /// Each choice of turns, copies of one class in order.
    fn turn(&mut self, pieces: &[Vec<Rc<Shape>>], chosen: &mut Vec<Rc<Shape>>) -> bool {
        let Some(options) = pieces.get(chosen.len()) else { return self.nowhere(chosen) };
        options.iter().all(|shape| {
            if chosen.last().is_some_and(|last| last.class == shape.class && last.turn > shape.turn) {
                return true;
            }
            chosen.push(Rc::clone(shape));
            let never = self.turn(pieces, chosen);
            chosen.pop();
            never
        })
    }

    fn nowhere(&mut self, shapes: &[Rc<Shape>]) -> bool {
        let barriers = (0..shapes.len()).map(|k| (0..k).map(|i| self.barrier(&shapes[i], &shapes[k])).collect());
        let alike = |k: usize| k > 0 && shapes[k].class == shapes[k - 1].class && shapes[k].turn == shapes[k - 1].turn;
        let group = Group { barriers: barriers.collect(), alike: (0..shapes.len()).map(alike).collect() };
        shapes.len() > 1 && self.refine(&group, 0, &mut vec![vec![(0, 0); shapes.len()]; FINEST + 1], 1)
    }

    /// Whether no choice of grid places at this level, near those of the level above, is left.
    fn refine(&mut self, group: &Group, level: usize, places: &mut [Vec<(i32, i32)>], k: usize) -> bool {
        if k == group.alike.len() {
            return level < FINEST && self.refine(group, level + 1, places, 1);
        }
        let reach = if level == 0 { 8 } else { 1 };
        let (cx, cy) = if level == 0 { (0, 0) } else { (3 * places[level - 1][k].0, 3 * places[level - 1][k].1) };
        for x in cx - reach..=cx + reach {
            for y in cy - reach..=cy + reach {
                self.steps += 1;
                if self.steps > self.budget {
                    return false;
                }
                places[level][k] = (x, y);
                if self.possible(group, level, &places[level], k) && !self.refine(group, level, places, k + 1) {
                    return false;
                }
            }
        }
        true
    }

    /// Whether piece `k` may be where it is, beside those before it.
    fn possible(&mut self, group: &Group, level: usize, places: &[(i32, i32)], k: usize) -> bool {
        // Copies from left to right; rounding keeps their order.
        if group.alike[k] && places[k].0 < places[k - 1].0 {
            return false;
        }
        (0..k).all(|i| {
            let shift = (places[k].0 - places[i].0, places[k].1 - places[i].1);
            !self.barriers[group.barriers[k][i]].barred(level, shift, i > 0)
        })
    }

    fn barrier(&mut self, a: &Rc<Shape>, b: &Rc<Shape>) -> usize {
        let key = (a.class, a.turn, b.class, b.turn);
        if let Some(&index) = self.between.get(&key) {
            return index;
        }
        let (width, height) = (self.width, self.height);
        self.barriers.push(Barrier {
            room: Rect::new(a.bounds.x1 - width, a.bounds.y1 - height, width - b.bounds.x1, height - b.bounds.y1),
            pitch: width.max(height) / 8.0,
            rules: self.rules,
            a: Rc::clone(a),
            b: Rc::clone(b),
            coarse: [Vec::new(), Vec::new()],
            fine: HashMap::new(),
        });
        self.between.insert(key, self.barriers.len() - 1);
        self.barriers.len() - 1
    }
}

/// Turned pieces that are tried together.
struct Group {
    /// The barrier between each piece and those before it.
    barriers: Vec<Vec<usize>>,
    /// Whether a piece is a copy of the one before it, turned alike.
    alike: Vec<bool>,
}

impl Shape {
    fn new(class: usize, turn: u8, outline: Vec<Point>, rules: Rules) -> Self {
        let bounds = bounds(&outline);
        let n = outline.len();
        let step = bounds.width().max(bounds.height()) / ALONG;
        let mut points = if rules.disc > 0.0 { Vec::new() } else { outline.clone() };
        let corners = points.len();
        for i in 0..n {
            let (a, b) = (outline[i], outline[(i + 1) % n]);
            let parts = ((b - a).hypot() / step).ceil().max(1.0) as usize;
            points.extend((1..parts).map(|k| a.lerp(b, k as f64 / parts as f64)));
        }
        let across = |k: i32, low: f64, high: f64| low + (high - low) * (f64::from(k) + 0.5) / 12.0;
        for x in 0..12 {
            points
                .extend((0..12).map(|y| Point::new(across(x, bounds.x0, bounds.x1), across(y, bounds.y0, bounds.y1))));
        }
        // Near the corners, where discs must lie inside.
        let inwards: Vec<Point> = (0..n).flat_map(|i| around(outline[i], 2.0 * rules.disc)).collect();
        points.extend(if rules.disc > 0.0 { inwards } else { Vec::new() });
        let deep = |p: &Point| plane::depth(*p, &outline) >= rules.disc;
        let rest: Vec<Point> = points.split_off(corners).into_iter().filter(deep).collect();
        points.extend(rest);
        Self { class, turn, outline, bounds, points, corners }
    }
}

/// Points around a corner, one of which lies well inside a right angle.
fn around(p: Point, by: f64) -> [Point; 4] {
    [(by, by), (-by, by), (by, -by), (-by, -by)].map(|(x, y)| Point::new(p.x + x, p.y + y))
}

impl Barrier {
    /// Whether every shift near a grid point is barred: those within half a pitch in x and in y,
    /// or within a whole one where it is `wide`.
    fn barred(&mut self, level: usize, at: (i32, i32), wide: bool) -> bool {
        // All shifts beyond this many steps lead off the sheet.
        let far = 8 * 3_i32.pow(level as u32) + 1;
        if at.0.abs() > far || at.1.abs() > far {
            return true;
        }
        let key = (level as u8, at.0, at.1, wide);
        let index = || {
            let side = 2 * far + 1;
            LEVEL_STARTS[level] + ((at.1 + far) * side + at.0 + far) as usize
        };
        if level < LEVEL_STARTS.len() - 1 {
            let coarse = &mut self.coarse[usize::from(wide)];
            if coarse.is_empty() {
                coarse.resize(LEVEL_STARTS[LEVEL_STARTS.len() - 1], 0);
            }
            match coarse[index()] {
                0 => {}
                known => return known == 2,
            }
        } else if let Some(&known) = self.fine.get(&key) {
            return known;
        }
        let pitch = self.pitch / f64::from(3_u32.pow(level as u32));
        let half = if wide { pitch } else { pitch / 2.0 };
        let (x, y) = (f64::from(at.0) * pitch, f64::from(at.1) * pitch);
        let shifts = Rect::new(
            (x - half).max(self.room.x0),
            (y - half).max(self.room.y0),
            (x + half).min(self.room.x1),
            (y + half).min(self.room.y1),
        );
        let barred = if shifts.x0 > shifts.x1 || shifts.y0 > shifts.y1 {
            true
        } else {
            let needed = (shifts.width() / 2.0).hypot(shifts.height() / 2.0) + super::ROUNDING;
            let depth = self.depth(shifts.center(), needed);
            // Where the middle is free, or as good as, no part of the box can make up for it.
            depth > needed
                || (depth > 0.0 && level < FINEST && {
                    let step = if wide { 2 } else { 1 };
                    let ninths = [-step, 0, step];
                    ninths
                        .iter()
                        .all(|dx| ninths.iter().all(|dy| self.barred(level + 1, (3 * at.0 + dx, 3 * at.1 + dy), wide)))
                })
        };
        if level < LEVEL_STARTS.len() - 1 {
            self.coarse[usize::from(wide)][index()] = if barred { 2 } else { 1 };
        } else {
            self.fine.insert(key, barred);
        }
        barred
    }

    /// By how much the shift may at least be changed with the pieces still in each other's way;
    /// not looked for further once it is more than `enough`.
    fn depth(&self, shift: Point, enough: f64) -> f64 {
        let shift = shift.to_vec2();
        let mut best = f64::NEG_INFINITY;
        let (a, b) = (&self.a, &self.b);
        let more = self.rules.near - self.rules.disc;
        let (box_a, box_b) = (a.bounds, b.bounds + shift);
        if box_a.inflate(more.max(0.0), more.max(0.0)).intersect(box_b).is_zero_area() && self.rules.disc > 0.0 {
            return best;
        }
        for which in [0, 1] {
            let take = |shape: &Shape| if which == 0 { 0..shape.corners } else { shape.corners..shape.points.len() };
            for &p in &a.points[take(a)] {
                best = best.max(plane::depth(p - shift, &b.outline) + more);
                if best > enough {
                    return best;
                }
            }
            for &p in &b.points[take(b)] {
                best = best.max(plane::depth(p + shift, &a.outline) + more);
                if best > enough {
                    return best;
                }
            }
        }
        best
    }
}
