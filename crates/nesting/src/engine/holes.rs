//! The maximal empty rectangles of a sheet.

use kurbo::Rect;

use super::shapes::{down, mm, up};

/// A box: low x, low y, high x, high y, in units.
pub(crate) type Bounds = [i64; 4];

/// All rectangles that are empty and lie in no other empty one.
#[derive(Default)]
pub(crate) struct Holes {
    pub(crate) list: Vec<Bounds>,
    fresh: Vec<Bounds>,
}

impl Holes {
    /// An empty room.
    pub(crate) fn reset(&mut self, room: Bounds) {
        self.list.clear();
        self.list.push(room);
    }

    /// Takes a box out; returns the work it took, in comparisons.
    pub(crate) fn cut(&mut self, b: Bounds) -> u64 {
        self.fresh.clear();
        let fresh = &mut self.fresh;
        self.list.retain(|f| {
            if b[0] >= f[2] || b[2] <= f[0] || b[1] >= f[3] || b[3] <= f[1] {
                return true;
            }
            for side in 0..2 {
                if b[side] > f[side] {
                    let mut rest = *f;
                    rest[side + 2] = b[side];
                    fresh.push(rest);
                }
                if b[side + 2] < f[side + 2] {
                    let mut rest = *f;
                    rest[side] = b[side + 2];
                    fresh.push(rest);
                }
            }
            false
        });
        // Rectangles that were maximal stay so; only fresh ones can lie within others.
        let old = self.list.len();
        for i in 0..self.fresh.len() {
            let f = self.fresh[i];
            let covered = self.list[..old].iter().any(|g| within(&f, g))
                || self.fresh.iter().enumerate().any(|(j, g)| j != i && within(&f, g) && (f != *g || j < i));
            if !covered {
                self.list.push(f);
            }
        }
        (self.fresh.len() * (old + self.fresh.len())) as u64 / 2
    }
}

/// A rectangle in mm, rounded to units that lie within it.
pub(crate) fn inner(rect: Rect) -> Bounds {
    [up(rect.x0), up(rect.y0), down(rect.x1), down(rect.y1)]
}

/// A rectangle in mm, rounded to units that cover it.
pub(crate) fn outer(rect: Rect) -> Bounds {
    [down(rect.x0), down(rect.y0), up(rect.x1), up(rect.y1)]
}

/// In mm.
pub(crate) fn rectangle(b: &Bounds) -> Rect {
    Rect::new(mm(b[0]), mm(b[1]), mm(b[2]), mm(b[3]))
}

/// Whether `a` lies in `b`.
fn within(a: &Bounds, b: &Bounds) -> bool {
    a[0] >= b[0] && a[1] >= b[1] && a[2] <= b[2] && a[3] <= b[3]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against every rectangle on a small grid.
    #[test]
    fn the_holes_are_all_maximal_empty_rectangles() {
        let boxes = [[1, 1, 3, 2], [4, 0, 5, 3], [0, 4, 2, 6], [3, 3, 4, 5]];
        let mut holes = Holes::default();
        holes.reset([0, 0, 6, 6]);
        for b in boxes {
            holes.cut(b);
        }
        let empty = |r: &Bounds| boxes.iter().all(|b| b[0] >= r[2] || b[2] <= r[0] || b[1] >= r[3] || b[3] <= r[1]);
        let mut all: Vec<Bounds> = Vec::new();
        for x in 0..6 {
            for y in 0..6 {
                for right in x + 1..=6 {
                    all.extend((y + 1..=6).map(|top| [x, y, right, top]).filter(empty));
                }
            }
        }
        let mut maximal: Vec<Bounds> =
            all.iter().filter(|r| !all.iter().any(|other| other != *r && within(r, other))).copied().collect();
        maximal.sort_unstable();
        holes.list.sort_unstable();
        assert_eq!(holes.list, maximal);
    }
}
