//! The picture on its page: shadows, faces, lines, title and caption.

use std::collections::BTreeMap;

use flatwright_folding::scene::Scene;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Point, Rect, Shape as _};

use super::camera::{self, Camera};
use super::faces::{self, Face};
use super::hidden::Raster;
use super::order::{self, Piece};
use super::shadow::{self, Shadows};
use super::tone::{Prints, Tones, tone};
use super::{Arrangement, ViewError, ViewFault, faults};
use crate::embed;
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
/// Faces that are seen narrower than this (the sides of tiles, mostly) show the mean colour of what is
/// printed on them: at that width nobody can tell, mm.
const STRIP: f64 = 1.5;
/// How far parts of one face reach under each other, mm: a good half of a dot at 150 dots per inch.
const OVERLAP: f64 = 0.12;
/// A face with less bare stock than this has none, mm².
const BARE: f64 = 0.5;
/// The ground in the shadow; out of it, it is as white as the paper.
const GROUND: Colour = Colour(0xE3, 0xE0, 0xD8);

/// A build as one page of the given width, as high as the picture needs, with its title and a count
/// of its pieces. Pieces wear what is printed on them; where `prints` has nothing for a print, its
/// pieces have their plain colours. The same scene gives the same page.
///
/// # Errors
/// [`ViewError`] with every [`ViewFault`] there is.
pub fn document(
    scene: &Scene<'_>,
    prints: &Prints,
    width: Mm,
    arrangement: Arrangement,
) -> Result<Document, ViewError> {
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
    let floors = match arrangement {
        Arrangement::Assembled => floors(&faces, &camera),
        Arrangement::Exploded => Vec::new(),
    };
    let faces = faces::seen(faces, &camera);
    let tones = Tones::new(prints, wanted(&faces, &floors, &camera), scale);
    let picture = Picture { camera, place, scale, scene, tones };
    let mut marks: Vec<Mark> = ground.iter().map(|path| picture.fill(path, GROUND)).collect();
    marks.extend(picture.faces(&faces, &floors));
    let mut marks: Vec<Mark> = marks.into_iter().map(rounded).collect();
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
    let Tones { forms, images, .. } = picture.tones;
    let subject = format!("Axonometric view: {caption}");
    Ok(embed::used(Document { title, subject, forms, images, pages: vec![page] }))
}

/// What casts shadows on each floor.
fn floors(faces: &[Face], camera: &Camera) -> Vec<Shadows> {
    let mut floors: Vec<Shadows> = Vec::new();
    for face in faces.iter().filter(|face| shadow::is_floor(face)) {
        let height = face.frame.origin[2];
        if !floors.iter().any(|known| level(known.height, height)) {
            floors.push(Shadows::on(height, faces, camera));
        }
    }
    floors
}

/// The tones of all that is printed.
fn wanted(faces: &[Face], floors: &[Shadows], camera: &Camera) -> Vec<u32> {
    let mut tones = Vec::new();
    for face in faces.iter().filter(|face| face.print.is_some()) {
        let shade = camera.shade(face.frame.normal);
        tones.push(tone(shade));
        if !floors.is_empty() && shadow::is_floor(face) {
            tones.push(tone(shade * camera::SHADOW));
        }
    }
    tones
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
struct Picture<'a> {
    camera: Camera,
    place: Affine,
    scale: f64,
    scene: &'a Scene<'a>,
    tones: Tones,
}

impl Picture<'_> {
    fn faces(&self, faces: &[Face], floors: &[Shadows]) -> Vec<Mark> {
        let mut marks = Vec::new();
        for piece in self.shown(faces) {
            let face = &faces[piece.face];
            let shade = self.camera.shade(face.frame.normal);
            marks.extend(self.painted(face, std::slice::from_ref(&piece.region), shade));
            let floor = floors.iter().find(|floor| shadow::is_floor(face) && level(floor.height, face.frame.origin[2]));
            if let Some(floor) = floor {
                let areas = floor.over(face, &piece.region);
                marks.extend(self.painted(face, &areas, shade * camera::SHADOW));
            }
            let map = self.map(face);
            if !strip(map, face, NARROW)
                && let Some(path) = lines(&piece)
            {
                let colour = camera::edge(camera::times(face.colour, shade));
                let pen = Pen { width: Mm::new(LINE), colour, dashes: Vec::new(), round: true };
                marks.push(Mark { layer: Layer::Artwork, shape: Shape::Stroke { path: map * path, pen } });
            }
        }
        marks
    }

    /// What shows of the faces, in the order in which it is drawn.
    fn shown(&self, faces: &[Face]) -> Vec<Piece> {
        let mut pieces = order::back_to_front(faces, OVERLAP / self.scale);
        let mut raster = Raster::new(self.place.transform_rect_bbox(bounds(faces, &self.camera, &[])));
        let nearest_first = pieces.iter().rev();
        let shows = nearest_first.map(|piece| !raster.hides(&piece.region, self.map(&faces[piece.face])));
        let mut shows: Vec<bool> = shows.collect();
        pieces.retain(|_| shows.pop().unwrap_or(true));
        pieces
    }

    /// Parts of a face, with what is printed there.
    fn painted(&self, face: &Face, parts: &[Region], shade: f64) -> Vec<Mark> {
        let map = self.map(face);
        let plain = |colour| parts.iter().map(move |part| fill(map * part.path(), camera::times(colour, shade)));
        let print = face.print.filter(|_| !strip(map, face, STRIP));
        let print = print.and_then(|(index, map)| Some((index, map, self.scene.prints.get(index)?)));
        let Some((index, to_pattern, print)) = print else { return plain(face.colour).collect() };
        let flat: Vec<Region> = parts.iter().map(|part| part.moved(to_pattern)).collect();
        let printed = region::intersection(&flat, &print.pattern.face);
        let art = self.tones.paint(tone(shade), index, print, &printed, map * to_pattern.inverse(), self.scale);
        let area = |regions: &[Region]| regions.iter().map(Region::area).sum::<f64>();
        // Under a ground that covers all of it the stock would only show as a fringe.
        let grounded = matches!(art.first(), Some(Mark { shape: Shape::Fill { .. }, .. }));
        let covered = grounded && area(&flat) - area(&printed) < BARE;
        let bare = (!covered).then(|| plain(face.bare)).into_iter().flatten();
        bare.chain(art).collect()
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

/// To a hundredth of a millimetre, which no screen and no printer shows, and a hundred-thousandth in maps:
/// shorter in a file. Neighbours that share a corner round it alike.
fn rounded(mark: Mark) -> Mark {
    let path = |path: BezPath| embed::snapped(&path, 0.01);
    let map = |map: Affine| Affine::new(map.as_coeffs().map(|part| (part * 1e5).round() / 1e5));
    let shape = match mark.shape {
        Shape::Fill { path: outline, colour } => Shape::Fill { path: path(outline), colour },
        Shape::Stroke { path: line, pen } => Shape::Stroke { path: path(line), pen },
        Shape::Clip { path: area, marks } => {
            Shape::Clip { path: path(area), marks: marks.into_iter().map(rounded).collect() }
        }
        Shape::Place { form, motion } => Shape::Place { form, motion: map(motion) },
        Shape::Image { image, motion } => Shape::Image { image, motion: map(motion) },
        other @ Shape::Text(_) => other,
    };
    Mark { layer: mark.layer, shape }
}

fn level(one: f64, other: f64) -> bool {
    (one - other).abs() < flatwright_geometry::tolerance::FIT
}

fn fill(path: BezPath, colour: Colour) -> Mark {
    Mark { layer: Layer::Artwork, shape: Shape::Fill { path, colour } }
}

/// Whether a face is seen as a strip no wider than so many mm.
fn strip(map: Affine, face: &Face, width: f64) -> bool {
    let outline = map * face.region.outer.path();
    let longest = outline.bounding_box();
    outline.area().abs() < width * longest.width().hypot(longest.height())
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
        PieceKind::NicheBox => (3, "niche box"),
        PieceKind::Biscuit => (4, "biscuit"),
        PieceKind::Gauge => (9, "gauge"),
        PieceKind::CornerPocket => (5, "corner pocket"),
        PieceKind::BasePlate => (6, "base plate"),
        PieceKind::SleevePlug => (7, "sleeve plug"),
        PieceKind::PostCap => (8, "post cap"),
        PieceKind::Prop => (9, "prop part"),
        PieceKind::Flight => (10, "stair flight"),
        PieceKind::Landing => (11, "half landing"),
        PieceKind::StairMarker => (12, "stair marker"),
        PieceKind::Pillar => (13, "pillar"),
        PieceKind::FreeWall => (14, "free-standing wall"),
        PieceKind::WallBase => (15, "wall base"),
        PieceKind::Filler => (2, "filler"),
        PieceKind::Grating | PieceKind::GratingBoard => (15, "grating"),
        PieceKind::Roof => (16, "roof"),
        PieceKind::RoofSkirt => (17, "roof skirt"),
        PieceKind::RidgeCap => (18, "ridge cap"),
        PieceKind::HipCap => (18, "hip cap"),
        PieceKind::Coupler => (19, "coupler"),
        PieceKind::BentWall | PieceKind::BentCore | PieceKind::BentFacing => (20, "bent wall"),
        PieceKind::TurnCore | PieceKind::TurnWrap => (21, "turn tile"),
        PieceKind::BendPocket => (22, "bend pocket"),
    }
}
