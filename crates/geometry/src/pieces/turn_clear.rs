//! What keeps clear of a tile with a side on a bend.

use super::bend::TurnTile;
use super::{mm, rect};
use crate::parameters::Parameters;
use crate::region::{self, Region};
use crate::tolerance;
use crate::units::Mm;

impl TurnTile {
    /// Whether a square about a lattice point of the bend's frame, `half` its side, lies over ground of the
    /// tile, reliefs left out. A tile that cannot be built is in nothing's way.
    #[must_use]
    pub fn meets_square(self, p: &Parameters, at: (u32, u32), half: Mm) -> bool {
        let (x, y) = (mm(p.module) * f64::from(at.0), mm(p.module) * f64::from(at.1));
        let square = rect(x - mm(half), y - mm(half), x + mm(half), y + mm(half));
        let shared = self.finished(p).map(|ground| region::intersection(&ground, &square)).unwrap_or_default();
        shared.iter().map(Region::area).sum::<f64>() > tolerance::FIT
    }
}
