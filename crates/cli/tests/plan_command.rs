//! The `plan` command as a person starts it.

use std::fs;
use std::io::Write as _;
use std::process::Stdio;

use common::{flatwright, sample, text};

mod common;

#[test]
fn a_plan_is_redrawn_with_its_guide_and_list() {
    let place = tempfile::tempdir().unwrap();
    let run = |command: &str, file: &str| {
        let done = flatwright(&[command]).arg(sample(file)).arg("-o").arg(place.path()).output().unwrap();
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        (text(&done.stdout), fs::read(place.path().join("parts.json")).unwrap())
    };
    let (told, list) = run("plan", "pump-room.plan");
    for expected in ["TW1", "proved fewest", "Lift with one hand", "foam board 5 mm, 20x30 in", "estimate", "guide.pdf"]
    {
        assert!(told.contains(expected), "no {expected:?} in {told}");
    }
    let read = |name: &str| fs::read(place.path().join(name)).unwrap();
    // The first bytes of PNG (W3C PNG specification, 5.2) and of PDF (ISO 32000-2, 7.5.2).
    assert!(read("plan.png").starts_with(b"\x89PNG\r\n\x1a\n") && read("guide.pdf").starts_with(b"%PDF-"));

    // The list keeps to its schema, by an independent validator.
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    let value = serde_json::from_slice(&list).unwrap();
    let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");

    // Sheets in the same folder leave the plan alone and write the same list; a plan with other
    // levels takes away the drawing of this one and leaves the sheets.
    let (told, again) = run("sheets", "pump-room.plan");
    assert!(again == list && told.contains("proved fewest") && place.path().join("plan.svg").exists());
    run("plan", "tide-tower.plan");
    let there = |name: &str| place.path().join(name).exists();
    assert!(there("plan-1.svg") && there("plan-2.png") && there("sheets/001.svg") && !there("plan.svg"));
}

#[test]
fn a_plan_comes_from_standard_input_and_a_set_without_one_is_refused() {
    let plan = "title: Lamp store\nsurface f: flagstones\nlevel ground:\n+---+\n| f |\n+---+\n";
    let piped = |input: &str| {
        let mut command = flatwright(&["parts", "-", "--json"]);
        let command = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
        child.wait_with_output().unwrap()
    };
    let good = piped(plan);
    let list: serde_json::Value = serde_json::from_slice(&good.stdout).unwrap();
    assert_eq!(list["plan"]["levels"][0]["posts"].as_array().unwrap().len(), 4);
    let bad = piped(&plan.replace("| f |", "| g |"));
    assert_eq!(bad.status.code(), Some(2));
    assert!(text(&bad.stderr).contains("standard input:5:3"), "{}", text(&bad.stderr));

    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    let none = flatwright(&["plan"]).arg(sample("set.json")).arg("-o").arg(&folder).output().unwrap();
    assert_eq!(none.status.code(), Some(2));
    assert!(text(&none.stderr).contains("has no floor plan"), "{}", text(&none.stderr));
    assert!(!folder.exists());
}
