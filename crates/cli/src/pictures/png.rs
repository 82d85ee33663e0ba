//! PNG files: exact pixels, transparent ones over white.

use std::io::Cursor;

use png::{ColorType, Decoder, Limits, Transformations};

use super::{Found, Raster, Refusal, profile_note, within};

/// Memory that the decoder may take for itself beside the pixels, bytes.
const WORKING: usize = 64 * 1024 * 1024;

const HELP: &str = "save it again from the program that made it";

/// Reads a PNG: palettes and greys as sRGB, 16 bits as the upper 8, of an animation the first
/// picture.
pub(super) fn read(bytes: &[u8]) -> Result<Found<Raster>, Refusal> {
    let damaged = |error: png::DecodingError| Refusal::new(format!("is no sound PNG: {error}"), HELP);
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), Limits { bytes: WORKING });
    decoder.set_transformations(Transformations::EXPAND | Transformations::STRIP_16);
    let mut reader = decoder.read_info().map_err(damaged)?;
    let size = (reader.info().width, reader.info().height);
    within(u64::from(size.0), u64::from(size.1))?;
    let notes = reader.info().icc_profile.as_deref().and_then(profile_note).into_iter().collect();
    let Some(length) = reader.output_buffer_size() else {
        return Err(Refusal::new("has too many pixels", HELP));
    };
    let mut buffer = vec![0; length];
    let frame = reader.next_frame(&mut buffer).map_err(damaged)?;
    if (frame.width, frame.height) != size {
        return Err(Refusal::new("has a first picture smaller than itself", HELP));
    }
    let over_white = |part: u8, alpha: u8| -> u8 {
        let (part, alpha) = (u32::from(part), u32::from(alpha));
        u8::try_from((part * alpha + 255 * (255 - alpha) + 127) / 255).unwrap_or(u8::MAX)
    };
    let pixels = &buffer[..frame.buffer_size()];
    let rgb: Vec<u8> = match frame.color_type {
        ColorType::Rgb => pixels.to_vec(),
        ColorType::Grayscale => pixels.iter().flat_map(|grey| [*grey; 3]).collect(),
        ColorType::GrayscaleAlpha => {
            pixels.chunks_exact(2).flat_map(|pixel| [over_white(pixel[0], pixel[1]); 3]).collect()
        }
        ColorType::Rgba => pixels
            .chunks_exact(4)
            .flat_map(|pixel| [pixel[0], pixel[1], pixel[2]].map(|part| over_white(part, pixel[3])))
            .collect(),
        ColorType::Indexed => return Err(Refusal::new("could not be read: its palette was not resolved", HELP)),
    };
    Ok(Found { value: Raster { size, rgb: rgb.into() }, notes })
}
