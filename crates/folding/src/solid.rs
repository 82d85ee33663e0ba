//! Prisms in space: what a flat panel of some thickness is when it has been folded and placed.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::Region;
use kurbo::Point;
use parry3d_f64::math::{Pose, Vector};

/// A flat area between two heights, somewhere in space. Millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// The area, in its own plane.
    pub region: Region,
    /// Heights of its lower and upper face above that plane.
    pub heights: (f64, f64),
    /// Where its plane lies.
    pub pose: Pose,
}

impl Solid {
    /// The volume, mm³.
    #[must_use]
    pub fn volume(&self) -> f64 {
        self.region.area() * (self.heights.1 - self.heights.0)
    }

    /// The same solid after a further motion.
    #[must_use]
    pub fn moved(&self, motion: Pose) -> Self {
        Self { region: self.region.clone(), heights: self.heights, pose: motion * self.pose }
    }

    /// A point of its plane at a height, in space.
    #[must_use]
    pub fn at(&self, point: Point, height: f64) -> Vector {
        self.pose * Vector::new(point.x, point.y, height)
    }

    /// Its corners, lower face first, contour by contour, in space.
    pub fn corners(&self) -> impl Iterator<Item = Vector> + '_ {
        let (low, high) = self.heights;
        let points = || self.region.contours().flat_map(Contour::points);
        points().map(move |p| self.at(*p, low)).chain(points().map(move |p| self.at(*p, high)))
    }

    /// Triangles of its area: indices into the points of its contours in turn.
    #[must_use]
    pub fn triangles(&self) -> Vec<[usize; 3]> {
        let mut flat = Vec::new();
        let mut holes = Vec::new();
        for (i, contour) in self.region.contours().enumerate() {
            if i > 0 {
                holes.push(flat.len() / 2);
            }
            flat.extend(contour.points().iter().flat_map(|p| [p.x, p.y]));
        }
        // A contour that cannot be triangulated does not exist: contours are simple by construction.
        let indices = earcutr::earcut(&flat, &holes, 2).unwrap_or_default();
        indices.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect()
    }

    /// Its area in convex pieces, counterclockwise: triangles, joined with a neighbour while the join stays convex.
    #[must_use]
    pub fn convex_areas(&self) -> Vec<Vec<Point>> {
        let points: Vec<Point> = self.region.contours().flat_map(Contour::points).copied().collect();
        let mut areas: Vec<Vec<usize>> = self.triangles().iter().map(|t| counterclockwise(&points, *t)).collect();
        let mut i = 0;
        while i < areas.len() {
            let joined = (i + 1..areas.len()).find_map(|j| Some((j, join(&points, &areas[i], &areas[j])?)));
            match joined {
                Some((j, area)) => {
                    areas[i] = area;
                    areas.swap_remove(j);
                }
                None => i += 1,
            }
        }
        areas.into_iter().map(|area| area.into_iter().map(|k| points[k]).collect()).collect()
    }
}

fn counterclockwise(points: &[Point], [a, b, c]: [usize; 3]) -> Vec<usize> {
    if turn(points, a, b, c) < 0.0 { vec![a, c, b] } else { vec![a, b, c] }
}

fn turn(points: &[Point], a: usize, b: usize, c: usize) -> f64 {
    (points[b] - points[a]).cross(points[c] - points[b])
}

/// Two convex areas that share a side as one, where that is convex.
fn join(points: &[Point], a: &[usize], b: &[usize]) -> Option<Vec<usize>> {
    let (n, m) = (a.len(), b.len());
    for i in 0..n {
        let (from, to) = (a[i], a[(i + 1) % n]);
        let Some(j) = (0..m).find(|&j| b[j] == to && b[(j + 1) % m] == from) else { continue };
        // a from `to` round to `from`, then b from after `from` round to before `to`.
        let mut area: Vec<usize> = (0..n).map(|k| a[(i + 1 + k) % n]).collect();
        area.extend((2..m).map(|k| b[(j + k) % m]));
        let l = area.len();
        let convex = (0..l).all(|k| turn(points, area[k], area[(k + 1) % l], area[(k + 2) % l]) >= 0.0);
        return convex.then_some(area);
    }
    None
}
