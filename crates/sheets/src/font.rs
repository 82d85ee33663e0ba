//! The type that every sheet is set in: one sans in two weights, shipped with the program.
//!
//! Text is set by advance widths alone, without kerning or ligatures, so that the width measured
//! here is the width that every writer gives it.

use std::sync::LazyLock;

use flatwright_geometry::units::Mm;
use ttf_parser::Face;
use ttf_parser::cmap::Subtable;

use crate::page::Weight;

/// What stands for a character that the type has no glyph for.
pub const REPLACEMENT: char = '?';

/// Family name of the type.
pub const FAMILY: &str = "Noto Sans";

/// The type as a TrueType file, for renderers that need it.
#[must_use]
pub const fn data(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => include_bytes!("../fonts/NotoSans-Regular.ttf"),
        Weight::Bold => include_bytes!("../fonts/NotoSans-Bold.ttf"),
    }
}

/// The text as it is set: what every writer draws and [`measure`] measures.
///
/// Control characters (tabs and line ends too) become spaces; any other character without a glyph
/// becomes [`REPLACEMENT`]. Both weights hold the same characters. Scripts that the type lacks,
/// right-to-left ones among them, so become question marks rather than vanish or break a file.
///
/// ```
/// use flatwright_sheets::font::shown;
/// assert_eq!(shown("76.2 × 5 mm → 3\tin \u{6F22}"), "76.2 × 5 mm → 3 in ?");
/// ```
#[must_use]
pub fn shown(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            _ if c.is_control() => ' ',
            _ if Setting::of(Weight::Regular).glyph_of(c).is_some() => c,
            _ => REPLACEMENT,
        })
        .collect()
}

/// Width of a line of `text` set with an em of `size`.
#[must_use]
pub fn measure(text: &str, size: Mm, weight: Weight) -> Mm {
    let setting = Setting::of(weight);
    let units: u32 =
        shown(text).chars().filter_map(|c| setting.glyph_of(c)).map(|glyph| u32::from(glyph.advance)).sum();
    size * (f64::from(units) / setting.units_per_em)
}

/// Height of the tallest letters with accents above the baseline, for an em of `size`.
#[must_use]
pub fn ascent(size: Mm, weight: Weight) -> Mm {
    size * Setting::of(weight).ascent
}

/// Depth of the type below the baseline, as a positive length, for an em of `size`.
#[must_use]
pub fn descent(size: Mm, weight: Weight) -> Mm {
    size * Setting::of(weight).descent
}

/// Height of the capitals above the baseline, for an em of `size`.
#[must_use]
pub fn cap_height(size: Mm, weight: Weight) -> Mm {
    size * Setting::of(weight).cap_height
}

/// One glyph of a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Glyph {
    /// Index within the font file.
    pub id: u16,
    /// Advance width in the font's units.
    pub advance: u16,
}

/// What the writers need of one weight, read from its file once.
pub(crate) struct Setting {
    /// Units of the font's design grid in one em.
    pub units_per_em: f64,
    /// Fraction of the em.
    pub ascent: f64,
    /// Fraction of the em, positive downwards.
    pub descent: f64,
    /// Fraction of the em.
    pub cap_height: f64,
    /// The box that holds every glyph, in the font's units: left, bottom, right, top.
    pub bounds: [i16; 4],
    /// Characters with their glyphs, in order of character.
    glyphs: Vec<(char, Glyph)>,
}

impl Setting {
    /// The setting of a weight.
    pub(crate) fn of(weight: Weight) -> &'static Self {
        static REGULAR: LazyLock<Setting> = LazyLock::new(|| Setting::read(data(Weight::Regular)));
        static BOLD: LazyLock<Setting> = LazyLock::new(|| Setting::read(data(Weight::Bold)));
        match weight {
            Weight::Regular => &REGULAR,
            Weight::Bold => &BOLD,
        }
    }

    /// The glyph of a character, where there is one.
    pub(crate) fn glyph_of(&self, c: char) -> Option<Glyph> {
        let index = self.glyphs.binary_search_by_key(&c, |&(known, _)| known).ok()?;
        self.glyphs.get(index).map(|&(_, glyph)| glyph)
    }

    fn read(file: &[u8]) -> Self {
        // The files are part of the program and a test reads both; were one unreadable, text would
        // have no glyphs and no width, which is better than a panic on the reader's machine.
        let Ok(face) = Face::parse(file, 0) else {
            return Self {
                units_per_em: 1.0,
                ascent: 0.0,
                descent: 0.0,
                cap_height: 0.0,
                bounds: [0; 4],
                glyphs: Vec::new(),
            };
        };
        let units_per_em = f64::from(face.units_per_em());
        let of_em = |units: i16| f64::from(units) / units_per_em;
        let bounds = face.global_bounding_box();
        let mut glyphs = Vec::new();
        for table in face.tables().cmap.into_iter().flat_map(|cmap| cmap.subtables).filter(Subtable::is_unicode) {
            table.codepoints(|code| {
                let glyph = char::from_u32(code).zip(table.glyph_index(code));
                glyphs.extend(
                    glyph.map(|(c, id)| {
                        (c, Glyph { id: id.0, advance: face.glyph_hor_advance(id).unwrap_or_default() })
                    }),
                );
            });
        }
        glyphs.sort_unstable_by_key(|&(c, glyph)| (c, glyph.id));
        glyphs.dedup_by_key(|&mut (c, _)| c);
        Self {
            units_per_em,
            ascent: of_em(face.ascender()),
            descent: -of_em(face.descender()),
            cap_height: of_em(face.capital_height().unwrap_or_else(|| face.ascender())),
            bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max],
            glyphs,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_weights_hold_the_same_characters_and_all_that_a_sheet_needs() {
        let characters = |weight| Setting::of(weight).glyphs.iter().map(|&(c, _)| c).collect::<Vec<_>>();
        assert_eq!(characters(Weight::Regular), characters(Weight::Bold));
        let needed = "AZaz09 ×°½¼¾±−–—‘’“”…′″←↑→↓↔↕▲▼◀▶■□●○✂⌀≤≥≈≠·•§©";
        assert_eq!(shown(needed), needed);
    }

    #[test]
    fn widths_are_those_of_the_full_font() {
        // Advance widths of the unreduced Noto Sans in 1/1000 em, read from its `hmtx` with fonttools.
        assert_eq!(measure("A", Mm::new(1.0), Weight::Regular), Mm::new(0.639));
        assert_eq!(measure("Hi", Mm::new(10.0), Weight::Regular), Mm::new(9.99));
        assert_eq!(measure("A", Mm::new(1.0), Weight::Bold), Mm::new(0.690));
        assert_eq!(measure("", Mm::new(10.0), Weight::Bold), Mm::ZERO);
    }

    #[test]
    fn text_without_glyphs_is_replaced_and_measured_as_replaced() {
        assert_eq!(shown("a\u{0}b\nc"), "a b c");
        assert_eq!(shown("\u{5D0}\u{202E}\u{1F600}"), "???");
        assert_eq!(measure("\u{5D0}", Mm::new(5.0), Weight::Bold), measure("?", Mm::new(5.0), Weight::Bold));
    }

    #[test]
    fn vertical_measures_are_in_their_order() {
        let size = Mm::new(10.0);
        for weight in [Weight::Regular, Weight::Bold] {
            assert_eq!(cap_height(size, weight), Mm::new(7.14));
            assert!(ascent(size, weight) > cap_height(size, weight));
            assert!(descent(size, weight) > Mm::ZERO);
        }
    }
}
