//! A build put together as solids: where the rules hold nothing shares space, where one is broken
//! something does.

use flatwright_folding::collide::clashes;
use flatwright_folding::place::{self, Body, Lattice};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::tolerance;
use flatwright_geometry::units::Mm;

const fn at(x: f64, y: f64) -> Lattice {
    Lattice { x, y }
}

/// Two by two modules of floor: four tiles, a post with four arms and feet in the middle, four
/// walls to four posts at the edge, biscuits, pockets, and a post on a plate off the floor.
fn build(p: &Parameters, arms_in_the_middle: Arms, reliefs_of_neighbours: bool) -> Vec<Body> {
    let mut bodies = Vec::new();
    let tile = Tile::plain(1, 1, Reliefs::Corners);
    if reliefs_of_neighbours {
        for (x, y) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
            bodies.push(place::tile(p, format!("tile {x} {y}"), tile, at(x, y)).expect("it can be built"));
        }
    } else {
        // One large tile, relieved at its corners only: no hole for the post in the middle.
        let large = Tile::plain(2, 2, Reliefs::Corners);
        bodies.push(place::tile(p, "large tile".into(), large, at(0.0, 0.0)).expect("it can be built"));
    }
    let feet = if reliefs_of_neighbours { Feet::ALL } else { Feet::NONE };
    let middle = Post { arms: arms_in_the_middle, stand: Stand::Feet(feet), under: false };
    bodies.push(place::post(p, "middle post".into(), middle, at(1.0, 1.0)).expect("it can be built"));
    // North, west, south, east of the middle: the arm that looks back, the feet where tiles are.
    for (i, (x, y)) in [(1.0, 2.0), (0.0, 1.0), (1.0, 0.0), (2.0, 1.0)].into_iter().enumerate() {
        let arm = Arms::from_bits(1 << ((i + 2) % 4));
        // Feet of the northern post: south-west and south-east; the others are its turns.
        let feet = Feet::from_bits(0b1100).turned(u32::try_from(i).expect("it can be built"));
        let feet = if reliefs_of_neighbours { feet } else { Feet::NONE };
        let end = Post { arms: arm, stand: Stand::Feet(feet), under: false };
        if reliefs_of_neighbours {
            bodies.push(place::post(p, format!("post {i}"), end, at(x, y)).expect("it can be built"));
        }
        let (x, y, north) = [(1.0, 1.0, true), (0.0, 1.0, false), (1.0, 0.0, true), (1.0, 1.0, false)][i];
        let wall = Wall { span: 1.0, opening: None };
        bodies.push(place::wall(p, format!("wall {i}"), &wall, at(x, y), north).expect("it can be built"));
    }
    if reliefs_of_neighbours {
        for (x, y, north) in [(1.0, 0.0, true), (1.0, 1.0, true), (0.0, 1.0, false), (1.0, 1.0, false)] {
            bodies.push(place::biscuit(p, format!("biscuit {x} {y}"), at(x, y), north).expect("it can be built"));
        }
        for quadrant in 0..4 {
            bodies
                .push(place::pocket(p, format!("pocket {quadrant}"), at(1.0, 1.0), quadrant).expect("it can be built"));
        }
        let off = at(4.0, 4.0);
        let post = Post { arms: Arms::NONE, stand: Stand::BasePlate, under: false };
        bodies.push(place::post(p, "post on a plate".into(), post, off).expect("it can be built"));
        bodies.extend(place::plate_and_plug(p, "post on a plate", off).expect("it can be built"));
    }
    bodies
}

fn sharing(bodies: &[Body]) -> Vec<String> {
    let solids: Vec<Vec<Solid>> = bodies.iter().map(|body| body.solids.clone()).collect();
    clashes(&solids, tolerance::FIT)
        .iter()
        .map(|c| format!("{} and {}: {:.4}", bodies[c.one].name, bodies[c.other].name, c.depth))
        .collect()
}

fn every_set() -> Vec<Parameters> {
    let mut sets = Vec::new();
    for board in [3.0, 4.7625, 5.0, 10.0] {
        for walls in [WallBuild::Card, WallBuild::Board] {
            sets.push(Parameters { board: Mm::new(board), walls, ..Parameters::default() });
        }
    }
    sets.push(Parameters { card: Mm::new(1.0), ..Parameters::default() });
    sets
}

#[test]
fn nothing_shares_space_where_the_rules_hold() {
    for p in every_set() {
        let found = sharing(&build(&p, Arms::ALL, true));
        assert!(found.is_empty(), "T {} {:?}: {found:#?}", p.board, p.walls);
    }
}

#[test]
fn a_wall_that_meets_a_face_without_a_slot_is_found() {
    for p in every_set() {
        let found = sharing(&build(&p, Arms::from_bits(0b0111), true));
        assert!(
            found.iter().any(|f| f.starts_with("middle post and wall 3")),
            "T {} {:?}: {found:#?}",
            p.board,
            p.walls
        );
        assert_eq!(found.len(), 1, "{found:#?}");
    }
}

#[test]
fn a_post_where_a_tile_has_no_relief_is_found() {
    let p = Parameters::default();
    let found = sharing(&build(&p, Arms::ALL, false));
    assert!(found.iter().any(|f| f.starts_with("large tile and middle post")), "{found:#?}");
}

/// Volume of a prism: base times height (Euclid, Elements, XII).
#[test]
fn volumes_are_areas_times_heights() {
    let p = Parameters::default();
    let biscuit = place::biscuit(&p, "biscuit".into(), at(0.0, 0.0), true).unwrap();
    let volume: f64 = biscuit.solids.iter().map(Solid::volume).sum();
    approx::assert_relative_eq!(volume, 29.7 * 19.7 * 5.0, max_relative = 1e-9);
}

/// Two blocks that share planes: the usual case in a build, and one where a search over an expanding
/// polytope comes back with no depth at all.
#[test]
fn blocks_that_share_planes_share_space() {
    let block = |x: f64, y: f64, size: f64| {
        let contour = Contour::rectangle(kurbo::Rect::new(x, y, x + size, y + size)).expect("a square");
        let region = contour.into();
        vec![Solid { region, heights: (0.0, 5.0), pose: parry3d_f64::math::Pose::IDENTITY }]
    };
    // By hand: they overlap by 12 mm along x and along y, and by their whole 5 mm upward.
    let found = clashes(&[block(0.0, 0.0, 39.0), block(27.0, 27.0, 20.0)], tolerance::FIT);
    assert_eq!(found.len(), 1);
    approx::assert_abs_diff_eq!(found[0].depth, 5.0, epsilon = 1e-9);
    // By 0.01 mm along x; and not at all.
    let found = clashes(&[block(0.0, 0.0, 39.0), block(38.99, 0.0, 20.0)], tolerance::FIT);
    approx::assert_abs_diff_eq!(found[0].depth, 0.01, epsilon = 1e-9);
    assert!(clashes(&[block(0.0, 0.0, 39.0), block(39.0, 0.0, 20.0)], tolerance::FIT).is_empty());
}

/// Four fillers in one post, and one more on each side of a seam towards another: they share no space
/// with post, tiles or each other, and each ends the play before its span does.
#[test]
fn fillers_hang_in_a_post_and_stand_on_the_floor() {
    for p in every_set() {
        let mut bodies = build(&p, Arms::ALL, true);
        bodies.retain(|body| !body.name.starts_with("wall"));
        let bare = bodies.len();
        for turns in 0..4 {
            let filler = Filler { thirds: 1 + turns % 2 };
            let Ok(placed) = place::filler(&p, &format!("filler {turns}"), filler, at(1.0, 1.0), turns) else {
                assert!(filler.length(&p).is_err());
                continue;
            };
            let far = placed[0].solids.iter().flat_map(Solid::corners);
            let reach = far.map(|corner| {
                let m = p.module.get();
                [corner.x - m, corner.y - m, m - corner.x, m - corner.y][turns as usize]
            });
            let end = p.module.get() * filler.span() - p.play.get() / 2.0;
            assert!((reach.fold(f64::MIN, f64::max) - end).abs() < 1e-6, "turned {turns}, board {}", p.board);
            bodies.extend(placed);
        }
        assert_eq!(bodies.len(), bare + 8);
        // What faces it from the next post to the east leaves the play between the two.
        bodies.extend(place::filler(&p, "facing", Filler { thirds: 2 }, at(2.0, 1.0), 2).expect("it can be built"));
        assert_eq!(sharing(&bodies), Vec::<String>::new(), "board {}, {:?}", p.board, p.walls);
        // Without a slot for it, it runs into the post.
        let mut closed = build(&p, Arms::NONE, true);
        closed.retain(|body| !body.name.starts_with("wall"));
        closed.extend(place::filler(&p, "filler", Filler { thirds: 2 }, at(1.0, 1.0), 0).expect("it can be built"));
        assert!(!sharing(&closed).is_empty());
    }
}
