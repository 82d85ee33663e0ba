use std::collections::BTreeMap;

use flatwright_folding::prove::{prove, sheet};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::{self, Region};
use kurbo::{Rect, Shape as _};

use super::*;
use crate::art::Face;
use crate::furniture::frame::{Frame, Fullness, Head};
use crate::furniture::text_box;
use crate::lines::LineType;
use crate::page::{Colour, Layer, Page, Shape};
use crate::paper::Orientation;

const GREY: Colour = Colour(200, 210, 205);

pub(super) fn part(id: &str, pattern: Pattern, copies: u32, face: Option<Colour>) -> Part {
    let stock = sheet(&Parameters::default(), pattern.stock);
    let pattern = prove(pattern, stock).expect("it folds");
    let face = face.map_or_else(Face::default, Face::tint);
    Part { id: id.to_owned(), pattern, copies, face, label_on_face: false, grain: Grain::Any }
}

pub(super) fn set() -> Vec<Part> {
    let p = Parameters::default();
    let tile = Tile::plain(1, 2, Reliefs::Corners);
    let stand = Stand::Feet(Feet::from_bits(0b0011));
    let post = post::sleeve(&p, Post { arms: Arms::from_bits(0b0101), stand, under: false }).unwrap();
    let wall = Wall { span: 1.0, opening: None }.patterns(&p).unwrap().remove(0);
    vec![
        part("TW1", tile::wrap(&p, tile).unwrap(), 3, Some(GREY)),
        part("TC1", tile::core(&p, tile).unwrap(), 3, None),
        part("CP1", tile::corner_pocket(&p).unwrap(), 9, None),
        part("BI1", tile::biscuit(&p).unwrap(), 5, None),
        part("PO1", post, 4, None),
        part("WA1", wall, 4, Some(GREY)),
    ]
}

pub(super) fn paper(name: &str) -> PaperSize {
    name.parse().unwrap()
}

pub(super) fn quick(name: &str) -> Settings {
    Settings { effort: 50, ..Settings::new("Brinewell", paper(name)) }
}

pub(super) fn composed(parts: &[Part], settings: &Settings) -> Composed {
    compose(parts, settings, &mut |_| {}).unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn refused(parts: &[Part], settings: &Settings) -> Vec<String> {
    compose(parts, settings, &mut |_| {}).expect_err("must be refused").iter().map(ToString::to_string).collect()
}

/// Boxes of a page's furniture: every text, and every line or area with its pen's width.
fn furniture(page: &Page) -> (Vec<(String, Rect)>, Vec<Rect>) {
    let mut texts = Vec::new();
    let mut drawings = Vec::new();
    for mark in page.marks.iter().filter(|mark| mark.layer == Layer::Furniture) {
        match &mark.shape {
            Shape::Text(text) => texts.push((text.text.clone(), text_box(text))),
            Shape::Stroke { path, pen } => {
                let half = pen.width.get() / 2.0;
                // Each stroke of a path alone: the ticks of a bar span it, but do not fill it.
                drawings.extend(path.segments().map(|segment| segment.bounding_box().inflate(half, half)));
            }
            Shape::Fill { path, .. } => drawings.push(path.bounding_box()),
            _ => {}
        }
    }
    (texts, drawings)
}

pub(super) fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

/// On every size that is promised: furniture is inside the margins, no text touches another or a
/// line, none of it reaches into what is left for the pieces.
#[test]
fn furniture_never_overlaps() {
    let pieces: Vec<(String, usize)> = (0..60).map(|i| (format!("TW{i}"), i + 1)).collect();
    let material = "salt-proof pearl-white card, both sides matt, 249 g/m2 (92 lb cover), from the lamp store";
    let mut checked = 0;
    for name in ["A6", "A5", "A4", "A3", "Letter", "Legal", "Tabloid", "JIS B5", "SRA3", "20x30 in", "30x40 in", "A0"] {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            for (fullness, lines, grain) in [
                (Fullness::Sheet, LineType::OF_PIECES, false),
                (Fullness::Sheet, LineType::OF_PIECES, true),
                (Fullness::Sheet, LineType::ALL, true),
                (Fullness::Cover, LineType::OF_PIECES, false),
                (Fullness::Cutter, LineType::OF_PIECES, false),
                (Fullness::Cutter, LineType::ALL, false),
            ] {
                // The smallest sheet has no room for a legend of seven types.
                if name == "A6" && orientation == Orientation::Portrait && lines.len() > 6 {
                    continue;
                }
                let size = paper(name).turned(orientation);
                let margin = Mm::new(7.0);
                let frame = Frame::with_lines(size, margin, fullness, lines, grain)
                    .unwrap_or_else(|| panic!("{name} {orientation:?}"));
                let head = Head {
                    title: "Brinewell: the drowned salt works, lower brine hall and tide stair".into(),
                    page: "Page 112 of 118".into(),
                    heading: "Card, sheet 14 of 36".into(),
                    // As long as an instruction can be.
                    instruction: format!("print 12 copies on {material}, to glue on {material}, {name} (182 x 257 mm)"),
                    pieces: pieces.clone(),
                    grain,
                };
                let page = Page {
                    label: String::new(),
                    title: String::new(),
                    section: String::new(),
                    size,
                    trim: Rect::ZERO,
                    bleed: Rect::ZERO,
                    copies: 1,
                    marks: frame.draw(&head),
                };
                let (texts, drawings) = furniture(&page);
                let at = format!("{name} {orientation:?} {fullness:?}");
                let printable = frame.printable.inflate(1e-6, 1e-6);
                // What is told on several lines is whole.
                let told: Vec<&str> = texts.iter().map(|(text, _)| text.as_str()).collect();
                let whole = (1..=3).flat_map(|n| told.windows(n)).any(|lines| lines.join(" ") == head.instruction);
                assert!(whole || fullness != Fullness::Sheet, "{at}: {told:?}");
                for (text, rect) in &texts {
                    assert_eq!(printable.union(*rect), printable, "{at}: \"{text}\" leaves the printable area");
                    assert!(!overlap(*rect, frame.free), "{at}: \"{text}\" reaches into the pieces");
                    for (other, another) in texts.iter().filter(|(other, _)| other != text) {
                        assert!(!overlap(*rect, *another), "{at}: \"{text}\" on \"{other}\"");
                    }
                    for drawing in &drawings {
                        assert!(!overlap(*rect, *drawing), "{at}: \"{text}\" on a line at {drawing:?}");
                    }
                }
                for drawing in &drawings {
                    // Lines have a width; half of it may stand over the edge of a band.
                    assert_eq!(printable.inflate(0.2, 0.2).union(*drawing), printable.inflate(0.2, 0.2), "{at}");
                    assert!(!overlap(*drawing, frame.free), "{at}: a line at {drawing:?} reaches into the pieces");
                }
                checked += texts.len();
            }
        }
    }
    assert!(checked > 500);
}

/// The bars measure 100 mm and 4 in (101.6 mm), lying and standing, on every size from A5 up.
#[test]
fn scale_bars_have_their_lengths_on_both_axes() {
    for name in ["A5", "A4", "Letter", "20x30 in"] {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            let frame = Frame::new(paper(name).turned(orientation), Mm::new(7.0), Fullness::Sheet).unwrap();
            let mut lengths = BTreeMap::new();
            for mark in frame.draw(&Head::default()) {
                let Shape::Stroke { path, .. } = mark.shape else { continue };
                let b = path.bounding_box();
                for (axis, length, across) in [("lying", b.width(), b.height()), ("standing", b.height(), b.width())] {
                    for (want, name) in [(100.0, "100 mm"), (101.6, "4 in")] {
                        if across < 1e-9 && (length - want).abs() < 1e-9 {
                            *lengths.entry((axis, name)).or_insert(0) += 1;
                        }
                    }
                }
            }
            let all = [("lying", "100 mm"), ("lying", "4 in"), ("standing", "100 mm"), ("standing", "4 in")];
            assert_eq!(lengths, all.into_iter().map(|key| (key, 1)).collect(), "{name} {orientation:?}");
        }
    }
}

#[test]
fn every_part_lies_on_a_page_as_often_as_asked() {
    let parts = set();
    for name in ["A4", "Letter", "A3"] {
        let composed = composed(&parts, &quick(name));
        let mut placed: BTreeMap<&str, u32> = BTreeMap::new();
        for record in &composed.sheets {
            assert_eq!(record.copies, composed.document.pages[record.page].copies);
            for placement in &record.placements {
                *placed.entry(placement.id.as_str()).or_default() += record.copies;
            }
        }
        assert_eq!(placed, parts.iter().map(|part| (part.id.as_str(), part.copies)).collect());

        // And the same counted from what is drawn: forms placed, labels set.
        let mut forms: BTreeMap<&str, u32> = BTreeMap::new();
        let mut labels: BTreeMap<String, u32> = BTreeMap::new();
        for page in &composed.document.pages {
            for mark in &page.marks {
                match &mark.shape {
                    Shape::Place { form, .. } => {
                        *forms.entry(composed.document.forms[*form].id.as_str()).or_default() += page.copies;
                    }
                    Shape::Text(text) if mark.layer == Layer::Labels && text.text != "grain" => {
                        let id = text.text.split(' ').next().unwrap_or_default().to_owned();
                        *labels.entry(id).or_default() += page.copies;
                    }
                    _ => {}
                }
            }
        }
        assert_eq!(forms, placed);
        assert_eq!(labels, placed.iter().map(|(id, n)| ((*id).to_owned(), *n)).collect());
    }
}

#[test]
fn the_same_parts_give_the_same_pages() {
    let parts = set();
    assert_eq!(composed(&parts, &quick("A4")), composed(&parts, &quick("A4")));
}

/// Every label as it stands on its page: inside its piece's outline or on a leader, off the artwork
/// of every piece on the page, and readable from the foot or the right.
#[test]
fn labels_keep_off_the_artwork_and_read_from_foot_or_right() {
    let parts = set();
    let settings = quick("A4");
    let composed = composed(&parts, &settings);
    let mut checked = 0;
    for record in &composed.sheets {
        let page = &composed.document.pages[record.page];
        let mut printed: Vec<Region> = Vec::new();
        let mut material: Vec<Region> = Vec::new();
        for placement in &record.placements {
            let part = &parts[placement.part];
            let motion = kurbo::Affine::translate((placement.x.get(), placement.y.get()))
                * kurbo::Affine::rotate(f64::from(placement.rotation).to_radians());
            material.push(part.pattern.material.moved(motion));
            if part.face.prints() {
                printed.extend(part.pattern.printed_area(settings.bleed).iter().map(|r| r.moved(motion)));
            }
        }
        for mark in page.marks.iter().filter(|mark| mark.layer == Layer::Labels) {
            let Shape::Text(text) = &mark.shape else { continue };
            let turn = text.turn.to_degrees().round();
            assert!(turn == 0.0 || turn == 90.0, "{} is turned by {turn}", text.text);
            assert!(text.size >= label::SMALLEST && text.size <= label::LARGEST);
            let place = flat::area(text_box(text)).unwrap();
            let on_art = region::intersection(std::slice::from_ref(&place), &printed);
            assert!(on_art.iter().map(Region::area).sum::<f64>() < 1e-6, "{} is on artwork", text.text);
            let outside = region::difference(&[place], &material);
            assert!(outside.iter().map(Region::area).sum::<f64>() < 0.05, "{} leaves its piece", text.text);
            checked += 1;
        }
    }
    assert!(checked >= 10, "only {checked} labels");
}

/// A part whose spots are all taken away gets its label on a leader, clear of everything.
#[test]
fn a_label_without_a_spot_stands_outside_on_a_leader() {
    let mut parts = set();
    for part in &mut parts {
        let mut bare = part.pattern.pattern().clone();
        bare.label_spots.clear();
        part.pattern = self::part(&part.id, bare, 1, None).pattern;
    }
    let composed = composed(&parts, &quick("A4"));
    for record in &composed.sheets {
        let page = &composed.document.pages[record.page];
        let motion = |placement: &PlacedPart| {
            kurbo::Affine::translate((placement.x.get(), placement.y.get()))
                * kurbo::Affine::rotate(f64::from(placement.rotation).to_radians())
        };
        let material: Vec<Region> =
            record.placements.iter().map(|p| parts[p.part].pattern.material.moved(motion(p))).collect();
        let labels: Vec<_> = page.marks.iter().filter(|mark| mark.layer == Layer::Labels).collect();
        // An arrow that shows the grain has a shaft, heads and a word.
        let arrows = record.placements.iter().filter(|placed| placed.arrow.is_some()).count();
        assert_eq!(labels.len(), 2 * record.placements.len() + 3 * arrows, "a text and a leader each");
        let labels =
            labels.into_iter().filter(|mark| !matches!(&mark.shape, Shape::Text(text) if text.text == "grain"));
        for mark in labels {
            let Shape::Text(text) = &mark.shape else { continue };
            let place = flat::area(text_box(text)).unwrap();
            assert!(region::intersection(&[place], &material).is_empty(), "{} is on a piece", text.text);
        }
    }
}

#[test]
fn a_label_may_be_set_on_the_face_when_asked() {
    let p = Parameters::default();
    let wrap = tile::wrap(&p, Tile::plain(1, 1, Reliefs::Corners)).unwrap();
    let parts = [Part { label_on_face: true, ..part("TW1", wrap, 1, Some(GREY)) }];
    let composed = composed(&parts, &quick("A4"));
    let page = &composed.document.pages[composed.sheets[0].page];
    let label = page.marks.iter().find_map(|mark| match &mark.shape {
        Shape::Text(text) if mark.layer == Layer::Labels => Some(text.clone()),
        _ => None,
    });
    assert_eq!(label.unwrap().text, "TW1 tile wrap 1 x 1");
}

#[test]
fn a_piece_that_is_too_large_is_split_or_refused_with_its_numbers() {
    let p = Parameters::default();
    let core = |n| tile::core(&p, Tile::plain(n, n, Reliefs::Corners)).unwrap();
    let wrap = tile::wrap(&p, Tile::plain(3, 1, Reliefs::Corners)).unwrap();
    // Board is not split; all refusals come at once.
    let parts = [part("TC1", core(3), 1, None), part("TC2", core(20), 1, None)];
    let errors = refused(&parts, &quick("A4"));
    assert_eq!(errors.len(), 2);
    assert!(errors[0].contains("TC1 (tile core 3 x 3) needs 228.1 x 228.1 mm; A4 portrait leaves"), "{}", errors[0]);
    assert!(errors[0].contains("it fits on "), "{}", errors[0]);
    assert!(errors[1].contains("it fits on no standard sheet"), "{}", errors[1]);

    // Paper is, unless that is switched off.
    let parts = [part("TW1", wrap, 2, Some(GREY))];
    let off = Settings { split_overlap: None, ..quick("A5") };
    assert!(refused(&parts, &off)[0].contains("TW1 (tile wrap 3 x 1) needs"));
    let composed = composed(&parts, &quick("A5"));
    let mut placed: BTreeMap<&str, u32> = BTreeMap::new();
    for record in &composed.sheets {
        for placement in &record.placements {
            *placed.entry(placement.id.as_str()).or_default() += record.copies;
        }
    }
    assert!(placed.len() >= 2 && placed.values().all(|n| *n == 2), "{placed:?}");
    assert!(placed.contains_key("TW1a") && placed.contains_key("TW1b"));
}

/// Halves laid over one another are the whole; what both have is the tab, as deep as the overlap.
#[test]
fn split_halves_make_the_whole() {
    let p = Parameters::default();
    let pattern = tile::wrap(&p, Tile::plain(3, 1, Reliefs::Corners)).unwrap();
    let whole = part("TW1", pattern, 1, Some(GREY));
    let settings = quick("A5");
    let groups = unit::groups(std::slice::from_ref(&whole), &settings).unwrap();
    let halves: Vec<Region> = groups[0].units.iter().map(|unit| unit.flat.material.clone()).collect();
    let joined: f64 = region::union(&halves).iter().map(Region::area).sum();
    approx::assert_relative_eq!(joined, whole.pattern.material.area(), epsilon = 1e-3);
    for pair in halves.windows(2) {
        let both = region::intersection(&pair[..1], &pair[1..]);
        let bounds = both.iter().map(Region::bounds).reduce(|a, b| a.union(b)).unwrap();
        approx::assert_relative_eq!(bounds.width().min(bounds.height()), 10.0, epsilon = 1e-6);
    }
    let faces: f64 = groups[0].units.iter().flat_map(|unit| &unit.flat.face).map(Region::area).sum();
    let face: f64 = whole.pattern.face.iter().map(Region::area).sum();
    approx::assert_relative_eq!(faces, face, epsilon = 1e-3);
    // Each joint has two pairs of marks on either side.
    let joints: usize = groups[0].units.iter().map(|unit| unit.flat.joint_areas.len()).sum();
    assert_eq!(joints, 2 * (halves.len() - 1));
}

#[test]
fn bad_settings_are_refused_all_at_once() {
    let mut parts = set();
    parts[1].id = "TW1".into();
    parts[2].id = "C P".into();
    let settings = Settings { margin: Mm::new(-1.0), bleed: Mm::new(f64::NAN), ..quick("A4") };
    let errors = refused(&parts, &settings);
    assert_eq!(errors.len(), 4, "{errors:?}");
    assert!(refused(&set(), &quick("60 x 60 mm"))[0].contains("has no room"));
}

#[test]
fn pages_are_numbered_through_and_boxes_lie_in_each_other() {
    let composed =
        composed(&set(), &Settings { board_as: BoardAs::Sheet(vec![Offer::only(paper("20x30 in"))]), ..quick("A4") });
    let pages = &composed.document.pages;
    let sections: Vec<&str> = pages.iter().map(|page| page.section.as_str()).collect();
    let mut once = sections.clone();
    once.dedup();
    assert_eq!(once, ["Cover", "Paper", "Card", "Board"]);
    for (index, page) in pages.iter().enumerate() {
        assert_eq!(page.label, (index + 1).to_string());
        let media = Rect::new(0.0, 0.0, page.size.0.get(), page.size.1.get());
        assert_eq!(page.bleed.union(page.trim), page.bleed);
        assert_eq!(media.union(page.bleed), media);
        let counter = format!("Page {} of {}", index + 1, pages.len());
        let says = |mark: &crate::page::Mark| matches!(&mark.shape, Shape::Text(text) if text.text == counter);
        assert!(page.marks.iter().any(says), "{counter}");
    }
    let board = pages.last().unwrap();
    let sides = board.size.0.min(board.size.1);
    approx::assert_relative_eq!(sides.get(), 508.0);
}

/// Without a tint nothing bleeds: a wrap needs its own size, and A5 is narrower than that.
#[test]
fn the_tightest_piece_of_each_stock_is_told() {
    let p = Parameters::default();
    let wrap = tile::wrap(&p, Tile::plain(2, 2, Reliefs::Corners)).unwrap();
    let small = tile::wrap(&p, Tile::plain(1, 1, Reliefs::Corners)).unwrap();
    let width = wrap.size().0.get();
    let parts = [part("TW1", small, 1, None), part("TW2", wrap, 1, None)];
    let uses = page_uses(&parts, &quick("A4"));
    assert_eq!(uses.len(), 1, "paper alone is used");
    assert_eq!(uses[0].what, "TW2 on A4");
    approx::assert_relative_eq!(uses[0].needs.0.get(), width, epsilon = 1e-6);
    assert!(uses[0].free.0 > uses[0].needs.0 && uses[0].overlap.is_some());
    let narrow = page_uses(&parts, &quick("A5"));
    assert!(narrow[0].free.0 < narrow[0].needs.0);
}
