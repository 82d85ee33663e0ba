//! Runs a target on many inputs, one after the other, within limits of time and memory.

use std::fs;
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use fastrand::Rng;

use crate::mutate;

/// Longest that one input may take. Most take less than a hundredth of it; the rest is for machines
/// with much else to do.
const LONGEST: Duration = Duration::from_secs(20);
/// Memory that the whole test program may have, bytes of address space.
const MEMORY: u64 = 4 << 30;
/// Stack of the thread that runs targets, bytes: a quarter of what a main thread usually has.
const STACK: usize = 2 << 20;

/// How an input ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// It was taken.
    Taken,
    /// It was refused with problems.
    Refused,
}

/// What is fed to a target.
pub struct Target {
    /// Its name, and that of its folder in `fixtures/corpus`.
    pub name: &'static str,
    /// Other files to begin with, as patterns `folder/*.ending` from the repository's root.
    pub more: &'static [&'static str],
    /// Pieces of the format.
    pub words: &'static [&'static str],
    /// How many spoiled inputs are tried when the environment does not say a share.
    pub runs: u64,
    /// Tries one.
    pub check: fn(&[u8]) -> End,
}

/// A file or a folder of the repository.
pub fn root(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

/// The files of a folder with an ending, by name; `*` takes any.
fn files(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let list = fs::read_dir(root(folder)).unwrap_or_else(|error| panic!("{folder}: {error}"));
    let mut paths: Vec<PathBuf> = list.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()).collect();
    paths.retain(|path| ending == "*" || path.extension().is_some_and(|found| found == ending));
    paths.sort();
    assert!(!paths.is_empty(), "nothing in {folder}");
    paths.iter().map(|path| fs::read(path).unwrap()).collect()
}

/// Tries the files of the corpus as they are, then spoiled ones. `FUZZ_RUNS` multiplies their number,
/// `FUZZ_ONLY` tries that number alone.
pub fn run(target: &Target) {
    limit_memory();
    let kept = files(&format!("fixtures/corpus/{}", target.name), "*");
    let mut seeds = kept.clone();
    for pattern in target.more {
        let (folder, ending) = pattern.rsplit_once("/*.").unwrap();
        seeds.extend(files(folder, ending));
    }
    let number = |name| std::env::var(name).ok().map(|text: String| text.parse::<u64>().unwrap());
    let numbers = match number("FUZZ_ONLY") {
        Some(only) => only..only + 1,
        None => 0..target.runs * number("FUZZ_RUNS").unwrap_or(1),
    };
    let (words, check) = (target.words, target.check);
    let made = move |number: u64| {
        // A generator of its own for each, so that any of them can be had alone.
        let mut rng = Rng::with_seed(number.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let mut bytes = mutate::spoiled(&seeds, words, &mut rng);
        if bytes.starts_with(b"\x89PNG") && rng.bool() {
            mutate::mend_checksums(&mut bytes);
        }
        bytes
    };
    let kept = kept.into_iter().map(|bytes| ("of the corpus".to_owned(), bytes));
    let all = kept.chain(numbers.map(move |number| (format!("number {number}"), made(number))));
    let ends = attended(target.name, all, check);
    println!("{}: {} taken, {} refused", target.name, ends.0, ends.1);
    if number("FUZZ_ONLY").is_none() {
        assert!(ends.0 > 0 && ends.1 > 0, "{}: {} taken, {} refused", target.name, ends.0, ends.1);
    }
}

/// Runs `check` on every input in a thread of its own and looks after it. How many were taken, and
/// how many refused.
fn attended(
    name: &'static str,
    all: impl Iterator<Item = (String, Vec<u8>)> + Send + 'static,
    check: fn(&[u8]) -> End,
) -> (u64, u64) {
    let now: Arc<Mutex<(String, Vec<u8>)>> = Arc::default();
    let (sender, receiver) = mpsc::channel();
    let work = {
        let now = Arc::clone(&now);
        move || {
            for (what, bytes) in all {
                now.lock().unwrap().clone_from(&(what, bytes.clone()));
                let end = panic::catch_unwind(AssertUnwindSafe(|| check(&bytes))).ok();
                if sender.send(end).is_err() || end.is_none() {
                    return;
                }
            }
        }
    };
    let worker = thread::Builder::new().stack_size(STACK).spawn(work).unwrap();
    let (mut taken, mut refused) = (0, 0);
    let failed = |why: &str| -> ! {
        let (what, bytes) = now.lock().unwrap().clone();
        let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{}", what.replace(' ', "-")));
        fs::write(&file, bytes).unwrap();
        panic!("{name}, input {what}: {why}; it is in {}", file.display());
    };
    loop {
        match receiver.recv_timeout(LONGEST) {
            Ok(Some(End::Taken)) => taken += 1,
            Ok(Some(End::Refused)) => refused += 1,
            // The worker has stopped, so what it was at is still known.
            Ok(None) => failed("a panic, told above"),
            Err(RecvTimeoutError::Timeout) => failed("it takes too long"),
            Err(RecvTimeoutError::Disconnected) => break,
        }
    }
    worker.join().unwrap();
    (taken, refused)
}

/// An allocation beyond this ends the program.
fn limit_memory() {
    #[cfg(target_os = "linux")]
    {
        use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
        let maximum = getrlimit(Resource::As).maximum;
        let current = Some(maximum.map_or(MEMORY, |maximum| maximum.min(MEMORY)));
        setrlimit(Resource::As, Rlimit { current, maximum }).unwrap();
    }
}
