//! A run that is killed at any moment leaves the old output or the new one, whole.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::ExitStatusExt as _;
use std::path::Path;
use std::process::{Child, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use common::flatwright;
use common::tree::tree;

mod common;

const OLD: &str = r#"{ "name": "Lamp store", "pieces": [{ "piece": "tile", "size": [2, 2], "count": 9 }] }"#;
const NEW: &str = r#"{ "name": "Tide stair", "pieces": [
    { "piece": "tile", "size": [1, 2], "count": 24 }, { "piece": "tile", "size": [2, 3], "count": 5 },
    { "piece": "post", "arms": "NE", "feet": ["NE"], "count": 30 }, { "piece": "wall", "span": 2, "count": 9 }] }"#;

/// Moments of a whole run, as parts of a hundred of its length.
const PARTS: [u32; 8] = [5, 30, 60, 75, 85, 92, 97, 103];
/// Moments after the hidden folder was seen, microseconds: what is written and renamed follows.
const AFTER: [u64; 27] = [
    0, 50, 100, 200, 300, 400, 600, 800, 1000, 1300, 1600, 2000, 2500, 3000, 3500, 4000, 5000, 6000, 8000, 10_000,
    13_000, 17_000, 23_000, 30_000, 60_000, 120_000, 250_000,
];

type Tree = BTreeMap<String, Vec<u8>>;

fn hidden(place: &Path) -> usize {
    let names = [place.to_owned(), place.join("out")].into_iter().flat_map(|folder| fs::read_dir(folder).into_iter());
    names.flatten().filter(|entry| entry.as_ref().unwrap().file_name().to_string_lossy().starts_with('.')).count()
}

fn start(place: &Path, set: &str) -> Child {
    let mut run = flatwright(&["sheets", set, "--effort", "0", "--quiet", "-o", "out"]);
    run.current_dir(place).stdout(Stdio::null()).stderr(Stdio::inherit()).spawn().unwrap()
}

fn whole(place: &Path, set: &str) -> Tree {
    assert!(start(place, set).wait().unwrap().success());
    assert_eq!(hidden(place), 0, "leftovers after a whole run");
    tree(&place.join("out"))
}

/// Whether folders can be exchanged here in one step; where not, only single files are whole.
fn can_exchange(place: &Path) -> bool {
    #[cfg(any(target_os = "linux", target_vendor = "apple"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        let (a, b) = (place.join("a"), place.join("b"));
        fs::create_dir(&a).unwrap();
        fs::create_dir(&b).unwrap();
        let can = renameat_with(CWD, &a, CWD, &b, RenameFlags::EXCHANGE).is_ok();
        fs::remove_dir(&a).unwrap();
        fs::remove_dir(&b).unwrap();
        can
    }
    #[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
    {
        let _ = place;
        false
    }
}

#[test]
fn a_killed_run_leaves_the_old_output_or_the_new_one() {
    let place = tempfile::tempdir().unwrap();
    let place = place.path();
    fs::write(place.join("old.json"), OLD).unwrap();
    fs::write(place.join("new.json"), NEW).unwrap();
    let new = whole(place, "new.json");
    let began = Instant::now();
    let old = whole(place, "old.json");
    let length = began.elapsed();
    assert!(new.len() > 4 && old.keys().ne(new.keys()) && new["parts.json"] != old["parts.json"]);
    // A file of somebody else is kept whatever happens.
    fs::write(place.join("out/notes.txt"), "mine").unwrap();
    let [old, new] = [old, new].map(|mut files| {
        files.insert("notes.txt".to_owned(), b"mine".to_vec());
        files
    });
    let can_exchange = can_exchange(place);
    if !can_exchange {
        println!("this file system cannot exchange folders: only single files are looked at");
    }

    let (mut killed, mut left, mut kept, mut replaced) = (0, 0, 0, 0);
    let mut tried = |moment: &dyn Fn(&mut Child)| {
        let mut run = start(place, "new.json");
        moment(&mut run);
        run.kill().unwrap();
        let signal = run.wait().unwrap().signal();
        killed += u32::from(signal == Some(9));
        left += hidden(place);
        let found: Tree =
            tree(&place.join("out")).into_iter().filter(|(name, _)| !name.starts_with(".flatwright-")).collect();
        if found == new {
            replaced += 1;
        } else if found == old {
            kept += 1;
        } else {
            assert!(!can_exchange, "neither old nor new: {:?}", found.keys());
            for (name, bytes) in &found {
                assert!(old.get(name) == Some(bytes) || new.get(name) == Some(bytes), "{name} is not whole");
            }
        }
        // The next run takes away what is left, and the old output is there again.
        if hidden(place) > 0 || found != old {
            assert_eq!(whole(place, "old.json"), old);
        }
    };
    for part in PARTS {
        tried(&|_| thread::sleep(length * part / 100));
    }
    for micros in AFTER {
        tried(&|run| {
            while hidden(place) == 0 && run.try_wait().unwrap().is_none() {
                std::hint::spin_loop();
            }
            let seen = Instant::now();
            while seen.elapsed() < Duration::from_micros(micros) {
                std::hint::spin_loop();
            }
        });
    }
    println!("{killed} killed: {kept} left the old output, {replaced} the new one, {left} a hidden folder");
    assert!(killed >= 10 && kept >= 10, "{killed} killed, {kept} kept");
    assert!(left >= 5, "too few were killed while they wrote: {left}");
}

/// What a killed run left is told from a run that is at work, and from what others put there.
#[test]
fn only_leftovers_are_removed() {
    let place = tempfile::tempdir().unwrap();
    let place = place.path();
    fs::write(place.join("old.json"), OLD).unwrap();
    let hidden = |name: &str| place.join(format!(".flatwright-{name}"));
    for name in ["aaaaaa", "bbbbbb", "cccccc", "dd"] {
        fs::create_dir_all(hidden(name).join("sheets")).unwrap();
        fs::write(hidden(name).join("sheets.pdf"), "half").unwrap();
        fs::write(hidden(name).join("sheets/001.svg"), "half").unwrap();
    }
    fs::write(hidden("bbbbbb").join("notes.txt"), "mine").unwrap();
    let at_work = fs::File::open(hidden("cccccc")).unwrap();
    at_work.lock().unwrap();
    assert!(start(place, "old.json").wait().unwrap().success());
    let there = ["aaaaaa", "bbbbbb", "cccccc", "dd"].map(|name| hidden(name).exists());
    assert_eq!(there, [false, true, true, true], "leftover, with a file of others, at work, another's name");
    assert_eq!(fs::read_to_string(hidden("bbbbbb").join("notes.txt")).unwrap(), "mine");
    drop(at_work);
    assert!(start(place, "old.json").wait().unwrap().success());
    assert!(!hidden("cccccc").exists());
}
