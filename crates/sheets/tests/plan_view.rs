//! Plans: every name is there and free of the others, everything is in its place, and what cannot
//! be drawn is told.

#[path = "common/layout.rs"]
mod layout;
#[path = "common/pump_room.rs"]
mod pump_room;

use flatwright_geometry::units::Mm;
use flatwright_sheets::page::{Colour, Document, Layer, Shape};
use flatwright_sheets::plan_view::{
    self, BendView, EdgeView, Fit, FittingKind, FittingView, LevelView, PlanError, PlanFault, PlanView, PostView,
    ShapeView, TileView, WallKind, WallView,
};
use kurbo::{Rect, Shape as _};

fn plan() -> PlanView {
    pump_room::guide().expect("the sample has patterns").plan
}

fn drawn(side: f64) -> Document {
    plan_view::document(&plan(), &Fit::Square(Mm::new(side))).expect("the sample can be drawn")
}

fn on_paper(paper: &str) -> Document {
    let fit = Fit::Paper { paper: paper.parse().expect("a paper"), margin: Mm::new(10.0) };
    plan_view::document(&plan(), &fit).expect("the sample can be drawn")
}

/// The names on a page's label layer, sorted.
fn names(document: &Document) -> Vec<String> {
    let labels = document.pages[0].marks.iter().filter(|mark| mark.layer == Layer::Labels);
    let mut names: Vec<String> = labels
        .filter_map(|mark| if let Shape::Text(text) = &mark.shape { Some(text.text.clone()) } else { None })
        .collect();
    names.sort();
    names
}

#[test]
fn every_piece_is_named_where_there_is_room() {
    let plan = plan();
    let level = &plan.levels[0];
    let mut wanted: Vec<String> = level.tiles.iter().map(|tile| tile.label.clone()).collect();
    wanted.extend(level.walls.iter().map(|wall| wall.label.clone()));
    wanted.extend(level.posts.iter().map(|post| post.label.clone()));
    wanted.sort();
    for side in [20.0, 32.0, 60.0] {
        assert_eq!(names(&drawn(side)), wanted, "squares of {side} mm");
    }
}

#[test]
fn nothing_runs_off_the_page_or_over_other_words() {
    for document in [drawn(5.0), drawn(12.0), drawn(32.0), drawn(60.0)] {
        layout::assert_inside(&document, 5.0);
        layout::assert_no_overlaps(&document);
    }
    for paper in ["A6", "A4", "Letter", "A3"] {
        let document = on_paper(paper);
        layout::assert_inside(&document, 10.0);
        layout::assert_no_overlaps(&document);
    }
}

/// The sample is wider than high, and legend and title take more height than width.
#[test]
fn paper_is_turned_for_the_larger_drawing() {
    let tall = PlanView { levels: vec![LevelView { columns: 2, rows: 9, ..LevelView::default() }], ..plan() };
    let wide = PlanView { levels: vec![LevelView { columns: 9, rows: 2, ..LevelView::default() }], ..plan() };
    let fit = Fit::Paper { paper: "A4".parse().expect("a paper"), margin: Mm::new(10.0) };
    let size = |view: &PlanView| plan_view::document(view, &fit).expect("a plan").pages[0].size;
    assert!(size(&tall).0 < size(&tall).1);
    assert!(size(&wide).0 > size(&wide).1);
}

/// One red square two from the west and one from the north, on a level of 4 by 3.
#[test]
fn a_tile_fills_its_squares() {
    let red = Colour(200, 10, 10);
    let tile = TileView { x: 2, y: 1, width: 1, height: 1, label: "TW1".into(), colour: red };
    let corners = [(0, 0), (4, 3)].map(|(x, y)| PostView { x, y, label: String::new(), arms: 0, plate: false });
    let level = LevelView { columns: 4, rows: 3, tiles: vec![tile], posts: corners.to_vec(), ..LevelView::default() };
    let view = PlanView { title: "One tile".into(), module: Mm::inches(3.0), levels: vec![level] };
    let document = plan_view::document(&view, &Fit::Square(Mm::new(40.0))).expect("a plan");
    let fills = |wanted: Option<Colour>| -> Vec<Rect> {
        let boxed = |mark: &flatwright_sheets::page::Mark| match &mark.shape {
            Shape::Fill { path, colour } if wanted.is_none_or(|wanted| wanted == *colour) => Some(path.bounding_box()),
            _ => None,
        };
        document.pages[0].marks.iter().filter_map(boxed).collect()
    };
    let slab = fills(Some(red))[0];
    // Posts stand on the outer corners, in the darkest fill that the drawing has.
    let posts: Vec<Rect> = fills(None).into_iter().filter(|r| (r.width() - 8.0).abs() < 0.1 && r != &slab).collect();
    let (west, east) = (posts[0].center(), posts[1].center());
    assert!((east.x - west.x - 160.0).abs() < 1e-6 && (west.y - east.y - 120.0).abs() < 1e-6, "{posts:?}");
    let wanted = Rect::new(west.x + 80.0, west.y - 80.0, west.x + 120.0, west.y - 40.0);
    assert!(wanted.contains_rect(slab) && slab.area() > 0.9 * wanted.area(), "{slab:?} in {wanted:?}");
}

#[test]
fn a_page_a_level_and_the_same_every_time() {
    let mut plan = plan();
    plan.levels.push(LevelView { name: "Gallery".into(), ..plan.levels[0].clone() });
    let draw = || plan_view::document(&plan, &Fit::Square(Mm::new(25.0))).expect("a plan");
    let document = draw();
    let titles: Vec<&str> = document.pages.iter().map(|page| page.title.as_str()).collect();
    assert_eq!(titles, ["Ground floor", "Gallery"]);
    assert_eq!(document, draw());
}

#[test]
fn the_note_says_how_large_a_square_is() {
    let said = |module: Mm| {
        let view = PlanView { module, ..plan() };
        let document = plan_view::document(&view, &Fit::Square(Mm::new(25.0))).expect("a plan");
        layout::words(&document.pages[0])
    };
    assert!(said(Mm::inches(3.0)).contains("One square = one module, 3 in (76.2 mm)."));
    assert!(said(Mm::inches(1.25)).contains("1.25 in (31.75 mm)"));
    assert!(said(Mm::new(75.0)).contains("One square = one module, 75 mm."));
}

#[test]
fn everything_wrong_is_told_at_once() {
    let level = LevelView {
        name: "Sump".into(),
        columns: 2,
        rows: 2,
        tiles: vec![TileView { x: 1, y: 0, width: 2, height: 1, label: "TW9".into(), colour: Colour::WHITE }],
        walls: vec![WallView { x: 0, y: usize::MAX, down: true, span: 1, label: "WA9".into(), kind: WallKind::Plain }],
        posts: vec![PostView { x: 3, y: 0, label: "PO9".into(), arms: 0, plate: false }],
        biscuits: vec![EdgeView { x: 2, y: 0, down: false }],
        cut: vec![EdgeView { x: 0, y: 2, down: true }],
        shapes: vec![shape("UW9", &[(0.0, 0.0), (1.0, 0.0), (0.0, 2.1)])],
        bends: vec![
            bend("BW9", &[(0.0, 1.0)], WallKind::Plain),
            bend("BW8", &[(0.0, f64::NAN), (1.0, 1.0)], WallKind::Low),
        ],
        fittings: vec![FittingView {
            label: "PR9".into(),
            kind: FittingKind::Prop,
            outline: vec![vec![(0.0, 0.0), (f64::NAN, 0.0), (9.0, 1.0)]],
            lines: Vec::new(),
            arrow: None,
        }],
    };
    let empty = LevelView { name: "Nothing".into(), ..LevelView::default() };
    let view = PlanView { title: String::new(), module: Mm::new(f64::NAN), levels: vec![level, empty] };
    let Err(PlanError::Faults(found)) = plan_view::document(&view, &Fit::Square(Mm::ZERO)) else { panic!("refused") };
    let outside = found.iter().filter(|fault| matches!(fault, PlanFault::Outside { .. })).count();
    let lengths = found.iter().filter(|fault| matches!(fault, PlanFault::Length { .. })).count();
    let squares = found.iter().filter(|fault| matches!(fault, PlanFault::Squares { .. })).count();
    assert_eq!((outside, lengths, squares, found.len()), (9, 2, 1, 12), "{found:#?}");
    let message = PlanError::Faults(found).to_string();
    assert!(message.contains("tile \"TW9\" at (1, 0) on level \"Sump\" reaches outside"), "{message}");
}

#[test]
fn pages_too_small_or_too_large_are_refused() {
    let plan = plan();
    let small = Fit::Paper { paper: "50 x 60 mm".parse().expect("a paper"), margin: Mm::new(10.0) };
    let Err(PlanError::Faults(found)) = plan_view::document(&plan, &small) else { panic!("refused") };
    assert!(matches!(found[..], [PlanFault::NoRoom { .. }]), "{found:?}");
    let wide = LevelView { columns: 200, rows: 1, ..LevelView::default() };
    let view = PlanView { levels: vec![wide], ..plan };
    let Err(PlanError::Faults(found)) = plan_view::document(&view, &Fit::Square(Mm::new(30.0))) else {
        panic!("refused")
    };
    assert!(matches!(found[..], [PlanFault::TooLarge { .. }]), "{found:?}");
}

fn shape(label: &str, outline: &[(f64, f64)]) -> ShapeView {
    let count = outline.len() as f64;
    let middle = outline.iter().fold((0.0, 0.0), |sum, at| (sum.0 + at.0 / count, sum.1 + at.1 / count));
    ShapeView { outline: outline.to_vec(), middle, label: label.into(), colour: Colour(120, 160, 200) }
}

fn bend(label: &str, line: &[(f64, f64)], kind: WallKind) -> BendView {
    BendView { line: line.to_vec(), label: label.into(), kind }
}

/// A quarter of a circle of two squares about the south-west, with a wall of each kind on it in turn.
#[test]
fn what_leaves_the_lattice_is_drawn_and_named() {
    let arc = |radius: f64| -> Vec<(f64, f64)> {
        (0..=12)
            .map(|i| f64::from(i) * std::f64::consts::FRAC_PI_2 / 12.0)
            .map(|a| (radius * a.sin(), 2.0 - radius * a.cos()))
            .collect()
    };
    let fan = [arc(1.9), vec![(0.05, 1.95)]].concat();
    let kinds = [WallKind::Plain, WallKind::Door, WallKind::Arch, WallKind::Window, WallKind::Bars, WallKind::Low];
    for kind in kinds {
        let level = LevelView {
            columns: 2,
            rows: 2,
            shapes: vec![shape("UW1", &fan)],
            bends: vec![bend("BW1", &arc(2.0), kind)],
            posts: vec![PostView { x: 0, y: 0, label: "PO1".into(), arms: 0b1000, plate: false }],
            ..LevelView::default()
        };
        let view = PlanView { levels: vec![level], ..plan() };
        let document = plan_view::document(&view, &Fit::Square(Mm::new(30.0))).expect("a plan");
        layout::assert_inside(&document, 10.0);
        layout::assert_no_overlaps(&document);
        assert_eq!(names(&document), ["BW1", "PO1", "UW1"], "{kind:?}");
        // The tile's area: of a circle's quarter with a twelfth of it to a side (a regular polygon's), less what
        // its corner lacks.
        let areas = document.pages[0].marks.iter().filter_map(|mark| match &mark.shape {
            Shape::Fill { path, colour: Colour(120, 160, 200) } => Some(path.area().abs()),
            _ => None,
        });
        let sector = 6.0 * 1.9 * 1.9 * (std::f64::consts::FRAC_PI_2 / 12.0).sin();
        let areas: Vec<f64> = areas.collect();
        assert!(matches!(areas[..], [area] if (area / 900.0 - sector).abs() < 0.2), "{areas:?} {sector}");
    }
}

/// As large as a plan can be: it must be drawn in a moment, and its names must not be lost.
#[test]
fn the_largest_plan_is_drawn() {
    let all = |n: usize| (0..n).flat_map(move |y| (0..n).map(move |x| (x, y)));
    let tile = |(x, y)| TileView { x, y, width: 1, height: 1, label: "TW1".into(), colour: Colour::WHITE };
    let wall = |(x, y)| WallView { x, y, down: false, span: 1, label: "WA1".into(), kind: WallKind::Door };
    let post = |(x, y)| PostView { x, y, label: "PO1".into(), arms: 0b1010, plate: false };
    let level = LevelView {
        columns: 200,
        rows: 200,
        tiles: all(200).map(tile).collect(),
        walls: all(200).map(wall).collect(),
        posts: all(201).map(post).collect(),
        ..LevelView::default()
    };
    let view = PlanView { levels: vec![level], ..plan() };
    let document = plan_view::document(&view, &Fit::Square(Mm::new(24.0))).expect("a plan");
    assert_eq!(names(&document).len(), 2 * 200 * 200 + 201 * 201);
    layout::assert_inside(&document, 10.0);
}
