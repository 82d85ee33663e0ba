//! Hidden folders in which files are made ready, and what runs that were killed left of them.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::Path;

use tempfile::TempDir;

/// How the name of a hidden folder begins; letters and digits follow.
const PREFIX: &str = ".flatwright-";
/// How many letters and digits follow.
const LETTERS: usize = 6;
/// How often a folder is made anew because another run took it for a leftover.
const TRIES: usize = 16;

/// A hidden folder that is removed in the end. As long as it is at work it is locked, so that no
/// other run takes it for a leftover; the system lets go of the lock when a program is killed.
pub(super) struct Staging {
    folder: TempDir,
    /// `None` where folders cannot be locked; there no leftovers are removed either.
    _lock: Option<File>,
}

impl Staging {
    /// A new one in `parent`.
    ///
    /// # Errors
    /// Nothing can be made there.
    pub fn new(parent: &Path) -> io::Result<Self> {
        for _ in 0..TRIES {
            let folder = tempfile::Builder::new().prefix(PREFIX).rand_bytes(LETTERS).tempdir_in(parent)?;
            match File::open(folder.path()).map(|open| (open.try_lock(), open)) {
                // Between its making and its lock another run may have removed it.
                Ok((Ok(()), lock)) if folder.path().is_dir() => return Ok(Self { folder, _lock: Some(lock) }),
                Ok((Ok(()) | Err(TryLockError::WouldBlock), _)) => {}
                Ok((Err(TryLockError::Error(_)), _)) => return Ok(Self { folder, _lock: None }),
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                Err(_) => return Ok(Self { folder, _lock: None }),
            }
        }
        Err(io::Error::other("another program removes what is made there"))
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Leaves it where it is.
    pub fn keep(self) {
        let _ = self.folder.keep();
    }
}

/// Removes what killed runs left in `parent`. A hidden folder that is at work, or that holds a file
/// which is neither `ours` nor known under another name too, is left alone. What cannot be removed
/// stays: it is in nobody's way.
pub(super) fn clean(parent: &Path, ours: &dyn Fn(&str) -> bool) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let letters = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
        let hidden = letters
            .is_some_and(|letters| letters.len() == LETTERS && letters.bytes().all(|b| b.is_ascii_alphanumeric()));
        if !hidden || !entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            continue;
        }
        let path = entry.path();
        let Ok(lock) = File::open(&path) else { continue };
        // The lock is held until the folder is gone.
        if lock.try_lock().is_ok() && is_rubbish(&path, ours) {
            let _ = fs::remove_dir_all(&path);
        }
    }
}

/// Whether nothing is lost with a hidden folder: it and the folders that runs make in it hold files
/// of ours alone.
fn is_rubbish(folder: &Path, ours: &dyn Fn(&str) -> bool) -> bool {
    let rubbish = |entry: &fs::DirEntry| {
        let (name, Ok(found)) = (entry.file_name(), entry.metadata()) else { return false };
        match name.to_str() {
            Some(name) if found.is_file() => ours(name) || super::is_page(name) || has_other_names(&found),
            Some("sheets" | "old" | "a" | "b") if found.is_dir() => is_rubbish(&entry.path(), ours),
            _ => false,
        }
    };
    fs::read_dir(folder).is_ok_and(|mut list| list.all(|entry| entry.is_ok_and(|entry| rubbish(&entry))))
}

#[cfg(unix)]
fn has_other_names(found: &fs::Metadata) -> bool {
    std::os::unix::fs::MetadataExt::nlink(found) > 1
}

#[cfg(not(unix))]
fn has_other_names(_: &fs::Metadata) -> bool {
    false
}
