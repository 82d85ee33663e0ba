//! What paper and card weigh: grammage, and pound weights with their basic sizes.
//!
//! Grammage is mass over area (ISO 536). What stands on a packet is a nominal weight: a sheet may
//! weigh a few per cent more or less. A pound weight is that of a ream of 500 sheets of a basic
//! size, which differs from kind to kind, so that it says nothing without the kind.

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

use flatwright_geometry::units::{Mm, plain};

/// Grams in a pound, exact by definition.
const GRAMS_PER_POUND: f64 = 453.592_37;
/// Sheets in the ream that a pound weight is for.
const SHEETS_PER_REAM: f64 = 500.0;
/// Square metres in a square inch, exact by definition.
const SQUARE_METRES_PER_SQUARE_INCH: f64 = 0.0254 * 0.0254;

/// Volume over mass of paper and card that is not coated, cm3/g, where nothing is measured:
/// common practice; office paper has 1.25 to 1.35.
pub const USUAL_BULK: f64 = 1.3;
/// Volume over mass that printing paper and card can have, cm3/g: common practice. Heavily coated
/// paper is near the lower end, blotting paper and bulky book paper near the upper.
pub const PLAUSIBLE_BULK: RangeInclusive<f64> = 0.7..=2.0;
/// Weights that are taken for a sheet of paper or card, g/m2: common practice, tissue to thick card.
pub const PLAUSIBLE: RangeInclusive<f64> = 30.0..=1200.0;
/// How far two weights of one packet may be apart, as a share: both are rounded to what is usual
/// (common practice), such as 199 and 200 g/m2 for 110 lb index.
const AGREEMENT: f64 = 0.03;

/// Mass over area, g/m2.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Grammage(f64);

impl Grammage {
    /// The number of grams on a square metre.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// An estimate of the thickness of one sheet, to the hundredth of a millimetre, with
    /// [`USUAL_BULK`].
    #[must_use]
    pub fn estimated_caliper(self) -> Mm {
        // g/m2 times cm3/g is a thousandth of a millimetre.
        Mm::new((self.0 * USUAL_BULK / 10.0).round() / 100.0)
    }

    /// Volume over mass of a sheet of a thickness, cm3/g (the specific volume of ISO 534).
    #[must_use]
    pub fn bulk(self, caliper: Mm) -> f64 {
        caliper.get() * 1000.0 / self.0
    }
}

impl fmt::Display for Grammage {
    /// `200 g/m2`; to whole grams, since weights are nominal.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} g/m2", plain(self.0, 0))
    }
}

/// The basic size that a pound weight is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BasicSize {
    /// Bond, 17 x 22 in.
    Bond,
    /// Cover, 20 x 26 in.
    Cover,
    /// Index, 25 1/2 x 30 1/2 in.
    Index,
    /// Text, 25 x 38 in.
    Text,
    /// Tag, 24 x 36 in.
    Tag,
}

impl BasicSize {
    /// Every basic size.
    pub const ALL: [Self; 5] = [Self::Bond, Self::Cover, Self::Index, Self::Text, Self::Tag];

    /// Its name, as packets have it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bond => "bond",
            Self::Cover => "cover",
            Self::Index => "index",
            Self::Text => "text",
            Self::Tag => "tag",
        }
    }

    /// Its sides, inches.
    #[must_use]
    pub const fn inches(self) -> (f64, f64) {
        match self {
            Self::Bond => (17.0, 22.0),
            Self::Cover => (20.0, 26.0),
            Self::Index => (25.5, 30.5),
            Self::Text => (25.0, 38.0),
            Self::Tag => (24.0, 36.0),
        }
    }
}

/// A pound weight with its basic size, such as `110 lb index`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pounds {
    /// What a ream weighs, lb.
    pub weight: f64,
    /// The size of the ream's sheets.
    pub of: BasicSize,
}

impl Pounds {
    /// The same as mass over area.
    #[must_use]
    pub fn grammage(self) -> Grammage {
        let (width, height) = self.of.inches();
        let ream = SHEETS_PER_REAM * width * height * SQUARE_METRES_PER_SQUARE_INCH;
        Grammage(self.weight * GRAMS_PER_POUND / ream)
    }
}

impl fmt::Display for Pounds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} lb {}", plain(self.weight, 2), self.of.name())
    }
}

/// The nominal weight of paper or card: grammage, a pound weight, or both where they agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperWeight {
    grammage: Grammage,
    pounds: Option<Pounds>,
}

impl PaperWeight {
    /// Mass over area: as it is told, or converted from pounds.
    #[must_use]
    pub const fn grammage(self) -> Grammage {
        self.grammage
    }

    /// The pound weight, where one is told.
    #[must_use]
    pub const fn pounds(self) -> Option<Pounds> {
        self.pounds
    }
}

impl fmt::Display for PaperWeight {
    /// `200 g/m2` or `199 g/m2 (110 lb index)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.pounds {
            Some(pounds) => write!(f, "{} ({pounds})", self.grammage),
            None => write!(f, "{}", self.grammage),
        }
    }
}

/// Why a text is no weight.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WeightError {
    /// Neither grams nor pounds.
    #[error("is not a weight of paper")]
    Unknown,
    /// Pounds of no basic size.
    #[error("does not say of which basic size {} lb are", plain(*.0, 2))]
    NoBasicSize(
        /// The pounds.
        f64,
    ),
    /// Pounds of a basic size that is not known.
    #[error("names a basic size that is not known: \"{}\"", .0.escape_debug())]
    UnknownBasicSize(
        /// What was written.
        String,
    ),
    /// So light or heavy that it is a slip.
    #[error("is {}{}, outside {} to {}", .told.map(|pounds| format!("{pounds}, ")).unwrap_or_default(), .is, Grammage(*PLAUSIBLE.start()), Grammage(*PLAUSIBLE.end()))]
    OutOfRange {
        /// The weight.
        is: Grammage,
        /// The pounds, where it was told so.
        told: Option<Pounds>,
    },
    /// Grams and pounds of different sheets.
    #[error("has two weights that differ: {pounds} is {}, not {grammage}", .pounds.grammage())]
    Disagree {
        /// What it weighs by the one.
        grammage: Grammage,
        /// What it weighs by the other.
        pounds: Pounds,
    },
}

impl WeightError {
    /// How to mend it, in one sentence.
    #[must_use]
    pub fn help(&self) -> String {
        let names = BasicSize::ALL.map(BasicSize::name).join(", ");
        match self {
            Self::Unknown => {
                "write grams, such as \"200 g/m2\", or pounds with their basic size, such as \"110 lb index\""
                    .to_owned()
            }
            Self::NoBasicSize(weight) => {
                let each = BasicSize::ALL.map(|of| {
                    let pounds = Pounds { weight: *weight, of };
                    format!("{pounds} is {}", pounds.grammage())
                });
                format!("which basic size? The packet says it: {}", each.join(", "))
            }
            Self::UnknownBasicSize(_) => {
                format!("the basic sizes are {names}; for any other paper write its grams, such as \"200 g/m2\"")
            }
            Self::OutOfRange { .. } => {
                "look at the packet again: office paper has 80 g/m2 or 20 lb bond, card 160 to 300 g/m2".to_owned()
            }
            Self::Disagree { .. } => "keep the one that stands on the packet, or mend the basic size".to_owned(),
        }
    }
}

impl FromStr for PaperWeight {
    type Err = WeightError;

    /// Reads `200 g/m2`, `110 lb index`, or both as on a packet: `199 g/m2 (110 lb index)`.
    fn from_str(text: &str) -> Result<Self, WeightError> {
        let text = text.trim();
        let (first, second) = match text.split_once(['(', ',']) {
            None => (text, None),
            Some((first, rest)) => {
                let bracketed = text[first.len()..].starts_with('(');
                let second = if bracketed { rest.strip_suffix(')').ok_or(WeightError::Unknown)? } else { rest };
                (first, Some(second))
            }
        };
        match (one(first)?, second.map(one).transpose()?) {
            (One::Grams(grammage), None) => in_range(grammage, None),
            (One::Pounds(pounds), None) => in_range(pounds.grammage(), Some(pounds)),
            (One::Grams(grammage), Some(One::Pounds(pounds))) | (One::Pounds(pounds), Some(One::Grams(grammage))) => {
                let weight = in_range(grammage, None)?;
                let apart = (pounds.grammage().0 / grammage.0 - 1.0).abs();
                if apart > AGREEMENT {
                    return Err(WeightError::Disagree { grammage, pounds });
                }
                Ok(Self { pounds: Some(pounds), ..weight })
            }
            (One::Grams(_), Some(One::Grams(_))) | (One::Pounds(_), Some(One::Pounds(_))) => Err(WeightError::Unknown),
        }
    }
}

enum One {
    Grams(Grammage),
    Pounds(Pounds),
}

/// A number and its unit.
fn one(text: &str) -> Result<One, WeightError> {
    let text = text.trim().to_lowercase();
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number: f64 = number.parse().map_err(|_| WeightError::Unknown)?;
    let unit = unit.trim();
    if matches!(unit, "g/m2" | "g/m\u{b2}" | "g/m^2" | "gsm") {
        return Ok(One::Grams(Grammage(number)));
    }
    let of = ["lbs", "lb", "#"].into_iter().find_map(|pound| unit.strip_prefix(pound));
    match of.map(str::trim) {
        None => Err(WeightError::Unknown),
        Some("") => Err(WeightError::NoBasicSize(number)),
        Some(name) => BasicSize::ALL
            .into_iter()
            .find(|of| of.name() == name)
            .map(|of| One::Pounds(Pounds { weight: number, of }))
            .ok_or_else(|| WeightError::UnknownBasicSize(name.to_owned())),
    }
}

fn in_range(grammage: Grammage, pounds: Option<Pounds>) -> Result<PaperWeight, WeightError> {
    if PLAUSIBLE.contains(&grammage.0) {
        Ok(PaperWeight { grammage, pounds })
    } else {
        Err(WeightError::OutOfRange { is: grammage, told: pounds })
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    fn grams(text: &str) -> f64 {
        text.parse::<PaperWeight>().unwrap_or_else(|error| panic!("{text}: {error}")).grammage().get()
    }

    /// The trade's factor: gsm = lb x 1406.139 / basic size in square inches.
    #[test]
    fn the_factor_is_that_of_the_trade() {
        for of in BasicSize::ALL {
            let (width, height) = of.inches();
            let factor = Pounds { weight: 1.0, of }.grammage().get() * width * height;
            assert_abs_diff_eq!(factor, 1406.139, epsilon = 5e-4);
        }
    }

    /// Published conversions of the trade, to the hundredth.
    #[test]
    fn pounds_agree_with_published_tables() {
        for (text, grammage) in [("65 lb cover", 175.77), ("110 lb index", 198.88), ("20 lb bond", 75.19)] {
            assert_abs_diff_eq!(grams(text), grammage, epsilon = 0.005);
        }
        // From memory, as trade tables round them.
        for (text, grammage) in [("80 lb text", 118.0), ("150 lb tag", 244.0), ("80 lb cover", 216.0)] {
            assert_abs_diff_eq!(grams(text), grammage, epsilon = 0.5);
        }
    }

    #[test]
    fn one_weight_is_written_in_many_ways() {
        for text in ["200 g/m2", "200g/m2", "200 gsm", "200 g/m\u{b2}", "200 GSM", " 200.0 g/m^2 "] {
            assert_abs_diff_eq!(grams(text), 200.0);
        }
        for text in ["110 lb index", "110 lbs Index", "110# index", "110lb index"] {
            assert_abs_diff_eq!(grams(text), grams("110 lb index"));
        }
        // Both, as on a packet: the grams count.
        for text in ["199 g/m2 (110 lb index)", "110 lb index (199 gsm)", "199 g/m2, 110 lb index"] {
            assert_abs_diff_eq!(grams(text), 199.0);
        }
    }

    #[test]
    fn both_weights_are_told() {
        let shown = |text: &str| text.parse::<PaperWeight>().unwrap().to_string();
        assert_eq!(shown("200 gsm"), "200 g/m2");
        assert_eq!(shown("110 lb index"), "199 g/m2 (110 lb index)");
        assert_eq!(shown("200 g/m2 (110 lb index)"), "200 g/m2 (110 lb index)");
    }

    #[test]
    fn what_is_no_weight_says_why() {
        let error = |text: &str| text.parse::<PaperWeight>().expect_err("must be refused");
        for text in
            ["", "200", "thick", "200 g", "1e3 g/m2", "200 g/m2 (", "200 g/m2 (210 g/m2)", "1.2.3 gsm", "-5 gsm"]
        {
            assert_eq!(error(text), WeightError::Unknown, "{text}");
        }
        assert!(error("110 lb").help().contains("110 lb index is 199 g/m2"));
        assert_eq!(error("90 lb bristol"), WeightError::UnknownBasicSize("bristol".into()));
        assert_eq!(error("2 gsm").to_string(), "is 2 g/m2, outside 30 g/m2 to 1200 g/m2");
        assert!(error("900 lb cover").to_string().starts_with("is 900 lb cover, 2434 g/m2, outside"));
        assert!(matches!(error("250 g/m2 (110 lb index)"), WeightError::Disagree { .. }));
    }

    /// 200 g/m2 at 1.3 cm3/g is 0.26 mm; office paper of 80 g/m2 is about 0.1 mm thick.
    #[test]
    fn a_caliper_is_estimated_from_the_weight() {
        let caliper = |text: &str| text.parse::<PaperWeight>().unwrap().grammage().estimated_caliper();
        assert_eq!(caliper("200 g/m2"), Mm::new(0.26));
        assert_eq!(caliper("80 g/m2"), Mm::new(0.10));
        let card: PaperWeight = "250 gsm".parse().unwrap();
        assert_abs_diff_eq!(card.grammage().bulk(Mm::new(0.25)), 1.0);
    }
}
