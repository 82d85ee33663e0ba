//! Bodies that shells are made of: prisms, frusta and cones, upright, their base at z = 0.

use kurbo::Point;

use super::shell::{Face, Shell, ShellError};
use super::space::Vector;

/// Which of a body's two ends are made; the others are open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ends {
    /// The lower one.
    pub bottom: bool,
    /// The upper one.
    pub top: bool,
}

impl Ends {
    /// Both of them.
    pub const BOTH: Self = Self { bottom: true, top: true };
}

/// A regular polygon about the origin, its corners `radius` from it, counterclockwise. One of its
/// sides faces south.
#[must_use]
pub fn regular(facets: u32, radius: f64) -> Vec<Point> {
    let step = std::f64::consts::TAU / f64::from(facets);
    let at = |i: u32| {
        let angle = (f64::from(i) + 0.5) * step - std::f64::consts::FRAC_PI_2;
        Point::new(radius * angle.cos(), radius * angle.sin())
    };
    (0..facets).map(at).collect()
}

/// A rectangle from the origin.
#[must_use]
pub fn rectangle(along: f64, across: f64) -> Vec<Point> {
    [(0.0, 0.0), (along, 0.0), (along, across), (0.0, across)].map(Point::from).to_vec()
}

/// Names of the sides of a stack, from the lowest frustum up: what is of one name stays together.
const SIDES: [&str; 4] = ["side", "second side", "third side", "upper side"];

/// A stack of frusta: polygons of equally many corners, counterclockwise from above, each higher
/// than the one before. Two of them make a prism or a frustum.
///
/// # Errors
/// [`ShellError`] where the faces between them are not flat, or close no body.
pub fn stack(rings: &[(Vec<Point>, f64)], ends: Ends) -> Result<Shell, ShellError> {
    let n = rings.first().map_or(0, |(ring, _)| ring.len());
    if rings.len() < 2 || n < 3 || rings.iter().any(|(ring, _)| ring.len() != n) {
        return Err(ShellError::Faces(n));
    }
    let points = rings.iter().flat_map(|(ring, z)| ring.iter().map(|p| Vector::new(p.x, p.y, *z))).collect();
    let mut faces = vec![Face { name: "bottom", corners: (0..n).rev().collect(), made: ends.bottom }];
    for level in 0..rings.len() - 1 {
        let (low, high) = (level * n, (level + 1) * n);
        faces.extend((0..n).map(|i| {
            let next = (i + 1) % n;
            Face {
                name: SIDES[level.min(SIDES.len() - 1)],
                corners: vec![low + i, low + next, high + next, high + i],
                made: true,
            }
        }));
    }
    let last = (rings.len() - 1) * n;
    faces.push(Face { name: "top", corners: (last..last + n).collect(), made: ends.top });
    Shell::new(points, faces)
}

/// A cone or pyramid: a polygon, counterclockwise from above, under a point.
///
/// # Errors
/// [`ShellError`] where it closes no body.
pub fn cone(base: &[Point], apex: Vector, bottom: bool) -> Result<Shell, ShellError> {
    let n = base.len();
    let points = base.iter().map(|p| Vector::new(p.x, p.y, 0.0)).chain([apex]).collect();
    let mut faces = vec![Face { name: "bottom", corners: (0..n).rev().collect(), made: bottom }];
    faces.extend((0..n).map(|i| Face { name: "side", corners: vec![i, (i + 1) % n, n], made: true }));
    Shell::new(points, faces)
}
