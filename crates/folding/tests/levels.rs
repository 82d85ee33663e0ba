//! Two levels on each other: couplers fold, fit in their posts and over tabs, and the upper level lifts off.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

mod rules_floor;

use approx::assert_abs_diff_eq;
use flatwright_folding::build::{Build, Placed, assemble, on_each_other};
use flatwright_folding::place::{self, Body, Lattice, prove_piece};
use flatwright_folding::rules::{Case, Finding, check, levels_stand, shared};
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::coupler::{self, Coupler};
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use parry3d_f64::math::{Pose, Vector};
use proptest::prelude::*;
use rules_floor::floor;

fn cases() -> Vec<Parameters> {
    let mm = Mm::new;
    let boards = [3.0, 5.0, 10.0];
    let both = [WallBuild::Card, WallBuild::Board];
    let usual = boards
        .into_iter()
        .flat_map(|board| both.map(|walls| Parameters { board: mm(board), walls, ..Parameters::default() }));
    let cards = [0.15, 0.5].map(|card| Parameters { card: mm(card), ..Parameters::default() });
    usual.chain(cards).collect()
}

/// Two by two tiles with walls all round, and from the post in the middle those of its arms.
fn level(middle: Arms, under: bool) -> Build {
    let mut build = floor(2, 2, true);
    // Faces of the middle post, where their walls begin and run, and the post at the other end.
    let walls = [
        ((1.0, 1.0), true, (1.0, 2.0)),
        ((0.0, 1.0), false, (0.0, 1.0)),
        ((1.0, 0.0), true, (1.0, 0.0)),
        ((1.0, 1.0), false, (2.0, 1.0)),
    ];
    for (face, (from, north, end)) in walls.into_iter().enumerate() {
        if middle.has(face) {
            continue;
        }
        build.walls.retain(|wall| (wall.at.x, wall.at.y, wall.piece.north) != (from.0, from.1, north));
        for post in &mut build.posts {
            let lost = match (post.at.x, post.at.y) {
                (1.0, 1.0) => face,
                at if at == end => (face + 2) % 4,
                _ => continue,
            };
            post.piece.arms = Arms::from_bits(post.piece.arms.bits() & !(1 << lost));
        }
    }
    build.posts.iter_mut().for_each(|post| post.piece.under = under);
    build
}

/// The upper level, with a coupler for every post of the lower one.
fn upon(mut upper: Build, lower: &Build) -> Build {
    let coupler = |post: &Placed<Post>| {
        Placed::new(format!("coupler on {}", post.name), Coupler { arms: post.piece.arms }, post.at)
    };
    upper.couplers = lower.posts.iter().map(coupler).collect();
    upper
}

fn moved(body: &Body, by: [f64; 3]) -> Body {
    let step = Pose::from_translation(Vector::new(by[0], by[1], by[2]));
    Body { solids: body.solids.iter().map(|solid| solid.moved(step)).collect(), ..body.clone() }
}

fn two(p: &Parameters, lower: &Build, upper: &Build) -> [Vec<Body>; 2] {
    let bodies = [lower, upper].map(|build| assemble(p, build).unwrap());
    let [low, high] = &bodies;
    let mut levels = on_each_other(p, &[low, high], 0.0).into_iter();
    [levels.next().unwrap(), levels.next().unwrap()]
}

fn all_hold(found: &[Finding]) -> bool {
    found.iter().all(Finding::holds)
}

fn z_of(bodies: &[Body], kind: PieceKind) -> (f64, f64) {
    let heights = bodies.iter().filter(|body| body.kind == kind).flat_map(|body| &body.solids).flat_map(Solid::corners);
    heights.map(|corner| corner.z).fold((f64::MAX, f64::MIN), |(low, high), z| (low.min(z), high.max(z)))
}

/// Every set of arms below under three above, in every board and wall: every rule holds on either level,
/// and no two pieces of the whole share space.
#[test]
fn two_levels_share_no_space_whatever_the_arms() {
    for p in cases() {
        for bits in 0..16u8 {
            let lower = level(Arms::from_bits(bits), true);
            for above in [bits, !bits & 15, 15] {
                let upper = upon(level(Arms::from_bits(above), false), &lower);
                for build in [&lower, &upper] {
                    let found = check(&Case { build: Some(build), ..Case::new(&p) }).findings;
                    assert!(all_hold(&found), "{bits} {above} {p:?}: {found:#?}");
                }
                let whole = two(&p, &lower, &upper).concat();
                let found = [shared(&whole), levels_stand(&[&lower, &upper])].concat();
                assert!(all_hold(&found), "{bits} {above} {p:?}: {found:#?}");
            }
        }
    }
}

/// Heights as the rules have them: the upper tiles lie two calipers above the walls, their pockets on them,
/// and tongues lie on posts.
#[test]
fn a_level_rests_on_the_one_below() {
    for p in cases() {
        let lower = level(Arms::ALL, true);
        let upper = upon(level(Arms::ALL, false), &lower);
        let [low, high] = two(&p, &lower, &upper);
        let (t, h, c) = (p.board.get(), p.wall_height.get(), p.card.get());
        let wall = if p.walls == WallBuild::Card { PieceKind::CardWall } else { PieceKind::WallCore };
        let same = |found: f64, expected: f64| assert_abs_diff_eq!(found, expected, epsilon = 1e-6);
        // What is bent over a card wall's top is no panel.
        let bend = if p.walls == WallBuild::Card { c } else { 0.0 };
        same(z_of(&low, wall).1 + bend, t + h);
        same(z_of(&high, PieceKind::CornerPocket).0, t + h);
        same(z_of(&low, PieceKind::Post).1, t + h + c);
        same(z_of(&high, PieceKind::Post).0, t + h + c);
        same(z_of(&high, PieceKind::TileCore).0, t + h + 2.0 * c);
        let (from, to) = z_of(&high, PieceKind::Coupler);
        same(from, t + h + c - coupler::reach_below(&p));
        same(to, t + h + 2.0 * c + coupler::reach_above(&p));
        // A little lower and it would lie in what carries it: what is bent round a post's foot or over a
        // card wall is a caliper thick, and no panel.
        let down =
            |by: f64| high.iter().map(|body| moved(body, [0.0, 0.0, -by])).chain(low.clone()).collect::<Vec<_>>();
        assert!(all_hold(&shared(&down(0.0))));
        let found = shared(&down(c + 0.02));
        let met = |name: &str| found.iter().any(|f| !f.holds() && f.what.contains(name));
        assert!(met("post"), "{found:#?}");
        // A wall lies under a tile's side where it is thicker than the play between two tiles.
        let bears = p.wall_thickness() - p.play > Mm::new(0.01);
        assert_eq!(met("pocket") && met("wall"), bears, "{found:#?}");
    }
}

/// Straight up, at every height, and pushed aside by half the play: it meets nothing.
#[test]
fn the_upper_level_lifts_off_whole() {
    for p in cases() {
        let lower = level(Arms::ALL, true);
        let upper = upon(level(Arms::from_bits(0b0110), false), &lower);
        let [low, high] = two(&p, &lower, &upper);
        let half = p.play.get() / 2.0;
        let deep = coupler::reach_below(&p) + p.card.get();
        for step in 0..=8 {
            let up = deep * f64::from(step) / 8.0;
            for (x, y) in [(0.0, 0.0), (half, half), (-half, half), (half, -half), (-half, -half)] {
                let there = high.iter().map(|body| moved(body, [x, y, up]));
                let found = shared(&there.chain(low.clone()).collect::<Vec<_>>());
                assert!(all_hold(&found), "{up} {x} {y} {p:?}: {found:#?}");
            }
        }
        // Off the couplers it is free to go anywhere, but not before.
        let aside = |up: f64| {
            let there = high.iter().map(|body| moved(body, [3.0, 0.0, up]));
            all_hold(&shared(&there.chain(low.clone()).collect::<Vec<_>>()))
        };
        assert!(aside(deep + 0.01) && !aside(deep / 2.0), "{p:?}");
    }
}

/// A coupler has f in the post at its double face, whichever that is, and more at the others. Only there
/// would the next tenth be too much. One without slots runs into the walls.
#[test]
fn couplers_have_their_play() {
    for p in cases() {
        let here = Lattice { x: 0.0, y: 0.0 };
        let half = p.play.get() / 2.0;
        for bits in 0..16 {
            let arms = Arms::from_bits(bits);
            let post = Post { arms, stand: Stand::Feet(Feet::ALL), under: true };
            let post = moved(&place::post(&p, "post".into(), post, here).unwrap(), [0.0, 0.0, -p.level_pitch().get()]);
            let joint = place::coupler(&p, "coupler".into(), Coupler { arms }, here).unwrap();
            let holds = |x: f64, y: f64| all_hold(&shared(&[post.clone(), moved(&joint, [x, y, 0.0])]));
            for (x, y) in [(0.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
                assert!(holds(x * half, y * half), "{arms} {p:?}");
            }
            let tight = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
            let tight = tight.into_iter().filter(|(x, y)| !holds(x * (half + 0.05), y * (half + 0.05))).count();
            assert_eq!(tight, 1, "one face is double: {arms} {p:?}");
        }
        let lower = level(Arms::ALL, true);
        let mut upper = upon(level(Arms::ALL, false), &lower);
        upper.couplers.iter_mut().for_each(|placed| placed.piece = Coupler::default());
        let found = shared(&two(&p, &lower, &upper).concat());
        assert!(
            found.iter().any(|f| !f.holds() && f.what.contains("coupler") && f.what.contains("wall")),
            "{found:#?}"
        );
        let found = levels_stand(&[&lower, &upper]);
        assert!(!all_hold(&found) && found.len() == 9, "{found:#?}");
        // And where posts below are as high as any, nothing carries the level.
        let low = level(Arms::ALL, false);
        let found = levels_stand(&[&low, &upon(level(Arms::ALL, false), &low)]);
        assert!(found.iter().all(|f| !f.holds() && f.what.contains("carries a level")) && found.len() == 9);
    }
}

/// The rules on a set alone, and what mends them.
#[test]
fn rules_of_couplers_fail_where_they_must() {
    let pieces = [Piece::Coupler(Coupler { arms: Arms::ALL }), Piece::Wall(Wall { span: 1.0, opening: None })];
    let of = |p: &Parameters, rule: &str| {
        let found = check(&Case { pieces: &pieces, ..Case::new(p) }).findings;
        found.into_iter().filter(|f| f.rule == rule).collect::<Vec<_>>()
    };
    let rules = ["coupler in its posts", "coupler over tabs", "coupler under hooks", "level on level"];
    for p in cases() {
        for rule in rules {
            let found = of(&p, rule);
            assert!(!found.is_empty() && all_hold(&found), "{rule} {p:?}: {found:#?}");
        }
        assert_abs_diff_eq!(of(&p, rules[0])[0].margin, p.card.get(), epsilon = 1e-5);
    }
    // The widest kerf that its slot of 1.1 takes.
    let wide = Parameters { kerf: Mm::new(1.2), ..Parameters::default() };
    assert!(!all_hold(&of(&wide, rules[1])));
    let narrow = Parameters { post_side: Some(Mm::new(8.0)), ..Parameters::default() };
    let found = of(&narrow, rules[1]);
    let leg = found.iter().find(|f| !f.holds()).expect("legs of 2.8 mm");
    // (8 - 1 - 0.3 - 1.1) / 2; a post of 8.4 leaves 3.
    assert_abs_diff_eq!(leg.numbers.0, 2.8, epsilon = 1e-6);
    assert!(leg.to_string().contains("set post_side to 8.4 mm"), "{leg}");
    let low = Parameters { wall_height: Mm::new(20.0), hook_drop: Mm::new(9.0), ..Parameters::default() };
    // 5 + 20 - 10 - 9 - 0.3 = 5.7 above holds; with hooks a millimetre longer 4.7 does not.
    assert!(all_hold(&of(&low, rules[0])));
    let lower = Parameters { hook_drop: Mm::new(10.0), ..low };
    assert!(!all_hold(&of(&lower, rules[0])));
}

/// Their nets fold and close for any parameters that can be built.
fn buildable() -> impl Strategy<Value = Parameters> {
    let lengths = (60.0..120.0, 2.0..12.0, 0.1..0.6, 0.1..0.5, 40.0..90.0);
    (lengths, any::<bool>())
        .prop_map(|((module, board, card, play, height), board_walls)| Parameters {
            module: Mm::new(module),
            board: Mm::new(board),
            card: Mm::new(card),
            play: Mm::new(play),
            wall_height: Mm::new(height),
            walls: if board_walls { WallBuild::Board } else { WallBuild::Card },
            ..Parameters::default()
        })
        .prop_filter("can be built", |p| p.check().is_ok())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn couplers_fold_and_join_posts(p in buildable(), below in 0..16u8, above in 0..16u8, under in any::<bool>()) {
        let coupler = Coupler { arms: Arms::from_bits(below) };
        prove_piece(&p, &Piece::Coupler(coupler)).unwrap();
        let here = Lattice { x: 0.0, y: 0.0 };
        let stand = Stand::Feet(Feet::ALL);
        let lower = Post { arms: Arms::from_bits(below), stand, under: true };
        let upper = Post { arms: Arms::from_bits(above), stand, under };
        prove_piece(&p, &Piece::Sleeve(lower)).unwrap();
        let lower = place::post(&p, "lower".into(), lower, here).unwrap();
        let bodies = [
            moved(&lower, [0.0, 0.0, -p.level_pitch().get()]),
            place::post(&p, "upper".into(), upper, here).unwrap(),
            place::coupler(&p, "coupler".into(), coupler, here).unwrap(),
        ];
        let found = shared(&bodies);
        prop_assert!(all_hold(&found), "{found:#?}");
    }
}
