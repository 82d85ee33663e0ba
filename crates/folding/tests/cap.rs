//! Caps: they fold, they fit over their posts, and they keep clear of walls and of each other.

mod common {
    #[expect(dead_code, reason = "the model's test shows the hall in its colours; here rooms are only built")]
    pub mod room;
}

use approx::assert_abs_diff_eq;
use common::room::{Room, Side, room};
use flatwright_folding::place::{self, Body, Lattice, prove_piece};
use flatwright_folding::rules::{Case, Finding, check, shared};
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::cap::{Cap, inside, skirt_height};
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use parry3d_f64::math::{Pose, Vector};
use proptest::prelude::*;

fn cases() -> Vec<Parameters> {
    let mm = Mm::new;
    let boards = [3.0, 4.7625, 5.0, 10.0];
    let both = [WallBuild::Card, WallBuild::Board];
    let usual = boards
        .into_iter()
        .flat_map(|board| both.map(|walls| Parameters { board: mm(board), walls, ..Parameters::default() }));
    let cards = [0.15, 0.5].map(|card| Parameters { card: mm(card), ..Parameters::default() });
    usual.chain(cards).collect()
}

/// Lowest and highest corner of a body, mm.
fn bounds(body: &Body) -> [(f64, f64); 3] {
    [0, 1, 2].map(|axis| {
        let values = body.solids.iter().flat_map(Solid::corners).map(|corner| [corner.x, corner.y, corner.z][axis]);
        values.fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)))
    })
}

fn moved(body: &Body, by: [f64; 3]) -> Body {
    let step = Pose::from_translation(Vector::new(by[0], by[1], by[2]));
    Body { solids: body.solids.iter().map(|solid| solid.moved(step)).collect(), ..body.clone() }
}

fn holds(bodies: &[Body]) -> bool {
    shared(bodies).iter().all(Finding::holds)
}

/// Outside it measures s + 4c + f, and from its lid's face to its skirts' edge a caliper and the
/// skirts' height: measured on the folded net, whatever the arms.
#[test]
fn a_folded_cap_has_its_outer_sizes() {
    for p in cases() {
        for bits in 0..16 {
            let cap = Cap { arms: Arms::from_bits(bits) };
            let body = place::cap(&p, "cap".into(), cap, Lattice { x: 0.0, y: 0.0 }).unwrap();
            let [x, y, z] = bounds(&body);
            let outside = inside(&p) + 2.0 * p.card.get();
            assert_abs_diff_eq!(x.1 - x.0, outside, epsilon = 1e-6);
            assert_abs_diff_eq!(y.1 - y.0, outside, epsilon = 1e-6);
            assert_abs_diff_eq!(z.1 - z.0, p.card.get() + skirt_height(&p), epsilon = 1e-6);
            assert_abs_diff_eq!(z.1, (p.board + p.wall_height + p.card).get(), epsilon = 1e-6);
        }
    }
}

/// Pushed from side to side by half the play it touches nothing of its post; by a tenth more it does.
#[test]
fn a_cap_has_its_play_on_its_post() {
    for p in cases() {
        for bits in 0..16 {
            let (arms, at) = (Arms::from_bits(bits), Lattice { x: 0.0, y: 0.0 });
            let post = Post { arms, stand: Stand::Feet(Feet::ALL), under: false };
            let post = place::post(&p, "post".into(), post, at).unwrap();
            let cap = place::cap(&p, "cap".into(), Cap { arms }, at).unwrap();
            let half = p.play.get() / 2.0;
            for (x, y) in [(0.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
                let at_rest = moved(&cap, [x * half, y * half, 0.0]);
                assert!(holds(&[post.clone(), at_rest]), "{arms} of {p:?}");
                if x != 0.0 {
                    let pushed = moved(&cap, [x * (half + 0.05), 0.0, 0.0]);
                    assert!(!holds(&[post.clone(), pushed]), "{arms} of {p:?}");
                }
            }
            // It lies on the post's top.
            assert!(!holds(&[post.clone(), moved(&cap, [0.0, 0.0, -0.05])]), "{arms} of {p:?}");
        }
    }
}

/// A hall of walls in every direction, a cap on each post: nothing shares space, with the walls
/// against one side of their slots and the caps against the other.
#[test]
fn no_cap_meets_a_wall() {
    let side = |x, y, north| Side { at: (x, y), north, opening: None };
    let sides =
        [side(0, 1, false), side(1, 1, false), side(1, 0, true), side(1, 1, true), side(0, 0, true), side(0, 0, false)];
    for p in cases() {
        let Room { bodies } = room(&p, (2, 2), &sides, &[(2, 2)]).unwrap();
        let arms = [
            ((0, 0), 0b1001),
            ((1, 0), 0b0011),
            ((0, 1), 0b1100),
            ((1, 1), 0b1111),
            ((2, 1), 0b0010),
            ((1, 2), 0b0100),
            ((2, 2), 0b0000),
        ];
        let caps = arms.map(|((x, y), bits)| {
            let at = Lattice { x: f64::from(x), y: f64::from(y) };
            place::cap(&p, format!("cap at ({x}, {y})"), Cap { arms: Arms::from_bits(bits) }, at).unwrap()
        });
        let posts = bodies.iter().filter(|body| body.kind == PieceKind::Post).count();
        assert_eq!(posts, caps.len(), "a cap for every post");
        let with_caps = |by: f64| {
            let step = |body: &Body| {
                let wall = matches!(body.kind, PieceKind::CardWall | PieceKind::WallCore);
                let [x, y, _] = bounds(body);
                // Across its own direction.
                let across = if x.1 - x.0 > y.1 - y.0 { [0.0, by, 0.0] } else { [by, 0.0, 0.0] };
                if wall { moved(body, across) } else { body.clone() }
            };
            let walls = bodies.iter().filter(|body| body.kind != PieceKind::Post).map(step);
            walls.chain(caps.iter().map(|cap| moved(cap, [-by, -by, 0.0]))).collect::<Vec<_>>()
        };
        let half = p.play.get() / 2.0;
        for by in [0.0, half, -half] {
            let found = shared(&with_caps(by));
            assert!(found.iter().all(Finding::holds), "{by}: {found:#?} of {p:?}");
        }
        // The check itself can fail: pushed by more than the notch has to spare, walls are met.
        assert!(!holds(&with_caps(p.tool_gap_card.get())), "{p:?}");
        // And so is the wall where a cap lies without a notch for it.
        let blind = place::cap(&p, "blind".into(), Cap::default(), Lattice { x: 2.0, y: 1.0 }).unwrap();
        let all: Vec<Body> = bodies.iter().cloned().chain([blind]).collect();
        assert!(!holds(&all), "{p:?}");
    }
}

/// Two capped posts at the ends of the shortest wall that a third of a module allows, or two
/// thirds where the posts are too wide for that.
#[test]
fn neighbours_have_room() {
    for p in cases() {
        let thirds = (1..4).find(|n| p.wall_body(f64::from(*n) / 3.0) >= Mm::new(3.0)).expect("a wall");
        let span = f64::from(thirds) / 3.0;
        let wall = Wall { span, opening: None };
        let at = |x: f64| Lattice { x, y: 0.0 };
        let cap =
            |name: &str, bits, x| place::cap(&p, name.into(), Cap { arms: Arms::from_bits(bits) }, at(x)).unwrap();
        let (west, east) = (cap("west", 0b1000, 0.0), cap("east", 0b0010, span));
        let between = place::wall(&p, "wall".into(), &wall, at(0.0), false).unwrap();
        let half = p.play.get() / 2.0;
        let near = [moved(&west, [half, 0.0, 0.0]), between, moved(&east, [-half, 0.0, 0.0])];
        assert!(holds(&near), "{p:?}");
        let pieces = [Piece::Wall(wall), Piece::Cap(Cap { arms: Arms::from_bits(0b1000) })];
        let found = check(&Case { pieces: &pieces, ..Case::new(&p) }).findings;
        let caps: Vec<_> = found.iter().filter(|finding| finding.rule.starts_with("cap")).collect();
        assert!(caps.len() >= 4 && caps.iter().all(|finding| finding.holds()), "{caps:#?}");
        // s + 4c + f, and the play once more, against the posts' distance.
        let apart = caps.iter().find(|finding| finding.rule == "caps apart").expect("it was checked");
        let outside = p.post_side().get() + 4.0 * p.card.get() + 2.0 * p.play.get();
        assert_abs_diff_eq!(apart.numbers.0, outside, epsilon = 1e-6);
        assert_abs_diff_eq!(apart.numbers.1, 25.4 * f64::from(thirds), epsilon = 1e-6);
    }
}

/// Posts of 22 mm a third of a module of 76.2 apart, in card of 0.75 mm: 22 + 4 x 0.75 + 2 x 0.3 is 0.2
/// more than 25.4, and 0.7 mm is the thickest card that does.
#[test]
fn caps_too_near_are_named_with_what_mends_them() {
    let p = Parameters { card: Mm::new(0.75), post_side: Some(Mm::new(22.0)), ..Parameters::default() };
    let wall = Wall { span: 1.0 / 3.0, opening: None };
    let pieces = [Piece::Wall(wall), Piece::Cap(Cap::default())];
    let found = check(&Case { pieces: &pieces, ..Case::new(&p) }).findings;
    let finding = found.iter().find(|finding| finding.rule == "caps apart").expect("it was checked");
    assert!(!finding.holds());
    assert_abs_diff_eq!(finding.margin, -0.2, epsilon = 1e-6);
    let mend = finding.mend.as_ref().expect("a mend").to_string();
    assert_eq!(mend, "set card to 0.7 mm");
}

/// Stock in hand that is thicker than the parameters say: the notch no longer takes the wall.
#[test]
fn thicker_walls_do_not_fit_the_notch() {
    use flatwright_folding::rules::InHand;
    let p = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    let in_hand = InHand { board: Mm::new(5.4), card: p.card, paper: p.paper, fold_factor: 0.5 };
    let found = check(&Case { in_hand: Some(in_hand), ..Case::new(&p) }).findings;
    let finding = found.iter().find(|finding| finding.rule == "cap and wall" && !finding.holds()).expect("it fails");
    // Notch 5 + 2 x 0.1 + 2 x 0.3, wall 5.4 + 0.2: 0.2 is left where 0.6 is needed.
    assert_abs_diff_eq!(finding.numbers.0, 0.2, epsilon = 1e-6);
    assert_abs_diff_eq!(finding.numbers.1, 0.6, epsilon = 1e-6);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_cap_folds_whatever_the_card(card in 0.05..1.0, arms in 0..16u8, play in 0.1..0.5, board in any::<bool>()) {
        let walls = if board { WallBuild::Board } else { WallBuild::Card };
        let p = Parameters { card: Mm::new(card), play: Mm::new(play), walls, ..Parameters::default() };
        prop_assume!(p.check().is_ok());
        let cap = Cap { arms: Arms::from_bits(arms) };
        let proved = prove_piece(&p, &Piece::Cap(cap)).unwrap_or_else(|error| panic!("{cap:?}: {error}"));
        prop_assert_eq!(proved[0].net.seats.len(), 4);
    }
}
