//! Contact sheets as a person asks for them.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;
use std::process::Output;

use common::{flatwright, sample};

mod common;

fn run(command: &str, file: &str, folder: &Path, more: &[&str]) -> Output {
    let mut program = flatwright(&[command, "--quiet", "--effort", "50"]);
    program.arg(sample(file)).arg("-o").arg(folder).args(more).output().unwrap()
}

/// Width and height as the PNG's header has them (W3C PNG specification, 11.2.1).
fn size(file: &Path) -> (u32, u32) {
    let bytes = fs::read(file).unwrap();
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"));
    let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    (number(16), number(20))
}

#[test]
fn a_contact_sheet_is_written_where_asked_for_and_goes_with_its_pages() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    for (command, file, picture) in [("sheets", "set.json", "pages.png"), ("plan", "pump-room.plan", "guide.png")] {
        assert_eq!(run(command, file, folder, &["--contact"]).status.code(), Some(0));
        let usual = size(&folder.join(picture));
        assert_eq!(run(command, file, folder, &["--contact=50"]).status.code(), Some(0));
        let coarse = size(&folder.join(picture));
        assert!(usual.0.abs_diff(3 * coarse.0) < 4 && usual.1.abs_diff(3 * coarse.1) < 4, "{usual:?}, {coarse:?}");
        // One without leaves no picture of pages that are no more.
        assert_eq!(run(command, file, folder, &[]).status.code(), Some(0));
        assert!(!folder.join(picture).exists());
    }
}

#[test]
fn a_resolution_that_cannot_be_had_is_told_and_nothing_is_written() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    for (asked, told) in
        [("--contact=3", "3 dots per inch; give 10 to 2400"), ("--contact=2400", "dots per inch or fewer")]
    {
        let done = run("sheets", "set.json", &folder, &[asked]);
        let error = String::from_utf8_lossy(&done.stderr).replace('\n', " ");
        assert!(done.status.code() == Some(2) && error.contains(told), "{error}");
        assert!(!folder.exists());
    }
}
