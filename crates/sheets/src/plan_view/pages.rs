//! A plan as a document of its own: one page a level.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect, Vec2};

use super::check::faults;
use super::figure::{self, LEAST_SQUARE};
use super::{Fit, LevelView, PlanError, PlanFault, PlanView, Show};
use crate::furniture::marks::{Face, fitted, moved, text};
use crate::furniture::style;
use crate::page::{Align, Document, Page};
use crate::paper::{LARGEST_SIDE, PaperSize};

/// Height of the title's line and of the level's, mm.
const TITLE: f64 = 9.0;
const NAME: f64 = 6.5;
/// Least width and edge of a page that is made to measure, mm.
const LEAST_WIDTH: f64 = 110.0;
const EDGE: f64 = 10.0;
/// Least width on given paper: the legend's longest entry and the compass need it, mm.
const LEAST_FREE: f64 = 60.0;

/// The plan as a document: one page a level, each with its drawing, a legend, a compass and a note
/// on the scale. The same plan gives the same document.
///
/// Names for which there is no room (in a small drawing, or between crowded walls) are left out.
///
/// # Errors
/// [`PlanError`] with every [`PlanFault`] there is.
pub fn document(view: &PlanView, fit: &Fit) -> Result<Document, PlanError> {
    let mut found = faults(view);
    match fit {
        Fit::Square(side) if !(LEAST_SQUARE..=500.0).contains(&side.get()) => {
            found.push(PlanFault::Length { what: "side of a square", value: *side, range: "1.5 to 500 mm" });
        }
        Fit::Paper { margin, .. } if !(0.0..=100.0).contains(&margin.get()) => {
            found.push(PlanFault::Length { what: "margin", value: *margin, range: "0 to 100 mm" });
        }
        _ => {}
    }
    if !found.is_empty() {
        return Err(PlanError::Faults(found));
    }
    let mut document = Document {
        title: view.title.clone(),
        subject: format!("Floor plan, {} level{}", view.levels.len(), if view.levels.len() == 1 { "" } else { "s" }),
        ..Document::default()
    };
    for (index, level) in view.levels.iter().enumerate() {
        let layout = match fit {
            Fit::Square(side) => measured(level, side.get()),
            Fit::Paper { paper, margin } => fitted_on(level, paper, *margin),
        };
        match layout {
            Ok(layout) => document.pages.push(page(view, index, &layout)),
            Err(fault) => found.push(fault),
        }
    }
    if found.is_empty() { Ok(document) } else { Err(PlanError::Faults(found)) }
}

/// Size of the page and where the drawing stands on it.
struct Layout {
    size: (f64, f64),
    free: Rect,
    square: f64,
}

fn measured(level: &LevelView, square: f64) -> Result<Layout, PlanFault> {
    let plan = figure::bare_size(level, square);
    let width = plan.0.max(LEAST_WIDTH);
    let height = TITLE + NAME + plan.1 + figure::foot_height(level, width);
    let size = (width + 2.0 * EDGE, height + 2.0 * EDGE);
    if size.0.max(size.1) > LARGEST_SIDE.get() {
        return Err(PlanFault::TooLarge { level: level.name.clone(), width: Mm::new(size.0), height: Mm::new(size.1) });
    }
    Ok(Layout { size, free: Rect::new(EDGE, EDGE, EDGE + width, EDGE + height), square })
}

fn fitted_on(level: &LevelView, paper: &PaperSize, margin: Mm) -> Result<Layout, PlanFault> {
    let turned = [(paper.width, paper.height), (paper.height, paper.width)];
    let layouts = turned.into_iter().filter_map(|(width, height)| {
        let (size, m) = ((width.get(), height.get()), margin.get());
        let free = Rect { x0: m, y0: m, x1: size.0 - m, y1: size.1 - m };
        let room = free.y1 - free.y0 - TITLE - NAME - figure::foot_height(level, free.width());
        let square = figure::square(level, free.width(), room);
        (free.x1 - free.x0 >= LEAST_FREE && square >= LEAST_SQUARE).then_some(Layout { size, free, square })
    });
    // The first of equals: upright.
    layouts
        .reduce(|best, other| if other.square > best.square { other } else { best })
        .ok_or_else(|| PlanFault::NoRoom { paper: paper.to_string(), margin, level: level.name.clone() })
}

fn page(view: &PlanView, index: usize, layout: &Layout) -> Page {
    let level = &view.levels[index];
    let Rect { x0, y1, .. } = layout.free;
    let width = layout.free.width();
    let (title, face) = fitted(&view.title, width, Face::bold(Mm::new(6.5)), style::LEAST);
    let mut marks = vec![text(Point::new(x0, y1 - 5.4), title, face, Align::Start)];
    let squares = format!("{} × {} squares", level.columns, level.rows);
    let name = if level.name.trim().is_empty() { squares } else { format!("{}, {squares}", level.name) };
    let (name, face) = fitted(&name, width, Face::muted(Mm::new(3.6)), style::LEAST);
    marks.push(text(Point::new(x0, y1 - TITLE - 3.0), name, face, Align::Start));
    let figure = figure::explained(view, level, &Show::All, layout.square, width, "");
    marks.extend(moved(&figure.marks, Vec2::new(x0, y1 - TITLE - NAME)));
    let paper = Rect::new(0.0, 0.0, layout.size.0, layout.size.1);
    Page {
        label: (index + 1).to_string(),
        title: if level.name.trim().is_empty() { format!("Level {}", index + 1) } else { level.name.clone() },
        section: "Plan".to_owned(),
        size: (Mm::new(paper.x1), Mm::new(paper.y1)),
        trim: paper,
        bleed: paper,
        copies: 1,
        marks,
    }
}
