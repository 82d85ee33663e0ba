//! Cobbles: the cells of a Voronoi diagram, each drawn in by half a joint.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::Point;
use spade::{DelaunayTriangulation, HasPosition, Point2, Triangulation as _};

use super::stone::{self, Finish};
use super::{Cobbles, Draw};
use crate::swatch::Element;

/// A stone's place: its row, its place in the row, and whether this is the square's own one.
struct Seat {
    at: Point2<f64>,
    row: i64,
    column: i64,
}

impl HasPosition for Seat {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// So many rows of stones along each side sit the same in all variants: stones there, and their
/// neighbours, settle what crosses the side. Two are too few where stones stray furthest.
const SHARED: i64 = 3;

impl Cobbles {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let n = i64::from(self.across.max(2));
        // One more ring of rows than can touch a stone of this square.
        let around = -(SHARED + 2)..n + SHARED + 2;
        let mut seats: Vec<Seat> = Vec::new();
        for row in around.clone() {
            seats.extend(around.clone().map(|column| self.seat(draw, row, column)));
        }
        let Ok(triangles) = DelaunayTriangulation::<Seat>::bulk_load_stable(seats) else { return Vec::new() };
        let mut elements = Vec::new();
        for face in triangles.voronoi_faces() {
            let seat = face.as_delaunay_vertex();
            let (row, column) = (seat.data().row, seat.data().column);
            if !(0..n).contains(&row) || !(0..n).contains(&column) {
                continue;
            }
            let corners: Option<Vec<Point>> =
                face.adjacent_edges().map(|edge| edge.from().position().map(|p| Point::new(p.x, p.y))).collect();
            let Some(outline) = corners.and_then(|corners| self.drawn_in(corners)) else { continue };
            let inside = outline.iter().all(|p| p.x > 0.0 && p.y > 0.0 && p.x < draw.side && p.y < draw.side);
            let mut chance = draw.chance(!inside, &[1, row as u64, column as u64]);
            let finish = Finish { tones: &self.tones, mottle: self.mottle, bevel: self.bevel, light: stone::LIGHT };
            let corner = self.round * shortest_reach(&outline);
            elements.extend(stone::stone(&outline, corner, &finish, &mut chance));
        }
        elements
    }

    /// Where a stone sits; outside the square as its image inside does.
    fn seat(&self, draw: &Draw, row: i64, column: i64) -> Seat {
        let n = i64::from(self.across.max(2));
        let (r, c) = (row.rem_euclid(n), column.rem_euclid(n));
        let outside = row != r || column != c;
        let shared = outside || is_shared(r, n) || is_shared(c, n);
        let mut chance = draw.chance(shared, &[r as u64, c as u64]);
        let pitch = draw.side / n as f64;
        let stray = |part: f64| (part - 0.5) * self.jitter * pitch;
        // Every other row is half a stone further; with an even number of rows it meets itself.
        let shift = if r % 2 == 1 { 0.75 } else { 0.25 };
        let x = (column as f64 + shift) * pitch + stray(chance.part());
        let y = (row as f64 + 0.5) * pitch + stray(chance.part());
        Seat { at: Point2::new(x, y), row, column }
    }

    /// The outline less half a joint all round; nothing where nothing is left.
    fn drawn_in(&self, corners: Vec<Point>) -> Option<Vec<Point>> {
        let cell = Region::from(Contour::new(corners).ok()?);
        let inner = region::offset(&[cell], Mm::new(-self.joint / 2.0));
        inner.first().map(|region| region.outer.points().to_vec())
    }
}

fn is_shared(place: i64, n: i64) -> bool {
    place < SHARED || place >= n - SHARED
}

/// Half the mean side: the longest curve that most corners have room for.
fn shortest_reach(outline: &[Point]) -> f64 {
    let n = outline.len();
    let around: f64 = (0..n).map(|i| outline[i].distance(outline[(i + 1) % n])).sum();
    around / n as f64 / 2.0 * 1.2
}
