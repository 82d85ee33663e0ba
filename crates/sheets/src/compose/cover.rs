//! The cover: what is in the set, what to print, how to print, cut and build it.

use std::collections::BTreeMap;

use flatwright_geometry::pattern::{PieceKind, Stock};
use flatwright_geometry::units::plain;
use kurbo::Rect;

use super::unit::{Choice, Group};
use super::{BoardAs, Flip, Kits, LayoutMode, Part, Settings, SheetRecord, StockTally, grain, steps, unit};
use crate::correction::Correction;
use crate::flow::{self, Block, COVER, Column};
use crate::furniture::frame::Fullness;
use crate::lines::LineType;
use crate::page::{Mark, Page, Shape};

/// The size and frame of the cover's pages; `None` where the paper is too small.
pub(super) fn choice(settings: &Settings) -> Option<Choice> {
    let sheet = &settings.paper;
    unit::choices(sheet.papers.first()?, sheet.orientation, settings, Fullness::Cover, false).into_iter().next()
}

/// The marks of each page of the cover, without its frame.
pub(super) fn pages(
    parts: &[Part],
    settings: &Settings,
    groups: &[Group],
    sheets: &[SheetRecord],
    tallies: &[StockTally],
    picture: Option<&Page>,
    free: Rect,
) -> Vec<Vec<Mark>> {
    let mut blocks = plan(settings.kits, groups, sheets, tallies);
    blocks.push(SECTION);
    if settings.layout == LayoutMode::ByStep {
        blocks.extend(order(settings, sheets));
        blocks.push(SECTION);
    }
    blocks.extend(printing(settings));
    blocks.push(SECTION);
    if !settings.stock_notes.is_empty() {
        blocks.push(Block::Heading("Paper and card".to_owned()));
        blocks.extend(settings.stock_notes.iter().map(|note| paragraph(note)));
        blocks.push(SECTION);
    }
    let words = grain::words(parts, groups, sheets);
    if !words.is_empty() {
        blocks.push(Block::Heading("Grain".to_owned()));
        blocks.extend(words.iter().map(|words| paragraph(words)));
        blocks.push(SECTION);
    }
    blocks.extend(line_types(parts, settings));
    blocks.push(SECTION);
    blocks.extend(building(parts, settings));
    blocks.push(SECTION);
    blocks.extend(cautions());
    blocks.push(SECTION);
    blocks.extend(contents(parts, settings));
    set(&blocks, picture, &flow::columns(free))
}

/// Flows the blocks, the picture after them: as large as the room they leave allows, or as large
/// as a column where that would be too small to tell anything.
fn set(blocks: &[Block], picture: Option<&Page>, columns: &[Rect]) -> Vec<Vec<Mark>> {
    let marks = |blocks: &[Block]| -> Vec<Vec<Mark>> {
        flow::set(blocks, columns, &COVER).into_iter().map(|page| page.marks).collect()
    };
    let bare = marks(blocks);
    let (Some(picture), Some(column)) = (picture, columns.first()) else { return bare };
    // Small as it is here, its title and caption could not be read.
    let mut wordless = picture.clone();
    wordless.marks.retain(|mark| !matches!(mark.shape, Shape::Text(_)));
    let with = |share: f64| {
        let picture = Block::picture(&wordless, column.width(), column.height() * share);
        marks(&[blocks, &[SECTION, picture]].concat())
    };
    let shares = [0.5, 0.42, 0.35, 0.28, 0.22];
    shares.into_iter().map(with).find(|pages| pages.len() == bare.len()).unwrap_or_else(|| with(1.0))
}

/// Room between two sections.
const SECTION: Block = Block::Space(3.0);

/// Which sheets to print, how often, on what.
fn plan(kits: Kits, groups: &[Group], sheets: &[SheetRecord], tallies: &[StockTally]) -> Vec<Block> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut from = 0;
    while from < sheets.len() {
        let same = |record: &&SheetRecord| {
            let first = &sheets[from];
            (record.stock, &record.bag, record.copies, &record.material, record.size)
                == (first.stock, &first.bag, first.copies, &first.material, first.size)
        };
        let count = sheets[from..].iter().take_while(same).count();
        let (first, last) = (sheets[from].page + 1, sheets[from + count - 1].page + 1);
        let pages = if first == last { first.to_string() } else { format!("{first} to {last}") };
        let record = &sheets[from];
        let prints = u64::from(record.copies) * count as u64;
        let bag = record.bag.as_ref().map(|bag| format!("{bag}: ")).unwrap_or_default();
        let paper = format!("{bag}{}, {}", record.material, record.paper);
        rows.push(vec![pages, paper, record.copies.to_string(), prints.to_string()]);
        from += count;
    }
    let mut totals: BTreeMap<(Stock, String), u64> = BTreeMap::new();
    for record in sheets {
        *totals.entry((record.stock, format!("{} ({})", record.material, record.paper.name))).or_default() +=
            u64::from(record.copies);
    }
    let total: Vec<String> = totals
        .iter()
        .map(|((_, name), count)| format!("{count} {} of {name}", if *count == 1 { "sheet" } else { "sheets" }))
        .collect();
    let mut blocks = vec![Block::Heading("What to print".to_owned())];
    const COLUMNS: &[Column] = &[Column::Name, Column::Words, Column::Number, Column::Number];
    blocks.extend(flow::table(&COVER, COLUMNS, &["pages", "on", "copies", "sheets"], &rows));
    blocks.push(Block::Space(0.8));
    blocks.push(paragraph(&format!("In all: {}. {}", total.join("; "), at_least(tallies))));
    blocks.push(paragraph(&ink(tallies)));
    match kits {
        Kits::One => {}
        Kits::Own(kits) => blocks.push(paragraph(&format!(
            "For {kits} kits, each with sheets of its own. class.pdf has the print \
             plan, the bags and their labels."
        ))),
        Kits::Shared(kits) => blocks.push(paragraph(&format!(
            "For {kits} kits that share their sheets: sort the pieces into bags once they are cut. class.pdf has the \
             print plan, the bags and their labels."
        ))),
    }
    let split: Vec<&str> = groups
        .iter()
        .flat_map(|group| &group.units)
        .filter(|unit| !unit.flat.joints.is_empty())
        .map(|unit| unit.flat.id.as_str())
        .collect();
    if !split.is_empty() {
        let words = format!(
            "Larger than a page and split: {}. Glue one part's edge onto the other's hatched tab, letter to letter, triangle to triangle.",
            split.join(", ")
        );
        blocks.push(paragraph(&words));
    }
    blocks
}

/// What is proved of the numbers of sheets: `11 pages; at least 10 are needed (paper 4, card 6).`
fn at_least(tallies: &[StockTally]) -> String {
    let sum = |count: fn(&StockTally) -> u64| tallies.iter().map(count).sum::<u64>();
    let (found, least) = (sum(|tally| tally.sheets), sum(|tally| tally.at_least));
    let of: Vec<String> = tallies.iter().map(|tally| format!("{} {}", tally.stock, tally.at_least)).collect();
    let pages = if found == 1 { "page" } else { "pages" };
    let are = if least == 1 { "is" } else { "are" };
    let own = match tallies.iter().map(|tally| tally.kits).max() {
        Some(2..) => " where every kit has its own",
        _ => "",
    };
    match &of[..] {
        [_] => format!("{found} {pages}; at least {least} {are} needed{own}."),
        _ => format!("{found} {pages}; at least {least} {are} needed{own} ({}).", of.join(", ")),
    }
}

/// How much ink the sheets take: `Ink: about 31 % of the paper sheets and 12 % of the card sheets, ...`.
fn ink(tallies: &[StockTally]) -> String {
    let share = |tally: &StockTally| format!("{} % of the {} sheets", percent(tally.ink), tally.stock);
    let all: Vec<String> = tallies.iter().map(share).collect();
    let list = match all.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => all.concat(),
    };
    format!("Ink: about {list}, as if all of it were black. An estimate: what a printer uses depends on its driver.")
}

/// A share in whole per cent; what is there at all is at least 1.
fn percent(share: f64) -> String {
    plain((share * 100.0).round().max(if share > 0.0 { 1.0 } else { 0.0 }), 0)
}

/// Which pages serve which step.
fn order(settings: &Settings, sheets: &[SheetRecord]) -> Vec<Block> {
    let words = "Pages follow the steps of building, each stock for itself: print and cut the pages of a step, build \
                 it, and go on.";
    let mut blocks = vec![Block::Heading("Steps and their pages".to_owned()), paragraph(words)];
    const COLUMNS: &[Column] = &[Column::Name, Column::Words, Column::Number];
    blocks.extend(flow::table(&COVER, COLUMNS, &["step", "", "pages"], &steps::rows(settings, sheets)));
    blocks
}

const BOTH_SIDES: [&str; 2] = [
    "Every sheet has a page for its back with the pieces' names: print on both sides, turned over about the long edge.",
    "Every sheet has a page for its back with the pieces' names: print on both sides, turned over about the short edge.",
];

fn printing(settings: &Settings) -> Vec<Block> {
    let corrected = settings.correction.as_ref().map(Correction::advice);
    let mut steps = vec![
        "In the print dialogue choose 100 % (\"actual size\"). Fitting to the page shrinks everything by 3 to 6 %, and nothing will join.",
        "Print one sheet and lay a ruler on the bars at its foot and left edge: 100 mm must measure 100 mm and 4 in must measure 4 in, both ways. If not, mend the setting first.",
        "Print every page as often as it says in its second line.",
    ];
    steps.extend(corrected.as_deref());
    match settings.reverse {
        Some(Flip::LongEdge) => steps.push(BOTH_SIDES[0]),
        Some(Flip::ShortEdge) => steps.push(BOTH_SIDES[1]),
        None => {}
    }
    if matches!(settings.board_as, BoardAs::Sheet(_)) {
        steps.push("Pages for board are for a cutter: send only the layer \"Cutting\" to it.");
    }
    let mut blocks = vec![Block::Heading("How to print".to_owned())];
    blocks.extend(numbered(&steps));
    if settings.layout == LayoutMode::Stacked {
        blocks.push(SECTION);
        blocks.push(Block::Heading("How to cut a stack".to_owned()));
        blocks.extend(numbered(&[
            "Lay the copies of one page on each other, square at two edges, and clamp them: print one more as a spare.",
            "Cut along the trim lines in the order of their numbers, each from edge to edge of what is left.",
            "Every block then holds one piece, or waste: cut the pieces out along their own lines, several at a time.",
        ]));
    }
    blocks
}

fn line_types(parts: &[Part], settings: &Settings) -> Vec<Block> {
    let meaning = |kind| match kind {
        LineType::Cut => "Cut through.",
        LineType::Valley => "Valley fold: score, then fold the printed sides towards each other.",
        LineType::Mountain => "Mountain fold: score, then fold the printed sides away from each other.",
        LineType::Score => "Score only: cut half-way or press a groove; do not fold.",
        LineType::Perforation => "Perforate.",
        LineType::Glue => "Glue goes on the hatched area.",
        LineType::Trim => "Trim: cut the stack straight across, in the order of the numbers.",
    };
    let lines = if settings.layout == LayoutMode::Stacked { LineType::ALL } else { LineType::OF_PIECES };
    let mut blocks = vec![Block::Heading("Lines".to_owned())];
    blocks.extend(lines.iter().map(|&kind| Block::Sample(kind, meaning(kind))));
    if parts.iter().any(|part| part.copies > 0 && part.face.prints()) {
        blocks.push(paragraph("On artwork all lines are black; their dashes tell them apart."));
    }
    blocks
}

/// The steps given, or the usual order for the stocks that are there.
fn building(parts: &[Part], settings: &Settings) -> Vec<Block> {
    let has = |stock| parts.iter().any(|part| part.pattern.stock == stock && part.copies > 0);
    let mut steps: Vec<&str> = settings.build_steps.iter().map(String::as_str).collect();
    if steps.is_empty() {
        steps.push("Score and crease every fold before you cut the outline; cut holes and slots before the outline.");
        if has(Stock::Board) {
            steps.push(match settings.board_as {
                BoardAs::Template => {
                    "Glue the board templates on board, let them dry under a weight, and cut along the lines."
                }
                BoardAs::Sheet(_) => "Have the board pieces cut, and keep the offcuts.",
            });
        }
        if has(Stock::Paper) {
            steps.push("Wrap the board cores: face first, then the sides, then the returns.");
        }
        if has(Stock::Card) {
            steps.push("Fold and glue the card pieces; glue goes on the hatched areas.");
        }
        let kinds = |kind| parts.iter().any(|part| part.pattern.kind == kind && part.copies > 0);
        if kinds(PieceKind::BentWall) {
            steps.push(
                "Bend each line of a bent wall a little over an edge: those of the outer skin open, those of the inner \
                 one close. Glue the two back to back round the bend.",
            );
        }
        if kinds(PieceKind::BentCore) {
            steps.push(
                "Cut the core of a bent wall half through on its lines, down to the paper on its back. Bend it so that \
                 they open, and glue its facings on.",
            );
        }
        steps.push("Try the joints dry, then put the set together.");
    }
    let mut blocks = vec![Block::Heading("Order of work".to_owned())];
    blocks.extend(numbered(&steps));
    blocks
}

fn cautions() -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Take care".to_owned())];
    let words = [
        "Blades: keep fingers behind the blade, cut away from yourself, make several light cuts, change blades often and put used ones in a closed box.",
        "Children: only with an adult. Small parts are no toys for children under three.",
        "Spray adhesive, paint and a laser's fumes: outdoors or with good ventilation. Hot glue burns.",
        "What the safety sheet of a product and your local rules say goes before anything here.",
    ];
    blocks.extend(words.map(paragraph));
    blocks
}

/// Every part: what, how many (and in which bags), from what, how large.
fn contents(parts: &[Part], settings: &Settings) -> Vec<Block> {
    let kits = settings.kits;
    let heading = if kits == Kits::One { "What is in the set" } else { "What is in a kit" };
    let mut blocks = vec![Block::Heading(heading.to_owned())];
    let mut rows = Vec::new();
    for (index, part) in parts.iter().enumerate().filter(|(_, part)| part.copies > 0) {
        let pattern = &part.pattern;
        let (w, h) = pattern.size();
        let name = if pattern.detail.is_empty() {
            pattern.kind.name().to_owned()
        } else {
            format!("{}, {}", pattern.kind.name(), pattern.detail)
        };
        let bags = settings.bags.iter().filter_map(|bag| {
            let copies = bag.copies.get(index).filter(|copies| **copies > 0)?;
            Some(format!("{} {}", bag.name, copies / kits.shares().max(1)))
        });
        let bags: Vec<String> = bags.collect();
        let name = if bags.is_empty() { name } else { format!("{name} ({})", bags.join(", ")) };
        let size = format!("{} x {}", plain(w.get(), 1), plain(h.get(), 1));
        rows.push(vec![
            part.id.clone(),
            name,
            (part.copies / kits.shares().max(1)).to_string(),
            pattern.stock.to_string(),
            size,
        ]);
    }
    const COLUMNS: &[Column] = &[Column::Name, Column::Words, Column::Number, Column::Number, Column::Number];
    blocks.extend(flow::table(&COVER, COLUMNS, &["piece", "", "count", "stock", "flat size, mm"], &rows));
    blocks
}

fn paragraph(words: &str) -> Block {
    Block::paragraph("", words)
}

fn numbered(steps: &[&str]) -> Vec<Block> {
    let step = |(i, words): (usize, &&str)| Block::paragraph(&format!("{}.", i + 1), words);
    steps.iter().enumerate().map(step).collect()
}
