//! The lengths by which the checker's tolerance is counted in the bound's favour.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use flatwright_geometry::tolerance;
use kurbo::Rect;

use crate::job::{Job, SheetKind};

/// Kept on top of the tolerance for the rounding of numbers, mm.
pub(super) const MARGIN: f64 = 1e-5;

/// When two pieces are in each other's way, by the checker's rules and less.
#[derive(Clone, Copy)]
pub(super) struct Lengths {
    /// Pieces nearer than this are in each other's way, mm.
    pub reach: f64,
    /// Outlines less a strip of this width may not overlap, mm. Not zero only with next to no
    /// gap, where the checker lets outlines overlap by its tolerance: twice that is found.
    pub strip: f64,
}

impl Lengths {
    pub(super) fn of(job: &Job) -> Self {
        let reach = (job.gap().get() - tolerance::FIT - MARGIN).max(0.0);
        Self { reach, strip: if reach > 0.0 { 0.0 } else { 2.0 * tolerance::FIT + MARGIN } }
    }

    /// Width and height of a sheet in which pieces may lie, mm.
    #[expect(clippy::unused_self, reason = "the tolerance is one of these lengths")]
    pub(super) fn room(self, sheet: &SheetKind) -> (f64, f64) {
        let more = 2.0 * (tolerance::FIT + MARGIN);
        (sheet.free.width() + more, sheet.free.height() + more)
    }

    /// By how much outlines may grow on all sides and stay disjoint, mm.
    pub(super) fn radius(self) -> f64 {
        self.reach / 2.0
    }

    /// By how much the sides of axis-parallel rectangles may grow, mm.
    pub(super) fn box_growth(self) -> f64 {
        self.reach * FRAC_1_SQRT_2
    }

    /// The area of a sheet's room grown by the radius, mm2.
    pub(super) fn grown_room(self, sheet: &SheetKind) -> f64 {
        let (width, height) = self.room(sheet);
        let r = self.radius();
        Rect::new(0.0, 0.0, width, height).area() + 2.0 * (width + height) * r + PI * r * r
    }
}
