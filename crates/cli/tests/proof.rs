//! `proof` and `view` as they are run, and that nothing is printed which is not proved.

use std::fs;
use std::process::Output;

use common::{flatwright, sample, text};

mod common;

fn on_sample(command: &str, file: &str, more: &[&str]) -> Output {
    flatwright(&[command]).arg(sample(file)).args(more).output().expect("the program runs")
}

#[test]
fn samples_are_proved() {
    for file in ["set.json", "pump-room.plan", "tide-tower.plan"] {
        let done = on_sample("proof", file, &[]);
        let told = text(&done.stdout);
        assert_eq!(done.status.code(), Some(0), "{told}");
        assert!(told.contains("checks hold.") && !told.contains("FAILS"), "{told}");
        for rule in ["sleeve in its hole", "hook over card", "glue flap", "page"] {
            assert!(told.contains(rule), "{file}: no {rule:?}");
        }
    }
    // Levels are put together one by one and on each other.
    let tower = text(&on_sample("proof", "tide-tower.plan", &[]).stdout);
    let (_, whole) = tower.split_once("all levels on each other").expect("a report of all");
    assert!(whole.contains("posts above the ground with a post under them and a coupler between"), "{whole}");
    assert!(whole.lines().any(|line| line.starts_with("holds") && line.contains("pieces that share space")), "{whole}");
    for rule in ["coupler in its posts", "coupler over tabs", "coupler under hooks", "level on level"] {
        assert!(tower.contains(rule), "no {rule:?}");
    }
    // A plan is put together as well.
    assert!(text(&on_sample("proof", "pump-room.plan", &[]).stdout).contains("space"));
}

/// A play under what a hand can slide is refused, with the parameter to change, and nothing is written.
#[test]
fn what_does_not_fit_is_not_printed() {
    let tight = ["--play", "0.01 mm"];
    let done = on_sample("proof", "pump-room.plan", &tight);
    let told = text(&done.stdout);
    assert_eq!(done.status.code(), Some(1), "{told}");
    assert!(told.contains("FAILS") && told.contains("set play to"), "{told}");
    let json = on_sample("proof", "pump-room.plan", &["--play", "0.01 mm", "--json"]);
    let list: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(list["holds"], false);
    let findings = list["reports"][0]["findings"].as_array().unwrap();
    let failed: Vec<_> = findings.iter().filter(|finding| finding["verdict"] == "fails").collect();
    assert!(failed.iter().any(|finding| finding["rule"] == "play" && finding["mend"]["parameter"] == "play"));

    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    for command in ["sheets", "plan"] {
        let done = on_sample(command, "pump-room.plan", &["--play", "0.01 mm", "-o", target.to_str().unwrap()]);
        assert_eq!(done.status.code(), Some(1));
        assert!(text(&done.stderr).contains("set play to"), "{}", text(&done.stderr));
        assert!(!target.exists(), "{command} wrote something");
    }
}

#[test]
fn builds_are_drawn() {
    let place = tempfile::tempdir().unwrap();
    // The first bytes of SVG as XML text, of PNG (W3C PNG specification, 5.2), of PDF (ISO 32000-2, 7.5.2).
    for (name, begin) in [("a.svg", &b"<?xml"[..]), ("a.png", b"\x89PNG\r\n\x1a\n"), ("a.pdf", b"%PDF-")] {
        let file = place.path().join(name);
        let done = on_sample("view", "tide-tower.plan", &["--level", "2", "--exploded", "-o", file.to_str().unwrap()]);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        assert!(fs::read(&file).unwrap().starts_with(begin), "{name}");
    }
    // Without a level, or with all of them, they stand on each other; taken apart they are higher.
    let height = |name: &str, more: &[&str]| {
        let file = place.path().join(name);
        let done = on_sample("view", "tide-tower.plan", &[&["-o", file.to_str().unwrap()], more].concat());
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let drawn = fs::read_to_string(&file).unwrap();
        let (_, rest) = drawn.split_once("height=\"").expect("a height");
        let number: String = rest.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
        (number.parse::<f64>().unwrap(), drawn)
    };
    let (whole, drawn) = height("whole.svg", &[]);
    assert_eq!(drawn, height("all.svg", &["--level", "all"]).1);
    assert!(drawn.contains("couplers"), "the caption counts them");
    let (one, _) = height("one.svg", &["--level", "1"]);
    let (apart, _) = height("apart.svg", &["--exploded"]);
    assert!(one < whole && whole < apart, "{one} {whole} {apart}");
    let file = place.path().join("none.svg");
    let done = on_sample("view", "tide-tower.plan", &["--level", "top", "-o", file.to_str().unwrap()]);
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("give a number from 1, or \"all\""), "{}", text(&done.stderr));
    let refused = [
        ("pump-room.plan", "a.gif", "1", "svg"),
        ("pump-room.plan", "b.svg", "2", "level"),
        ("set.json", "c.svg", "1", "floor plan"),
    ];
    for (file, name, level, said) in refused {
        let target = place.path().join(name);
        let done = on_sample("view", file, &["--level", level, "-o", target.to_str().unwrap()]);
        assert_eq!(done.status.code(), Some(2));
        assert!(text(&done.stderr).contains(said), "{}", text(&done.stderr));
        assert!(!target.exists());
    }
}
