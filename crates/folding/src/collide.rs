//! Whether solids share space, and how deeply.

use std::collections::BTreeMap;
use std::ops::Range;

use flatwright_geometry::tolerance::ROUNDING;
use kurbo::Point;
use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};

use crate::solid::Solid;

/// Two bodies that share space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clash {
    /// Index of the one body.
    pub one: usize,
    /// Index of the other body, larger than `one`.
    pub other: usize,
    /// How far one would have to move to be clear of the other, at their deepest parts, mm.
    pub depth: f64,
}

/// Every pair of bodies that share more than `tolerance` mm of depth. A body is any number of
/// solids, which may touch and overlap among themselves.
#[must_use]
pub fn clashes<B: AsRef<[Solid]>>(bodies: &[B], tolerance: f64) -> Vec<Clash> {
    let mut shapes = Shapes::default();
    let mut parts: Vec<(usize, Prism)> = Vec::new();
    for (body, solids) in bodies.iter().enumerate() {
        for solid in solids.as_ref() {
            let convex = shapes.of(solid);
            parts.extend(shapes.all[convex].iter().map(|prism| (body, prism.at(solid.pose))));
        }
    }
    let boxes: Vec<Aabb> = parts.iter().map(|(_, part)| Aabb::from_points(part.corners.iter().copied())).collect();
    let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
    let mut deepest = BTreeMap::new();
    for (i, (body, part)) in parts.iter().enumerate() {
        // Boxes that only touch cannot share more than the tolerance.
        let inner = boxes[i].tightened(tolerance.min(boxes[i].half_extents().min_element()));
        let mut near: Vec<usize> = tree.intersect_aabb(&inner).map(|leaf| leaf as usize).collect();
        near.sort_unstable();
        for j in near {
            let (other, shape) = &parts[j];
            if *other <= *body {
                continue;
            }
            if let Some(depth) = part.depth(shape, tolerance) {
                let known: &mut f64 = deepest.entry((*body, *other)).or_insert(0.0);
                *known = known.max(depth);
            }
        }
    }
    deepest.into_iter().map(|((one, other), depth)| Clash { one, other, depth }).collect()
}

/// A convex prism in space, or in the plane of its solid.
///
/// Prisms in a build lie face to face and share planes everywhere, which is where the usual
/// expanding-polytope search of collision libraries comes back with a depth of 0 for solids that
/// share centimetres. Separating axes (S. Gottschalk, 1996) are exact there, and few for a prism.
#[derive(Clone)]
struct Prism {
    corners: Vec<Vector>,
    /// Unit normals: of its plane, then of its sides.
    normals: Vec<Vector>,
    /// Unit directions of its edges: across its plane, then along its sides.
    edges: Vec<Vector>,
}

impl Prism {
    fn new(area: &[Point], (low, high): (f64, f64)) -> Self {
        let level = |z: f64| area.iter().map(move |p| Vector::new(p.x, p.y, z));
        let corners = level(low).chain(level(high)).collect();
        let (mut normals, mut edges) = (vec![Vector::Z], vec![Vector::Z]);
        for (i, from) in area.iter().enumerate() {
            let along = (area[(i + 1) % area.len()] - *from).normalize();
            let side = Vector::new(along.x, along.y, 0.0);
            if !edges.iter().any(|known| parallel(*known, side)) {
                edges.push(side);
                normals.push(Vector::new(along.y, -along.x, 0.0));
            }
        }
        Self { corners, normals, edges }
    }

    fn at(&self, pose: Pose) -> Self {
        let turned = |all: &[Vector]| all.iter().map(|v| pose.rotation * *v).collect();
        Self {
            corners: self.corners.iter().map(|corner| pose * *corner).collect(),
            normals: turned(&self.normals),
            edges: turned(&self.edges),
        }
    }

    /// How far the one would have to move to be clear of the other, if that is more than `tolerance`.
    fn depth(&self, other: &Self, tolerance: f64) -> Option<f64> {
        let mut depth = f64::INFINITY;
        for axis in self.normals.iter().chain(&other.normals) {
            depth = depth.min(self.overlap(other, *axis));
            if depth <= tolerance {
                return None;
            }
        }
        // Between prisms of parallel planes no other axis can separate.
        if parallel(self.normals[0], other.normals[0]) {
            return Some(depth);
        }
        for one in &self.edges {
            for two in other.edges.iter().filter(|two| !parallel(*one, **two)) {
                depth = depth.min(self.overlap(other, one.cross(*two).normalize()));
                if depth <= tolerance {
                    return None;
                }
            }
        }
        Some(depth)
    }

    /// How far their shadows on an axis lie over each other.
    fn overlap(&self, other: &Self, axis: Vector) -> f64 {
        let ((low, high), (other_low, other_high)) = (self.shadow(axis), other.shadow(axis));
        (high - other_low).min(other_high - low)
    }

    fn shadow(&self, axis: Vector) -> (f64, f64) {
        self.corners.iter().map(|corner| corner.dot(axis)).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)))
    }
}

/// Whether two unit vectors point along one line, but for noise.
fn parallel(one: Vector, other: Vector) -> bool {
    one.cross(other).length_squared() < ROUNDING * ROUNDING
}

/// Convex parts by the flat shape that they come from: a build has many pieces, few of them distinct.
#[derive(Default)]
struct Shapes {
    all: Vec<Prism>,
    known: BTreeMap<Vec<u64>, Range<usize>>,
}

impl Shapes {
    /// Indices of the convex parts of a solid as it lies in its own plane.
    fn of(&mut self, solid: &Solid) -> Range<usize> {
        let all = &mut self.all;
        self.known
            .entry(key(solid))
            .or_insert_with(|| {
                let from = all.len();
                all.extend(solid.convex_areas().iter().map(|area| Prism::new(area, solid.heights)));
                from..all.len()
            })
            .clone()
    }
}

/// Equal for solids that differ in their pose alone.
fn key(solid: &Solid) -> Vec<u64> {
    let mut key = vec![solid.heights.0.to_bits(), solid.heights.1.to_bits()];
    for contour in solid.region.contours() {
        key.push(contour.points().len() as u64);
        key.extend(contour.points().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]));
    }
    key
}
