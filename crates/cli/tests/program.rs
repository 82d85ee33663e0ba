//! The program as a person starts it: exit codes, standard input, files, options.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use common::tree::tree;
use common::{flatwright, sample, text};

mod common;

fn piped(arguments: &[&str], input: &str) -> Output {
    let streams = |command: &mut Command| {
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let mut child = streams(&mut flatwright(arguments));
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn the_main_job_writes_the_same_bytes_twice() {
    let place = tempfile::tempdir().unwrap();
    let run = |name: &str| {
        let folder = place.path().join(name);
        let done = flatwright(&["sheets"]).arg(sample("set.json")).arg("-o").arg(&folder).output().unwrap();
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        assert!(done.stderr.is_empty(), "no progress where there is no terminal");
        tree(&folder)
    };
    let (first, second) = (run("first"), run("second"));
    assert!(first == second, "two runs differ");
    let names: Vec<&str> = first.keys().map(String::as_str).collect();
    assert!(names.starts_with(&["parts.json", "sheets.pdf", "sheets/001.svg", "sheets/002.svg"]), "{names:?}");

    // The parts list keeps to its schema, by an independent validator.
    let list: serde_json::Value = serde_json::from_slice(&first["parts.json"]).unwrap();
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let schema = serde_json::from_slice(&schema.stdout).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors: Vec<String> =
        validator.iter_errors(&list).map(|error| format!("{} {error}", error.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");

    // Every piece lies on the pages as often as it is wanted.
    for piece in list["pieces"].as_array().unwrap() {
        let laid: u64 = (list["pages"].as_array().unwrap().iter())
            .map(|page| {
                let parts = page["placements"].as_array().unwrap().iter();
                let here = parts.filter(|placed| {
                    // Of a piece that is split, the first part stands for the whole.
                    let first = placed.get("part").is_none_or(|part| part.as_str().unwrap().ends_with('a'));
                    placed["piece"] == piece["id"] && first
                });
                page["copies"].as_u64().unwrap() * here.count() as u64
            })
            .sum();
        assert_eq!(Some(laid), piece["count"].as_u64(), "{}", piece["id"]);
    }
    assert!(list["pages"].as_array().unwrap().len() < names.len());
}

#[test]
fn the_sample_keeps_to_the_schema() {
    let printed = flatwright(&["schema"]).output().unwrap();
    assert_eq!(printed.status.code(), Some(0));
    let schema: serde_json::Value = serde_json::from_slice(&printed.stdout).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let set = serde_json::from_slice(&fs::read(sample("set.json")).unwrap()).unwrap();
    let errors: Vec<String> = validator.iter_errors(&set).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

#[test]
fn standard_input_is_read_and_problems_name_it() {
    let good = piped(&["parts", "-", "--json"], r#"{ "name": "Lamp store", "pieces": [{ "piece": "biscuit" }] }"#);
    assert_eq!(good.status.code(), Some(0), "{}", text(&good.stderr));
    let list: serde_json::Value = serde_json::from_slice(&good.stdout).unwrap();
    assert_eq!(list["pieces"][0]["id"], "BI1");
    assert!(list.get("pages").is_none());

    let bad = piped(&["parts", "-"], "{ \"name\": \"Lamp store\",\n  \"pieces\": [{ \"piece\": \"lamp\" }] }");
    assert_eq!(bad.status.code(), Some(2));
    assert!(bad.stdout.is_empty());
    let message = text(&bad.stderr);
    assert!(message.contains("standard input:2:25") && message.contains("\"biscuit\""), "{message}");
}

#[test]
fn options_replace_the_file_and_are_reported_like_it() {
    let side = |board: &[&str]| {
        let arguments = [&["parts", "-", "--json"], board].concat();
        let done = piped(
            &arguments,
            r#"{ "name": "a", "parameters": { "board": "5 mm" }, "pieces": [{ "piece": "post", "arms": "" }] }"#,
        );
        let list: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
        list["parameters"]["board"].as_f64().unwrap()
    };
    assert_eq!((side(&[]), side(&["--board", "3/16 in"])), (5.0, 4.7625));

    let bad = flatwright(&["parts", "--board", "5", "--paper", "A44", "--board-as", "stencil"])
        .arg(sample("set.json"))
        .output()
        .unwrap();
    assert_eq!(bad.status.code(), Some(2));
    let message = text(&bad.stderr);
    for expected in
        ["3 problems", "--board is not a length", "\"A44\" is not a paper size", "--board-as cannot be \"stencil\""]
    {
        assert!(message.contains(expected), "no {expected:?} in {message}");
    }
}

#[test]
fn exit_codes_tell_input_from_output() {
    let place = tempfile::tempdir().unwrap();
    let in_the_way = place.path().join("out");
    fs::write(&in_the_way, "not a folder").unwrap();
    let code = |command: &mut Command| command.output().unwrap().status.code();
    assert_eq!(code(flatwright(&["sheets"]).arg(sample("set.json")).arg("-o").arg(&in_the_way)), Some(1));
    assert_eq!(code(flatwright(&["sheets", "missing.json", "-o"]).arg(&in_the_way)), Some(2));
    assert_eq!(code(&mut flatwright(&["sheets"])), Some(2));
    assert_eq!(code(&mut flatwright(&["--help"])), Some(0));
    assert_eq!(code(&mut flatwright(&["completions", "bash"])), Some(0));
    assert_eq!(fs::read_to_string(&in_the_way).unwrap(), "not a folder");

    let pages = place.path().join("man");
    assert_eq!(code(flatwright(&["man", "-o"]).arg(&pages)), Some(0));
    assert!(fs::read_to_string(pages.join("flatwright-sheets.1")).unwrap().contains("flatwright sheets"));
}

#[test]
fn a_piece_too_large_for_its_sheet_is_told_with_its_place() {
    let input = r#"{
  "name": "Tide stair",
  "stock": { "split_large": false },
  "pieces": [{ "piece": "tile", "size": [4, 4] }]
}"#;
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    let done = piped(&["sheets", "-", "-o", folder.to_str().unwrap()], input);
    assert_eq!(done.status.code(), Some(2), "{}", text(&done.stderr));
    let message = text(&done.stderr);
    assert!(message.contains("standard input:4:14") && message.contains("TW1") && message.contains("TC1"), "{message}");
    assert!(!folder.exists());
}
