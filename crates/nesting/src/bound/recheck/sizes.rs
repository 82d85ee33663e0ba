//! The sizes that measures give to pieces, worked out from their definitions.

use std::f64::consts::{PI, SQRT_2};

use kurbo::Rect;

use crate::bound::DualFunction;
use crate::job::Item;

/// A whole sheet in the units of sizes.
pub(super) const SHEET: u64 = 1 << 32;

/// Sizes on one sheet kind, lengths in mm.
pub(super) struct Sizer {
    pub width: f64,
    pub height: f64,
    pub near: f64,
    pub disc: f64,
}

impl Sizer {
    /// Whether the item fits the sheet in any of its turns.
    pub(super) fn fits(&self, item: &Item) -> bool {
        self.turns(item).next().is_some()
    }

    /// The grown outline's part of the grown room. The outline that counts is the one less a strip
    /// as wide as the disc.
    pub(super) fn area(&self, item: &Item) -> u64 {
        let points = item.outline.points();
        let n = points.len();
        let corner = |i: usize| points[i % n];
        let shoelace: f64 = (0..n).map(|i| corner(i).x * corner(i + 1).y - corner(i + 1).x * corner(i).y).sum();
        let around: f64 = (0..n).map(|i| (corner(i + 1) - corner(i)).hypot()).sum();
        let left = |i: usize| (corner(i + 1) - corner(i)).cross(corner(i + 2) - corner(i + 1)) >= 0.0;
        let r = self.near / 2.0;
        let area = shoelace / 2.0;
        // Of all outlines of one area a disc grows least.
        let ring = if (0..n).all(left) { around } else { 2.0 * (PI * area).sqrt() };
        let grown = area + r * ring + PI * r * r - self.disc * around;
        let room = self.width * self.height + 2.0 * r * (self.width + self.height) + PI * r * r;
        part(grown / room)
    }

    /// The least product over the turns in which the item fits.
    pub(super) fn product(&self, item: &Item, inner: Rect, f: DualFunction, g: DualFunction) -> u64 {
        let more = self.near / SQRT_2;
        let length = |side: f64, room: f64| ((side - 2.0 * self.disc + more) / (room + more)).clamp(0.0, 1.0);
        let product = |turned: bool| {
            let (w, h) = if turned { (inner.height(), inner.width()) } else { (inner.width(), inner.height()) };
            image(f, length(w, self.width)) * image(g, length(h, self.height))
        };
        self.turns(item).map(product).map(part).min().unwrap_or(0)
    }

    /// Whether the item lies across, for each way in which it fits.
    fn turns(&self, item: &Item) -> impl Iterator<Item = bool> {
        let size = item.outline.bounds().size();
        let along =
            (item.turns.allows(0) || item.turns.allows(2)) && size.width <= self.width && size.height <= self.height;
        let across =
            (item.turns.allows(1) || item.turns.allows(3)) && size.height <= self.width && size.width <= self.height;
        [(along, false), (across, true)].into_iter().filter(|(fits, _)| *fits).map(|(_, across)| across)
    }
}

/// The image of a length by the functions' definitions; at a jump the lower side.
fn image(f: DualFunction, x: f64) -> f64 {
    let hair = 1e-10;
    match f {
        DualFunction::Length => x,
        DualFunction::Threshold(e) if !(e > 0.0 && e <= 0.5) => 0.0,
        DualFunction::Threshold(e) if x - hair > 1.0 - e => 1.0,
        DualFunction::Threshold(e) if x - hair >= e => x - hair,
        DualFunction::Threshold(_) => 0.0,
        DualFunction::Steps(0) => 0.0,
        DualFunction::Steps(k) => ((f64::from(k) + 1.0) * (x - hair)).floor().max(0.0) / f64::from(k),
        DualFunction::Multiples(e) if !(e > 0.0 && e <= 0.5) => 0.0,
        DualFunction::Multiples(e) => {
            let pieces = (1.0 / e).floor();
            if x - hair > 0.5 {
                1.0 - ((1.0 - x + hair) / e).floor() / pieces
            } else {
                ((x - hair) / e).floor().max(0.0) / pieces
            }
        }
    }
}

fn part(part: f64) -> u64 {
    if part > 0.0 { (part * SHEET as f64) as u64 } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lengths that sum to one have images that do not sum to more, for a thousand random splits.
    #[test]
    fn images_of_parts_of_one_sum_to_one_at_most() {
        let functions = [
            DualFunction::Threshold(0.3),
            DualFunction::Threshold(0.5),
            DualFunction::Steps(3),
            DualFunction::Multiples(0.21),
            DualFunction::Multiples(1.0 / 3.0),
        ];
        let mut state = 1_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / (1_u64 << 24) as f64
        };
        for _ in 0..1_000 {
            let mut left = 1.0;
            let mut parts = Vec::new();
            while left > 0.02 {
                let part = ((next() * 12.0).ceil() / 12.0 * next().round() + next() * 0.4).min(left);
                parts.push(part);
                left -= part;
            }
            for f in functions {
                let sum: f64 = parts.iter().map(|x| image(f, *x)).sum();
                assert!(sum <= 1.0 + 1e-9, "{f:?} {parts:?} {sum}");
                let other: f64 = parts.iter().map(|x| f.of(*x)).sum();
                assert!(other <= 1.0 + 1e-9, "{f:?} {parts:?} {other}");
            }
        }
    }
}
