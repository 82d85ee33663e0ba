//! Files as they lie on the disk, and how they name each other: a set file may name a plan, and a
//! plan a set file.

use std::io::{self, Read as _};
use std::path::{Component, Path, PathBuf};

use flatwright_planning::text::PlanText;

use crate::plan_file;
use crate::problem::{At, Problem, Problems, Source};
use crate::set_file::{self, SetFile};
use crate::stock_file::{self, StockFile};

/// What diagnostics call standard input.
pub const PIPED: &str = "standard input";

/// The bytes of one file, not yet looked into.
#[derive(Clone, Debug)]
pub struct Input {
    /// What diagnostics call it.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
    /// The folder that the files it names lie in.
    pub folder: PathBuf,
}

/// Everything that was read for one job.
#[derive(Clone, Debug)]
pub struct Opened {
    /// What diagnostics call the file that was asked for.
    pub name: String,
    /// The set file.
    pub set: Option<SetFile>,
    /// The floor plan, and its text.
    pub plan: Option<(PlanText, Source)>,
    /// Whether the plan was asked for, and the set file lends its materials only.
    pub plan_leads: bool,
    /// What has been built already.
    pub stock: Option<StockFile>,
}

impl Input {
    /// Reads a file; `-` is standard input, whose folder is the current one.
    ///
    /// # Errors
    /// One problem: the file is not there, or cannot be read. Of a file that is too large, as much
    /// is read as tells that it is.
    pub fn load(file: &Path) -> Result<Self, Problems> {
        let piped = file == Path::new("-");
        let name = if piped { PIPED.to_owned() } else { file.display().to_string() };
        let folder = match file.parent() {
            Some(parent) if !parent.as_os_str().is_empty() && !piped => parent.to_owned(),
            _ => PathBuf::from("."),
        };
        match bytes(file, piped) {
            Ok(bytes) => Ok(Self { name, bytes, folder }),
            Err(error) => {
                let help = match error.kind() {
                    io::ErrorKind::NotFound => "check the name; a set file ends in .json, a floor plan in .plan",
                    io::ErrorKind::IsADirectory => "name the file in that folder",
                    _ => "check that the file may be read",
                };
                let problem = Problem::new(format!("could not read {name}: {}", reason(&error))).help(help);
                Err(Problems::new(name, vec![problem]))
            }
        }
    }

    /// A plan, where its name or else its first character does not tell a set file.
    fn is_plan(&self) -> bool {
        let extension = Path::new(&self.name).extension().and_then(std::ffi::OsStr::to_str);
        match extension.map(str::to_ascii_lowercase).as_deref() {
            Some("json") => false,
            Some("plan") => true,
            _ => {
                let text = self.bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&self.bytes);
                text.iter().find(|byte| !byte.is_ascii_whitespace()).is_some_and(|first| *first != b'{')
            }
        }
    }
}

/// Reads a file, the one that it names, and the stock.
///
/// # Errors
/// Everything that is wrong with their texts.
pub fn open(input: Input, stock: Option<Input>) -> Result<Opened, Problems> {
    let (name, folder, plan_leads) = (input.name.clone(), input.folder.clone(), input.is_plan());
    let mut problems = Vec::new();
    let stock_name = stock.as_ref().map(|stock| stock.name.clone());
    let stock = stock.and_then(|stock| kept(stock_file::read(&stock.name, stock.bytes), &mut problems));
    let mut opened = Opened { name, set: None, plan: None, plan_leads, stock: stock.map(|(stock, _)| stock) };
    if plan_leads {
        opened.plan = kept(plan_file::read(&input.name, input.bytes), &mut problems);
        if let Some((text, source)) = &opened.plan
            && let Some((written, (line, column))) = &text.set
        {
            let at = At::line(source, *line, *column, written.chars().count());
            let read = named(&folder, written, "set file", &at);
            let read = read.and_then(|input| set_file::read(&input.name, input.bytes));
            opened.set = kept(read, &mut problems).map(|(set, _)| set);
        }
    } else {
        opened.set = kept(set_file::read(&input.name, input.bytes), &mut problems).map(|(set, _)| set);
        if let Some(plan) = opened.set.as_ref().and_then(|set| set.plan.as_ref()) {
            let read = named(&folder, &plan.value.0, "floor plan", &plan.at);
            opened.plan = kept(read.and_then(|input| plan_file::read(&input.name, input.bytes)), &mut problems);
        } else if let Some(stock) = stock_name
            && opened.set.is_some()
        {
            let message = format!("{stock} says what is there of a floor plan, and {} names none", opened.name);
            let help = "leave out --stock, or give a floor plan or a set file with a \"plan\"";
            problems.push(Problem::new(message).help(help));
        }
    }
    if problems.is_empty() { Ok(opened) } else { Err(Problems::new(opened.name, problems)) }
}

/// The value, or its problems noted.
fn kept<T>(read: Result<T, Problems>, problems: &mut Vec<Problem>) -> Option<T> {
    read.map_err(|found| problems.extend(found.into_list())).ok()
}

/// Loads the file that another one names at `at`. It lies in the folder of that one or below it:
/// a file from elsewhere cannot make this program read what it pleases.
fn named(folder: &Path, written: &str, what: &str, at: &At) -> Result<Input, Problems> {
    let refuse = |message: String, help: &str| {
        let problem = Problem::new(message).at(at, "named here").help(help);
        Err(Problems::new(at.source.name.as_str(), vec![problem]))
    };
    let path = Path::new(written);
    let plain = path.components().all(|part| matches!(part, Component::Normal(_))) && !written.contains(['\\', ':']);
    if !plain || written.is_empty() {
        let message = format!("\"{written}\" is not a plain name of a {what} in the folder of the file that names it");
        return refuse(message, "write a name such as \"halls/pump-room.plan\": no drive, no leading /, no \"..\"");
    }
    let file = folder.join(path);
    let inside = || Ok::<bool, io::Error>(file.canonicalize()?.starts_with(folder.canonicalize()?));
    let shown = if folder == Path::new(".") { path } else { &file };
    match inside().and_then(|inside| if inside { bytes(&file, false).map(Some) } else { Ok(None) }) {
        Ok(Some(bytes)) => {
            let folder = file.parent().map_or_else(|| folder.to_owned(), Path::to_owned);
            Ok(Input { name: shown.display().to_string(), bytes, folder })
        }
        Ok(None) => refuse(
            format!("\"{written}\" leads out of the folder of the file that names it"),
            &format!("put the {what} itself there instead of a link"),
        ),
        Err(error) => refuse(
            format!("could not read the {what} \"{written}\": {}", reason(&error)),
            "check the name; it counts from the folder of the file that names it",
        ),
    }
}

fn bytes(file: &Path, piped: bool) -> io::Result<Vec<u8>> {
    // One byte more than is taken, so that a file that is too large is known without reading it all.
    let limit = set_file::LARGEST as u64 + 1;
    let mut bytes = Vec::new();
    if piped {
        io::stdin().lock().take(limit).read_to_end(&mut bytes)?;
    } else {
        std::fs::File::open(file)?.take(limit).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

/// What went wrong, without the system's error number.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "reading it is not allowed".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => error.to_string(),
    }
}
