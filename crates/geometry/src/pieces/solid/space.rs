//! Vectors and planes in space, and whether two convex bodies share room there.

use std::ops::{Add, Mul, Neg, Sub};

use crate::tolerance;

/// A point or a direction in space, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vector {
    /// East.
    pub x: f64,
    /// North.
    pub y: f64,
    /// Up.
    pub z: f64,
}

impl Vector {
    /// From its three parts.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// The inner product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The outer product.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// Its length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The direction of it, 1 long.
    #[must_use]
    pub fn unit(self) -> Self {
        self * (1.0 / self.length())
    }

    pub(super) fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }
}

impl Add for Vector {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vector {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;

    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by, self.z * by)
    }
}

impl Neg for Vector {
    type Output = Self;

    fn neg(self) -> Self {
        self * -1.0
    }
}

/// A plane: every point whose inner product with `normal` is `level`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plane {
    pub normal: Vector,
    pub level: f64,
}

impl Plane {
    /// How far a point is beyond it, on the side of its normal.
    pub fn beyond(&self, point: Vector) -> f64 {
        self.normal.dot(point) - self.level
    }
}

/// The point that lies in all of the planes. `None` where there is none, or more than one.
pub(super) fn meet(planes: &[Plane]) -> Option<Vector> {
    // The normal equations: sum of n nT, times the point, is the sum of n times level.
    let (mut rows, mut right) = ([Vector::default(); 3], Vector::default());
    for plane in planes {
        let n = plane.normal;
        rows[0] = rows[0] + n * n.x;
        rows[1] = rows[1] + n * n.y;
        rows[2] = rows[2] + n * n.z;
        right = right + n * plane.level;
    }
    // Cramer's rule; the matrix is symmetric, so that its rows are its columns.
    let [a, b, c] = rows;
    let all = a.dot(b.cross(c));
    if all.abs() < 1e-9 {
        return None;
    }
    let point = Vector::new(right.dot(b.cross(c)) / all, a.dot(right.cross(c)) / all, a.dot(b.cross(right)) / all);
    // What is left over is arithmetic noise where the planes do meet, a few digits of it lost.
    let meets = point.is_finite() && planes.iter().all(|plane| plane.beyond(point).abs() < tolerance::SNAP);
    meets.then_some(point)
}

/// A convex prism: its area, and how far it goes down along its normal.
#[derive(Clone, Debug)]
pub(super) struct Prism {
    corners: Vec<Vector>,
    normals: Vec<Vector>,
    edges: Vec<Vector>,
}

impl Prism {
    /// From a convex area, seen counterclockwise from where its normal points, downward by `depth`.
    pub fn new(area: &[Vector], normal: Vector, depth: f64) -> Self {
        let below = area.iter().map(|corner| *corner - normal * depth);
        let corners = area.iter().copied().chain(below).collect();
        let sides = (0..area.len()).map(|i| (area[(i + 1) % area.len()] - area[i]).unit());
        let edges: Vec<Vector> = std::iter::once(normal).chain(sides).collect();
        let normals = edges.iter().enumerate().map(|(i, edge)| if i == 0 { normal } else { edge.cross(normal) });
        let normals = normals.collect();
        Self { corners, normals, edges }
    }

    pub fn corners(&self) -> &[Vector] {
        &self.corners
    }

    /// Whether two of them are apart by at least `gap`: by separating axes (S. Gottschalk, 1996),
    /// which are all there are between convex bodies.
    pub fn apart(&self, other: &Self, gap: f64) -> bool {
        let crossed = self.edges.iter().flat_map(|one| other.edges.iter().map(|two| one.cross(*two)));
        let crossed = crossed.filter(|axis| axis.length() > tolerance::SNAP).map(Vector::unit);
        let axes = self.normals.iter().chain(&other.normals).copied().chain(crossed);
        for axis in axes {
            let ((low, high), (other_low, other_high)) = (self.shadow(axis), other.shadow(axis));
            if other_low - high >= gap || low - other_high >= gap {
                return true;
            }
        }
        false
    }

    fn shadow(&self, axis: Vector) -> (f64, f64) {
        let along = self.corners.iter().map(|corner| corner.dot(axis));
        along.fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)))
    }
}
