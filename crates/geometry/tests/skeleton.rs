//! The straight skeleton of plans with right angles, against its definition.
//!
//! Where all sides run along two directions, the sides of a plan that move inward at one speed bound
//! what is farther than that from the plan's edge in the maximum metric: the greater of the distances
//! east and north. So over every point the roof is as high as that distance (times the rise), and
//! the plan is covered once.

use flatwright_geometry::pieces::roof::skeleton::{Skeleton, skeleton};
use kurbo::Point;

/// Distance of a point from a segment along an axis, in the maximum metric.
fn distance(point: Point, (a, b): (Point, Point)) -> f64 {
    let off = |value: f64, from: f64, to: f64| (from.min(to) - value).max(value - from.max(to)).max(0.0);
    off(point.x, a.x, b.x).max(off(point.y, a.y, b.y))
}

fn contains(polygon: &[Point], point: Point) -> bool {
    let n = polygon.len();
    let crossed = (0..n).filter(|i| {
        let (a, b) = (polygon[*i], polygon[(i + 1) % n]);
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

fn area(polygon: &[Point]) -> f64 {
    let n = polygon.len();
    (0..n).map(|i| polygon[i].to_vec2().cross(polygon[(i + 1) % n].to_vec2())).sum::<f64>() / 2.0
}

fn corners(found: &Skeleton, face: &[usize]) -> Vec<Point> {
    face.iter().map(|node| found.nodes[*node].at).collect()
}

/// Height of a face over a point: all its corners lie in one plane.
fn height(found: &Skeleton, face: &[usize], point: Point) -> f64 {
    // A face begins or goes on at its eaves: the two corners at time 0 that follow each other.
    let n = face.len();
    let eaves = (0..n).find(|i| found.nodes[face[*i]].time == 0.0 && found.nodes[face[(i + 1) % n]].time == 0.0);
    let i = eaves.expect("eaves");
    let (a, b) = (found.nodes[face[i]].at, found.nodes[face[(i + 1) % n]].at);
    (b - a).normalize().cross(point - a)
}

fn holds(plan: &[Point]) -> Skeleton {
    let found = skeleton(plan).unwrap_or_else(|| panic!("{plan:?}"));
    let n = plan.len();
    let sides: Vec<(Point, Point)> = (0..n).map(|i| (plan[i], plan[(i + 1) % n])).collect();
    // Every corner of every face is in the face's plane, and as far from the edge as its time says.
    for face in &found.faces {
        for node in face {
            let node = found.nodes[*node];
            assert!((height(&found, face, node.at) - node.time).abs() < 1e-6, "{plan:?}: {face:?} {node:?}");
            let nearest = sides.iter().map(|side| distance(node.at, *side)).fold(f64::MAX, f64::min);
            assert!((nearest - node.time).abs() < 1e-6, "{plan:?}: {node:?} {nearest}");
        }
    }
    // The faces cover the plan once.
    let faces: f64 = found.faces.iter().map(|face| area(&corners(&found, face))).sum();
    assert!((faces - area(plan)).abs() < 1e-6 * area(plan), "{plan:?}: {faces}");
    let mut inside = 0;
    for step in 0..41 * 41 {
        let (x, y) = (f64::from(step % 41) * 7.919 - 11.3, f64::from(step / 41) * 7.919 - 11.7);
        let point = Point::new(x, y);
        if !contains(plan, point) {
            continue;
        }
        inside += 1;
        let under: Vec<&Vec<usize>> =
            found.faces.iter().filter(|face| contains(&corners(&found, face), point)).collect();
        assert_eq!(under.len(), 1, "{plan:?}: {point:?}");
        let nearest = sides.iter().map(|side| distance(point, *side)).fold(f64::MAX, f64::min);
        assert!((height(&found, under[0], point) - nearest).abs() < 1e-6, "{plan:?}: {point:?} {nearest}");
    }
    assert!(inside > 50);
    found
}

fn plan(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|corner| Point::from(*corner)).collect()
}

#[test]
fn a_rectangle_has_a_ridge_and_a_square_a_point() {
    let found = holds(&plan(&[(0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0)]));
    assert_eq!((found.faces.len(), found.nodes.len()), (4, 6));
    let found = holds(&plan(&[(0.0, 0.0), (150.0, 0.0), (150.0, 150.0), (0.0, 150.0)]));
    assert_eq!((found.faces.len(), found.nodes.len()), (4, 5));
}

#[test]
fn plans_with_inner_corners() {
    // L of equal and of unequal arms.
    holds(&plan(&[(0.0, 0.0), (200.0, 0.0), (200.0, 80.0), (80.0, 80.0), (80.0, 200.0), (0.0, 200.0)]));
    holds(&plan(&[(0.0, 0.0), (250.0, 0.0), (250.0, 60.0), (100.0, 60.0), (100.0, 200.0), (0.0, 200.0)]));
    // T with a narrow, an equal and a wide stem.
    for stem in [50.0, 80.0, 110.0] {
        let (a, b) = (120.0 - stem / 2.0, 120.0 + stem / 2.0);
        let t =
            [(a, 0.0), (b, 0.0), (b, 120.0), (240.0, 120.0), (240.0, 200.0), (0.0, 200.0), (0.0, 120.0), (a, 120.0)];
        holds(&plan(&t));
    }
    // U, Z and a cross.
    holds(&plan(&[
        (0.0, 0.0),
        (60.0, 0.0),
        (60.0, 100.0),
        (140.0, 100.0),
        (140.0, 0.0),
        (220.0, 0.0),
        (220.0, 170.0),
        (0.0, 170.0),
    ]));
    holds(&plan(&[
        (0.0, 0.0),
        (120.0, 0.0),
        (120.0, 70.0),
        (200.0, 70.0),
        (200.0, 150.0),
        (70.0, 150.0),
        (70.0, 80.0),
        (0.0, 80.0),
    ]));
    let cross = [
        (70.0, 0.0),
        (140.0, 0.0),
        (140.0, 70.0),
        (210.0, 70.0),
        (210.0, 140.0),
        (140.0, 140.0),
        (140.0, 210.0),
        (70.0, 210.0),
        (70.0, 140.0),
        (0.0, 140.0),
        (0.0, 70.0),
        (70.0, 70.0),
    ];
    holds(&plan(&cross));
}
