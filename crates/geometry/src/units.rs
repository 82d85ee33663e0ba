//! Lengths and angles in the type. Millimetres and radians inside, converted once at the edge.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};
use std::str::FromStr;

use serde::{Serialize, Serializer};

/// Millimetres in one inch: exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;
/// Millimetres in one PDF default user space unit, 1/72 in (ISO 32000-1, 8.3.2.3).
pub const MM_PER_POINT: f64 = MM_PER_INCH / 72.0;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Mm(f64);

impl Mm {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// A length of `mm` millimetres.
    #[must_use]
    pub const fn new(mm: f64) -> Self {
        Self(mm)
    }

    /// A length of `inches` inches.
    #[must_use]
    pub const fn inches(inches: f64) -> Self {
        Self(inches * MM_PER_INCH)
    }

    /// The number of millimetres.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The length in PDF default user space units (1/72 in).
    #[must_use]
    pub const fn points(self) -> f64 {
        self.0 / MM_PER_POINT
    }

    /// The larger of two lengths.
    #[must_use]
    pub const fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The smaller of two lengths.
    #[must_use]
    pub const fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// The length without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Mm {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Mm {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Mm {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl SubAssign for Mm {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Neg for Mm {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Mm {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Mul<Mm> for f64 {
    type Output = Mm;
    fn mul(self, length: Mm) -> Mm {
        length * self
    }
}

impl Div<f64> for Mm {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

impl Div for Mm {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

impl Sum for Mm {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Mm {
    /// At most four decimals, none where they are zero: `76.2 mm`, `4.7625 mm`, `5 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", plain(self.0, 4))
    }
}

impl Serialize for Mm {
    /// A number of millimetres, rounded to the snapping grid so that noise never reaches a file.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(snapped(self.0))
    }
}

/// `value` on the snapping grid ([`crate::tolerance::SNAP`]), never negative zero.
#[must_use]
pub fn snapped(value: f64) -> f64 {
    // Dividing by the reciprocal gives the nearest double to the decimal number; multiplying by
    // 1e-6 would leave noise in the last place.
    let per_unit = 1e6;
    (value * per_unit).round() / per_unit + 0.0
}

/// `value` with at most `decimals` decimals and no trailing zeros.
#[must_use]
pub fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// No number where one was expected.
    #[error("\"{0}\" does not begin with a number")]
    NoNumber(String),
    /// A number without a unit.
    #[error("\"{0}\" has no unit")]
    NoUnit(String),
    /// A unit that is not known.
    #[error("\"{unit}\" in \"{text}\" is not a unit of length")]
    UnknownUnit {
        /// The whole text.
        text: String,
        /// What stands where the unit should be.
        unit: String,
    },
    /// A fraction with a zero under the line, or a number too large to hold.
    #[error("\"{0}\" is not a finite length")]
    NotFinite(String),
}

impl LengthError {
    /// How to mend it, in one sentence.
    #[must_use]
    pub const fn help(&self) -> &'static str {
        "write a number and a unit: \"5 mm\", \"7.62 cm\", \"3 in\", \"3/16 in\", \"1 1/4 in\" or \"12 pt\""
    }
}

impl FromStr for Mm {
    type Err = LengthError;

    /// Reads `5 mm`, `7.62 cm`, `3 in`, `3/16 in`, `1 1/4 in` or `12 pt` (1/72 in).
    ///
    /// # Errors
    /// [`LengthError`] where the text is not a number followed by one of those units.
    fn from_str(text: &str) -> Result<Self, LengthError> {
        let whole = text.trim();
        let split = whole
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-' | '+')))
            .unwrap_or(whole.len());
        let (number, unit) = (whole[..split].trim(), whole[split..].trim());
        let value = number_of(number).ok_or_else(|| LengthError::NoNumber(whole.to_owned()))?;
        let factor = match unit {
            "mm" => 1.0,
            "cm" => 10.0,
            "in" | "inch" | "inches" | "\"" | "\u{2033}" => MM_PER_INCH,
            "pt" => MM_PER_POINT,
            "" => return Err(LengthError::NoUnit(whole.to_owned())),
            _ => return Err(LengthError::UnknownUnit { text: whole.to_owned(), unit: unit.to_owned() }),
        };
        let mm = value * factor;
        if mm.is_finite() { Ok(Self(mm)) } else { Err(LengthError::NotFinite(whole.to_owned())) }
    }
}

/// A decimal number, a fraction, or a whole number and a fraction (`2`, `0.3`, `3/16`, `1 1/4`).
#[must_use]
pub fn number_of(text: &str) -> Option<f64> {
    let mut parts = text.split_whitespace();
    let first = parts.next()?;
    let value = match (parts.next(), first.contains('/')) {
        (None, _) => fraction_of(first)?,
        (Some(second), false) if second.contains('/') => {
            let whole: f64 = first.parse().ok()?;
            let part = fraction_of(second)?;
            whole + part.copysign(if first.starts_with('-') { -1.0 } else { 1.0 })
        }
        _ => return None,
    };
    parts.next().is_none().then_some(value)
}

fn fraction_of(text: &str) -> Option<f64> {
    match text.split_once('/') {
        None => text.parse().ok(),
        Some((above, below)) => Some(above.parse::<f64>().ok()? / below.parse::<f64>().ok()?),
    }
}

/// An angle, radians inside.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// No turn.
    pub const ZERO: Self = Self(0.0);
    /// A quarter of a full turn.
    pub const QUARTER: Self = Self(std::f64::consts::FRAC_PI_2);
    /// Half a full turn.
    pub const HALF: Self = Self(std::f64::consts::PI);

    /// An angle of `degrees` degrees.
    #[must_use]
    pub const fn degrees(degrees: f64) -> Self {
        Self(degrees.to_radians())
    }

    /// The angle in degrees.
    #[must_use]
    pub const fn to_degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// The angle in radians.
    #[must_use]
    pub const fn radians(self) -> f64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_in_every_unit() {
        let read = |text: &str| text.parse::<Mm>().map(|mm| snapped(mm.get()));
        assert_eq!(read("3 in"), Ok(76.2));
        assert_eq!(read("3in"), Ok(76.2));
        assert_eq!(read("3/16 in"), Ok(4.7625));
        assert_eq!(read("1 1/4 in"), Ok(31.75));
        assert_eq!(read(" 0.2 mm "), Ok(0.2));
        assert_eq!(read("2.5 cm"), Ok(25.0));
        assert_eq!(read("72 pt"), Ok(25.4));
        assert_eq!(read("-1 1/2 in"), Ok(-38.1));
    }

    #[test]
    fn a_text_that_is_no_length_says_why() {
        let error = |text: &str| text.parse::<Mm>().expect_err("must be refused");
        assert_eq!(error("5"), LengthError::NoUnit("5".into()));
        assert_eq!(error("mm"), LengthError::NoNumber("mm".into()));
        assert_eq!(error("1/0 mm"), LengthError::NotFinite("1/0 mm".into()));
        assert_eq!(
            error("5 furlongs"),
            LengthError::UnknownUnit { text: "5 furlongs".into(), unit: "furlongs".into() }
        );
        assert_eq!(error("1 2 mm"), LengthError::NoNumber("1 2 mm".into()));
        assert_eq!(error(""), LengthError::NoNumber(String::new()));
        assert_eq!(error("1e400 mm"), LengthError::UnknownUnit { text: "1e400 mm".into(), unit: "e400 mm".into() });
    }

    #[test]
    fn numbers_print_without_noise() {
        assert_eq!(Mm::new(0.1 + 0.2).to_string(), "0.3 mm");
        assert_eq!(Mm::inches(3.0).to_string(), "76.2 mm");
        assert_eq!(plain(-0.0, 3), "0");
        assert_eq!(plain(100.0, 0), "100");
    }
}
