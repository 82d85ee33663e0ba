//! Pixels in another ink, and what pixels come to.

use flatwright_artwork::{Colour, Ink, Print, ink};

use super::Raster;

/// What the pixels of a picture come to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told {
    pub extremes: [Colour; 2],
    pub edge: Colour,
    pub mean: Colour,
    pub ink: f64,
}

impl Told {
    /// Of bare paper.
    pub const WHITE: Self = Self { extremes: [Colour::WHITE; 2], edge: Colour::WHITE, mean: Colour::WHITE, ink: 0.0 };
}

/// The pixels as they are printed, in colour or grey.
pub(super) fn converted(raster: &Raster, print: Print) -> Raster {
    // A colour that comes again, as most do, is not worked out again.
    let mut last = (Colour::BLACK, print.colour(Colour::BLACK));
    let grey: Vec<Colour> = (0..=u8::MAX).map(|part| print.colour(Colour(part, part, part))).collect();
    let shades: Vec<u8> = (0..=u8::MAX).map(|part| Colour(part, part, part).shaded(print.shade).0).collect();
    let mut rgb = Vec::with_capacity(raster.rgb.len());
    for pixel in raster.rgb.chunks_exact(3) {
        let colour = Colour(pixel[0], pixel[1], pixel[2]);
        if colour != last.0 {
            let printed = match print.ink {
                _ if colour.0 == colour.1 && colour.1 == colour.2 => grey[usize::from(colour.0)],
                Ink::Colour => {
                    Colour(shades[usize::from(colour.0)], shades[usize::from(colour.1)], shades[usize::from(colour.2)])
                }
                Ink::Grey | Ink::LineArt | Ink::Blank => print.colour(colour),
            };
            last = (colour, printed);
        }
        rgb.extend([last.1.0, last.1.1, last.1.2]);
    }
    Raster { size: raster.size, rgb: rgb.into() }
}

/// Extremes, means and ink.
pub(super) fn told(raster: &Raster) -> Told {
    let (width, height) = (raster.size.0 as usize, raster.size.1 as usize);
    // Luminance orders colours; a cheap likeness of it finds the few that can be extremes.
    let (mut darkest, mut lightest) = (Colour::WHITE, Colour::BLACK);
    let (mut dark, mut light) = (f64::INFINITY, f64::NEG_INFINITY);
    let linear: Vec<f64> = (0..=u8::MAX).map(|part| Colour(part, part, part).luminance()).collect();
    let mut sums = [0u64; 3];
    let mut edge = ([0u64; 3], 0u64);
    for (index, pixel) in raster.rgb.chunks_exact(3).enumerate() {
        let parts = [pixel[0], pixel[1], pixel[2]];
        let [red, green, blue] = parts.map(|part| linear[usize::from(part)]);
        let luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
        if luminance < dark {
            (dark, darkest) = (luminance, Colour(parts[0], parts[1], parts[2]));
        }
        if luminance > light {
            (light, lightest) = (luminance, Colour(parts[0], parts[1], parts[2]));
        }
        let (row, column) = (index / width, index % width);
        let outer = row == 0 || column == 0 || row + 1 == height || column + 1 == width;
        for (channel, part) in parts.iter().enumerate() {
            sums[channel] += u64::from(*part);
            edge.0[channel] += u64::from(*part) * u64::from(outer);
        }
        edge.1 += u64::from(outer);
    }
    let mean = mean(sums, (width * height) as u64);
    Told { extremes: [darkest, lightest], edge: self::mean(edge.0, edge.1), mean, ink: ink::coverage(mean) }
}

fn mean(sums: [u64; 3], count: u64) -> Colour {
    let [red, green, blue] = sums.map(|sum| ((sum + count / 2) / count.max(1)).min(255) as u8);
    Colour(red, green, blue)
}
