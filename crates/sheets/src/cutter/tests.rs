use flatwright_geometry::turn;
use kurbo::Rect;
use kurbo::Shape as _;

use super::*;
use crate::page::{Form, Pen};

fn stroke(layer: Layer, path: BezPath) -> Mark {
    let pen = Pen { width: Mm::new(0.2), colour: Colour::BLACK, dashes: Vec::new(), round: false };
    Mark { layer, shape: Shape::Stroke { path, pen } }
}

fn rect(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Rect::new(x0, y0, x1, y1).to_path(0.1)
}

fn page(marks: Vec<Mark>) -> (Document, Page) {
    let size = (Mm::new(210.0), Mm::new(297.0));
    let whole = Rect::new(0.0, 0.0, 210.0, 297.0);
    let page = Page {
        label: "1".into(),
        title: "Card".into(),
        section: "Card".into(),
        size,
        trim: whole,
        bleed: whole,
        copies: 1,
        marks,
    };
    (Document::default(), page)
}

fn cut(paths: Vec<BezPath>, ease: Ease) -> Vec<Way> {
    let (document, page) = page(paths.into_iter().map(|path| stroke(Layer::Cutting, path)).collect());
    let mut work = work(&document, &page, None, ease);
    assert!(work.steps.len() <= 1);
    work.steps.pop().map(|step| step.ways).unwrap_or_default()
}

fn length(ways: &[Way]) -> f64 {
    ways.iter().map(Way::length).sum()
}

#[test]
fn a_common_edge_is_cut_once() {
    // Two squares of 40 side by side: 7 sides of 40; the third stands off.
    let ways = cut(vec![rect(0.0, 0.0, 40.0, 40.0), rect(40.0, 0.0, 80.0, 40.0)], Ease::default());
    assert!((length(&ways) - 280.0).abs() < 1e-9, "{ways:?}");
    // An edge that is shared in part: 30 of it.
    let ways = cut(vec![rect(0.0, 0.0, 40.0, 40.0), rect(40.0, 10.0, 80.0, 50.0)], Ease::default());
    assert!((length(&ways) - 290.0).abs() < 1e-9, "{ways:?}");
    // Side by side with a gap, nothing is shared.
    let ways = cut(vec![rect(0.0, 0.0, 40.0, 40.0), rect(41.0, 0.0, 81.0, 40.0)], Ease::default());
    assert!(ways.len() == 2 && ways.iter().all(Way::closed) && (length(&ways) - 320.0).abs() < 1e-9);
    // The same piece twice is one.
    let ways = cut(vec![rect(0.0, 0.0, 40.0, 40.0), rect(0.0, 0.0, 40.0, 40.0)], Ease::default());
    assert!((length(&ways) - 160.0).abs() < 1e-9);
}

#[test]
fn what_lies_inside_is_cut_first() {
    let (outer, window, slit) =
        (rect(10.0, 10.0, 90.0, 90.0), rect(30.0, 30.0, 70.0, 70.0), rect(40.0, 40.0, 50.0, 50.0));
    let far = rect(100.0, 10.0, 140.0, 50.0);
    let hole = rect(110.0, 20.0, 120.0, 30.0);
    let ways = cut(vec![outer, far, window, hole, slit], Ease::default());
    let lengths: Vec<f64> = ways.iter().map(|way| way.length().round()).collect();
    assert_eq!(lengths, [40.0, 160.0, 320.0, 40.0, 160.0], "each piece with all in it, then the next");
}

#[test]
fn overcut_goes_on_over_the_beginning() {
    let ways = cut(vec![rect(0.0, 0.0, 40.0, 40.0)], Ease { overcut: Mm::new(1.5), bridge: Mm::ZERO });
    assert!((length(&ways) - 161.5).abs() < 1e-9);
    let points = &ways[0].points;
    let (first, second, last) = (points[0], points[1], points[points.len() - 1]);
    assert!((last - first).cross(second - first).abs() < 1e-9 && (last.distance(first) - 1.5).abs() < 1e-9);
}

#[test]
fn bridges_hold_a_piece_and_spare_its_corners() {
    let ease = Ease { overcut: Mm::new(1.0), bridge: Mm::new(0.8) };
    let ways = cut(vec![rect(0.0, 0.0, 80.0, 60.0), rect(20.0, 20.0, 40.0, 40.0)], ease);
    // 280 mm round: four bridges (one for 80 mm, rounded), none in the window, which has its overcut.
    assert!((length(&ways) - (280.0 - 4.0 * 0.8 + 80.0 + 1.0)).abs() < 1e-9, "{}", length(&ways));
    let outer: Vec<&Way> = ways.iter().skip(1).collect();
    assert_eq!(outer.len(), 4);
    for way in outer {
        for end in [way.points[0], way.points[way.points.len() - 1]] {
            let corner = [0.0, 80.0].iter().any(|x| (end.x - x).abs() < 5.0)
                && [0.0, 60.0].iter().any(|y| (end.y - y).abs() < 5.0);
            assert!(!corner, "{end:?}");
        }
    }
}

#[test]
fn steps_come_in_their_order_and_placed_forms_are_followed() {
    let form = Form {
        id: "a".into(),
        bounds: Rect::new(0.0, 0.0, 10.0, 10.0),
        marks: vec![
            stroke(Layer::Cutting, rect(0.0, 0.0, 10.0, 10.0)),
            stroke(Layer::CreasingValley, rect(2.0, 2.0, 8.0, 8.0)),
            stroke(Layer::Artwork, rect(0.0, 0.0, 10.0, 10.0)),
        ],
    };
    let motion = Affine::translate((50.0, 60.0)) * turn::quarter(1);
    let (document, page) = page(vec![Mark { layer: Layer::Cutting, shape: Shape::Place { form: 0, motion } }]);
    let document = Document { forms: vec![form], ..document };
    let work = work(&document, &page, Some([Point::ORIGIN; 4]), Ease::default());
    assert_eq!(work.steps.iter().map(|step| step.layer).collect::<Vec<_>>(), [Layer::CreasingValley, Layer::Cutting]);
    assert!(work.steps[1].ways[0].points.iter().all(|p| (40.0..=50.0).contains(&p.x) && (60.0..=70.0).contains(&p.y)));
    assert_eq!(work.marks.len(), 4);
    let text = svg(&work);
    assert_eq!(text, svg(&work));
    assert!(text.find("creasing-valley").unwrap() < text.find("\"cutting\"").unwrap(), "{text}");
    let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
    assert!((tree.size().width() - 210.0 * 96.0 / 25.4).abs() < 0.01);
}
