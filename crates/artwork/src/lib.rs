//! Printed surfaces, drawn by rule: stone, brick, planks, water and salt.
//!
//! A [`Surface`] is data: a ground colour and layers. [`Surface::swatch`] turns it into drawings of
//! one module square that continue each other on all four sides, whichever of the variants lie
//! next to each other.

pub mod chance;
pub mod colour;
pub mod grid;
pub mod ink;
mod surface;
pub mod swatch;

pub use colour::Colour;
pub use grid::Grid;
pub use ink::{Ink, Print};
pub use surface::{Bars, Bevel, Bond, Cobbles, Courses, Cracks, Flecks, Glints, Grain, Layer, Pins, Ripples, Surface};
pub use swatch::{Element, Paint, Swatch};
