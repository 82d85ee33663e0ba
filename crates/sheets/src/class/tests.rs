use super::*;
use crate::faults;
use crate::page::{Layer, Shape};
use crate::paper::PaperSize;

fn class(kits: usize) -> ClassBook {
    let content = |id: &str, count, small| Content {
        id: id.to_owned(),
        name: "biscuit".to_owned(),
        count,
        bag: 0,
        stock: Stock::Board,
        small,
    };
    let print = |page, copies, cuts, cover| Print { page, copies, on: "card, A4".to_owned(), cuts, cover };
    ClassBook {
        title: "Lamp store".to_owned(),
        kits: (1..=kits).map(|kit| format!("Kit {kit}")).collect(),
        own_sheets: true,
        stacked: true,
        stack: 10,
        prints: vec![print(1, 1, 0, true), print(2, 31, 7, false), print(3, 31, 7, false), print(4, 31, 5, false)],
        bags: Vec::new(),
        contents: vec![content("B1", 4, true), content("TC1", 2, false)],
        shopping: Vec::new(),
        cautions: vec!["Knives are sharp.".to_owned()],
    }
}

fn words(document: &Document) -> String {
    let mut all = String::new();
    for mark in document.pages.iter().flat_map(|page| &page.marks) {
        if let Shape::Text(text) = &mark.shape {
            all.push_str(&text.text);
            all.push('\n');
        }
    }
    all
}

#[test]
fn stacks_are_equal_and_never_too_high() {
    for copies in 1..=120 {
        for most in 1..=20 {
            let (number, highest) = stacks(copies, most);
            assert!(highest <= most && number * highest >= copies && (number - 1) * most < copies);
        }
    }
}

#[test]
fn the_print_plan_tells_copies_stacks_and_cuts() {
    let paper: PaperSize = "A4".parse().unwrap();
    let document = document(&class(31), &paper, Mm::new(12.0)).unwrap();
    assert!(faults::of_document(&document).is_empty());
    let words = words(&document);
    // Pages 2 and 3 are printed alike; page 4 has fewer cuts.
    for part in ["pages 2 to 3\n", "31 copies each\n", "page 4\n", "4 of 8 sheets\n", "Not for children under three"] {
        assert!(words.contains(part), "no {part:?} in {words}");
    }
    // 3 pages in 4 stacks each: 4 x (7 + 7 + 5) cuts.
    assert!(words.replace('\n', " ").contains("12 stacks with 76 straight cuts"), "{words}");
}

#[test]
fn every_kit_has_a_row_and_a_label_of_its_own() {
    for (paper, kits) in [("A4", 31), ("Letter", 30), ("A5", 9), ("A3", 1)] {
        let document = document(&class(kits), &paper.parse().unwrap(), Mm::new(12.0)).unwrap();
        let words = words(&document);
        for kit in 1..=kits {
            let name = format!("Kit {kit}\n");
            assert_eq!(words.matches(&name).count(), 2, "{name} on {paper}");
            assert!(words.contains(&format!("kit {kit} of {kits}\n")));
        }
        let cut = |mark: &&crate::page::Mark| mark.layer == Layer::Cutting;
        let labels = document.pages.iter().flat_map(|page| &page.marks).filter(cut).count();
        assert_eq!(labels, kits);
    }
}

/// Each level's bag has a label that names it and lists what it holds, and nothing else; a bag that holds
/// nothing has none.
#[test]
fn every_bag_of_a_kit_has_a_label() {
    let mut class = class(5);
    class.bags = ["landing", "lamp room", "for all levels"].map(str::to_owned).to_vec();
    class.contents[1].bag = 1;
    let document = document(&class, &"A4".parse().unwrap(), Mm::new(12.0)).unwrap();
    assert!(faults::of_document(&document).is_empty());
    let words = words(&document);
    assert_eq!((words.matches("\nlanding\n").count(), words.matches("\nlamp room\n").count()), (5, 5));
    assert_eq!((words.matches("bag 1 of 2\n").count(), words.matches("bag 2 of 2\n").count()), (5, 5));
    assert!(!words.contains("for all levels"), "{words}");
    // The small part lies in the first bag alone, beside the paragraph on cautions.
    let warned = words.matches("▲ Small parts: not for").count();
    assert_eq!(warned, 5);
    let of = |level: &str, next: &str| {
        words.split(level).nth(1).and_then(|rest| rest.split(next).next()).unwrap().to_owned()
    };
    let first = of("\nlanding\n", "\nlamp room\n");
    assert!(first.contains("B1\u{a0}×\u{a0}4") && !first.contains("TC1"), "{first}");
    assert!(words.contains("fill and label 10 bags"), "{words}");
}

#[test]
fn small_paper_is_refused() {
    let paper: PaperSize = "A6".parse().unwrap();
    assert!(matches!(document(&class(2), &paper, Mm::new(12.0)), Err(ClassError::PageTooSmall { .. })));
}
