//! From laid faces and their flaps to patterns.

use kurbo::{Line, Point, Rect};

use super::super::{Draft, PieceError, polygon};
use super::flap::Flap;
use super::flap_site::retreat;
use super::space::Vector;
use super::unfold::{Body, Layout};
use super::{Frame, Made, Role};
use crate::contour::Contour;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Plane, Stock};
use crate::region::Region;
use crate::tolerance;
use crate::units::Angle;

/// Shortest fold between two faces, mm: what still holds them. Common practice, no source.
const LEAST_FOLD: f64 = 1.0;

/// Why faces and flaps make no patterns.
pub(super) enum DrawFault {
    /// A ridge whose fold has no length left.
    Ridge(usize),
    /// What the pattern itself says.
    Piece(PieceError),
}

impl From<PieceError> for DrawFault {
    fn from(error: PieceError) -> Self {
        Self::Piece(error)
    }
}

/// The patterns of all nets.
pub(super) fn patterns(
    body: &Body<'_>,
    layout: &Layout,
    flaps: &[Flap],
    kind: PieceKind,
    detail: &str,
) -> Result<Vec<Made>, DrawFault> {
    let artist = Artist { body, layout, flaps, cores: cores(body, layout, flaps)? };
    let several = layout.nets.len() > 1;
    let numbered = layout.nets.iter().enumerate().map(|(i, net)| {
        let detail =
            if several { format!("{detail}, net {} of {}", i + 1, layout.nets.len()) } else { detail.to_owned() };
        artist.net(net, kind, detail)
    });
    numbered.collect()
}

/// Each face as it is cut: short of a glued edge where it carries the flap.
fn cores(body: &Body<'_>, layout: &Layout, flaps: &[Flap]) -> Result<Vec<Vec<Point>>, DrawFault> {
    let carried = |ridge: usize, end: usize| {
        let carries = flaps.iter().any(|flap| flap.ridge == ridge && flap.carrier == end);
        if carries { retreat(body, ridge) } else { 0.0 }
    };
    (0..body.flat.len())
        .map(|face| {
            let core = body.core(face, &body.offsets(face, &layout.hinged, carried));
            let own = body.around(face).map(|(ridge, ..)| ridge).next().unwrap_or(0);
            core.ok_or(DrawFault::Ridge(own))
        })
        .collect()
}

struct Artist<'a> {
    body: &'a Body<'a>,
    layout: &'a Layout,
    flaps: &'a [Flap],
    cores: Vec<Vec<Point>>,
}

impl Artist<'_> {
    fn net(&self, net: &[usize], kind: PieceKind, detail: String) -> Result<Made, DrawFault> {
        let (body, layout) = (self.body, self.layout);
        let mut draft = Draft::new(kind, Stock::Card, detail);
        let mut panel_of = vec![None; body.flat.len()];
        let (mut roles, mut placed) = (Vec::new(), Vec::new());
        for &face in net {
            let panel = draft.panel(body.shell.faces()[face].name, &self.face(face)?, &[])?;
            draft.shows(panel);
            panel_of[face] = Some(panel);
            roles.push(Role::Face(face));
            placed.push(layout.motion[face]);
            let Some(ridge) = layout.hangs_on[face] else { continue };
            let shared = body.ridges[ridge];
            let end = usize::from(shared.faces[1] == face);
            if let Some(from) = panel_of[shared.faces[1 - end]] {
                let line = self.fold(ridge)?;
                let fold = if shared.mountain { Fold::Mountain } else { Fold::Valley };
                draft.hinge(from, panel, line, fold, angle(shared.turn));
            }
        }
        for flap in self.flaps {
            let shared = body.ridges[flap.ridge];
            let (carrier, seat) = (shared.faces[flap.carrier], shared.faces[1 - flap.carrier]);
            let Some(from) = panel_of[carrier] else { continue };
            let outline: Vec<(f64, f64)> = flap.outline.iter().map(|p| (p.x, p.y)).collect();
            let panel = draft.panel("flap", &polygon(&outline), &[])?;
            roles.push(Role::Flap { carrier, seat });
            placed.push(kurbo::Affine::IDENTITY);
            let line = Line::new(flap.outline[0], flap.outline[1]);
            draft.hinge(from, panel, line, Fold::Mountain, angle(shared.turn));
            if let Some(onto) = panel_of[seat] {
                draft.net.seats.push(GlueSeat { flap: panel, onto });
            }
            draft.glue.push(draft.net.panels[panel].region.clone());
            label(&mut draft, &flap.outline);
        }
        draft.planes.push(Plane::everywhere(kurbo::Affine::IDENTITY));
        let parts: f64 = draft.net.panels.iter().map(|panel| panel.region.area()).sum();
        let pattern: Pattern = draft.finish()?;
        // What lies over each other in the flat would be missing in the union. Each panel is snapped.
        if (parts - pattern.material.area()).abs() > 1e-3 {
            return Err(DrawFault::Ridge(0));
        }
        Ok(Made { pattern, roles, placed, frame: self.frame(net[0]) })
    }

    /// Where the net's plane lies on the shell.
    fn frame(&self, face: usize) -> Frame {
        let corners = self.body.shell.corners(face);
        let normal = self.body.shell.normal(face);
        let along: Vector = (corners[1] - corners[0]).unit();
        Frame { origin: corners[0], along, across: normal.cross(along), normal }
    }

    /// A face with the halves of its folds and with the lips that flaps lie under, in its net.
    fn face(&self, face: usize) -> Result<Vec<Region>, DrawFault> {
        let body = self.body;
        let core = &self.cores[face];
        let motion = self.layout.motion[face];
        let mut outline: Vec<Point> = Vec::new();
        for (side, corner) in core.iter().enumerate() {
            outline.push(motion * *corner);
            let Some((ridge, end)) = body.beside(face, side) else { continue };
            let at = |along: f64, out: f64| motion * body.at(face, side, along, out);
            if self.layout.hinged[ridge] {
                let length = body.length(ridge);
                let (from, to) = self.fold_ends(ridge)?;
                let line = self.fold(ridge)?;
                let back = -body.back(ridge);
                if end == 0 {
                    outline.extend([at(from, back), line.p0, line.p1, at(to, back)]);
                } else {
                    outline.extend([at(length - to, back), line.p1, line.p0, at(length - from, back)]);
                }
                continue;
            }
            let Some(flap) = self.flaps.iter().find(|flap| flap.ridge == ridge) else { continue };
            if flap.carrier == end {
                let (from, to) = flap.fold;
                let short = -retreat(body, ridge);
                outline.extend([at(from, short), flap.outline[1], flap.outline[0], at(to, short)]);
            } else {
                outline.extend(flap.lip.map(|(along, out)| at(along, out)));
            }
        }
        // Corners that are one but for noise would count as sides that touch.
        outline.dedup_by(|a, b| a.distance(*b) < tolerance::FIT / 10.0);
        while outline.len() > 1 && outline[0].distance(outline[outline.len() - 1]) < tolerance::FIT / 10.0 {
            outline.pop();
        }
        // What is no polygon is told as a face in no part.
        Ok(Contour::new(outline).map(Region::from).into_iter().collect())
    }

    /// From and to along the first face's side: where both faces have material.
    fn fold_ends(&self, ridge: usize) -> Result<(f64, f64), DrawFault> {
        let body = self.body;
        let shared = body.ridges[ridge];
        let ends = |end: usize| {
            let core = &self.cores[shared.faces[end]];
            let side = shared.sides[end];
            [side, (side + 1) % core.len()].map(|corner| body.along(shared.faces[end], side, core[corner]))
        };
        let length = body.length(ridge);
        let ([a, b], [c, d]) = (ends(0), ends(1));
        let (from, to) = (a.max(length - d), b.min(length - c));
        if to - from < LEAST_FOLD { Err(DrawFault::Ridge(ridge)) } else { Ok((from, to)) }
    }

    /// The fold line of a ridge, in the order of its first face.
    fn fold(&self, ridge: usize) -> Result<Line, DrawFault> {
        let body = self.body;
        let shared = body.ridges[ridge];
        let (from, to) = self.fold_ends(ridge)?;
        let out = body.allowance[ridge] / 2.0 - body.back(ridge);
        let at = |along| self.layout.motion[shared.faces[0]] * body.at(shared.faces[0], shared.sides[0], along, out);
        Ok(Line::new(at(from), at(to)))
    }
}

fn angle(turn: f64) -> Angle {
    Angle::degrees(turn.to_degrees())
}

/// A place for the label on a flap that lies straight.
fn label(draft: &mut Draft, outline: &[Point]) {
    let [a, b, .., c, d, _] = outline else { return };
    for upward in [false, true] {
        // Along and across the fold.
        let parts = |p: &Point| if upward { (p.y, p.x) } else { (p.x, p.y) };
        let (a, b, c, d) = (parts(a), parts(b), parts(c), parts(d));
        if (a.1 - b.1).abs() > tolerance::SNAP {
            continue;
        }
        let (from, to) = (c.0.min(d.0), c.0.max(d.0));
        let rect = Rect::new(from, a.1.min(c.1), to, a.1.max(c.1));
        let rect = if upward { Rect::new(rect.y0, rect.x0, rect.y1, rect.x1) } else { rect };
        draft.label(rect, upward);
    }
}
