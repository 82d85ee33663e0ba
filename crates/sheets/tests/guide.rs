//! Guides: everything is told, in its place, on pages that nothing runs off.

#[path = "common/layout.rs"]
mod layout;
#[path = "common/pump_room.rs"]
mod pump_room;

use flatwright_geometry::units::{Angle, Mm};
use flatwright_sheets::furniture::text_box;
use flatwright_sheets::guide::{self, Guide, GuideError, GuideFault, GuideStep, ShoppingLine};
use flatwright_sheets::page::{Align, Colour, Document, Layer, Mark, Page, Shape, Text, Weight};
use flatwright_sheets::paper::PaperSize;
use flatwright_sheets::plan_view::{PlanItem, PlanRef};
use flatwright_sheets::{pdf, png};
use layout::{texts, words};

const MARGIN: f64 = 12.0;

fn sample() -> Guide {
    pump_room::guide().expect("the sample has patterns")
}

/// The sample with far too much of everything.
fn stuffed() -> Guide {
    let mut guide = sample();
    let long = "Hold the sluice wheel still while the paste dries and count the turns aloud. ";
    guide.title = "Brinewell: the pump room, the lower brine hall, the lamp store and the tide stair together".into();
    guide.about = format!("{}\n{}", long.repeat(12), long.repeat(40));
    let mut upper = guide.plan.levels[0].clone();
    upper.name = "Gallery under the roof".into();
    guide.plan.levels.push(upper);
    let parts = guide.parts.clone();
    for (round, part) in (0..3).flat_map(|round| parts.iter().map(move |part| (round, part))) {
        let mut part = part.clone();
        part.id = format!("{}-{round}", part.id);
        part.name = format!("{} {}", part.name, "with a rim of cast iron and a worn step".repeat(round + 1));
        part.count = 10_u32.pow(round as u32 * 3);
        guide.parts.push(part);
    }
    let ids: Vec<(String, u32)> = guide.parts.iter().map(|part| (part.id.clone(), 7)).collect();
    for number in 8..30_u32 {
        let all: Vec<PlanRef> =
            (0..2).flat_map(|level| (0..9).map(move |i| PlanRef { level, item: PlanItem::Tile(i) })).collect();
        guide.steps.push(GuideStep {
            number,
            title: format!("Turn {number} of the wheel"),
            text: long.repeat(number as usize),
            pieces: ids[..(number as usize * 2).min(ids.len())].to_vec(),
            highlight: if number % 3 == 0 { Vec::new() } else { all[..number as usize % 18].to_vec() },
        });
    }
    guide.strength = vec![long.repeat(9); 8];
    let line = |i: usize| ShoppingLine {
        what: format!("Board of kind {i}, 500 × 700 mm, white on both sides"),
        quantity: format!("{i} sheets"),
        price: (i.is_multiple_of(2)).then(|| format!("{i}.50")),
        note: long.repeat(i % 5),
    };
    guide.shopping = (1..70).map(line).collect();
    guide.cautions = vec![long.repeat(6); 12];
    guide
}

fn set(guide: &Guide, paper: &str) -> Document {
    guide::document(guide, &paper.parse().expect("a paper"), Mm::new(MARGIN)).expect("the guide can be set")
}

fn every_document() -> Vec<Document> {
    let (usual, much) = (sample(), stuffed());
    let papers = ["A4", "Letter", "A5", "A3"];
    papers.iter().flat_map(|paper| [set(&usual, paper), set(&much, paper)]).collect()
}

#[test]
fn nothing_runs_off_a_page_or_over_other_words() {
    for document in every_document() {
        layout::assert_inside(&document, MARGIN);
        layout::assert_no_overlaps(&document);
    }
}

/// All that a page says above its foot.
fn body(page: &Page) -> String {
    let above = |text: &&&flatwright_sheets::page::Text| text_box(text).y0 > MARGIN + 4.0;
    texts(page).iter().filter(above).map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_part_step_and_line_is_told() {
    for (guide, paper) in [(sample(), "A4"), (sample(), "Letter"), (stuffed(), "A4"), (stuffed(), "A5")] {
        let document = set(&guide, paper);
        let section = |name: &str| {
            let pages = document.pages.iter().filter(|page| page.section == name);
            pages.map(body).collect::<Vec<_>>().join(" ")
        };
        let parts = section("Parts");
        for part in guide.parts.iter().filter(|part| part.count > 0) {
            // The count stands before the identifier.
            let entry = format!("× {} {}", part.count, part.id);
            assert!(parts.contains(&entry), "{entry} on {paper}");
        }
        let steps = section("Steps");
        for step in &guide.steps {
            assert!(steps.contains(&format!("{} {}", step.number, step.title)), "step {}", step.number);
            let first: Vec<&str> = step.text.split(' ').take(3).collect();
            assert!(steps.contains(&first.join(" ")), "{first:?}");
            for (id, count) in step.pieces.iter().filter(|(_, count)| *count > 0) {
                assert!(steps.contains(&format!("{id}\u{a0}×\u{a0}{count}")), "{id} of step {}", step.number);
            }
        }
        // Lines broken over columns and pages are joined again here.
        let phrase = "count the turns aloud.";
        let wanted: usize = guide.steps.iter().map(|step| step.text.matches(phrase).count()).sum();
        assert_eq!(steps.matches(phrase).count(), wanted);
        let closing = section("Lifting and moving, Shopping list, Take care");
        for line in &guide.shopping {
            assert!(closing.contains(&line.quantity), "{line:?}");
            assert!(line.price.as_ref().is_none_or(|price| closing.contains(price)), "{line:?}");
        }
        let marks = closing.matches('▲').count();
        assert_eq!(marks, guide.cautions.len());
        assert_eq!(closing.matches('•').count(), guide.strength.len());
        for (index, page) in document.pages.iter().enumerate() {
            let foot = format!("Page {} of {}", index + 1, document.pages.len());
            assert!(words(page).contains(&foot), "{foot}");
        }
    }
}

/// A heading is what is bold and larger than any running text; below it, above the foot, more must
/// stand.
#[test]
fn no_heading_stands_alone_at_a_foot() {
    for document in every_document() {
        for page in &document.pages {
            for heading in texts(page).iter().filter(|text| text.weight == Weight::Bold && text.size >= Mm::new(4.4)) {
                let below = texts(page).iter().any(|text| {
                    let area = text_box(text);
                    text.weight == Weight::Regular && area.y1 <= text_box(heading).y0 + 0.1 && area.y0 > MARGIN + 4.0
                });
                let last = heading.text.starts_with('×') || below;
                assert!(last || is_card(page, &heading.text), "{:?} alone on {:?}", heading.text, page.title);
            }
        }
    }
}

/// The cards of parts have their identifiers in the type of headings, and their sizes below.
fn is_card(page: &Page, id: &str) -> bool {
    page.section == "Parts" && !id.starts_with("From") && id != "Parts"
}

#[test]
fn running_text_is_at_least_three_millimetres_high() {
    for paper in ["A4", "Letter"] {
        for page in &set(&sample(), paper).pages {
            let marks = page.marks.iter().filter(|mark| mark.layer == Layer::Furniture);
            for mark in marks {
                if let flatwright_sheets::page::Shape::Text(text) = &mark.shape {
                    assert!(text.size >= Mm::new(3.0), "{text:?}");
                }
            }
        }
    }
}

#[test]
fn chapters_are_sections_in_order() {
    let document = set(&sample(), "A4");
    let mut sections: Vec<&str> = document.pages.iter().map(|page| page.section.as_str()).collect();
    sections.dedup();
    assert_eq!(sections, ["Overview", "Parts", "Steps", "Lifting and moving, Shopping list, Take care"]);
    let labels: Vec<String> = (1..=document.pages.len()).map(|n| n.to_string()).collect();
    assert_eq!(document.pages.iter().map(|page| page.label.clone()).collect::<Vec<_>>(), labels);
}

#[test]
fn a_guide_with_nothing_but_a_plan_is_one_page() {
    let bare = Guide {
        parts: Vec::new(),
        steps: Vec::new(),
        strength: Vec::new(),
        shopping: Vec::new(),
        cautions: Vec::new(),
        about: String::new(),
        title: String::new(),
        ..sample()
    };
    assert_eq!(set(&bare, "A4").pages.len(), 1);
}

#[test]
fn the_same_guide_gives_the_same_files() {
    let files = || {
        let document = set(&sample(), "Letter");
        (pdf::write(&document).expect("a PDF"), png::write(&document, 0, 60.0).expect("a PNG"))
    };
    assert!(files() == files());
}

#[test]
fn everything_wrong_is_told_at_once() {
    let mut guide = sample();
    guide.plan.module = Mm::ZERO;
    guide.parts.push(guide.parts[0].clone());
    guide.steps[0].pieces.push(("XX1".into(), 1));
    guide.steps[1].highlight.push(PlanRef { level: 0, item: PlanItem::Post(99) });
    guide.steps[1].highlight.push(PlanRef { level: 7, item: PlanItem::Tile(0) });
    let small: PaperSize = "A6".parse().expect("a paper");
    let Err(GuideError::Faults(found)) = guide::document(&guide, &small, Mm::new(MARGIN)) else { panic!("refused") };
    assert_eq!(found.len(), 6, "{found:#?}");
    assert!(found.contains(&GuideFault::SamePart("TW1".into())));
    assert!(found.contains(&GuideFault::UnknownPart { step: 1, id: "XX1".into() }));
    let message = GuideError::Faults(found).to_string();
    assert!(message.contains("a guide needs at least"), "{message}");
}

#[test]
fn a_row_that_no_page_holds_is_told() {
    let mut guide = sample();
    guide.shopping[1].note = "Ask for the grey one. ".repeat(2000);
    let paper: PaperSize = "A4".parse().expect("a paper");
    let Err(GuideError::Faults(found)) = guide::document(&guide, &paper, Mm::new(MARGIN)) else { panic!("refused") };
    assert_eq!(found, [GuideFault::RowTooTall("Card 0.25 mm, A4".into())]);
}

/// Pictures come after the overview, under their heading, whole and within the page.
#[test]
fn pictures_of_the_build_have_a_chapter() {
    let tall = |width: f64, height: f64| {
        let words = Text {
            at: kurbo::Point::new(1.0, 1.0),
            text: format!("picture of {width}"),
            size: Mm::new(4.0),
            weight: Weight::Regular,
            align: Align::Start,
            turn: Angle::ZERO,
            colour: Colour::BLACK,
        };
        let area = kurbo::Rect::new(0.0, 0.0, width, height);
        let path = kurbo::Shape::to_path(&area, 0.1);
        let fill = Shape::Fill { path, colour: Colour(1, 2, 3) };
        let marks = [fill, Shape::Text(words)].map(|shape| Mark { layer: Layer::Artwork, shape }).to_vec();
        let size = (Mm::new(width), Mm::new(height));
        let (label, title, section) = ("1".to_owned(), "t".to_owned(), "s".to_owned());
        Page { label, title, section, size, trim: area, bleed: area, copies: 1, marks }
    };
    let one_page = |page| Document { pages: vec![page], ..Document::default() };
    let guide = Guide { pictures: [tall(300.0, 200.0), tall(100.0, 900.0)].map(one_page).to_vec(), ..sample() };
    let document = set(&guide, "A4");
    let pages: Vec<&Page> = document.pages.iter().filter(|page| page.section == "How it stands").collect();
    assert_eq!(pages.len(), 2, "the tall one has a page of its own");
    let drawn = |page: &&Page| {
        let area = page.marks.iter().find_map(|mark| match &mark.shape {
            Shape::Fill { path, colour: Colour(1, 2, 3) } => Some(kurbo::Shape::bounding_box(path)),
            _ => None,
        });
        area.expect("the picture is there")
    };
    let (wide, high) = (drawn(&pages[0]), drawn(&pages[1]));
    for (area, ratio) in [(wide, 1.5), (high, 1.0 / 9.0)] {
        assert!((area.width() / area.height() - ratio).abs() < 1e-6, "{area}: its shape is kept");
        assert!(area.x0 > 11.9 && area.x1 < 198.1 && area.y0 > 20.9 && area.y1 < 285.1, "{area} is off the page");
    }
}
