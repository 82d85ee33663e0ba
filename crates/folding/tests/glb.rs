//! Builds as binary glTF, read back by the `gltf` crate, which checks a file against the format's
//! schema when it opens it.

#[path = "common/room.rs"]
mod room;

use std::collections::{BTreeMap, BTreeSet};

use flatwright_folding::glb::{self, GlbError, GlbFault, Texture};
use flatwright_folding::place::{self, Body, Lattice};
use flatwright_folding::scene::{Paint, Print, Rgb, Scene, Shown, Skin};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use kurbo::{Point, Rect};
use parry3d_f64::math::{Pose, Vector};
use proptest::prelude::*;

/// The corners of one prism's triangles, in its own plane, m.
type Triangles = Vec<[[f64; 3]; 3]>;

/// The prisms below each named piece, as a reader finds them.
fn read(file: &[u8]) -> BTreeMap<String, Vec<Triangles>> {
    let found = gltf::Gltf::from_slice(file).expect("the reader takes it");
    let blob = found.blob.clone().expect("it carries its numbers");
    let root = found.default_scene().expect("a scene").nodes().next().expect("a root");
    let prism = |node: &gltf::Node<'_>| {
        let mut triangles = Vec::new();
        for primitive in node.mesh().expect("a mesh").primitives() {
            let reader = primitive.reader(|_| Some(&blob));
            let points: Vec<[f32; 3]> = reader.read_positions().expect("positions").collect();
            let normals: Vec<[f32; 3]> = reader.read_normals().expect("normals").collect();
            let indices: Vec<usize> = reader.read_indices().expect("indices").into_u32().map(|i| i as usize).collect();
            let bounds = primitive.bounding_box();
            for (axis, (low, high)) in bounds.min.into_iter().zip(bounds.max).enumerate() {
                assert!(points.iter().all(|p| (low..=high).contains(&p[axis])));
                assert!(points.iter().any(|p| p[axis] == low) && points.iter().any(|p| p[axis] == high));
            }
            for t in indices.chunks_exact(3) {
                let corners = [t[0], t[1], t[2]].map(|i| points[i].map(f64::from));
                let turn = normal(&corners);
                let given = Vector::from_array(normals[t[0]].map(f64::from));
                // Single precision may turn a triangle over that is thinner than the tolerance.
                let thin = height(&corners) < tolerance::FIT / 1000.0;
                assert!(thin || turn.dot(given) > 0.999, "a triangle faces {turn:?} where its corners say {given:?}");
                triangles.push(corners);
            }
        }
        triangles
    };
    let mut pieces = BTreeMap::new();
    for node in root.children() {
        let name = node.name().expect("a name").to_owned();
        let prisms: Vec<Triangles> =
            if node.mesh().is_some() { vec![prism(&node)] } else { node.children().map(|part| prism(&part)).collect() };
        assert!(pieces.insert(name, prisms).is_none());
    }
    pieces
}

fn normal(t: &[[f64; 3]; 3]) -> Vector {
    let [a, b, c] = t.map(Vector::from_array);
    (b - a).cross(c - a).normalize()
}

/// The least height of a triangle.
fn height(t: &[[f64; 3]; 3]) -> f64 {
    let [a, b, c] = t.map(Vector::from_array);
    (b - a).cross(c - a).length() / (b - a).length().max((c - b).length()).max((a - c).length())
}

/// Each side of a triangle is that of one other, the other way round.
fn assert_closed(triangles: &Triangles) {
    let mut sides = BTreeSet::new();
    for t in triangles {
        let key = t.map(|p| p.map(f64::to_bits));
        for (a, b) in [(key[0], key[1]), (key[1], key[2]), (key[2], key[0])] {
            assert!(sides.insert((a, b)), "two triangles on one side of an edge");
        }
    }
    assert!(sides.iter().all(|&(a, b)| sides.contains(&(b, a))), "an edge with one triangle");
}

/// Volume inside closed triangles by the divergence theorem, mm³.
fn volume(triangles: &Triangles) -> f64 {
    let part = |t: &[[f64; 3]; 3]| {
        let [a, b, c] = t.map(Vector::from_array);
        a.dot(b.cross(c)) / 6.0
    };
    triangles.iter().map(part).sum::<f64>() * 1e9
}

/// The pieces of a file are closed prisms, with volumes as near as `off` allows, mm³.
fn assert_same(scene: &Scene<'_>, file: &[u8], off: fn(&Solid) -> f64) {
    let pieces = read(file);
    assert_eq!(pieces.len(), scene.shown.len());
    for shown in &scene.shown {
        let (body, solids) = (shown.body, shown.solids());
        let prisms = &pieces[&body.name];
        assert_eq!(prisms.len(), solids.len(), "{}", body.name);
        for (prism, solid) in prisms.iter().zip(&solids) {
            assert_closed(prism);
            let (found, wanted) = (volume(prism), solid.volume());
            assert!((found - wanted).abs() <= off(solid), "{}: {found} for {wanted} mm3", body.name);
        }
    }
}

#[test]
fn every_piece_is_closed_and_has_its_volume() {
    for walls in [WallBuild::Card, WallBuild::Board] {
        let p = Parameters { walls, ..Parameters::default() };
        let room = room::hall(&p).unwrap();
        let scene = room::scene(&p, &room).unwrap();
        let file = glb::write(&scene, &[]).unwrap();
        assert_same(&scene, &file, |solid| 1e-6 * solid.volume());
        assert_eq!(file, glb::write(&scene, &[]).unwrap());
    }
}

/// Pieces stand where they should: the reader's own matrices, metres, y up.
#[test]
fn corners_are_where_the_solids_have_them() {
    let p = Parameters::default();
    let room = room::hall(&p).unwrap();
    let file = glb::write(&room::scene(&p, &room).unwrap(), &[]).unwrap();
    let found = gltf::Gltf::from_slice(&file).unwrap();
    let blob = found.blob.clone().unwrap();
    let root = found.default_scene().unwrap().nodes().next().unwrap();
    for (node, body) in root.children().zip(&room.bodies) {
        let nodes: Vec<gltf::Node<'_>> = if node.mesh().is_some() { vec![node] } else { node.children().collect() };
        for (node, solid) in nodes.iter().zip(&body.solids) {
            let matrix = product(root.transform().matrix(), node.transform().matrix());
            let primitive = node.mesh().unwrap().primitives().next().unwrap();
            let corners: Vec<[f32; 3]> = primitive.reader(|_| Some(&blob)).read_positions().unwrap().collect();
            for (there, wanted) in corners.iter().zip(solid.corners()) {
                let at = |row: usize| {
                    (0..3).map(|k| matrix[k][row] * f64::from(there[k])).sum::<f64>() * 1000.0 + matrix[3][row] * 1000.0
                };
                // North is away from a viewer who looks along -z.
                let off = Vector::new(at(0), -at(2), at(1)).distance(wanted);
                // The reader holds matrices in single precision.
                assert!(off < 1e-4, "{}: {off} mm off", body.name);
            }
        }
    }
}

/// Column by column, as glTF has matrices.
fn product(a: [[f32; 4]; 4], b: [[f32; 4]; 4]) -> [[f64; 4]; 4] {
    let mut c = [[0.0; 4]; 4];
    for (column, b) in c.iter_mut().zip(b) {
        for (row, value) in column.iter_mut().enumerate() {
            *value = (0..4).map(|k| f64::from(a[k][row]) * f64::from(b[k])).sum();
        }
    }
    c
}

#[test]
fn equal_prisms_share_a_mesh_and_equal_colours_a_material() {
    let p = Parameters::default();
    let room = room::maze(&p, (6, 6)).unwrap();
    let file = glb::write(&room::scene(&p, &room).unwrap(), &[]).unwrap();
    let found = gltf::Gltf::from_slice(&file).unwrap();
    let solids: usize = room.bodies.iter().map(|body| body.solids.len()).sum();
    assert!(found.meshes().len() * 10 < solids, "{} meshes for {solids} solids", found.meshes().len());
    assert_eq!(found.materials().len(), 6);
}

fn body(name: &str, region: Region, heights: (f64, f64)) -> Body {
    Body { name: name.into(), kind: PieceKind::Biscuit, solids: vec![Solid { region, heights, pose: Pose::IDENTITY }] }
}

fn square(side: f64) -> Region {
    Contour::rectangle(Rect::new(0.0, 0.0, side, side)).expect("an area").into()
}

#[test]
fn everything_wrong_is_told_at_once() {
    let grey = Rgb(90, 90, 90);
    assert_eq!(glb::write(&Scene::default(), &[]), Err(GlbError::Faults(vec![GlbFault::Empty])));
    let mut lost = body("lost", square(1.0), (0.0, 1.0));
    lost.solids[0].pose = Pose::from_translation(Vector::new(f64::NAN, 0.0, 0.0));
    let mut nothing = body("nothing", square(1.0), (0.0, 1.0));
    nothing.solids.clear();
    let bodies = [body("a", square(1.0), (0.0, 1.0)), body("a", square(1.0), (2.0, 2.0)), lost, nothing];
    let shown = bodies.iter().map(|body| Shown::new(body, grey, grey)).collect();
    let Err(GlbError::Faults(found)) = glb::write(&Scene { shown, ..Scene::default() }, &[]) else { panic!("refused") };
    let wanted = [
        GlbFault::NameTwice("a".into()),
        GlbFault::Flat { name: "a".into(), from: 2.0, to: 2.0 },
        GlbFault::NotFinite("lost".into()),
        GlbFault::NoSolids("nothing".into()),
    ];
    assert_eq!(found, wanted);
}

/// A tile in its wrap and a wall in its facing: every printed corner lies on the texture where the
/// flat pattern has it, the back of the wall mirrored; what is not printed has a colour.
#[test]
fn prints_lie_on_solids_where_their_patterns_have_them() {
    let p = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    let tile = Tile::plain(1, 2, Reliefs::Corners);
    let wall = Wall { span: 1.0, opening: None };
    let here = Lattice { x: 0.0, y: 0.0 };
    let bodies = [
        place::tile(&p, "tile".into(), tile, here).unwrap(),
        place::wall(&p, "wall".into(), &wall, here, false).unwrap(),
    ];
    let wrap = tile::wrap(&p, tile.up_to_rotation()).unwrap();
    let facing = wall.patterns(&p).unwrap().swap_remove(1);
    let print = |id: &str, pattern| Print { id: id.into(), pattern };
    let grey = Rgb(90, 90, 90);
    let skins = [Skin::on_tile(0, tile), Skin::as_drawn(1)];
    let shown =
        bodies.iter().zip(skins).map(|(body, skin)| Shown { skins: vec![skin], ..Shown::new(body, grey, grey) });
    let shown = shown.collect();
    let scene = Scene { title: "both".into(), shown, prints: vec![print("TW1", wrap), print("WF1", facing)] };
    let bounds = [0, 1].map(|i: usize| scene.prints[i].pattern.material.bounds());
    let texture = |bounds| Some(Texture { png: b"\x89PNG\r\n\x1a\nand more".to_vec(), bounds });
    let file = glb::write(&scene, &bounds.map(texture)).unwrap();

    let found = gltf::Gltf::from_slice(&file).expect("the reader takes it");
    let blob = found.blob.clone().unwrap();
    assert_eq!((found.images().len(), found.textures().len()), (2, 2));
    for image in found.images() {
        let gltf::image::Source::View { view, mime_type } = image.source() else { panic!("it is in the file") };
        assert_eq!(mime_type, "image/png");
        assert!(blob[view.offset()..][..view.length()].starts_with(b"\x89PNG"));
    }
    let mut faces = [0; 5];
    let height = p.wall_height.get();
    for mesh in found.meshes() {
        for primitive in mesh.primitives() {
            let reader = primitive.reader(|_| Some(&blob));
            let Some(texture) = primitive.material().pbr_metallic_roughness().base_color_texture() else { continue };
            let points: Vec<[f32; 3]> = reader.read_positions().unwrap().collect();
            let normals: Vec<[f32; 3]> = reader.read_normals().unwrap().collect();
            let places: Vec<[f32; 2]> = reader.read_tex_coords(0).expect("places").into_f32().collect();
            let print = texture.texture().source().index();
            let Rect { x0, y1, .. } = bounds[print];
            for index in reader.read_indices().unwrap().into_u32() {
                let index = index as usize;
                let [x, y, z] = points[index].map(|metres| f64::from(metres) * 1000.0);
                let [u, v] = places[index].map(f64::from);
                let flat = (x0 + u * bounds[print].width(), y1 - v * bounds[print].height());
                // In the plane of a tile that is turned, the pattern's x runs north.
                let (wanted, slack, face) = match (print, normals[index]) {
                    (0, [0.0, 0.0, 1.0]) => ((y, -x), 1e-3, 0),
                    // Sides fold down from the top: as far out as they are deep.
                    (0, [nx, ny, _]) => {
                        let out = p.board.get() - z;
                        ((y + f64::from(ny) * out, -x - f64::from(nx) * out), 1e-3, 1)
                    }
                    (_, [0.0, 0.0, 1.0]) => ((x, y), 1e-3, 2),
                    // Upside down behind the top, which is as deep as the board and two folds.
                    (_, [0.0, 0.0, -1.0]) => ((x, 2.0 * height + p.board.get() - y), 0.3, 3),
                    (_, _) => ((x, y - z), 0.3, 4),
                };
                let off = (flat.0 - wanted.0).hypot(flat.1 - wanted.1);
                assert!(off < slack, "print {print}, face {face}: {flat:?} for {wanted:?}");
                faces[face] += 1;
            }
        }
    }
    assert!(faces.iter().all(|count| *count > 0), "{faces:?}");
    // Nothing is printed under the tile, in its notches and on the wall's tabs and ends.
    let plain = found.meshes().flat_map(|mesh| mesh.primitives().collect::<Vec<_>>());
    let plain = plain.filter(|primitive| primitive.material().pbr_metallic_roughness().base_color_texture().is_none());
    assert_eq!(plain.count(), 2);
    assert_same(&scene, &file, |solid| 1e-6 * solid.volume());

    let Err(GlbError::Faults(found)) = glb::write(&scene, &[texture(Rect::ZERO), None]) else { panic!("refused") };
    assert_eq!(found, [GlbFault::Texture("TW1".into())]);
}

/// 5.2 of the specification and IEC 61966-2-1: the colour of a material is linear light.
#[test]
fn colours_are_linear() {
    let one = body("one", square(1.0), (0.0, 1.0));
    let shown = Shown { paint: Paint::plain(Rgb(255, 188, 0)), ..Shown::new(&one, Rgb(0, 0, 0), Rgb(0, 0, 0)) };
    let file = glb::write(&Scene { title: "one".into(), shown: vec![shown], prints: Vec::new() }, &[]).unwrap();
    let found = gltf::Gltf::from_slice(&file).unwrap();
    let [r, g, b, a] = found.materials().next().unwrap().pbr_metallic_roughness().base_color_factor();
    assert_eq!((r, b, a), (1.0, 0.0, 1.0));
    // sRGB 188 is half of full light, to a quarter of a percent.
    assert!((g - 0.5).abs() < 0.0035, "{g}");
}

fn holes() -> impl Strategy<Value = Vec<(u8, u8, u8, u8)>> {
    prop::collection::vec((0..12u8, 0..12u8, 1..4u8, 1..4u8), 0..24)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Holes on a coarse grid: many corners straight between others, where triangulations come apart.
    #[test]
    fn any_area_gives_closed_prisms(holes in holes(), turn in 0.0..1.0f64) {
        let holes: Vec<Region> = holes.iter().map(|&(x, y, w, h)| {
            let (x, y) = (f64::from(x), f64::from(y));
            Contour::rectangle(Rect::new(x, y, x + f64::from(w), y + f64::from(h))).unwrap().into()
        }).collect();
        let turn = kurbo::Affine::rotate(if turn < 0.5 { 0.0 } else { turn });
        let left = region::difference(&[square(12.0).moved(turn)], &holes.iter().map(|h| h.moved(turn)).collect::<Vec<_>>());
        // A hole that touches another or the edge in a point alone leaves no solid with one skin.
        prop_assume!(left.iter().all(|area| !pinched(area)));
        let bodies: Vec<Body> = left.into_iter().enumerate().map(|(i, area)| body(&format!("{i}"), area, (0.0, 2.0))).collect();
        prop_assume!(!bodies.is_empty());
        let grey = Rgb(90, 90, 90);
        let scene = Scene { shown: bodies.iter().map(|b| Shown::new(b, grey, grey)).collect(), ..Scene::default() };
        assert_same(&scene, &glb::write(&scene, &[]).unwrap(), rounding);
    }
}

/// Single precision moves each corner by up to 2^-24 of its coordinates (IEEE 754, binary32), and the
/// volume by no more than the surface times that. Half as much again for what is of second order.
fn rounding(solid: &Solid) -> f64 {
    let (low, high) = solid.heights;
    let around: f64 = solid.region.contours().map(Contour::perimeter).sum();
    let surface = 2.0 * solid.region.area() + around * (high - low);
    let reach = solid.corners().map(Vector::length).fold(0.0, f64::max);
    1.5 * surface * reach * 2_f64.powi(-24)
}

fn pinched(area: &Region) -> bool {
    let points: Vec<Point> = area.contours().flat_map(Contour::points).copied().collect();
    let sides: Vec<(Point, Point)> = area.contours().flat_map(Contour::sides).collect();
    points.iter().any(|p| {
        let near = |(a, b): &(Point, Point)| {
            kurbo::ParamCurveNearest::nearest(&kurbo::Line::new(*a, *b), *p, 1e-9).distance_sq
        };
        sides.iter().filter(|side| near(side) < tolerance::FIT * tolerance::FIT).count() > 2
    })
}
