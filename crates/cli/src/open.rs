//! Files as they lie on the disk, and how they name each other: a set file may name a plan, pictures
//! and a folder of templates, and a plan a set file.

use std::io::{self, Read as _};
use std::path::{Component, Path, PathBuf};

use flatwright_artwork::Colour;
use flatwright_planning::text::PlanText;

use crate::args::ProfileFiles;
use crate::calibration::{Materials, Printer, profiles};
use crate::pictures::{self, Fit, Picture};
use crate::plan_file;
use crate::problem::{At, Problem, Problems, Source, Spanned};
use crate::set_file::{self, Line, PictureEntry, Rgb, SetFile};
use crate::stock_file::{self, StockFile};
use crate::templates::{Library, Sources};

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
    /// Surfaces that can be named.
    pub library: Library,
    /// The set's own pictures.
    pub pictures: Vec<Picture>,
    /// The printer that pages are corrected for, and where the set file names it.
    pub printer: Option<(Printer, Option<At>)>,
    /// What is known of the stocks.
    pub materials: Option<Materials>,
}

impl Opened {
    /// The same with the profiles that the command line names, in the place of the set file's.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn with_profiles(mut self, files: &ProfileFiles) -> Result<Self, Problems> {
        let mut problems = Vec::new();
        if let Some(file) = &files.printer {
            let read = Input::load(file).and_then(|input| profiles::printer(&input.name, input.bytes));
            self.printer = kept(read, &mut problems).map(|(printer, _)| (printer, None));
        }
        if let Some(file) = &files.materials {
            let read = Input::load(file).and_then(|input| profiles::materials(&input.name, input.bytes));
            self.materials = kept(read, &mut problems).map(|(materials, _)| materials);
        }
        if problems.is_empty() { Ok(self) } else { Err(Problems::new(self.name, problems)) }
    }
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
        match bytes(file, piped, set_file::LARGEST) {
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
    let stock = stock.map(|(stock, _)| stock);
    let (library, pictures) = (Library::default(), Vec::new());
    let (printer, materials) = (None, None);
    let mut opened = Opened { name, set: None, plan: None, plan_leads, stock, library, pictures, printer, materials };
    let mut set_folder = folder.clone();
    if plan_leads {
        opened.plan = kept(plan_file::read(&input.name, input.bytes), &mut problems);
        if let Some((text, source)) = &opened.plan
            && let Some((written, (line, column))) = &text.set
        {
            let at = At::line(source, *line, *column, written.chars().count());
            let read = named(&folder, written, "set file", &at, set_file::LARGEST).and_then(|input| {
                set_folder = input.folder;
                set_file::read(&input.name, input.bytes)
            });
            opened.set = kept(read, &mut problems).map(|(set, _)| set);
        }
    } else {
        opened.set = kept(set_file::read(&input.name, input.bytes), &mut problems).map(|(set, _)| set);
        if let Some(plan) = opened.set.as_ref().and_then(|set| set.plan.as_ref()) {
            let read = named(&folder, &plan.value.0, "floor plan", &plan.at, set_file::LARGEST);
            opened.plan = kept(read.and_then(|input| plan_file::read(&input.name, input.bytes)), &mut problems);
        } else if let Some(stock) = stock_name
            && opened.set.is_some()
        {
            let message = format!("{stock} says what is there of a floor plan, and {} names none", opened.name);
            let help = "leave out --stock, or give a floor plan or a set file with a \"plan\"";
            problems.push(Problem::new(message).help(help));
        }
    }
    let set = opened.set.as_ref();
    let templates = set.and_then(|set| set.templates.as_ref());
    let own = templates.map_or_else(|| Ok(Sources::default()), |templates| sources(&set_folder, templates));
    match own.and_then(Library::new) {
        Ok(library) => opened.library = library,
        Err(found) => problems.extend(found),
    }
    if let Some(entries) = set.and_then(|set| set.pictures.as_ref()) {
        opened.pictures = own_pictures(&set_folder, entries, &mut problems);
    }
    if let Some(Spanned { value: Line(file), at }) = set.and_then(|set| set.printer.as_ref()) {
        let read = named(&set_folder, file, "printer profile", at, set_file::LARGEST);
        let read = read.and_then(|input| profiles::printer(&input.name, input.bytes));
        opened.printer = kept(read, &mut problems).map(|(printer, _)| (printer, Some(at.clone())));
    }
    if let Some(Spanned { value: Line(file), at }) = set.and_then(|set| set.materials.as_ref()) {
        let read = named(&set_folder, file, "materials profile", at, set_file::LARGEST);
        let read = read.and_then(|input| profiles::materials(&input.name, input.bytes));
        opened.materials = kept(read, &mut problems).map(|(materials, _)| materials);
    }
    if problems.is_empty() { Ok(opened) } else { Err(Problems::new(opened.name, problems)) }
}

/// The pictures of a set that can be read.
fn own_pictures(folder: &Path, entries: &set_file::Pictures, problems: &mut Vec<Problem>) -> Vec<Picture> {
    let mut read = Vec::new();
    let mut in_all = 0;
    for (name, entry) in &entries.0 {
        let Spanned { value: Line(file), at } = entry.file();
        let fit = match entry {
            PictureEntry::Repeat(entry) if entry.size.value.0 < pictures::LEAST_WIDTH => {
                let message = format!("a copy of \"{name}\" is {} wide", entry.size.value.0);
                let help = format!("give a \"size\" of at least {}", pictures::LEAST_WIDTH);
                problems.push(Problem::new(message).at(&entry.size.at, "here").help(help));
                continue;
            }
            PictureEntry::Repeat(entry) => Fit::Repeat(entry.size.value.0),
            PictureEntry::Cover(_) => Fit::Cover,
            PictureEntry::Whole(entry) => Fit::Whole(entry.ground.map(|Rgb(r, g, b)| Colour(r, g, b))),
        };
        let bytes = kept(named(folder, file, "picture", at, pictures::LARGEST), problems);
        let Some(Input { bytes, .. }) = bytes else { continue };
        match Picture::read(name, file, &bytes, fit, at) {
            Ok(picture) => {
                let (width, height) = picture.pixels().unwrap_or_default();
                in_all += u64::from(width) * u64::from(height);
                read.push(picture);
            }
            Err(problem) => problems.push(problem),
        }
        if in_all > pictures::MOST_IN_ALL {
            let most = pictures::MOST_IN_ALL / 1_000_000;
            let message = format!("with \"{name}\" the pictures of the set have more than {most} million pixels");
            let help = "save some smaller: 300 dots per inch at the printed size are enough";
            problems.push(Problem::new(message).at(at, "this file").help(help));
            break;
        }
    }
    read
}

/// The data files of a folder of templates: those that end in `.json`, by name.
fn sources(folder: &Path, named: &Spanned<Line>) -> Result<Sources, Vec<Problem>> {
    let Spanned { value: Line(written), at } = named;
    let path = inside(folder, written, "folder", at)?;
    let failed = |error: &io::Error| {
        let message = format!("could not read the folder \"{written}\": {}", reason(error));
        let help = "check the name; it counts from the folder of the file that names it";
        vec![Problem::new(message).at(at, "named here").help(help)]
    };
    let read = |kind: &str| -> Result<Vec<(String, Vec<u8>)>, Vec<Problem>> {
        let list = match std::fs::read_dir(path.join(kind)) {
            Ok(list) => list,
            // Either kind may be missing.
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(failed(&error)),
        };
        let mut names = Vec::new();
        for entry in list {
            let name = entry.map_err(|error| failed(&error))?.file_name().to_string_lossy().into_owned();
            if name.to_ascii_lowercase().ends_with(".json") {
                names.push(name);
            }
        }
        // The order in which a disk lists its files is chance.
        names.sort();
        if names.len() > MOST_TEMPLATES {
            let message = format!("\"{written}/{kind}\" holds {} files", names.len());
            let help = format!("keep at most {MOST_TEMPLATES}");
            return Err(vec![Problem::new(message).at(at, "named here").help(help)]);
        }
        let mut files = Vec::new();
        let mut all = 0;
        for name in names {
            let written = format!("{written}/{kind}/{name}");
            let input = self::named(folder, &written, "template", at, set_file::LARGEST);
            let input = input.map_err(Problems::into_list)?;
            all += input.bytes.len();
            if all > LARGEST_TEMPLATES {
                let message =
                    format!("the files of \"{written}\" and those before it have more than {LARGEST_TEMPLATES} bytes");
                return Err(vec![Problem::new(message).at(at, "named here").help("keep fewer or smaller ones")]);
            }
            files.push((input.name, input.bytes));
        }
        Ok(files)
    };
    if !path.is_dir() {
        let message = format!("\"{written}\" is no folder");
        let help = "name a folder that holds a folder `surfaces`, `walls` or `props`";
        return Err(vec![Problem::new(message).at(at, "named here").help(help)]);
    }
    Ok(Sources { surfaces: read("surfaces")?, walls: read("walls")?, props: read("props")? })
}

/// Most files of each kind in a folder of templates.
const MOST_TEMPLATES: usize = 200;
/// Most bytes of all files of a kind together.
const LARGEST_TEMPLATES: usize = 1024 * 1024;

/// The value, or its problems noted.
fn kept<T>(read: Result<T, Problems>, problems: &mut Vec<Problem>) -> Option<T> {
    read.map_err(|found| problems.extend(found.into_list())).ok()
}

/// Loads the file that another one names at `at`, of it at most one byte more than `largest`.
fn named(folder: &Path, written: &str, what: &str, at: &At, largest: usize) -> Result<Input, Problems> {
    let file = inside(folder, written, what, at).map_err(|found| Problems::new(at.source.name.as_str(), found))?;
    let shown = if folder == Path::new(".") { Path::new(written) } else { &file };
    // A pipe or a device could keep this program waiting for ever.
    if std::fs::metadata(&file).is_ok_and(|found| !found.is_file() && !found.is_dir()) {
        let problem = Problem::new(format!("\"{written}\" is a pipe or a device, not a file")).at(at, "named here");
        let help = format!("put the {what} itself there");
        return Err(Problems::new(at.source.name.as_str(), vec![problem.help(help)]));
    }
    match bytes(&file, false, largest) {
        Ok(bytes) => {
            let folder = file.parent().map_or_else(|| folder.to_owned(), Path::to_owned);
            Ok(Input { name: shown.display().to_string(), bytes, folder })
        }
        Err(error) => Err(Problems::new(at.source.name.as_str(), vec![missing(written, what, at, &error)])),
    }
}

/// The place of what another file names at `at`. It lies in the folder of that one or below it: a
/// file from elsewhere cannot make this program read what it pleases.
fn inside(folder: &Path, written: &str, what: &str, at: &At) -> Result<PathBuf, Vec<Problem>> {
    let refuse = |message: String, help: &str| Err(vec![Problem::new(message).at(at, "named here").help(help)]);
    let path = Path::new(written);
    let plain = path.components().all(|part| matches!(part, Component::Normal(_))) && !written.contains(['\\', ':']);
    if !plain || written.is_empty() {
        let message = format!("\"{written}\" is not a plain name of a {what} in the folder of the file that names it");
        return refuse(message, "write a name such as \"halls/pump-room.plan\": no drive, no leading /, no \"..\"");
    }
    let file = folder.join(path);
    let inside = || Ok::<bool, io::Error>(file.canonicalize()?.starts_with(folder.canonicalize()?));
    match inside() {
        Ok(true) => Ok(file),
        Ok(false) => refuse(
            format!("\"{written}\" leads out of the folder of the file that names it"),
            &format!("put the {what} itself there instead of a link"),
        ),
        Err(error) => Err(vec![missing(written, what, at, &error)]),
    }
}

fn missing(written: &str, what: &str, at: &At, error: &io::Error) -> Problem {
    let help = "check the name; it counts from the folder of the file that names it";
    Problem::new(format!("could not read the {what} \"{written}\": {}", reason(error))).at(at, "named here").help(help)
}

fn bytes(file: &Path, piped: bool, largest: usize) -> io::Result<Vec<u8>> {
    // One byte more than is taken, so that a file that is too large is known without reading it all.
    let limit = largest as u64 + 1;
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
