//! Every plan of `fixtures/bad` is refused with the message beside it, and so are files that plans
//! and sets may not name.
//!
//! `UPDATE_EXPECTED=1 cargo test -p flatwright --test bad_plan` rewrites the messages; read the
//! difference before you keep it.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::{Path, PathBuf};

use flatwright::args::Overrides;
use flatwright::import::{self, Set};
use flatwright::open::{self, Input};
use flatwright::pipeline;
use flatwright::problem::Problems;

/// As the program does it, but with a name that does not depend on where the test runs.
fn opened(path: &Path) -> Result<Set, Problems> {
    let mut input = Input::load(path).unwrap();
    input.name = path.file_name().unwrap().to_string_lossy().into_owned();
    open::open(input, None).and_then(|opened| import::import(opened, &Overrides::default()))
}

#[test]
fn every_bad_plan_is_refused_with_its_message() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/bad");
    let mut files: Vec<PathBuf> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "plan"));
    files.sort();
    assert!(files.len() >= 10, "the folder of bad plans is not where it was");
    let mut wrong = Vec::new();
    for path in files {
        let Err(problems) = opened(&path) else {
            wrong.push(format!("{} was accepted", path.display()));
            continue;
        };
        let message = problems.plain(100).replace(&format!("{}/", folder.display()), "");
        // A set file may be bad under the same name.
        let beside = path.with_extension("plan.txt");
        if update {
            fs::write(&beside, &message).unwrap();
        } else if fs::read_to_string(&beside).unwrap_or_default() != message {
            wrong.push(format!("{} says\n{message}", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

const PLAN: &str = "title: Lamp store\nsurface f: flagstones\nlevel ground:\n+---+\n| f |\n+---+\n";

#[test]
fn only_plain_names_inside_the_folder_are_followed() {
    let place = tempfile::tempdir().unwrap();
    let inside = place.path().join("inside");
    fs::create_dir_all(inside.join("halls")).unwrap();
    fs::write(place.path().join("outside.plan"), PLAN).unwrap();
    fs::write(inside.join("halls/lamp.plan"), PLAN).unwrap();
    let read = |plan: &str| {
        let set = inside.join("set.json");
        fs::write(&set, serde_json::json!({ "name": "Lamp store", "plan": plan }).to_string()).unwrap();
        opened(&set).map_err(|problems| problems.plain(400))
    };
    assert_eq!(read("halls/lamp.plan").unwrap().plan.unwrap().levels.len(), 1);
    let absolute = place.path().join("outside.plan");
    for name in ["../outside.plan", "halls/../../outside.plan", absolute.to_str().unwrap(), "c:lamp.plan", "a\\b.plan"]
    {
        let message = read(name).unwrap_err();
        assert!(message.contains("is not a plain name") && message.contains("set.json:1:"), "{name}: {message}");
    }
    assert!(read("halls").unwrap_err().contains("it is a folder"));
    assert!(read("halls/none.plan").unwrap_err().contains("there is no such file"));
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(&absolute, inside.join("link.plan")).unwrap();
        let message = read("link.plan").unwrap_err();
        assert!(message.contains("leads out of the folder"), "{message}");
    }
}

#[test]
fn a_stock_file_is_checked_and_needs_a_plan() {
    let place = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = place.path().join(name);
        fs::write(&path, text).unwrap();
        path
    };
    let load = |file: &Path, stock: &Path| {
        pipeline::load(file, Some(stock), &Overrides::default()).map_err(|problems| problems.plain(400))
    };
    let plan = file("lamp.plan", PLAN);
    let set = file("set.json", r#"{ "name": "Lamp store", "pieces": [{ "piece": "biscuit" }] }"#);
    let good = file("good.json", r#"{ "biscuits": 3 }"#);
    assert!(load(&plan, &good).is_ok());
    assert!(load(&set, &good).unwrap_err().contains("names none"));
    let bad = file("bad.json", r#"{ "tile": [], "posts": [{ "arms": "NE", "feet": ["NE"], "base": "plate" }, {}] }"#);
    let message = load(&plan, &bad).unwrap_err();
    for expected in ["the stock has no key \"tile\"", "did you mean \"tiles\"?", "`posts[1]` has no \"arms\""] {
        assert!(message.contains(expected), "no {expected:?} in {message}");
    }
    let two = file("two.json", r#"{ "posts": [{ "arms": "NE", "feet": ["NE"], "base": "plate" }] }"#);
    let message = load(&plan, &two).unwrap_err();
    assert!(message.contains("`posts[0]` is a post with feet and a base plate"), "{message}");

    // The printed schema is the second opinion.
    let schema = serde_json::to_value(flatwright::stock_file::schema()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for (path, fine) in [(good, true), (bad, false)] {
        let value = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
        assert_eq!(validator.is_valid(&value), fine);
    }
}

/// Any text at all ends in a plan or in a list of problems.
#[test]
fn no_cut_or_changed_plan_panics() {
    let sample = include_str!("../../../samples/brinewell/pump-room.plan").replace("set: set.json\n", "");
    for (at, _) in sample.char_indices().step_by(3) {
        for change in ["", "+", "|", " x ", "\t", ":", "#", "\u{20ac}", "\n"] {
            let changed = format!("{}{change}{}", &sample[..at], &sample[at..]);
            let _ = flatwright::plan_file::read("changed.plan", changed.into_bytes());
        }
        let cut = pipeline::resolve("cut.plan", sample.as_bytes()[..at].to_vec(), &Overrides::default());
        if let Err(problems) = cut {
            assert!(problems.count() >= 1 && !problems.plain(80).is_empty());
        }
    }
}
