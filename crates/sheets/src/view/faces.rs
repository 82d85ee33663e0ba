//! The faces of solids as flat areas in space, those that face the viewer.

use flatwright_folding::scene::{Rgb, Scene, Shown, Side};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::region::{self, Region};
use kurbo::{Affine, Point};

use super::Arrangement;
use super::camera::{Camera, Space, dot, plus, unit};
use crate::page::Colour;

/// Least turn between two sides of a contour that shows as an edge: a curve's chords turn by less.
const LEAST_TURN: f64 = 0.45;
/// Faces that turn away by more than this, as the sine of the angle, are seen.
const SEEN: f64 = 1e-9;

/// A plane with coordinates of its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub origin: Space,
    pub across: Space,
    pub along: Space,
    /// Out of the solid, of length 1.
    pub normal: Space,
}

impl Frame {
    pub fn at(&self, p: Point) -> Space {
        plus(plus(self.origin, self.across, p.x), self.along, p.y)
    }
}

/// One face of one solid.
#[derive(Clone, Debug)]
pub(super) struct Face {
    pub frame: Frame,
    pub region: Region,
    /// The parts of its outline that are drawn as lines, its area on their left.
    pub lines: Vec<(Point, Point)>,
    /// The colour that it shows from afar.
    pub colour: Colour,
    /// The colour of its stock, where a print leaves it bare.
    pub bare: Colour,
    /// What is printed on it: which of the scene's prints, and the map from the face's own
    /// coordinates to the flat pattern.
    pub print: Option<(usize, Affine)>,
    /// Drawn after others in the same plane, which it hides.
    pub over: bool,
}

/// Every face of the scene, pieces moved as the arrangement has them.
pub(super) fn of_scene(scene: &Scene<'_>, arrangement: Arrangement) -> Vec<Face> {
    let lifts = Lifts::of(scene, arrangement);
    let mut faces = Vec::new();
    for shown in &scene.shown {
        let lift = lifts.of_kind(shown.body.kind);
        for (i, solid) in shown.body.solids.iter().enumerate() {
            let cover = shown.cover.as_ref().filter(|_| i == 0).map(|cover| &cover.region);
            let (low, high) = solid.heights;
            let [upper, lower] = [(high, 1.0), (low, -1.0)].map(|(height, way)| level(solid, height, way, lift));
            let region = match cover {
                Some(cover) => covered(&solid.region, cover),
                None => solid.region.clone(),
            };
            let mirrored = solid.region.moved(Affine::FLIP_Y);
            let print = |side| scene.printed(shown, (i, solid), side);
            faces.push(Face { over: cover.is_some(), ..cap(upper, region, shown, Side::Upper, print(Side::Upper)) });
            faces.push(cap(lower, mirrored, shown, Side::Lower, print(Side::Lower)));
            sides(solid, lift, &edge_colours(shown), &print, &mut faces);
        }
    }
    faces
}

/// Those that face the viewer.
pub(super) fn seen(mut faces: Vec<Face>, camera: &Camera) -> Vec<Face> {
    faces.retain(|face| dot(face.frame.normal, camera.toward) > SEEN);
    faces
}

fn rgb(Rgb(r, g, b): Rgb) -> Colour {
    Colour(r, g, b)
}

/// The face with a cover laid over it: one area, without its notches.
fn covered(region: &Region, cover: &Region) -> Region {
    let mut whole = region::union(&[region.clone(), cover.clone()]);
    whole.sort_by(|a, b| a.area().total_cmp(&b.area()));
    whole.pop().unwrap_or_else(|| region.clone())
}

/// The plane of a solid at a height, seen from above (way 1) or from below (way -1).
fn level(solid: &Solid, height: f64, way: f64, lift: f64) -> Frame {
    let at = |x: f64, y: f64, z: f64| {
        let p = solid.at(Point::new(x, y), z);
        [p.x, p.y, p.z + lift]
    };
    let origin = at(0.0, 0.0, height);
    let from = |p: Space| plus(p, origin, -1.0);
    Frame {
        origin,
        across: from(at(1.0, 0.0, height)),
        along: from(at(0.0, way, height)),
        normal: unit(from(at(0.0, 0.0, height + way))),
    }
}

fn cap(frame: Frame, region: Region, shown: &Shown<'_>, side: Side, print: Option<(usize, Affine)>) -> Face {
    let holes = region.holes.iter().flat_map(Contour::sides).map(|(a, b)| (b, a));
    let lines = region.outer.sides().chain(holes).collect();
    let paint = shown.paint;
    let colour = rgb(if side == Side::Lower { paint.lower } else { paint.upper });
    Face { frame, region, lines, colour, bare: rgb(paint.edges), print, over: false }
}

/// The colours of edges. Card that is folded upright shows its stock where it was cut, along the
/// top; its upright edges are folds for the most part, and printed.
struct EdgeColours {
    level: Colour,
    upright: Colour,
    printed: Colour,
}

impl EdgeColours {
    fn of(&self, normal: Space) -> Colour {
        if normal[2].abs() > 0.5 { self.level } else { self.upright }
    }
}

fn edge_colours(shown: &Shown<'_>) -> EdgeColours {
    let level = rgb(shown.paint.edges);
    let folded = matches!(shown.body.kind, PieceKind::Post | PieceKind::PostCap | PieceKind::CardWall);
    let printed = rgb(shown.paint.upper);
    EdgeColours { level, upright: if folded { printed } else { level }, printed }
}

fn sides(
    solid: &Solid,
    lift: f64,
    colours: &EdgeColours,
    print: &dyn Fn(Side) -> Option<(usize, Affine)>,
    faces: &mut Vec<Face>,
) {
    let (low, high) = solid.heights;
    let plane = level(solid, low, 1.0, lift);
    let up = plane.normal;
    for (i, contour) in solid.region.contours().enumerate() {
        let points = contour.points();
        let n = points.len();
        let turn = |k: usize| {
            let (a, b, c) = (points[(k + n - 1) % n], points[k % n], points[(k + 1) % n]);
            (b - a).cross(c - b).atan2((b - a).dot(c - b)).abs()
        };
        for k in 0..n {
            let (from, to) = (points[k], points[(k + 1) % n]);
            let edges = [turn(k) > LEAST_TURN, turn(k + 1) > LEAST_TURN];
            // Holes run counterclockwise too: their outside is on the other side.
            let ((from, to), edges) = if i == 0 { ((from, to), edges) } else { ((to, from), [edges[1], edges[0]]) };
            let length = from.distance(to);
            let across = unit(plus(plane.at(to), plane.at(from), -1.0));
            let normal = super::camera::cross(across, up);
            let frame = Frame { origin: plane.at(from), across, along: up, normal };
            let corners = [(0.0, 0.0), (length, 0.0), (length, high - low), (0.0, high - low)].map(Point::from);
            let Ok(outline) = Contour::new(corners) else { continue };
            let mut lines = vec![(corners[0], corners[1])];
            if edges[1] {
                lines.push((corners[1], corners[2]));
            }
            lines.push((corners[2], corners[3]));
            if edges[0] {
                lines.push((corners[3], corners[0]));
            }
            let print = print(Side::Edge(from, to));
            let colour = if print.is_some() { colours.printed } else { colours.of(normal) };
            let bare = colours.level;
            faces.push(Face { frame, region: outline.into(), lines, colour, bare, print, over: false });
        }
    }
}

/// By how much each kind is moved up, mm.
struct Lifts {
    /// Height of the tallest piece; 0 where nothing is moved.
    unit: f64,
}

impl Lifts {
    fn of(scene: &Scene<'_>, arrangement: Arrangement) -> Self {
        let height = |shown: &Shown<'_>| {
            let corners = shown.body.solids.iter().flat_map(Solid::corners).map(|corner| corner.z);
            let (low, high) = corners.fold((f64::MAX, f64::MIN), |(low, high), z| (low.min(z), high.max(z)));
            (high - low).max(0.0)
        };
        match arrangement {
            Arrangement::Assembled => Self { unit: 0.0 },
            Arrangement::Exploded => Self { unit: scene.shown.iter().map(height).fold(0.0, f64::max) },
        }
    }

    fn of_kind(&self, kind: PieceKind) -> f64 {
        let times = match kind {
            PieceKind::TileCore | PieceKind::TileWrap | PieceKind::TurnCore | PieceKind::TurnWrap => 0.0,
            PieceKind::Post => 1.6,
            PieceKind::PostCap => 4.4,
            PieceKind::CardWall
            | PieceKind::WallCore
            | PieceKind::WallFacing
            | PieceKind::DoorLeaf
            | PieceKind::NicheBox
            | PieceKind::Prop
            | PieceKind::Flight
            | PieceKind::Landing
            | PieceKind::StairMarker
            | PieceKind::Pillar
            | PieceKind::FreeWall
            | PieceKind::Filler
            | PieceKind::Grating
            | PieceKind::GratingBoard
            | PieceKind::WallBase
            | PieceKind::BentWall
            | PieceKind::BentCore
            | PieceKind::BentFacing => 3.2,
            PieceKind::Roof | PieceKind::RoofSkirt | PieceKind::RidgeCap | PieceKind::HipCap => 5.2,
            PieceKind::Biscuit | PieceKind::CornerPocket | PieceKind::BendPocket => -1.9,
            PieceKind::Gauge => 0.0,
            PieceKind::SleevePlug => 0.8,
            PieceKind::BasePlate => -0.4,
            PieceKind::Coupler => -1.0,
        };
        self.unit * times
    }
}
