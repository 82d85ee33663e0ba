//! Which face is drawn before which: a binary space partition over the faces (Fuchs, Kedem, Naylor:
//! On visible surface generation by a priori tree structures, SIGGRAPH 1980).
//!
//! The direction of view is fixed and every face looks at the viewer, so the viewer is in front of
//! every plane. The tree is therefore walked as it is built: what lies behind a face's plane, the
//! faces in it, what lies in front.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use kurbo::{Point, Vec2};

use super::camera::{Space, dot};
use super::faces::Face;

/// How many faces are tried as the next divider.
const TRIALS: usize = 12;
/// What a divided face weighs against one more on the larger side.
const DIVIDED: usize = 6;

/// A face, or what is left of it in one part of space.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Index of its face.
    pub face: usize,
    /// Its area, in the face's own plane.
    pub region: Region,
    /// The parts of its outline that are drawn as lines, its area on their left.
    pub lines: Vec<(Point, Point)>,
}

/// The faces in the order in which they are drawn. Where one is divided, the part behind reaches
/// `overlap` mm past the line between the two, so that no gap shows there.
pub(super) fn back_to_front(faces: &[Face], overlap: f64) -> Vec<Piece> {
    enum Task {
        Sort(Vec<Piece>),
        Draw(Vec<Piece>),
    }
    let whole = faces.iter().enumerate();
    let whole = whole.map(|(face, f)| Piece { face, region: f.region.clone(), lines: f.lines.clone() });
    let mut tasks = vec![Task::Sort(whole.collect())];
    let mut drawn = Vec::with_capacity(faces.len());
    while let Some(task) = tasks.pop() {
        match task {
            Task::Draw(mut pieces) => {
                pieces.sort_by_key(|piece| (faces[piece.face].over, piece.face));
                drawn.extend(pieces);
            }
            Task::Sort(pieces) if pieces.len() < 2 => drawn.extend(pieces),
            Task::Sort(pieces) => {
                let plane = divider(faces, &pieces);
                let (mut behind, mut within, mut before) = (Vec::new(), Vec::new(), Vec::new());
                for piece in pieces {
                    match plane.side(faces, &piece) {
                        Side::Within => within.push(piece),
                        Side::Behind => behind.push(piece),
                        Side::Before => before.push(piece),
                        Side::Both => {
                            let cut = plane.cut(&faces[piece.face]);
                            behind.extend(cut.part(&piece, -1.0, overlap));
                            before.extend(cut.part(&piece, 1.0, 0.0));
                        }
                    }
                }
                tasks.push(Task::Sort(before));
                tasks.push(Task::Draw(within));
                tasks.push(Task::Sort(behind));
            }
        }
    }
    drawn
}

/// The parts of a face above a height.
pub(super) fn above(face: &Face, height: f64) -> Vec<Region> {
    let plane = Plane { normal: [0.0, 0.0, 1.0], at: height };
    let faces = std::slice::from_ref(face);
    let whole = Piece { face: 0, region: face.region.clone(), lines: Vec::new() };
    match plane.side(faces, &whole) {
        Side::Before => vec![whole.region],
        Side::Both => plane.cut(face).part(&whole, 1.0, 0.0).into_iter().map(|part| part.region).collect(),
        Side::Behind | Side::Within => Vec::new(),
    }
}

/// Where a piece lies to a plane.
enum Side {
    Behind,
    Within,
    Before,
    Both,
}

/// The points whose product with `normal` is `at`.
#[derive(Clone, Copy)]
struct Plane {
    normal: Space,
    at: f64,
}

impl Plane {
    fn of(face: &Face) -> Self {
        Self { normal: face.frame.normal, at: dot(face.frame.normal, face.frame.origin) }
    }

    /// The plane as a line in the plane of a face.
    fn cut(&self, face: &Face) -> Cut {
        let along = Vec2::new(dot(self.normal, face.frame.across), dot(self.normal, face.frame.along));
        let off = dot(self.normal, face.frame.origin) - self.at;
        Cut { along, off }
    }

    fn side(&self, faces: &[Face], piece: &Piece) -> Side {
        let cut = self.cut(&faces[piece.face]);
        let (mut low, mut high) = (f64::MAX, f64::MIN);
        for point in piece.region.outer.points() {
            let d = cut.distance(*point);
            low = low.min(d);
            high = high.max(d);
        }
        match (low < -tolerance::FIT, high > tolerance::FIT) {
            (false, false) => Side::Within,
            (true, false) => Side::Behind,
            (false, true) => Side::Before,
            (true, true) => Side::Both,
        }
    }
}

/// The plane of that face, among a few, which divides the fewest others and leaves the sides even.
///
/// A cover comes before all others: what it hides is then drawn before it, and never divides it.
fn divider(faces: &[Face], pieces: &[Piece]) -> Plane {
    if let Some(cover) = pieces.iter().find(|piece| faces[piece.face].over) {
        return Plane::of(&faces[cover.face]);
    }
    let step = pieces.len().div_ceil(TRIALS);
    // Enough to tell good from bad.
    let sample = pieces.len().div_ceil(256);
    let cost = |plane: &Plane| {
        let (mut behind, mut before, mut divided) = (0_usize, 0_usize, 0_usize);
        for piece in pieces.iter().step_by(sample) {
            match plane.side(faces, piece) {
                Side::Behind => behind += 1,
                Side::Before => before += 1,
                Side::Both => divided += 1,
                Side::Within => {}
            }
        }
        behind.max(before) + DIVIDED * divided
    };
    let planes = pieces.iter().step_by(step).map(|piece| Plane::of(&faces[piece.face]));
    let best = planes.min_by_key(cost);
    best.unwrap_or(Plane { normal: [0.0, 0.0, 1.0], at: 0.0 })
}

/// A line in a face's plane: the points where `along * p + off` is 0; the plane's front is where it
/// is above.
#[derive(Clone, Copy)]
struct Cut {
    along: Vec2,
    off: f64,
}

impl Cut {
    fn distance(&self, p: Point) -> f64 {
        self.along.dot(p.to_vec2()) + self.off
    }

    /// What of a piece lies in front (`way` 1) or behind (`way` -1), and `reach` mm beyond.
    fn part(&self, piece: &Piece, way: f64, reach: f64) -> Vec<Piece> {
        let slope = self.along.hypot();
        let kept = Cut { along: self.along * way / slope, off: self.off * way / slope + reach };
        // Lines end at the cut: what the overlap adds is drawn again by the part in front.
        let bare = Cut { off: kept.off - reach, ..kept };
        let lines: Vec<(Point, Point)> = piece.lines.iter().filter_map(|line| bare.line(*line)).collect();
        let regions = if piece.region.holes.is_empty() && convex(&piece.region.outer) {
            kept.polygon(&piece.region.outer).map(Region::from).into_iter().collect()
        } else {
            region::intersection(std::slice::from_ref(&piece.region), &kept.half_plane(&piece.region))
        };
        // All lines go with the last area: they may be drawn as soon as all of them are.
        let last = regions.len().saturating_sub(1);
        let parts = regions.into_iter().enumerate();
        parts
            .map(|(i, region)| {
                let lines = if i == last { lines.clone() } else { Vec::new() };
                Piece { face: piece.face, region, lines }
            })
            .collect()
    }

    /// The part of a line that is drawn with the kept part. Its area is on the line's left.
    fn line(&self, (a, b): (Point, Point)) -> Option<(Point, Point)> {
        let (da, db) = (self.distance(a), self.distance(b));
        if da.abs() < tolerance::FIT && db.abs() < tolerance::FIT {
            // Along the cut it belongs to one of the two alone.
            let left = Vec2::new(a.y - b.y, b.x - a.x);
            return (left.dot(self.along) > 0.0).then_some((a, b));
        }
        let (from, to) = match (da >= 0.0, db >= 0.0) {
            (true, true) => (a, b),
            (false, false) => return None,
            (true, false) => (a, a.lerp(b, da / (da - db))),
            (false, true) => (a.lerp(b, da / (da - db)), b),
        };
        // No dots where a line only touches the cut.
        (from.distance(to) > tolerance::FIT).then_some((from, to))
    }

    /// A convex polygon's part (Sutherland and Hodgman 1974).
    fn polygon(&self, outline: &Contour) -> Option<Contour> {
        let mut kept = Vec::new();
        for (a, b) in outline.sides() {
            let (da, db) = (self.distance(a), self.distance(b));
            if da >= 0.0 {
                kept.push(a);
            }
            if (da >= 0.0) != (db >= 0.0) {
                kept.push(a.lerp(b, da / (da - db)));
            }
        }
        Contour::new(kept).ok()
    }

    /// A rectangle along the line that covers all of the region on the kept side.
    fn half_plane(&self, region: &Region) -> Vec<Region> {
        let bounds = region.bounds();
        let size = bounds.width() + bounds.height() + 1.0;
        let middle = bounds.center();
        let foot = middle - self.along * self.distance(middle);
        let side = Vec2::new(-self.along.y, self.along.x) * size;
        let deep = self.along * (size + self.distance(middle).abs());
        let corners = [foot - side, foot - side + deep, foot + side + deep, foot + side];
        Contour::new(corners).map(Region::from).into_iter().collect()
    }
}

fn convex(outline: &Contour) -> bool {
    let points = outline.points();
    let n = points.len();
    (0..n).all(|i| (points[(i + 1) % n] - points[i]).cross(points[(i + 2) % n] - points[(i + 1) % n]) >= 0.0)
}

#[cfg(test)]
mod tests {
    use super::super::camera::{Camera, plus};
    use super::super::faces;
    use super::*;
    use crate::view::Arrangement;
    use flatwright_folding::place::Body;
    use flatwright_folding::scene::{Rgb, Scene, Shown};
    use flatwright_folding::solid::Solid;
    use flatwright_geometry::pattern::PieceKind;
    use kurbo::{Affine, Rect};

    /// How far in front of a point a face lies, on a ray towards the viewer.
    fn depth(face: &Face, from: Space, toward: Space) -> Option<f64> {
        let frame = face.frame;
        let depth = dot(frame.normal, plus(frame.origin, from, -1.0)) / dot(frame.normal, toward);
        let p = plus(plus(from, toward, depth), frame.origin, -1.0);
        face.region.contains(Point::new(dot(p, frame.across), dot(p, frame.along))).then_some(depth)
    }

    /// Marsaglia's xorshift (2003), numbers from 0 to 1.
    struct Numbers(u64);

    impl Numbers {
        fn next(&mut self) -> f64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }
    }

    /// A square with a square hole, of any height and turn, so that faces cross planes and solids
    /// cross each other.
    fn prism(n: &mut Numbers) -> Solid {
        let side = 5.0 + 30.0 * n.next();
        let outer = Rect::new(-side, -side, side, side);
        let hole = Rect::new(-side / 2.0, -side / 2.0, side / 3.0, side / 4.0);
        let area = |rect| Contour::rectangle(rect).map(Region::from).into_iter().collect::<Vec<_>>();
        let mut region = region::difference(&area(outer), &area(hole)).pop().expect("an area");
        if n.next() < 0.5 {
            region = region.moved(Affine::rotate(n.next()));
        }
        let low = 40.0 * n.next();
        let quarter = (n.next() * 4.0).floor() * std::f64::consts::FRAC_PI_2;
        let pose = parry3d_f64::math::Pose::from_parts(
            parry3d_f64::math::Vector::new(80.0 * n.next(), 80.0 * n.next(), 60.0 * n.next()),
            parry3d_f64::math::Rotation::from_axis_angle(parry3d_f64::math::Vector::X, quarter + 0.3 * n.next()),
        );
        Solid { region, heights: (low, low + 1.0 + 20.0 * n.next()), pose }
    }

    /// At every place the face drawn last is the one nearest to the viewer, found by trying all.
    #[test]
    fn the_nearest_face_is_drawn_last() {
        let camera = Camera::new();
        let mut n = Numbers(0x9E37_79B9_7F4A_7C15);
        let mut compared = 0;
        for _ in 0..25 {
            let count = 2 + (n.next() * 14.0) as usize;
            let bodies: Vec<Body> = (0..count)
                .map(|i| Body { name: i.to_string(), kind: PieceKind::Biscuit, solids: vec![prism(&mut n)] })
                .collect();
            let grey = Rgb(99, 99, 99);
            let shown = bodies.iter().map(|body| Shown::new(body, grey, grey)).collect();
            let faces = faces::of_scene(&Scene { shown, ..Scene::default() }, Arrangement::Assembled);
            let faces = faces::seen(faces, &camera);
            let drawn = back_to_front(&faces, 0.0);
            for _ in 0..400 {
                let from = [120.0 * n.next() - 20.0, 120.0 * n.next() - 20.0, 80.0 * n.next()];
                let hits =
                    faces.iter().enumerate().filter_map(|(i, face)| Some((depth(face, from, camera.toward)?, i)));
                let mut hits: Vec<(f64, usize)> = hits.collect();
                hits.sort_by(|a, b| b.0.total_cmp(&a.0));
                let last = drawn.iter().rfind(|piece| {
                    let face = &faces[piece.face];
                    let frame = face.frame;
                    let depth = dot(frame.normal, plus(frame.origin, from, -1.0)) / dot(frame.normal, camera.toward);
                    let p = plus(plus(from, camera.toward, depth), frame.origin, -1.0);
                    piece.region.contains(Point::new(dot(p, frame.across), dot(p, frame.along)))
                });
                match (&hits[..], last) {
                    ([], None) => {}
                    // Nearer than the tolerance, either may be drawn last.
                    ([first, second, ..], _) if first.0 - second.0 < 0.01 => {}
                    ([(_, nearest), ..], Some(piece)) => {
                        assert_eq!(piece.face, *nearest, "at {from:?}");
                        compared += 1;
                    }
                    (hits, last) => {
                        panic!("{} faces found, {} drawn at {from:?}", hits.len(), usize::from(last.is_some()))
                    }
                }
            }
        }
        assert!(compared > 3000, "only {compared} places had anything");
    }
}
