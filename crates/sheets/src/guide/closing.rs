//! What comes after building: lifting, shopping, cautions.

use kurbo::Rect;

use super::front::level_name;
use super::{Guide, LOOK, ShoppingLine, steps};
use crate::flow::{self, Block, Column};
use crate::furniture::marks::{fitted, moved, text};
use crate::page::Align;
use crate::plan_view::Show;
use crate::plan_view::figure::{self, Figure};

const LIFTING: &str = "Lifting and moving";
const SHOPPING: &str = "Shopping list";
const CARE: &str = "Take care";
/// Room between two sections, mm.
const SECTION: Block = Block::Space(7.0);

/// Headings of the sections that a guide has.
pub(super) fn headings(guide: &Guide) -> Vec<&'static str> {
    let sections = [
        (guide.strength.is_empty(), LIFTING),
        (guide.shopping.is_empty(), SHOPPING),
        (guide.cautions.is_empty(), CARE),
    ];
    sections.into_iter().filter(|(empty, _)| !empty).map(|(_, heading)| heading).collect()
}

pub(super) fn blocks(guide: &Guide, free: Rect) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !guide.strength.is_empty() {
        blocks.extend(lifting(guide, free));
        blocks.push(SECTION);
    }
    if !guide.shopping.is_empty() {
        blocks.extend(shopping(&guide.shopping));
        blocks.push(SECTION);
    }
    if !guide.cautions.is_empty() {
        blocks.push(Block::Heading(CARE.to_owned()));
        blocks.extend(guide.cautions.iter().map(|words| Block::paragraph("▲", words.trim())));
    }
    blocks
}

/// The advice, beside a plan with the weakest seam where one is known.
fn lifting(guide: &Guide, free: Rect) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(LIFTING.to_owned())];
    let words: Vec<(String, String)> =
        guide.strength.iter().map(|words| ("•".to_owned(), words.trim().to_owned())).collect();
    let mut left: &[(String, String)] = &words;
    for (index, level) in guide.plan.levels.iter().enumerate().filter(|(_, level)| !level.cut.is_empty()) {
        let wide = 0.42 * free.width();
        let plan = figure::bare(level, &Show::Cut, figure::square(level, wide, 60.0));
        let caption = if guide.plan.levels.len() > 1 {
            format!("{}: weakest seam in red", level_name(level, index))
        } else {
            "Weakest seam in red".to_owned()
        };
        let (caption, face) = fitted(&caption, wide, super::CAPTION, super::LEAST);
        let mut marks = moved(&plan.marks, kurbo::Vec2::new((wide - plan.size.0) / 2.0, 0.0));
        marks.push(text((wide / 2.0, -plan.size.1 - 3.4).into(), caption, face, Align::Middle));
        let picture = Figure { marks, size: (wide, plan.size.1 + 5.0) };
        // The advice stands beside the first picture if it can.
        match steps::picture_beside(&picture, left, free) {
            Some(block) => {
                blocks.push(block);
                left = &[];
            }
            None => blocks.push(Block::Drawing { height: picture.size.1 + LOOK.after, marks: picture.marks }),
        }
    }
    blocks.extend(left.iter().map(|(mark, words)| Block::paragraph(mark, words)));
    blocks
}

/// The shopping list as a section.
pub(crate) fn shopping(list: &[ShoppingLine]) -> Vec<Block> {
    let priced = list.iter().any(|line| line.price.is_some());
    let noted = list.iter().any(|line| !line.note.trim().is_empty());
    let rows: Vec<Vec<String>> = list
        .iter()
        .map(|line| {
            let mut cells = vec![line.what.trim().to_owned(), line.quantity.trim().to_owned()];
            cells.extend(priced.then(|| line.price.clone().unwrap_or_default()));
            cells.extend(noted.then(|| line.note.trim().to_owned()));
            cells
        })
        .collect();
    use Column::{Name, Number, Words};
    let (columns, head): (&[Column], &[&str]) = match (priced, noted) {
        (true, true) => (&[Name, Number, Number, Words], &["what", "how much", "price", "note"]),
        (true, false) => (&[Words, Number, Number], &["what", "how much", "price"]),
        (false, true) => (&[Name, Number, Words], &["what", "how much", "note"]),
        (false, false) => (&[Words, Number], &["what", "how much"]),
    };
    let mut blocks = vec![Block::Heading(SHOPPING.to_owned())];
    blocks.extend(flow::table(&LOOK, columns, head, &rows));
    if priced {
        blocks.push(Block::Space(1.0));
        blocks.push(Block::paragraph("", "Prices are those entered for this set; ask your shop before you order."));
    }
    blocks
}
