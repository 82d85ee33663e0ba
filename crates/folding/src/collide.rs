//! Whether solids share space, and how deeply.

use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::Pose;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};
use parry3d_f64::query;
use parry3d_f64::shape::{ConvexPolyhedron, Shape};

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
pub fn clashes(bodies: &[Vec<Solid>], tolerance: f64) -> Vec<Clash> {
    let mut parts: Vec<(usize, ConvexPolyhedron)> = Vec::new();
    for (body, solids) in bodies.iter().enumerate() {
        parts.extend(solids.iter().flat_map(Solid::convex_parts).map(|part| (body, part)));
    }
    let boxes: Vec<Aabb> = parts.iter().map(|(_, part)| part.compute_local_aabb()).collect();
    let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
    let mut deepest = std::collections::BTreeMap::new();
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
            let depth = depth(part, shape);
            if depth > tolerance {
                let known: &mut f64 = deepest.entry((*body, *other)).or_insert(0.0);
                *known = known.max(depth);
            }
        }
    }
    deepest.into_iter().map(|((one, other), depth)| Clash { one, other, depth }).collect()
}

/// How deeply two convex bodies share space; 0 where they are apart or only touch.
fn depth(one: &ConvexPolyhedron, other: &ConvexPolyhedron) -> f64 {
    let here = Pose::IDENTITY;
    match query::contact(&here, one, &here, other, 0.0) {
        Ok(Some(contact)) => (-contact.dist).max(0.0),
        _ => 0.0,
    }
}
