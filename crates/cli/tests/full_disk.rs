//! Where the output cannot be written there is a clear error, exit code 1, and the old output whole.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::process::{Command, Output, Stdio};

use common::text;

mod common;

const SMALL: &str = r#"{ "name": "Lamp store", "pieces": [{ "piece": "biscuit" }] }"#;
const LARGE: &str = r#"{ "name": "Tide stair", "pieces": [{ "piece": "tile", "size": [2, 2], "count": 30 }] }"#;

/// Runs a script with `$program`, `$place` (a folder with small.json and large.json) and `run SET`,
/// which writes into `out` and prints how it ended.
fn scripted(before: &[&str], script: &str) -> (Output, tempfile::TempDir) {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("small.json"), SMALL).unwrap();
    fs::write(place.path().join("large.json"), LARGE).unwrap();
    let run = "run() { \"$program\" sheets \"$1\" --effort 0 --quiet -o \"$2\"; echo \"ended $?\"; }\n\
        told() { (cd \"$1\" && find . -type f | sort | xargs cksum); }\n";
    let whole = format!("{run}{script}");
    let words: Vec<&str> = before.iter().copied().chain(["sh", "-c", &whole]).collect();
    let done = Command::new(words[0])
        .args(&words[1..])
        .env("program", env!("CARGO_BIN_EXE_flatwright"))
        .env("NO_COLOR", "1")
        .current_dir(place.path())
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (done, place)
}

/// How to get a mount of one's own; none where that is not allowed.
fn private() -> Option<&'static [&'static str]> {
    let ways: [&[&str]; 2] = [&["unshare", "--mount"], &["unshare", "--user", "--map-root-user", "--mount"]];
    let probe = "mkdir probe && mount -t tmpfs -o size=64k tmpfs probe";
    let works = |way: &&&[&str]| {
        let place = tempfile::tempdir().unwrap();
        let tried = Command::new(way[0]).args(&way[1..]).args(["sh", "-c", probe]).current_dir(place.path()).output();
        tried.is_ok_and(|tried| tried.status.success())
    };
    let found = ways.iter().find(works).copied();
    if found.is_none() {
        println!("skipped: no file system of one's own can be mounted here");
    }
    found
}

/// The lines of a script's output between `ended` lines.
fn parts(done: &Output) -> Vec<String> {
    text(&done.stdout).split_inclusive('\n').map(|line| line.trim_end().to_owned()).collect()
}

fn same_before_and_after(done: &Output, endings: &[&str], message: &str) {
    let lines = parts(done);
    let ended: Vec<&str> = lines.iter().map(String::as_str).filter(|line| line.starts_with("ended")).collect();
    assert_eq!(ended, endings, "{lines:?} {}", text(&done.stderr));
    let said = text(&done.stderr);
    assert!(said.contains(message) && said.contains("help:") && !said.contains("panicked"), "{said}");
    let states: Vec<&[String]> = lines.split(|line| line.starts_with("ended")).collect();
    assert_eq!(states[1], states[2], "the old output has changed, or something is left");
    assert!(states[1].len() >= 3, "{states:?}");
}

#[test]
fn a_full_disk_leaves_the_old_output() {
    let Some(way) = private() else { return };
    let script = "mkdir disk && mount -t tmpfs -o size=200k tmpfs disk\n\
        run small.json disk/out; told disk; run large.json disk/out; told disk";
    let (done, _place) = scripted(way, script);
    same_before_and_after(&done, &["ended 0", "ended 1"], "the disk is full");
}

#[test]
fn a_full_disk_leaves_no_new_folder() {
    let Some(way) = private() else { return };
    let script = "mkdir disk && mount -t tmpfs -o size=100k tmpfs disk\n\
        run large.json disk/deep/out; find disk -type f; find disk -name '.*'";
    let (done, _place) = scripted(way, script);
    assert_eq!(text(&done.stdout), "ended 1\n");
    assert!(text(&done.stderr).contains("the disk is full"), "{}", text(&done.stderr));
}

#[test]
fn a_read_only_disk_leaves_the_old_output() {
    let Some(way) = private() else { return };
    let script = "mkdir disk && mount -t tmpfs tmpfs disk\n\
        run small.json disk/out; told disk; mount -o remount,ro disk; run large.json disk/out; told disk";
    let (done, _place) = scripted(way, script);
    same_before_and_after(&done, &["ended 0", "ended 1"], "the file system is read-only");
}

/// Needs nothing but a shell: files may have 16 blocks of 512 bytes.
#[test]
fn a_limit_of_file_sizes_leaves_the_old_output() {
    let script = "run small.json out; told out; (trap '' XFSZ; ulimit -f 16; run large.json out); told out; ls -A";
    let (done, _place) = scripted(&[], script);
    let lines = parts(&done);
    let listed = lines.iter().skip_while(|line| !line.contains("large.json")).count();
    assert_eq!(listed, 3, "large.json, out, small.json and nothing hidden: {lines:?}");
    let done = Output { stdout: text(&done.stdout).replace("large.json\nout\nsmall.json\n", "").into(), ..done };
    same_before_and_after(&done, &["ended 0", "ended 1"], "larger than is allowed");
}

/// The superuser may write anywhere, so this one is for others.
#[test]
fn a_folder_that_may_not_be_written_to_stays_as_it_is() {
    let script = "run small.json out; told out; chmod -R a-w out; \
        if touch out/probe 2>/dev/null; then rm out/probe; echo superuser; fi; run large.json out; told out; chmod -R u+w out";
    let (done, place) = scripted(&[], script);
    if text(&done.stdout).contains("superuser") {
        println!("skipped: this user may write anywhere");
        return;
    }
    assert!(place.path().join("out/parts.json").exists());
    let lines = parts(&done);
    // The folder beside it may be written to, so the whole of it could be replaced: it is not.
    assert!(lines.contains(&"ended 1".to_owned()), "{lines:?}");
    same_before_and_after(&done, &["ended 0", "ended 1"], "not allowed");
}
