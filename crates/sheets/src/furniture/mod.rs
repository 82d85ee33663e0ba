//! What a sheet carries besides its pieces, and the cover.

pub(crate) mod arrow;
pub mod frame;
mod legend;
pub(crate) mod marks;
pub mod registration;
pub mod rulers;
pub mod style;

pub(crate) use legend::sample as legend_sample;
pub use marks::text_box;
