//! What a folder holds.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Every file below a folder, by its name from there, with its content.
#[must_use]
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(inner) = folders.pop() {
        for entry in fs::read_dir(&inner).expect("it is a folder") {
            let path = entry.expect("it can be listed").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("it lies below").display().to_string();
                found.insert(name, fs::read(&path).expect("it can be read"));
            }
        }
    }
    found
}
