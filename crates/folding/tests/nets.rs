//! Every net folds: flaps land, panels keep clear, and the folded piece has its outer sizes.

use approx::assert_abs_diff_eq;
use flatwright_folding::fold::FoldFault;
use flatwright_folding::prove::{Proved, prove, sheet};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use proptest::prelude::*;

fn proved(p: &Parameters, pattern: Pattern) -> Proved {
    let what = format!("{} {}", pattern.kind, pattern.detail);
    let stock = sheet(p, pattern.stock);
    prove(pattern, stock).unwrap_or_else(|faults| panic!("{what}: {faults:?}"))
}

/// Smallest box around the folded panels whose index `keep` likes: sizes along x, y and z.
fn size(proved: &Proved, keep: impl Fn(usize) -> bool) -> [f64; 3] {
    let (mut low, mut high) = ([f64::MAX; 3], [f64::MIN; 3]);
    for (_, panel) in proved.folded().iter().enumerate().filter(|(i, _)| keep(*i)) {
        for corner in panel.corners() {
            for (i, v) in [corner.x, corner.y, corner.z].into_iter().enumerate() {
                low[i] = low[i].min(v);
                high[i] = high[i].max(v);
            }
        }
    }
    [0, 1, 2].map(|i| high[i] - low[i])
}

fn openings() -> Vec<Option<Opening>> {
    let mm = Mm::new;
    vec![
        None,
        Some(Opening::Door { width: mm(25.0), height: mm(38.0), hinge: HingeSide::Left }),
        Some(Opening::Door { width: mm(25.0), height: mm(38.0), hinge: HingeSide::Right }),
        Some(Opening::Arch { width: mm(28.0), height: mm(40.0) }),
        Some(Opening::Window { width: mm(18.0), height: mm(15.0), sill: mm(16.0), arched: true }),
        Some(Opening::Bars { width: mm(20.0), height: mm(20.0), sill: mm(12.0), count: 3, bar: mm(2.0) }),
        Some(Opening::Low { height: mm(20.0) }),
    ]
}

/// From paper of 0.1 mm to greyboard of 1 mm the sleeve is s wide outside: the fold allowance works.
#[test]
fn a_folded_post_is_s_wide_and_its_height_high() {
    for card in [0.1, 0.25, 0.5, 1.0] {
        let p = Parameters { card: Mm::new(card), ..Parameters::default() };
        let (s, height) = (p.post_side().get(), p.post_height().get());
        for post in [
            Post { arms: Arms::ALL, stand: Stand::Feet(Feet::ALL), under: false },
            Post { arms: Arms::from_bits(0b0110), stand: Stand::Feet(Feet::from_bits(0b0100)), under: false },
        ] {
            let proved = proved(&p, post::sleeve(&p, post).unwrap());
            let tongue = |i: usize| proved.pattern().net.panels[i].name == "tongue";
            let [x, y, z] = size(&proved, |i| !tongue(i));
            assert_abs_diff_eq!(x, s, epsilon = 1e-6);
            assert_abs_diff_eq!(y, height, epsilon = 1e-6);
            assert_abs_diff_eq!(z, s, epsilon = 1e-6);
            // Tongues reach t past the sleeve, one caliper below z = 0.
            for (i, panel) in proved.folded().iter().enumerate().filter(|(i, _)| tongue(*i)) {
                for corner in panel.corners() {
                    assert!(corner.y < 1e-6 && corner.y > -card - 1e-6, "tongue {i} lies under the tile");
                }
            }
            if post.feet() == Feet::ALL {
                let [x, _, z] = size(&proved, |_| true);
                assert_abs_diff_eq!(x, s + 24.0, epsilon = 1e-6);
                assert_abs_diff_eq!(z, s + 24.0, epsilon = 1e-6);
            }
        }
    }
}

#[test]
fn a_folded_card_wall_is_h_high_and_two_calipers_thick() {
    for card in [0.25, 1.0] {
        let p = Parameters { card: Mm::new(card), ..Parameters::default() };
        for opening in openings() {
            let wall = Wall { span: 1.0, opening };
            for pattern in wall.patterns(&p).unwrap() {
                let proved = proved(&p, pattern);
                let [_, y, z] = size(&proved, |_| true);
                // The bent top, one caliper high, is not part of the panels.
                assert_abs_diff_eq!(y, 50.0 - card, epsilon = 1e-6);
                assert_abs_diff_eq!(z, 2.0 * card, epsilon = 1e-6);
            }
        }
    }
}

#[test]
fn a_folded_wrap_fits_its_core() {
    for (paper, board) in [(0.1, 5.0), (0.3, 3.0), (0.1, 10.0)] {
        let p = Parameters { paper: Mm::new(paper), board: Mm::new(board), ..Parameters::default() };
        for reliefs in [Reliefs::Corners, Reliefs::EveryModule] {
            let tile = Tile::plain(2, 1, reliefs);
            let proved = proved(&p, tile::wrap(&p, tile).unwrap());
            let [x, y, z] = size(&proved, |_| true);
            assert_abs_diff_eq!(x, 152.1, epsilon = 1e-6);
            assert_abs_diff_eq!(y, 75.9, epsilon = 1e-6);
            assert_abs_diff_eq!(z, board + 2.0 * paper, epsilon = 1e-6);
        }
    }
}

#[test]
fn a_folded_facing_covers_its_core() {
    let p = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    for opening in openings() {
        for pattern in (Wall { span: 1.0, opening }).patterns(&p).unwrap() {
            let facing = pattern.kind == PieceKind::WallFacing;
            let proved = proved(&p, pattern);
            if facing {
                let [x, y, z] = size(&proved, |_| true);
                assert_abs_diff_eq!(x, 57.8, epsilon = 1e-6);
                assert_abs_diff_eq!(y, 50.0 + 0.1, epsilon = 1e-6);
                assert_abs_diff_eq!(z, 5.0 + 0.2, epsilon = 1e-6);
            }
        }
    }
}

/// A net spoiled in each way is caught by the check that should catch it.
#[test]
fn spoiled_nets_are_caught() {
    let p = Parameters::default();
    let post = Post { arms: Arms::from_bits(0b0010), stand: Stand::Feet(Feet::NONE), under: false };
    let good = post::sleeve(&p, post).unwrap();
    let card = sheet(&p, good.stock);
    let faults = |spoil: &dyn Fn(&mut Pattern)| {
        let mut pattern = good.clone();
        spoil(&mut pattern);
        prove(pattern, card).expect_err("must be caught")
    };
    let unhinged = faults(&|pattern| {
        pattern.net.hinges.pop();
    });
    assert!(matches!(unhinged[0], FoldFault::Loose("flap")), "{unhinged:?}");
    let bent = faults(&|pattern| pattern.net.hinges[1].angle = flatwright_geometry::units::Angle::degrees(80.0));
    assert!(bent.iter().any(|fault| matches!(fault, FoldFault::OffSeat { .. })), "{bent:?}");
    let shifted = faults(&|pattern| {
        let step = kurbo::Affine::translate((0.0, 3.0));
        let flap = pattern.net.panels.last_mut().unwrap();
        flap.region = flap.region.moved(step);
    });
    assert!(matches!(shifted[0], FoldFault::OverSeat { .. }), "{shifted:?}");
    // Thinner card than the net was made for: the strip closes too wide for its first face.
    let thinner = flatwright_folding::fold::Sheet { caliper: Mm::new(0.1), ..card };
    let thin = prove(good.clone(), thinner).expect_err("must be caught");
    assert!(thin.iter().any(|fault| matches!(fault, FoldFault::OffSeat { .. })), "{thin:?}");
    // A flap that turns the other way goes through the first face's neighbour or away from it.
    let backwards = faults(&|pattern| {
        pattern.net.hinges[0].fold = flatwright_geometry::pattern::Fold::Valley;
    });
    assert!(!backwards.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_post_folds_whatever_the_card(card in 0.05..1.0, arms in 0..16u8, feet in 0..16u8, board in any::<bool>()) {
        let walls = if board { WallBuild::Board } else { WallBuild::Card };
        let p = Parameters { card: Mm::new(card), walls, ..Parameters::default() };
        prop_assume!(p.check().is_ok());
        let post = Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under: false };
        proved(&p, post::sleeve(&p, post).unwrap());
    }
}
