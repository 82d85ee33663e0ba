//! From a shell to flat faces that hang together: which sides are folds, and where each face lies.

use std::cell::Cell;
use std::cmp::Reverse;

use kurbo::{Affine, Point, Vec2};

use super::plane;
use super::shell::{Ridge, Shell};
use super::space::Plane;
use crate::parameters::Parameters;
use crate::tolerance;
use crate::units::Angle;

/// Faces that belong to no fold are apart by this in the flat, mm: above noise, below a tool's gap.
const APART: f64 = 10.0 * tolerance::SNAP;

/// A shell with what its card does to it.
pub(super) struct Body<'a> {
    pub shell: &'a Shell,
    pub ridges: Vec<Ridge>,
    /// Corners of each face in its own plane: its first one at the origin, its first side along x.
    pub flat: Vec<Vec<Point>>,
    pub card: f64,
    /// Flat length that each ridge's fold uses.
    pub allowance: Vec<f64>,
    /// The planes of the faces.
    pub planes: Vec<Plane>,
    /// For each side of each face its ridge, and which of the ridge's two faces it is; none beside
    /// an opening.
    sides: Vec<Vec<Option<(usize, usize)>>>,
    /// How many flaps have been looked at, in all ways of unfolding together.
    pub looks: Cell<usize>,
}

impl<'a> Body<'a> {
    pub fn new(p: &Parameters, shell: &'a Shell) -> Self {
        let ridges = shell.ridges();
        let allowance =
            ridges.iter().map(|r| p.fold_allowance(Angle::degrees(r.turn.to_degrees()), p.card).get()).collect();
        let faces = 0..shell.faces().len();
        let flat: Vec<Vec<Point>> = faces.clone().map(|face| flat(shell, face)).collect();
        let planes = faces.map(|face| shell.plane(face)).collect();
        let mut sides: Vec<Vec<_>> = flat.iter().map(|corners| vec![None; corners.len()]).collect();
        for (index, ridge) in ridges.iter().enumerate() {
            for end in [0, 1] {
                sides[ridge.faces[end]][ridge.sides[end]] = Some((index, end));
            }
        }
        Self { shell, ridges, flat, card: p.card.get(), allowance, planes, sides, looks: Cell::new(0) }
    }

    pub fn length(&self, ridge: usize) -> f64 {
        let [from, to] = self.ridges[ridge].ends.map(|end| self.shell.points()[end]);
        (to - from).length()
    }

    /// How far a fold keeps both its faces back from where they meet: at a valley the printed faces
    /// meet, a caliper above the shell.
    pub fn back(&self, ridge: usize) -> f64 {
        let Ridge { turn, mountain, .. } = self.ridges[ridge];
        if mountain { 0.0 } else { self.card * (turn / 2.0).tan() }
    }

    /// Ridges of a face: index, which of the ridge's two faces it is, and which side of it.
    pub fn around(&self, face: usize) -> impl Iterator<Item = (usize, usize, usize)> + '_ {
        let sides = self.sides[face].iter().enumerate();
        sides.filter_map(|(side, ridge)| ridge.map(|(ridge, end)| (ridge, end, side)))
    }

    /// The ridge at a side of a face, and which of its two faces that is.
    pub fn beside(&self, face: usize, side: usize) -> Option<(usize, usize)> {
        self.sides[face][side]
    }

    /// A face with each side moved inward by its offset. `None` where that turns a side round.
    pub fn core(&self, face: usize, offsets: &[f64]) -> Option<Vec<Point>> {
        let corners = &self.flat[face];
        let n = corners.len();
        let line = |side: usize| {
            let along = (corners[(side + 1) % n] - corners[side]).normalize();
            (corners[side] + Vec2::new(-along.y, along.x) * offsets[side], along)
        };
        let core: Vec<Point> = (0..n)
            .map(|i| {
                let ((a, one), (b, two)) = (line((i + n - 1) % n), line(i));
                if one.cross(two).abs() < tolerance::SNAP {
                    // Straight through, where a third face ends: as far in as the farther of its sides.
                    let inward = offsets[i].max(offsets[(i + n - 1) % n]);
                    return corners[i] + Vec2::new(-two.y, two.x) * inward;
                }
                a + one * ((b - a).cross(two) / one.cross(two))
            })
            .collect();
        let kept = (0..n).all(|i| (core[(i + 1) % n] - core[i]).dot(line(i).1) > tolerance::FIT);
        kept.then_some(core)
    }

    /// Inward offsets of a face's sides: valleys that are folded, and the sides that are glued as
    /// `glued` says.
    pub fn offsets(&self, face: usize, hinged: &[bool], glued: impl Fn(usize, usize) -> f64) -> Vec<f64> {
        let mut offsets = vec![0.0; self.flat[face].len()];
        for (ridge, end, side) in self.around(face) {
            offsets[side] = if hinged[ridge] { self.back(ridge) } else { glued(ridge, end) };
        }
        offsets
    }

    /// A point of a face's plane: along one of its sides, and outward from it.
    pub fn at(&self, face: usize, side: usize, along: f64, out: f64) -> Point {
        let corners = &self.flat[face];
        let from = corners[side];
        let direction = (corners[(side + 1) % corners.len()] - from).normalize();
        from + direction * along + Vec2::new(direction.y, -direction.x) * out
    }

    /// How far along a side a point lies.
    pub fn along(&self, face: usize, side: usize, point: Point) -> f64 {
        let corners = &self.flat[face];
        let from = corners[side];
        (point - from).dot((corners[(side + 1) % corners.len()] - from).normalize())
    }
}

/// The corners of a face in its own plane, seen from outside.
fn flat(shell: &Shell, face: usize) -> Vec<Point> {
    let corners = shell.corners(face);
    let along = (corners[1] - corners[0]).unit();
    let across = shell.normal(face).cross(along);
    corners.iter().map(|corner| *corner - corners[0]).map(|v| Point::new(v.dot(along), v.dot(across))).collect()
}

/// Faces in the plane, in one or several nets.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// Whether a ridge is a fold; the others are glued.
    pub hinged: Vec<bool>,
    /// Faces of each net, each after the one that it hangs on.
    pub nets: Vec<Vec<usize>>,
    /// For each face the ridge that it hangs on; none for the first of a net.
    pub hangs_on: Vec<Option<usize>>,
    /// Which net each face is in; none for openings.
    pub net_of: Vec<Option<usize>>,
    /// From each face's plane to that of its net.
    pub motion: Vec<Affine>,
}

/// How a tree of folds grows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Growth {
    /// By its longest sides: the least is glued.
    Longest,
    /// Round the first face, then round those.
    Star,
}

/// The folds of one net of all faces, by Prim's tree from `root`. Valleys come first, since they
/// cannot be glued.
pub(super) fn tree(body: &Body<'_>, root: usize, growth: Growth) -> Vec<bool> {
    let mut hinged = vec![false; body.ridges.len()];
    let mut depth: Vec<Option<usize>> = vec![None; body.flat.len()];
    grow(body, root, growth, &mut hinged, &mut depth, |_, _| true);
    hinged
}

/// The folds of several nets: each grows by its longest sides as far as `joins` lets it, which is
/// asked of two faces that share a side.
pub(super) fn grown(body: &Body<'_>, joins: impl Fn(&Body<'_>, [usize; 2]) -> bool) -> Vec<bool> {
    let mut hinged = vec![false; body.ridges.len()];
    let mut depth: Vec<Option<usize>> = vec![None; body.flat.len()];
    for root in 0..body.flat.len() {
        if body.shell.faces()[root].made && depth[root].is_none() {
            grow(body, root, Growth::Longest, &mut hinged, &mut depth, &joins);
        }
    }
    hinged
}

fn grow(
    body: &Body<'_>,
    root: usize,
    growth: Growth,
    hinged: &mut [bool],
    depth: &mut [Option<usize>],
    joins: impl Fn(&Body<'_>, [usize; 2]) -> bool,
) {
    depth[root] = Some(0);
    loop {
        let best = (0..body.ridges.len())
            .filter_map(|ridge| {
                let [a, b] = body.ridges[ridge].faces;
                if body.ridges[ridge].mountain && !joins(body, [a, b]) {
                    return None;
                }
                let (from, to) = match (depth[a], depth[b]) {
                    (Some(from), None) => (from, b),
                    (None, Some(from)) => (from, a),
                    _ => return None,
                };
                // Whole micrometres, so that equal sides are equal.
                #[expect(clippy::cast_possible_truncation, reason = "shells are metres large at most")]
                let length = (body.length(ridge) * 1e3).round() as i64;
                let near = if growth == Growth::Star { from } else { 0 };
                Some(((body.ridges[ridge].mountain, near, Reverse(length), ridge), from, to))
            })
            .min_by_key(|(key, ..)| *key);
        let Some(((.., ridge), from, to)) = best else { return };
        hinged[ridge] = true;
        depth[to] = Some(from + 1);
    }
}

/// Lays the faces out by their folds, each net from its largest face on; none hang together
/// without a fold.
pub(super) fn lay(body: &Body<'_>, hinged: &[bool]) -> Layout {
    let faces = body.flat.len();
    let made: Vec<usize> = (0..faces).filter(|face| body.shell.faces()[*face].made).collect();
    let mut layout = Layout {
        hinged: hinged.to_vec(),
        nets: Vec::new(),
        hangs_on: vec![None; faces],
        net_of: vec![None; faces],
        motion: vec![Affine::IDENTITY; faces],
    };
    let mut by_size = made;
    by_size.sort_by(|a, b| body.shell.area(*b).total_cmp(&body.shell.area(*a)).then(a.cmp(b)));
    for root in by_size {
        if layout.net_of[root].is_some() {
            continue;
        }
        let net = layout.nets.len();
        layout.net_of[root] = Some(net);
        let mut order = vec![root];
        let mut next = 0;
        while next < order.len() {
            let face = order[next];
            next += 1;
            for (ridge, end, side) in body.around(face) {
                let other = body.ridges[ridge].faces[1 - end];
                if !hinged[ridge] || layout.net_of[other].is_some() {
                    continue;
                }
                layout.net_of[other] = Some(net);
                layout.hangs_on[other] = Some(ridge);
                let gap = body.allowance[ridge] - 2.0 * body.back(ridge);
                let length = body.length(ridge);
                let there = [length, 0.0].map(|along| layout.motion[face] * body.at(face, side, along, gap));
                let here = [0.0, length].map(|along| body.at(other, body.ridges[ridge].sides[1 - end], along, 0.0));
                layout.motion[other] = onto(here, there);
                order.push(other);
            }
        }
        layout.nets.push(order);
    }
    layout
}

/// The motion that carries one pair of points to another as far apart.
fn onto([a, b]: [Point; 2], [to_a, to_b]: [Point; 2]) -> Affine {
    let (from, to) = ((b - a).normalize(), (to_b - to_a).normalize());
    let (cos, sin) = (from.dot(to), from.cross(to));
    let turn = Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
    Affine::translate(to_a - turn * a) * turn
}

impl Layout {
    /// Two faces of one net that lie over each other; none where it can be cut.
    pub fn overlap(&self, body: &Body<'_>) -> Option<(usize, usize)> {
        let laid: Vec<Option<Vec<Point>>> = (0..body.flat.len())
            .map(|face| {
                let core = body.core(face, &body.offsets(face, &self.hinged, |_, _| 0.0))?;
                Some(core.into_iter().map(|point| self.motion[face] * point).collect())
            })
            .collect();
        for net in &self.nets {
            for (i, one) in net.iter().enumerate() {
                for other in &net[i + 1..] {
                    let joined = [*one, *other].iter().any(|face| {
                        let on = self.hangs_on[*face].map(|ridge| body.ridges[ridge].faces);
                        on.is_some_and(|faces| faces.contains(one) && faces.contains(other))
                    });
                    let over = match (&laid[*one], &laid[*other]) {
                        (Some(a), Some(b)) => !joined && !plane::apart(a, b, APART),
                        _ => true,
                    };
                    if over {
                        return Some((*one, *other));
                    }
                }
            }
        }
        None
    }

    /// The fold to cut so that two faces of a net come into two: on the way between them, beside
    /// the face of most corners; of several such the shortest.
    pub fn cut_between(&self, body: &Body<'_>, one: usize, other: usize) -> Option<usize> {
        let up = |mut face: usize| {
            let mut path = Vec::new();
            while let Some(ridge) = self.hangs_on[face] {
                path.push(ridge);
                let order = |f: usize| self.nets[self.net_of[f].unwrap_or(0)].iter().position(|g| *g == f);
                let [a, b] = body.ridges[ridge].faces;
                face = if order(a) < order(b) { a } else { b };
            }
            path
        };
        let (a, b) = (up(one), up(other));
        let way = a.iter().filter(|r| !b.contains(r)).chain(b.iter().filter(|r| !a.contains(r)));
        let corners = |ridge: usize| body.ridges[ridge].faces.map(|face| body.flat[face].len()).into_iter().max();
        way.filter(|ridge| body.ridges[**ridge].mountain).copied().min_by(|a, b| {
            corners(*b).cmp(&corners(*a)).then(body.length(*a).total_cmp(&body.length(*b))).then(a.cmp(b))
        })
    }
}
