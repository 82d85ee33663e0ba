//! The steps: a number, a picture of what is added, words, and the parts that it takes.

use std::collections::BTreeSet;

use flatwright_geometry::units::Mm;
use kurbo::{Circle, Point, Rect, RoundedRect, Shape as _, Vec2};

use super::front::level_name;
use super::{ACCENT, CAPTION, Guide, GuideStep, LEAST, LOOK, TINT, paragraphs};
use crate::flow::Block;
use crate::furniture::marks::{Face, fitted, line, moved, text, wrapped};
use crate::furniture::style;
use crate::page::{Align, Colour, Mark};
use crate::plan_view::figure::{self, Figure};
use crate::plan_view::symbols::fill;
use crate::plan_view::{PlanItem, PlanRef, Show};

/// Heading of the section.
pub(super) const HEADING: &str = "Steps";

/// Left edge of what stands beside a number, mm.
const INDENT: f64 = 12.0;
/// Height of the line with number and title.
const HEAD: f64 = 13.5;
const GUTTER: f64 = 7.0;
const AFTER: f64 = 5.0;
/// Largest picture.
const PICTURE: (f64, f64) = (82.0, 58.0);
const BODY: Face = LOOK.body;
const CHIP: Face = Face::bold(Mm::new(3.2));
const CHIP_HEIGHT: f64 = 5.6;

pub(super) fn blocks(guide: &Guide, free: Rect) -> Vec<Block> {
    if guide.steps.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading(HEADING.to_owned())];
    if guide.steps.iter().any(|step| !step.highlight.is_empty()) {
        blocks.push(Block::paragraph(
            "",
            "In the pictures blue is what a step adds, grey is what stands already, and dashed outlines are tiles still to come. North is up; the pictures are not to scale.",
        ));
    }
    blocks.push(Block::Space(1.0));
    let mut before: BTreeSet<PlanRef> = BTreeSet::new();
    for step in &guide.steps {
        let pictures = pictures(guide, step, &before, free.width());
        blocks.extend(step_blocks(step, pictures.as_ref(), free));
        before.extend(step.highlight.iter().copied());
    }
    blocks
}

/// One picture of all levels that a step adds to, one below the other.
fn pictures(guide: &Guide, step: &GuideStep, before: &BTreeSet<PlanRef>, width: f64) -> Option<Figure> {
    let levels: BTreeSet<usize> = step.highlight.iter().map(|item| item.level).collect();
    let captioned = guide.plan.levels.len() > 1;
    let caption = if captioned { 5.0 } else { 0.0 };
    let wide = PICTURE.0.min(0.47 * width);
    let tall = PICTURE.1 / levels.len().max(1) as f64 - caption;
    let mut marks = Vec::new();
    let (mut x, mut y) = (0.0_f64, 0.0);
    for index in &levels {
        let level = guide.plan.levels.get(*index)?;
        let on = |items: &mut dyn Iterator<Item = &PlanRef>| -> BTreeSet<PlanItem> {
            items.filter(|item| item.level == *index).map(|item| item.item).collect()
        };
        let show = Show::Step { new: on(&mut step.highlight.iter()), before: on(&mut before.iter()) };
        if captioned {
            let (name, face) = fitted(&level_name(level, *index), wide, CAPTION, LEAST);
            marks.push(text(Point::new(0.0, y - 3.4), name, face, Align::Start));
            y -= caption;
        }
        let picture = figure::bare(level, &show, figure::square(level, wide, tall));
        marks.extend(moved(&picture.marks, Vec2::new(0.0, y)));
        x = x.max(picture.size.0);
        y -= picture.size.1;
    }
    (!levels.is_empty()).then_some(Figure { marks, size: (if captioned { wide } else { x }, -y) })
}

/// One box of the step where it fits most of a page; else its words, or even its list of parts,
/// follow as paragraphs.
fn step_blocks(step: &GuideStep, picture: Option<&Figure>, free: Rect) -> Vec<Block> {
    let limit = 0.7 * free.height();
    let width = free.width();
    let words: Vec<(String, String)> = paragraphs(&step.text).map(|words| (String::new(), words.to_owned())).collect();
    let (mut marks, top) = head(step, width);
    let mut rest = Vec::new();
    let x = if picture.is_some() { 0.0 } else { INDENT };
    let column = beside_width(picture, width - x).min(LOOK.measure);
    let mut beside = Beside::default();
    if lines_height(&words, column) <= limit - 30.0 {
        beside.paragraphs(&words, column);
    } else {
        rest.extend(words.iter().map(|(_, words)| Block::paragraph("", words)));
    }
    let mut chips = Beside { y: beside.y, ..Beside::default() };
    chips.chips(&step.pieces, column);
    if chips.height() <= limit {
        beside.y = chips.y;
        beside.marks.append(&mut chips.marks);
    } else {
        let list: Vec<String> = step.pieces.iter().map(|(id, count)| chip(id, *count)).collect();
        rest.insert(0, Block::paragraph("", &format!("You need: {}.", list.join(", "))));
    }
    let (body, height) = joined(picture, &beside, x);
    marks.extend(moved(&body, Vec2::new(0.0, -top)));
    let gap = if rest.is_empty() { 0.0 } else { LOOK.after };
    let mut blocks = vec![Block::Drawing { height: top + height + gap, marks }];
    blocks.extend(rest);
    // Apart, for it may fall away at a page's foot.
    blocks.push(Block::Space(AFTER));
    blocks
}

/// A picture with paragraphs beside it, as one block; `None` where they are too tall for that.
pub(super) fn picture_beside(picture: &Figure, words: &[(String, String)], free: Rect) -> Option<Block> {
    let column = beside_width(Some(picture), free.width()).min(LOOK.measure);
    let mut beside = Beside::default();
    beside.paragraphs(words, column);
    let (marks, height) = joined(Some(picture), &beside, 0.0);
    (height <= 0.7 * free.height()).then_some(Block::Drawing { height: height + AFTER, marks })
}

fn beside_width(picture: Option<&Figure>, width: f64) -> f64 {
    picture.map_or(width, |picture| width - picture.size.0 - GUTTER)
}

fn joined(picture: Option<&Figure>, beside: &Beside, x: f64) -> (Vec<Mark>, f64) {
    let height = beside.height();
    match picture {
        Some(picture) => {
            let mut marks = picture.marks.clone();
            marks.extend(moved(&beside.marks, Vec2::new(picture.size.0 + GUTTER, 0.0)));
            (marks, height.max(picture.size.1))
        }
        None => (moved(&beside.marks, Vec2::new(x, 0.0)), height),
    }
}

/// The step's number and title under a rule, and their height.
fn head(step: &GuideStep, width: f64) -> (Vec<Mark>, f64) {
    let radius = 4.2;
    let centre = Point::new(radius, -2.6 - radius);
    let number = Face { colour: Colour::WHITE, ..Face::bold(Mm::new(4.6)) };
    let (digits, number) = fitted(&step.number.to_string(), 2.0 * radius - 1.4, number, Mm::new(1.0));
    let (title, face) = fitted(step.title.trim(), width - INDENT, Face::bold(Mm::new(4.6)), LEAST);
    let marks = vec![
        line((0.0, 0.0), (width, 0.0), style::hairline()),
        fill(Circle::new(centre, radius).to_path(0.01), ACCENT),
        text(centre - Vec2::new(0.0, 0.36 * number.size.get()), digits, number, Align::Middle),
        text(Point::new(INDENT, centre.y - 0.36 * face.size.get()), title, face, Align::Start),
    ];
    (marks, HEAD)
}

/// What stands beside a picture, filled downwards from the origin.
#[derive(Default)]
struct Beside {
    marks: Vec<Mark>,
    y: f64,
}

impl Beside {
    fn height(&self) -> f64 {
        -self.y
    }

    /// Paragraphs with what stands before each.
    fn paragraphs(&mut self, words: &[(String, String)], width: f64) {
        for (mark, words) in words {
            let indent = if mark.is_empty() { 0.0 } else { LOOK.indent };
            if !mark.is_empty() {
                let face = Face { colour: ACCENT, ..Face::bold(BODY.size) };
                let at = Point::new(0.0, self.y - 0.85 * BODY.size.get());
                self.marks.push(text(at, mark.clone(), face, Align::Start));
            }
            for words in wrapped(words, width - indent, BODY) {
                let at = Point::new(indent, self.y - 0.85 * BODY.size.get());
                self.marks.push(text(at, words, BODY, Align::Start));
                self.y -= BODY.leading();
            }
            self.y -= LOOK.after;
        }
    }

    /// The parts that a step takes, in small boxes.
    fn chips(&mut self, pieces: &[(String, u32)], width: f64) {
        let mut pieces = pieces.iter().filter(|(_, count)| *count > 0).peekable();
        if pieces.peek().is_none() {
            return;
        }
        self.y -= 1.0;
        self.marks.push(text(Point::new(0.0, self.y - 2.6), "You need", CAPTION, Align::Start));
        self.y -= 5.0;
        let mut x = 0.0;
        for (id, count) in pieces {
            let (words, face) = fitted(&chip(id, *count), width - 4.0, CHIP, LEAST);
            let wide = face.width(&words) + 4.0;
            if x > 0.0 && x + wide > width {
                x = 0.0;
                self.y -= CHIP_HEIGHT + 1.6;
            }
            let rect = Rect::new(x, self.y - CHIP_HEIGHT, x + wide, self.y);
            self.marks.push(fill(RoundedRect::from_rect(rect, 1.4).to_path(0.01), TINT));
            let at = Point::new(rect.center().x, rect.center().y - 0.36 * face.size.get());
            self.marks.push(text(at, words, face, Align::Middle));
            x += wide + 1.8;
        }
        self.y -= CHIP_HEIGHT;
    }
}

fn chip(id: &str, count: u32) -> String {
    format!("{id}\u{a0}×\u{a0}{count}")
}

fn lines_height(words: &[(String, String)], width: f64) -> f64 {
    let mut beside = Beside::default();
    beside.paragraphs(words, width);
    beside.height()
}
