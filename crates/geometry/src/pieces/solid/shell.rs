//! A polyhedral shell: planar faces that close a body, some of which may be left open.

use std::collections::BTreeMap;

use super::space::{Plane, Vector, meet};
use crate::tolerance;

/// The most faces of a shell: far above what can still be folded by hand.
pub const MOST_FACES: usize = 80;
/// Least angle between two faces that meet, radians: 2 degrees. Below it they are one face.
const LEAST_TURN: f64 = 0.035;

/// One face of a shell.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// Its name, such as `side`.
    pub name: &'static str,
    /// Its corners as indices, counterclockwise as seen from outside.
    pub corners: Vec<usize>,
    /// Whether it is made; one that is not is an opening.
    pub made: bool,
}

/// For each side, by its first and its last corner: the face and which of its sides it is.
type Sides = BTreeMap<(usize, usize), (usize, usize)>;

/// Why faces are no shell.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ShellError {
    /// A coordinate that is infinite or not a number.
    #[error("corner {0} is not finite")]
    NotFinite(usize),
    /// Too many faces, or fewer than four.
    #[error("it has {0} faces; it takes 4 to {MOST_FACES}")]
    Faces(usize),
    /// A face that is not flat, crosses itself or has no area.
    #[error("the face \"{0}\" is not a flat polygon")]
    NotFlat(&'static str),
    /// A side of a face that no other face goes along, or more than one.
    #[error("a side of \"{0}\" does not meet one other face")]
    NotClosed(&'static str),
    /// Two neighbours that are one plane, or fold flat onto each other.
    #[error("\"{0}\" and \"{1}\" meet at an angle that cannot be folded")]
    NoFold(&'static str, &'static str),
    /// Faces that have no common corner any more when they are moved.
    #[error("the card's thickness leaves nothing of it, or its faces no common corner")]
    NoInside,
}

/// A side that two made faces share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ridge {
    /// The two faces; the first one has its corners in the order of `ends`.
    pub faces: [usize; 2],
    /// Which side of each it is.
    pub sides: [usize; 2],
    /// Its corners, in the first face's order.
    pub ends: [usize; 2],
    /// By how much the faces turn away from being one plane, radians.
    pub turn: f64,
    /// Whether the body bulges there: a mountain fold seen from outside.
    pub mountain: bool,
}

/// A closed body of flat faces, its outside where their normals point. Millimetres.
///
/// Every side is shared by two faces; what is open is a face that is not [made](Face::made).
#[derive(Clone, Debug, PartialEq)]
pub struct Shell {
    points: Vec<Vector>,
    faces: Vec<Face>,
}

impl Shell {
    /// The shell of these faces.
    ///
    /// # Errors
    /// [`ShellError`] where they do not close a body, or one of them is not flat.
    pub fn new(points: Vec<Vector>, faces: Vec<Face>) -> Result<Self, ShellError> {
        if let Some(bad) = points.iter().position(|point| !point.is_finite()) {
            return Err(ShellError::NotFinite(bad));
        }
        if !(4..=MOST_FACES).contains(&faces.len()) {
            return Err(ShellError::Faces(faces.len()));
        }
        let shell = Self { points, faces };
        for (i, face) in shell.faces.iter().enumerate() {
            let known = face.corners.len() >= 3 && face.corners.iter().all(|corner| *corner < shell.points.len());
            let short = |i: usize| {
                let n = face.corners.len();
                (shell.points[face.corners[(i + 1) % n]] - shell.points[face.corners[i]]).length() < tolerance::FIT
            };
            if !known || (0..face.corners.len()).any(short) || shell.sum(i).length() < tolerance::FIT {
                return Err(ShellError::NotFlat(face.name));
            }
            let plane = shell.plane(i);
            if face.corners.iter().any(|corner| plane.beyond(shell.points[*corner]).abs() > tolerance::SNAP) {
                return Err(ShellError::NotFlat(face.name));
            }
        }
        shell.pairs()?;
        for ridge in shell.ridges() {
            if ridge.turn < LEAST_TURN || ridge.turn > std::f64::consts::PI - LEAST_TURN {
                let [a, b] = ridge.faces.map(|face| shell.faces[face].name);
                return Err(ShellError::NoFold(a, b));
            }
        }
        Ok(shell)
    }

    /// Its corners.
    #[must_use]
    pub fn points(&self) -> &[Vector] {
        &self.points
    }

    /// Its faces.
    #[must_use]
    pub fn faces(&self) -> &[Face] {
        &self.faces
    }

    /// The outward normal of a face, 1 long.
    #[must_use]
    pub fn normal(&self, face: usize) -> Vector {
        self.sum(face).unit()
    }

    /// The area of a face, mm².
    #[must_use]
    pub fn area(&self, face: usize) -> f64 {
        self.sum(face).length() / 2.0
    }

    /// The volume inside, mm³: negative where the faces point inward.
    #[must_use]
    pub fn volume(&self) -> f64 {
        // Pyramids from the origin over every face.
        (0..self.faces.len()).map(|i| self.plane(i).level * self.area(i) / 3.0).sum()
    }

    /// The corners of a face in space.
    pub(super) fn corners(&self, face: usize) -> Vec<Vector> {
        self.faces[face].corners.iter().map(|corner| self.points[*corner]).collect()
    }

    /// Twice its area along its normal (M. E. Newell's method).
    fn sum(&self, face: usize) -> Vector {
        let corners = self.corners(face);
        let n = corners.len();
        // From a corner of its own, so that no digits are lost far out.
        let from = corners[0];
        let crossed = (0..n).map(|i| (corners[i] - from).cross(corners[(i + 1) % n] - from));
        crossed.fold(Vector::default(), |sum, v| sum + v)
    }

    pub(super) fn plane(&self, face: usize) -> Plane {
        let normal = self.normal(face);
        Plane { normal, level: normal.dot(self.points[self.faces[face].corners[0]]) }
    }

    /// For each side, from its first to its last corner: the face and which of its sides it is.
    fn pairs(&self) -> Result<Sides, ShellError> {
        let mut sides = BTreeMap::new();
        for (i, face) in self.faces.iter().enumerate() {
            let n = face.corners.len();
            for side in 0..n {
                let ends = (face.corners[side], face.corners[(side + 1) % n]);
                if sides.insert(ends, (i, side)).is_some() {
                    return Err(ShellError::NotClosed(face.name));
                }
            }
        }
        let open = sides.iter().find(|((from, to), _)| !sides.contains_key(&(*to, *from)));
        match open {
            Some((_, (face, _))) => Err(ShellError::NotClosed(self.faces[*face].name)),
            None => Ok(sides),
        }
    }

    /// Every side that two made faces share, in the order of their corners.
    pub(super) fn ridges(&self) -> Vec<Ridge> {
        let sides = self.pairs().unwrap_or_default();
        let mut ridges = Vec::new();
        for (&(from, to), &(face, side)) in &sides {
            let Some(&(other, other_side)) = sides.get(&(to, from)).filter(|_| from < to) else { continue };
            if !self.faces[face].made || !self.faces[other].made {
                continue;
            }
            let (one, two) = (self.normal(face), self.normal(other));
            let crossed = one.cross(two);
            ridges.push(Ridge {
                faces: [face, other],
                sides: [side, other_side],
                ends: [from, to],
                turn: crossed.length().atan2(one.dot(two)),
                mountain: crossed.dot(self.points[to] - self.points[from]) > 0.0,
            });
        }
        ridges
    }

    /// Whether no corner lies beyond the plane of any face.
    pub(super) fn is_convex(&self) -> bool {
        let inside = |face: usize| {
            let plane = self.plane(face);
            self.points.iter().all(|point| plane.beyond(*point) < tolerance::FIT)
        };
        (0..self.faces.len()).all(inside)
    }

    /// The shell, higher by `by`.
    #[must_use]
    pub fn raised(mut self, by: f64) -> Self {
        self.points.iter_mut().for_each(|point| point.z += by);
        self
    }

    /// The shell inside this one, every made face moved inward by `by`; openings stay where they are.
    ///
    /// # Errors
    /// [`ShellError::NoInside`] where the moved faces have no common corners, or nothing is left.
    pub fn inset(&self, by: f64) -> Result<Self, ShellError> {
        let plane = |face: usize| {
            let plane = self.plane(face);
            Plane { level: plane.level - if self.faces[face].made { by } else { 0.0 }, ..plane }
        };
        let moved = |point: usize| {
            let there = (0..self.faces.len()).filter(|face| self.faces[*face].corners.contains(&point));
            meet(&there.map(plane).collect::<Vec<_>>()).ok_or(ShellError::NoInside)
        };
        let points = (0..self.points.len()).map(moved).collect::<Result<Vec<_>, _>>()?;
        // What has been turned over runs against its old sides.
        for face in &self.faces {
            let n = face.corners.len();
            for i in 0..n {
                let (from, to) = (face.corners[i], face.corners[(i + 1) % n]);
                if (points[to] - points[from]).dot(self.points[to] - self.points[from]) <= tolerance::FIT {
                    return Err(ShellError::NoInside);
                }
            }
        }
        Self::new(points, self.faces.clone()).map_err(|_| ShellError::NoInside)
    }
}
