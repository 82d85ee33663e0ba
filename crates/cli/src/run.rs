//! The commands: what they print, and how they end.

use std::io::{self, IsTerminal as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

use clap::CommandFactory as _;
use flatwright_sheets::compose::Composed;
use flatwright_sheets::view::Arrangement;
use indicatif::{ProgressBar, ProgressStyle};

use crate::args::{Cli, Command, CouponArgs, PartsArgs, ProfileArgs, ProofArgs, SchemaOf, SheetsArgs, ViewArgs};
use crate::calibration::{self, fit, profiles, readings};
use crate::class;
use crate::import::Set;
use crate::layout_report;
use crate::machine;
use crate::open;
use crate::output::{self, OutputError};
use crate::parts::{self, PartsList};
use crate::pipeline::{self, Effort, Failure};
use crate::planned::{report, shopping};
use crate::problem::{Problem, Problems};
use crate::proof::Proof;
use crate::templates::{design_file, prop_file, surface_file};
use crate::{set_file, stock_file, table};

/// How a run ends when it does not end well.
#[derive(Debug, thiserror::Error)]
pub enum Ending {
    /// The input or the arguments are wrong: exit code 2.
    #[error(transparent)]
    Input(#[from] Problems),
    /// A check of the result failed: exit code 1.
    #[error("{0}")]
    Check(String),
    /// A joint does not fit; the report that was printed says which: exit code 1.
    #[error("a joint does not fit")]
    Misfit,
    /// The output could not be written: exit code 1.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// Standard output could not be written to: exit code 1, or 0 where its reader has gone.
    #[error("could not write to standard output: {0}")]
    Print(#[from] io::Error),
}

impl From<Failure> for Ending {
    fn from(failure: Failure) -> Self {
        match failure {
            Failure::Input(problems) => Self::Input(problems),
            Failure::Check(what) => Self::Check(what),
        }
    }
}

/// Does what the command line says. Problems go to standard error.
#[must_use]
pub fn run(cli: &Cli) -> ExitCode {
    let result = match &cli.command {
        Command::Sheets(args) => sheets(args),
        Command::Plan(args) => plan(args),
        Command::Proof(args) => proof(args),
        Command::View(args) => view(args),
        Command::Parts(args) => parts_list(args),
        Command::Coupon(args) => coupon(args),
        Command::Profile(args) => profile(args),
        Command::Schema { of } => schema(*of),
        Command::Completions { shell } => completions(*shell),
        Command::Man { output } => man(output.as_deref()),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(ending) => end(ending),
    }
}

fn end(ending: Ending) -> ExitCode {
    // A reader that has seen enough, such as `head`, is no failure.
    if matches!(&ending, Ending::Print(error) if error.kind() == io::ErrorKind::BrokenPipe) {
        return ExitCode::SUCCESS;
    }
    // Lines are broken for a terminal only: where a program reads them, a message stays in one
    // piece however long the names in it are.
    let wrap = io::stderr().is_terminal();
    // A hook can be set once in a process, and a process ends once; a report takes it when it is made.
    let _ = miette::set_hook(Box::new(move |_| Box::new(miette::MietteHandlerOpts::new().wrap_lines(wrap).build())));
    let (code, report) = match ending {
        // The report has been printed.
        Ending::Misfit => return ExitCode::from(1),
        Ending::Input(problems) => (2, miette::Report::new(problems)),
        Ending::Output(error) => (1, miette::Report::new(Problem::new(error.to_string()).help(error.help()))),
        Ending::Check(what) => {
            let help = "nothing was written; please report this with the set file or plan";
            (1, miette::Report::new(Problem::new(what).help(help)))
        }
        Ending::Print(error) => (1, miette::Report::new(Problem::new(Ending::Print(error).to_string()))),
    };
    // Where standard error is gone too, the exit code is all that can be told.
    let _ = writeln!(io::stderr(), "{report:?}");
    ExitCode::from(code)
}

fn sheets(args: &SheetsArgs) -> Result<(), Ending> {
    let ease = machine::ease(&args.machine)?;
    let (set, _, composed) = lay_out(args)?;
    let output = pipeline::render(&set, &composed, args.contact, ease)?;
    output::write(&args.output, &output)?;
    if !args.quiet {
        let sheets = composed.prints();
        let pieces: u64 = set.pieces.iter().map(|piece| u64::from(piece.count)).sum();
        let pages = composed.document.pages.len();
        let mut out = io::stdout();
        for line in set.plan.iter().flat_map(report::proof) {
            writeln!(out, "{line}")?;
        }
        for line in layout_report::lines(&composed.tallies) {
            writeln!(out, "{line}")?;
        }
        if let Some(line) = lent(&set) {
            writeln!(out, "{line}")?;
        }
        if let Some(line) = corrected(&set) {
            writeln!(out, "{line}: sheets.pdf only, not the SVG sheets and files for a cutter")?;
        }
        let kits = set.class.as_ref().map(|_| format!("{} kits of ", set.kits().count())).unwrap_or_default();
        let line =
            format!("{kits}{pieces} pieces on {pages} pages ({sheets} sheets to print) in {}", args.output.display());
        writeln!(out, "{line}")?;
    }
    Ok(())
}

fn plan(args: &SheetsArgs) -> Result<(), Ending> {
    let (set, proof, composed) = lay_out(args)?;
    let output = pipeline::render_plan(&shown(&args.file), &set, &proof, &composed, args.contact)?;
    output::write(&args.output, &output)?;
    if let Some(planned) = set.plan.as_ref().filter(|_| !args.quiet) {
        let mut text = table::parts(&set);
        let mut section = |title: &str, lines: Vec<String>| {
            text.push_str(&format!("\n{title}\n"));
            lines.iter().for_each(|line| text.push_str(&format!("  {line}\n")));
        };
        section("Tiles", report::proof(planned));
        let fittings = report::fittings(planned);
        if !fittings.is_empty() {
            section("Fittings", fittings);
        }
        section("Lifting (strengths are estimates)", report::strength(planned, &set.parameters));
        section("Sheets", layout_report::lines(&composed.tallies));
        section("Shopping", report::shopping(&shopping::list(&set, &composed)));
        text.extend(lent(&set).map(|line| format!("\n{line}\n")));
        text.extend(corrected(&set).map(|line| format!("\n{line}: in sheets.pdf, not in these files\n")));
        let names: Vec<&str> = output.files.iter().map(|(name, _)| name.as_str()).collect();
        text.push_str(&format!("\n{} in {}\n", names.join(", "), args.output.display()));
        io::stdout().write_all(text.as_bytes())?;
    }
    Ok(())
}

/// What is taken from a materials profile, and what the set gives itself.
fn lent(set: &Set) -> Option<String> {
    let lent = set.materials.as_ref()?;
    let taken = if lent.taken.is_empty() { "nothing".to_owned() } else { lent.taken.join(", ") };
    let own =
        if lent.left.is_empty() { String::new() } else { format!("; the set gives its own {}", lent.left.join(", ")) };
    Some(format!("from the materials profile \"{}\": {taken}{own}", lent.name))
}

/// What the pages are corrected for.
fn corrected(set: &Set) -> Option<String> {
    let printer = set.printer.as_ref()?;
    Some(format!("corrected for the printer \"{}\" ({})", printer.name, printer.words()))
}

/// Writes a calibration coupon and a blank form for its readings.
fn coupon(args: &CouponArgs) -> Result<(), Ending> {
    let file = args.file.as_deref();
    let set = calibration::coupon::set(file, &args.overrides)?;
    let name = file.map_or_else(|| "the default set".to_owned(), shown);
    let output = calibration::coupon::render(&name, &set, file.is_some())?;
    calibration::coupon::spare_readings(&args.output)?;
    output::write(&args.output, &output)?;
    if !args.quiet {
        let folder = args.output.display();
        let mut out = io::stdout();
        writeln!(out, "coupon.pdf and readings.json in {folder}")?;
        writeln!(
            out,
            "print coupon.pdf, measure, fill readings.json in, then: flatwright profile {folder}/readings.json -o DIR"
        )?;
    }
    Ok(())
}

/// Writes the profiles that readings come to, and tells how good they are.
fn profile(args: &ProfileArgs) -> Result<(), Ending> {
    let input = open::Input::load(&args.file)?;
    let (file, _) = readings::read(&input.name, input.bytes)?;
    let made = fit::fit(&input.name, file, &args.read, args.name.as_deref())?;
    for warning in &made.warnings {
        writeln!(io::stderr(), "{}", warning.as_warning())?;
    }
    let named = [("printer.json", &made.printer), ("materials.json", &made.materials)];
    let files: Vec<(String, Vec<u8>)> = named
        .into_iter()
        .filter_map(|(name, profile)| Some((name.to_owned(), crate::json::compact(profile.as_ref()?).into_bytes())))
        .collect();
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    let told = format!("{} in {}", names.join(", "), args.output.display());
    output::write(&args.output, &output::Output { pages: Vec::new(), files, former: Vec::new() })?;
    if !args.quiet {
        let mut out = io::stdout();
        made.report.iter().try_for_each(|line| writeln!(out, "{line}"))?;
        writeln!(out, "{told}")?;
    }
    Ok(())
}

/// Prints the proof; a check that fails ends with code 1.
fn proof(args: &ProofArgs) -> Result<(), Ending> {
    let set = pipeline::load(&args.file, None, &args.overrides)?;
    let proof = pipeline::prove(&set);
    let text = if args.json {
        let reports: Vec<_> = proof.reports.iter().map(|(name, report)| Named { name, report }).collect();
        let all = serde_json::json!({ "format": 1, "set": set.name, "holds": proof.holds(), "reports": reports });
        crate::json::compact(&all)
    } else {
        told(&proof)
    };
    io::stdout().write_all(text.as_bytes())?;
    if proof.holds() { Ok(()) } else { Err(Ending::Misfit) }
}

/// One report with the name of what it is about.
#[derive(serde::Serialize)]
struct Named<'a> {
    name: &'a str,
    #[serde(flatten)]
    report: &'a flatwright_folding::report::Report,
}

fn told(proof: &Proof) -> String {
    proof.reports.iter().map(|(name, report)| format!("{name}\n\n{report}\n")).collect()
}

/// Draws the build of a plan.
fn view(args: &ViewArgs) -> Result<(), Ending> {
    let set = pipeline::load(&args.file, None, &args.overrides)?;
    let arrangement = if args.exploded { Arrangement::Exploded } else { Arrangement::Assembled };
    let name = shown(&args.file);
    let ending = args.output.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    let proof = pipeline::prove(&set);
    let bytes = pipeline::picture(&name, &set, &proof, args.level.0, args.width, arrangement, &ending)?;
    let folder = args.output.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = args.output.file_name().map(|file| file.to_string_lossy().into_owned()).unwrap_or_default();
    Ok(output::write_plain(folder, &[(file, bytes)])?)
}

/// Reads and lays out, with a bar that tells how far it is.
fn lay_out(args: &SheetsArgs) -> Result<(Set, Proof, Composed), Ending> {
    let mut set = pipeline::load(&args.file, args.stock.as_deref(), &args.overrides)?;
    class::choose(&mut set, &args.class)?;
    for warning in &set.warnings {
        writeln!(io::stderr(), "{}", warning.as_warning())?;
    }
    for note in &set.notes {
        writeln!(io::stderr(), "note: {note}")?;
    }
    // Nothing is printed that has not been folded and put together.
    let proof = pipeline::prove(&set);
    if !proof.joints_hold() {
        let failed = proof.failures();
        writeln!(io::stderr(), "{failed}nothing was written; 'flatwright proof' shows every check")?;
        return Err(Ending::Misfit);
    }
    let bar = bar(args.quiet);
    let effort = Effort { seed: args.seed, steps: args.effort };
    let composed = pipeline::lay_out(&shown(&args.file), &set, &proof, effort, &mut |progress| {
        bar.set_message(layout_report::now(&progress));
        bar.set_position((progress.done * 100.0).round() as u64);
    })?;
    bar.finish_and_clear();
    Ok((set, proof, composed))
}

/// What diagnostics call a file of the command line.
fn shown(file: &Path) -> String {
    if file == Path::new("-") { open::PIPED.to_owned() } else { file.display().to_string() }
}

/// A bar on standard error, where that is a terminal.
fn bar(quiet: bool) -> ProgressBar {
    if quiet || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(100);
    if let Ok(style) = ProgressStyle::with_template("{msg:48} {bar:24} {percent:>3} %") {
        bar.set_style(style);
    }
    bar
}

fn parts_list(args: &PartsArgs) -> Result<(), Ending> {
    let set = pipeline::load(&args.file, args.stock.as_deref(), &args.overrides)?;
    if args.json {
        let json = PartsList::new(&set, None).to_json().map_err(|error| Ending::Check(error.to_string()))?;
        return Ok(io::stdout().write_all(json.as_bytes())?);
    }
    Ok(io::stdout().write_all(table::parts(&set).as_bytes())?)
}

fn schema(of: SchemaOf) -> Result<(), Ending> {
    let schema = match of {
        SchemaOf::Set => set_file::schema(),
        SchemaOf::Parts => parts::schema(),
        SchemaOf::Stock => stock_file::schema(),
        SchemaOf::Surface => surface_file::schema(),
        SchemaOf::Design => design_file::schema(),
        SchemaOf::Prop => prop_file::schema(),
        SchemaOf::Readings => readings::schema(),
        SchemaOf::Printer => profiles::printer_schema(),
        SchemaOf::Materials => profiles::materials_schema(),
    };
    let text = serde_json::to_string_pretty(&schema).map_err(|error| Ending::Check(error.to_string()))?;
    Ok(writeln!(io::stdout(), "{text}")?)
}

fn completions(shell: clap_complete::Shell) -> Result<(), Ending> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "flatwright", &mut script);
    Ok(io::stdout().write_all(&script)?)
}

fn man(folder: Option<&Path>) -> Result<(), Ending> {
    let command = Cli::command();
    let Some(folder) = folder else {
        return Ok(clap_mangen::Man::new(command).render(&mut io::stdout())?);
    };
    let mut pages = Vec::new();
    for page in std::iter::once(command.clone()).chain(command.get_subcommands().map(|inner| named(&command, inner))) {
        let name = format!("{}.1", page.get_name());
        let mut text = Vec::new();
        clap_mangen::Man::new(page).render(&mut text)?;
        pages.push((name, text));
    }
    Ok(output::write_plain(folder, &pages)?)
}

/// A subcommand under its full name, `flatwright-sheets`.
fn named(command: &clap::Command, inner: &clap::Command) -> clap::Command {
    let (parent, name) = (command.get_name(), inner.get_name());
    inner.clone().name(format!("{parent}-{name}")).bin_name(format!("{parent} {name}"))
}
