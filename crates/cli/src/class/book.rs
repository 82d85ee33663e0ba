//! The pages for a class, filled from a set and its sheets.

use flatwright_folding::solid::Solid;
use flatwright_sheets::class::{ClassBook, Content, Print};
use flatwright_sheets::compose::{Composed, LayoutMode};

use super::Class;
use crate::import::{Piece, Set};
use crate::planned::{guide, shopping};
use crate::{steps, table};

/// The test cylinder for small parts, mm: its diameter and its greatest depth (16 CFR 1501.4).
const CYLINDER: (f64, f64) = (31.7, 57.1);

/// Everything that the pages for a class tell.
#[must_use]
pub fn book(set: &Set, class: &Class, composed: &Composed) -> ClassBook {
    let content = |piece: &Piece, count: u32, bag: Option<(usize, &str)>| Content {
        id: piece.id.clone(),
        bag: bag.map_or(0, |(index, _)| index),
        name: bag.map(|(_, bag)| format!("{bag}: ")).unwrap_or_default() + &table::name(piece),
        count,
        stock: piece.pattern.stock,
        small: is_small(piece),
    };
    // What is packed apart is listed apart; bags hold the pieces of all kits that share their sheets.
    let (bags, shares) = (steps::bags(set), set.kits().shares().max(1));
    let mut contents: Vec<Content> = Vec::new();
    for (index, bag) in bags.iter().enumerate() {
        let held = set.pieces.iter().zip(&bag.copies).filter(|(_, copies)| **copies > 0);
        contents.extend(held.map(|(piece, copies)| content(piece, copies / shares, Some((index, &bag.name)))));
    }
    if bags.is_empty() {
        contents.extend(set.pieces.iter().map(|piece| content(piece, piece.count, None)));
    }
    ClassBook {
        title: set.name.clone(),
        kits: class
            .kits
            .iter()
            .map(|name| if is_number(name) { format!("Kit {name}") } else { name.clone() })
            .collect(),
        own_sheets: !class.shared,
        stacked: set.layout == LayoutMode::Stacked,
        stack: class.stack,
        prints: prints(set, composed),
        bags: bags.into_iter().map(|bag| bag.name).collect(),
        contents,
        shopping: shopping::list(set, composed),
        cautions: guide::cautions(set),
    }
}

/// Name of the file with the pages for a class.
pub const FILE: &str = "class.pdf";

fn is_number(name: &str) -> bool {
    name.chars().all(|c| c.is_ascii_digit())
}

/// The pages as the printer gets them: fronts with their backs.
fn prints(set: &Set, composed: &Composed) -> Vec<Print> {
    let first = composed.sheets.iter().map(|sheet| sheet.page).min().unwrap_or_default();
    let paper = &set.sheets.paper;
    let backs = composed.sheets.iter().any(|sheet| sheet.reverse.is_some());
    let covers = (0..first).step_by(if backs { 2 } else { 1 });
    let cover = |page: usize| Print {
        page: page + 1,
        copies: 1,
        on: format!("{}, {}", paper.material, paper.size),
        cuts: 0,
        cover: true,
    };
    let sheets = composed.sheets.iter().map(|sheet| Print {
        page: sheet.page + 1,
        copies: sheet.copies,
        on: format!("{}, {}", sheet.material, sheet.paper),
        cuts: sheet.cuts.len(),
        cover: false,
    });
    covers.map(cover).chain(sheets).collect()
}

/// Whether a piece may fit the test cylinder, flat or built, by its nominal size.
///
/// A box fits a round tube along its longest side where the diagonal of the other two does not
/// exceed the diameter; the tube's own diagonal is the longest that it can hold. An estimate: the
/// test itself takes the thing.
pub(super) fn is_small(piece: &Piece) -> bool {
    let pattern = &piece.pattern;
    let (width, height) = pattern.size();
    fits([width.get(), height.get(), 0.0]) || fits(built(pattern.folded()))
}

fn fits(mut sides: [f64; 3]) -> bool {
    sides.sort_by(f64::total_cmp);
    let [a, b, c] = sides;
    a.hypot(b) <= CYLINDER.0 && c <= CYLINDER.0.hypot(CYLINDER.1)
}

/// The sides of the box round a folded piece.
fn built(solids: &[Solid]) -> [f64; 3] {
    let corners = || solids.iter().flat_map(Solid::corners);
    [0, 1, 2].map(|axis| {
        let along = corners().map(|corner| corner[axis]);
        let (least, most) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
        most - least
    })
}
