//! From the Brinewell set file to finished pages, read back by the independent SVG parser `usvg`
//! and measured against the worked values of the construction rules.

use flatwright::args::Overrides;
use flatwright::pipeline::{self, Effort};
use flatwright_sheets::compose::Composed;
use flatwright_sheets::font;
use flatwright_sheets::page::Weight;
use usvg::{Node, Options, Tree};

/// Pixels in one millimetre: CSS Values 3, 6.2, has 96 to the inch.
const PER_MM: f64 = 96.0 / 25.4;
/// Agreement asked of what is measured on a page, mm.
const MEASURE: f64 = 0.01;

struct Made {
    composed: Composed,
    pages: Vec<Tree>,
}

fn make(board: &str, walls: &str) -> Made {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../samples/brinewell/set.json");
    let text = std::fs::read_to_string(file).expect("the sample is there");
    let text = text.replace("\"play\": \"0.3 mm\"", &format!("\"play\": \"0.3 mm\", \"walls\": \"{walls}\""));
    // The narrowest walls have no body between the wider posts of board walls.
    let text = text.replace("\"span\": \"1/3\"", "\"span\": \"3/2\"").replace("\"span\": \"2/3\"", "\"span\": 2");
    let overrides = Overrides { board: Some(board.into()), ..Overrides::default() };
    let set =
        pipeline::resolve("set.json", text.into_bytes(), &overrides).unwrap_or_else(|e| panic!("{}", e.plain(100)));
    let composed =
        pipeline::lay_out("set.json", &set, &pipeline::prove(&set), Effort { seed: 1, steps: Some(200) }, &mut |_| {})
            .expect("it fits");
    let output = pipeline::render(&set, &composed, None, None).expect("it can be written");
    let mut options = Options::default();
    for weight in [Weight::Regular, Weight::Bold] {
        options.fontdb_mut().load_font_data(font::data(weight).to_vec());
    }
    let pages = output.pages.iter().map(|page| Tree::from_str(page, &options).expect("usvg reads it")).collect();
    Made { composed, pages }
}

/// Width and height, short side first, of everything cut on a page, mm.
fn cut_sizes(page: &Tree) -> Vec<(f64, f64)> {
    let Some(Node::Group(layer)) = page.node_by_id("cutting") else { return Vec::new() };
    let mut sizes = Vec::new();
    boxes(layer, &mut sizes);
    sizes
}

fn boxes(group: &usvg::Group, sizes: &mut Vec<(f64, f64)>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => boxes(inner, sizes),
            other => {
                let bounds = other.abs_bounding_box();
                let (w, h) = (f64::from(bounds.width()) / PER_MM, f64::from(bounds.height()) / PER_MM);
                sizes.push((w.min(h), w.max(h)));
            }
        }
    }
}

/// How many contours of that size the pages show.
fn count(made: &Made, size: (f64, f64)) -> usize {
    let (short, long) = (size.0.min(size.1), size.0.max(size.1));
    let near = |&(w, h): &(f64, f64)| (w - short).abs() < MEASURE && (h - long).abs() < MEASURE;
    made.pages.iter().flat_map(cut_sizes).filter(near).count()
}

/// Rows of the table "Worked values": board, walls, core over one module, post height over its
/// feet, wall body over two modules and tab past the post's face.
#[test]
fn worked_values_stand_on_the_finished_pages() {
    for (board, walls, core, post, body, tab) in [
        ("3 mm", "card", 75.7, 53.0, 137.1, 6.95),
        ("5 mm", "card", 75.7, 55.0, 137.1, 6.95),
        ("3/16 in", "card", 75.7, 54.7625, 137.1, 6.95),
        ("10 mm", "card", 75.7, 60.0, 137.1, 6.95),
        ("5 mm", "board", 75.7, 55.0, 134.0, 6.25),
        ("10 mm", "board", 75.7, 60.0, 129.0, 6.25),
    ] {
        let made = make(board, walls);
        let case = format!("{board}, {walls} walls");
        assert!(count(&made, (core, core)) > 0, "{case}: cores of one module");
        assert!(count(&made, (29.7, 19.7)) > 0, "{case}: biscuits");
        // A fold of a quarter turn takes pi/2 x 0.5 x 0.25 mm, half of it above the tongue's fold.
        let bend = std::f64::consts::FRAC_PI_4 * 0.25;
        let height = post + bend + 12.0;
        let posts = made.pages.iter().flat_map(cut_sizes);
        let posts = posts.filter(|(w, h)| (w - height).abs() < MEASURE || (h - height).abs() < MEASURE);
        assert!(posts.count() > 0, "{case}: posts {height} mm high with their tongues");
        // Body, and on both sides half the play and the tab.
        let length = body + 2.0 * (0.15 + tab);
        let walls = made.pages.iter().flat_map(cut_sizes);
        let walls = walls.filter(|(w, h)| (w - length).abs() < MEASURE || (h - length).abs() < MEASURE);
        assert!(walls.count() > 0, "{case}: walls {length} mm long with their tabs");
    }
}

#[test]
fn every_page_has_its_paper_s_size() {
    let made = make("5 mm", "card");
    assert_eq!(made.pages.len(), made.composed.document.pages.len());
    for page in &made.pages {
        let size = page.size();
        assert!((f64::from(size.width()) / PER_MM - 210.0).abs() < MEASURE, "A4 is 210 mm wide (ISO 216)");
        assert!((f64::from(size.height()) / PER_MM - 297.0).abs() < MEASURE, "A4 is 297 mm high (ISO 216)");
    }
}
