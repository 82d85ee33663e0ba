//! What is printed on a flat pattern as a picture for models of the build.

use flatwright_folding::glb::Texture;
use flatwright_folding::scene::{Scene, Side};
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::{MM_PER_INCH, Mm};
use kurbo::{Affine, Rect, Shape as _};

use crate::art::{Artwork, Face, Forms};
use crate::page::{Colour, Document, Layer, Mark, Page, Shape};
use crate::png::{self, PngError};
use crate::{art, embed};

/// Dots to the millimetre: enough to look at a piece from as near as one plays with it.
const PER_MM: f64 = 3.0;
/// Most dots along a side, for pieces that are very large.
const MOST: f64 = 1536.0;
/// How far around the face the picture reaches, mm: dots at its edge are mixed with those beside.
const AROUND: f64 = 1.0;

/// One of a scene's prints, by its index, with all around its face that its pieces show; `None` where
/// nothing is printed on it. `bare` is the colour of the stock.
///
/// # Errors
/// Where the face cannot be drawn; see [`png::write`].
pub fn texture(
    scene: &Scene<'_>,
    index: usize,
    face: &Face,
    artwork: &Artwork,
    bare: Colour,
) -> Result<Option<Texture>, PngError> {
    let (Some(print), Some(shown)) = (scene.prints.get(index), shown(scene, index)) else { return Ok(None) };
    if !face.prints() {
        return Ok(None);
    }
    let pattern = &print.pattern;
    let bounds = shown.inflate(AROUND, AROUND);
    let per_mm = PER_MM.min(MOST / bounds.width().max(bounds.height()));
    // The picture has whole dots, and shows exactly so much.
    let whole = |length: f64| (length * per_mm).ceil() / per_mm;
    let size = (whole(bounds.width()), whole(bounds.height()));
    let bounds = Rect::from_origin_size(bounds.origin(), size);
    let paper = Rect::new(0.0, 0.0, size.0, size.1);
    let there = Affine::translate(-bounds.origin().to_vec2());
    // A board core stays bare where its paper does not reach, and so does card.
    let bleed = if pattern.stock == Stock::Paper { Mm::new(AROUND) } else { Mm::ZERO };
    let printed = pattern.printed_area(bleed);
    let forms = art::forms(artwork);
    let marks = embed::met(Forms::new(artwork, 0).paint(face, &printed, &pattern.planes, &print.id), &forms);
    let ground = Mark { layer: Layer::Artwork, shape: Shape::Fill { path: paper.to_path(0.1), colour: bare } };
    let marks = marks.iter().filter_map(|mark| Some(Mark { layer: mark.layer, shape: mark.shape.mapped(there, 1.0)? }));
    let page = Page::plain((Mm::new(size.0), Mm::new(size.1)), std::iter::once(ground).chain(marks).collect());
    let document = Document { forms, images: artwork.images.clone(), pages: vec![page], ..Document::default() };
    Ok(Some(Texture { png: png::write(&document, 0, per_mm * MM_PER_INCH)?, bounds }))
}

/// What of a flat pattern the sides of its pieces show, bare stock included.
fn shown(scene: &Scene<'_>, index: usize) -> Option<Rect> {
    let mut bounds: Option<Rect> = None;
    for shown in scene.shown.iter().filter(|shown| shown.skins.iter().any(|skin| skin.print == index)) {
        for (number, solid) in shown.solids().iter().enumerate() {
            let mut side = |side: Side, own: Rect| {
                let printed = scene.printed(shown, (number, solid), side);
                if let Some((_, map)) = printed.filter(|(print, _)| *print == index) {
                    let area = map.transform_rect_bbox(own);
                    bounds = Some(bounds.map_or(area, |bounds| bounds.union(area)));
                }
            };
            let around = solid.region.bounds();
            side(Side::Upper, around);
            side(Side::Lower, Rect { y0: -around.y1, y1: -around.y0, ..around });
            for (i, contour) in solid.region.contours().enumerate() {
                for (a, b) in contour.sides() {
                    let (a, b) = if i == 0 { (a, b) } else { (b, a) };
                    side(Side::Edge(a, b), Rect::new(0.0, 0.0, a.distance(b), solid.heights.1 - solid.heights.0));
                }
            }
        }
    }
    bounds
}
