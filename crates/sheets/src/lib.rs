//! Finished pages and the writers that put them on paper.
//!
//! [`page::Document`] is the one intermediate: the composer fills it, the PDF and SVG writers
//! read it, and none of them knows of the others.

pub mod compose;
pub mod faults;
pub mod font;
pub mod furniture;
pub mod lines;
pub mod page;
pub mod paper;
pub mod pdf;
pub mod png;
pub mod svg;
