//! The PNG writer: one page as a picture, for screens.
//!
//! The page's SVG text is rendered in memory with the type that this program ships and no other,
//! so the picture is the same on every machine.

use std::sync::{Arc, LazyLock};

use flatwright_geometry::units::{MM_PER_INCH, plain};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::fontdb::{Database, Source};
use resvg::usvg::{Options, Tree};

use crate::font;
use crate::page::{Document, Weight};
use crate::svg::{self, SvgError};

/// Most pixels in one picture: 256 MB while it is drawn. A4 at 600 dots per inch has 35 million.
pub const MOST_PIXELS: u64 = 64_000_000;

/// Resolutions that are taken, dots per inch.
pub const RESOLUTIONS: std::ops::RangeInclusive<f64> = 10.0..=2400.0;

/// Why no PNG was written.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    /// The page cannot be drawn at all.
    #[error(transparent)]
    Page(#[from] SvgError),
    /// A resolution out of range.
    #[error("{asked} dots per inch; give {} to {}, such as 150", RESOLUTIONS.start(), RESOLUTIONS.end())]
    Resolution {
        /// What was asked for.
        asked: f64,
    },
    /// More pixels than [`MOST_PIXELS`].
    #[error("{width} x {height} pixels are more than {MOST_PIXELS}; ask for {} dots per inch or fewer", plain(*.at_most, 0))]
    TooLarge {
        /// Pixels across.
        width: u64,
        /// Pixels down.
        height: u64,
        /// The highest whole resolution that this page can have.
        at_most: f64,
    },
    /// The renderer did not take our own SVG.
    #[error("the page could not be rendered: {0}; please report this")]
    Render(String),
    /// The picture could not be encoded.
    #[error("the picture could not be stored: {0}")]
    Encode(#[from] png::EncodingError),
}

/// One page, counted from 0, as an opaque 8-bit RGB picture on white: same page, same bytes.
///
/// It is as many pixels wide and high as the paper has dots, to the nearest one, and carries its
/// resolution (chunk `pHYs`), so that it prints at its size.
///
/// # Errors
/// [`PngError::Resolution`] and [`PngError::TooLarge`] for what is too coarse, too fine or too
/// large to draw, [`PngError::Page`] for what [`svg::write`] refuses; the others only where a
/// library fails.
pub fn write(document: &Document, page: usize, dots_per_inch: f64) -> Result<Vec<u8>, PngError> {
    Canvas::of(document, page, dots_per_inch)?.encode()
}

/// A page as drawn, to which more can be added.
pub(crate) struct Canvas {
    picture: Pixmap,
    dots_per_inch: f64,
}

impl Canvas {
    /// The first page of a document.
    pub fn new(document: &Document, dots_per_inch: f64) -> Result<Self, PngError> {
        Self::of(document, 0, dots_per_inch)
    }

    fn of(document: &Document, page: usize, dots_per_inch: f64) -> Result<Self, PngError> {
        if !RESOLUTIONS.contains(&dots_per_inch) {
            return Err(PngError::Resolution { asked: dots_per_inch });
        }
        let text = svg::write(document, page)?;
        // The SVG writer has found the page, and its sides finite and above 0.
        let size = document.pages.get(page).map_or((0.0, 0.0), |page| (page.size.0.get(), page.size.1.get()));
        let dots = |side: f64, per_inch: f64| (side / MM_PER_INCH * per_inch).round().max(1.0);
        let (width, height) = (dots(size.0, dots_per_inch), dots(size.1, dots_per_inch));
        if width * height > MOST_PIXELS as f64 {
            let at_most = (MOST_PIXELS as f64 / (size.0 * size.1)).sqrt() * MM_PER_INCH;
            // Whole pixels may still round up past the limit; the next lower whole resolution does not.
            let fits = |per_inch: &f64| dots(size.0, *per_inch) * dots(size.1, *per_inch) <= MOST_PIXELS as f64;
            let at_most = [at_most.floor(), at_most.floor() - 1.0].into_iter().find(fits).unwrap_or(1.0);
            return Err(PngError::TooLarge { width: width as u64, height: height as u64, at_most });
        }
        Ok(Self { picture: render(&text, width as u32, height as u32)?, dots_per_inch })
    }

    /// Puts rows of sRGB pixels on it, their left upper corner at a dot; what reaches out is cut off.
    pub fn paste(&mut self, pixels: &[u8], (width, height): (u32, u32), (left, top): (u32, u32)) {
        let across = self.picture.width() as usize;
        let (left, top) = (left as usize, top as usize);
        let kept = (width as usize).min(across.saturating_sub(left));
        let rows = pixels.chunks_exact(3 * width as usize).take(height as usize);
        let below = self.picture.data_mut().chunks_exact_mut(4 * across).skip(top);
        for (from, to) in rows.zip(below) {
            let to = to[4 * left.min(across)..].chunks_exact_mut(4);
            for (from, to) in from.chunks_exact(3).zip(to).take(kept) {
                to[..3].copy_from_slice(from);
            }
        }
    }

    /// As a PNG file.
    pub fn encode(&self) -> Result<Vec<u8>, PngError> {
        encode(&self.picture, self.dots_per_inch)
    }
}

/// One page, counted from 0, as rows of sRGB pixels on white, from the top; the page is stretched to
/// so many pixels across and down.
///
/// # Errors
/// As [`write`] has them.
pub(crate) fn pixels(document: &Document, page: usize, (width, height): (u32, u32)) -> Result<Vec<u8>, PngError> {
    let picture = render(&svg::write(document, page)?, width, height)?;
    Ok(opaque(&picture))
}

/// Rows of sRGB pixels as a PNG file; `None` where the library fails, for lack of memory.
pub(crate) fn of_pixels((width, height): (u32, u32), pixels: &[u8]) -> Option<Vec<u8>> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().ok()?;
    writer.write_image_data(pixels).ok()?;
    writer.finish().ok()?;
    Some(file)
}

fn render(text: &str, width: u32, height: u32) -> Result<Pixmap, PngError> {
    let options = Options { fontdb: fonts(), ..Options::default() };
    let tree = Tree::from_str(text, &options).map_err(|error| PngError::Render(error.to_string()))?;
    let mut picture =
        Pixmap::new(width, height).ok_or_else(|| PngError::Render(format!("no room for {width} x {height} pixels")))?;
    picture.fill(Color::WHITE);
    let scale = Transform::from_scale(width as f32 / tree.size().width(), height as f32 / tree.size().height());
    resvg::render(&tree, scale, &mut picture.as_mut());
    Ok(picture)
}

fn encode(picture: &Pixmap, dots_per_inch: f64) -> Result<Vec<u8>, PngError> {
    let pixels = opaque(picture);
    let per_metre = (dots_per_inch / MM_PER_INCH * 1000.0).round() as u32;
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&pixels)?;
    writer.finish()?;
    Ok(file)
}

/// On white everything is opaque, so premultiplied colours are the colours.
fn opaque(picture: &Pixmap) -> Vec<u8> {
    picture.data().chunks_exact(4).flat_map(|pixel| pixel[..3].iter().copied()).collect()
}

/// The shipped type and nothing of the machine's.
#[must_use]
pub fn fonts() -> Arc<Database> {
    static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
        let mut fonts = Database::new();
        for weight in [Weight::Regular, Weight::Bold] {
            fonts.load_font_source(Source::Binary(Arc::new(font::data(weight))));
        }
        Arc::new(fonts)
    });
    Arc::clone(&FONTS)
}
