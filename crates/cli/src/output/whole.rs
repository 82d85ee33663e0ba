//! An output folder exchanged as a whole, in one step.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::staging::Staging;
use super::{Output, OutputError, exchange, flush, is_page, stage};

/// What an output folder holds beside what is written now.
struct Others {
    /// Plain files, by name from the folder.
    files: Vec<PathBuf>,
    /// Whether the pages of another job are among them.
    pages: bool,
}

/// Puts a new folder with `output` and everything else that `folder` holds in its place. `false`
/// where that cannot be done here: then nothing has changed.
///
/// # Errors
/// The folder may not be written to, or the new files could not be written; nothing has changed.
pub(super) fn replace(folder: &Path, output: &Output) -> Result<bool, OutputError> {
    let Some((folder, parent)) = place(folder) else { return Ok(false) };
    let Ok(others) = others(&folder, output) else { return Ok(false) };
    // A folder that may not be written to is not replaced either, though its parent would allow it.
    let probe = Staging::new(&folder).map_err(OutputError::new("write into", &folder))?;
    let can_exchange = can_exchange(probe.path());
    drop(probe);
    let Ok(staging) = Staging::new(&parent) else { return Ok(false) };
    if !can_exchange || !like(&folder, staging.path()) {
        return Ok(false);
    }
    stage(staging.path(), output)?;
    if adopt(&folder, staging.path(), &others).is_err() || exchange(staging.path(), &folder).is_err() {
        return Ok(false);
    }
    flush(&parent);
    // Only now is the old folder in the hidden one's place. What has been put there meanwhile is
    // kept, and with it the folder where it cannot be moved.
    if late(staging.path(), output).iter().all(|name| fs::rename(staging.path().join(name), folder.join(name)).is_ok())
    {
        drop(staging);
    } else {
        staging.keep();
    }
    Ok(true)
}

/// The folder and the one that it lies in, links resolved. None where a program, such as the shell
/// that this one was called from, works in it and would be left in the old one.
fn place(folder: &Path) -> Option<(PathBuf, PathBuf)> {
    let folder = folder.canonicalize().ok()?;
    let current = std::env::current_dir().and_then(|current| current.canonicalize()).ok()?;
    let parent = folder.parent()?.to_owned();
    (!current.starts_with(&folder)).then_some((folder, parent))
}

/// Names that `output` gives or takes away.
fn is_replaced(name: &str, output: &Output) -> bool {
    let pages = name == "sheets" && !output.pages.is_empty();
    pages || output.files.iter().any(|(written, _)| written == name) || output.former.iter().any(|old| old == name)
}

/// What else there is. Folders of others have no second name, so there is no new folder with them.
fn others(folder: &Path, output: &Output) -> io::Result<Others> {
    let refused = || io::Error::from(io::ErrorKind::Unsupported);
    let mut others = Others { files: Vec::new(), pages: false };
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let (name, kind) = (entry.file_name(), entry.file_type()?);
        let replaced = name.to_str().is_some_and(|name| is_replaced(name, output));
        match (kind.is_file(), kind.is_dir() && name == "sheets") {
            (true, _) if replaced => {}
            (true, _) => others.files.push(name.into()),
            (false, true) => {
                others.pages = !replaced;
                for page in fs::read_dir(entry.path())? {
                    let page = page?;
                    let plain = page.file_type()?.is_file() && page.file_name().to_str().is_some_and(is_page);
                    if !plain {
                        return Err(refused());
                    }
                    if !replaced {
                        others.files.push(Path::new("sheets").join(page.file_name()));
                    }
                }
            }
            (false, false) => return Err(refused()),
        }
    }
    Ok(others)
}

/// Whether this file system exchanges two folders in one step.
fn can_exchange(place: &Path) -> bool {
    let (a, b) = (place.join("a"), place.join("b"));
    let tried = fs::create_dir(&a).and_then(|()| fs::create_dir(&b)).and_then(|()| exchange(&a, &b));
    let removed = [a, b].map(fs::remove_dir);
    tried.is_ok() && removed.iter().all(Result::is_ok)
}

/// Gives the new folder the permissions of the old one; whether owner and group are the same.
fn like(old: &Path, new: &Path) -> bool {
    let permissions = fs::metadata(old).and_then(|old| fs::set_permissions(new, old.permissions()));
    let owners = || {
        let (old, new) = (fs::metadata(old).ok()?, fs::metadata(new).ok()?);
        Some(owner(&old) == owner(&new))
    };
    permissions.is_ok() && owners().unwrap_or(false)
}

#[cfg(unix)]
fn owner(found: &fs::Metadata) -> (u32, u32) {
    use std::os::unix::fs::MetadataExt as _;
    (found.uid(), found.gid())
}

#[cfg(not(unix))]
fn owner(_: &fs::Metadata) {}

/// Gives everything else a second name in the new folder.
fn adopt(old: &Path, new: &Path, others: &Others) -> io::Result<()> {
    if others.pages {
        fs::create_dir(new.join("sheets"))?;
    }
    others.files.iter().try_for_each(|name| fs::hard_link(old.join(name), new.join(name)))?;
    flush(new);
    Ok(())
}

/// What the old folder holds of others: files that have their second name already, for which the
/// rename does nothing, and what came or was replaced meanwhile.
fn late(old: &Path, output: &Output) -> Vec<std::ffi::OsString> {
    let names = fs::read_dir(old).into_iter().flatten().flatten().map(|entry| entry.file_name());
    let replaced = |name: &std::ffi::OsString| name.to_str().is_some_and(|name| is_replaced(name, output));
    names.filter(|name| name != "sheets" && !replaced(name)).collect()
}
