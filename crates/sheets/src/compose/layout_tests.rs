//! The ways of laying out: straight cuts, the order of steps, several sizes of sheet, grain.

use std::collections::BTreeMap;

use kurbo::{Line, Rect, Shape as _};

use super::tests::{composed, overlap, paper, quick, set};
use super::*;
use crate::furniture::frame::Fullness;
use crate::page::{Layer, Page, Shape};
use crate::paper::Orientation;

/// Numbers of trim cuts on a page, with what they cover.
fn numbers(page: &Page, free: Rect) -> Vec<(u32, Rect)> {
    let number = |mark: &crate::page::Mark| match &mark.shape {
        Shape::Text(text) if mark.layer == Layer::Furniture => {
            let room = trim::figures(text);
            text.text.parse().ok().filter(|_| overlap(room, free)).map(|number| (number, room))
        }
        _ => None,
    };
    page.marks.iter().filter_map(number).collect()
}

/// Every cut has its number, numbers keep off lines, pieces and each other, and what is drawn
/// lies in the free area.
#[test]
fn trim_lines_are_numbered_and_clear_of_everything() {
    let parts = set();
    for name in ["A4", "Letter", "A3"] {
        let settings = Settings { layout: LayoutMode::Stacked, ..quick(name) };
        let composed = composed(&parts, &settings);
        assert!(!composed.sheets.is_empty());
        for record in &composed.sheets {
            let page = &composed.document.pages[record.page];
            let offer = Offer::only(record.paper.clone());
            let choices = unit::choices(&offer, Orientation::Either, &settings, Fullness::Sheet, true);
            let choice = choices.iter().find(|choice| choice.size == record.size).expect("one of them");
            let free = choice.frame.free;
            let numbers = numbers(page, free);
            let mut sorted: Vec<u32> = numbers.iter().map(|(number, _)| *number).collect();
            sorted.sort_unstable();
            let count = u32::try_from(record.cuts.len()).unwrap();
            assert_eq!(sorted, (1..=count).collect::<Vec<_>>(), "{name}, page {}", record.page);
            let mut drawn: Vec<Rect> = Vec::new();
            for mark in &page.marks {
                match &mark.shape {
                    Shape::Stroke { path, pen } if mark.layer == Layer::Trimming => {
                        let half = pen.width.get() / 2.0;
                        drawn.push(path.bounding_box().inflate(half, half));
                    }
                    Shape::Place { form, motion } => {
                        for mark in &composed.document.forms[*form].marks {
                            if let Shape::Stroke { path, .. } | Shape::Fill { path, .. } = &mark.shape {
                                let boxes = path.segments().map(|s| (*motion * s).bounding_box());
                                // What lies within a piece is covered by its box.
                                drawn.extend(boxes.reduce(|a, b| a.union(b)).map(|b| b.inflate(0.17, 0.17)));
                            }
                        }
                    }
                    _ => {}
                }
            }
            for (i, (number, room)) in numbers.iter().enumerate() {
                assert_eq!(free.inflate(0.01, 0.01).union(*room), free.inflate(0.01, 0.01), "number {number}");
                assert!(numbers.iter().skip(i + 1).all(|(_, other)| !overlap(*room, *other)), "number {number}");
                assert!(!drawn.iter().any(|other| overlap(*room, *other)), "{name}: number {number} on a line");
            }
        }
    }
}

/// From the whole sheet on, every cut crosses what is left from edge to edge.
#[test]
fn recorded_cuts_divide_the_whole_sheet() {
    let settings = Settings { layout: LayoutMode::Stacked, ..quick("A4") };
    for record in composed(&set(), &settings).sheets {
        let mut blocks = vec![Rect::new(0.0, 0.0, record.size.0.get(), record.size.1.get())];
        for line in &record.cuts {
            let across = |block: &Rect| {
                let Line { p0, p1 } = *line;
                let near = |a: f64, b: f64| (a - b).abs() < 1e-3;
                let lying = near(p0.y, p1.y) && near(p0.x, block.x0) && near(p1.x, block.x1);
                let upright = near(p0.x, p1.x) && near(p0.y, block.y0) && near(p1.y, block.y1);
                (lying && p0.y > block.y0 && p0.y < block.y1) || (upright && p0.x > block.x0 && p0.x < block.x1)
            };
            let index = blocks.iter().position(across).expect("a block that the cut crosses");
            let block = blocks.swap_remove(index);
            if line.p0.x == line.p1.x {
                blocks.extend([Rect { x1: line.p0.x, ..block }, Rect { x0: line.p0.x, ..block }]);
            } else {
                blocks.extend([Rect { y1: line.p0.y, ..block }, Rect { y0: line.p0.y, ..block }]);
            }
        }
        assert!(blocks.len() >= record.placements.len());
    }
}

#[test]
fn pages_follow_the_steps_and_say_so() {
    let parts = set();
    let step = |name: &str, pieces: &[(usize, u32)]| BuildStep { name: name.into(), pieces: pieces.to_vec(), bag: 0 };
    let steps = vec![
        step("Wrap the tiles", &[(0, 2), (1, 2)]),
        step("Pockets", &[(2, 9), (3, 5)]),
        step("The rest", &[(0, 1), (1, 1), (4, 4), (5, 4)]),
    ];
    let settings = Settings { layout: LayoutMode::ByStep, steps, ..quick("A4") };
    let composed = composed(&parts, &settings);
    for stock in [Stock::Paper, Stock::Card, Stock::Board] {
        let spans: Vec<(usize, usize)> =
            composed.sheets.iter().filter(|sheet| sheet.stock == stock).filter_map(|sheet| sheet.steps).collect();
        assert!(!spans.is_empty() && spans.windows(2).all(|pair| pair[0].1 <= pair[1].0), "{stock}: {spans:?}");
    }
    for record in &composed.sheets {
        let page = &composed.document.pages[record.page];
        let said = steps::named(&settings.steps, record.steps.unwrap());
        let says = |mark: &crate::page::Mark| matches!(&mark.shape, Shape::Text(text) if text.text.ends_with(&said));
        assert!(page.marks.iter().any(says), "page {} does not say {said}", record.page + 1);
    }
}

/// Two sizes and a price each: the sum is what counts, and every page has its own size's frame.
#[test]
fn of_several_sizes_the_cheaper_is_taken() {
    let parts = set();
    let used = |a3: f64| {
        let mut settings = Settings { effort: 1000, ..quick("A4") };
        let offers = vec![Offer { paper: paper("A4"), price: 1.0 }, Offer { paper: paper("A3"), price: a3 }];
        settings.paper.papers.clone_from(&offers);
        settings.card.papers = offers;
        let composed = composed(&parts, &settings);
        let mut used: BTreeMap<String, u32> = BTreeMap::new();
        for record in &composed.sheets {
            let (w, h) = (record.paper.width, record.paper.height);
            assert!(record.size == (w, h) || record.size == (h, w));
            *used.entry(format!("{} {}", record.paper.name, record.stock)).or_default() += record.copies;
        }
        for tally in &composed.tallies {
            assert!(tally.sheets >= tally.at_least && tally.at_least > 0);
            assert_eq!(tally.papers.iter().map(|paper| paper.sheets).sum::<u64>(), tally.sheets);
        }
        used
    };
    let dear = used(50.0);
    assert!(!dear.keys().any(|key| key.starts_with("A3")), "{dear:?}");
    let cheap = used(0.01);
    assert!(!cheap.keys().any(|key| key.starts_with("A4")), "{cheap:?}");
}

/// Grain along the sheet's long side: pieces that keep it lie one way on upright sheets, and the
/// other way on sheets on their side.
#[test]
fn pieces_that_keep_the_grain_are_turned_half_way_only() {
    let mut parts = set();
    for part in &mut parts {
        part.grain = if part.id == "WA1" { Grain::Across } else { Grain::Along };
    }
    for (grain, orientation) in [
        (SheetGrain::Long, Orientation::Portrait),
        (SheetGrain::Long, Orientation::Landscape),
        (SheetGrain::Short, Orientation::Portrait),
        (SheetGrain::Short, Orientation::Either),
    ] {
        let mut settings = quick("A4");
        for sheet in [&mut settings.paper, &mut settings.card] {
            (sheet.grain, sheet.orientation) = (Some(grain), orientation);
        }
        let composed = composed(&parts, &settings);
        for record in composed.sheets.iter().filter(|record| record.stock != Stock::Board) {
            let portrait = record.size.0 <= record.size.1;
            let grain_upright = portrait == (grain == SheetGrain::Long);
            for placed in &record.placements {
                let piece_upright = placed.rotation % 180 == 0;
                let along = parts[placed.part].grain == Grain::Along;
                assert_eq!(along, grain_upright == piece_upright, "{} on {portrait}", placed.id);
            }
        }
        let placed: u32 = composed.sheets.iter().map(|s| s.copies * u32::try_from(s.placements.len()).unwrap()).sum();
        assert_eq!(placed, parts.iter().map(|part| part.copies).sum::<u32>());
    }
}

/// Bags have sheets of their own that say so; nothing of one lies among the other's, and all is there.
#[test]
fn bags_are_packed_apart() {
    let parts = set();
    let first: Vec<u32> = parts.iter().map(|part| part.copies / 2).collect();
    let second = parts.iter().zip(&first).map(|(part, first)| part.copies - first).collect();
    let bag = |name: &str, copies: Vec<u32>| Bag { name: name.into(), copies };
    let bags = vec![bag("landing", first), bag("lamp room", second)];
    let settings = Settings { bags, ..quick("A4") };
    let apart = composed(&parts, &settings);
    for bag in &settings.bags {
        let mut placed = vec![0; parts.len()];
        for record in apart.sheets.iter().filter(|record| record.bag.as_ref() == Some(&bag.name)) {
            record.placements.iter().for_each(|piece| placed[piece.part] += record.copies);
            let page = &apart.document.pages[record.page];
            let says = |mark: &crate::page::Mark| matches!(&mark.shape, Shape::Text(text) if text.text.contains(&format!(", {}, sheet ", bag.name)));
            assert!(page.marks.iter().any(says) && page.title.contains(&bag.name), "{}", page.title);
        }
        assert_eq!(placed, bag.copies, "{}", bag.name);
    }
    assert!(apart.sheets.iter().all(|record| record.bag.is_some()));
    let together = composed(&parts, &Settings { bags: Vec::new(), ..settings.clone() });
    assert_eq!(apart.tallies.len(), together.tallies.len(), "one for each stock");
    for (apart, together) in apart.tallies.iter().zip(&together.tallies) {
        assert!(apart.sheets >= together.at_least && apart.sheets >= apart.at_least);
        assert!(apart.at_least >= together.at_least, "what is apart needs no fewer");
        assert!(apart.certificate.contains("landing: ") && apart.certificate.contains("; lamp room: "));
        assert_eq!(apart.papers.iter().map(|paper| paper.sheets).sum::<u64>(), apart.sheets);
    }
    // The cover tells how many of each are in which.
    let cover = &apart.document.pages[0];
    let told = |mark: &crate::page::Mark| matches!(&mark.shape, Shape::Text(text) if text.text.contains("lamp room"));
    assert!(cover.marks.iter().any(told));
    // By step, each bag follows its own steps.
    let steps = settings.bags.iter().enumerate().map(|(index, bag)| BuildStep {
        name: bag.name.clone(),
        pieces: bag.copies.iter().copied().enumerate().filter(|(_, copies)| *copies > 0).collect(),
        bag: index,
    });
    let by_step = Settings { layout: LayoutMode::ByStep, steps: steps.collect(), ..settings.clone() };
    for record in composed(&parts, &by_step).sheets {
        let expected = usize::from(record.bag.as_deref() == Some("lamp room"));
        assert_eq!(record.steps, Some((expected, expected)));
    }
    let mut wrong = settings;
    wrong.bags[0].copies[0] += 1;
    let errors = compose(&parts, &wrong, &mut |_| {}).unwrap_err();
    assert!(matches!(&errors[..], [ComposeError::Bags { .. }]), "{errors:?}");
}
