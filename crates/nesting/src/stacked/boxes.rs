//! Items as boxes in whole thousandths of a millimetre.
//!
//! A box is the outline's with one gap added to both sides: boxes that touch keep the gap between
//! their outlines, and a cut along their common edge keeps half of it from either.

use flatwright_geometry::tolerance;
use flatwright_geometry::turn::quarter;
use kurbo::{Rect, Vec2};

use super::first_block;
use crate::job::{Item, Job};
use crate::layout::Placement;

const PER_MM: f64 = 1000.0;
/// Noise of the computation, that must not cost a unit.
const NOISE: f64 = tolerance::SNAP * PER_MM;

/// Units to millimetres.
pub(super) fn mm(units: i64) -> f64 {
    units as f64 / PER_MM
}

/// An item in one turn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub item: usize,
    pub quarter_turns: u8,
    /// Width and height with the gap.
    pub size: [i64; 2],
    /// From the outline's lower left corner, turned, to its origin.
    origin: Vec2,
}

/// All items, and what they are placed on.
pub(super) struct Boxes {
    /// Every item in every turn that differs.
    pub ways: Vec<Way>,
    /// Area of each item's box.
    pub areas: Vec<f64>,
    /// Width and height of each sheet's first block.
    pub rooms: Vec<[i64; 2]>,
    /// The blocks themselves.
    pub blocks: Vec<Rect>,
    half_gap: f64,
}

impl Boxes {
    pub fn new(job: &Job) -> Self {
        let gap = job.gap().get();
        let ways: Vec<Way> = job.items().iter().enumerate().flat_map(|(i, item)| ways(i, item, gap)).collect();
        let area = |item: usize| {
            let [w, h] = ways.iter().find(|way| way.item == item).map_or([0, 0], |way| way.size);
            w as f64 * h as f64
        };
        let blocks: Vec<Rect> = (0..job.sheets().len()).map(|kind| first_block(job, kind)).collect();
        let down = |mm: f64| (mm * PER_MM + NOISE).floor() as i64;
        Self {
            areas: (0..job.items().len()).map(area).collect(),
            rooms: blocks.iter().map(|block| [down(block.width()), down(block.height())]).collect(),
            blocks,
            half_gap: gap / 2.0,
            ways,
        }
    }

    /// A piece in its box, whose left edge and upper edge (page coordinates, mm) are given.
    pub fn placement(&self, way: usize, left: f64, top: f64) -> Placement {
        let Way { item, quarter_turns, size, origin } = self.ways[way];
        let corner = Vec2::new(left + self.half_gap, top - mm(size[1]) + self.half_gap);
        Placement { item, quarter_turns, shift: corner + origin }
    }
}

fn ways(index: usize, item: &Item, gap: f64) -> Vec<Way> {
    let bounds = item.outline.bounds();
    let square = (bounds.width() - bounds.height()).abs() < tolerance::SNAP;
    let turns = if item.turns.allows(1) && !square { 2 } else { 1 };
    let up = |mm: f64| (mm * PER_MM - NOISE).ceil() as i64;
    (0..turns)
        .map(|quarter_turns| {
            let turned = quarter(u32::from(quarter_turns)).transform_rect_bbox(bounds);
            Way {
                item: index,
                quarter_turns,
                size: [up(turned.width() + gap), up(turned.height() + gap)],
                origin: -turned.origin().to_vec2(),
            }
        })
        .collect()
}
