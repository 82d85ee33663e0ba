//! One sheet of rectangles, filled by its maximal free rectangles.
//!
//! Where every piece is an upright rectangle, pieces and room are grown by the gap and the free
//! area is kept as the list of all maximal empty rectangles: a piece goes into a corner of one of
//! them. Square corners keep slightly more than the gap; without a gap nothing is lost.

use super::holes::{Bounds, Holes};
use super::page::Put;
use super::shapes::{Shapes, Units, up};
use super::tuning;
use crate::job::Job;

/// Where a piece goes among the free rectangles that hold it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rule {
    /// The lowest far end, then nearest.
    LowestTop,
    /// The nearest far end, then lowest.
    NearestEnd,
    /// The least that is left along the tighter side.
    ShortSide,
    /// The smallest free rectangle.
    Area,
    /// The most of its outline touching others or the edge.
    Touching,
}

impl Rule {
    pub(super) const ALL: [Self; 5] = [Self::LowestTop, Self::NearestEnd, Self::ShortSide, Self::Area, Self::Touching];
}

pub(super) struct Rectangles {
    /// Sizes of shapes, grown by the gap.
    sizes: Vec<Units>,
    of_item: Vec<Vec<usize>>,
    rooms: Vec<Bounds>,
    holes: Holes,
}

impl Rectangles {
    /// `None` where some outline is not an upright rectangle.
    pub(super) fn new(job: &Job, shapes: &Shapes, rooms: &[(Units, Units)]) -> Option<Self> {
        let upright = |item: &crate::job::Item| {
            let (outline, bounds) = (&item.outline, item.outline.bounds());
            outline.points().len() == 4 && (outline.area() - bounds.area()).abs() <= 1e-9 * bounds.area()
        };
        if !job.items().iter().all(upright) {
            return None;
        }
        let gap = up(job.gap().get());
        let grown = |high: Units| high.map(|c| c + gap);
        Some(Self {
            sizes: shapes.list.iter().map(|shape| grown(shape.size)).collect(),
            of_item: shapes.of_item.clone(),
            rooms: rooms.iter().map(|(low, high)| [low[0], low[1], high[0] + gap, high[1] + gap]).collect(),
            holes: Holes::default(),
        })
    }

    /// Places `passes` (item, at most how many) in turn; also returns the work it took.
    pub(super) fn fill(
        &mut self,
        kind: usize,
        rule: Rule,
        passes: impl Iterator<Item = (usize, u32)>,
        wanted: &[u32],
    ) -> (Vec<Put>, u64) {
        self.holes.reset(self.rooms[kind]);
        let mut puts: Vec<Put> = Vec::new();
        let mut left = wanted.to_vec();
        let mut work = 0;
        for (item, most) in passes {
            for _ in 0..most.min(left[item]) {
                if puts.len() >= tuning::PIECES_PER_SHEET {
                    break;
                }
                work += (self.holes.list.len() * self.of_item[item].len()) as u64;
                let Some(put) = self.best(kind, rule, item, &puts) else { break };
                work += self.take(put);
                puts.push(put);
                left[item] -= 1;
            }
            if self.holes.list.is_empty() {
                break;
            }
        }
        // One look at a contact takes about as long as four looks at free rectangles.
        (puts, work / 4)
    }

    fn best(&self, kind: usize, rule: Rule, item: usize, puts: &[Put]) -> Option<Put> {
        let mut best: Option<([i64; 3], Put)> = None;
        for &shape in &self.of_item[item] {
            let [w, h] = self.sizes[shape];
            for f in &self.holes.list {
                let (over_x, over_y) = (f[2] - f[0] - w, f[3] - f[1] - h);
                if over_x < 0 || over_y < 0 {
                    continue;
                }
                let (x, y) = (f[0], f[1]);
                let score = match rule {
                    Rule::LowestTop => [y + h, x, over_y],
                    Rule::NearestEnd => [x + w, y, over_x],
                    Rule::ShortSide => [over_x.min(over_y), over_x.max(over_y), y],
                    Rule::Area => [area(f), over_x.min(over_y), y],
                    Rule::Touching => [-self.touching(kind, [x, y, x + w, y + h], puts), y + h, x],
                };
                if best.as_ref().is_none_or(|(old, _)| score < *old) {
                    best = Some((score, Put { shape, at: [x, y] }));
                }
            }
        }
        best.map(|(_, put)| put)
    }

    /// Length of the box's outline that meets the edge of the room or another piece.
    fn touching(&self, kind: usize, b: Bounds, puts: &[Put]) -> i64 {
        let room = self.rooms[kind];
        let (w, h) = (b[2] - b[0], b[3] - b[1]);
        let at_edge = |meets: bool, length: i64| if meets { length } else { 0 };
        let mut length = at_edge(b[0] == room[0], h)
            + at_edge(b[2] == room[2], h)
            + at_edge(b[1] == room[1], w)
            + at_edge(b[3] == room[3], w);
        for put in puts {
            let size = self.sizes[put.shape];
            let p = [put.at[0], put.at[1], put.at[0] + size[0], put.at[1] + size[1]];
            if b[0] == p[2] || b[2] == p[0] {
                length += (b[3].min(p[3]) - b[1].max(p[1])).max(0);
            } else if b[1] == p[3] || b[3] == p[1] {
                length += (b[2].min(p[2]) - b[0].max(p[0])).max(0);
            }
        }
        length
    }

    /// Cuts a placed piece out of the holes; returns the work.
    fn take(&mut self, put: Put) -> u64 {
        let size = self.sizes[put.shape];
        self.holes.cut([put.at[0], put.at[1], put.at[0] + size[0], put.at[1] + size[1]])
    }
}

fn area(b: &Bounds) -> i64 {
    // Units of 1e-6 mm squared would overflow: a thousandth of each side keeps the order.
    ((b[2] - b[0]) / 1000) * ((b[3] - b[1]) / 1000)
}
