//! The command line's arguments. Values that the set file has too are kept as text: `import`
//! reads both by the same rules and reports both in the same way.

use std::path::PathBuf;

use clap::builder::{PossibleValue, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;

mod calibration;
pub mod class;
pub mod machine;
mod view;

use self::class::ClassArgs;
use self::machine::Machine;
use crate::set_file::{BoardLayout, InkWord, LayoutWord};

pub use calibration::{CouponArgs, ProfileArgs, ProfileFiles};
pub use view::{Shown, ViewArgs};

/// Ready-to-cut, ready-to-score sheets for modular tabletop terrain of card and foam board.
#[derive(Debug, Parser)]
#[command(
    name = "flatwright",
    version,
    propagate_version = true,
    subcommand_required = true,
    arg_required_else_help = true,
    after_long_help = "\
Examples:
  flatwright sheets samples/brinewell/set.json -o out
          Lay out a set and write out/sheets.pdf, out/sheets/NNN.svg and out/parts.json
  flatwright sheets samples/brinewell/pump-room.plan -o out
          The same for a floor plan: exactly the pieces that it needs
  flatwright plan samples/brinewell/pump-room.plan -o out
          Redraw the plan with its pieces and write a guide for building it
  flatwright parts samples/brinewell/set.json
          List the pieces of a set
  flatwright schema > set.schema.json
          Write the JSON Schema of the set file, for an editor that completes and checks

Exit codes:
  0  all is well
  1  the input is good, but a check of the result failed or the output could not be written
  2  the input or the arguments are wrong"
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Lay a set or a floor plan out on sheets and write PDF, SVG and the parts list.
    #[command(after_long_help = "\
Examples:
  flatwright sheets samples/brinewell/set.json -o out
  flatwright sheets samples/brinewell/pump-room.plan -o out --stock built.json
  flatwright sheets set.json -o out --paper Letter --board '3/16 in' --kerf '0.15 mm'
  flatwright sheets set.json -o out --board-as sheet --board-sheet '20x30 in'
  flatwright sheets class.json -o out --layout stacked
          For a trimmer: numbered straight cuts, few different pages with many copies
  flatwright sheets pump-room.plan -o out --layout by-step
          Pages in the order of building: print, cut and build a step, and go on
  flatwright sheets class.json -o out --effort 20000 --seed 7
          Try ten times as hard for fewer sheets
  flatwright sheets set.json -o out --contact
          See all pages at a glance in out/pages.png
  flatwright sheets set.json -o out --cutter --overcut '0.5 mm'
          Bare lines for a drag knife; know your material before a laser cuts it: never PVC
  flatwright sheets set.json -o out --class 30 --layout stacked --stack 15
          Thirty kits: print plan, stacks for the trimmer, bags and their labels in out/class.pdf
  generate-set | flatwright sheets - -o out

What is written into DIR replaces what an earlier run wrote there; other files are left alone:
  DIR/sheets.pdf      all pages
  DIR/sheets/NNN.svg  one file per page
  DIR/parts.json      parameters, pieces and pages (see 'flatwright schema --of parts')
  DIR/pages.png       with --contact: all pages on one picture
  DIR/class.pdf       for a class: print plan, bags, labels, checklist, cautions, cost
  DIR/cutter-NNN.svg  with --cutter: what a cutting machine follows, one file for each page

For each stock the program says how many pages there are, copies counted, and how few any layout
would need: 'card: 12 pages; at least 11 are needed'. The second number is proved; the proof is in
parts.json.")]
    Sheets(SheetsArgs),
    /// Redraw a floor plan with its pieces and write a guide for building it.
    #[command(after_long_help = "\
Examples:
  flatwright plan samples/brinewell/pump-room.plan -o out
  flatwright plan pump-room.plan -o out --stock built.json
  flatwright plan set.json -o out --paper Letter
          The set file names a plan: { \"name\": \"...\", \"plan\": \"pump-room.plan\" }

Several levels stand on each other, drawn from the same corner; 'offset loft: 2 1' moves one two
columns to the east and a row to the south. Each is packed on sheets of its own.

A plan is a drawing in plain text; one cell is one module:
  title: Lamp store
  surface f: flagstones #d3dee0
  wall D: door 25 mm x 40 mm
  level ground:
  +---+---+
  | f   f |
  +   +   +
  | f   f D
  +---+---+

What is written into DIR replaces what an earlier run wrote there; other files are left alone:
  DIR/plan.svg, DIR/plan.png  the plan with the pieces' identifiers
                              (plan-1.svg, plan-2.svg ... where there are several levels)
  DIR/guide.pdf               plan, parts, steps, lifting, shopping list, cautions
  DIR/guide.png               with --contact: all pages of the guide on one picture
  DIR/build.glb               the build as solids, for a viewer of glTF 2.0
                              (and build-1.glb, build-2.glb ... for each of several levels)
  DIR/parts.json              as 'flatwright sheets' writes it
The sheets themselves are what 'flatwright sheets' writes; both can share a folder.")]
    Plan(SheetsArgs),
    /// Fold every net, put every build together, check every joint, and print the numbers.
    #[command(after_long_help = "\
Examples:
  flatwright proof samples/brinewell/pump-room.plan
  flatwright proof set.json --board '10 mm'
          Would the same set fit with a thicker board?
  flatwright proof set.json --json | jq '.reports[].findings[] | select(.verdict == \"fails\")'

Each line is one check: the rule, its two numbers, the margin, and what was looked at. Where one
fails, the line below it names the parameter to change and the nearest value that works. The
tolerance stacks at the end are estimates from assumed errors of board, cutter, printer and hand.
Exit code 1 where a check fails.")]
    Proof(ProofArgs),
    /// Draw a floor plan as it will stand, or taken apart.
    #[command(after_long_help = "\
Examples:
  flatwright view samples/brinewell/pump-room.plan -o pump-room.svg
  flatwright view pump-room.plan -o pump-room.png --exploded
  flatwright view tower.plan -o tower.png
          Where there are several levels, all of them on each other
  flatwright view tower.plan -o apart.png --exploded
          All of them lifted off each other
  flatwright view tower.plan -o upper.svg --level 2")]
    View(ViewArgs),
    /// List the pieces of a set or a floor plan.
    #[command(after_long_help = "\
Examples:
  flatwright parts set.json
  flatwright parts pump-room.plan --stock built.json
  flatwright parts set.json --json | jq '.pieces[] | {id, count}'")]
    Parts(PartsArgs),
    /// Print lengths to measure and joints to try, to calibrate printer, cutter and stocks once.
    #[command(after_long_help = calibration::COUPON)]
    Coupon(CouponArgs),
    /// Make profiles of a printer and of stocks from what was measured on a coupon.
    #[command(after_long_help = calibration::PROFILE)]
    Profile(ProfileArgs),
    /// Print a JSON Schema.
    Schema {
        /// Whose schema: of a file that is read (set, stock, surface, design, prop, readings, printer, materials), or of the parts list that is written.
        #[arg(long, value_enum, default_value_t = SchemaOf::Set)]
        of: SchemaOf,
    },
    /// Print a completion script for a shell.
    #[command(after_long_help = "\
Example:
  flatwright completions bash > ~/.local/share/bash-completion/completions/flatwright")]
    Completions {
        /// The shell.
        #[arg(value_enum)]
        shell: Shell,
    },
    /// Print the manual page, or write one page per command.
    Man {
        /// Folder for one page per command; without it the main page is printed.
        #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
        output: Option<PathBuf>,
    },
}

/// Which schema to print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The set file.
    Set,
    /// The parts list, parts.json.
    Parts,
    /// The file of --stock: what has been built already.
    Stock,
    /// A surface of your own, in the folder of the set file's "templates".
    Surface,
    /// A wall design of your own, in the same folder.
    Design,
    /// A prop of your own, in the same folder.
    Prop,
    /// Readings of a calibration coupon.
    Readings,
    /// A printer profile, which 'flatwright profile' writes.
    Printer,
    /// A materials profile, which 'flatwright profile' writes.
    Materials,
}

/// Arguments of `proof`.
#[derive(Debug, Args)]
pub struct ProofArgs {
    /// The set file or the floor plan, or - for standard input.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Print the checks as JSON instead of a table.
    #[arg(long)]
    pub json: bool,
    /// Values that replace the file's.
    #[command(flatten)]
    pub overrides: Overrides,
}

/// Arguments of `sheets` and of `plan`.
#[derive(Debug, Args)]
pub struct SheetsArgs {
    /// The set file or the floor plan, or - for standard input.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Folder to write into; it is made where it does not exist.
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub output: PathBuf,
    /// Seed of the choices that the packing leaves to chance: same seed, same sheets. Another seed may
    /// find a layout with a sheet less, at the same effort.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Step budget of the packing, for each stock: more steps may save sheets and take longer, such as
    /// 20000 for a class set, or 200 for a quick look [default: 2000]. The result depends on the steps,
    /// never on the time.
    #[arg(long, value_name = "STEPS")]
    pub effort: Option<u32>,
    /// Write a contact sheet too: all pages on one picture, with their numbers and titles. A finer or
    /// coarser one with a number of dots per inch, as in --contact=250 [default: 150].
    #[arg(long, value_name = "DPI", num_args = 0..=1, require_equals = true, default_missing_value = "150")]
    pub contact: Option<f64>,
    /// Print nothing but problems.
    #[arg(short, long)]
    pub quiet: bool,
    /// What has been built already, as JSON: it is used first, and only the rest is made. For floor
    /// plans only.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub stock: Option<PathBuf>,
    /// A class set.
    #[command(flatten)]
    pub class: ClassArgs,
    /// Files for a cutting machine.
    #[command(flatten)]
    pub machine: Machine,
    /// Values that replace the file's.
    #[command(flatten)]
    pub overrides: Overrides,
}

fn present<'a, const N: usize>(options: [(&'static str, &'a Option<String>); N]) -> Vec<(&'static str, &'a str)> {
    options.into_iter().filter_map(|(name, value)| Some((name, value.as_deref()?))).collect()
}

/// Arguments of `parts`.
#[derive(Debug, Args)]
pub struct PartsArgs {
    /// The set file or the floor plan, or - for standard input.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Print JSON, as parts.json has it, without pages.
    #[arg(long)]
    pub json: bool,
    /// What has been built already, as JSON: it is used first, and only the rest is made. For floor
    /// plans only.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub stock: Option<PathBuf>,
    /// Values that replace the file's.
    #[command(flatten)]
    pub overrides: Overrides,
}

/// Values that replace those of the set file. Lengths have a unit: '5 mm', '3/16 in'.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "Values that replace the file's (lengths with a unit: '5 mm', '3/16 in')")]
pub struct Overrides {
    /// How pieces are put on sheets: on the fewest, for straight cuts through stacks, or in the order
    /// of building.
    #[arg(long, value_name = "HOW", value_parser = Words(LayoutWord::WORDS))]
    pub layout: Option<String>,
    /// Size of paper and card sheets: A4, Letter, 'ARCH B', '210 x 297 mm'. The set file can give
    /// several sizes, with prices.
    #[arg(long, value_name = "SIZE")]
    pub paper: Option<String>,
    /// Which way all sheets are turned: portrait, landscape or either.
    #[arg(long, value_name = "WAY", value_parser = Words(&["portrait", "landscape", "either"]))]
    pub orientation: Option<String>,
    /// Margin of all sheets.
    #[arg(long, value_name = "LENGTH")]
    pub margin: Option<String>,
    /// Least gap between two pieces.
    #[arg(long, value_name = "LENGTH")]
    pub gap: Option<String>,
    /// Module: the pitch of the floor.
    #[arg(long, value_name = "LENGTH")]
    pub module: Option<String>,
    /// Thickness of the board, as measured.
    #[arg(long, value_name = "LENGTH")]
    pub board: Option<String>,
    /// Caliper of the card.
    #[arg(long, value_name = "LENGTH")]
    pub card: Option<String>,
    /// Caliper of the paper that wraps tiles.
    #[arg(long, value_name = "LENGTH")]
    pub wrap_paper: Option<String>,
    /// Width that the cutter removes; 0 mm for a knife.
    #[arg(long, value_name = "LENGTH")]
    pub kerf: Option<String>,
    /// Total clearance of a sliding joint.
    #[arg(long, value_name = "LENGTH")]
    pub play: Option<String>,
    /// Bleed of the artwork past a cut line.
    #[arg(long, value_name = "LENGTH")]
    pub bleed: Option<String>,
    /// Which ink artwork is printed with: colour, grey, line-art or blank.
    #[arg(long, value_name = "INK", value_parser = Words(InkWord::WORDS))]
    pub ink: Option<String>,
    /// How board pieces are laid out: template (on paper, glued on) or sheet (on the board itself).
    #[arg(long, value_name = "HOW", value_parser = Words(BoardLayout::WORDS))]
    pub board_as: Option<String>,
    /// Size of board sheets: '20x30 in', '30x40 in', A2.
    #[arg(long, value_name = "SIZE")]
    pub board_sheet: Option<String>,
    /// Profiles of a printer and of stocks.
    #[command(flatten)]
    pub profiles: ProfileFiles,
}

impl Overrides {
    /// Every option that was given, by its long name, in a fixed order.
    #[must_use]
    pub fn given(&self) -> Vec<(&'static str, &str)> {
        present([
            ("--layout", &self.layout),
            ("--paper", &self.paper),
            ("--orientation", &self.orientation),
            ("--margin", &self.margin),
            ("--gap", &self.gap),
            ("--module", &self.module),
            ("--board", &self.board),
            ("--card", &self.card),
            ("--wrap-paper", &self.wrap_paper),
            ("--kerf", &self.kerf),
            ("--play", &self.play),
            ("--bleed", &self.bleed),
            ("--ink", &self.ink),
            ("--board-as", &self.board_as),
            ("--board-sheet", &self.board_sheet),
        ])
    }
}

/// Words that help and completions offer. Others pass: `import` judges them with all the other
/// values, so that one run names everything that is wrong.
#[derive(Clone, Copy, Debug)]
struct Words(&'static [&'static str]);

impl TypedValueParser for Words {
    type Value = String;

    fn parse_ref(
        &self,
        _: &clap::Command,
        _: Option<&clap::Arg>,
        value: &std::ffi::OsStr,
    ) -> Result<String, clap::Error> {
        // What is no text is no word either, and is shown as such.
        Ok(value.to_string_lossy().into_owned())
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new(self.0.iter().map(PossibleValue::new)))
    }
}
