//! Backs, marks for cutters, ink.

use flatwright_artwork::{Bars, Layer as ArtLayer, Surface};
use kurbo::{Affine, Point};

use super::tests::{composed, quick, set};
use super::*;
use crate::art::{Artwork, Face, Picture};
use crate::page::{Align, Colour, Image, Page, Pixels, Shape, Text};
use crate::paper::Orientation;
use crate::png;

/// The texts of a page in the middle of which a label's words stand.
fn centred(page: &Page) -> Vec<(&Text, Point)> {
    // As `label` sets them: the middle lies 0.27 em above the baseline.
    let middle = |text: &Text| {
        let up = Affine::rotate(text.turn.radians()) * Point::new(0.0, 0.27 * text.size.get());
        text.at + up.to_vec2()
    };
    let texts = page.marks.iter().filter_map(|mark| match &mark.shape {
        Shape::Text(text) if text.align == Align::Middle => Some(text),
        _ => None,
    });
    texts.map(|text| (text, middle(text))).collect()
}

/// A sheet that is turned over about one of its sides shows what was at that side still there, and
/// what was at the other side at the other: so the map is its own inverse and moves corners to
/// corners. Checked by hand for A4: 10 mm from the left at the front is 10 mm from the right behind.
#[test]
fn paper_is_turned_over_as_it_is_in_the_hand() {
    let (short, long) = (Mm::new(210.0), Mm::new(297.0));
    let spot = Point::new(10.0, 20.0);
    assert_eq!(Flip::LongEdge.to_back((short, long)) * spot, Point::new(200.0, 20.0));
    assert_eq!(Flip::ShortEdge.to_back((short, long)) * spot, Point::new(10.0, 277.0));
    assert_eq!(Flip::LongEdge.to_back((long, short)) * spot, Point::new(10.0, 190.0));
    assert_eq!(Flip::ShortEdge.to_back((long, short)) * spot, Point::new(287.0, 20.0));
}

/// Every piece of every sheet has its name on the page behind, within the piece as that is seen from
/// behind, and nothing else is there but the line that names the page.
#[test]
fn names_lie_behind_their_pieces() {
    let parts = set();
    for (flip, orientation) in [
        (Flip::LongEdge, Orientation::Portrait),
        (Flip::LongEdge, Orientation::Landscape),
        (Flip::ShortEdge, Orientation::Portrait),
        (Flip::ShortEdge, Orientation::Landscape),
    ] {
        let mut settings = Settings { reverse: Some(flip), ..quick("A4") };
        settings.paper.orientation = orientation;
        settings.card.orientation = orientation;
        let composed = composed(&parts, &settings);
        for record in &composed.sheets {
            // On the back of the sheet of paper that the front is printed on.
            assert_eq!(record.page % 2, 0, "fronts are odd pages");
            assert_eq!(record.reverse, Some(record.page + 1));
            let back = &composed.document.pages[record.page + 1];
            assert_eq!(back.copies, record.copies);
            assert_eq!(back.title, format!("Reverse of page {}", record.page + 1));
            let texts = centred(back);
            assert_eq!(texts.len(), back.marks.len(), "words alone");
            assert_eq!(texts.len(), record.placements.len() + 1, "{:?}", back.title);
            let to_front = flip.to_back(record.size).inverse();
            for placed in &record.placements {
                let turn = Affine::rotate(f64::from(placed.rotation).to_radians());
                let motion = Affine::translate((placed.x.get(), placed.y.get())) * turn;
                let material = &parts[placed.part].pattern.material;
                let behind = |(text, at): &(&Text, Point)| {
                    text.text.starts_with(&placed.id) && material.contains(motion.inverse() * to_front * *at)
                };
                assert!(texts.iter().any(behind), "{} on page {}", placed.id, record.page + 1);
            }
        }
        let sheets: u64 = composed.sheets.iter().map(|sheet| u64::from(sheet.copies)).sum();
        let covers = composed.sheets[0].page as u64;
        assert_eq!(composed.prints(), sheets + covers / 2, "a sheet of paper has two sides");
    }
}

#[test]
fn marks_for_a_cutter_keep_off_pieces_and_furniture() {
    let parts = set();
    let settings = Settings { registration: true, ..quick("Letter") };
    let composed = composed(&parts, &settings);
    assert!(composed.sheets.iter().all(|sheet| sheet.registration.is_some()));
    for record in &composed.sheets {
        let printable = kurbo::Rect::new(0.0, 0.0, record.size.0.get(), record.size.1.get()).inflate(-7.0, -7.0);
        let room = printable.inflate(-4.5, -4.5);
        let page = &composed.document.pages[record.page];
        let marks = crate::furniture::registration::marks(printable);
        for mark in &page.marks {
            let own = marks.contains(mark);
            let covered = match &mark.shape {
                Shape::Stroke { path, .. } => kurbo::Shape::bounding_box(path),
                Shape::Text(text) => crate::furniture::text_box(text),
                Shape::Place { form, motion } => motion.transform_rect_bbox(composed.document.forms[*form].bounds),
                _ => continue,
            };
            // A form's bounds are wider than its lines by up to 0.6 mm.
            assert!(own || room.inflate(0.6, 0.6).contains_rect(covered), "{mark:?}");
        }
    }
}

/// Estimates of ink against the pages as an independent renderer (resvg) draws them: the mean of what
/// all three channels leave out. Stated tolerance: 1.5 points, and a tenth of the whole.
#[test]
fn estimates_of_ink_agree_with_rendered_pages() {
    let surface = Surface {
        name: "grating".into(),
        ground: Colour(40, 80, 90),
        layers: vec![ArtLayer::Bars(Bars {
            count: 6,
            width: 4.0,
            tone: Colour(180, 170, 160),
            bevel: None,
            rivets: None,
        })],
    };
    let pixels: Vec<u8> = (0..20 * 10u32).flat_map(|i| [(i % 20 * 12) as u8, 90, 200]).collect();
    let artwork = Artwork {
        swatches: vec![surface.swatch(76.2, 1, 2)],
        images: vec![Image { id: "picture-1".into(), size: (20, 10), pixels: Pixels::Rgb(pixels.into()) }],
    };
    let mut parts = set();
    parts[0].face = Face { surface: Some(0), ..Face::default() };
    // The mean of 0, 12 ... 228 is 114.
    let ink = flatwright_artwork::ink::coverage(Colour(114, 90, 200));
    let picture = Picture {
        image: 0,
        place: kurbo::Rect::new(0.0, 0.0, 20.0, 10.0),
        repeated: true,
        turn: Affine::IDENTITY,
        extremes: [Colour(0, 90, 200), Colour(228, 90, 200)],
        ink,
    };
    parts[5].face = Face { picture: Some(picture), ..Face::default() };
    let composed = composed(&parts, &Settings { artwork, ..quick("A4") });
    let mut told = Vec::new();
    for record in &composed.sheets {
        let file = png::write(&composed.document, record.page, 100.0).unwrap();
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
        let mut buffer = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut buffer).unwrap();
        let seen = 1.0 - buffer.iter().map(|part| f64::from(*part)).sum::<f64>() / (buffer.len() as f64 * 255.0);
        told.push((record.stock, record.ink, seen));
        assert!((record.ink - seen).abs() < 0.015 + seen * 0.1, "{:?}: {} against {seen}", record.stock, record.ink);
    }
    assert!(told.iter().any(|(_, _, seen)| *seen > 0.2) && told.iter().any(|(_, _, seen)| *seen < 0.05), "{told:?}");
    for tally in &composed.tallies {
        assert!((0.0..1.0).contains(&tally.ink));
    }
}
