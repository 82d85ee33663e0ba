//! The front page: title, about, the plan, and what it all comes to.

use flatwright_geometry::units::{Mm, plain};
use kurbo::{Point, Rect, RoundedRect, Shape as _};

use super::{ACCENT, CAPTION, Guide, LEAST, LOOK, TINT, counted, paragraphs};
use crate::flow::Block;
use crate::furniture::marks::{Face, fitted, text, wrapped};
use crate::page::{Align, Colour, Mark, Page};
use crate::plan_view::figure;
use crate::plan_view::symbols::fill;
use crate::plan_view::{LevelView, Show};

/// Below this a plan is put on a page of its own, mm.
const LEAST_PLAN: f64 = 80.0;
const FACTS: f64 = 19.0;
const SPACE: f64 = 4.0;

/// The blocks of the front page, and of the pages with the further levels.
pub(super) fn blocks(guide: &Guide, free: Rect) -> Vec<Block> {
    let (width, height) = (free.width(), free.height());
    let mut blocks = vec![title(guide, width)];
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

fn title(guide: &Guide, width: f64) -> Block {
    const LARGE: Face = Face::bold(Mm::new(12.0));
    let kicker = Face { colour: ACCENT, ..Face::bold(Mm::new(4.2)) };
    let mut marks = vec![
        fill(Rect::new(0.0, -1.8, width, 0.0).to_path(0.1), ACCENT),
        text(Point::new(0.0, -9.5), "Building guide", kicker, Align::Start),
    ];
    let mut lines = wrapped(guide.title.trim(), width, LARGE);
    let mut face = LARGE;
    if lines.len() > 2 {
        let (words, smaller) = fitted(guide.title.trim(), width, LARGE, LEAST);
        (lines, face) = (vec![words], smaller);
    }
    let mut y = -11.5;
    for words in lines.into_iter().filter(|words| !words.is_empty()) {
        y -= 1.15 * face.size.get();
        marks.push(text(Point::new(0.0, y + 0.12 * face.size.get()), words, face, Align::Start));
    }
    Block::Drawing { height: 4.5 - y, marks }
}

/// What the set comes to, as large figures in a tinted band.
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
    let band = RoundedRect::from_rect(Rect::new(0.0, -FACTS, width, 0.0), 2.0).to_path(0.01);
    let mut marks: Vec<Mark> = vec![fill(band, TINT)];
    // The last one is wider than the others.
    let share = [0.22, 0.22, 0.22, 0.34];
    let mut x = 0.0;
    for ((figure, caption), share) in entries.into_iter().zip(share) {
        let wide = share * width;
        let middle = x + wide / 2.0;
        let (figure, face) = fitted(&figure, wide - 4.0, Face { colour: ACCENT, ..Face::bold(Mm::new(7.5)) }, LEAST);
        marks.push(text(Point::new(middle, -9.3), figure, face, Align::Middle));
        let (caption, face) = fitted(&caption, wide - 2.0, CAPTION, LEAST);
        marks.push(text(Point::new(middle, -14.8), caption, face, Align::Middle));
        if x > 0.0 {
            marks.push(fill(Rect::new(x - 0.25, -FACTS + 4.0, x + 0.25, -4.0).to_path(0.1), Colour::WHITE));
        }
        x += wide;
    }
    Block::Drawing { height: FACTS, marks }
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
