//! Paper and board sizes, computed from the rules of their standards where there is a rule.
//!
//! A size is kept upright (width not above height); [`Orientation`] says how it is used.

use std::fmt;
use std::str::FromStr;

use flatwright_geometry::tolerance;
use flatwright_geometry::units::{LengthError, MM_PER_INCH, Mm, plain};

/// The largest side of a page: 14 400 units of 1/72 in (ISO 32000-1, Annex C).
pub const LARGEST_SIDE: Mm = Mm::inches(200.0);
/// The smallest side that is taken for a page. Our choice: below it no furniture can be read.
pub const SMALLEST_SIDE: Mm = Mm::new(40.0);

/// A sheet of paper, card or board, upright.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperSize {
    /// What it is called: `A4`, `Letter`, `20x30 in`, or the measures of a custom size.
    pub name: String,
    /// The shorter side.
    pub width: Mm,
    /// The longer side.
    pub height: Mm,
}

/// Which way a sheet is turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Orientation {
    /// Upright.
    Portrait,
    /// On its side.
    Landscape,
    /// Whichever needs fewer sheets; upright where both need as many.
    #[default]
    Either,
}

impl Orientation {
    /// The orientations to try, in order.
    #[must_use]
    pub const fn choices(self) -> &'static [Self] {
        match self {
            Self::Portrait => &[Self::Portrait],
            Self::Landscape => &[Self::Landscape],
            Self::Either => &[Self::Portrait, Self::Landscape],
        }
    }
}

impl FromStr for Orientation {
    type Err = String;

    /// Reads `portrait`, `landscape` or `either`.
    ///
    /// # Errors
    /// The names that are known, where the text is none of them.
    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_ascii_lowercase().as_str() {
            "portrait" => Ok(Self::Portrait),
            "landscape" => Ok(Self::Landscape),
            "either" => Ok(Self::Either),
            _ => Err(format!("\"{text}\" is not an orientation: write portrait, landscape or either")),
        }
    }
}

/// Why a text names no paper.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PaperError {
    /// Neither a known name nor two lengths.
    #[error("\"{text}\" is not a paper size{}", suggestion(near))]
    Unknown {
        /// What was written.
        text: String,
        /// Known names that look like it, nearest first; may be empty.
        near: Vec<String>,
    },
    /// Two lengths of which one cannot be read.
    #[error("\"{text}\" is not a paper size: {error}")]
    Length {
        /// What was written.
        text: String,
        /// What is wrong with the length.
        error: LengthError,
    },
    /// A side too small or too large for a page.
    #[error("\"{text}\" has a side of {side}; sides of {SMALLEST_SIDE} to {LARGEST_SIDE} can be printed")]
    Side {
        /// What was written.
        text: String,
        /// The side.
        side: Mm,
    },
}

impl PaperError {
    /// How to mend it, in one sentence.
    #[must_use]
    pub const fn help(&self) -> &'static str {
        "write a name such as \"A4\", \"Letter\", \"ANSI B\", \"ARCH D\" or \"SRA3\", or measures such as \"210 x 297 mm\" or \"8.5 x 11 in\""
    }
}

impl PaperSize {
    /// A sheet of the given sides, in either order, named by its measures.
    ///
    /// # Errors
    /// [`PaperError::Side`] where a side is not between [`SMALLEST_SIDE`] and [`LARGEST_SIDE`].
    pub fn custom(a: Mm, b: Mm) -> Result<Self, PaperError> {
        let name = format!("{} x {} mm", plain(a.get(), 2), plain(b.get(), 2));
        Self::named(name, a, b)
    }

    /// Every standard size: ISO A, B, C, RA and SRA, JIS B, the US sizes and the board sheets.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let halved = SERIES.iter().flat_map(|series| {
            (0..=series.last).map(|n| {
                let (width, height) = series.size(n);
                Self::of(format!("{}{n}", series.prefix), width, height)
            })
        });
        let inches = INCHES
            .iter()
            .map(|&(name, width, height)| Self::of(name.to_owned(), width * MM_PER_INCH, height * MM_PER_INCH));
        halved.chain(inches).collect()
    }

    /// Width and height as used in an orientation; [`Orientation::Either`] counts as upright.
    #[must_use]
    pub const fn turned(&self, orientation: Orientation) -> (Mm, Mm) {
        match orientation {
            Orientation::Portrait | Orientation::Either => (self.width, self.height),
            Orientation::Landscape => (self.height, self.width),
        }
    }

    /// The area, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.width.get() * self.height.get()
    }

    /// The tolerance on a side of `side` of an ISO size: 1.5 mm to 150 mm, 2 mm to 600 mm, 3 mm
    /// above (ISO 216).
    #[must_use]
    pub fn iso_tolerance(side: Mm) -> Mm {
        Mm::new(match side.get() {
            s if s <= 150.0 => 1.5,
            s if s <= 600.0 => 2.0,
            _ => 3.0,
        })
    }

    /// The three smallest sheets on which something fits, by area. Sizes that differ in name only
    /// count once; the C series is left out, for it is made as envelopes.
    ///
    /// `free` gives the rectangles (width, height) of which one must hold the piece, for each
    /// sheet; a quarter turn is allowed.
    #[must_use]
    pub fn smallest_fitting(size: (Mm, Mm), free: impl Fn(&Self) -> Vec<(Mm, Mm)>) -> Vec<Self> {
        let within = |a: Mm, b: Mm| a.get() <= b.get() + tolerance::FIT;
        let mut fitting: Vec<Self> = Self::all()
            .into_iter()
            .filter(|paper| !paper.name.starts_with('C'))
            .filter(|paper| {
                free(paper)
                    .iter()
                    .any(|&(w, h)| (within(size.0, w) && within(size.1, h)) || (within(size.1, w) && within(size.0, h)))
            })
            .collect();
        fitting.sort_by(|a, b| a.area().total_cmp(&b.area()));
        fitting.dedup_by(|a, b| (a.width, a.height) == (b.width, b.height));
        fitting.truncate(3);
        fitting
    }

    /// The three smallest sheets that hold a piece within even margins, by area.
    #[must_use]
    pub fn fitting_with_margin(size: (Mm, Mm), margin: Mm) -> Vec<Self> {
        Self::smallest_fitting(size, |paper| vec![(paper.width - margin * 2.0, paper.height - margin * 2.0)])
    }

    /// Measures for people: `210 x 297 mm`, or inches where the sheet is made in whole eighths.
    #[must_use]
    pub fn measures(&self) -> String {
        let inches = |mm: Mm| mm.get() / MM_PER_INCH;
        let even = |mm: Mm| (inches(mm) * 8.0 - (inches(mm) * 8.0).round()).abs() < 1e-9;
        if even(self.width) && even(self.height) {
            format!("{} x {} in", plain(inches(self.width), 3), plain(inches(self.height), 3))
        } else {
            format!("{} x {} mm", plain(self.width.get(), 2), plain(self.height.get(), 2))
        }
    }

    fn named(name: String, a: Mm, b: Mm) -> Result<Self, PaperError> {
        let fits = |side: Mm| (SMALLEST_SIDE.get()..=LARGEST_SIDE.get()).contains(&side.get());
        match [a, b].into_iter().find(|side| !fits(*side)) {
            Some(side) => Err(PaperError::Side { text: name, side }),
            None => Ok(Self { name, width: a.min(b), height: a.max(b) }),
        }
    }

    fn of(name: String, width: f64, height: f64) -> Self {
        Self { name, width: Mm::new(width), height: Mm::new(height) }
    }
}

impl fmt::Display for PaperSize {
    /// `A4 (210 x 297 mm)`, or the measures alone where they are the name.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let measures = self.measures();
        let is_measures = squeezed(&measures) == squeezed(&self.name);
        if is_measures || self.name.ends_with("mm") || self.name.ends_with("in") {
            f.pad(&self.name)
        } else {
            write!(f, "{} ({measures})", self.name)
        }
    }
}

impl FromStr for PaperSize {
    type Err = PaperError;

    /// Reads a name (case and spaces do not matter) or two lengths: `210 x 297 mm`, `20x30 in`,
    /// `8.5 in x 297 mm`.
    ///
    /// # Errors
    /// [`PaperError`] where the text is neither, or a side cannot be a page's.
    fn from_str(text: &str) -> Result<Self, PaperError> {
        let wanted = squeezed(text);
        if let Some(paper) = Self::all().into_iter().find(|paper| squeezed(&paper.name) == wanted) {
            return Ok(paper);
        }
        let measures = text.trim().replace(['\u{d7}', 'X'], "x");
        let begins_with_number = measures.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
        match measures.split_once('x') {
            Some((a, b)) if begins_with_number => {
                let length = |part: &str| {
                    part.parse::<Mm>().map_err(|error| PaperError::Length { text: text.trim().to_owned(), error })
                };
                let b = b.trim();
                let unit = b.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"');
                let a = a.trim();
                let bare = a.ends_with(|c: char| c.is_ascii_digit() || c == '.');
                let first = if bare { length(&format!("{a} {unit}"))? } else { length(a)? };
                Self::named(text.trim().to_owned(), first, length(b)?)
            }
            _ => Err(PaperError::Unknown { text: text.trim().to_owned(), near: near_names(&wanted) }),
        }
    }
}

/// A family of sizes in which each is the one before it, halved across its long side and rounded
/// down to whole millimetres.
struct Series {
    prefix: &'static str,
    width: u32,
    height: u32,
    last: u32,
}

impl Series {
    fn size(&self, n: u32) -> (f64, f64) {
        let (width, height) = (0..n).fold((self.width, self.height), |(w, h), _| (h / 2, w));
        (f64::from(width), f64::from(height))
    }
}

/// ISO 216 (A, B), ISO 269 (C), ISO 217 (RA, SRA), JIS P 0138 (JIS B).
const SERIES: [Series; 6] = [
    Series { prefix: "A", width: 841, height: 1189, last: 10 },
    Series { prefix: "B", width: 1000, height: 1414, last: 10 },
    Series { prefix: "C", width: 917, height: 1297, last: 10 },
    Series { prefix: "RA", width: 860, height: 1220, last: 4 },
    Series { prefix: "SRA", width: 900, height: 1280, last: 4 },
    Series { prefix: "JIS B", width: 1030, height: 1456, last: 10 },
];

/// ANSI/ASME Y14.1 (ANSI and ARCH sizes), the office sizes, and board sheets as they are sold
/// (trade sizes, no standard).
const INCHES: [(&str, f64, f64); 17] = [
    ("Letter", 8.5, 11.0),
    ("Legal", 8.5, 14.0),
    ("Tabloid", 11.0, 17.0),
    ("Ledger", 11.0, 17.0),
    ("ANSI A", 8.5, 11.0),
    ("ANSI B", 11.0, 17.0),
    ("ANSI C", 17.0, 22.0),
    ("ANSI D", 22.0, 34.0),
    ("ANSI E", 34.0, 44.0),
    ("ARCH A", 9.0, 12.0),
    ("ARCH B", 12.0, 18.0),
    ("ARCH C", 18.0, 24.0),
    ("ARCH D", 24.0, 36.0),
    ("ARCH E", 36.0, 48.0),
    ("ARCH E1", 30.0, 42.0),
    ("20x30 in", 20.0, 30.0),
    ("30x40 in", 30.0, 40.0),
];

/// Lower case, without spaces, hyphens and underscores.
fn squeezed(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_')).collect()
}

/// The three known names nearest to a squeezed text, if any is near.
fn near_names(wanted: &str) -> Vec<String> {
    let limit = (wanted.chars().count() / 3).max(1);
    let mut near: Vec<(usize, String)> = PaperSize::all()
        .into_iter()
        .map(|paper| (strsim::osa_distance(wanted, &squeezed(&paper.name)), paper.name))
        .filter(|(distance, _)| *distance <= limit)
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    near.truncate(3);
    near.into_iter().map(|(_, name)| name).collect()
}

fn suggestion(near: &[String]) -> String {
    if near.is_empty() { String::new() } else { format!("; is it {}?", near.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sides in mm as two or more of three independent packages list them, read from
    /// `tests/papers.tsv`, whose head says which packages and how.
    #[test]
    fn sizes_agree_with_independent_tables() {
        let table = include_str!("../tests/papers.tsv");
        let mut compared = 0;
        for line in table.lines().filter(|line| !line.starts_with('#')) {
            let cells: Vec<&str> = line.split('\t').collect();
            let [name, width, height] = cells[..] else { panic!("three cells wanted: {line}") };
            let paper: PaperSize = name.parse().unwrap();
            let (w, h): (f64, f64) = (width.parse().unwrap(), height.parse().unwrap());
            assert!(
                (paper.width.get() - w).abs() < 1e-3 && (paper.height.get() - h).abs() < 1e-3,
                "{paper} against {w} x {h}"
            );
            compared += 1;
        }
        assert!(compared >= 55, "only {compared} compared");
    }

    /// ISO 216 notes that B(n) is the geometric mean of A(n-1) and A(n), and that sides stand as
    /// 1 to the square root of 2: a check on the rule, within the tolerances of the standard.
    #[test]
    fn iso_sizes_keep_the_rules_of_the_standard() {
        let size = |name: &str| name.parse::<PaperSize>().unwrap();
        for n in 0..=10 {
            for series in ["A", "B", "C"] {
                let paper = size(&format!("{series}{n}"));
                let ideal = paper.width.get() * std::f64::consts::SQRT_2;
                assert!((ideal - paper.height.get()).abs() <= PaperSize::iso_tolerance(paper.height).get(), "{paper}");
            }
            if n > 0 {
                let (a, above, b) = (size(&format!("A{n}")), size(&format!("A{}", n - 1)), size(&format!("B{n}")));
                let mean = (a.width.get() * above.width.get()).sqrt();
                assert!((mean - b.width.get()).abs() <= PaperSize::iso_tolerance(b.width).get(), "{b}");
            }
        }
    }

    #[test]
    fn names_and_measures_are_read() {
        let read = |text: &str| text.parse::<PaperSize>();
        assert_eq!(read("a4").unwrap().to_string(), "A4 (210 x 297 mm)");
        assert_eq!(read("ansi b").unwrap().to_string(), "ANSI B (11 x 17 in)");
        assert_eq!(read("JISB4").unwrap().name, "JIS B4");
        assert_eq!(read("20 x 30 in").unwrap().to_string(), "20x30 in");
        assert_eq!(read("210 x 297 mm").unwrap().height, Mm::new(297.0));
        assert_eq!(read("11 x 8.5 in").unwrap().width, Mm::inches(8.5));
        assert_eq!(read("8 1/2 in x 297 mm").unwrap().width, Mm::inches(8.5));
        assert_eq!(read("420\u{d7}300 mm").unwrap().width, Mm::new(300.0));
    }

    #[test]
    fn a_text_that_is_no_paper_says_why() {
        let error = |text: &str| text.parse::<PaperSize>().expect_err("must be refused").to_string();
        assert_eq!(error("Leter"), "\"Leter\" is not a paper size; is it Letter?");
        assert_eq!(error("A11"), "\"A11\" is not a paper size; is it A1, A10?");
        assert_eq!(error("foolscap"), "\"foolscap\" is not a paper size");
        assert!(error("210 x 297").contains("has no unit"));
        assert!(error("210 x 297 ells").contains("not a unit"));
        assert!(error("3 x 297 mm").contains("sides of 40 mm to 5080 mm"));
        assert!(error("").contains("not a paper size"));
    }

    #[test]
    fn the_smallest_papers_for_a_piece_are_found() {
        let names = |w: f64, h: f64| -> Vec<String> {
            PaperSize::fitting_with_margin((Mm::new(w), Mm::new(h)), Mm::new(7.0)).into_iter().map(|p| p.name).collect()
        };
        // 264 x 214 mm with margins. Sides that hold it, by area: 279.4 x 215.9, 305 x 215, 304.8 x 228.6.
        assert_eq!(names(250.0, 200.0), ["Letter", "RA4", "ARCH A"]);
        assert_eq!(names(200.0, 250.0), names(250.0, 200.0));
        assert!(names(2000.0, 10.0).is_empty());
    }
}
