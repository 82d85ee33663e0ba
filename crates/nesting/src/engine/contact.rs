//! Where one shape may lie beside another.
//!
//! Shape B at displacement d from shape A keeps the gap exactly when d is outside the Minkowski
//! sum of A, of B mirrored and of a disc as wide as the gap. Both shapes are unions of convex
//! parts, so that set is a union of convex sums; on a fixed level (one coordinate of d given)
//! each forbids one open interval of the other coordinate. Answers are exact and remembered,
//! for a page of equal pieces asks the same question again and again.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use kurbo::Point;

use super::convex;
use super::shapes::{Shape, down, mm, up};
use super::tuning;

/// Forbidden displacements along the free axis, open intervals in units, sorted and disjoint.
pub(super) type Interval = (i64, i64);

pub(super) struct Contacts {
    gap: f64,
    shapes: usize,
    pairs: HashMap<u64, Pair, BuildHasherDefault<Mix>>,
    known: HashMap<(u64, i64), (u32, u32), BuildHasherDefault<Mix>>,
    answers: Vec<Interval>,
    scratch: Vec<Interval>,
    /// Looks so far; one that had to be computed counts by its work.
    pub(super) looks: u64,
}

struct Pair {
    sums: Vec<Sum>,
    /// Levels just clear of a part, for either axis, units, ascending.
    tops: [Vec<i64>; 2],
}

/// The sum of two convex parts.
struct Sum {
    corners: Vec<[f64; 2]>,
    /// Its sides moved outward by the gap.
    sides: Vec<[[f64; 2]; 2]>,
    low: [f64; 2],
    high: [f64; 2],
}

impl Contacts {
    pub(super) fn new(gap: f64, shapes: usize) -> Self {
        let (pairs, known) = (HashMap::default(), HashMap::default());
        Self { gap, shapes, pairs, known, answers: Vec::new(), scratch: Vec::new(), looks: 0 }
    }

    /// Displacements of `moving` along `axis`, from `fixed`, at which it is just clear of a part.
    pub(super) fn tops(&mut self, list: &[Shape], fixed: usize, moving: usize, axis: usize) -> &[i64] {
        &self.pair(list, fixed, moving).tops[axis]
    }

    /// The forbidden displacements of `moving` from `fixed` across `axis`, its displacement along
    /// `axis` being `level`.
    pub(super) fn forbidden(
        &mut self,
        list: &[Shape],
        fixed: usize,
        moving: usize,
        axis: usize,
        level: i64,
    ) -> &[Interval] {
        let key = (((fixed * self.shapes + moving) * 2 + axis) as u64, level);
        self.looks += 1;
        if let Some(&(start, end)) = self.known.get(&key) {
            return &self.answers[start as usize..end as usize];
        }
        let gap = self.gap;
        let mut found = std::mem::take(&mut self.scratch);
        found.clear();
        let sums = &self.pair(list, fixed, moving).sums;
        found.extend(sums.iter().filter_map(|s| s.interval(gap, axis, mm(level))));
        let work = sums.len() as u64 / tuning::SUMS_PER_LOOK;
        self.looks += work;
        merge(&mut found);
        self.scratch = found;
        if self.known.len() >= tuning::ANSWERS {
            self.known.clear();
            self.answers.clear();
        }
        let start = self.answers.len() as u32;
        self.answers.extend_from_slice(&self.scratch);
        self.known.insert(key, (start, self.answers.len() as u32));
        &self.scratch
    }

    fn pair(&mut self, list: &[Shape], fixed: usize, moving: usize) -> &Pair {
        let gap = self.gap;
        self.pairs
            .entry((fixed * self.shapes + moving) as u64)
            .or_insert_with(|| Pair::new(&list[fixed], &list[moving], gap))
    }
}

impl Pair {
    fn new(fixed: &Shape, moving: &Shape, gap: f64) -> Self {
        let mut sums = Vec::with_capacity(fixed.parts.len() * moving.parts.len());
        for part in &moving.parts {
            // Mirroring in the origin is a half turn: the direction stays counterclockwise.
            let mirrored: Vec<Point> = part.iter().map(|p| Point::new(-p.x, -p.y)).collect();
            sums.extend(fixed.parts.iter().map(|f| Sum::new(&convex::sum(f, &mirrored), gap)));
        }
        let tops = [0, 1].map(|axis| {
            let mut tops: Vec<i64> = sums.iter().map(|s| up(s.high[axis] + gap)).collect();
            tops.sort_unstable();
            tops.dedup();
            thinned(&tops, tuning::LEVELS_PER_PAIR)
        });
        Self { sums, tops }
    }
}

impl Sum {
    fn new(corners: &[Point], gap: f64) -> Self {
        let n = corners.len();
        let sides = (0..n)
            .filter_map(|i| {
                let (p, q) = (corners[i], corners[(i + 1) % n]);
                let along = q - p;
                let length = along.hypot();
                // Outward is to the right of a counterclockwise side.
                let out = kurbo::Vec2::new(along.y, -along.x) * (gap / length);
                (length > 0.0).then(|| [p + out, q + out].map(|p| [p.x, p.y]))
            })
            .collect();
        let corners: Vec<[f64; 2]> = corners.iter().map(|p| [p.x, p.y]).collect();
        let fold =
            |f: fn(f64, f64) -> f64, start: f64| [0, 1].map(|axis| corners.iter().map(|c| c[axis]).fold(start, f));
        let (low, high) = (fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY));
        Self { corners, sides, low, high }
    }

    /// What the sum, grown by a disc of radius `gap`, covers on the level.
    fn interval(&self, gap: f64, axis: usize, level: f64) -> Option<Interval> {
        let noise = flatwright_geometry::tolerance::ROUNDING;
        if level <= self.low[axis] - gap + noise || level >= self.high[axis] + gap - noise {
            return None;
        }
        let across = 1 - axis;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in &self.corners {
            let off = level - corner[axis];
            if off.abs() <= gap {
                let half = (gap * gap - off * off).max(0.0).sqrt();
                low = low.min(corner[across] - half);
                high = high.max(corner[across] + half);
            }
        }
        for [p, q] in &self.sides {
            let (a, b) = (p[axis], q[axis]);
            if (a.min(b)..=a.max(b)).contains(&level) && a != b {
                let at = p[across] + (level - a) / (b - a) * (q[across] - p[across]);
                low = low.min(at);
                high = high.max(at);
            }
        }
        let (low, high) = (down(low), up(high));
        (low < high).then_some((low, high))
    }
}

/// At most `most` of `levels`, evenly spread, the last always among them.
fn thinned(levels: &[i64], most: usize) -> Vec<i64> {
    let step = levels.len().div_ceil(most).max(1);
    let mut kept: Vec<i64> = levels.iter().rev().step_by(step).copied().collect();
    kept.reverse();
    kept
}

/// Sorts intervals and joins those that overlap. Open intervals that only touch stay apart: the
/// point between them is free.
pub(super) fn merge(intervals: &mut Vec<Interval>) {
    intervals.sort_unstable();
    let mut kept = 0;
    for i in 0..intervals.len() {
        if kept > 0 && intervals[i].0 < intervals[kept - 1].1 {
            intervals[kept - 1].1 = intervals[kept - 1].1.max(intervals[i].1);
        } else {
            intervals[kept] = intervals[i];
            kept += 1;
        }
    }
    intervals.truncate(kept);
}

/// A quick hash for small whole-number keys. Maps with it are only looked up, never walked.
#[derive(Default)]
pub(super) struct Mix(u64);

impl Hasher for Mix {
    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|b| self.write_u64(u64::from(*b)));
    }

    fn write_u64(&mut self, value: u64) {
        // Multiply and rotate; the constant is the fractional part of the golden ratio.
        self.0 = (self.0.rotate_left(26) ^ value).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    }

    fn write_i64(&mut self, value: i64) {
        self.write_u64(value.cast_unsigned());
    }

    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }
}
