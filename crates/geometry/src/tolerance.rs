//! The one source of tolerances. Every comparison in the workspace uses one of these.
//!
//! `ROUNDING < SNAP < FIT < MEASURE`: arithmetic noise is far below the grid that computed
//! contours are snapped to, the grid is far below what a joint is judged by, and that in turn
//! is below what an independent reader must find again on the printed page.

/// Noise of a chain of `f64` operations on lengths up to a few metres, mm.
pub const ROUNDING: f64 = 1e-9;
/// Grid to which the results of boolean operations and offsets are snapped, mm.
pub const SNAP: f64 = 1e-6;
/// A joint whose margin is above `-FIT` is said to hold, mm.
pub const FIT: f64 = 1e-4;
/// Largest distance between a curve and the polyline that stands for it, mm.
pub const CHORD: f64 = 0.01;
/// Agreement asked of an independent reader that measures a finished page, mm.
pub const MEASURE: f64 = 0.01;
