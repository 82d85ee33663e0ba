//! Profiles: what is known of a printer, and of stocks and a cutter, as files that sets share.

use flatwright_calibration::printer::{Distortion, NOTABLE};
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::{Angle, Mm};
use flatwright_sheets::correction::Correction;

use super::values::{Degrees, Scale};
use crate::import::Sheets;
use crate::problem::{At, Problem, Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::record;
use crate::set_file::{Amount, Count, LARGEST, Length, Line, Share};

record! {
    /// What a printer does to lengths. `flatwright profile` writes it; a set file names it as "printer".
    pub struct PrinterFile {
        /// Name of the printer and its paper.
        pub name: Line,
        /// Printed length of a unit across the sheet: 0.98 prints two per cent too small.
        pub x_scale: Scale,
        /// Printed height of a unit up the sheet.
        pub y_scale: Scale,
        /// By how many degrees upright lines lean to the right. Default 0.
        pub skew: Option<Degrees>,
        /// Standard errors of the three: in about two cases of three the true value is no farther off.
        pub standard_error: Option<PrinterErrors>,
        /// How many lengths were measured.
        pub lengths: Option<Count<1000>>,
        /// What a reading is off by as a rule, mm.
        pub reading_error: Option<Amount>,
    }
}

record! {
    /// Standard errors of a printer's profile.
    pub struct PrinterErrors {
        /// Of "x_scale".
        pub x_scale: Amount,
        /// Of "y_scale".
        pub y_scale: Amount,
        /// Of "skew", degrees; left out where the skew was not measured.
        pub skew: Option<Amount>,
    }
}

record! {
    /// What is known of stocks, cutter and hand. `flatwright profile` writes it; a set file names it as
    /// "materials". Each value takes the place of the default of the parameter of its name; what the set file or
    /// the command line gives comes before it.
    pub struct MaterialsFile {
        /// Name of the stocks and the cutter.
        pub name: Line,
        /// Thickness of the board.
        pub board: Option<Spanned<Length>>,
        /// Caliper of the card.
        pub card: Option<Spanned<Length>>,
        /// Caliper of the paper.
        pub paper: Option<Spanned<Length>>,
        /// Total clearance of a sliding joint. A set has one play: the larger of the two.
        pub play: Option<PlayEntry>,
        /// Width that the cutter removes. What is not given is 0 mm where any other is.
        pub kerf: Option<KerfEntry>,
        /// Where the neutral line of a fold lies, as a part of the caliper.
        pub fold_factor: Option<Spanned<Share>>,
    }
}

record! {
    /// Play of joints in card and in board.
    pub struct PlayEntry {
        /// Of a wall's tab in a slot.
        pub card: Option<Spanned<Length>>,
        /// Of a biscuit in a notch.
        pub board: Option<Spanned<Length>>,
    }
}

record! {
    /// Kerf in each stock.
    pub struct KerfEntry {
        /// In paper.
        pub paper: Option<Spanned<Length>>,
        /// In card.
        pub card: Option<Spanned<Length>>,
        /// In board.
        pub board: Option<Spanned<Length>>,
    }
}

/// A printer that pages are corrected for.
#[derive(Clone, Debug, PartialEq)]
pub struct Printer {
    /// Its name.
    pub name: String,
    /// What it does.
    pub distortion: Distortion,
}

/// A materials profile, with the places of its values.
pub type Materials = MaterialsFile;

const PRINTER: Called = Called {
    file: "a printer profile",
    whole: "the printer profile",
    write: "let 'flatwright profile' write one",
    largest: LARGEST,
    shorten: "let 'flatwright profile' write one",
};
const MATERIALS: Called = Called { file: "a materials profile", whole: "the materials profile", ..PRINTER };

/// Reads a printer profile. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them; scales and skew beyond what a printer does.
pub fn printer(name: &str, bytes: Vec<u8>) -> Result<(Printer, Source), Problems> {
    let (file, source) = document::read::<PrinterFile>(name, bytes, PRINTER, |_, _| {})?;
    let skew = Angle::degrees(file.skew.map_or(0.0, |skew| skew.0));
    let distortion = Distortion::new(file.x_scale.0, file.y_scale.0, skew);
    Ok((Printer { name: file.name.0, distortion }, source))
}

/// Reads a materials profile. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them.
pub fn materials(name: &str, bytes: Vec<u8>) -> Result<(Materials, Source), Problems> {
    document::read(name, bytes, MATERIALS, |_, _| {})
}

/// The JSON Schema of a printer profile.
#[must_use]
pub fn printer_schema() -> schemars::Schema {
    document::schema::<PrinterFile>()
}

/// The JSON Schema of a materials profile.
#[must_use]
pub fn materials_schema() -> schemars::Schema {
    document::schema::<MaterialsFile>()
}

impl MaterialsFile {
    /// The play of a set: the larger of the two, with its place.
    #[must_use]
    pub fn play(&self) -> Option<&Spanned<Length>> {
        let play = self.play.as_ref()?;
        let both = [&play.card, &play.board].into_iter().flatten();
        both.reduce(|a, b| if b.value.0 > a.value.0 { b } else { a })
    }

    /// The kerf in a stock; 0 mm where another one's is known. `None` where none is.
    #[must_use]
    pub fn kerf(&self, stock: Stock) -> Option<Mm> {
        let kerf = self.kerf.as_ref()?;
        let of = match stock {
            Stock::Paper => &kerf.paper,
            Stock::Card => &kerf.card,
            Stock::Board => &kerf.board,
        };
        self.widest_kerf().map(|_| of.as_ref().map_or(Mm::ZERO, |kerf| kerf.value.0))
    }

    /// The widest kerf, with its place.
    #[must_use]
    pub fn widest_kerf(&self) -> Option<&Spanned<Length>> {
        let kerf = self.kerf.as_ref()?;
        let all = [&kerf.paper, &kerf.card, &kerf.board].into_iter().flatten();
        all.reduce(|a, b| if b.value.0 > a.value.0 { b } else { a })
    }
}

impl Printer {
    /// How pages are drawn for it.
    #[must_use]
    pub fn correction(&self) -> Correction {
        Correction { name: self.name.clone(), motion: self.distortion.correction(), words: self.words() }
    }

    /// What is corrected: `across +0.42 %, up -0.10 %, skew 0.05 degrees`.
    #[must_use]
    pub fn words(&self) -> String {
        let Distortion { x_scale, y_scale, .. } = self.distortion;
        let percent = |scale: f64| format!("{:+.2} %", tidy(100.0 * (1.0 / scale - 1.0)));
        let skew = tidy(-self.distortion.skew().to_degrees());
        format!("across {}, up {}, skew {skew:+.2} degrees", percent(x_scale), percent(y_scale))
    }

    /// What should be mended at the printer, where its correction is large.
    #[must_use]
    pub fn advice(&self) -> Option<(String, &'static str)> {
        let d = self.distortion;
        let message = format!(
            "the printer \"{}\" needs a correction of more than {} % ({})",
            self.name,
            NOTABLE * 100.0,
            self.words()
        );
        (d.largest() > NOTABLE).then(|| (message, cause(d)))
    }

    /// Warns of a large correction; of pages whose margins it eats, and refuses it where pages run off
    /// the paper.
    pub fn consider(&self, at: Option<&At>, sheets: &Sheets, problems: &mut Vec<Problem>, warnings: &mut Vec<Problem>) {
        let placed = |problem: Problem| match at {
            Some(at) => problem.at(at, "corrected for this"),
            None => problem,
        };
        warnings.extend(self.advice().map(|(message, cause)| placed(Problem::new(message).help(cause))));
        let correction = self.correction();
        let margin = sheets.margin;
        let stocks = [&sheets.paper, &sheets.card].into_iter();
        let ways = stocks.flat_map(|stock| stock.sizes.iter().map(move |size| (stock.orientation, &size.paper)));
        let left = ways.flat_map(|(orientation, paper)| {
            orientation.choices().iter().map(move |way| (paper, paper.turned(*way))).collect::<Vec<_>>()
        });
        let left = left.map(|(paper, size)| (correction.margin_left(size, margin), paper));
        let Some((left, paper)) = left.min_by(|a, b| a.0.get().total_cmp(&b.0.get())) else { return };
        let needed = Mm::new(((margin - left).get() * 1.08).ceil());
        if left < Mm::ZERO {
            let off = Mm::new((-left.get() * 10.0).ceil() / 10.0);
            let message =
                format!("corrected for the printer \"{}\", pages on {paper} run {off} off the paper", self.name);
            problems.push(placed(
                Problem::new(message).help(format!("give a --margin of {needed}, or mend the print setting")),
            ));
        } else if left < margin - KEPT {
            let left = Mm::new((left.get() * 10.0).floor() / 10.0);
            let message = format!(
                "corrected for the printer \"{}\", the margins of {margin} on {paper} shrink to {left}",
                self.name
            );
            let help = "see whether the printer still prints all; if not, give a larger --margin";
            warnings.push(placed(Problem::new(message).help(help)));
        }
    }
}

/// Margins may shrink by so much without a word.
const KEPT: Mm = Mm::new(1.0);

/// Two decimals, without a minus before nothing.
fn tidy(value: f64) -> f64 {
    (value * 100.0).round() / 100.0 + 0.0
}

/// The likeliest cause of a large distortion.
fn cause(d: Distortion) -> &'static str {
    let off = [d.x_scale - 1.0, d.y_scale - 1.0];
    // Measured on Letter and A4: fitting a page to the paper takes 2.8 to 6 %.
    if off.iter().all(|off| (-0.062..=-0.026).contains(off)) {
        "this looks like \"fit to page\", which takes 2.8 to 6 %: choose 100 % in the print dialogue, print the coupon \
         again and measure again"
    } else if off.iter().any(|off| *off < -NOTABLE) {
        "look for \"fit\" or \"shrink\" in the print dialogue and in the driver, choose 100 %, and measure a new coupon"
    } else if off.iter().any(|off| *off > NOTABLE) {
        "look for \"borderless\" or \"enlarge\" in the print dialogue and in the driver, choose 100 %, and measure a new coupon"
    } else {
        "sheets go in askew: set the paper guides close to the stack, and measure a new coupon"
    }
}
