//! Layouts for a trimmer: both checkers must accept every one, and the cuts' checker must refuse
//! what is wrong.

mod common;

use common::{item, rectangle, sheet, terrain};
use flatwright_geometry::units::Mm;
use flatwright_nesting::stacked::{CutFault, Stacked, check_cuts, stacked};
use flatwright_nesting::{Item, Job, SheetKind, Turns, check, lower_bound};
use kurbo::Rect;
use proptest::prelude::*;

fn stack(items: Vec<Item>, sheets: Vec<SheetKind>, gap: f64, effort: u32) -> (Job, Stacked) {
    let job = Job::new(items, sheets, Mm::new(gap), 7, effort).expect("a sane job");
    let stacked = stacked(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    assert_eq!(check::check(&job, &stacked.layout), Ok(()));
    assert_eq!(check_cuts(&job, &stacked), Ok(()));
    assert!(stacked.layout.sheets_used() >= lower_bound(&job).sheets);
    (job, stacked)
}

/// A grid is cut in straight lines: six by twelve fill 190 x 262 to the last millimetre, and
/// 5 + 6 x 11 cuts take it apart (each cut makes one block more).
#[test]
fn a_grid_is_full_and_every_cut_makes_one_piece_more() {
    let (_, made) = stack(vec![rectangle(30.0, 20.0, 720, Turns::Fixed)], vec![sheet(190.0, 262.0)], 2.0, 0);
    assert_eq!((made.layout.sheets_used(), made.layout.sheets.len()), (10, 1));
    assert_eq!(made.cuts[0].len(), 71);
}

/// Thirty sets of one mix: pages repeat, so that stacks are high.
#[test]
fn sets_of_one_mix_make_high_stacks() {
    let mix = vec![
        rectangle(70.0, 70.0, 60, Turns::Quarter),
        rectangle(70.0, 145.0, 60, Turns::Quarter),
        rectangle(30.0, 20.0, 240, Turns::Quarter),
        rectangle(55.0, 65.0, 120, Turns::Quarter),
    ];
    let (_, made) = stack(mix, vec![sheet(190.0, 250.0)], 2.0, 500);
    let copies: Vec<u32> = made.layout.sheets.iter().map(|sheet| sheet.copies).collect();
    assert!(copies.len() <= 6 && copies[0] >= 10, "{copies:?}");
}

/// The terrain mixes of the shared data; boxes of posts and walls waste what their shapes do not.
#[test]
fn terrain_mixes_are_taken_apart() {
    for name in ["small", "class"] {
        let Some(job) = terrain(name, 200) else { continue };
        let made = stacked(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
        assert_eq!(check::check(&job, &made.layout), Ok(()));
        assert_eq!(check_cuts(&job, &made), Ok(()));
        println!("{name}: {} sheets, {} different", made.layout.sheets_used(), made.layout.sheets.len());
    }
}

#[test]
fn the_cheapest_sheets_are_taken() {
    let two = |price| {
        let small = SheetKind { name: "Letter".into(), free: Rect::new(0.0, 0.0, 190.0, 250.0), price: 1.0 };
        vec![small, SheetKind { name: "Tabloid".into(), free: Rect::new(0.0, 0.0, 250.0, 400.0), price }]
    };
    let kinds = |price| {
        let (_, made) = stack(vec![rectangle(90.0, 120.0, 24, Turns::Quarter)], two(price), 2.0, 50);
        made.layout.sheets.iter().map(|sheet| sheet.kind).collect::<Vec<_>>()
    };
    assert!(kinds(1.2).contains(&1));
    assert!(kinds(9.0).iter().all(|&kind| kind == 0));
    // One large sheet would hold all, but two small ones cost less.
    let (_, made) = stack(vec![rectangle(90.0, 120.0, 5, Turns::Quarter)], two(2.5), 2.0, 0);
    assert!(made.layout.sheets.iter().all(|sheet| sheet.kind == 0));
}

#[test]
fn the_same_job_gives_the_same_cuts() {
    let mix = || vec![rectangle(70.0, 31.0, 40, Turns::Quarter), rectangle(45.5, 62.25, 33, Turns::Quarter)];
    let made = || stack(mix(), vec![sheet(190.0, 250.0)], 2.0, 100).1;
    assert_eq!(made(), made());
}

/// What the checker must find: a cut left out, moved into a piece, made too early, or drawn longer
/// than its block.
#[test]
fn wrong_cuts_are_found() {
    let mix = vec![rectangle(70.0, 31.0, 8, Turns::Quarter), rectangle(45.5, 62.25, 7, Turns::Quarter)];
    let (job, good) = stack(mix, vec![sheet(190.0, 250.0)], 2.0, 10);
    let faults = |change: &dyn Fn(&mut Stacked)| {
        let mut bad = good.clone();
        change(&mut bad);
        check_cuts(&job, &bad).expect_err("must be found")
    };
    let half = good.cuts[0].len() / 2;
    assert!(faults(&|bad| bad.cuts[0].truncate(half)).iter().any(|f| matches!(f, CutFault::Together { .. })));
    // Through the middle of the first piece, wherever it lies.
    let through = |bad: &mut Stacked| {
        let placed = bad.layout.sheets[0].placements[0];
        let middle = placed.motion() * job.items()[placed.item].outline.bounds().center();
        let within = |cut: &&mut flatwright_nesting::Cut| cut.block.contains(middle);
        let cut = bad.cuts[0].iter_mut().rev().find(within).expect("every piece is cut out");
        cut.at = if cut.upright { middle.x } else { middle.y };
    };
    assert!(faults(&through).iter().any(|f| matches!(f, CutFault::Damaged { .. })));
    assert!(faults(&|bad| bad.cuts[0].reverse()).iter().any(|f| matches!(f, CutFault::NoBlock { .. })));
    assert!(faults(&|bad| bad.cuts[0][0].at = -50.0).iter().any(|f| matches!(f, CutFault::Beside { .. })));
    assert!(faults(&|bad| bad.cuts[0][0].block.x1 += 3.0).iter().any(|f| matches!(f, CutFault::NoBlock { .. })));
    assert!(faults(&|bad| bad.cuts.clear()).iter().any(|f| matches!(f, CutFault::Sheets { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn any_mix_passes_both_checkers(
        sizes in prop::collection::vec((4.0..120.0_f64, 4.0..120.0_f64, 1..25_u32, any::<bool>()), 1..7),
        gap in prop_oneof![Just(0.0), 0.0..6.0_f64],
        shape in any::<bool>(),
    ) {
        let mut items: Vec<Item> = sizes
            .iter()
            .map(|&(w, h, n, turn)| rectangle(w, h, n, if turn { Turns::Quarter } else { Turns::Half }))
            .collect();
        if shape {
            let corner = [(0., 0.), (50., 0.), (50., 10.), (10., 10.), (10., 50.), (0., 50.)];
            items.push(item("angle", &corner, 4, Turns::Quarter));
        }
        stack(items, vec![sheet(130.0, 170.0)], gap, 3);
    }
}
