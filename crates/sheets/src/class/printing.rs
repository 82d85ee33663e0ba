//! The first pages: what to print, how often, on what; how to cut it; what to take care of.

use super::{ClassBook, Print, counted, stacks};
use crate::booklet;
use crate::flow::{self, Block, Column};

/// Room between two sections, mm.
const SECTION: Block = Block::Space(5.0);

/// Title, figures, print plan, cutting.
pub(super) fn blocks(class: &ClassBook, width: f64) -> Vec<Block> {
    let mut blocks = vec![
        booklet::title("Class set", &class.title, width),
        Block::Space(3.0),
        booklet::facts(figures(class).into_iter().map(|figure| (figure, 0.25)), width),
        SECTION,
        Block::Heading("What to print".to_owned()),
    ];
    blocks.extend(print_plan(class));
    blocks.push(SECTION);
    blocks.push(Block::Heading(if class.stacked { "Stacks for the trimmer" } else { "Cutting" }.to_owned()));
    blocks.extend(numbered(&cutting(class)));
    blocks
}

fn figures(class: &ClassBook) -> [(String, String); 4] {
    let word = |count: u64, word: &str| {
        let all = counted(count, word);
        all.split_once(' ').map(|(number, word)| (number.to_owned(), word.to_owned())).unwrap_or_default()
    };
    let pieces: u64 = class.contents.iter().map(|content| u64::from(content.count)).sum();
    let prints: u64 = class.prints.iter().map(|print| u64::from(print.copies)).sum();
    let different = class.prints.iter().filter(|print| !print.cover).count() as u64;
    let ((pieces, pieces_word), (different, pages_word)) = (word(pieces, "piece"), word(different, "page"));
    [
        word(class.kits.len() as u64, "kit"),
        (pieces, format!("{pieces_word} in a kit")),
        (different, format!("different {pages_word}")),
        (prints.to_string(), "sheets to print".to_owned()),
    ]
}

/// One row for pages that are printed alike and follow each other.
fn print_plan(class: &ClassBook) -> Vec<Block> {
    let alike = |a: &Print, b: &Print| (a.copies, &a.on, a.cuts, a.cover) == (b.copies, &b.on, b.cuts, b.cover);
    let row = |run: &[Print]| -> Vec<String> {
        let first = &run[0];
        let pages = match run {
            [only] => format!("page {}", only.page),
            [.., last] => format!("pages {} to {}", first.page, last.page),
            [] => String::new(),
        };
        let each = if run.len() > 1 { " each" } else { "" };
        let copies = match first.copies {
            1 => format!("1 copy{each}"),
            many => format!("{many} copies{each}"),
        };
        let on = if first.cover { format!("{} (cover, for you)", first.on) } else { first.on.clone() };
        let mut cells = vec![pages, copies];
        if class.own_sheets {
            let kits = u32::try_from(class.kits.len()).unwrap_or(u32::MAX).max(1);
            cells.push(if first.cover { String::new() } else { (first.copies / kits).to_string() });
        }
        cells.push(on);
        if class.stacked {
            let (number, highest) = stacks(first.copies, class.stack);
            let stacked = format!("{number} of {}", counted(u64::from(highest), "sheet"));
            let [stack, cuts] = if first.cuts > 0 { [stacked, first.cuts.to_string()] } else { Default::default() };
            cells.extend([stack, cuts]);
        }
        cells
    };
    let rows: Vec<Vec<String>> = class.prints.chunk_by(alike).map(row).collect();
    use Column::{Name, Number, Words};
    let (columns, head): (&[Column], &[&str]) = match (class.own_sheets, class.stacked) {
        (true, true) => (
            &[Name, Number, Number, Words, Number, Number],
            &["of sheets.pdf", "print", "for a kit", "on", "stacks", "cuts"],
        ),
        (true, false) => (&[Name, Number, Number, Words], &["of sheets.pdf", "print", "for a kit", "on"]),
        (false, true) => (&[Name, Number, Words, Number, Number], &["of sheets.pdf", "print", "on", "stacks", "cuts"]),
        (false, false) => (&[Name, Number, Words], &["of sheets.pdf", "print", "on"]),
    };
    let mut blocks = flow::table(&booklet::LOOK, columns, head, &rows);
    blocks.push(Block::Space(1.5));
    let words = match class.own_sheets {
        true => "Every kit has sheets of its own: what is cut from the copies for a kit is one kit.",
        false => {
            "The kits share their sheets, which takes the fewest; the pieces are sorted into bags after they are cut."
        }
    };
    blocks.push(Block::paragraph("", words));
    let words = "Print at 100 % (\"actual size\"), one page first, and lay a ruler on its bars: 100 mm must measure 100 \
                 mm. Then print the rest, and one copy of each page more as a spare.";
    blocks.push(Block::paragraph("", words));
    blocks
}

fn cutting(class: &ClassBook) -> Vec<String> {
    let mut steps = Vec::new();
    if class.stacked {
        let (number, cuts) =
            class.prints.iter().filter(|print| print.cuts > 0).fold((0, 0), |(number, cuts), print| {
                let (stacks, _) = stacks(print.copies, class.stack);
                (number + u64::from(stacks), cuts + u64::from(stacks) * print.cuts as u64)
            });
        steps.push(format!(
            "Make stacks of equal pages, at most {} high, square at two edges, and clamp them: {} with {} in all. How \
             many sheets a trimmer takes, its maker says; take fewer where the blade pushes the stack.",
            counted(u64::from(class.stack), "sheet"),
            counted(number, "stack"),
            counted(cuts, "straight cut")
        ));
        steps.push(
            "Cut along the trim lines in the order of their numbers, each from edge to edge of what is left. An adult \
             works the trimmer, alone at it, with the guard closed."
                .to_owned(),
        );
        let each = match class.own_sheets {
            true => "Every block now holds equal pieces: deal them out to the bags by the list of what is in a bag.",
            false => "Every block now holds copies of one piece: put it with its kind, and fill the bags from there.",
        };
        steps.push(each.to_owned());
        steps.push(
            "The pieces' own outlines, folds and slots are cut and scored by whoever builds, or by you.".to_owned(),
        );
    } else if class.own_sheets {
        steps.push(
            "Lay the copies out in one pile for each page, and take the copies for a kit from every pile. Clip them \
             together with the kit's label."
                .to_owned(),
        );
        steps.push("Score folds before cutting outlines; cut slots and holes before outlines.".to_owned());
        steps.push("For a trimmer, make the sheets again with the layout \"stacked\".".to_owned());
    } else {
        steps.push("Score folds before cutting outlines; cut slots and holes before outlines.".to_owned());
        steps.push("Sort what is cut by its names into boxes, one for each name, and fill the bags from there.".into());
        steps.push("For a trimmer, make the sheets again with the layout \"stacked\".".to_owned());
    }
    steps
}

/// What to take care of, with the small parts.
pub(super) fn cautions(class: &ClassBook) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Take care".to_owned())];
    let small: Vec<&str> = class.contents.iter().filter(|content| content.small).map(|c| c.id.as_str()).collect();
    if !small.is_empty() {
        let words = format!(
            "Not for children under three: small parts. By their size these may fit the test cylinder of 16 CFR \
             1501.4 (31.7 mm across), flat or built: {}. This is an estimate from nominal sizes, no test.",
            small.join(", ")
        );
        blocks.push(Block::paragraph("▲", &words));
    }
    blocks.extend(class.cautions.iter().map(|words| Block::paragraph("▲", words.trim())));
    blocks.push(SECTION);
    blocks
}

fn numbered(steps: &[String]) -> Vec<Block> {
    steps.iter().enumerate().map(|(i, words)| Block::paragraph(&format!("{}.", i + 1), words)).collect()
}
