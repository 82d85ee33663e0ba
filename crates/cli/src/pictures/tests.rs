use std::sync::Arc;

use flatwright_artwork::{Colour, Ink, Print};
use flatwright_geometry::units::Mm;
use flatwright_sheets::page::Pixels;

use super::*;
use crate::problem::SourceText;

fn at() -> At {
    At { source: Arc::new(SourceText { name: "set.json".to_owned(), text: "mosaic".to_owned() }), start: 0, end: 6 }
}

fn read(bytes: &[u8]) -> Result<Picture, Problem> {
    Picture::read("mosaic", "mosaic.png", bytes, Fit::Cover, &at())
}

fn png_of(size: (u32, u32), kind: ::png::ColorType, depth: ::png::BitDepth, data: &[u8]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut file, size.0, size.1);
    encoder.set_color(kind);
    encoder.set_depth(depth);
    if kind == ::png::ColorType::Indexed {
        encoder.set_palette(vec![10, 20, 30, 200, 100, 50]);
    }
    encoder.write_header().unwrap().write_image_data(data).unwrap();
    file
}

fn rgb(picture: &Picture, print: Print) -> Vec<u8> {
    match picture.printed("p", Mm::new(50.0), print).unwrap().image.pixels {
        Pixels::Rgb(bytes) => bytes.to_vec(),
        Pixels::Jpeg { .. } => panic!("stored as a JPEG"),
    }
}

const COLOUR: Print = Print { ink: Ink::Colour, shade: 0.0 };

/// A 16 x 16 baseline JPEG with 4:2:0 chroma, made by Pillow 11 (quality 90): a grey-blue square.
const JPEG: &[u8] = include_bytes!("../../../../fixtures/pictures/tide.jpg");
const JPEG_GREY: &[u8] = include_bytes!("../../../../fixtures/pictures/grey.jpg");
const JPEG_CMYK: &[u8] = include_bytes!("../../../../fixtures/pictures/cmyk.jpg");
const JPEG_TURNED: &[u8] = include_bytes!("../../../../fixtures/pictures/turned.jpg");
const JPEG_PROGRESSIVE: &[u8] = include_bytes!("../../../../fixtures/pictures/progressive.jpg");
const SVG: &[u8] = include_bytes!("../../../../fixtures/pictures/salt.svg");

#[test]
fn png_pixels_are_exact_and_transparent_ones_lie_over_white() {
    use ::png::{BitDepth, ColorType};
    let data: Vec<u8> = (0..4 * 3 * 3).map(|i| (i * 7) as u8).collect();
    let picture = read(&png_of((4, 3), ColorType::Rgb, BitDepth::Eight, &data)).unwrap();
    assert_eq!(picture.pixels(), Some((4, 3)));
    assert_eq!(rgb(&picture, COLOUR), data);
    // Porter and Duff 1984, "over" with an opaque white ground: c a + 255 (1 - a).
    let alpha = read(&png_of((2, 1), ColorType::Rgba, BitDepth::Eight, &[0, 100, 255, 51, 9, 9, 9, 0])).unwrap();
    assert_eq!(rgb(&alpha, COLOUR), [204, 224, 255, 255, 255, 255]);
    let palette = read(&png_of((8, 1), ColorType::Indexed, BitDepth::One, &[0b0100_0000])).unwrap();
    assert_eq!(rgb(&palette, COLOUR)[..9], [10, 20, 30, 200, 100, 50, 10, 20, 30]);
    let deep = read(&png_of((1, 1), ColorType::Grayscale, BitDepth::Sixteen, &[0x80, 0x7f])).unwrap();
    assert_eq!(rgb(&deep, COLOUR), [0x80; 3]);
}

#[test]
fn a_jpeg_is_kept_as_it_came() {
    for (file, components) in [(JPEG, 3), (JPEG_GREY, 1), (JPEG_PROGRESSIVE, 3)] {
        let picture = read(file).unwrap();
        let printed = picture.printed("p", Mm::new(50.0), COLOUR).unwrap();
        let Pixels::Jpeg { file: kept, components: found } = &printed.image.pixels else { panic!("recompressed") };
        assert_eq!(*found, components);
        // From the first scan on, every byte; before it, tables and frame.
        let scan = file.windows(2).position(|pair| pair == [0xFF, 0xDA]).unwrap();
        assert!(kept.ends_with(&file[scan..]) && kept.len() <= file.len());
    }
    // In grey its pixels are worked out.
    let grey = rgb(&read(JPEG).unwrap(), Print { ink: Ink::Grey, shade: 0.0 });
    assert!(grey.chunks_exact(3).all(|pixel| pixel[0] == pixel[1] && pixel[1] == pixel[2]));
}

/// Exif 2.3, tag 0x0112. The file's stored pixels are 24 wide and 16 high, red at the left; its
/// orientation 6 has them turned a quarter clockwise to be seen: 16 wide, red at the top.
#[test]
fn a_turned_jpeg_is_seen_upright_and_keeps_no_metadata() {
    let picture = read(JPEG_TURNED).unwrap();
    assert_eq!(picture.pixels(), Some((16, 24)));
    let printed = picture.printed("p", Mm::new(50.0), COLOUR).unwrap();
    // The middle of the stored left side lies at the middle of the upper side.
    let seen = printed.turn * kurbo::Point::new(0.0, 0.5);
    assert!((seen - kurbo::Point::new(0.5, 1.0)).hypot() < 1e-12, "{seen:?}");
    let Pixels::Jpeg { file, .. } = &printed.image.pixels else { panic!("recompressed") };
    assert!(!file.windows(4).any(|word| word == b"Exif"));
}

#[test]
fn grey_and_shades_are_those_of_flat_colours() {
    let colours: Vec<u8> = (0..64u32).flat_map(|i| [i * 4, 255 - i * 3, i * i % 256].map(|c| c as u8)).collect();
    let file = png_of((8, 8), ::png::ColorType::Rgb, ::png::BitDepth::Eight, &colours);
    let picture = read(&file).unwrap();
    for print in [(Ink::Grey, 0.0), (Ink::Grey, -0.3), (Ink::Colour, 0.4)].map(|(ink, shade)| Print { ink, shade }) {
        for (pixel, before) in rgb(&picture, print).chunks_exact(3).zip(colours.chunks_exact(3)) {
            let expected = print.colour(Colour(before[0], before[1], before[2]));
            assert_eq!(pixel, [expected.0, expected.1, expected.2]);
        }
    }
}

/// The file draws a red square in the left half of white; 1 in at 300 dots per inch.
#[test]
fn a_drawing_is_set_at_the_size_it_is_printed() {
    let picture = read(SVG).unwrap();
    assert_eq!((picture.pixels(), picture.aspect()), (None, 2.0));
    let printed = picture.printed("p", Mm::new(25.4), COLOUR).unwrap();
    assert_eq!(printed.image.size, (300, 150));
    assert_eq!(printed.extremes[1], Colour(255, 255, 255));
    let Pixels::Rgb(bytes) = &printed.image.pixels else { panic!("no pixels") };
    let pixel = |x: usize, y: usize| &bytes[(y * 300 + x) * 3..][..3];
    assert_eq!(pixel(75, 75), [0xc0, 0x20, 0x20]);
    assert_eq!(pixel(225, 75), [255, 255, 255]);
}

#[test]
fn what_is_not_taken_is_refused_with_a_way_out() {
    let cmyk = read(JPEG_CMYK).unwrap_err().to_string();
    assert!(cmyk.contains("CMYK"), "{cmyk}");
    let many = "<use href='#a'/>".repeat(100);
    let bomb = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='1' height='1'><g id='a'>{}</g><g id='b'>{many}</g><g id='c'>{}</g>{}</svg>",
        "<rect width='1' height='1'/>".repeat(100),
        many.replace("#a", "#b"),
        many.replace("#a", "#c"),
    );
    let huge = {
        // Only a header: its size is judged before its pixels.
        let mut file = png_of((1, 1), ::png::ColorType::Rgb, ::png::BitDepth::Eight, &[1, 2, 3]);
        file[16..24].copy_from_slice(&[0, 1, 0, 0, 0, 1, 0, 0]);
        file
    };
    for (bytes, word) in [
        (b"" as &[u8], "empty"),
        (b"GIF89a", "GIF"),
        (b"hello", "neither"),
        (b"\x1f\x8b\x08", "gzip"),
        (b"<html/>", "no sound SVG"),
        (&JPEG[..200], "JPEG"),
        (&JPEG[..JPEG.len() - 2], "cut off"),
        (&huge, "PNG"),
        (bomb.as_bytes(), "elements"),
        (b"\xff\xd8\xff\xc3\x00\x03\x08", "rare kind"),
        (b"\xff\xd8\xff\xc0\x00\x03\x0c", "12 bits"),
    ] {
        let message = read(bytes).err().map(|problem| problem.to_string()).unwrap_or_default();
        assert!(message.contains(word), "{word}: {message}");
    }
}

#[test]
fn a_drawing_reads_no_other_file() {
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='4' height='4'><image href='/etc/hostname' width='4' height='4'/></svg>";
    let picture = read(svg.as_bytes()).unwrap();
    assert!(picture.notes.iter().any(|note| note.to_string().contains("other files")));
    assert!(rgb(&picture, COLOUR).iter().all(|part| *part == 255));
}

/// Any bytes end in a picture or in a problem: files cut off anywhere, and with bytes changed by a
/// fixed seed.
#[test]
fn no_cut_or_changed_picture_panics() {
    let png = png_of((8, 8), ::png::ColorType::Rgba, ::png::BitDepth::Eight, &[77; 256]);
    let mut state = 0x9E37_79B9_7F4A_7C15u64;
    let mut next = move || {
        // xorshift64 (Marsaglia 2003).
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let (mut taken, mut refused) = (0, 0);
    for file in [&png, JPEG, JPEG_GREY, JPEG_PROGRESSIVE, JPEG_TURNED, SVG] {
        let cuts = (0..file.len()).step_by(file.len() / 150 + 1).map(|at| file[..at].to_vec());
        let mut changed = Vec::new();
        for _ in 0..300 {
            let mut bytes = file.to_vec();
            for _ in 0..=next() % 4 {
                let at = (next() % bytes.len() as u64) as usize;
                bytes[at] = (next() % 256) as u8;
            }
            changed.push(bytes);
        }
        for bytes in cuts.chain(changed) {
            // A changed header may ask for more pixels than a test has time for.
            match read(&bytes) {
                Ok(picture) => {
                    taken += 1;
                    let _ = picture.printed("p", Mm::new(5.0), Print { ink: Ink::Grey, shade: 0.2 });
                }
                Err(problem) => {
                    refused += 1;
                    assert!(!problem.to_string().is_empty());
                }
            }
        }
    }
    assert!(taken > 200 && refused > 500, "{taken} taken, {refused} refused");
}
