//! Type sizes, colours and distances of the sheets: the house style in one place.

use flatwright_geometry::units::Mm;

use crate::page::{Colour, Pen};

/// Text that is read first.
pub const INK: Colour = Colour(0x1A, 0x1A, 0x1A);
/// Text that is looked up.
pub const MUTED: Colour = Colour(0x50, 0x50, 0x50);
/// Every colour that text is set in on white.
pub const TEXT_COLOURS: [Colour; 2] = [INK, MUTED];
/// Thin rules that set parts of a page off; nothing is read from them.
pub const RULE: Colour = Colour(0xA8, 0xA8, 0xA8);

/// Em of the set's title on a sheet.
pub const TITLE: Mm = Mm::new(4.6);
/// Em of the set's title on the cover.
pub const COVER_TITLE: Mm = Mm::new(8.0);
/// Em of the second line of the header: what to print on what.
pub const SUBTITLE: Mm = Mm::new(2.9);
/// Em of the list of pieces in the header.
pub const PIECES: Mm = Mm::new(2.5);
/// Em of the footer.
pub const SMALL: Mm = Mm::new(2.4);
/// Smallest em of any text but the labels of pieces.
pub const LEAST: Mm = Mm::new(1.7);
/// Em of running text on the cover.
pub const BODY: Mm = Mm::new(2.9);
/// Em of a heading on the cover.
pub const HEADING: Mm = Mm::new(4.0);
/// Distance between baselines, as a multiple of the em.
pub const LEADING: f64 = 1.28;

/// Width of the strip for the upright scale bars.
pub const STRIP: f64 = 5.2;
/// Distance between the strip and the rest, mm.
pub const STRIP_GAP: f64 = 1.8;
/// Distance between header or footer and the pieces, mm.
pub const BAND_GAP: f64 = 1.6;

/// A thin rule.
#[must_use]
pub const fn hairline() -> Pen {
    Pen { width: Mm::new(0.15), colour: RULE, dashes: Vec::new(), round: false }
}

/// The lines of a scale bar.
#[must_use]
pub const fn fine() -> Pen {
    Pen { width: Mm::new(0.18), colour: INK, dashes: Vec::new(), round: false }
}
