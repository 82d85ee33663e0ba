//! Files, written beside their place and renamed into it.
//!
//! # What is whole when
//! Everything is first written into a fresh hidden folder on the same file system and flushed to
//! the disk. Until that has succeeded, nothing of an earlier output is touched.
//! - Where the output folder does not exist, the hidden folder beside it is renamed to it: one
//!   step, all or nothing.
//! - Where it exists, the hidden folder beside it also gets a second name (a hard link) of every
//!   file in the output folder that is not written now, and the two folders are exchanged in one
//!   step (`output::whole`): whoever looks sees all of the old output or all of the new one. A program
//!   that works in the output folder or has it open stays in the old one, which is removed.
//! - That takes Linux or an Apple system, a file system that can exchange folders and has hard
//!   links, a parent folder that may be written to, and an output folder of the same owner and
//!   group that is not the current folder or above it, and holds no folder but its `sheets` with
//!   nothing but pages. Otherwise the hidden folder is inside the output folder, and the new
//!   `sheets` folder and the other files take the places of the old ones by one rename each, in
//!   that order. Each of them is either old and whole or new and whole, but between the renames
//!   (well under a millisecond) there may be a new one beside an old one. `parts.json` is last, so
//!   a program that waits for it to change then finds the others new. Files that only an earlier
//!   run had are removed after it. Two `sheets` folders are exchanged in one step where that can be
//!   done; elsewhere the old one is renamed away first, and for that moment there is none.
//! - A `sheets` folder that also holds files of others is never exchanged: its pages are replaced
//!   one by one, and pages of an earlier, longer run are then removed. Each page is whole.
//!
//! A program that is killed leaves its hidden folder (`.flatwright-` and six letters or digits)
//! behind. The next run that writes there removes it, where the system can tell that nobody is at
//! work in it and nothing in it is of others.

mod staging;
mod whole;

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use staging::Staging;

/// Everything that one run writes.
#[derive(Clone, Debug, Default)]
pub struct Output {
    /// `sheets/001.svg` and so on. Where there are none, the `sheets` folder is left alone.
    pub pages: Vec<String>,
    /// The other files, by name, in the order in which they take their places.
    pub files: Vec<(String, Vec<u8>)>,
    /// Names of files that an earlier run may have left: those that are not written now are removed.
    pub former: Vec<String>,
}

/// Why the output could not be written. Nothing half-written is left under its final name.
#[derive(Debug, thiserror::Error)]
#[error("could not {what} {}: {}", path.display(), reason(source))]
pub struct OutputError {
    what: &'static str,
    path: PathBuf,
    source: io::Error,
}

impl OutputError {
    fn new(what: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        move |source| Self { what, path: path.to_owned(), source }
    }

    /// How to mend it, in one sentence.
    #[must_use]
    pub fn help(&self) -> &'static str {
        match self.source.kind() {
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                "choose a folder that you may write to with -o, or change its permissions"
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                "make room on the disk, or choose a folder on another one with -o; what was there before is unchanged"
            }
            io::ErrorKind::NotADirectory | io::ErrorKind::AlreadyExists | io::ErrorKind::IsADirectory => {
                "choose another folder with -o, or move what is in the way"
            }
            _ => "choose another folder with -o",
        }
    }
}

fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "writing there is not allowed".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the file system is read-only".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::QuotaExceeded => "the disk quota is used up".to_owned(),
        io::ErrorKind::FileTooLarge => "the file is larger than is allowed here".to_owned(),
        io::ErrorKind::NotADirectory => "it is not a folder".to_owned(),
        io::ErrorKind::IsADirectory => "a folder is in its place".to_owned(),
        _ => error.to_string(),
    }
}

/// Name of the page file with this number, from 1.
#[must_use]
pub fn page_name(number: usize) -> String {
    format!("{number:03}.svg")
}

/// Writes `output` into `folder`, which is made where it does not exist.
///
/// # Errors
/// [`OutputError`] where something could not be written; see the module for what is whole then.
pub fn write(folder: &Path, output: &Output) -> Result<(), OutputError> {
    for place in [folder, parent(folder)] {
        staging::clean(place, &is_ours);
    }
    match fs::metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => write_new(folder, output),
        Err(error) => Err(OutputError::new("write into", folder)(error)),
        Ok(found) if !found.is_dir() => {
            Err(OutputError::new("write into", folder)(io::ErrorKind::NotADirectory.into()))
        }
        Ok(_) => write_over(folder, output),
    }
}

/// Writes files of the given names into `folder`, each by a rename of its own.
///
/// # Errors
/// [`OutputError`] where something could not be written.
pub fn write_plain(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), OutputError> {
    fs::create_dir_all(folder).map_err(OutputError::new("make", folder))?;
    staging::clean(folder, &|name| is_ours(name) || files.iter().any(|(written, _)| written == name));
    let staging = staging(folder)?;
    let mut staged = Vec::new();
    for (name, bytes) in files {
        staged.push(write_file(&staging.path().join(name), bytes)?);
    }
    flush_files(&mut staged)?;
    for (name, _) in files {
        let to = folder.join(name);
        fs::rename(staging.path().join(name), &to).map_err(OutputError::new("replace", &to))?;
    }
    Ok(())
}

/// The folder does not exist: made beside its place and renamed as a whole.
fn write_new(folder: &Path, output: &Output) -> Result<(), OutputError> {
    let parent = parent(folder);
    fs::create_dir_all(parent).map_err(OutputError::new("make", parent))?;
    let staging = staging(parent)?;
    // A temporary folder is private to its owner; the output gets what a plain new folder has.
    let model = staging.path().join("sheets");
    fs::create_dir(&model).map_err(OutputError::new("make", &model))?;
    let permissions = fs::metadata(&model).map_err(OutputError::new("read", &model))?.permissions();
    fs::remove_dir(&model).map_err(OutputError::new("remove", &model))?;
    stage(staging.path(), output)?;
    fs::set_permissions(staging.path(), permissions).map_err(OutputError::new("write", staging.path()))?;
    fs::rename(staging.path(), folder).map_err(OutputError::new("write", folder))?;
    // It is no longer temporary: nothing is left to remove.
    staging.keep();
    flush(parent);
    Ok(())
}

/// The folder exists: what is written takes its place, other files are left alone.
fn write_over(folder: &Path, output: &Output) -> Result<(), OutputError> {
    refuse_obstacles(folder, output)?;
    if whole::replace(folder, output)? {
        return Ok(());
    }
    let staging = staging(folder)?;
    stage(staging.path(), output)?;
    if !output.pages.is_empty() {
        replace_pages(staging.path(), folder, output.pages.len())?;
    }
    for (name, _) in &output.files {
        let to = folder.join(name);
        fs::rename(staging.path().join(name), &to).map_err(OutputError::new("replace", &to))?;
    }
    let written = |name: &String| output.files.iter().any(|(written, _)| written == name);
    for stale in output.former.iter().filter(|name| !written(name)).map(|name| folder.join(name)) {
        if stale.is_file() {
            fs::remove_file(&stale).map_err(OutputError::new("remove", &stale))?;
        }
    }
    flush(folder);
    Ok(())
}

/// What would stop the renames half way is found before the first one.
fn refuse_obstacles(folder: &Path, output: &Output) -> Result<(), OutputError> {
    for (name, _) in &output.files {
        let path = folder.join(name);
        if path.is_dir() {
            return Err(OutputError::new("replace", &path)(io::ErrorKind::IsADirectory.into()));
        }
    }
    let pages = folder.join("sheets");
    if !output.pages.is_empty() && pages.exists() && !pages.is_dir() {
        return Err(OutputError::new("replace", &pages)(io::ErrorKind::NotADirectory.into()));
    }
    Ok(())
}

/// The folder that a folder lies in.
fn parent(folder: &Path) -> &Path {
    match folder.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Whether a file's name is one that some job of this program gives.
fn is_ours(name: &str) -> bool {
    let numbered = ["plan", "build", "cutter", "coupon"].into_iter().any(|kind| {
        let number = name.strip_prefix(kind).and_then(|rest| rest.rsplit_once('.')).map(|(number, _)| number);
        number.is_some_and(|number| {
            number.is_empty() || number.strip_prefix('-').is_some_and(|digits| digits.parse::<u32>().is_ok())
        })
    });
    let ends = [".svg", ".png", ".glb"].into_iter().any(|end| name.ends_with(end));
    let plain = ["sheets.pdf", "pages.png", "guide.pdf", "guide.png", "parts.json", "class.pdf", "coupon.pdf"];
    let calibration = ["readings.json", "printer.json", "materials.json"];
    (numbered && ends) || plain.contains(&name) || calibration.contains(&name)
}

fn staging(parent: &Path) -> Result<Staging, OutputError> {
    Staging::new(parent).map_err(OutputError::new("write into", parent))
}

/// Writes all files into the hidden folder and flushes them.
fn stage(staging: &Path, output: &Output) -> Result<(), OutputError> {
    let pages = staging.join("sheets");
    if !output.pages.is_empty() {
        fs::create_dir(&pages).map_err(OutputError::new("make", &pages))?;
    }
    let mut files = Vec::new();
    for (name, bytes) in &output.files {
        files.push(write_file(&staging.join(name), bytes)?);
    }
    for (index, page) in output.pages.iter().enumerate() {
        files.push(write_file(&pages.join(page_name(index + 1)), page.as_bytes())?);
        // Few files are kept open at a time, so that a set of any size stays within the limit.
        if files.len() >= 64 {
            flush_files(&mut files)?;
        }
    }
    flush_files(&mut files)?;
    flush(&pages);
    flush(staging);
    Ok(())
}

fn write_file(path: &Path, bytes: &[u8]) -> Result<(PathBuf, File), OutputError> {
    let write = || {
        let mut file = File::create_new(path)?;
        file.write_all(bytes)?;
        Ok(file)
    };
    let file = write().map_err(OutputError::new("write", path))?;
    Ok((path.to_owned(), file))
}

fn flush_files(files: &mut Vec<(PathBuf, File)>) -> Result<(), OutputError> {
    files.drain(..).try_for_each(|(path, file)| file.sync_all().map_err(OutputError::new("write", &path)))
}

/// Flushes a folder's entries. Some systems cannot: the files themselves are flushed all the same.
fn flush(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// Puts the new pages in the place of the old ones.
fn replace_pages(staging: &Path, folder: &Path, count: usize) -> Result<(), OutputError> {
    let (new, old) = (staging.join("sheets"), folder.join("sheets"));
    let failed = |error| OutputError::new("replace", &old)(error);
    // A link to a folder elsewhere is kept, and the pages are replaced where it points.
    let linked = fs::symlink_metadata(&old).is_ok_and(|found| found.is_symlink());
    if !old.exists() && !linked {
        return fs::rename(&new, &old).map_err(failed);
    }
    let names = entries(&old).map_err(OutputError::new("read", &old))?;
    if linked || !names.iter().all(|name| is_page(name)) {
        return replace_one_by_one(&new, &old, &names, count);
    }
    if exchange(&new, &old).is_ok() {
        return Ok(());
    }
    let away = staging.join("old");
    fs::rename(&old, &away).map_err(failed)?;
    fs::rename(&new, &old).map_err(|error| {
        // Back as it was; where even that fails, the error of the first rename is the one to tell.
        let _ = fs::rename(&away, &old);
        failed(error)
    })
}

fn replace_one_by_one(new: &Path, old: &Path, names: &BTreeSet<String>, count: usize) -> Result<(), OutputError> {
    let pages: BTreeSet<String> = (1..=count).map(page_name).collect();
    for name in &pages {
        let to = old.join(name);
        fs::rename(new.join(name), &to).map_err(OutputError::new("replace", &to))?;
    }
    for stale in names.iter().filter(|name| is_page(name) && !pages.contains(*name)) {
        let path = old.join(stale);
        fs::remove_file(&path).map_err(OutputError::new("remove", &path))?;
    }
    Ok(())
}

fn entries(folder: &Path) -> io::Result<BTreeSet<String>> {
    fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned())).collect()
}

/// Whether a name is one that [`page_name`] gives.
fn is_page(name: &str) -> bool {
    let number = name.strip_suffix(".svg").filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()));
    number.and_then(|digits| digits.parse().ok()).is_some_and(|number| page_name(number) == name)
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).map_err(Into::into)
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests;
