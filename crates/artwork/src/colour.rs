//! Colours, and how well they stand out from each other.

/// An sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// Black.
    pub const BLACK: Self = Self(0, 0, 0);
    /// White.
    pub const WHITE: Self = Self(255, 255, 255);
    /// Blue of the Okabe-Ito palette (Okabe and Ito 2008, "Color Universal Design").
    pub const BLUE: Self = Self(0x00, 0x72, 0xB2);
    /// Vermillion of the same palette.
    pub const VERMILLION: Self = Self(0xD5, 0x5E, 0x00);
    /// Bluish green of the same palette.
    pub const GREEN: Self = Self(0x00, 0x9E, 0x73);

    /// Relative luminance, 0 to 1 (WCAG 2.2, definition of relative luminance, after IEC 61966-2-1).
    #[must_use]
    pub fn luminance(self) -> f64 {
        let linear = |byte: u8| {
            let part = f64::from(byte) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }

    /// Contrast ratio with another colour, 1 to 21 (WCAG 2.2, definition of contrast ratio).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance() + 0.05, other.luminance() + 0.05);
        if a > b { a / b } else { b / a }
    }

    /// The grey of the same luminance.
    #[must_use]
    pub fn grey(self) -> Self {
        let y = self.luminance();
        let part = if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * y.powf(1.0 / 2.4) - 0.055 };
        let byte = byte(part * 255.0);
        Self(byte, byte, byte)
    }

    /// Between this colour (0) and another (1).
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        let mix = |a: u8, b: u8| byte(f64::from(a) + (f64::from(b) - f64::from(a)) * share);
        Self(mix(self.0, other.0), mix(self.1, other.1), mix(self.2, other.2))
    }

    /// Lighter (above 0) or darker (below 0) by a share of the way to white or black.
    #[must_use]
    pub fn shaded(self, by: f64) -> Self {
        if by >= 0.0 { self.towards(Self::WHITE, by) } else { self.towards(Self::BLACK, -by) }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a byte")]
fn byte(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}
