//! The SVG, read by the independent parser `usvg` with the type given to it, and as plain XML.

mod common;

use flatwright_geometry::units::MM_PER_INCH;
use flatwright_sheets::font;
use flatwright_sheets::page::{Layer, Weight};
use flatwright_sheets::svg::{self, SvgError};
use usvg::{Group, Node, Options, Tree};

/// Pixels in one millimetre: CSS Values 3, 6.2, has 96 to the inch.
const PER_MM: f64 = 96.0 / MM_PER_INCH;

fn page(index: usize) -> String {
    svg::write(&common::document(), index).expect("the sample can be written")
}

fn tree(text: &str) -> Tree {
    let mut options = Options::default();
    for weight in [Weight::Regular, Weight::Bold] {
        options.fontdb_mut().load_font_data(font::data(weight).to_vec());
    }
    Tree::from_str(text, &options).expect("usvg reads the file")
}

fn layer<'a>(tree: &'a Tree, id: &str) -> Option<&'a Group> {
    match tree.node_by_id(id)? {
        Node::Group(group) => Some(group),
        _ => None,
    }
}

/// Box of a node in millimetres from the upper left: left, top, right, bottom.
fn sides(node: &Node) -> [f64; 4] {
    let bounds = node.abs_bounding_box();
    [bounds.left(), bounds.top(), bounds.right(), bounds.bottom()].map(|side| f64::from(side) / PER_MM)
}

fn assert_near(found: [f64; 4], wanted: [f64; 4], slack: f64) {
    for (one, other) in found.iter().zip(wanted) {
        assert!((one - other).abs() <= slack, "{found:?} instead of {wanted:?}");
    }
}

#[test]
fn pages_have_their_size() {
    for (index, (width, height)) in [(210.0, 297.0), (215.9, 279.4), (1189.0, 841.0)].into_iter().enumerate() {
        let size = tree(&page(index)).size();
        let found = [f64::from(size.width()) / PER_MM, f64::from(size.height()) / PER_MM, 0.0, 0.0];
        assert_near(found, [width, height, 0.0, 0.0], 1e-4);
    }
}

#[test]
fn every_layer_in_use_is_one_group_in_order() {
    let text = page(0);
    let tree = tree(&text);
    let mut last = 0;
    for id in Layer::ALL.map(Layer::id) {
        assert!(layer(&tree, id).is_some_and(Group::has_children), "{id}");
        let places: Vec<usize> = text.match_indices(&format!(" id=\"{id}\"")).map(|(at, _)| at).collect();
        assert_eq!(places.len(), 1, "{id}");
        assert!(places[0] > last, "{id} stands in its order");
        last = places[0];
    }
    assert!(text.contains("data-processing-step=\"PartialCutting\""));
    let second = page(1);
    assert_eq!(second.matches("<g ").count(), 1, "layers without marks are left out");
    assert!(second.contains("id=\"cutting\""));
}

#[test]
fn forms_are_written_out_in_the_page_s_coordinates() {
    let text = page(0);
    // By hand: the panel's corners (0,0) (40,0) (40,20) (0,20), y turned down on 297 mm.
    assert!(text.contains("d=\"M 20 267 L 60 267 L 60 247 L 20 247 Z\""));
    // Turned by a quarter at (120, 40): (x, y) goes to (120 - y, 40 + x).
    assert!(text.contains("d=\"M 120 257 L 120 217 L 100 217 L 100 257 Z\""));
    assert!(text.contains("d=\"M 100 97 Q 120 67 140 97\""));
    assert!(page(1).contains("d=\"M 10 269.4 L 86.1235 269.4 L 86.1235 267.0543\""));
    for absent in ["<use", "transform=\"matrix", "inkscape", "NaN"] {
        assert!(!text.contains(absent), "{absent}");
    }
}

#[test]
fn usvg_finds_lines_where_the_document_has_them() {
    let tree = tree(&page(0));
    let cutting = layer(&tree, "cutting").expect("cutting");
    // Three panels in the order of placing, then the arrow.
    assert_eq!(cutting.children().len(), 4);
    assert_near(sides(&cutting.children()[0]), [20.0, 247.0, 60.0, 267.0], 1e-3);
    assert_near(sides(&cutting.children()[1]), [100.0, 217.0, 120.0, 257.0], 1e-3);
    assert_near(sides(&cutting.children()[3]), [100.0, 137.0, 110.0, 147.0], 1e-3);
    let Node::Path(outline) = &cutting.children()[0] else { panic!("a path") };
    let width = outline.stroke().expect("a stroke").width().get();
    assert!((f64::from(width) - 0.35).abs() < 1e-6, "stroke width {width}, user unit 1 mm");
}

#[test]
fn text_is_as_wide_as_measured_and_turned() {
    let tree = tree(&page(0));
    let furniture = layer(&tree, "furniture").expect("furniture").children();
    // Letters begin and end a little inside their advance widths: 0.5 mm covers that at 5 mm.
    let width = font::measure(common::AWKWARD, flatwright_geometry::units::Mm::new(5.0), Weight::Bold).get();
    let [left, top, right, bottom] = sides(&furniture[0]);
    assert!((left - 15.0).abs() < 0.6 && (right - 15.0 - width).abs() < 0.6, "{left} to {right}, {width} wide");
    assert!(top > 10.0 && bottom < 20.0, "on the line y = 280 from below: {top} to {bottom}");
    let [left, top, right, bottom] = sides(&furniture[1]);
    let width = font::measure("100 mm", flatwright_geometry::units::Mm::new(4.0), Weight::Regular).get();
    assert!(left > 194.0 && right < 202.0, "upright along x = 200: {left} to {right}");
    assert!((top - 197.0).abs() < 0.6 && (bottom - 197.0 - width).abs() < 0.6, "ends at y = 100: {top} to {bottom}");
}

#[test]
fn any_text_gives_a_file_that_can_be_read() {
    let mut document = common::document();
    // All control characters, the noncharacters that XML forbids, and others that need care.
    let mut awkward: String = (0..0xA0).filter_map(char::from_u32).collect();
    awkward.push_str("\u{FFFE}\u{FFFF}\u{202E}\u{10FFFF}]]>&amp;<!--");
    document.pages[0].title.clone_from(&awkward);
    document.subject.clone_from(&awkward);
    for mark in &mut document.pages[0].marks {
        if let flatwright_sheets::page::Shape::Text(text) = &mut mark.shape {
            text.text.clone_from(&awkward);
        }
    }
    let text = svg::write(&document, 0).expect("written");
    let tree = tree(&text);
    assert_eq!(layer(&tree, "furniture").map(|group| group.children().len()), Some(2));
    assert!(flatwright_sheets::pdf::write(&document).is_ok_and(|file| lopdf::Document::load_mem(&file).is_ok()));
}

#[test]
fn the_same_page_gives_the_same_text_and_a_missing_page_says_so() {
    assert_eq!(page(0), page(0));
    assert_eq!(svg::write(&common::document(), 3), Err(SvgError::NoPage { page: 3, pages: 3 }));
    let mut document = common::document();
    document.pages[0].marks.push(common::fill(
        Layer::Artwork,
        common::polyline(&[(f64::NAN, 0.0)]),
        flatwright_sheets::page::Colour::BLACK,
    ));
    assert!(matches!(svg::write(&document, 0), Err(SvgError::Faults(faults)) if faults.len() == 1));
    assert!(svg::write(&document, 1).is_ok(), "another page's fault does not stop this one");
}
