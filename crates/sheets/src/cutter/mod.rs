//! Paths for a cutter: what a tool follows on a page, step by step, in the order of the work.
//!
//! Millimetres, origin at the page's lower left corner, y up. Every processing step is a list of
//! paths of its own: scores, creases and perforations come before cuts, and of the cuts those that
//! lie inside of others come first, so that nothing is worked on that has already come loose. An
//! edge that two pieces share is cut once.
//!
//! Kerf is no matter here: a page's cutting lines have it already.

mod ease;
mod once;
mod order;
mod svg;

pub use svg::write as svg;

use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Point};

use crate::page::{Colour, Document, Layer, Mark, Page, Shape};

/// How far a straight piece may be off a curve, mm.
const FLAT: f64 = 0.01;

/// The steps of the work, first to last.
pub const STEPS: [Layer; 6] = [
    Layer::PartialCutting,
    Layer::CreasingValley,
    Layer::CreasingMountain,
    Layer::Perforating,
    Layer::Cutting,
    Layer::Trimming,
];

/// How cuts are made easier on the machine.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ease {
    /// How far a closed cut goes on over its own beginning, so that a drag knife that starts late
    /// leaves no uncut corner. 0: not at all.
    pub overcut: Mm,
    /// Width of the bridges that hold a piece in the sheet until it is pushed out. 0: none.
    pub bridge: Mm,
}

/// One way of the tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Its corners, at least two. A closed one ends where it begins, overcut apart.
    pub points: Vec<Point>,
}

impl Way {
    /// Whether it comes back to where it begins.
    #[must_use]
    pub fn closed(&self) -> bool {
        self.points.len() > 3 && self.points.first() == self.points.last()
    }

    /// Its length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.points.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
    }
}

/// All ways of one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Which.
    pub layer: Layer,
    /// In the order in which the tool goes them.
    pub ways: Vec<Way>,
}

/// What a tool does on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Width and height of the page.
    pub size: (Mm, Mm),
    /// What it is, for the file's title.
    pub title: String,
    /// The steps that have any ways, first to last.
    pub steps: Vec<Step>,
    /// Registration marks, where the page has them.
    pub marks: Vec<Way>,
}

/// The colour of a step, for programs that tell steps by it: black for what is cut through, the
/// others from the palette of Okabe and Ito (2008), which colour-blind eyes tell apart.
#[must_use]
pub const fn colour(layer: Layer) -> Colour {
    match layer {
        Layer::PartialCutting => Colour(0xcc, 0x79, 0xa7),
        Layer::CreasingValley => Colour::BLUE,
        Layer::CreasingMountain => Colour::VERMILLION,
        Layer::Perforating => Colour(0xe6, 0x9f, 0x00),
        Layer::Trimming => Colour(0x56, 0xb4, 0xe9),
        _ => Colour::BLACK,
    }
}

/// What a tool does on a page of a document; `corners` are those of its registration marks, where it
/// has them.
#[must_use]
pub fn work(document: &Document, page: &Page, corners: Option<[Point; 4]>, ease: Ease) -> Work {
    let mut steps: Vec<Step> = STEPS.iter().map(|layer| Step { layer: *layer, ways: Vec::new() }).collect();
    for mark in &page.marks {
        gather(document, mark, Affine::IDENTITY, &mut steps);
    }
    for step in &mut steps {
        let ways = std::mem::take(&mut step.ways);
        // What is closed tells what lies inside of what, also where parts of it are left out later.
        step.ways = match step.layer {
            Layer::Cutting => {
                let shared = once::once(&ways);
                let ordered = order::inside_first(&ways, shared);
                ordered.into_iter().flat_map(|(way, outermost)| ease::eased(way, outermost, ease)).collect()
            }
            _ => once::once(&ways).into_iter().flatten().collect(),
        };
    }
    steps.retain(|step| !step.ways.is_empty());
    let marks = corners.map(crate::furniture::registration::arms);
    let marks = marks.into_iter().flatten().map(|points| Way { points: points.to_vec() }).collect();
    Work { size: page.size, title: page.title.clone(), steps, marks }
}

fn gather(document: &Document, mark: &Mark, motion: Affine, steps: &mut [Step]) {
    match &mark.shape {
        Shape::Stroke { path, .. } => {
            if let Some(step) = steps.iter_mut().find(|step| step.layer == mark.layer) {
                step.ways.extend(ways(&(motion * path)));
            }
        }
        Shape::Place { form, motion: own } => {
            let marks = document.forms.get(*form).map(|form| form.marks.as_slice()).unwrap_or_default();
            marks.iter().for_each(|mark| gather(document, mark, motion * *own, steps));
        }
        Shape::Fill { .. } | Shape::Text(_) | Shape::Clip { .. } | Shape::Image { .. } => {}
    }
}

/// A path as ways of straight pieces.
fn ways(path: &BezPath) -> Vec<Way> {
    let mut all: Vec<Way> = Vec::new();
    kurbo::flatten(path, FLAT, |part| match part {
        PathEl::MoveTo(point) => all.push(Way { points: vec![point] }),
        PathEl::LineTo(point) => {
            if let Some(way) = all.last_mut().filter(|way| way.points.last() != Some(&point)) {
                way.points.push(point);
            }
        }
        PathEl::ClosePath => {
            if let Some(way) = all.last_mut().filter(|way| way.points.first() != way.points.last()) {
                way.points.push(way.points[0]);
            }
        }
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    all.retain(|way| way.points.len() > 1);
    all
}

#[cfg(test)]
mod tests;
