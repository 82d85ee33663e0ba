//! What goes into the bags, and what to tick on the way there.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect, Shape as _};

use super::{ClassBook, counted, labels};
use crate::booklet::{LEAST, LOOK};
use crate::flow::{self, Block, Column};
use crate::furniture::marks::{Face, fitted, line, stroke, text, wrapped};
use crate::furniture::style;
use crate::page::{Align, Mark};

/// Side of a box to tick, mm.
const TICK: f64 = 3.2;
/// Height of a kit's row, mm.
const ROW: f64 = 7.4;
/// What is ticked of a kit.
const STATIONS: [&str; 4] = ["packed", "checked", "handed out", "built"];
/// Part of the width for a kit's name.
const NAME: f64 = 0.36;

/// What every bag holds.
pub(super) fn contents(class: &ClassBook) -> Vec<Block> {
    let kits = class.kits.len() as u64;
    let rows: Vec<Vec<String>> = (class.contents.iter().filter(|content| content.count > 0))
        .map(|content| {
            let small = if content.small { "▲" } else { "" };
            let all = u64::from(content.count) * kits;
            let name = content.name.clone();
            vec![
                content.id.clone(),
                name,
                content.stock.to_string(),
                content.count.to_string(),
                all.to_string(),
                small.to_owned(),
            ]
        })
        .collect();
    use Column::{Name, Number, Words};
    const COLUMNS: &[Column] = &[Name, Words, Number, Number, Number, Number];
    let mut blocks = vec![
        Block::Heading("What is in a bag".to_owned()),
        Block::paragraph(
            "",
            &match class.bags.is_empty() {
                true => format!("The same in each of the {}.", counted(kits, "bag")),
                false => format!("The same in each of the {}; every level has a bag of its own.", counted(kits, "kit")),
            },
        ),
    ];
    let head = ["piece", "", "stock", "in a bag", "in all", "small part"];
    blocks.extend(flow::table(&LOOK, COLUMNS, &head, &rows));
    let per_kit: u64 = class.contents.iter().map(|content| u64::from(content.count)).sum();
    blocks.push(Block::Space(1.5));
    let words = format!(
        "{} in a {}, {} in all. ▲: a small part, flat or built; see \"Take care\".",
        counted(per_kit, "piece"),
        if class.bags.is_empty() { "bag" } else { "kit" },
        per_kit * kits
    );
    blocks.push(Block::paragraph("", &words));
    blocks
}

/// The teacher's checklist, and a row for each kit.
pub(super) fn checklist(class: &ClassBook, width: f64) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Checklist".to_owned())];
    for (title, steps) in steps(class) {
        blocks.push(Block::Subheading(title.to_owned()));
        blocks.extend(steps.iter().map(|words| ticked(words, width)));
        blocks.push(Block::Space(2.0));
    }
    blocks.push(Block::PageBreak);
    blocks.push(Block::Heading("Kits".to_owned()));
    blocks.extend(class.kits.iter().map(|name| kit(name, width)));
    blocks
}

fn steps(class: &ClassBook) -> [(&'static str, Vec<String>); 4] {
    let own = |text: &str| text.to_owned();
    let number = counted((class.kits.len() * labels::held(class).len()) as u64, "bag");
    let cut = match (class.stacked, class.own_sheets) {
        (true, _) => "Cut the stacks; count the blocks of the first stack before you cut the others.",
        (false, true) => "Lay out the piles and clip the kits together.",
        (false, false) => "Cut the sheets and sort the pieces by their names.",
    };
    [
        (
            "A week before",
            vec![
                own("Read the cautions; ask the school and the machine's owner what their rules are."),
                own("Buy what is on the shopping list. Measure a board and a card of it with a caliper: where they \
                     differ from the set's values, make the sheets again."),
                own("Build one kit yourself from the first copies, and note how long it took."),
                own("Ask about allergies to glue or latex, and who needs pieces that are cut already."),
            ],
        ),
        (
            "The day before",
            vec![
                own("Print by the print plan; check a ruler bar on every stock."),
                own(cut),
                format!("Cut out the labels; fill and label {number}; check every third bag against the list."),
                own("Lay out for each place: mat, metal rule, knife or scissors, scoring tool, glue, a bag for waste."),
            ],
        ),
        (
            "In class",
            vec![
                own("Show a cut and a fold: several light cuts, fingers off the line, score before folding."),
                own("Count the knives out. Hot glue, spray adhesive and cutting machines stay with an adult."),
                own("Everyone checks the bag against its label and writes the name on it."),
                own("Try joints dry before gluing."),
            ],
        ),
        (
            "Afterwards",
            vec![
                own("Count the knives in; used blades go into a closed box."),
                own("Keep the spare pages and the offcuts; note in the bag what is missing."),
            ],
        ),
    ]
}

fn square(x: f64, middle: f64) -> Mark {
    let path = Rect::new(x, middle - TICK / 2.0, x + TICK, middle + TICK / 2.0).to_path(0.1);
    stroke(path, style::fine())
}

/// A box and what it stands for.
fn ticked(words: &str, width: f64) -> Block {
    let body = LOOK.body;
    let mut marks = vec![square(0.0, -0.5 * body.leading())];
    let lines = wrapped(words, (width - LOOK.indent).min(LOOK.measure), body);
    for (i, words) in lines.iter().enumerate() {
        let y = -(i as f64) * body.leading() - 0.85 * body.size.get();
        marks.push(text(Point::new(LOOK.indent, y), words.clone(), body, Align::Start));
    }
    Block::Drawing { height: lines.len() as f64 * body.leading() + LOOK.after, marks }
}

/// A kit's name and the boxes to tick for it.
fn kit(name: &str, width: f64) -> Block {
    let middle = -ROW / 2.0;
    let (name, face) = fitted(name, NAME * width - 3.0, Face::bold(Mm::new(3.6)), LEAST);
    let mut marks = vec![text(Point::new(0.0, middle - 1.25), name, face, Align::Start)];
    let share = (1.0 - NAME) / STATIONS.len() as f64;
    for (i, words) in STATIONS.into_iter().enumerate() {
        let x = (NAME + i as f64 * share) * width;
        marks.push(square(x, middle));
        let (words, face) = fitted(words, share * width - TICK - 3.0, LOOK.table, LEAST);
        marks.push(text(Point::new(x + TICK + 1.5, middle - 1.1), words, face, Align::Start));
    }
    marks.push(line((0.0, -ROW), (width, -ROW), style::hairline()));
    Block::Drawing { height: ROW, marks }
}
