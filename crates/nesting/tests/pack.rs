//! The packer on made-up jobs: every layout must pass the checker.

mod common;

use common::{item, rectangle, sheet};
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, PackError, SheetKind, Turns, check, largest_free, lower_bound, pack};
use kurbo::Rect;
use proptest::prelude::*;

fn sheets_for(items: Vec<Item>, sheets: Vec<SheetKind>, gap: f64) -> u64 {
    let job = Job::new(items, sheets, Mm::new(gap), 7, 50).expect("a sane job");
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert!(layout.sheets_used() >= lower_bound(&job).sheets);
    layout.sheets_used()
}

/// A grid is the tightest way here: six by twelve fill 190 x 262 to the last millimetre.
#[test]
fn equal_rectangles_fill_the_page_like_a_grid() {
    let page = || vec![sheet(190.0, 262.0)];
    assert_eq!(sheets_for(vec![rectangle(30.0, 20.0, 72, Turns::Fixed)], page(), 2.0), 1);
    assert_eq!(sheets_for(vec![rectangle(30.0, 20.0, 720, Turns::Fixed)], page(), 2.0), 10);
    assert_eq!(sheets_for(vec![rectangle(30.0, 20.0, 73, Turns::Fixed)], page(), 2.0), 2);
    // Numbers that are not whole in binary, and no gap at all.
    assert_eq!(sheets_for(vec![rectangle(0.1, 0.3, 30 * 10, Turns::Fixed)], vec![sheet(3.0, 3.0)], 0.0), 1);
    assert_eq!(sheets_for(vec![rectangle(29.7, 19.7, 36, Turns::Fixed)], vec![sheet(188.2, 128.2)], 2.0), 1);
}

/// Two combs fill each other's gaps: boxes alone would take two sheets.
#[test]
fn concave_outlines_interlock() {
    let comb = [
        (0., 0.),
        (10., 0.),
        (10., 20.),
        (30., 20.),
        (30., 0.),
        (40., 0.),
        (40., 20.),
        (60., 20.),
        (60., 0.),
        (70., 0.),
        (70., 30.),
        (0., 30.),
    ];
    assert_eq!(sheets_for(vec![item("comb", &comb, 2, Turns::Half)], vec![sheet(90.0, 45.0)], 2.0), 1);
    let l = [(0., 0.), (50., 0.), (50., 10.), (10., 10.), (10., 50.), (0., 50.)];
    assert_eq!(sheets_for(vec![item("angle", &l, 4, Turns::Fixed)], vec![sheet(86.0, 86.0)], 2.0), 1);
}

/// Names do not matter: a hundred items of one outline take no more sheets than one item of a
/// hundred copies, and pages stay identical as far as there are copies enough.
#[test]
fn items_with_one_outline_are_packed_as_one() {
    let page = || vec![sheet(190.0, 262.0)];
    let named: Vec<Item> = (0..100).map(|_| rectangle(30.0, 20.0, 1, Turns::Fixed)).collect();
    assert_eq!(sheets_for(named, page(), 2.0), 2);
    let few = vec![rectangle(30.0, 20.0, 72 * 5, Turns::Fixed), rectangle(30.0, 20.0, 72 * 3, Turns::Fixed)];
    let job = Job::new(few, page(), Mm::new(2.0), 7, 50).expect("a sane job");
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert_eq!(layout.sheets_used(), 8);
    assert!(layout.sheets.len() <= 3, "{} different sheets", layout.sheets.len());
}

#[test]
fn the_cheapest_sheet_that_holds_the_rest_is_taken() {
    let large = SheetKind { name: "large".into(), free: Rect::new(5.0, 5.0, 105.0, 105.0), price: 3.0 };
    let small = SheetKind { name: "small".into(), free: Rect::new(5.0, 5.0, 55.0, 55.0), price: 1.0 };
    let items = vec![rectangle(50.0, 50.0, 5, Turns::Fixed)];
    let job = Job::new(items, vec![large, small], Mm::ZERO, 7, 50).expect("a sane job");
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    let kinds: Vec<(usize, u32)> = layout.sheets.iter().map(|s| (s.kind, s.copies)).collect();
    assert_eq!(kinds, [(0, 1), (1, 1)]);
}

/// Four of the small sheets hold what one large one does, at two thirds of its price; the bars go
/// on large ones only. Most sheets are the cheapest here.
#[test]
fn the_least_price_decides_not_the_fewest_sheets() {
    let large = SheetKind { name: "large".into(), free: Rect::new(0.0, 0.0, 100.0, 100.0), price: 6.0 };
    let small = SheetKind { name: "small".into(), free: Rect::new(0.0, 0.0, 50.0, 50.0), price: 1.0 };
    let items = vec![rectangle(50.0, 50.0, 64, Turns::Fixed), rectangle(60.0, 20.0, 3, Turns::Quarter)];
    let job = Job::new(items, vec![large, small], Mm::ZERO, 7, 200).expect("a sane job");
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    assert_eq!(check::check(&job, &layout), Ok(()));
    let price: f64 = layout.sheets.iter().map(|s| job.sheets()[s.kind].price * f64::from(s.copies)).sum();
    // The three bars need one large sheet, on which one square has room beside them.
    assert!((price - (6.0 + 63.0)).abs() < 1e-9, "{price}");
}

/// One full page and a few pieces: what they leave free lies in one rectangle.
#[test]
fn the_last_page_comes_last_and_keeps_its_free_area_together() {
    let items = vec![rectangle(30.0, 20.0, 72 + 6, Turns::Quarter)];
    let job = Job::new(items, vec![sheet(190.0, 262.0)], Mm::new(2.0), 7, 50).expect("a sane job");
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
    assert_eq!(layout.sheets_used(), 2);
    let last = layout.sheets.last().expect("two sheets");
    assert_eq!((last.copies, last.placements.len()), (1, 6));
    let free = largest_free(&job, last);
    // Six upright in a row, 32 high with their gap, or six lying in one, 22 wide; never less than that.
    assert!(free.area() >= 190.0 * (262.0 - 32.0) - 1e-3, "{free}");
    for placement in &last.placements {
        let outline = job.items()[placement.item].outline.moved(placement.motion());
        let apart = outline.bounds().inflate(2.0 - 1e-4, 2.0 - 1e-4).intersect(free);
        assert!(apart.width() <= 0.0 || apart.height() <= 0.0, "{outline:?} within {free}");
    }
}

#[test]
fn every_item_that_fits_nowhere_is_named() {
    let items = vec![
        rectangle(300.0, 20.0, 1, Turns::Quarter),
        rectangle(200.0, 50.0, 1, Turns::Quarter),
        rectangle(200.0, 50.0, 1, Turns::Half),
    ];
    let job = Job::new(items, vec![sheet(100.0, 200.0)], Mm::ZERO, 7, 50).expect("a sane job");
    let Err(error @ PackError::TooLarge(_)) = pack(&job, &lower_bound(&job), &mut |_| {}) else {
        panic!("must be refused")
    };
    let want = "no sheet holds \"300 x 20\" is 300 x 20 mm: page leaves 100 x 200 mm; \
                \"200 x 50\" is 200 x 50 mm: page leaves 100 x 200 mm";
    assert_eq!(error.to_string(), want);
}

#[test]
fn nothing_to_place_takes_no_sheet() {
    assert_eq!(sheets_for(vec![], vec![sheet(100.0, 100.0)], 2.0), 0);
}

/// Lengths that are often equal or nearly so.
fn length() -> impl Strategy<Value = f64> {
    prop_oneof![
        (1_u32..30).prop_map(f64::from),
        (1_u32..30).prop_map(|n| f64::from(n) + 1e-6),
        (1_u32..300).prop_map(|n| f64::from(n) / 10.0),
        1.0..30.0,
    ]
}

fn turns() -> impl Strategy<Value = Turns> {
    prop_oneof![Just(Turns::Fixed), Just(Turns::Half), Just(Turns::Quarter)]
}

fn any_item() -> impl Strategy<Value = Item> {
    let plain = (length(), length(), 1_u32..20, turns()).prop_map(|(w, h, n, t)| rectangle(w, h, n, t));
    let angle = (length(), length(), length(), length(), 1_u32..20, turns()).prop_map(|(w, h, a, b, n, t)| {
        item("angle", &[(0., 0.), (w + a, 0.), (w + a, h), (w, h), (w, h + b), (0., h + b)], n, t)
    });
    // Slanted sides, a reflex corner, and an origin that is not at the box's corner.
    let dart = (length(), length(), 0.2_f64..0.9, 1_u32..12, turns())
        .prop_map(|(w, h, d, n, t)| item("dart", &[(-w, -h), (0., -h * d), (w, -h), (0., h)], n, t));
    prop_oneof![plain, angle, dart]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_layout_is_sound_and_comes_again(
        items in prop::collection::vec(any_item(), 1..6),
        gap in prop_oneof![Just(0.0), Just(2.0), Just(1e-5), 0.0..5.0],
        seed in any::<u64>(),
        effort in 0_u32..20,
    ) {
        let job = Job::new(items, vec![sheet(97.0, 83.0), sheet(70.0, 70.0)], Mm::new(gap), seed, effort).expect("sane");
        let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits");
        prop_assert_eq!(check::check(&job, &layout), Ok(()));
        prop_assert!(layout.sheets_used() >= lower_bound(&job).sheets);
        prop_assert_eq!(pack(&job, &lower_bound(&job), &mut |_| {}), Ok(layout));
    }
}
