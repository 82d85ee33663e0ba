//! Barred windows in the faces of a folded body, and a door that swings in one of them.

use kurbo::{Affine, BezPath, Line, Point, Rect};

use super::solid::space::Vector;
use super::solid::{Made, Role, Shell};
use super::{PieceError, rect};
use crate::contour::Contour;
use crate::pattern::{Fold, Hinge, Panel};
use crate::region::{self, Region};
use crate::units::{Angle, Mm, plain};

/// Narrowest bar and narrowest gap, mm: what a knife leaves whole and gets out of. Common practice.
pub const LEAST_BAR: f64 = 1.6;
/// See [`LEAST_BAR`].
pub const LEAST_GAP: f64 = 2.5;
/// Narrowest rim round a window, mm: glue flaps are up to 6 mm high, and lie behind it whole.
pub const LEAST_RIM: f64 = 7.0;
/// Frame of a door round its own bars, mm.
const FRAME: f64 = 3.0;
/// Least height of a window, mm.
const LEAST_HEIGHT: f64 = 4.0;
/// Faces that lean by more than this have no bars: the upward part of their normals.
const UPRIGHT: f64 = 0.75;

/// Bars in all upright faces of a body, along its height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bars {
    /// Width of a bar.
    pub bar: Mm,
    /// Least width of a gap; gaps of a face are alike and as narrow as this allows.
    pub gap: Mm,
    /// What stays round a window.
    pub rim: Mm,
    /// Whether the face that looks south is a door, its leaf hinged at its left.
    pub door: bool,
}

impl Bars {
    /// Cuts the bars into the nets of a shell.
    ///
    /// # Errors
    /// [`PieceError`] where bars, gaps or rim are too narrow, no face has room for a window, or the
    /// southern one none for a door.
    pub fn cut(self, shell: &Shell, name: &str, nets: &mut [Made]) -> Result<(), PieceError> {
        for (what, found, least) in [
            ("bars as wide as a knife needs", self.bar, LEAST_BAR),
            ("gaps as wide as a knife needs", self.gap, LEAST_GAP),
            ("a rim that hides its glue flaps", self.rim, LEAST_RIM),
        ] {
            if found.get() < least {
                return Err(PieceError::NoRoom {
                    what: format!("the {name} has {what}"),
                    found: format!("{} mm where at least {} mm are needed", plain(found.get(), 2), plain(least, 2)),
                    help: "make them wider".into(),
                });
            }
        }
        let faces = 0..shell.faces().len();
        let barred: Vec<usize> = faces.filter(|face| self.window(shell, *face).is_some()).collect();
        let south = |face: &usize| -shell.normal(*face).y;
        let front = barred.iter().copied().filter(|_| self.door).max_by(|a, b| south(a).total_cmp(&south(b)));
        if barred.is_empty() {
            return Err(PieceError::NoRoom {
                what: format!("the {name} has a face with room for bars"),
                found: format!("none within a rim of {} mm", plain(self.rim.get(), 2)),
                help: "make it larger, its gaps narrower, or leave the bars out".into(),
            });
        }
        for made in nets {
            for panel in 0..made.roles.len() {
                let Role::Face(face) = made.roles[panel] else { continue };
                let Some(window) = self.window(shell, face) else { continue };
                let there = made.placed[panel] * upright(shell, face).inverse();
                if front == Some(face) {
                    self.door(name, &window, there, panel, made)?;
                } else {
                    take(made, panel, &moved(&self.gaps(&window), there));
                }
            }
        }
        Ok(())
    }

    /// What bars may be cut into, in the face's plane with its height along y; `None` where the face
    /// is level, open, or too small.
    fn window(self, shell: &Shell, face: usize) -> Option<Vec<Region>> {
        if !shell.faces()[face].made || shell.normal(face).z.abs() > UPRIGHT {
            return None;
        }
        let there = upright(shell, face);
        let outline = Contour::new(plane(shell, face).into_iter().map(|point| there * point)).ok()?;
        let window = region::offset(&[Region::from(outline)], -self.rim);
        let bounds = window.first()?.bounds();
        let room = bounds.width() >= self.gap.get() && bounds.height() >= LEAST_HEIGHT;
        (window.len() == 1 && room).then_some(window)
    }

    /// The gaps between bars in a window.
    fn gaps(self, window: &[Region]) -> Vec<Region> {
        let Some(bounds) = window.first().map(Region::bounds) else { return Vec::new() };
        let (bar, gap) = (self.bar.get(), self.gap.get());
        let count = ((bounds.width() + bar + crate::tolerance::FIT) / (gap + bar)).floor().max(1.0);
        let wide = (bounds.width() + bar) / count - bar;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "faces are metres wide at most")]
        let strips = (0..count as usize).flat_map(|i| {
            let from = bounds.x0 + i as f64 * (wide + bar);
            rect(from, bounds.y0 - 1.0, from + wide, bounds.y1 + 1.0)
        });
        let mut gaps: Vec<Region> = strips.flat_map(|strip| region::intersection(&[strip], window)).collect();
        gaps.retain(|gap| gap.bounds().height() >= LEAST_HEIGHT);
        gaps
    }

    /// A leaf in place of a window: cut free on three sides, its own bars in it.
    fn door(
        self,
        name: &str,
        window: &[Region],
        there: Affine,
        panel: usize,
        made: &mut Made,
    ) -> Result<(), PieceError> {
        let Rect { x0, y0, x1, y1 } = window[0].bounds();
        let leaf = rect(x0, y0, x1, y1);
        let beyond: f64 = region::difference(&leaf, window).iter().map(Region::area).sum();
        let inner = region::offset(&leaf, Mm::new(-FRAME));
        let room = inner.first().map(Region::bounds);
        let room = room.is_some_and(|room| room.width() >= self.gap.get() && room.height() >= LEAST_HEIGHT);
        if beyond > crate::tolerance::MEASURE || !room {
            return Err(PieceError::NoRoom {
                what: format!("the {name} has a front with room for a barred door"),
                found: format!("{} x {} mm within its rim", plain(x1 - x0, 2), plain(y1 - y0, 2)),
                help: "give it an upright rectangle as its southern side, make it larger, or leave the door out".into(),
            });
        }
        take(made, panel, &moved(&leaf, there));
        let hung = region::difference(&leaf, &self.gaps(&inner)).pop().map(|region| region.moved(there));
        let Some(hung) = hung else { return Ok(()) };
        made.pattern.material = union(&made.pattern.material, &hung);
        made.pattern.face.push(hung.clone());
        made.pattern.face = region::union(&made.pattern.face);
        made.pattern.net.panels.push(Panel { name: "leaf", region: hung });
        made.roles.push(Role::Leaf(panel));
        made.placed.push(there);
        let line = Line::new(there * Point::new(x0, y0), there * Point::new(x0, y1));
        let to = made.pattern.net.panels.len() - 1;
        let hinge = Hinge { from: panel, to, line, fold: Fold::Valley, angle: Angle::QUARTER, swings: true };
        made.pattern.net.hinges.push(hinge);
        let mut slit = BezPath::new();
        slit.move_to(there * Point::new(x0, y1));
        for corner in [(x1, y1), (x1, y0), (x0, y0)] {
            slit.line_to(there * Point::from(corner));
        }
        made.pattern.slits.push(slit);
        Ok(())
    }
}

/// Takes holes from a panel, and from what is printed and cut of it.
fn take(made: &mut Made, panel: usize, holes: &[Region]) {
    let less = |region: &Region| region::difference(std::slice::from_ref(region), holes).pop();
    let pattern = &mut made.pattern;
    if let Some(left) = less(&pattern.net.panels[panel].region) {
        pattern.net.panels[panel].region = left;
    }
    if let Some(left) = less(&pattern.material) {
        pattern.material = left;
    }
    pattern.face = region::difference(&pattern.face, holes);
}

fn union(one: &Region, other: &Region) -> Region {
    region::union(&[one.clone(), other.clone()]).pop().unwrap_or_else(|| one.clone())
}

fn moved(regions: &[Region], motion: Affine) -> Vec<Region> {
    regions.iter().map(|region| region.moved(motion)).collect()
}

/// Corners of a face in its own plane: its first one at the origin, its first side along x.
fn plane(shell: &Shell, face: usize) -> Vec<Point> {
    let corners: Vec<Vector> = shell.faces()[face].corners.iter().map(|corner| shell.points()[*corner]).collect();
    let along = (corners[1] - corners[0]).unit();
    let across = shell.normal(face).cross(along);
    corners.iter().map(|corner| *corner - corners[0]).map(|v| Point::new(v.dot(along), v.dot(across))).collect()
}

/// Turns a face's plane so that the body's height runs along y.
fn upright(shell: &Shell, face: usize) -> Affine {
    let corners = &shell.faces()[face].corners;
    let along = (shell.points()[corners[1]] - shell.points()[corners[0]]).unit();
    let across = shell.normal(face).cross(along);
    // Where up points in the plane.
    let up = kurbo::Vec2::new(along.z, across.z);
    let angle = std::f64::consts::FRAC_PI_2 - up.atan2();
    let turn = Affine::rotate(angle);
    // Quarter turns exactly, so that gaps lie on the grid.
    let near =
        |value: f64| if (value - value.round()).abs() < crate::tolerance::ROUNDING { value.round() } else { value };
    Affine::new(turn.as_coeffs().map(near))
}
