//! The checker against `geo` on whole random layouts: many outlines at once, each convex, concave
//! or of many corners, touching, almost touching, one in the bay of another or wholly inside it.
//!
//! The verdict on every pair must be `geo`'s, but for what is closer to the limit than the
//! checker's tolerance, where either is right.

mod common;

use std::collections::BTreeMap;

use common::{item, sheet};
use flatwright_geometry::contour::Contour;
use flatwright_geometry::units::Mm;
use flatwright_nesting::check::{TOLERANCE, Violation, check};
use flatwright_nesting::{Item, Job, Layout, PackedSheet, Placement, Turns};
use geo::{Area, BooleanOps, Distance, Euclidean, Relate};
use kurbo::{Point, Vec2};
use proptest::prelude::*;

/// A star-shaped outline: corners at rising angles at any distances, so convex or not. Coordinates
/// are whole, or halves, so that outlines can touch exactly.
fn star() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec(2_u32..24, 3..14).prop_filter_map("simple", |radii| {
        let n = radii.len() as f64;
        let points: Vec<(f64, f64)> = radii
            .iter()
            .enumerate()
            .map(|(i, r)| {
                let angle = std::f64::consts::TAU * i as f64 / n;
                let round = |x: f64| (2.0 * x).round() / 2.0;
                (round(f64::from(*r) * angle.cos()), round(f64::from(*r) * angle.sin()))
            })
            .collect();
        Contour::new(points.iter().copied().map(Point::from)).ok().map(|_| points)
    })
}

/// Axis-parallel outlines with a bay or a step, of whole sides.
fn stepped() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let f = f64::from;
    (1_u32..9, 1_u32..9, 1_u32..9, 1_u32..9, 1_u32..9, 1_u32..9).prop_map(move |(a, b, c, h, d, e)| {
        let (x1, x2, x3) = (f(a), f(a + b), f(a + b + c));
        let (foot, left, right) = (f(h), f(h + d), f(h + e));
        vec![(0., 0.), (x3, 0.), (x3, right), (x2, right), (x2, foot), (x1, foot), (x1, left), (0., left)]
    })
}

fn outline() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let box_of = |(w, h): (u32, u32)| {
        let (w, h) = (f64::from(w), f64::from(h));
        vec![(0., 0.), (w, 0.), (w, h), (0., h)]
    };
    prop_oneof![2 => star(), 2 => stepped(), 1 => (1_u32..30, 1_u32..30).prop_map(box_of)]
}

/// Whole numbers, those a hair off, and any.
fn coordinate() -> impl Strategy<Value = f64> {
    let hair = prop_oneof![
        Just(1e-6),
        Just(-1e-6),
        Just(5e-5),
        Just(-5e-5),
        Just(1.5e-4),
        Just(-1.5e-4),
        Just(3e-4),
        Just(-3e-4),
        Just(1e-3),
        Just(-1e-3)
    ];
    prop_oneof![
        3 => (0_u32..90).prop_map(f64::from),
        3 => (0_u32..90, hair).prop_map(|(n, d)| f64::from(n) + d),
        1 => 0.0..90.0,
    ]
}

fn polygon(item: &Item, placement: &Placement) -> geo::Polygon {
    let motion = placement.motion();
    let ring = item.outline.points().iter().map(|p| motion * *p).map(|p| (p.x, p.y)).collect::<Vec<_>>();
    geo::Polygon::new(ring.into(), vec![])
}

/// Whether a common part surely has a point that lies deeper than `depth`: a region of area A and
/// perimeter P has one at least A / P deep, as the strips along its sides must cover it.
fn deeper(common: &geo::MultiPolygon, depth: f64) -> bool {
    common.iter().any(|part| {
        let perimeter: f64 =
            part.exterior().lines().map(|line| (line.end.x - line.start.x).hypot(line.end.y - line.start.y)).sum();
        part.unsigned_area() > perimeter * depth
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn layouts_are_judged_as_by_geo(
        outlines in prop::collection::vec(outline(), 2..5),
        places in prop::collection::vec((0_usize..4, 0_u8..4, coordinate(), coordinate()), 2..7),
        gap in prop_oneof![Just(0.0), Just(1.0), Just(2.0), Just(1e-5), Just(3e-4), 0.0..4.0],
    ) {
        let items: Vec<Item> = outlines
            .iter()
            .enumerate()
            .map(|(i, points)| item(&format!("{i}"), points, 1, Turns::Quarter))
            .collect();
        let placements: Vec<Placement> = places
            .iter()
            .map(|&(i, quarter_turns, x, y)| Placement { item: i % items.len(), quarter_turns, shift: Vec2::new(x, y) })
            .collect();
        let polygons: Vec<geo::Polygon> = placements.iter().map(|p| polygon(&items[p.item], p)).collect();
        let (width, height) = (90.0, 80.0);
        let job = Job::new(items, vec![sheet(width, height)], Mm::new(gap), 0, 0).expect("a sane job");
        let layout = Layout { sheets: vec![PackedSheet { kind: 0, copies: 1, placements: placements.clone() }] };
        let found = check(&job, &layout).err().unwrap_or_default();
        let mut overlaps = BTreeMap::new();
        let mut close = BTreeMap::new();
        let mut outside = BTreeMap::new();
        for violation in &found {
            match violation {
                Violation::Overlap { a, b, .. } => drop(overlaps.insert((*a, *b), ())),
                Violation::TooClose { a, b, distance, .. } => drop(close.insert((*a, *b), *distance)),
                Violation::Outside { placement, by, .. } => drop(outside.insert(*placement, *by)),
                _ => {}
            }
        }
        for (i, p) in polygons.iter().enumerate() {
            let bounds = geo::BoundingRect::bounding_rect(p).expect("has corners");
            let by = [-bounds.min().x, -bounds.min().y, bounds.max().x - width, bounds.max().y - height]
                .into_iter()
                .fold(0.0, f64::max);
            prop_assert_eq!(outside.contains_key(&i), by > TOLERANCE, "{}", by);
            for (j, q) in polygons.iter().enumerate().skip(i + 1) {
                let distance = Euclidean.distance(p, q);
                let (overlap, near) = (overlaps.contains_key(&(i, j)), close.get(&(i, j)));
                if p.relate(q).matches("T********").expect("a pattern") {
                    let common = p.intersection(q);
                    if deeper(&common, 2.0 * TOLERANCE) {
                        prop_assert!(overlap, "{i} and {j} share {:?}", common);
                    }
                    // Whatever overlaps is refused where a gap is asked for.
                    prop_assert!(gap <= 1.01 * TOLERANCE || overlap || near.is_some());
                } else {
                    prop_assert!(!overlap, "{i} and {j} lie {distance} apart");
                    if (distance - (gap - TOLERANCE)).abs() > 1e-9 {
                        prop_assert_eq!(near.is_some(), distance < gap - TOLERANCE, "{} for {}", distance, gap);
                    }
                    prop_assert!(near.is_none_or(|d| (d - distance).abs() < 1e-9), "{near:?} {distance}");
                }
                if overlap {
                    // Nothing is called an overlap that is no deeper than the tolerance.
                    prop_assert!(p.intersection(q).unsigned_area() > 0.0);
                }
            }
        }
    }
}
