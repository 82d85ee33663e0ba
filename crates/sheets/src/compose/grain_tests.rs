//! The arrows that show the grain: along the longest folds, in their pieces, off everything else.

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::Arms;
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::{self, Region};
use kurbo::{Affine, Line, Rect, Shape as _};

use super::tests::{composed, part, quick, set};
use super::*;
use crate::furniture::text_box;
use crate::page::{Colour, Layer, Mark, Page, Shape};

const GREY: Colour = Colour(200, 210, 205);

/// The parts of an arrow, as they stand on a page: shaft, heads, word.
struct Drawn {
    shaft: Rect,
    heads: Rect,
    word: Rect,
}

fn arrows(page: &Page) -> Vec<Drawn> {
    let labels: Vec<&Mark> = page.marks.iter().filter(|mark| mark.layer == Layer::Labels).collect();
    let drawn = labels.windows(3).filter_map(|marks| match [&marks[0].shape, &marks[1].shape, &marks[2].shape] {
        [Shape::Stroke { path: shaft, .. }, Shape::Fill { path: heads, .. }, Shape::Text(text)]
            if text.text == "grain" =>
        {
            let (shaft, heads) = (shaft.bounding_box(), heads.bounding_box());
            Some(Drawn { shaft, heads, word: text_box(text) })
        }
        _ => None,
    });
    drawn.collect()
}

fn motion(placed: &PlacedPart) -> Affine {
    Affine::translate((placed.x.get(), placed.y.get())) * Affine::rotate(f64::from(placed.rotation).to_radians())
}

/// Posts fold along their height, walls along their top; a tile's wrap along its longer side, a square
/// one and a cap neither way; what is short folds well anyhow.
#[test]
fn the_direction_of_the_folds_is_that_of_the_longest() {
    let p = Parameters::default();
    let wrap = |across, along| folds_along(&tile::wrap(&p, Tile::plain(across, along, Reliefs::Corners)).unwrap());
    assert_eq!(wrap(1, 2), Some(Axis::Y));
    assert_eq!(wrap(2, 1), Some(Axis::X));
    assert_eq!((wrap(1, 1), wrap(2, 2)), (None, None));
    let wall = |span| folds_along(&Wall { span, opening: None }.patterns(&p).unwrap()[0]);
    assert_eq!((wall(1.0), wall(2.0), wall(1.0 / 3.0)), (Some(Axis::X), Some(Axis::X), None));
    let cap = Piece::Cap(Cap { arms: Arms::from_bits(0) }).patterns(&p).unwrap();
    assert_eq!(folds_along(&cap[0]), None);
    let parts = set();
    let of = |id: &str| folds_along(&parts.iter().find(|part| part.id == id).unwrap().pattern);
    assert_eq!(of("PO1"), Some(Axis::Y));
    assert_eq!((of("TC1"), of("BI1"), of("CP1")), (None, None, None), "board, and a flat piece");
}

/// Every arrow that is recorded is drawn, lies in its piece, off what shows and what is printed, off
/// every other text, and points along the piece's longest folds.
#[test]
fn arrows_lie_in_their_pieces_off_all_else_and_along_the_longest_folds() {
    let mut parts = set();
    let p = Parameters::default();
    let long = Wall { span: 2.0, opening: None }.patterns(&p).unwrap().remove(0);
    parts.push(part("WA2", long, 2, None));
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, bleed) in [("A4", 3.0), ("Letter", 3.0), ("A5", 3.0), ("A3", 2.0)] {
        let settings = Settings { bleed: Mm::new(bleed), ..quick(name) };
        let composed = composed(&parts, &settings);
        for record in &composed.sheets {
            let page = &composed.document.pages[record.page];
            let drawn = arrows(page);
            let told = record.placements.iter().filter(|placed| placed.arrow.is_some()).count();
            assert_eq!(drawn.len(), told, "{name} page {}", record.page + 1);
            let words = page.marks.iter().filter_map(|mark| match &mark.shape {
                Shape::Text(text) if text.text != "grain" => Some(text_box(text)),
                _ => None,
            });
            let words: Vec<Rect> = words.collect();
            for placed in record.placements.iter().filter(|placed| placed.arrow.is_some()) {
                let part = &parts[placed.part];
                let motion = motion(placed);
                let inside = |arrow: &&Drawn| part.pattern.material.contains(motion.inverse() * arrow.word.center());
                let arrow = drawn.iter().find(inside).expect("an arrow on its piece");
                *seen.entry(part.id.as_str()).or_default() += 1;
                let all = [arrow.word, arrow.heads, arrow.shaft.inflate(0.1, 0.1)];
                for rect in all {
                    let area = flat::area(rect).expect("it has an area");
                    let material = part.pattern.material.moved(motion);
                    let out = region::difference(std::slice::from_ref(&area), &[material]);
                    assert!(out.is_empty(), "{} leaves its piece by {out:?}", part.id);
                    let mut shows: Vec<Region> = part.pattern.face.iter().map(|face| face.moved(motion)).collect();
                    if part.face.prints() {
                        let printed = part.pattern.printed_area(settings.bleed);
                        shows.extend(printed.iter().map(|face| face.moved(motion)));
                    }
                    let on = region::intersection(&[area], &shows).iter().map(Region::area).sum::<f64>();
                    // The raster is as fine as a fifth of a millimetre.
                    assert!(on < 0.2 * rect.width().max(rect.height()), "{} shows on its face: {on}", part.id);
                    assert!(!words.iter().any(|word| super::tests::overlap(*word, rect)), "{} on a text", part.id);
                    for hinge in &part.pattern.net.hinges {
                        let line: Line = motion * hinge.line;
                        assert!(split::clipped(line, rect).is_none(), "{} on a fold", part.id);
                    }
                }
                let longest = part.pattern.net.hinges.iter().map(|hinge| motion * hinge.line).max_by(|a, b| {
                    let length = |line: &Line| (line.p1 - line.p0).hypot();
                    length(a).total_cmp(&length(b))
                });
                let run = longest.map(|line| line.p1 - line.p0).unwrap();
                let along = if run.x.abs() > run.y.abs() { Axis::X } else { Axis::Y };
                assert_eq!(placed.arrow, Some(along), "{}", part.id);
                let points = if arrow.shaft.width() > arrow.shaft.height() { Axis::X } else { Axis::Y };
                assert_eq!(points, along, "{} is drawn otherwise than told", part.id);
                let length = arrow.heads.width().max(arrow.heads.height());
                assert!(length >= 3.0 - 1e-6, "{} has an arrow of {length}", part.id);
            }
            // The legend names the arrow where there is one.
            let legend = page.marks.iter().any(|mark| {
                matches!(&mark.shape, Shape::Text(text) if mark.layer == Layer::Furniture && text.text == "grain")
            });
            assert_eq!(legend, told > 0, "{name} page {}", record.page + 1);
        }
    }
    for id in ["TW1", "PO1", "WA1", "WA2"] {
        assert!(seen.get(id).is_some_and(|count| *count > 0), "no arrow on {id}: {seen:?}");
    }
    assert!(!seen.contains_key("TC1") && !seen.contains_key("CP1"), "{seen:?}");
}

/// Where the sheets' grain is known, an arrow is drawn only where it is true, and what folds across
/// the grain is told.
#[test]
fn arrows_are_true_of_sheets_whose_grain_is_known() {
    for (grain, keeps) in [(SheetGrain::Long, false), (SheetGrain::Short, false), (SheetGrain::Long, true)] {
        let mut parts = set();
        let mut settings = quick("A4");
        for sheet in [&mut settings.paper, &mut settings.card] {
            sheet.grain = Some(grain);
        }
        if keeps {
            for part in &mut parts {
                part.grain = match folds_along(&part.pattern) {
                    Some(Axis::Y) => Grain::Along,
                    Some(Axis::X) => Grain::Across,
                    None => Grain::Any,
                };
            }
        }
        let composed = composed(&parts, &settings);
        let mut across = 0;
        for record in composed.sheets.iter().filter(|record| record.stock != Stock::Board) {
            let upright = (record.size.0 <= record.size.1) == (grain == SheetGrain::Long);
            let grain = if upright { Axis::Y } else { Axis::X };
            for placed in &record.placements {
                assert!(placed.arrow.is_none_or(|axis| axis == grain), "{} lies: {:?}", placed.id, placed.arrow);
                assert!(!(placed.across_grain && placed.arrow.is_some()));
                across += u32::from(placed.across_grain);
            }
        }
        let cover: Vec<&str> = composed.document.pages[..composed.sheets[0].page]
            .iter()
            .flat_map(|page| &page.marks)
            .filter_map(|mark| match &mark.shape {
                Shape::Text(text) => Some(text.text.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(across > 0, cover.join(" ").contains("fold across the grain"), "{grain:?} {keeps}");
        assert!(!keeps || across == 0, "{across} pieces that keep the grain lie across it");
    }
}

/// A piece that is told to lie otherwise than it folds has its arrow as it is told.
#[test]
fn an_arrow_is_as_the_piece_is_told_to_lie() {
    let mut parts = vec![set().remove(4)];
    parts[0].grain = Grain::Across;
    let mut settings = quick("A4");
    settings.card.grain = Some(SheetGrain::Long);
    let composed = composed(&parts, &settings);
    let record = &composed.sheets[0];
    for placed in &record.placements {
        let upright = placed.rotation % 180 == 0;
        assert_eq!(placed.arrow, Some(if upright { Axis::X } else { Axis::Y }));
        assert!(placed.across_grain);
    }
}

/// Where nothing is printed, a post has room on its flap alone: its faces show.
#[test]
fn a_plain_piece_keeps_its_faces_clean() {
    let parts = vec![
        part("PO1", set()[4].pattern.pattern().clone(), 1, None),
        part("PO2", set()[4].pattern.pattern().clone(), 1, Some(GREY)),
    ];
    let composed = composed(&parts, &quick("A4"));
    let record = &composed.sheets[0];
    assert!(record.placements.iter().all(|placed| placed.arrow.is_some()));
    let faces: Vec<Region> = record
        .placements
        .iter()
        .flat_map(|placed| parts[placed.part].pattern.face.iter().map(move |face| face.moved(motion(placed))))
        .collect();
    for arrow in arrows(&composed.document.pages[record.page]) {
        assert!(!faces.iter().any(|face| face.contains(arrow.word.center())));
    }
}
