//! Pictures of builds: the right colour at every place, the same every time, small files.

#[path = "common/layout.rs"]
mod layout;
#[path = "../../folding/tests/common/room.rs"]
mod room;

use flatwright_folding::place::Body;
use flatwright_folding::scene::{Paint, Rgb, Scene, Shown};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use flatwright_sheets::page::{Document, Layer};
use flatwright_sheets::view::{self, AZIMUTH, Arrangement, ELEVATION, Prints, ViewError, ViewFault};
use flatwright_sheets::{faults, png, svg};
use kurbo::{Point, Rect};
use parry3d_f64::math::{Pose, Rotation, Vector};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;

fn hall(walls: WallBuild, arrangement: Arrangement) -> Document {
    let p = Parameters { walls, ..Parameters::default() };
    let room = room::hall(&p).expect("it can be built");
    let scene = room::scene(&p, &room).expect("it has covers");
    view::document(&scene, &Prints::default(), Mm::new(180.0), arrangement).expect("it can be drawn")
}

fn area(rect: Rect) -> Region {
    Contour::rectangle(rect).expect("an area").into()
}

/// Five frames (squares with square holes) linked like a chain and leaning on each other, each in a
/// colour told by which channels are full.
fn chain() -> Vec<(Body, Rgb)> {
    let colours = [Rgb(200, 0, 0), Rgb(0, 200, 0), Rgb(0, 0, 200), Rgb(200, 200, 0), Rgb(0, 200, 200)];
    let link = |i: usize| {
        let outer = area(Rect::new(-30.0, -20.0, 30.0, 20.0));
        let hole = area(Rect::new(-22.0, -12.0, 22.0, 12.0));
        let region = region::difference(&[outer], &[hole]).pop().expect("an area");
        let turn = Rotation::from_axis_angle(Vector::X, i as f64 * std::f64::consts::FRAC_PI_2 + 0.4);
        let lean = Rotation::from_axis_angle(Vector::Y, 0.15 * i as f64);
        let pose = Pose::from_parts(Vector::new(41.0 * i as f64, 7.0 * i as f64, 0.0), lean * turn);
        Solid { region, heights: (-3.0, 3.0), pose }
    };
    // Tiles stay where they are when a build is taken apart, and there are no shadows then.
    let body = |i| Body { name: format!("link {i}"), kind: PieceKind::TileCore, solids: vec![link(i)] };
    colours.into_iter().enumerate().map(|(i, colour)| (body(i), colour)).collect()
}

/// All of a prism's surface.
fn skin(solid: &Solid) -> TriMesh {
    let corners: Vec<Vector> = solid.corners().collect();
    let index = |k: usize| u32::try_from(k).expect("few corners");
    let above = corners.len() / 2;
    let mut triangles = Vec::new();
    for [a, b, c] in solid.triangles() {
        triangles.push([a, b, c].map(index));
        triangles.push([a + above, b + above, c + above].map(index));
    }
    let mut first = 0;
    for contour in solid.region.contours() {
        let n = contour.points().len();
        for k in 0..n {
            let (a, b) = (first + k, first + (k + 1) % n);
            triangles.push([a, b, a + above].map(index));
            triangles.push([b, b + above, a + above].map(index));
        }
        first += n;
    }
    TriMesh::new(corners, triangles).expect("a surface")
}

/// The finished picture against rays cast by parry3d at the solids themselves, from where the
/// documented angles have the viewer.
#[test]
fn every_dot_shows_what_a_ray_meets_first() {
    let chain = chain();
    let shown =
        chain.iter().map(|(body, colour)| Shown { paint: Paint::plain(*colour), ..Shown::new(body, *colour, *colour) });
    let scene = Scene { shown: shown.collect(), ..Scene::default() };
    let width = 160.0;
    let document =
        view::document(&scene, &Prints::default(), Mm::new(width), Arrangement::Exploded).expect("it can be drawn");

    let (turn, lift) = (AZIMUTH.to_radians(), ELEVATION.to_radians());
    let toward = Vector::new(turn.sin() * lift.cos(), -turn.cos() * lift.cos(), lift.sin());
    let right = Vector::new(turn.cos(), turn.sin(), 0.0);
    let up = toward.cross(right);
    let corners = chain.iter().flat_map(|(body, _)| body.solids[0].corners());
    let corners: Vec<Point> = corners.map(|c| Point::new(c.dot(right), c.dot(up))).collect();
    let bounds = corners.iter().fold(Rect::from_points(corners[0], corners[0]), |b, p| b.union_pt(*p));
    // 6 mm of free edge on both sides; above that below, the caption's 6 mm.
    let scale = (width - 12.0) / bounds.width();

    let per_inch = 150.0;
    let file = png::write(&document, 0, per_inch).expect("a picture");
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(file)).read_info().expect("it can be read");
    let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut dots).expect("it can be read");
    let parts: Vec<(TriMesh, [u8; 3])> =
        chain.iter().map(|(body, colour)| (skin(&body.solids[0]), [colour.0, colour.1, colour.2])).collect();
    let meets = |x: f64, y: f64| {
        let at = right * ((x - 6.0) / scale + bounds.x0) + up * ((y - 12.0) / scale + bounds.y0);
        let ray = Ray::new(at + toward * 1000.0, -toward);
        let hits = parts
            .iter()
            .filter_map(|(skin, colour)| Some((skin.cast_ray(&Pose::IDENTITY, &ray, 2000.0, true)?, *colour)));
        hits.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, colour)| colour.map(|channel| channel > 0))
    };
    let mm = |dot: u32| (f64::from(dot) + 0.5) / per_inch * 25.4;
    let height = document.pages[0].size.1.get();
    let mut compared = 0;
    for row in (0..info.height).step_by(3) {
        for column in (0..info.width).step_by(3) {
            let (x, y) = (mm(column), height - mm(row));
            if !(12.0..12.0 + bounds.height() * scale).contains(&y) {
                continue;
            }
            // Lines and half covered dots lie along the edges: only where all around is the same.
            let around = [(0.5, 0.0), (-0.5, 0.0), (0.0, 0.5), (0.0, -0.5)].map(|(dx, dy)| meets(x + dx, y + dy));
            let wanted = meets(x, y);
            if around.iter().any(|other| *other != wanted) {
                continue;
            }
            let first = (row * info.width + column) as usize * 3;
            let dot = [dots[first], dots[first + 1], dots[first + 2]];
            let found = (dot != [255; 3]).then(|| dot.map(|channel| channel > 40));
            // A line between two faces of one body is that body's colour, darker.
            assert_eq!(found, wanted, "{dot:?} at ({x:.2}, {y:.2}) mm");
            compared += usize::from(wanted.is_some());
        }
    }
    assert!(compared > 5000, "only {compared} dots lie on a body");
}

#[test]
fn the_same_picture_every_time_and_sound() {
    for walls in [WallBuild::Card, WallBuild::Board] {
        for arrangement in [Arrangement::Assembled, Arrangement::Exploded] {
            let document = hall(walls, arrangement);
            assert_eq!(document, hall(walls, arrangement));
            assert!(faults::of_document(&document).is_empty());
            layout::assert_inside(&document, 5.0);
            layout::assert_no_overlaps(&document);
        }
    }
}

/// More pieces than the hall has would be allowed 2 MB.
#[test]
fn files_are_small() {
    for arrangement in [Arrangement::Assembled, Arrangement::Exploded] {
        let text = svg::write(&hall(WallBuild::Card, arrangement), 0).expect("a file");
        assert!(text.len() < 500_000, "{} bytes", text.len());
    }
}

/// Hundreds of pieces: every face is there, none is lost in the order.
#[test]
fn large_builds_are_drawn() {
    let p = Parameters::default();
    let room = room::maze(&p, (6, 5)).expect("it can be built");
    let scene = room::scene(&p, &room).expect("it has covers");
    let document =
        view::document(&scene, &Prints::default(), Mm::new(300.0), Arrangement::Assembled).expect("it can be drawn");
    let solids: usize = room.bodies.iter().map(|body| body.solids.len()).sum();
    // A prism has at least three sides that face the viewer, some of which are divided.
    let marks = document.pages[0].marks.len();
    assert!((3 * solids..20 * solids).contains(&marks), "{marks} marks for {solids} solids");
    assert!(faults::of_document(&document).is_empty());
}

#[test]
fn it_says_what_is_shown() {
    let document = hall(WallBuild::Card, Arrangement::Assembled);
    let words = layout::words(&document.pages[0]);
    assert!(words.contains("Brinewell: the brine hall"), "{words}");
    assert!(words.contains("6 tiles, 11 posts, 8 walls, 7 biscuits, 22 corner pockets"), "{words}");
    assert!(document.pages[0].marks.iter().any(|mark| mark.layer == Layer::Artwork));
}

#[test]
fn taken_apart_it_is_taller() {
    let height = |arrangement| hall(WallBuild::Card, arrangement).pages[0].size.1;
    assert!(height(Arrangement::Exploded) > height(Arrangement::Assembled) * 1.5);
}

#[test]
fn everything_wrong_is_told_at_once() {
    let refused = |scene: &Scene<'_>, width: f64| {
        let Err(ViewError::Faults { faults }) =
            view::document(scene, &Prints::default(), Mm::new(width), Arrangement::Assembled)
        else {
            panic!("refused")
        };
        faults
    };
    let empty = refused(&Scene::default(), f64::NAN);
    assert!(matches!(empty[..], [ViewFault::Empty, ViewFault::Width { .. }]), "{empty:?}");
    let mut chain = chain();
    chain[1].0.solids[0].pose = Pose::from_translation(Vector::new(f64::INFINITY, 0.0, 0.0));
    let shown = chain.iter().map(|(body, colour)| Shown::new(body, *colour, *colour)).collect();
    let lost = refused(&Scene { shown, ..Scene::default() }, 3.0);
    assert!(matches!(&lost[..], [ViewFault::Width { .. }, ViewFault::NotFinite(name)] if name == "link 1"), "{lost:?}");
    // A mast a kilometre high.
    let mast = Body {
        name: "mast".into(),
        kind: PieceKind::Biscuit,
        solids: vec![Solid { region: area(Rect::new(0.0, 0.0, 1.0, 1.0)), heights: (0.0, 1e6), pose: Pose::IDENTITY }],
    };
    let grey = Rgb(90, 90, 90);
    let scene = Scene { shown: vec![Shown::new(&mast, grey, grey)], ..Scene::default() };
    let Err(ViewError::Faults { faults }) =
        view::document(&scene, &Prints::default(), Mm::new(400.0), Arrangement::Exploded)
    else {
        panic!("refused")
    };
    assert!(matches!(faults[..], [ViewFault::TooHigh { .. }]), "{faults:?}");
}
