//! The picture on its page: shadows, faces, lines, title and caption.

use std::collections::BTreeMap;

use flatwright_folding::scene::Scene;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::region::Region;
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Point, Rect, Shape as _};

use super::camera::{self, Camera};
use super::faces::{self, Face};
use super::order::{self, Piece};
use super::shadow::{self, Shadows};
use super::{Arrangement, ViewError, ViewFault, faults};
use crate::furniture::marks::{Face as Type, fitted, text};
use crate::furniture::style;
use crate::page::{Align, Colour, Document, Layer, Mark, Page, Pen, Shape};

/// Free edge of the page, mm.
const EDGE: f64 = 6.0;
/// Heights of title and caption, mm.
const TITLE: f64 = 9.0;
const CAPTION: f64 = 6.0;
/// Width of the lines, mm.
const LINE: f64 = 0.13;
/// Faces that are seen narrower than this have no lines: nothing would be left of them, mm.
const NARROW: f64 = 0.5;
/// How far parts of one face reach under each other, mm: a good half of a dot at 150 dots per inch.
const OVERLAP: f64 = 0.12;
/// The ground in the shadow; out of it, it is as white as the paper.
const GROUND: Colour = Colour(0xE3, 0xE0, 0xD8);

/// A build as one page of the given width, as high as the picture needs, with its title and a count
/// of its pieces. The same scene gives the same page.
///
/// # Errors
/// [`ViewError`] with every [`ViewFault`] there is.
pub fn document(scene: &Scene<'_>, width: Mm, arrangement: Arrangement) -> Result<Document, ViewError> {
    let faults = faults(scene, width);
    if !faults.is_empty() {
        return Err(ViewError::Faults { faults });
    }
    let camera = Camera::new();
    let faces = faces::of_scene(scene, arrangement);
    let ground = match arrangement {
        Arrangement::Assembled => ground(&faces, &camera),
        Arrangement::Exploded => Vec::new(),
    };
    let bounds = bounds(&faces, &camera, &ground);
    let free = width.get() - 2.0 * EDGE;
    let scale = free / bounds.width();
    let height = bounds.height() * scale + 2.0 * EDGE + TITLE + CAPTION;
    if height > crate::faults::LONGEST_SIDE.get() {
        return Err(ViewError::Faults { faults: vec![ViewFault::TooHigh { height: Mm::new(height) }] });
    }
    let place = Affine::translate((EDGE, EDGE + CAPTION))
        * Affine::scale(scale)
        * Affine::translate(-bounds.origin().to_vec2());
    let picture = Picture { camera, place };
    let mut marks: Vec<Mark> = ground.iter().map(|path| picture.fill(path, GROUND)).collect();
    marks.extend(picture.faces(faces, arrangement, scale));
    let caption = caption(scene);
    let title = match arrangement {
        Arrangement::Assembled => scene.title.clone(),
        Arrangement::Exploded => format!("{}, taken apart", scene.title),
    };
    let top = height - EDGE - 3.6;
    let (words, face) = fitted(&title, free, Type::bold(style::TITLE), style::LEAST);
    marks.push(text(Point::new(EDGE, top), words, face, Align::Start));
    let (words, face) = fitted(&caption, free, Type::muted(style::SUBTITLE), style::LEAST);
    marks.push(text(Point::new(EDGE, EDGE), words, face, Align::Start));
    let paper = Rect::new(0.0, 0.0, width.get(), height);
    let page = Page {
        label: "1".to_owned(),
        title: title.clone(),
        section: "View".to_owned(),
        size: (width, Mm::new(height)),
        trim: paper,
        bleed: paper,
        copies: 1,
        marks,
    };
    Ok(Document { title, subject: format!("Axonometric view: {caption}"), forms: Vec::new(), pages: vec![page] })
}

/// The shadow on the ground, on the picture plane. The ground is where the lowest piece ends.
fn ground(faces: &[Face], camera: &Camera) -> Vec<BezPath> {
    let corners = faces.iter().flat_map(|face| face.region.outer.points().iter().map(|p| face.frame.at(*p)[2]));
    let height = corners.fold(f64::MAX, f64::min);
    let areas = Shadows::on(height, faces, camera).all();
    areas.iter().map(|area| flat(area, height, camera)).collect()
}

/// A level area on the picture plane.
fn flat(area: &Region, height: f64, camera: &Camera) -> BezPath {
    let origin = camera.seen([0.0, 0.0, height]).to_vec2();
    let (x, y) = (camera.along([1.0, 0.0, 0.0]), camera.along([0.0, 1.0, 0.0]));
    Affine::new([x.x, x.y, y.x, y.y, origin.x, origin.y]) * area.path()
}

fn bounds(faces: &[Face], camera: &Camera, ground: &[BezPath]) -> Rect {
    let corners =
        faces.iter().flat_map(|face| face.region.outer.points().iter().map(|p| camera.seen(face.frame.at(*p))));
    let mut bounds: Option<Rect> = None;
    let corners = corners.map(|p| Rect::from_points(p, p));
    for part in corners.chain(ground.iter().map(kurbo::Shape::bounding_box)) {
        bounds = Some(bounds.map_or(part, |bounds| bounds.union(part)));
    }
    bounds.unwrap_or(Rect::ZERO).inflate(1e-3, 1e-3)
}

/// From space to the page.
struct Picture {
    camera: Camera,
    place: Affine,
}

impl Picture {
    fn faces(&self, faces: Vec<Face>, arrangement: Arrangement, scale: f64) -> Vec<Mark> {
        let mut floors: Vec<Shadows> = Vec::new();
        if arrangement == Arrangement::Assembled {
            for face in faces.iter().filter(|face| shadow::is_floor(face)) {
                let height = face.frame.origin[2];
                if !floors.iter().any(|known| level(known.height, height)) {
                    floors.push(Shadows::on(height, &faces, &self.camera));
                }
            }
        }
        let faces = faces::seen(faces, &self.camera);
        let mut marks = Vec::new();
        for piece in order::back_to_front(&faces, OVERLAP / scale) {
            let face = &faces[piece.face];
            let map = self.map(face);
            let colour = self.camera.shaded(face.colour, face.frame.normal);
            marks.push(fill(map * piece.region.path(), colour));
            let floor = floors.iter().find(|floor| shadow::is_floor(face) && level(floor.height, face.frame.origin[2]));
            if let Some(floor) = floor {
                for area in floor.over(face, &piece.region) {
                    marks.push(
                        self.fill(&flat(&area, floor.height, &self.camera), camera::times(colour, camera::SHADOW)),
                    );
                }
            }
            if !narrow(map, face)
                && let Some(path) = lines(&piece)
            {
                let pen = Pen { width: Mm::new(LINE), colour: camera::edge(colour), dashes: Vec::new(), round: true };
                marks.push(Mark { layer: Layer::Artwork, shape: Shape::Stroke { path: map * path, pen } });
            }
        }
        marks
    }

    fn fill(&self, path: &BezPath, colour: Colour) -> Mark {
        fill(self.place * path.clone(), colour)
    }

    /// From a face's own plane to the page.
    fn map(&self, face: &Face) -> Affine {
        let (x, y) = (self.camera.along(face.frame.across), self.camera.along(face.frame.along));
        let origin = self.camera.seen(face.frame.origin);
        self.place * Affine::new([x.x, x.y, y.x, y.y, origin.x, origin.y])
    }
}

fn level(one: f64, other: f64) -> bool {
    (one - other).abs() < flatwright_geometry::tolerance::FIT
}

fn fill(path: BezPath, colour: Colour) -> Mark {
    Mark { layer: Layer::Artwork, shape: Shape::Fill { path, colour } }
}

/// Whether a face is seen as a mere strip.
fn narrow(map: Affine, face: &Face) -> bool {
    let outline = map * face.region.outer.path();
    let longest = outline.bounding_box();
    outline.area().abs() < NARROW * longest.width().hypot(longest.height())
}

/// The drawn part of an outline, as few strokes as it has.
fn lines(piece: &Piece) -> Option<BezPath> {
    let mut path = BezPath::new();
    let mut end = None;
    for (from, to) in &piece.lines {
        if end != Some(*from) {
            path.move_to(*from);
        }
        path.line_to(*to);
        end = Some(*to);
    }
    (!piece.lines.is_empty()).then_some(path)
}

/// How many there are of each kind: `6 tiles, 10 posts`.
fn caption(scene: &Scene<'_>) -> String {
    let mut counts: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for shown in &scene.shown {
        *counts.entry(named(shown.body.kind)).or_default() += 1;
    }
    let one =
        |((_, name), count): (&(usize, &str), &usize)| format!("{count} {name}{}", if *count == 1 { "" } else { "s" });
    counts.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A kind as built, in the order of the caption: a wrapped core is a tile.
const fn named(kind: PieceKind) -> (usize, &'static str) {
    match kind {
        PieceKind::TileCore | PieceKind::TileWrap => (0, "tile"),
        PieceKind::Post => (1, "post"),
        PieceKind::CardWall | PieceKind::WallCore | PieceKind::WallFacing => (2, "wall"),
        PieceKind::DoorLeaf => (3, "door leaf"),
        PieceKind::Biscuit => (4, "biscuit"),
        PieceKind::CornerPocket => (5, "corner pocket"),
        PieceKind::BasePlate => (6, "base plate"),
        PieceKind::SleevePlug => (7, "sleeve plug"),
    }
}
