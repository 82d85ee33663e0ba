//! What the PDF draws, as the independent interpreter and renderer `hayro` sees it.

mod common;

use approx::assert_abs_diff_eq;
use flatwright_geometry::units::MM_PER_POINT;
use flatwright_sheets::pdf;
use hayro::hayro_interpret::font::GlyphRun;
use hayro::hayro_interpret::hayro_cmap::BfString;
use hayro::hayro_interpret::hayro_syntax::Pdf;
use hayro::hayro_interpret::util::TransformExt;
use hayro::hayro_interpret::{
    BlendMode, ClipPath, Context, Device, DrawMode, DrawProps, Image, ImageDrawProps, InterpreterCache,
    InterpreterSettings, SoftMask, interpret_page,
};
use hayro::kurbo::{Affine, BezPath, Point, Rect};
use hayro::vello_cpu::Pixmap;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use lopdf::Object;

/// Agreement asked of coordinates, mm: what the writer promises.
const PROMISED: f64 = 1e-4;

fn bytes() -> Vec<u8> {
    pdf::write(&common::document()).expect("the sample can be written")
}

/// Lines and glyph runs that an interpreter finds on a page, in millimetres from the lower left.
#[derive(Default)]
struct Found {
    strokes: Vec<(BezPath, f64, Vec<f64>)>,
    /// Each run of glyphs as the characters that it says it stands for.
    texts: Vec<String>,
}

impl<'a> Device<'a> for Found {
    fn draw_path(&mut self, path: &BezPath, props: DrawProps<'a>, mode: &DrawMode) {
        if let DrawMode::Stroke(pen) = mode {
            let scale = props.transform.determinant().abs().sqrt();
            let dashes = pen.dash_array.iter().map(|&dash| f64::from(dash) * scale).collect();
            self.strokes.push((props.transform * path.clone(), f64::from(pen.line_width) * scale, dashes));
        }
    }
    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, _: DrawProps<'a>, _: &DrawMode) {
        let words = run.glyphs().iter().map(|positioned| match positioned.as_unicode() {
            Some(BfString::Char(c)) => c.to_string(),
            Some(BfString::String(text)) => text,
            None => "(none)".to_owned(),
        });
        self.texts.push(words.collect());
    }
    fn push_clip_path(&mut self, _: &ClipPath) {}
    fn push_transparency_group(&mut self, _: f32, _: Option<SoftMask<'a>>, _: BlendMode) {}
    fn draw_image(&mut self, _: Image<'a, '_>, _: ImageDrawProps<'a>) {}
    fn pop_clip(&mut self) {}
    fn pop_transparency_group(&mut self) {}
}

fn found(bytes: Vec<u8>, page: usize) -> Found {
    let file = Pdf::new(bytes).expect("hayro reads the file");
    let page = &file.pages()[page];
    let (_, height) = page.render_dimensions();
    // hayro's page has its origin at the top left and counts points.
    let turn = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, f64::from(height)]);
    let to_mm = Affine::scale(MM_PER_POINT) * turn * page.initial_transform(true).to_kurbo();
    let cache = InterpreterCache::new();
    let everything = Rect::new(-1e6, -1e6, 1e6, 1e6);
    let mut context = Context::new(to_mm, everything, &cache, page.xref(), InterpreterSettings::default());
    let mut found = Found::default();
    interpret_page(page, &mut context, &mut found);
    found
}

fn points(path: &BezPath) -> Vec<Point> {
    path.elements().iter().filter_map(hayro::kurbo::PathEl::end_point).collect()
}

/// Asserts that some stroke of the page runs through these points.
fn assert_stroke(found: &Found, wanted: &[(f64, f64)], width: f64, dashes: &[f64]) {
    let near = |(at, wanted): (&Point, &(f64, f64))| at.distance(Point::from(*wanted)) <= PROMISED;
    let same = |(path, found_width, found_dashes): &(BezPath, f64, Vec<f64>)| {
        let points = points(path);
        points.len() >= wanted.len()
            && points.iter().zip(wanted).all(near)
            && (found_width - width).abs() <= PROMISED
            && found_dashes.len() == dashes.len()
            && found_dashes.iter().zip(dashes).all(|(found, wanted)| (found - wanted).abs() <= PROMISED)
    };
    assert!(found.strokes.iter().any(same), "no stroke through {wanted:?} in {:#?}", found.strokes);
}

#[test]
fn lines_are_where_the_document_has_them() {
    let first = found(bytes(), 0);
    // The panel's outline, placed at (20, 30), and turned by a quarter at (120, 40).
    assert_stroke(&first, &[(20.0, 30.0), (60.0, 30.0), (60.0, 50.0), (20.0, 50.0)], 0.35, &[]);
    assert_stroke(&first, &[(120.0, 40.0), (120.0, 80.0), (100.0, 80.0), (100.0, 40.0)], 0.35, &[]);
    // Its valley fold, from (5, 10) to (35, 10), on the panel turned by 0.3 rad at (60, 60).
    let (sin, cos) = 0.3_f64.sin_cos();
    let turned = |x: f64, y: f64| (60.0 + x * cos - y * sin, 60.0 + x * sin + y * cos);
    assert_stroke(&first, &[turned(5.0, 10.0), turned(35.0, 10.0)], 0.25, &[3.0, 0.75]);
    assert_stroke(&first, &[(100.0, 150.0), (110.0, 155.0), (100.0, 160.0)], 0.35, &[]);
    assert_stroke(&first, &[(20.0, 200.0), (60.0, 200.0)], 0.25, &[]);
    // Three panels with five lines each, the perforation, the arrow and the straight cut.
    assert_eq!(first.strokes.len(), 3 * 5 + 3);
    assert_eq!(found(bytes(), 1).strokes.len(), 1);
}

#[test]
fn text_says_what_it_shows_in_forms_too() {
    let shown = "Lamp <store> & \"tide\" (stair)\\ ?? ? 76 × 5 →";
    assert_eq!(found(bytes(), 0).texts, ["Panel A", "Panel A", "Panel A", shown, "100 mm"]);
}

#[test]
fn far_and_fine_coordinates_keep_their_decimals() {
    assert_stroke(&found(bytes(), 1), &[(10.0, 10.0), (86.123_45, 10.0), (86.123_45, 12.345_67)], 0.35, &[]);
    assert_stroke(&found(bytes(), 2), &[(1_000.123_4, 800.567_8), (1_188.987_6, 840.999_9)], 0.35, &[]);
}

#[test]
fn a_quadratic_curve_stays_the_same_curve() {
    let found = found(bytes(), 0);
    let (curve, ..) = found.strokes.iter().find(|(_, width, _)| (width - 0.5).abs() <= PROMISED).expect("the curve");
    let segment = curve.segments().next().expect("a segment");
    // The middle of a quadratic curve: (start + 2 control + end) / 4.
    let middle = hayro::kurbo::ParamCurve::eval(&segment, 0.5);
    assert_abs_diff_eq!(middle.x, 120.0, epsilon = PROMISED);
    assert_abs_diff_eq!(middle.y, 215.0, epsilon = PROMISED);
}

/// The first page at 4 pixels to the millimetre.
fn picture(bytes: Vec<u8>) -> Pixmap {
    let file = Pdf::new(bytes).expect("hayro reads the file");
    let scale = (4.0 * MM_PER_POINT) as f32;
    let settings = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
    let interpreter = InterpreterSettings::default();
    render(&file.pages()[0], &RenderCache::new(), &interpreter, &RenderSettings::default(), &settings)
}

/// The colour at a point of the page, mm.
fn colour_at(picture: &Pixmap, x: f64, y: f64) -> [u8; 3] {
    let pixel = picture.sample((x * 4.0) as u16, ((297.0 - y) * 4.0) as u16);
    [pixel.r, pixel.g, pixel.b]
}

fn assert_colour(picture: &Pixmap, (x, y): (f64, f64), wanted: [u8; 3], slack: u8) {
    let found = colour_at(picture, x, y);
    let near = found.iter().zip(wanted).all(|(&found, wanted)| found.abs_diff(wanted) <= slack);
    assert!(near, "{found:?} instead of {wanted:?} at ({x}, {y}) mm");
}

#[test]
fn known_marks_have_their_colours() {
    let picture = picture(bytes());
    let (paper, card) = ([255; 3], [0xE0, 0xD8, 0xC0]);
    assert_colour(&picture, (5.0, 5.0), paper, 0);
    assert_colour(&picture, (65.0, 150.0), [0xD5, 0x5E, 0x00], 1);
    assert_colour(&picture, (50.0, 150.0), paper, 0); // the ring's hole: even-odd
    assert_colour(&picture, (18.0, 29.0), card, 1); // the panel's bleed
    assert_colour(&picture, (98.0, 60.0), card, 1); // the same on the turned panel
    assert_colour(&picture, (124.0, 60.0), paper, 0); // just off it
    // A line 0.35 mm wide covers a pixel of 0.25 mm at least to the most part.
    assert_colour(&picture, (40.0, 29.99), [0x40, 0x3E, 0x38], 0x48);
}

#[test]
fn text_leaves_ink_where_it_stands_and_nowhere_else() {
    let picture = picture(bytes());
    let dark = |x0: f64, y0: f64, x1: f64, y1: f64| {
        let steps = |from: f64, to: f64| (0..).map(move |i| from + 0.25 * f64::from(i)).take_while(move |&v| v < to);
        steps(y0, y1).flat_map(|y| steps(x0, x1).map(move |x| (x, y))).any(|(x, y)| colour_at(&picture, x, y)[0] < 100)
    };
    // "100 mm" runs upwards and ends at (200, 100), its letters left of the line x = 200.
    let width = flatwright_sheets::font::measure(
        "100 mm",
        flatwright_geometry::units::Mm::new(4.0),
        flatwright_sheets::page::Weight::Regular,
    )
    .get();
    assert!(dark(197.0, 99.0 - width / 3.0, 200.0, 100.0));
    assert!(dark(197.0, 100.0 - width, 200.0, 101.0 - width * 0.8));
    assert!(!dark(197.0, 100.5, 200.0, 110.0));
    assert!(!dark(197.0, 90.0 - width, 200.0, 99.5 - width));
    assert!(!dark(200.5, 80.0, 205.0, 101.0));
}

#[test]
fn hiding_a_layer_hides_it_in_forms_too() {
    let mut file = lopdf::Document::load_mem(&bytes()).expect("the file can be read");
    let properties = file.catalog_mut().expect("a catalog").get_mut(b"OCProperties").expect("layers");
    let properties = properties.as_dict_mut().expect("layers");
    let groups = properties.get(b"OCGs").and_then(Object::as_array).expect("groups").clone();
    let settings = properties.get_mut(b"D").and_then(Object::as_dict_mut).expect("settings");
    let (hidden, shown): (Vec<_>, Vec<_>) = groups.into_iter().enumerate().partition(|(index, _)| *index == 0);
    settings.set("OFF", hidden.into_iter().map(|(_, group)| group).collect::<Vec<_>>());
    settings.set("ON", shown.into_iter().map(|(_, group)| group).collect::<Vec<_>>());
    let mut changed = Vec::new();
    file.save_to(&mut changed).expect("in memory");
    let picture = picture(changed);
    assert_colour(&picture, (18.0, 29.0), [255; 3], 0); // a form's artwork
    assert_colour(&picture, (65.0, 150.0), [255; 3], 0); // the page's artwork
    assert!(colour_at(&picture, 40.0, 29.99)[0] < 0x90, "the cutting line stays");
}
