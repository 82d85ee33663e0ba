//! Artwork in the light that falls on it.
//!
//! Marks are opaque, so light is no veil over a face: whatever is printed in a picture is drawn
//! with its colours as dark as the face is. Faces look few ways, so there are few such tones.

use flatwright_artwork::{Element, Paint, Swatch};
use flatwright_folding::scene::Print;
use flatwright_geometry::region::Region;
use kurbo::Affine;

use super::camera::times;
use crate::art::{self, Artwork, Face, Forms};
use crate::embed::{self, met};
use crate::page::{Form, Image, Mark, Pixels};
use crate::reduce::reduced;

/// What is printed on the pieces of a scene.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prints {
    /// The surfaces and pictures that faces name.
    pub artwork: Artwork,
    /// What is printed on each of [`flatwright_folding::scene::Scene::prints`].
    pub faces: Vec<Face>,
}

/// Steps in which tones differ, parts of full light.
const STEPS: f64 = 100.0;
/// What is seen smaller than this is left out, mm: little more than a dot at 150 dots per inch.
const LEAST: f64 = 0.2;
/// Corners are this near to their places on the picture, mm.
const GRAIN: f64 = 0.035;
/// Pixels along the longer side of a picture on a face, at most.
const MOST_PIXELS: u32 = 512;

/// A shade as the number of its tone.
pub(super) fn tone(shade: f64) -> u32 {
    (shade * STEPS).round().max(0.0) as u32
}

/// The artwork of a scene in every tone that is needed.
pub(super) struct Tones {
    tones: Vec<(u32, Prints)>,
    /// The forms of all tones.
    pub forms: Vec<Form>,
    /// The pictures of all tones.
    pub images: Vec<Image>,
}

impl Tones {
    /// `scale` is how large the picture is drawn.
    pub fn new(prints: &Prints, mut wanted: Vec<u32>, scale: f64) -> Self {
        wanted.sort_unstable();
        wanted.dedup();
        let small = Artwork {
            swatches: prints.artwork.swatches.iter().map(|swatch| coarse(swatch, scale)).collect(),
            images: prints.artwork.images.iter().map(|image| reduced(image, MOST_PIXELS)).collect(),
        };
        let mut all = Self { tones: Vec::new(), forms: Vec::new(), images: Vec::new() };
        for number in wanted {
            let shade = f64::from(number) / STEPS;
            let images = small.images.len() * all.tones.len();
            let artwork = Artwork {
                swatches: small.swatches.iter().map(|swatch| shaded(swatch, shade)).collect(),
                images: small.images.iter().map(|image| darker(image, shade, number)).collect(),
            };
            all.forms.extend(
                art::forms(&artwork).into_iter().map(|form| Form { id: format!("{}-{number}", form.id), ..form }),
            );
            all.images.extend(artwork.images.iter().cloned());
            let faces = prints.faces.iter().map(|face| in_light(face, shade, images)).collect();
            all.tones.push((number, Prints { artwork, faces }));
        }
        all
    }

    /// What a print shows on parts of its flat pattern in a tone, moved by a map, which draws lines
    /// `scale` times as wide.
    pub fn paint(
        &self,
        tone: u32,
        print: usize,
        pattern: &Print,
        printed: &[Region],
        map: Affine,
        scale: f64,
    ) -> Vec<Mark> {
        let Some(index) = self.tones.iter().position(|(number, _)| *number == tone) else { return Vec::new() };
        let (_, prints) = &self.tones[index];
        let Some(face) = prints.faces.get(print) else { return Vec::new() };
        let forms = Forms::new(&prints.artwork, self.forms.len() / self.tones.len() * index);
        let marks = forms.paint(face, printed, &pattern.pattern.planes, &pattern.id);
        let marks = met(marks, &self.forms).into_iter();
        marks.filter_map(|mark| Some(Mark { shape: mark.shape.mapped(map, scale)?, ..mark })).collect()
    }
}

/// A surface without what is too small to be seen, its corners no finer than that either.
fn coarse(swatch: &Swatch, scale: f64) -> Swatch {
    // A power of ten, for short numbers in files.
    let grain = 10_f64.powf((GRAIN / scale).log10().floor());
    let seen = |element: &&Element| {
        let bounds = element.bounds();
        bounds.width().max(bounds.height()) * scale >= LEAST
    };
    let layer = |layer: &Vec<Element>| layer.iter().filter(seen).map(|element| snapped(element, grain)).collect();
    let variants = swatch.variants.iter().map(|layers| layers.iter().map(layer).collect()).collect();
    Swatch { variants, ..*swatch }
}

fn snapped(element: &Element, grain: f64) -> Element {
    Element { path: embed::snapped(&element.path, grain), ..element.clone() }
}

fn shaded(swatch: &Swatch, shade: f64) -> Swatch {
    let layer = |layer: &Vec<Element>| layer.iter().map(|element| darkened(element, shade)).collect();
    let variants = swatch.variants.iter().map(|layers| layers.iter().map(layer).collect()).collect();
    Swatch { side: swatch.side, ground: swatch.ground.map(|ground| times(ground, shade)), variants }
}

fn darkened(element: &Element, shade: f64) -> Element {
    let paint = match element.paint {
        Paint::Fill(colour) => Paint::Fill(times(colour, shade)),
        Paint::Line(colour, width) => Paint::Line(times(colour, shade), width),
    };
    Element { paint, ..element.clone() }
}

fn in_light(face: &Face, shade: f64, images: usize) -> Face {
    let mut face = face.clone();
    face.tint = face.tint.map(|tint| times(tint, shade));
    face.ornament = face.ornament.iter().map(|element| darkened(element, shade)).collect();
    if let Some(picture) = &mut face.picture {
        picture.image += images;
    }
    face
}

fn darker(image: &Image, shade: f64, number: u32) -> Image {
    let pixels = match &image.pixels {
        Pixels::Rgb(bytes) => {
            let byte = |byte: &u8| (f64::from(*byte) * shade).round().clamp(0.0, 255.0) as u8;
            Pixels::Rgb(bytes.iter().map(byte).collect())
        }
        // One that could not be read keeps its own light.
        jpeg @ Pixels::Jpeg { .. } => jpeg.clone(),
    };
    Image { id: format!("{}-{number}", image.id), pixels, ..image.clone() }
}
