//! Where every piece lies.

use flatwright_geometry::turn::quarter;
use kurbo::{Affine, Vec2};

/// One piece on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Index of the item in the job.
    pub item: usize,
    /// Quarter turns counterclockwise about the item's origin, 0 to 3.
    pub quarter_turns: u8,
    /// Shift after the turn, mm.
    pub shift: Vec2,
}

impl Placement {
    /// From the item's coordinates to the page's: the turn, then the shift. Quarter turns are
    /// exact: no sine or cosine is rounded.
    #[must_use]
    pub fn motion(&self) -> Affine {
        Affine::translate(self.shift) * quarter(u32::from(self.quarter_turns))
    }
}

/// A filled sheet, and how many there are of it.
#[derive(Clone, Debug, PartialEq)]
pub struct PackedSheet {
    /// Index of the sheet kind in the job.
    pub kind: usize,
    /// How many identical sheets, at least one.
    pub copies: u32,
    /// The pieces on one of them.
    pub placements: Vec<Placement>,
}

/// All sheets of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layout {
    /// Different sheets, in printing order: fuller ones first, where no other order is asked for.
    pub sheets: Vec<PackedSheet>,
}

impl Layout {
    /// How many sheets there are, copies counted.
    #[must_use]
    pub fn sheets_used(&self) -> u64 {
        self.sheets.iter().map(|sheet| u64::from(sheet.copies)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    /// Against kurbo's own rotation.
    #[test]
    fn the_motion_turns_counterclockwise_then_shifts() {
        for quarter_turns in 0..4 {
            let placement = Placement { item: 0, quarter_turns, shift: Vec2::new(5.0, -3.0) };
            let angle = f64::from(quarter_turns) * std::f64::consts::FRAC_PI_2;
            let want = Affine::translate(placement.shift) * Affine::rotate(angle) * Point::new(2.0, 7.0);
            assert!((placement.motion() * Point::new(2.0, 7.0)).distance(want) < 1e-12);
        }
    }
}
