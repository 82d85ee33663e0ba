//! The PNG, decoded again, and compared with the PDF as the independent renderer `hayro` shows it.

mod common;
#[path = "common/pump_room.rs"]
mod pump_room;

use flatwright_geometry::units::Mm;
use flatwright_sheets::page::{Colour, Document};
use flatwright_sheets::plan_view::{self, Fit};
use flatwright_sheets::png::{self, PngError};
use flatwright_sheets::{guide, pdf};
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_interpret::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

/// Most difference of two blocks' means, of 255, where two pictures show the same (measured: 5.0),
/// and least of the worst where they do not.
const ALIKE: f64 = 8.0;
const APART: f64 = 100.0;
/// Side of a block, pixels.
const SIDE: usize = 32;

/// A decoded picture.
struct Picture {
    width: usize,
    height: usize,
    pixels: Vec<[u8; 3]>,
    per_metre: Option<u32>,
}

fn decoded(file: &[u8]) -> Picture {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(file)).read_info().expect("a PNG");
    let mut bytes = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut bytes).expect("a whole picture");
    assert_eq!((info.color_type, info.bit_depth), (::png::ColorType::Rgb, ::png::BitDepth::Eight));
    let pixels = bytes.chunks_exact(3).map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
    let per_metre = reader.info().pixel_dims.filter(|dims| dims.unit == ::png::Unit::Meter).map(|dims| dims.xppu);
    Picture { width: info.width as usize, height: info.height as usize, pixels, per_metre }
}

fn pump_room() -> Document {
    let sample = pump_room::guide().expect("the sample has patterns");
    guide::document(&sample, &"A4".parse().expect("a paper"), Mm::new(12.0)).expect("the sample can be set")
}

/// A4 at these resolutions has as many pixels as every table of paper sizes says (common practice).
#[test]
fn a_page_has_as_many_pixels_as_its_paper_has_dots() {
    for (per_inch, size, per_metre) in
        [(72.0, (595, 842), 2835), (150.0, (1240, 1754), 5906), (300.0, (2480, 3508), 11811)]
    {
        let picture = decoded(&png::write(&common::document(), 0, per_inch).expect("a picture"));
        assert_eq!((picture.width, picture.height), size);
        assert_eq!(picture.per_metre, Some(per_metre));
    }
}

#[test]
fn the_same_page_gives_the_same_bytes() {
    let write = || png::write(&pump_room(), 1, 100.0).expect("a picture");
    assert_eq!(write(), write());
}

/// Two writers and two renderers that share nothing but the page must show the same. Edges are
/// smoothed differently, so means over blocks of 32 by 32 pixels, some 3 mm, are compared.
#[test]
fn the_picture_shows_what_the_pdf_shows() {
    let document = pump_room();
    let file = Pdf::new(pdf::write(&document).expect("a PDF")).expect("hayro reads the file");
    assert_eq!(file.pages().len(), document.pages.len());
    let settings = PixmapSettings { x_scale: 4.0, y_scale: 4.0, bg_color: WHITE };
    let interpreter = InterpreterSettings::default();
    let mut ours = Vec::new();
    let mut theirs = Vec::new();
    for (index, page) in file.pages().iter().enumerate() {
        // 288 to the inch: four pixels a point, as in the other picture.
        let own = decoded(&png::write(&document, index, 288.0).expect("a picture"));
        let other = render(page, &RenderCache::new(), &interpreter, &RenderSettings::default(), &settings);
        let sample = |x: usize, y: usize| {
            let pixel = other.sample(x as u16, y as u16);
            [pixel.r, pixel.g, pixel.b]
        };
        theirs.push(blocks(&sample, own.width, own.height));
        ours.push(blocks(&|x, y| own.pixels[y * own.width + x], own.width, own.height));
    }
    let worst = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    for (i, own) in ours.iter().enumerate() {
        let inked = own.iter().filter(|mean| **mean < 250.0).count();
        assert!(inked > 200, "page {} is nearly blank: {inked} blocks with ink", i + 1);
        for (j, other) in theirs.iter().enumerate() {
            let worst = worst(own, other);
            // Other pages must be told apart, or the comparison shows nothing.
            assert!(if i == j { worst < ALIKE } else { worst > APART }, "pages {} and {}: {worst}", i + 1, j + 1);
        }
    }
}

/// Means of all blocks of a picture.
fn blocks(pixel: &dyn Fn(usize, usize) -> [u8; 3], width: usize, height: usize) -> Vec<f64> {
    let tops = (0..height - SIDE).step_by(SIDE);
    tops.flat_map(|top| (0..width - SIDE).step_by(SIDE).map(move |left| (left, top)))
        .map(|(left, top)| mean(pixel, left, top))
        .collect()
}

/// Mean of the channels of a block of pixels.
fn mean(pixel: &dyn Fn(usize, usize) -> [u8; 3], left: usize, top: usize) -> f64 {
    let pixels = (0..SIDE * SIDE).map(|i| pixel(left + i % SIDE, top + i / SIDE));
    let sum: u32 = pixels.flatten().map(u32::from).sum();
    f64::from(sum) / (3 * SIDE * SIDE) as f64
}

#[test]
fn a_tile_is_where_the_plan_has_it_and_in_its_colour() {
    let plan = pump_room::guide().expect("the sample has patterns").plan;
    let document = plan_view::document(&plan, &Fit::Square(Mm::new(30.0))).expect("a plan");
    let picture = decoded(&png::write(&document, 0, 100.0).expect("a picture"));
    // The middle of all pixels of a colour that only one tile has.
    let Colour(r, g, b) = plan.levels[0].tiles.iter().find(|tile| (tile.x, tile.y) == (3, 0)).expect("a tile").colour;
    let places: Vec<(usize, usize)> = (0..picture.pixels.len())
        .filter(|&i| picture.pixels[i] == [r, g, b])
        .map(|i| (i % picture.width, i / picture.width))
        .collect();
    let side = 30.0 / 25.4 * 100.0;
    // 2 by 2 squares, less seams, walls, posts and names.
    assert!(places.len() as f64 > 0.7 * 4.0 * side * side, "{} pixels", places.len());
    let (left, right) = (places.iter().map(|p| p.0).min(), places.iter().map(|p| p.0).max());
    let width = right.zip(left).map_or(0, |(right, left)| right - left);
    assert!((width as f64 - 2.0 * side).abs() < 0.25 * side, "{width} pixels wide");
    let middle = places.iter().map(|p| p.1).sum::<usize>() as f64 / places.len() as f64;
    // The northern rows are above the drawing's middle.
    assert!(middle < 0.5 * picture.height as f64);
}

#[test]
fn what_cannot_be_drawn_is_refused_with_a_way_out() {
    let document = common::document();
    for asked in [0.0, -150.0, 9.9, 2401.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(png::write(&document, 0, asked), Err(PngError::Resolution { .. })), "{asked}");
    }
    assert!(matches!(png::write(&document, 3, 100.0), Err(PngError::Page(_))));
    // A0 on its side at 300 dots per inch.
    let Err(PngError::TooLarge { at_most, .. }) = png::write(&document, 2, 300.0) else { panic!("too large") };
    // What the message offers must be taken, and the next finer must not.
    assert!(matches!(png::write(&document, 2, at_most + 1.0), Err(PngError::TooLarge { .. })));
    let (width, height) = (1189.0 / 25.4 * at_most, 841.0 / 25.4 * at_most);
    assert!(width.round() * height.round() <= png::MOST_PIXELS as f64, "{at_most}");
}
