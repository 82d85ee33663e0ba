//! Calipers, kerf, play and fold factor from readings of gauges.

use flatwright_calibration::kerf::{self, Gauge, Kerf, KerfError};
use flatwright_calibration::play::{self, Threshold};
use flatwright_calibration::{fold, printer::Fit};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::gauge;
use flatwright_geometry::units::Mm;
use serde_json::{Map, Value, json};

use super::fit::Profiles;
use super::readings::ReadingsFile;
use super::values::Reads;
use crate::problem::{Problem, Spanned};
use crate::set_file::{Count, Length, Walls};

type Reading<'a> = &'a Option<Spanned<Reads>>;

/// Works out the materials' profile.
pub(super) fn fit(
    name: &str,
    file: &ReadingsFile,
    printer: Option<&Fit>,
    made: &mut Profiles,
    problems: &mut Vec<Problem>,
) {
    let mut work = Work { scale: scale(printer), report: Vec::new(), problems };
    let (paper, card, board) = (file.paper.as_ref(), file.card.as_ref(), file.board.as_ref());
    let defaults = Parameters::default();

    let paper_caliper = paper.and_then(|of| work.caliper("paper", &of.caliper, of.sheets));
    let card_caliper = card.and_then(|of| work.caliper("card", &of.caliper, of.sheets));
    let board_caliper = board.and_then(|of| work.caliper("board", &of.caliper, of.sheets));
    let paper_kerf = paper.and_then(|of| work.kerf("paper", [&of.hole, &of.piece, &of.strips]));
    // What a caliper measures comes before what a strip in an opening tells.
    let card_kerf = card.and_then(|of| {
        let measured = [&of.hole, &of.piece, &of.strips];
        if measured.iter().any(|reading| read(reading).is_some()) {
            work.kerf("card", measured)
        } else {
            work.openings("card", &of.opening)
        }
    });
    let board_kerf = board.and_then(|of| {
        let measured = [&of.hole, &of.piece, &of.strips];
        if measured.iter().any(|reading| read(reading).is_some()) {
            work.kerf("board", measured)
        } else {
            work.openings("board", &of.opening)
        }
    });

    let drawn =
        |length: &Option<Spanned<Length>>, default: Mm| length.as_ref().map_or(default, |length| length.value.0);
    let card_drawn = card.map_or(defaults.card, |of| drawn(&of.drawn_for, defaults.card));
    let board_drawn = board.map_or(defaults.board, |of| drawn(&of.drawn_for, defaults.board));
    // A wall's tab: two cards glued together, or a board. Only the slot is cut to width.
    let wall = match file.walls {
        Some(Walls::Board) => (board_drawn, board_caliper.unwrap_or(board_drawn)),
        Some(Walls::Card) | None => (card_drawn * 2.0, card_caliper.unwrap_or(card_drawn) * 2.0),
    };
    let slot = card.and_then(|of| {
        let found = work.threshold("card.slot", &of.slot)?;
        Some(work.play("card", &found, play::needed(&found, 1, card_kerf.unwrap_or_default(), wall.0, wall.1)))
    });
    let biscuit = board.and_then(|of| {
        let found = work.threshold("board.biscuit", &of.biscuit)?;
        // Notch and biscuit are both cut to width.
        Some(work.play("board", &found, play::needed(&found, 2, board_kerf.unwrap_or_default(), Mm::ZERO, Mm::ZERO)))
    });
    let factor = card.and_then(|of| {
        work.fold([&of.first_leg, &of.second_leg], card_caliper.unwrap_or(card_drawn), card_caliper.is_some())
    });

    let mut profile = Map::new();
    let lengths = |pairs: [(&str, Option<Mm>); 3]| -> Map<String, Value> {
        let known = pairs
            .into_iter()
            .filter_map(|(key, length)| Some((key.to_owned(), json!(hundredths(length?).to_string()))));
        known.collect()
    };
    profile.extend(lengths([("board", board_caliper), ("card", card_caliper), ("paper", paper_caliper)]));
    let plays = lengths([("card", slot), ("board", biscuit), ("", None)]);
    let kerfs = lengths([("paper", paper_kerf), ("card", card_kerf), ("board", board_kerf)]);
    let groups = [("play", plays), ("kerf", kerfs)].into_iter().filter(|(_, group)| !group.is_empty());
    profile.extend(groups.map(|(key, group)| (key.to_owned(), Value::Object(group))));
    profile.extend(factor.map(|factor| ("fold_factor".to_owned(), json!(factor))));
    let Work { report, .. } = work;
    if !report.is_empty() {
        made.report.push(format!("Materials \"{name}\""));
        made.report.extend(report);
    }
    if !profile.is_empty() {
        let named = std::iter::once(("name".to_owned(), json!(name)));
        made.materials = Some(Value::Object(named.chain(profile).collect()));
    }
}

/// The printer's scale for gauges that lie any way: the mean of both; 1 where it was not measured.
fn scale(printer: Option<&Fit>) -> f64 {
    printer.map_or(1.0, |fit| f64::midpoint(fit.distortion.x_scale, fit.distortion.y_scale))
}

/// To a hundredth of a millimetre: no caliper tells more.
fn hundredths(length: Mm) -> Mm {
    Mm::new((length.get() * 100.0).round() / 100.0)
}

struct Work<'p> {
    scale: f64,
    report: Vec<String>,
    problems: &'p mut Vec<Problem>,
}

impl Work<'_> {
    /// Thickness of one sheet, from a stack.
    fn caliper(&mut self, stock: &str, reading: Reading<'_>, sheets: Option<Count<1000>>) -> Option<Mm> {
        let reads = read(reading)?;
        let sheets = f64::from(sheets.map_or(1, |count| count.0));
        let caliper = mean(&reads.value.0)? / sheets;
        // The least and the most that a set file's parameters can be built from, and then some.
        if !(Mm::new(0.01)..=THICKEST).contains(&caliper) {
            let message = format!("{stock} of {} a sheet", hundredths(caliper));
            let help = "see how many \"sheets\" were measured together, and in which unit";
            self.problems.push(Problem::new(message).at(&reads.at, "read here").help(help));
            return None;
        }
        self.report.push(format!("  {stock}: {} thick", hundredths(caliper)));
        Some(caliper)
    }

    fn kerf(&mut self, stock: &str, [hole, piece, strips]: [Reading<'_>; 3]) -> Option<Mm> {
        let row = gauge::STRIP * f64::from(gauge::STRIPS);
        let all = [(hole, gauge::WINDOW, 1.0), (piece, gauge::WINDOW, -1.0), (strips, row, -f64::from(gauge::STRIPS))];
        let known: Vec<(&Spanned<Reads>, Gauge)> = all
            .into_iter()
            .filter_map(|(reading, nominal, cuts)| {
                let reads = read(reading)?;
                Some((reads, Gauge { nominal: nominal * self.scale, cuts, readings: reads.value.0.clone() }))
            })
            .collect();
        let (first, _) = known.first()?;
        let far = known.iter().find(|(_, gauge)| {
            let off = |reading: &Mm| {
                (*reading - gauge.nominal).abs() > gauge.nominal * 0.08 + kerf::WIDEST * gauge.cuts.abs()
            };
            gauge.readings.iter().any(off)
        });
        if let Some((reads, gauge)) = far {
            let message =
                format!("a gauge for {stock} reads {} where {} is drawn", reads.value.0[0], hundredths(gauge.nominal));
            let help = "measure it again in millimetres, or write the unit";
            self.problems.push(Problem::new(message).at(&reads.at, "read here").help(help));
            return None;
        }
        let gauges: Vec<Gauge> = known.iter().map(|(_, gauge)| gauge.clone()).collect();
        match kerf::fit(&gauges) {
            Ok(found) => Some(self.tell_kerf(stock, found)),
            Err(error) => {
                let help = match error {
                    KerfError::Negative(_) => "see whether the hole's and the piece's readings are exchanged",
                    KerfError::TooWide(_) | KerfError::Nothing => "measure the gauges again",
                };
                self.problems.push(Problem::new(format!("{stock}: {error}")).at(&first.at, "read here").help(help));
                None
            }
        }
    }

    /// The kerf without a caliper.
    fn openings(&mut self, stock: &str, reading: Reading<'_>) -> Option<Mm> {
        let reads = read(reading)?;
        self.threshold(&format!("{stock}.opening"), reading)?;
        let found = kerf::from_openings(&reads.value.0);
        if found.is_none() {
            let message =
                format!("{stock}: a strip goes into the narrowest opening, so the kerf is wider than they tell");
            let help = "measure hole and piece instead";
            self.problems.push(Problem::new(message).at(&reads.at, "read here").help(help));
        }
        found.map(|found| self.tell_kerf(stock, found))
    }

    fn tell_kerf(&mut self, stock: &str, found: Kerf) -> Mm {
        let error = hundredths(found.standard_error * found.coverage_factor);
        self.report.push(format!("  {stock}: kerf {} +- {error}", hundredths(found.width)));
        found.width
    }

    /// What the graded joints tell.
    fn threshold(&mut self, name: &str, reading: Reading<'_>) -> Option<Threshold> {
        let reads = read(reading)?;
        if let Some(wrong) = reads.value.0.iter().find(|grade| play::grade_of(**grade).is_none()) {
            let message = format!("`{name}` is {wrong}, and no joint of the coupon has that play");
            let help =
                format!("write the number beside the joint: 0.0, 0.1 ... {:.1}", 0.1 * f64::from(play::GRADES - 1));
            self.problems.push(Problem::new(message).at(&reads.at, "read here").help(help));
            return None;
        }
        play::threshold(&reads.value.0)
    }

    fn play(&mut self, stock: &str, found: &Threshold, play: Mm) -> Mm {
        let (fails, goes) = (hundredths(found.fails.max(Mm::ZERO)), hundredths(found.goes));
        let error = hundredths(found.standard_error * found.coverage_factor);
        self.report.push(format!(
            "  {stock}: play {} (joints go together between {fails} and {goes} as drawn, +- {error})",
            hundredths(play)
        ));
        play
    }

    fn fold(&mut self, [first, second]: [Reading<'_>; 2], caliper: Mm, measured: bool) -> Option<f64> {
        let legs = [read(first)?, read(second)?];
        let readings = legs.map(|leg| leg.value.0.as_slice());
        let found = fold::neutral(gauge::FOLD_STRIP * self.scale, caliper, readings)?;
        let factor = (found.factor * 100.0).round() / 100.0;
        if found.is_usable() && measured {
            self.report.push(format!("  card: fold factor {factor} +- {:.2}", 1.96 * found.standard_error));
            return Some(factor);
        }
        let why = if measured { "it should be 0 to 1, known to 0.2" } else { "measure the card's caliper too" };
        self.report
            .push(format!("  card: fold factor left as it is: {factor} +- {:.2} ({why})", 1.96 * found.standard_error));
        None
    }
}

/// Thicker than any board that is cut by hand or laser.
const THICKEST: Mm = Mm::new(50.0);

fn read(reading: Reading<'_>) -> Option<&Spanned<Reads>> {
    reading.as_ref().filter(|reads| !reads.value.0.is_empty())
}

fn mean(readings: &[Mm]) -> Option<Mm> {
    Some(readings.iter().copied().reduce(|a, b| a + b)? / readings.len() as f64)
}
