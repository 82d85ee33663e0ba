//! What is printed on pieces, found in pictures of builds where the lattice has it.

#[path = "../../folding/tests/common/room.rs"]
#[expect(dead_code, reason = "shared with other tests, which use other parts of it")]
mod room;

use flatwright_artwork::{Element, Swatch};
use flatwright_folding::scene::{Print, Scene, Skin};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::tile;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use flatwright_sheets::art::{Artwork, Face};
use flatwright_sheets::page::{Colour, Document, Image, Pixels};
use flatwright_sheets::view::{self, AZIMUTH, Arrangement, ELEVATION, Prints};
use flatwright_sheets::{faults, pdf, png, svg};
use kurbo::{Rect, Shape as _};
use parry3d_f64::math::Vector;

/// One quarter of the module square.
const MARKED: Colour = Colour(20, 20, 220);
const GROUND: Colour = Colour(220, 200, 20);

/// Every module square alike: marked where both coordinates are below half a module.
fn artwork(module: f64) -> Artwork {
    let quarter = Rect::new(0.0, 0.0, module / 2.0, module / 2.0).to_path(0.1);
    let layer = vec![Element::fill(quarter, MARKED)];
    let swatch = Swatch { side: module, ground: Some(GROUND), variants: vec![vec![layer.clone()], vec![layer]] };
    Artwork { swatches: vec![swatch], images: Vec::new() }
}

/// Two tiles by one, a wall to the east along the south and one to the north in the west.
fn corner(p: &Parameters) -> room::Room {
    let side = |north, opening| room::Side { at: (0, 0), north, opening };
    let low = Opening::Low { height: Mm::new(20.0) };
    room::room(p, (2, 1), &[side(false, Some(low)), side(true, None)], &[]).expect("it can be built")
}

/// The corner's scene, with the prints of its tiles and walls.
fn dressed<'a>(p: &Parameters, room: &'a room::Room) -> Scene<'a> {
    let mut scene = room::scene(p, room).expect("it has covers");
    let shown = |wall: Wall| wall.patterns(p).expect("a wall").pop().expect("what shows");
    let low = Opening::Low { height: Mm::new(20.0) };
    let patterns: [Pattern; 3] = [
        tile::wrap(p, room::TILE).expect("a wrap"),
        shown(Wall { span: 1.0, opening: Some(low) }),
        shown(Wall { span: 1.0, opening: None }),
    ];
    scene.prints =
        patterns.into_iter().zip(["TW1", "WA1", "WA2"]).map(|(pattern, id)| Print { id: id.into(), pattern }).collect();
    for shown in &mut scene.shown {
        shown.skins = match shown.body.kind {
            PieceKind::TileCore => vec![Skin::on_tile(0, room::TILE)],
            PieceKind::CardWall | PieceKind::WallCore if shown.body.name.contains("east") => vec![Skin::as_drawn(1)],
            PieceKind::CardWall | PieceKind::WallCore => vec![Skin::as_drawn(2)],
            _ => Vec::new(),
        };
    }
    scene
}

fn everywhere(face: &Face, module: f64) -> Prints {
    Prints { artwork: artwork(module), faces: vec![face.clone(); 3] }
}

fn drawn(walls: WallBuild, arrangement: Arrangement) -> Document {
    let p = Parameters { walls, ..Parameters::default() };
    let room = corner(&p);
    let face = Face { surface: Some(0), ..Face::default() };
    let prints = everywhere(&face, p.module.get());
    view::document(&dressed(&p, &room), &prints, Mm::new(180.0), arrangement).expect("it can be drawn")
}

/// The dots of a picture, and its size.
fn dots(file: Vec<u8>) -> (Vec<u8>, u32, u32) {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(file)).read_info().expect("it can be read");
    let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut dots).expect("it can be read");
    (dots, info.width, info.height)
}

/// Points on the floor and on the fronts of walls, put on the picture by the documented angles, are
/// the colour that a lattice drawn for ever has there.
#[test]
fn artwork_lies_where_the_lattice_has_it() {
    for walls in [WallBuild::Card, WallBuild::Board] {
        let p = Parameters { walls, ..Parameters::default() };
        let document = drawn(walls, Arrangement::Assembled);
        assert!(faults::of_document(&document).is_empty());
        let per_inch = 200.0;
        let (dots, width, height) = dots(png::write(&document, 0, per_inch).expect("a picture"));

        let (turn, lift) = (AZIMUTH.to_radians(), ELEVATION.to_radians());
        let toward = Vector::new(turn.sin() * lift.cos(), -turn.cos() * lift.cos(), lift.sin());
        let right = Vector::new(turn.cos(), turn.sin(), 0.0);
        let up = toward.cross(right);
        let (m, t) = (p.module.get(), p.board.get());
        let seen = |v: Vector| (v.dot(right), v.dot(up));
        let colour = |at: (f64, f64)| {
            let (x, y) = (at.0 / 25.4 * per_inch, f64::from(height) - at.1 / 25.4 * per_inch);
            let first = (y as usize * width as usize + x as usize) * 3;
            [dots[first], dots[first + 1], dots[first + 2]]
        };
        let place = placed(&document, &p, seen);
        let mut compared = [0, 0];
        let mut check = |v: Vector, along: f64, upward: f64, what: &str| {
            let near = |length: f64| (length / (m / 2.0) - (length / (m / 2.0)).round()).abs() * m / 2.0 < 2.0;
            if near(along) || near(upward) {
                return;
            }
            let marked = along.rem_euclid(m) < m / 2.0 && upward.rem_euclid(m) < m / 2.0;
            let (x, y) = seen(v);
            let [r, _, b] = colour((place.0 * x + place.1, place.0 * y + place.2));
            assert_eq!(marked, b > r, "{what} with {walls:?} at {v:?}: red {r}, blue {b}");
            compared[usize::from(marked)] += 1;
        };
        let steps = |from: f64, to: f64| (0..14).map(move |i| from + (to - from) * (f64::from(i) + 0.5) / 14.0);
        for x in steps(1.15 * m, 1.9 * m) {
            // Not behind the low wall.
            for y in steps(0.1 * m, 0.9 * m) {
                check(Vector::new(x, y, t), x, y, "floor");
            }
        }
        // The front of the wall in the west looks east, over the low wall.
        let out = p.wall_thickness().get() / 2.0;
        for y in steps(0.45 * m, 0.85 * m) {
            for z in steps(25.0, 48.0) {
                check(Vector::new(out, y, t + z), y, z, "wall in the west");
            }
        }
        for x in steps(0.25 * m, 0.75 * m) {
            for z in steps(2.0, 18.0) {
                check(Vector::new(x, -out, t + z), x, z, "low wall");
            }
        }
        assert!(compared.iter().all(|count| *count > 100), "{compared:?}");
    }
}

/// Scale and shift of the picture: the page has the ends of all that is drawn 6 mm from both its
/// sides, and above its lower edge the caption's 6 mm more.
fn placed(document: &Document, p: &Parameters, seen: impl Fn(Vector) -> (f64, f64)) -> (f64, f64, f64) {
    let room = corner(p);
    let corners: Vec<(f64, f64)> = room
        .bodies
        .iter()
        .flat_map(|body| &body.solids)
        .flat_map(|solid| solid.corners().map(&seen).collect::<Vec<_>>())
        .collect();
    let low = |pick: fn(&(f64, f64)) -> f64| corners.iter().map(pick).fold(f64::MAX, f64::min);
    let (left, lowest) = (low(|c| c.0), low(|c| c.1));
    // Shadows reach to the right of everything: the scale is that of the lowest and the highest.
    let highest = corners.iter().map(|c| c.1).fold(f64::MIN, f64::max);
    let scale = (document.pages[0].size.1.get() - 12.0 - 15.0) / (highest - lowest);
    (scale, 6.0 - left * scale, 12.0 - lowest * scale)
}

#[test]
fn pictures_are_sound_in_every_format_and_the_same_every_time() {
    for arrangement in [Arrangement::Assembled, Arrangement::Exploded] {
        let document = drawn(WallBuild::Card, arrangement);
        assert_eq!(document, drawn(WallBuild::Card, arrangement));
        assert!(faults::of_document(&document).is_empty());
        assert!(svg::write(&document, 0).is_ok_and(|text| text.contains("<use")));
        assert!(pdf::write(&document).is_ok());
        let used: std::collections::BTreeSet<usize> =
            document.pages[0].marks.iter().flat_map(|mark| mark.shape.places()).collect();
        assert_eq!(used.len(), document.forms.len(), "forms that nothing uses are left out");
    }
}

/// A picture on the faces is carried along with fewer pixels, as dark as the light has it.
#[test]
fn pictures_on_faces_are_reduced() {
    let p = Parameters::default();
    let room = corner(&p);
    let m = p.module.get();
    let rows: Vec<u8> = vec![200; 1600 * 1200 * 3];
    let image = Image { id: "salt".into(), size: (1600, 1200), pixels: Pixels::Rgb(rows.into()) };
    let picture = flatwright_sheets::art::Picture {
        image: 0,
        turn: kurbo::Affine::IDENTITY,
        ink: 0.5,
        place: Rect::new(0.0, 0.0, m, m),
        repeated: true,
        extremes: [Colour(200, 200, 200); 2],
    };
    let face = Face { picture: Some(picture), ..Face::default() };
    let prints = Prints { artwork: Artwork { swatches: Vec::new(), images: vec![image] }, faces: vec![face; 3] };
    let scene = dressed(&p, &room);
    let document = view::document(&scene, &prints, Mm::new(120.0), Arrangement::Assembled).expect("it can be drawn");
    assert!(faults::of_document(&document).is_empty());
    assert!((2..=6).contains(&document.images.len()), "{}", document.images.len());
    assert!(document.images.iter().all(|image| image.size == (512, 384)));
}
