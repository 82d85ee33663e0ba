//! What a proof needs to know of the items: equal ones joined, each with its measures.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use flatwright_geometry::contour::Contour;
use flatwright_geometry::turn::quarter;
use kurbo::{Point, Rect};

use super::inscribed;
use crate::job::{Job, Turns};

/// Items with one outline and the same turns.
pub(super) struct Class {
    /// Indices into the job.
    pub items: Vec<usize>,
    pub copies: u64,
    pub turns: Turns,
    /// As the first of the items is drawn.
    pub outline: Contour,
    /// A rectangle within the outline, in the same coordinates.
    pub inner: Rect,
}

/// A class's outline in one turn, its box's lower left corner at the origin.
pub(super) struct Turned {
    /// Quarter turns.
    pub turn: u8,
    pub points: Vec<Point>,
    pub inner: Rect,
}

/// All items of the job, in the order in which they first appear.
pub(super) fn classes(job: &Job) -> Vec<Class> {
    let mut seen: BTreeMap<Vec<u64>, usize> = BTreeMap::new();
    let mut classes: Vec<Class> = Vec::new();
    for (index, item) in job.items().iter().enumerate() {
        let corners = item.outline.points().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]);
        let key = std::iter::once(item.turns as u64).chain(corners).collect();
        let class = *seen.entry(key).or_insert(classes.len());
        match classes.get_mut(class) {
            Some(class) => {
                class.items.push(index);
                class.copies += u64::from(item.copies);
            }
            None => classes.push(Class {
                items: vec![index],
                copies: u64::from(item.copies),
                turns: item.turns,
                inner: inscribed::rectangle(&item.outline),
                outline: item.outline.clone(),
            }),
        }
    }
    classes
}

impl Class {
    /// Whether no other turn than quarters is allowed. What this does not know is not proved for.
    pub(super) const fn turns_by_quarters(&self) -> bool {
        match self.turns {
            Turns::Fixed | Turns::Half | Turns::Quarter => true,
        }
    }

    /// The outline in every allowed turn, its box's lower left corner at the origin. Turns that
    /// show the same outline again are left out.
    pub(super) fn turned(&self) -> Vec<Turned> {
        let mut all: Vec<Turned> = Vec::new();
        for turn in (0..4).filter(|&turn| self.turns.allows(turn)) {
            let motion = quarter(u32::from(turn));
            let outline = self.outline.moved(motion);
            let corner = outline.bounds().origin().to_vec2();
            let points: Vec<Point> = outline.points().iter().map(|p| *p - corner).collect();
            let inner = motion.transform_rect_bbox(self.inner) - corner;
            let same = |other: &[Point]| {
                other.len() == points.len() && other.iter().zip(&points).all(|(a, b)| a.distance(*b) < SAME)
            };
            if !all.iter().any(|other| same(&other.points)) {
                all.push(Turned { turn, points, inner });
            }
        }
        all
    }

    /// At most the area of the outline grown by `r` on all sides, less a strip of `strip` along
    /// its side.
    pub(super) fn grown_area(&self, r: f64, strip: f64) -> f64 {
        let (area, perimeter) = (self.outline.area(), self.outline.perimeter());
        let ring = if is_convex(&self.outline) { perimeter } else { 2.0 * (PI * area).sqrt() };
        (area + ring * r + PI * r * r - strip * perimeter).max(0.0)
    }
}

/// Corners of turned outlines that lie this near each other are the same, mm. Proofs keep a
/// wider margin than this.
const SAME: f64 = 2e-6;

fn is_convex(outline: &Contour) -> bool {
    let p = outline.points();
    let n = p.len();
    (0..n).all(|i| (p[(i + 1) % n] - p[i]).cross(p[(i + 2) % n] - p[(i + 1) % n]) >= 0.0)
}
