//! Strips of card over the ridges and hips of a roof, mitred where they meet.

use kurbo::{Affine, Line};

use super::super::solid::Shell;
use super::super::solid::space::Vector;
use super::super::{Draft, PieceError, mm, polygon};
use crate::parameters::Parameters;
use crate::pattern::{Fold, Pattern, PieceKind, Plane, Stock};
use crate::units::{Angle, plain};

/// Width of a strip on each slope, mm.
const STRIP: f64 = 6.0;
/// Least width, and least length of a strip's free side, mm: what can still be glued.
const LEAST: (f64, f64) = (2.0, 1.0);

/// A strip over the edge between two slopes.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Whether its edge is level, or comes down to a corner of the eaves.
    pub ridge: bool,
    /// Length of its edge, mm.
    pub length: f64,
    /// By how much the slopes turn there.
    pub turn: Angle,
    /// The two faces, the first on the left of the edge's way.
    pub faces: [usize; 2],
    /// The edge's ends: corners of the shell.
    pub ends: [usize; 2],
    /// Where the free side on each face begins and ends: how far from the edge's first and last end.
    pub cuts: [(f64, f64); 2],
    /// Its width on each slope, mm.
    pub width: f64,
}

/// The strips of a roof's outside: over every edge at which two slopes lean away from each other.
#[must_use]
pub fn strips(shell: &Shell) -> Vec<Strip> {
    let capped = capped(shell);
    let found = capped.iter().filter_map(|edge| {
        let [a, b] = edge.ends.map(|corner| shell.points()[corner]);
        let length = (b - a).length();
        // Narrower where its mitres would leave it no free side.
        let mut width = STRIP;
        while width >= LEAST.0 {
            let cuts = [0, 1].map(|side| cuts(shell, &capped, edge, side, width));
            if cuts.iter().all(|(from, to)| length - from - to >= LEAST.1) {
                let cos = shell.normal(edge.faces[0]).dot(shell.normal(edge.faces[1]));
                let turn = Angle::degrees(cos.clamp(-1.0, 1.0).acos().to_degrees());
                let ridge = (a.z - b.z).abs() < crate::tolerance::SNAP;
                return Some(Strip { ridge, length, turn, faces: edge.faces, ends: edge.ends, cuts, width });
            }
            width -= 0.5;
        }
        None
    });
    found.collect()
}

impl Strip {
    /// The strip flat: its edge along x from the origin, the first face at positive y.
    ///
    /// # Errors
    /// None for a roof that closes.
    pub(super) fn pattern(&self, p: &Parameters, roof: &str) -> Result<Pattern, PieceError> {
        let kind = if self.ridge { PieceKind::RidgeCap } else { PieceKind::HipCap };
        let half = mm(p.fold_allowance(self.turn, p.card)) / 2.0;
        let detail = format!("{roof}, {} mm", plain(self.length, 1));
        let mut draft = Draft::new(kind, Stock::Card, detail);
        let mut panel = |name, side: usize, way: f64| {
            let ((from, to), deep) = (self.cuts[side], self.width + half);
            let outline = [(0.0, 0.0), (self.length, 0.0), (self.length - to, deep * way), (from, deep * way)];
            let panel = draft.panel(name, &polygon(&outline), &[])?;
            draft.shows(panel);
            Ok::<usize, PieceError>(panel)
        };
        let (upper, lower) = (panel("one slope", 0, 1.0)?, panel("other slope", 1, -1.0)?);
        let line = Line::new((0.0, 0.0), (self.length, 0.0));
        draft.hinge(upper, lower, line, Fold::Mountain, self.turn);
        draft.planes.push(Plane::everywhere(Affine::IDENTITY));
        draft.finish()
    }
}

/// An edge between two slopes, on the left of whose way the first face lies.
struct Edge {
    faces: [usize; 2],
    ends: [usize; 2],
}

/// All edges that are capped.
fn capped(shell: &Shell) -> Vec<Edge> {
    let slopes = |face: usize| shell.normal(face).z > crate::tolerance::FIT;
    let mut edges = Vec::new();
    for (one, face) in shell.faces().iter().enumerate().filter(|(one, _)| slopes(*one)) {
        let n = face.corners.len();
        for side in 0..n {
            let (a, b) = (face.corners[side], face.corners[(side + 1) % n]);
            let beside = |other: &usize| {
                let corners = &shell.faces()[*other].corners;
                let m = corners.len();
                (0..m).any(|k| (corners[k], corners[(k + 1) % m]) == (b, a))
            };
            let Some(other) = (one + 1..shell.faces().len()).filter(|other| slopes(*other)).find(beside) else {
                continue;
            };
            // Convex: the other face falls away below the plane of this one.
            let apart = shell.faces()[other].corners.iter().map(|corner| shell.points()[*corner] - shell.points()[a]);
            let highest = apart.map(|v| v.dot(shell.normal(one))).fold(f64::MIN, f64::max);
            if highest < crate::tolerance::FIT {
                edges.push(Edge { faces: [one, other], ends: [a, b] });
            }
        }
    }
    edges
}

/// How much shorter the free side of a strip is at the edge's first and last end, on one of its faces.
fn cuts(shell: &Shell, capped: &[Edge], edge: &Edge, side: usize, width: f64) -> (f64, f64) {
    let at = |end: usize| {
        let (here, far) = (edge.ends[end], edge.ends[1 - end]);
        let corners = &shell.faces()[edge.faces[side]].corners;
        let n = corners.len();
        let Some(i) = corners.iter().position(|corner| *corner == here) else { return 0.0 };
        // Of the face's two sides there the one that is not this edge.
        let (before, after) = (corners[(i + n - 1) % n], corners[(i + 1) % n]);
        let next = if before == far { after } else { before };
        let along = |to: usize| (shell.points()[to] - shell.points()[here]).unit();
        let angle = along(far).dot(along(next)).clamp(-1.0, 1.0).acos();
        let strip = capped.iter().any(|other| other.ends == [here, next] || other.ends == [next, here]);
        // Two strips share the angle between them; other sides of the face are where it ends.
        let angle = if strip { angle / 2.0 } else { angle };
        (width / angle.tan()).max(0.0)
    };
    (at(0), at(1))
}

/// Where the free sides of a strip lie on one of its faces: its four corners, the edge's ends first.
#[must_use]
pub fn on_face(shell: &Shell, strip: &Strip, side: usize) -> [Vector; 4] {
    let [a, b] = strip.ends.map(|corner| shell.points()[corner]);
    let along = (b - a).unit();
    let normal = shell.normal(strip.faces[side]);
    let into = if side == 0 { normal.cross(along) } else { along.cross(normal) };
    let (from, to) = strip.cuts[side];
    [a, b, b - along * to + into * strip.width, a + along * from + into * strip.width]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contour::Contour;
    use crate::pieces::roof::{Form, Roof, Skirt};
    use crate::region::{self, Region};
    use crate::units::Mm;
    use kurbo::Point;

    /// On every slope of every plan strips lie within the slope and on none of each other; a hip roof has
    /// one over each corner that points out, a gable roof one over each ridge.
    #[test]
    fn strips_lie_on_their_slopes_and_apart() {
        let p = Parameters::default();
        let plans: [&[(i32, i32)]; 4] = [
            &[(0, 0), (3, 0), (3, 2), (0, 2)],
            &[(0, 0), (1, 0), (1, 1), (0, 1)],
            &[(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)],
            &[(1, 0), (2, 0), (2, 1), (3, 1), (3, 2), (0, 2), (0, 1), (1, 1)],
        ];
        for (plan, outer) in plans.into_iter().zip([4, 4, 5, 6]) {
            for (form, pitch) in [(Form::Hip, 20.0), (Form::Hip, 40.0), (Form::Hip, 60.0), (Form::Gable, 40.0)] {
                let roof = Roof {
                    form,
                    plan: plan.to_vec(),
                    pitch: Angle::degrees(pitch),
                    overhang: Mm::new(3.0),
                    skirt: Skirt::Inside,
                    on_caps: false,
                };
                let shell = roof.parts(&p).unwrap().swap_remove(0).outside;
                let strips = strips(&shell);
                let hips = strips.iter().filter(|strip| !strip.ridge).count();
                if form == Form::Hip {
                    assert!(hips >= outer, "{hips} hips over {plan:?}");
                    let lowest = |strip: &Strip| strip.ends.iter().any(|end| shell.points()[*end].z.abs() < 1e-9);
                    let down = strips.iter().filter(|strip| !strip.ridge && lowest(strip)).count();
                    assert_eq!(down, outer, "{plan:?}");
                } else if plan.len() == 4 && plan[1].0 != 1 {
                    assert_eq!((hips, strips.len()), (0, 1));
                }
                for (number, face) in shell.faces().iter().enumerate() {
                    let corners: Vec<Vector> = face.corners.iter().map(|corner| shell.points()[*corner]).collect();
                    let along = (corners[1] - corners[0]).unit();
                    let across = shell.normal(number).cross(along);
                    let flat = |v: &Vector| Point::new((*v - corners[0]).dot(along), (*v - corners[0]).dot(across));
                    let slope = [Region::from(Contour::new(corners.iter().map(flat)).unwrap())];
                    let mut taken: Vec<Region> = Vec::new();
                    for strip in &strips {
                        for side in (0..2).filter(|side| strip.faces[*side] == number) {
                            let area = on_face(&shell, strip, side);
                            let area = [Region::from(Contour::new(area.iter().map(flat)).unwrap())];
                            let area_of = |regions: &[Region]| regions.iter().map(Region::area).sum::<f64>();
                            assert!(
                                area_of(&region::difference(&area, &slope)) < 1e-3,
                                "{form:?} {plan:?}: off its slope"
                            );
                            assert!(
                                area_of(&region::intersection(&area, &taken)) < 1e-3,
                                "{form:?} {plan:?}: two strips"
                            );
                            taken.extend(area);
                        }
                    }
                }
            }
        }
    }

    /// Of a hip roof of one pitch over a right-angled corner the slopes turn by the angle whose cosine is
    /// cos2 of the pitch: both normals lean by the pitch, at a right angle to each other in plan.
    #[test]
    fn hips_turn_by_the_angle_between_their_slopes() {
        let p = Parameters::default();
        let pitch = 40.0_f64;
        let roof = Roof {
            form: Form::Hip,
            plan: vec![(0, 0), (3, 0), (3, 2), (0, 2)],
            pitch: Angle::degrees(pitch),
            overhang: Mm::new(3.0),
            skirt: Skirt::Inside,
            on_caps: false,
        };
        let shell = roof.parts(&p).unwrap().swap_remove(0).outside;
        for strip in strips(&shell) {
            let wanted = if strip.ridge { 2.0 * pitch } else { pitch.to_radians().cos().powi(2).acos().to_degrees() };
            assert!((strip.turn.to_degrees() - wanted).abs() < 1e-6, "{strip:?}");
        }
    }
}
