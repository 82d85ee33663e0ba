//! Finished pages and the writers that put them on paper.
//!
//! [`page::Document`] is the one intermediate: [`compose`], [`plan_view`], [`guide`] and [`coupon`] fill it,
//! the writers [`pdf`], [`svg`] and [`cutter`] read it, and none of them knows of the others. [`png`] is a
//! picture of what [`svg`] writes.

pub mod art;
mod booklet;
pub mod class;
pub mod compose;
pub mod contact;
pub mod correction;
pub mod coupon;
pub mod cutter;
pub mod embed;
pub mod faults;
mod flow;
pub mod font;
pub mod furniture;
pub mod grammage;
pub mod guide;
pub mod lines;
pub mod page;
pub mod paper;
pub mod pdf;
pub mod plan_view;
pub mod png;
pub mod reduce;
pub mod svg;
pub mod texture;
pub mod view;
