//! The checker's verdicts against those of the `geo` crate, which shares no code with it.

mod common;

use common::{item, rectangle, sheet};
use flatwright_geometry::units::Mm;
use flatwright_nesting::check::{TOLERANCE, Violation, check};
use flatwright_nesting::{Item, Job, Layout, PackedSheet, Placement, Turns};
use geo::{Distance, Euclidean, Relate};
use kurbo::Vec2;
use proptest::prelude::*;

fn place(item: usize, quarter_turns: u8, x: f64, y: f64) -> Placement {
    Placement { item, quarter_turns, shift: Vec2::new(x, y) }
}

fn verdict(items: Vec<Item>, gap: f64, placements: Vec<Placement>) -> Vec<Violation> {
    let job = Job::new(items, vec![sheet(100.0, 100.0)], Mm::new(gap), 0, 0).expect("a sane job");
    let layout = Layout { sheets: vec![PackedSheet { kind: 0, copies: 1, placements }] };
    check(&job, &layout).err().unwrap_or_default()
}

#[test]
fn each_violation_is_found() {
    let square = || vec![rectangle(10.0, 10.0, 2, Turns::Half)];
    let ok = || place(0, 0, 0.0, 0.0);
    assert_eq!(verdict(square(), 2.0, vec![ok(), place(0, 0, 12.0, 0.0)]), []);
    assert_eq!(verdict(square(), 2.0, vec![ok(), place(0, 2, 32.0, 10.0)]), []);
    let found = |gap, second: Placement| verdict(square(), gap, vec![ok(), second]);
    assert!(matches!(found(2.0, place(0, 0, 11.9, 0.0))[..], [Violation::TooClose { a: 0, b: 1, .. }]));
    assert!(matches!(found(2.0, place(0, 0, 5.0, 0.0))[..], [Violation::Overlap { a: 0, b: 1, .. }]));
    assert!(matches!(found(0.0, place(0, 0, 5.0, 0.0))[..], [Violation::Overlap { .. }]));
    assert!(matches!(found(0.0, ok())[..], [Violation::Overlap { .. }]), "equal outlines in the same place");
    assert_eq!(found(0.0, place(0, 0, 10.0, 0.0)), []);
    assert!(matches!(found(2.0, place(0, 0, 90.2, 0.0))[..], [Violation::Outside { .. }]));
    assert!(matches!(found(2.0, place(0, 1, 50.0, 0.0))[..], [Violation::Turned { .. }]));
    assert!(matches!(
        found(2.0, place(7, 0, 50.0, 0.0))[..],
        [Violation::BadPlacement { .. }, Violation::Count { .. }]
    ));
    assert!(matches!(found(2.0, place(0, 0, f64::NAN, 0.0))[..], [Violation::BadPlacement { .. }, _]));
    assert!(matches!(verdict(square(), 2.0, vec![ok()])[..], [Violation::Count { placed: 1, wanted: 2, .. }]));

    let job = Job::new(square(), vec![sheet(100.0, 100.0)], Mm::ZERO, 0, 0).expect("a sane job");
    let of = |kind, copies| Layout { sheets: vec![PackedSheet { kind, copies, placements: vec![ok()] }] };
    assert_eq!(check(&job, &of(0, 2)), Ok(()));
    assert!(matches!(
        check(&job, &of(3, 2)).unwrap_err()[..],
        [Violation::UnknownKind { .. }, Violation::Count { .. }]
    ));
    assert!(matches!(check(&job, &of(0, 0)).unwrap_err()[..], [Violation::NoCopies { .. }, Violation::Count { .. }]));
}

#[test]
fn a_piece_inside_another_is_found() {
    let items = vec![rectangle(50.0, 50.0, 1, Turns::Fixed), rectangle(5.0, 5.0, 1, Turns::Fixed)];
    let found = verdict(items, 2.0, vec![place(0, 0, 0.0, 0.0), place(1, 0, 20.0, 20.0)]);
    assert!(matches!(found[..], [Violation::Overlap { .. }]));
}

/// With no gap an overlap is refused exactly where a side lies deeper than the tolerance in the
/// other outline, also where it is the only one to do so and far from its middle.
#[test]
fn overlaps_are_refused_from_the_tolerance_on() {
    let step = [(0., 0.), (30., 0.), (30., 10.), (29., 10.), (29., 12.), (0., 12.)];
    let comb = [(0., 0.), (40., 0.), (40., 9.), (11., 9.), (11., 8.), (10., 8.), (10., 9.), (0., 9.)];
    let cases = [
        (rectangle(10.0, 10.0, 1, Turns::Fixed), rectangle(10.0, 10.0, 1, Turns::Fixed), (10.0, 3.0), (-1.0, 0.0)),
        // Only the step's one millimetre of right side reaches in.
        (item("step", &step, 1, Turns::Fixed), rectangle(9.0, 20.0, 1, Turns::Fixed), (30.0, 9.5), (-1.0, 0.0)),
        // The side that reaches in runs across a notch.
        (item("comb", &comb, 1, Turns::Fixed), rectangle(35.0, 4.0, 1, Turns::Fixed), (2.0, 9.0), (0.0, -1.0)),
    ];
    for (a, b, (x, y), (dx, dy)) in cases {
        for (depth, refused) in [(0.9, false), (1.1, true), (3.0, true)] {
            let by = depth * TOLERANCE;
            let places = vec![place(0, 0, 0.0, 0.0), place(1, 0, x + dx * by, y + dy * by)];
            let found = verdict(vec![a.clone(), b.clone()], 0.0, places);
            assert_eq!(matches!(found[..], [Violation::Overlap { .. }]), refused, "{} at {depth}", a.name);
        }
    }
}

/// A frame with a slit, so that pieces also come to lie within its bay.
fn shapes() -> Vec<Item> {
    let c = [
        (0., 0.),
        (30., 0.),
        (30., 12.),
        (25., 12.),
        (25., 5.),
        (5., 5.),
        (5., 25.),
        (30., 25.),
        (30., 30.),
        (0., 30.),
    ];
    let star = [(0., 0.), (10., 3.), (20., 0.), (17., 10.), (20., 20.), (10., 17.), (0., 20.), (3., 10.)];
    vec![
        item("bay", &c, 1, Turns::Quarter),
        item("star", &star, 1, Turns::Quarter),
        rectangle(8.0, 6.0, 1, Turns::Quarter),
    ]
}

fn polygon(item: &Item, placement: &Placement) -> geo::Polygon {
    let motion = placement.motion();
    let ring = item.outline.points().iter().map(|p| motion * *p).map(|p| (p.x, p.y)).collect::<Vec<_>>();
    geo::Polygon::new(ring.into(), vec![])
}

/// Coordinates of which many differences are whole, or whole within a hair.
fn coordinate() -> impl Strategy<Value = f64> {
    prop_oneof![
        (0_u32..60).prop_map(f64::from),
        (0_u32..60, prop_oneof![Just(5e-4), Just(-5e-4), Just(1e-7), Just(-1e-7)]).prop_map(|(n, d)| f64::from(n) + d),
        0.0..60.0,
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// Two pieces: too close or overlapping exactly when geo says so. Within the tolerance of the
    /// gap either verdict is right, and so is it for outlines that barely overlap.
    #[test]
    fn pairs_are_judged_as_by_geo(
        (a, b) in (0_usize..3, 0_usize..3),
        (turn_a, turn_b) in (0_u8..4, 0_u8..4),
        (x, y) in (coordinate(), coordinate()),
        gap in prop_oneof![Just(0.0), Just(2.0), Just(5.0), 0.0..4.0],
    ) {
        let items = shapes();
        let places = [place(a, turn_a, 150.0, 150.0), place(b, turn_b, 120.0 + x, 120.0 + y)];
        let [p, q] = [0, 1].map(|i| polygon(&items[places[i].item], &places[i]));
        let job = Job::new(items, vec![sheet(300.0, 300.0)], Mm::new(gap), 0, 0).expect("a sane job");
        let layout = Layout { sheets: vec![PackedSheet { kind: 0, copies: 1, placements: places.to_vec() }] };
        let found = check(&job, &layout).err().unwrap_or_default();
        let overlap = found.iter().any(|v| matches!(v, Violation::Overlap { .. }));
        let close = found.iter().find_map(|v| match v {
            Violation::TooClose { distance, .. } => Some(*distance),
            _ => None,
        });
        let distance = Euclidean.distance(&p, &q);
        // Interiors share a point: the DE-9IM pattern T********.
        let interiors_meet = p.relate(&q).matches("T********").expect("a pattern");
        // The hairs above are 5e-4 and 1e-7: a shared area is deeper than the one or not worth a word.
        let common = geo::Area::unsigned_area(&geo::BooleanOps::intersection(&p, &q));
        if common > 0.02 {
            prop_assert!(overlap, "{common} mm2 shared");
        }
        if !interiors_meet {
            prop_assert!(!overlap);
            prop_assert_eq!(close.is_some(), distance < gap - TOLERANCE, "{}", distance);
            prop_assert!(close.is_none_or(|d| (d - distance).abs() < 1e-9));
        }
    }
}
