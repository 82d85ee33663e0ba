//! Pictures with fewer pixels, for drawings in which they are small.

use std::sync::Arc;

use flatwright_geometry::units::Mm;
use kurbo::{Affine, Rect, Shape as _};

use crate::page::{Document, Image, Layer, Mark, Page, Pixels, Shape};
use crate::png;

/// The picture with at most `most` pixels along its longer side, as rows of sRGB pixels; unchanged
/// where it cannot be read.
#[must_use]
pub fn reduced(image: &Image, most: u32) -> Image {
    let (width, height) = image.size;
    let part = (f64::from(most.max(1)) / f64::from(width.max(height).max(1))).min(1.0);
    let side = |pixels: u32| (f64::from(pixels) * part).round().max(1.0) as u32;
    let size = (side(width), side(height));
    let pixels = match &image.pixels {
        Pixels::Rgb(_) if part >= 1.0 => return image.clone(),
        _ => rendered(image, size),
    };
    match pixels {
        Some(pixels) => Image { id: image.id.clone(), size, pixels: Pixels::Rgb(pixels) },
        None => image.clone(),
    }
}

/// Drawn on a page of its own, by the renderer that draws all other pictures.
fn rendered(image: &Image, (width, height): (u32, u32)) -> Option<Arc<[u8]>> {
    let paper = Rect::new(0.0, 0.0, f64::from(width), f64::from(height));
    let motion = Affine::scale_non_uniform(paper.x1, paper.y1);
    let shown = Mark { layer: Layer::Artwork, shape: Shape::Image { image: 0, motion } };
    let clip = Shape::Clip { path: paper.to_path(0.1), marks: vec![shown] };
    let page = Page::plain((Mm::new(paper.x1), Mm::new(paper.y1)), vec![Mark { layer: Layer::Artwork, shape: clip }]);
    let document = Document { images: vec![image.clone()], pages: vec![page], ..Document::default() };
    png::pixels(&document, 0, (width, height)).ok().map(Arc::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_keeps_its_sides_and_colours() {
        let rows: Vec<u8> = (0..100)
            .flat_map(|y| (0..200).flat_map(move |_| if y < 50 { [200, 10, 30] } else { [0, 120, 40] }))
            .collect();
        let image = Image { id: "flag".into(), size: (200, 100), pixels: Pixels::Rgb(rows.into()) };
        let small = reduced(&image, 20);
        assert_eq!(small.size, (20, 10));
        let Pixels::Rgb(bytes) = &small.pixels else { panic!("pixels") };
        assert_eq!(bytes.len(), 600);
        assert_eq!((&bytes[..3], &bytes[597..]), (&[200, 10, 30][..], &[0, 120, 40][..]));
        assert_eq!(reduced(&image, 300), image);
    }
}
