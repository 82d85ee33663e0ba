//! A building guide: what a teacher hands out with the cut sheets.
//!
//! [`Guide`] is neutral: whoever has worked out a set fills it. [`document`] sets it in pages:
//! a front page with the plan, the parts with their flat patterns, the steps with pictures, advice
//! on lifting, a shopping list and cautions. Nothing in it is to be cut, and nothing is to scale.

use flatwright_geometry::pattern::{Pattern, Stock};
use flatwright_geometry::units::Mm;

use crate::art::{self, Artwork};
use crate::booklet::{ACCENT, CAPTION, LEAST, LOOK, TINT};
use crate::furniture::style;
use crate::page::Document;
use crate::plan_view::{PlanRef, PlanView};

mod check;
mod closing;
mod front;
mod pages;
mod parts;
mod steps;
mod thumbnail;

pub use check::{GuideError, GuideFault};
pub(crate) use closing::shopping;
pub use pages::document;

/// Everything that a guide tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// What the set is called.
    pub title: String,
    /// A few sentences about it; every line is a paragraph.
    pub about: String,
    /// The plan as built.
    pub plan: PlanView,
    /// Pictures of what is built, such as the build as it stands and taken apart, the first page of
    /// each; may be empty.
    pub pictures: Vec<Document>,
    /// The surfaces and pictures of the parts' faces.
    pub artwork: Artwork,
    /// Kinds of part.
    pub parts: Vec<GuidePart>,
    /// Steps in their order.
    pub steps: Vec<GuideStep>,
    /// Advice on lifting and moving what is built, a paragraph each.
    pub strength: Vec<String>,
    /// What to buy.
    pub shopping: Vec<ShoppingLine>,
    /// Cautions, a paragraph each.
    pub cautions: Vec<String>,
}

/// A kind of part.
#[derive(Clone, Debug, PartialEq)]
pub struct GuidePart {
    /// What sheets and lists call it, such as `TW2`. Unique.
    pub id: String,
    /// What it is, such as `tile wrap, 1 x 2`.
    pub name: String,
    /// How many there are; a part of which there is none is left out.
    pub count: u32,
    /// What it is cut from.
    pub stock: Stock,
    /// Its flat pattern.
    pub pattern: Pattern,
    /// What is printed on its face.
    pub face: art::Face,
}

/// A step.
#[derive(Clone, Debug, PartialEq)]
pub struct GuideStep {
    /// Its number as printed.
    pub number: u32,
    /// What it does, in a few words.
    pub title: String,
    /// How it is done; every line is a paragraph.
    pub text: String,
    /// Parts that it takes: identifiers of [`Guide::parts`], and how many.
    pub pieces: Vec<(String, u32)>,
    /// What it adds to the plan, made to stand out in its picture; no picture where empty.
    pub highlight: Vec<PlanRef>,
}

/// One thing to buy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShoppingLine {
    /// What, such as `foam board 5 mm, 500 x 700 mm`.
    pub what: String,
    /// How much, such as `3 sheets`.
    pub quantity: String,
    /// What it costs, as printed.
    pub price: Option<String>,
    /// A remark; may be empty.
    pub note: String,
}

/// Lines of a text that say something.
fn paragraphs(text: &str) -> impl Iterator<Item = &str> {
    text.lines().map(str::trim).filter(|line| !line.is_empty())
}

/// `1 step`, `2 steps`.
fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// The frame of a box that is set off from the page.
fn frame() -> crate::page::Pen {
    crate::page::Pen { width: Mm::new(0.25), ..style::hairline() }
}
