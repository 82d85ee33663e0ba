//! The front page: title, about, the plan, and what it all comes to.

use flatwright_geometry::units::plain;
use kurbo::{Point, Rect};

use super::{Guide, LEAST, LOOK, counted, paragraphs};
use crate::booklet;
use crate::flow::Block;
use crate::furniture::marks::{fitted, text};
use crate::page::{Align, Page};
use crate::plan_view::figure;
use crate::plan_view::{LevelView, Show};

/// Below this a plan is put on a page of its own, mm.
const LEAST_PLAN: f64 = 80.0;
const SPACE: f64 = 4.0;

/// The blocks of the front page, and of the pages with the further levels.
pub(super) fn blocks(guide: &Guide, free: Rect) -> Vec<Block> {
    let (width, height) = (free.width(), free.height());
    let mut blocks = vec![booklet::title("Building guide", &guide.title, width)];
    blocks.extend(paragraphs(&guide.about).map(|words| Block::paragraph("", words)));
    blocks.push(Block::Space(SPACE - LOOK.after));
    blocks.push(facts(guide, width));
    let used = crate::flow::total(&blocks, width, &LOOK);
    for (index, level) in guide.plan.levels.iter().enumerate() {
        let name = (guide.plan.levels.len() > 1).then(|| level_name(level, index));
        let above = if index == 0 { used + SPACE } else { 0.0 };
        let room = if height - above < LEAST_PLAN { height } else { height - above };
        if index > 0 {
            blocks.push(Block::PageBreak);
        } else {
            blocks.push(Block::Space(SPACE));
        }
        blocks.push(plan(guide, level, name.as_deref(), width, room));
    }
    blocks
}

/// Heading over the pictures.
pub(super) const PICTURES: &str = "How it stands";

/// The pictures, each as wide as the page; two share a page where they are low enough.
pub(super) fn pictures(pictures: &[Page], free: Rect) -> Vec<Block> {
    let heading = Block::Heading(PICTURES.to_owned());
    let used = crate::flow::total(std::slice::from_ref(&heading), free.width(), &LOOK);
    let mut blocks = Vec::new();
    for picture in pictures {
        blocks.push(Block::picture(picture, free.width(), free.height() - used - SPACE));
        blocks.push(Block::Space(SPACE));
    }
    if !blocks.is_empty() {
        blocks.insert(0, heading);
    }
    blocks
}

/// What a level is called in captions.
pub(super) fn level_name(level: &LevelView, index: usize) -> String {
    if level.name.trim().is_empty() { format!("Level {}", index + 1) } else { level.name.clone() }
}

/// What the set comes to.
fn facts(guide: &Guide, width: f64) -> Block {
    let pieces: u64 = guide.parts.iter().map(|part| u64::from(part.count)).sum();
    let kinds = guide.parts.iter().filter(|part| part.count > 0).count();
    let squares = |side: fn(&LevelView) -> usize| guide.plan.levels.iter().map(side).max().unwrap_or(0) as f64;
    let side = |squares: f64| plain((squares * guide.plan.module.get()).round(), 0);
    let (columns, rows) = (squares(|level| level.columns), squares(|level| level.rows));
    let word =
        |count: usize, word: &str| counted(count, word).split_once(' ').map_or(String::new(), |w| w.1.to_owned());
    let entries = [
        (pieces.to_string(), if pieces == 1 { "piece" } else { "pieces" }.to_owned()),
        (kinds.to_string(), word(kinds, "kind") + " of part"),
        (guide.steps.len().to_string(), word(guide.steps.len(), "step")),
        (format!("{} × {}", side(columns), side(rows)), "mm of floor plan".to_owned()),
    ];
    // The last one is wider than the others.
    booklet::facts(entries.into_iter().zip([0.22, 0.22, 0.22, 0.34]), width)
}

/// A level's plan, as large as the room allows.
fn plan(guide: &Guide, level: &LevelView, name: Option<&str>, width: f64, room: f64) -> Block {
    let caption = if name.is_some() { 7.0 } else { 0.0 };
    let foot = figure::foot_height(level, width);
    let square = figure::square(level, width, (room - foot - caption).max(1.0));
    let drawn = figure::explained(&guide.plan, level, &Show::All, square, width, " The drawing is not to scale.");
    let mut marks = crate::furniture::marks::moved(&drawn.marks, kurbo::Vec2::new(0.0, -caption));
    if let Some(name) = name {
        let (name, face) = fitted(name, width, LOOK.subheading, LEAST);
        marks.push(text(Point::new(0.0, -4.6), name, face, Align::Start));
    }
    Block::Drawing { height: drawn.size.1 + caption, marks }
}
