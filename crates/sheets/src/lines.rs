//! The types of line on a sheet: one pattern and one colour for each meaning.
//!
//! Dash lengths are multiples of the line's width after ISO 128-2. No two types share a pattern,
//! so that a sheet printed in grey, or read by a colour-blind builder, says the same. Black is
//! for the blade, colour for folds and glue.

use flatwright_geometry::units::Mm;

use crate::page::{Colour, Layer, Pen};

/// A type of line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineType {
    /// Cut through.
    Cut,
    /// Score, then fold towards the printed side.
    Valley,
    /// Score, then fold away from the printed side.
    Mountain,
    /// Cut half-way or press, and do not fold.
    Score,
    /// Perforate.
    Perforation,
    /// Edge of an area that takes glue; the area is hatched.
    Glue,
    /// Cut straight across, from edge to edge of what is left of the sheet.
    Trim,
}

impl LineType {
    /// The types of a piece's own lines, in the order of the legend.
    pub const OF_PIECES: &[Self] =
        &[Self::Cut, Self::Valley, Self::Mountain, Self::Score, Self::Perforation, Self::Glue];
    /// Every type, in the order of the legend of a sheet that is cut straight across.
    pub const ALL: &[Self] =
        &[Self::Cut, Self::Valley, Self::Mountain, Self::Score, Self::Perforation, Self::Glue, Self::Trim];

    /// Its name in the legend.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Valley => "valley fold",
            Self::Mountain => "mountain fold",
            Self::Score => "score only",
            Self::Perforation => "perforate",
            Self::Glue => "glue",
            Self::Trim => "trim",
        }
    }

    /// The layer that it is drawn on.
    #[must_use]
    pub const fn layer(self) -> Layer {
        match self {
            Self::Cut => Layer::Cutting,
            Self::Valley => Layer::CreasingValley,
            Self::Mountain => Layer::CreasingMountain,
            Self::Score => Layer::PartialCutting,
            Self::Perforation => Layer::Perforating,
            Self::Glue => Layer::Gluing,
            Self::Trim => Layer::Trimming,
        }
    }

    /// The line's colour.
    #[must_use]
    pub const fn colour(self) -> Colour {
        match self {
            Self::Cut | Self::Score | Self::Perforation | Self::Trim => Colour::BLACK,
            Self::Valley => Colour::BLUE,
            Self::Mountain => Colour::VERMILLION,
            Self::Glue => Colour::GREEN,
        }
    }

    /// The line's width.
    #[must_use]
    pub const fn width(self) -> Mm {
        Mm::new(match self {
            Self::Cut => 0.35,
            Self::Valley | Self::Mountain | Self::Score | Self::Glue => 0.25,
            Self::Trim => 0.2,
            Self::Perforation => 0.35,
        })
    }

    /// Dashes and gaps in turn, as multiples of the line's width; empty for a continuous line.
    #[must_use]
    pub const fn dashes(self) -> &'static [f64] {
        match self {
            Self::Cut => &[],
            Self::Valley => &[12.0, 3.0],
            Self::Mountain => &[12.0, 3.0, 0.5, 3.0, 0.5, 3.0],
            Self::Score => &[12.0, 18.0],
            Self::Perforation => &[0.5, 3.0],
            // Dotted like a perforation, but wider apart, thinner, green and hatched inside.
            Self::Glue => &[0.5, 6.0],
            // The long dashed dotted line of ISO 128-2.
            Self::Trim => &[24.0, 3.0, 0.5, 3.0],
        }
    }

    /// The pen that draws it.
    #[must_use]
    pub fn pen(self) -> Pen {
        let width = self.width();
        Pen {
            width,
            colour: self.colour(),
            dashes: self.dashes().iter().map(|multiple| width * *multiple).collect(),
            // Dots of half a width are seen as dots only with round ends.
            round: matches!(self, Self::Mountain | Self::Perforation | Self::Glue | Self::Trim),
        }
    }

    /// The pen of the hatch inside a glue area.
    #[must_use]
    pub const fn hatch() -> Pen {
        Pen { width: Mm::new(0.13), colour: Colour::GREEN, dashes: Vec::new(), round: false }
    }
}

/// Distance between the lines of a glue area's hatch.
pub const HATCH_PITCH: Mm = Mm::new(2.5);

/// Contrast of two colours, 1 to 21 (WCAG 2.2, "contrast ratio" and "relative luminance").
#[must_use]
pub fn contrast(a: Colour, b: Colour) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Black or white, whichever is easier to read on `ground`.
#[must_use]
pub fn readable_on(ground: Colour) -> Colour {
    if contrast(Colour::BLACK, ground) >= contrast(Colour::WHITE, ground) { Colour::BLACK } else { Colour::WHITE }
}

fn luminance(Colour(r, g, b): Colour) -> f64 {
    let linear = |channel: u8| {
        let c = f64::from(channel) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::furniture::style;

    /// Reference points named in WCAG 2.2's understanding documents: black on white is 21:1, and
    /// `#767676` is the lightest grey that reaches 4.5:1 on white.
    #[test]
    fn contrast_agrees_with_the_published_points() {
        approx::assert_relative_eq!(contrast(Colour::BLACK, Colour::WHITE), 21.0);
        assert!(contrast(Colour(0x76, 0x76, 0x76), Colour::WHITE) >= 4.5);
        assert!(contrast(Colour(0x77, 0x77, 0x77), Colour::WHITE) < 4.5);
    }

    /// WCAG 2.2, success criteria 1.4.11 (3:1 for graphics) and 1.4.3 (4.5:1 for text).
    #[test]
    fn lines_and_text_can_be_told_from_the_paper() {
        for line in LineType::ALL {
            let ratio = contrast(line.colour(), Colour::WHITE);
            assert!(ratio >= 3.0, "{}: {ratio}", line.name());
        }
        for colour in style::TEXT_COLOURS {
            let ratio = contrast(colour, Colour::WHITE);
            assert!(ratio >= 4.5, "{colour:?}: {ratio}");
        }
    }

    #[test]
    fn no_two_line_types_share_a_pattern() {
        for (i, a) in LineType::ALL.iter().enumerate() {
            for b in &LineType::ALL[i + 1..] {
                assert_ne!(a.dashes(), b.dashes(), "{} and {}", a.name(), b.name());
                assert_ne!(a.layer(), b.layer());
            }
        }
    }

    #[test]
    fn a_cut_is_continuous_black_and_the_widest() {
        let cut = LineType::Cut.pen();
        assert_eq!((cut.width, cut.colour, cut.dashes.len()), (Mm::new(0.35), Colour::BLACK, 0));
        assert!(LineType::ALL.iter().all(|line| line.width() <= cut.width));
    }
}
