//! JPEG files (ITU-T T.81): kept as they came, their metadata left out.
//!
//! What is coded is not touched; only segments with metadata (place, camera, colour profile) are
//! dropped, so that every reader shows the same colours and turns the picture the same way.

use std::sync::Arc;

use kurbo::Affine;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::{Content, Found, Raster, Refusal, profile_note, within};

const HELP: &str = "save it again from the program that made it";

/// Reads a JPEG.
pub(super) fn read(bytes: &[u8]) -> Result<Found<Content>, Refusal> {
    let header = Header::read(bytes)?;
    within(u64::from(header.size.0), u64::from(header.size.1))?;
    // Trailing bytes, which some cameras write, are dropped; a file without an end was cut off.
    let end = bytes.windows(2).rposition(|pair| pair == [0xFF, 0xD9]).filter(|end| *end > header.scan);
    let Some(end) = end else { return Err(Refusal::new("is a JPEG that was cut off", HELP)) };
    let mut file = header.kept;
    file.extend(&bytes[header.scan..end + 2]);

    let grey = header.components == 1;
    let options = DecoderOptions::default()
        // The same pixels on every machine.
        .set_use_unsafe(false)
        .set_strict_mode(false)
        .set_max_width(usize::from(header.size.0))
        .set_max_height(usize::from(header.size.1))
        .jpeg_set_out_colorspace(if grey { ColorSpace::Luma } else { ColorSpace::RGB });
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(&file), options);
    let pixels = decoder.decode().map_err(|error| Refusal::new(format!("is no sound JPEG: {error}"), HELP))?;
    let size = (u32::from(header.size.0), u32::from(header.size.1));
    let count = usize::from(header.size.0) * usize::from(header.size.1);
    let expected = count * if grey { 1 } else { 3 };
    if pixels.len() != expected {
        return Err(Refusal::new("is no sound JPEG: pixels are missing", HELP));
    }
    let rgb: Vec<u8> = if grey { pixels.into_iter().flat_map(|grey| [grey; 3]).collect() } else { pixels };
    let (turn, turned) = turn(header.orientation);
    let content = Content::Jpeg {
        file: file.into(),
        components: header.components,
        as_it_came: header.usual_colours,
        raster: Raster { size, rgb: Arc::from(rgb) },
        turn,
        turned,
    };
    Ok(Found {
        value: content,
        notes: profile_note(&header.profile).filter(|_| !header.profile.is_empty()).into_iter().collect(),
    })
}

/// Pixels across and down, as its header says.
pub(super) fn size(bytes: &[u8]) -> Option<(u64, u64)> {
    Header::read(bytes).ok().map(|header| (u64::from(header.size.0), u64::from(header.size.1)))
}

/// What stands before the first scan.
struct Header {
    /// Pixels across and down, as stored.
    size: (u16, u16),
    components: u8,
    /// How the picture is to be turned (Exif 2.3, tag 0x0112), 1 to 8.
    orientation: u16,
    /// Whether every reader takes its components for the same colours.
    usual_colours: bool,
    profile: Vec<u8>,
    /// The segments that are kept.
    kept: Vec<u8>,
    /// Where the first scan begins.
    scan: usize,
}

impl Header {
    fn read(bytes: &[u8]) -> Result<Self, Refusal> {
        let damaged = || Refusal::new("is no sound JPEG: its header is broken", HELP);
        let mut header = Self {
            size: (0, 0),
            components: 0,
            orientation: 1,
            usual_colours: true,
            profile: Vec::new(),
            kept: vec![0xFF, 0xD8],
            scan: 0,
        };
        let mut adobe = None;
        let mut ids = Vec::new();
        let mut at = 2;
        loop {
            // Markers may be padded with further 0xFF.
            while bytes.get(at) == Some(&0xFF) && bytes.get(at + 1) == Some(&0xFF) {
                at += 1;
            }
            let (Some(0xFF), Some(&marker)) = (bytes.get(at), bytes.get(at + 1)) else { return Err(damaged()) };
            let length = match (bytes.get(at + 2), bytes.get(at + 3)) {
                (Some(&high), Some(&low)) => usize::from(u16::from_be_bytes([high, low])),
                _ => return Err(damaged()),
            };
            let Some(body) = bytes.get(at + 4..at + 2 + length) else { return Err(damaged()) };
            match marker {
                // Start of scan.
                0xDA => {
                    header.scan = at;
                    break;
                }
                // Frames: baseline, extended, progressive.
                0xC0..=0xC2 => {
                    let [8, h1, h0, w1, w0, components, rest @ ..] = body else {
                        return Err(match body.first() {
                            Some(12) => Refusal::new("is a JPEG with 12 bits a colour", "save it with 8 bits a colour"),
                            _ => damaged(),
                        });
                    };
                    header.size = (u16::from_be_bytes([*w1, *w0]), u16::from_be_bytes([*h1, *h0]));
                    header.components = *components;
                    ids = rest.chunks_exact(3).map(|component| component[0]).collect();
                }
                0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                    return Err(Refusal::new("is a JPEG of a rare kind, which readers of PDF do not know", HELP));
                }
                0xE1 if body.starts_with(b"Exif\0\0") => {
                    header.orientation = orientation(&body[6..]).unwrap_or(header.orientation);
                }
                0xE2 if body.starts_with(b"ICC_PROFILE\0") => header.profile.extend(&body[12..]),
                0xEE if body.starts_with(b"Adobe") => adobe = body.get(11).copied(),
                _ => {}
            }
            if !matches!(marker, 0xE1..=0xED | 0xEF | 0xFE) {
                header.kept.extend(&bytes[at..at + 2 + length]);
            }
            at += 2 + length;
        }
        match header.components {
            1 | 3 => {}
            4 => {
                let help = "convert it to RGB (sRGB) in the program that made it: printers mix their inks themselves";
                return Err(Refusal::new("is a JPEG in CMYK, whose colours cannot be kept", help));
            }
            0 => return Err(damaged()),
            other => return Err(Refusal::new(format!("is a JPEG with {other} colour components"), HELP)),
        }
        header.usual_colours = header.components == 1 || adobe == Some(1) || (adobe.is_none() && ids != *b"RGB");
        Ok(header)
    }
}

/// The orientation in an Exif block (a TIFF header and its first directory).
fn orientation(tiff: &[u8]) -> Option<u16> {
    let little = match tiff.get(..2)? {
        b"II" => true,
        b"MM" => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let pair = [*tiff.get(at)?, *tiff.get(at + 1)?];
        Some(if little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    };
    let long = |at: usize| -> Option<usize> {
        let (first, second) = (usize::from(short(at)?), usize::from(short(at + 2)?));
        Some(if little { second << 16 | first } else { first << 16 | second })
    };
    let directory = long(4)?;
    let entries = usize::from(short(directory)?);
    let entry = (0..entries).map(|index| directory + 2 + index * 12).find(|at| short(*at) == Some(0x0112))?;
    short(entry + 8).filter(|value| (1..=8).contains(value))
}

/// How pixels as stored are turned to be seen, from the unit square (y up) to itself, and whether
/// width and height change places.
fn turn(orientation: u16) -> (Affine, bool) {
    let turn = match orientation {
        2 => [-1.0, 0.0, 0.0, 1.0, 1.0, 0.0],
        3 => [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0],
        4 => [1.0, 0.0, 0.0, -1.0, 0.0, 1.0],
        5 => [0.0, -1.0, -1.0, 0.0, 1.0, 1.0],
        6 => [0.0, -1.0, 1.0, 0.0, 0.0, 1.0],
        7 => [0.0, 1.0, 1.0, 0.0, 0.0, 0.0],
        8 => [0.0, 1.0, -1.0, 0.0, 1.0, 0.0],
        _ => return (Affine::IDENTITY, false),
    };
    (Affine::new(turn), orientation >= 5)
}
