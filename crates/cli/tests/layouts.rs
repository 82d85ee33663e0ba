//! The ways of laying out as a person asks for them: option, key of the set file, what is told and
//! recorded. The parts list is judged by its schema through the independent `jsonschema` crate; what
//! it says is checked from outside by `tests/outside/stacks.py` and `order.py`.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;

use common::{file, flatwright, text};
use serde_json::Value;

mod common;

/// What a run of `sheets` prints, and its parts list, which keeps to its schema.
fn laid_out(input: &str, options: &[&str]) -> (String, Value) {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    let done = flatwright(&["sheets"]).arg(file(input)).arg("-o").arg(&folder).args(options).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let list: Value = serde_json::from_slice(&fs::read(folder.join("parts.json")).unwrap()).unwrap();
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    let errors: Vec<String> = validator.iter_errors(&list).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    (text(&done.stdout), list)
}

#[test]
fn every_way_tells_its_pages_and_how_few_are_possible() {
    for way in ["fewest-pages", "stacked", "by-step"] {
        let (told, list) = laid_out("samples/brinewell/set.json", &["--layout", way, "--effort", "200"]);
        let layout = &list["layout"];
        assert_eq!(layout["mode"], way);
        for stock in layout["stocks"].as_array().unwrap() {
            let (sheets, least) = (stock["sheets"].as_u64().unwrap(), stock["at_least"].as_u64().unwrap());
            assert!((1..=sheets).contains(&least), "{stock}");
            let name = stock["stock"].as_str().unwrap();
            assert!(told.contains(&format!("{name}: {sheets} pages; at least {least} are needed")), "{told}");
        }
        let (sheets, least) = (layout["sheets"].as_u64().unwrap(), layout["at_least"].as_u64().unwrap());
        assert!(told.contains(&format!("in all: {sheets} pages; at least {least} are needed")), "{told}");
        let pages = list["pages"].as_array().unwrap();
        assert_eq!(pages.iter().any(|page| page.get("cuts").is_some()), way == "stacked");
        assert_eq!(pages.iter().all(|page| page.get("steps").is_some()), way == "by-step");
        assert_eq!(layout.get("steps").is_some(), way == "by-step");
    }
}

#[test]
fn the_file_s_own_way_counts_until_another_is_asked_for() {
    let place = tempfile::tempdir().unwrap();
    let set = place.path().join("set.json");
    fs::write(&set, r#"{ "name": "a", "layout": "stacked", "pieces": [{ "piece": "biscuit", "count": 9 }] }"#).unwrap();
    let mode = |options: &[&str]| laid_out(set.to_str().unwrap(), options).1["layout"]["mode"].clone();
    assert_eq!(mode(&[]), "stacked");
    assert_eq!(mode(&["--layout", "by-step"]), "by-step");
}

#[test]
fn sizes_with_prices_and_the_grain_reach_the_sheets() {
    let (_, list) = laid_out("fixtures/two-sizes.json", &[]);
    let grain = |id: &str| {
        let pieces = list["pieces"].as_array().unwrap().iter();
        let piece = pieces.clone().find(|piece| piece["id"] == id).unwrap();
        (piece["stock"].clone(), piece.get("grain").cloned())
    };
    assert_eq!(grain("PO1"), ("card".into(), Some("along".into())), "the stock's rule");
    assert_eq!(grain("WA1"), ("card".into(), Some("across".into())), "the entry's own");
    assert_eq!(grain("WA2"), ("card".into(), None), "the entry's own");
    assert_eq!(grain("BI1"), ("board".into(), None), "board has none");
    let sizes = ["Letter", "Tabloid", "20x30 in", "A2"];
    let turned = |placed: &Value| !placed["rotation"].as_u64().unwrap().is_multiple_of(180);
    for page in list["pages"].as_array().unwrap() {
        assert!(sizes.contains(&page["paper"].as_str().unwrap()));
        let portrait = page["size"][0].as_f64() < page["size"][1].as_f64();
        for placed in page["placements"].as_array().unwrap() {
            // The grain runs up an upright sheet; posts lie along it, and walls of one module across.
            match placed["piece"].as_str().unwrap() {
                "PO1" | "PO2" => assert_eq!(turned(placed), !portrait),
                "WA1" => assert_eq!(turned(placed), portrait),
                _ => {}
            }
        }
    }
}

#[test]
fn a_way_that_is_not_known_is_told_with_all_other_problems() {
    let bad = flatwright(&["parts", "--layout", "stack", "--orientation", "up"])
        .arg(file("samples/brinewell/set.json"))
        .output()
        .unwrap();
    assert_eq!(bad.status.code(), Some(2));
    let message = text(&bad.stderr);
    for expected in ["2 problems", "--layout cannot be \"stack\"", "did you mean stacked?", "--orientation cannot be"] {
        assert!(message.contains(expected), "no {expected:?} in {message}");
    }
}

#[test]
fn help_manual_and_completions_know_the_ways() {
    let printed = |arguments: &[&str]| text(&flatwright(arguments).output().unwrap().stdout);
    for arguments in [&["sheets", "--help"][..], &["completions", "bash"], &["completions", "zsh"], &["schema"]] {
        let said = printed(arguments);
        for way in ["fewest-pages", "stacked", "by-step"] {
            assert!(said.contains(way), "{arguments:?} do not know {way}");
        }
    }
}
