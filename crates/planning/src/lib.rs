//! From a floor plan in plain text to every piece that it needs.
//!
//! [`text::read`] gives a [`plan::Plan`]; the rest works out where tiles, walls, posts and
//! biscuits go. Nothing here knows of patterns or pages.

pub mod assemble;
pub mod build;
pub mod fittings;
pub mod levels;
pub mod order;
pub mod plan;
pub mod problem;
pub mod strength;
pub mod text;
pub mod tiling;
pub mod turns;
pub mod walls;
