//! Arguments of calibration: the coupon, the profiles made of its readings, and their use.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::Overrides;

/// Profiles of a printer and of stocks.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "Profiles that 'flatwright profile' wrote")]
pub struct ProfileFiles {
    /// Correct the pages of sheets.pdf for that printer: scales and skew. Not the SVG sheets, not the
    /// files for a cutter, not the guide.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub printer: Option<PathBuf>,
    /// Take calipers, kerf, play and fold factor from a materials profile, where the set file and
    /// the other options do not give them.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub materials: Option<PathBuf>,
}

/// Arguments of `coupon`.
#[derive(Debug, Args)]
pub struct CouponArgs {
    /// The set file or the floor plan that the coupon is for, or - for standard input: its paper, its
    /// stocks and its joints are used. Without one the defaults are.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: Option<PathBuf>,
    /// Folder to write into; it is made where it does not exist.
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub output: PathBuf,
    /// Print nothing but problems.
    #[arg(short, long)]
    pub quiet: bool,
    /// Values that replace the file's.
    #[command(flatten)]
    pub overrides: Overrides,
}

/// Arguments of `profile`.
#[derive(Debug, Args)]
pub struct ProfileArgs {
    /// The readings: the readings.json that 'flatwright coupon' wrote, filled in; or - for standard input.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Folder to write into; it is made where it does not exist.
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub output: PathBuf,
    /// A reading, in the place of the file's: A=179.4, A=179.4,179.5, card.slot=0.3. May be given
    /// several times.
    #[arg(long, value_name = "NAME=READING")]
    pub read: Vec<String>,
    /// Name of the profiles, in the place of the file's.
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Print nothing but problems.
    #[arg(short, long)]
    pub quiet: bool,
}

/// Examples of `coupon`.
pub(super) const COUPON: &str = "\
Examples:
  flatwright coupon -o coupon
          For A4 and the default stocks
  flatwright coupon samples/brinewell/set.json -o coupon
          On the paper of that set, with its stocks and joints
  flatwright coupon -o coupon --paper Letter --board '3/16 in' --card '0.3 mm'

Print coupon.pdf as you print all else. Page 1 tells the printer's scales and skew, pages 2 and 3
tell kerf, play and the neutral line of a fold, for card and for board. Measure, write the readings
into readings.json, and run 'flatwright profile'. What you do not measure stays null.

What is written into DIR replaces what an earlier run wrote there; other files are left alone, and
a readings.json that holds readings is never replaced:
  DIR/coupon.pdf      three pages or a few more, never corrected for a printer
  DIR/coupon-N.svg    the same, for a cutter
  DIR/readings.json   to be filled in (see 'flatwright schema --of readings')";

/// Examples of `profile`.
pub(super) const PROFILE: &str = "\
Examples:
  flatwright profile coupon/readings.json -o profiles
  flatwright profile coupon/readings.json -o profiles --read A=168.9 --read card.slot=0.2,0.3
          Readings typed instead of written into the file
  flatwright sheets set.json -o out --printer profiles/printer.json
  flatwright sheets set.json -o out --materials profiles/materials.json
          What profiles are for; a set file can name them, as \"printer\" and as \"materials\"

A reading is a length with its unit ('6 5/8 in', '16.89 cm') or plain millimetres; several of one
length are a list. A reading that does not go with the others is named and refused: measure that
length again, or leave it null.

What is written into DIR replaces what an earlier run wrote there; other files are left alone:
  DIR/printer.json    scales and skew, where the printer's page was measured
  DIR/materials.json  calipers, kerf, play and fold factor, as far as they were measured";
