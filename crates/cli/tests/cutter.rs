//! Files for a cutting machine, from the command line.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

mod common;

use std::fs;
use std::path::Path;
use std::process::Output;

use common::{flatwright, sample};

fn sheets(folder: &Path, more: &[&str]) -> Output {
    let (set, folder) = (sample("set.json").display().to_string(), folder.display().to_string());
    let words = ["sheets", &set, "-o", &folder, "--effort", "20", "--quiet"];
    flatwright(&[&words, more].concat()).output().unwrap()
}

fn files(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name.starts_with("cutter-")).collect();
    names.sort();
    names
}

#[test]
fn a_file_for_each_page_is_written_where_asked_for_and_goes_with_its_pages() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    assert_eq!(sheets(&folder, &["--cutter"]).status.code(), Some(0));
    let plain = files(&folder);
    let pages = fs::read_dir(folder.join("sheets")).unwrap().count();
    // The cover has nothing to cut.
    assert!(plain.len() == pages - 1 && plain[0] == "cutter-002.svg", "{plain:?} of {pages}");
    let text = fs::read_to_string(folder.join(&plain[0])).unwrap();
    assert!(text.contains("never PVC") && text.contains("id=\"cutting\""), "{text}");
    assert_eq!(sheets(&folder, &["--cutter", "--bridges", "0.6 mm", "--overcut", "1 mm"]).status.code(), Some(0));
    assert_ne!(fs::read_to_string(folder.join(&plain[0])).unwrap(), text);
    assert_eq!(sheets(&folder, &[]).status.code(), Some(0));
    assert_eq!(files(&folder), Vec::<String>::new());
}

#[test]
fn lengths_that_cannot_be_are_told_together_and_nothing_is_written() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    let done = sheets(&folder, &["--cutter", "--overcut", "12 mm", "--bridges", "wide"]);
    let said = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("--overcut is 12 mm") && said.contains("give 0 mm to 10 mm"), "{said}");
    assert!(said.contains("--bridges is not a length"), "{said}");
    assert!(!folder.exists());
    // Without the files they would say nothing.
    assert_eq!(sheets(&folder, &["--overcut", "1 mm"]).status.code(), Some(2));
}
