//! Artwork on faces: surfaces, ornament and pictures as marks of a page.
//!
//! A surface is stored once, as forms: one for each layer of each variant of its module square. A
//! face is a clip in which those are placed square by square, so a set of forty tiles holds no
//! more drawings than a set of one.

use std::cell::OnceCell;

use flatwright_artwork::{Element, Paint, Swatch, ink};
use flatwright_geometry::pattern::Plane;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, Rect};

use crate::lines::{LineType, contrast};
use crate::page::{Colour, Form, Image, Layer, Mark, Pen, Shape};

/// The surfaces and pictures of a document, as they are to be printed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Artwork {
    /// Surfaces.
    pub swatches: Vec<Swatch>,
    /// Pictures.
    pub images: Vec<Image>,
}

/// What is printed on a face, bottom first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Face {
    /// A flat colour.
    pub tint: Option<Colour>,
    /// A surface: index into [`Artwork::swatches`].
    pub surface: Option<usize>,
    /// A picture.
    pub picture: Option<Picture>,
    /// Grid and ornament, in the artwork's plane (see [`Plane`]).
    pub ornament: Vec<Element>,
}

/// A picture on a face.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Index into [`Artwork::images`].
    pub image: usize,
    /// Where copies of it lie, in the artwork's plane: the first one, and how far the next ones
    /// are; `None` for a single one.
    pub place: Rect,
    /// Whether it is repeated over the whole plane.
    pub repeated: bool,
    /// How its pixels are turned to be seen: from the unit square to the unit square.
    pub turn: Affine,
    /// Its darkest and its lightest colour.
    pub extremes: [Colour; 2],
    /// Mean ink that it takes, 0 to 1.
    pub ink: f64,
}

impl Face {
    /// A flat colour and nothing else.
    #[must_use]
    pub fn tint(colour: Colour) -> Self {
        Self { tint: Some(colour), ..Self::default() }
    }

    /// Whether anything is printed at all.
    #[must_use]
    pub fn prints(&self) -> bool {
        self.tint.is_some() || self.surface.is_some() || self.picture.is_some() || !self.ornament.is_empty()
    }

    /// Every colour that a line may cross on it.
    #[must_use]
    pub fn colours(&self, artwork: &Artwork) -> Vec<Colour> {
        let swatch = self.surface.and_then(|surface| artwork.swatches.get(surface));
        let mut all: Vec<Colour> = swatch.map(Swatch::colours).unwrap_or_default();
        all.extend(self.tint);
        all.extend(self.ornament.iter().map(|element| element.paint.colour()));
        all.extend(self.picture.iter().flat_map(|picture| picture.extremes));
        all
    }
}

/// The forms of all surfaces, in the order in which [`Forms`] counts them.
#[must_use]
pub fn forms(artwork: &Artwork) -> Vec<Form> {
    let mut forms = Vec::new();
    for (number, swatch) in artwork.swatches.iter().enumerate() {
        for (variant, layers) in swatch.variants.iter().enumerate() {
            for (index, elements) in layers.iter().enumerate() {
                let around = elements.iter().map(Element::bounds).reduce(|a, b| a.union(b));
                forms.push(Form {
                    id: format!("art-{}-{}-{}", number + 1, variant + 1, index + 1),
                    bounds: around.unwrap_or_default().inflate(0.1, 0.1),
                    marks: elements.iter().map(mark).collect(),
                });
            }
        }
    }
    forms
}

/// Where in a document's list the forms of the surfaces begin.
#[derive(Clone, Debug)]
pub struct Forms<'a> {
    artwork: &'a Artwork,
    starts: Vec<usize>,
    /// Mean ink of each surface.
    means: OnceCell<Vec<f64>>,
}

impl<'a> Forms<'a> {
    /// For forms that stand at `base` and behind it.
    #[must_use]
    pub fn new(artwork: &'a Artwork, base: usize) -> Self {
        let mut starts = Vec::new();
        let mut next = base;
        for swatch in &artwork.swatches {
            starts.push(next);
            next += swatch.variants.iter().map(Vec::len).sum::<usize>();
        }
        Self { artwork, starts, means: OnceCell::new() }
    }

    /// What a face prints on `printed`, the areas of a flat pattern with their bleed. `key` settles
    /// which variants lie where: pieces with different keys look different.
    #[must_use]
    pub fn paint(&self, face: &Face, printed: &[Region], planes: &[Plane], key: &str) -> Vec<Mark> {
        let everywhere = [Plane::everywhere(Affine::IDENTITY)];
        let planes = if planes.is_empty() { &everywhere } else { planes };
        let whole = |regions: &[Region]| -> BezPath { regions.iter().flat_map(Region::path).collect() };
        // The ground goes on where one plane meets the next, so that no hairline of paper shows there.
        let ground = self.ground(face).map(|colour| Shape::Fill { path: whole(printed), colour });
        let mut marks: Vec<Mark> = ground.map(artwork_mark).into_iter().collect();
        for plane in planes {
            let window = flatwright_geometry::contour::Contour::rectangle(plane.window).map(Region::from);
            let area = match (planes.len(), window) {
                (1, _) | (_, None) => printed.to_vec(),
                (_, Some(window)) => region::intersection(printed, &[window]),
            };
            let Some(bounds) = area.iter().map(Region::bounds).reduce(|a, b| a.union(b)) else { continue };
            let inner = self.plane(face, bounds, plane.motion, key);
            if !inner.is_empty() {
                marks.push(artwork_mark(Shape::Clip { path: whole(&area), marks: inner }));
            }
        }
        marks
    }

    /// How much ink a face takes on `printed`, in mm2 of full black: an estimate from the means of
    /// surface and picture.
    #[must_use]
    pub fn ink(&self, face: &Face, printed: &[Region], planes: &[Plane]) -> f64 {
        let area: f64 = printed.iter().map(Region::area).sum();
        let means = self.means.get_or_init(|| self.artwork.swatches.iter().map(ink::mean_coverage).collect());
        let swatch = face.surface.and_then(|surface| means.get(surface));
        let under = swatch.copied().or(face.tint.map(ink::coverage)).unwrap_or_default();
        let mut sum = area * under;
        if let Some(picture) = &face.picture {
            let motions = planes.iter().map(|plane| plane.motion);
            let covered = |motion: Affine| motion.transform_rect_bbox(picture.place).area();
            let shown = if picture.repeated { area } else { motions.map(covered).sum::<f64>().min(area) };
            sum += shown * (picture.ink - under);
        }
        let ornament = face.ornament.iter().map(|element| element.area() * ink::coverage(element.paint.colour()));
        sum + ornament.sum::<f64>() * planes.len().max(1) as f64 * (1.0 - under)
    }

    /// Every colour that a line may cross on a face.
    #[must_use]
    pub fn line_colours(&self, face: &Face) -> Vec<Colour> {
        face.colours(self.artwork)
    }

    fn ground(&self, face: &Face) -> Option<Colour> {
        let swatch = face.surface.and_then(|surface| self.artwork.swatches.get(surface));
        swatch.and_then(|swatch| swatch.ground).or(face.tint)
    }

    /// What lies over the ground of one plane, where `bounds` of the pattern meets it.
    fn plane(&self, face: &Face, bounds: Rect, motion: Affine, key: &str) -> Vec<Mark> {
        let seen = motion.inverse().transform_rect_bbox(bounds);
        let mut marks = Vec::new();
        if let Some((surface, swatch)) =
            face.surface.and_then(|surface| Some((surface, self.artwork.swatches.get(surface)?)))
        {
            marks.extend(self.squares(surface, swatch, seen, motion, key));
        }
        if let Some(picture) = &face.picture {
            marks.extend(copies(picture, seen).map(|at| {
                let square =
                    Affine::translate(at.origin().to_vec2()) * Affine::scale_non_uniform(at.width(), at.height());
                artwork_mark(Shape::Image { image: picture.image, motion: motion * square * picture.turn })
            }));
        }
        marks.extend(
            face.ornament.iter().filter_map(|element| mark(element).shape.mapped(motion, 1.0)).map(artwork_mark),
        );
        marks
    }

    fn squares(&self, surface: usize, swatch: &Swatch, seen: Rect, motion: Affine, key: &str) -> Vec<Mark> {
        let (side, reach) = (swatch.side, swatch.reach());
        let steps = |from: f64, to: f64| (from / side).floor() as i64..(to / side).ceil() as i64;
        let wide = seen.inflate(reach, reach);
        let layers = swatch.variants.first().map_or(0, Vec::len);
        let mut marks = Vec::new();
        // Layer by layer, so that no square's ground covers what reaches into it.
        for layer in 0..layers {
            for row in steps(wide.y0, wide.y1) {
                for column in steps(wide.x0, wide.x1) {
                    let variant = variant(key, row, column, swatch.variants.len());
                    let form = self.starts[surface] + variant * layers + layer;
                    let shift = Affine::translate((column as f64 * side, row as f64 * side));
                    marks.push(artwork_mark(Shape::Place { form, motion: motion * shift }));
                }
            }
        }
        marks
    }
}

/// How a line is drawn where it crosses artwork: black, so that no colour can hide it, and over a
/// white casing where some of the artwork is too dark for black (WCAG 2.2 asks graphics for 3:1).
#[must_use]
pub fn pens_on(colours: &[Colour], line: LineType) -> Vec<Pen> {
    let pen = Pen { colour: Colour::BLACK, ..line.pen() };
    if colours.iter().all(|colour| contrast(*colour, Colour::BLACK) >= LEAST_CONTRAST) {
        return vec![pen];
    }
    let casing = Pen { width: pen.width + CASING * 2.0, colour: Colour::WHITE, dashes: Vec::new(), round: false };
    vec![casing, pen]
}

/// Least contrast of a line with what it is printed on (WCAG 2.2, success criterion 1.4.11).
pub const LEAST_CONTRAST: f64 = 3.0;
/// White on either side of a line over dark artwork.
const CASING: Mm = Mm::new(0.25);

fn mark(element: &Element) -> Mark {
    let path = element.path.clone();
    artwork_mark(match element.paint {
        Paint::Fill(colour) => Shape::Fill { path, colour },
        Paint::Line(colour, width) => {
            Shape::Stroke { path, pen: Pen { width: Mm::new(width), colour, dashes: Vec::new(), round: true } }
        }
    })
}

const fn artwork_mark(shape: Shape) -> Mark {
    Mark { layer: Layer::Artwork, shape }
}

/// The places of a picture that meet a rectangle.
fn copies(picture: &Picture, seen: Rect) -> impl Iterator<Item = Rect> {
    let place = picture.place;
    let steps = |from: f64, to: f64, origin: f64, side: f64| {
        if picture.repeated && side > 0.0 {
            ((from - origin) / side).floor() as i64..((to - origin) / side).ceil() as i64
        } else {
            0..1
        }
    };
    let columns = steps(seen.x0, seen.x1, place.x0, place.width());
    steps(seen.y0, seen.y1, place.y0, place.height()).flat_map(move |row| {
        columns
            .clone()
            .map(move |column| place + kurbo::Vec2::new(column as f64 * place.width(), row as f64 * place.height()))
    })
}

/// Which variant lies in a square: by chance, but always the same.
fn variant(key: &str, row: i64, column: i64, variants: usize) -> usize {
    let path: Vec<u64> = key.bytes().map(u64::from).chain([row.cast_unsigned(), column.cast_unsigned()]).collect();
    (flatwright_artwork::chance::Chance::new(0, &path).draw() % variants.max(1) as u64) as usize
}
