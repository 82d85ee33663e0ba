//! Where along a side of a body a glue flap may be, and the lip of its seat.

use std::f64::consts::{FRAC_PI_2, PI};

use kurbo::Point;

use super::unfold::{Body, Layout};

/// Shortest fold and shortest free side of a flap, mm: what can still be glued by hand.
pub(super) const LEAST: (f64, f64) = (1.4, 0.5);
/// A corner that is less than this beyond straight is none, radians.
const STRAIGHT: f64 = 1e-6;

/// How far short of the edge a flap's carrier ends: there the flap's outside meets its seat's inside.
pub(super) fn retreat(body: &Body<'_>, ridge: usize) -> f64 {
    body.card / body.ridges[ridge].turn.sin()
}

/// Where a flap may be: lengths along the seat's side from its first corner.
pub(super) struct Site {
    pub ridge: usize,
    pub carrier: usize,
    pub face: usize,
    pub side: usize,
    pub seat: usize,
    pub seat_side: usize,
    pub length: f64,
    pub retreat: f64,
    pub allowance: f64,
    /// Where the flap begins on its seat, inward from the edge.
    pub start: f64,
    /// Where its fold may be.
    pub fold: (f64, f64),
    pub lip: [(f64, f64); 4],
}

impl Site {
    /// The site of a ridge's flap on its `carrier`-th face; `cut` are all faces in their own planes, as if
    /// they carried every flap. `None` where nothing is long enough to glue.
    pub fn new(body: &Body<'_>, layout: &Layout, cut: &[Vec<Point>], (ridge, carrier): (usize, usize)) -> Option<Self> {
        let shared = body.ridges[ridge];
        let (face, seat) = (shared.faces[carrier], shared.faces[1 - carrier]);
        let (side, seat_side) = (shared.sides[carrier], shared.sides[1 - carrier]);
        let length = body.length(ridge);
        let retreat = retreat(body, ridge);
        let start = -body.card / shared.turn.tan();
        let ends = |core: &[Point], face: usize, side: usize| {
            [side, (side + 1) % core.len()].map(|corner| body.along(face, side, core[corner]))
        };
        // Every other side of the two as if it carried a flap; the seat's own side does not.
        let hinged = &layout.hinged;
        let others = |other: usize, _| if other == ridge { 0.0 } else { self::retreat(body, other) };
        let [seat_from, seat_to] = ends(&body.core(seat, &body.offsets(seat, hinged, others))?, seat, seat_side);
        let [own_from, own_to] = ends(&cut[face], face, side);
        // At an inner corner lips of both its sides would meet, and carriers grow as they end short.
        let inner = |face: usize, corner: usize| is_inner(&body.flat[face], corner);
        let next = |face: usize, side: usize| (side + 1) % body.flat[face].len();
        let seat_from = if inner(seat, seat_side) { retreat } else { seat_from };
        let seat_to = if inner(seat, next(seat, seat_side)) { length - retreat } else { seat_to };
        let (own_from, own_to) = (own_from.max(0.0), own_to.min(length));
        // The lip stays over its neighbour's own area where it leans over that.
        let lean = |corner: usize| {
            let own = corner_angle(&body.flat[face], corner).min(FRAC_PI_2 / 2.0);
            if shared.turn < FRAC_PI_2 { retreat / own.tan() } else { retreat }
        };
        let (left, right) = (lean(next(face, side)), lean(side));
        // Off a sharp corner, where many faces lie close to each other.
        let off = |lean: f64| if lean > 1.5 * retreat { lean / 2.0 } else { 0.0 };
        let lip = [
            (seat_from + off(left), 0.0),
            (seat_from + left, retreat),
            (seat_to - right, retreat),
            (seat_to - off(right), 0.0),
        ];
        if lip[2].0 - lip[1].0 < LEAST.1 {
            return None;
        }
        // Where the flap begins before its seat's edge, the lip carries it.
        let before = |lean: f64| off(lean) + (lean - off(lean)) * (-start).max(0.0) / retreat;
        let fold = ((length - own_to).max(seat_from + before(left)), (length - own_from).min(seat_to - before(right)));
        (fold.1 - fold.0 > LEAST.0).then_some(Self {
            ridge,
            carrier,
            face,
            side,
            seat,
            seat_side,
            length,
            retreat,
            allowance: body.allowance[ridge],
            start,
            fold,
            lip,
        })
    }
}

/// Whether a polygon goes round a corner the other way there.
pub(super) fn is_inner(points: &[Point], corner: usize) -> bool {
    corner_angle(points, corner) > PI + STRAIGHT
}

/// Whether it does so anywhere.
pub(super) fn has_inner_corner(points: &[Point]) -> bool {
    (0..points.len()).any(|corner| is_inner(points, corner))
}

/// The angle inside a polygon at one of its corners, radians.
fn corner_angle(points: &[Point], corner: usize) -> f64 {
    let n = points.len();
    let (back, on) = (points[(corner + n - 1) % n] - points[corner], points[(corner + 1) % n] - points[corner]);
    on.cross(back).atan2(on.dot(back)).rem_euclid(std::f64::consts::TAU)
}
