//! From coupon to readings to profiles to sheets, as a person does it.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;
use std::process::Output;

use common::tree::tree;
use common::{flatwright, text};
use flatwright_calibration::printer::Distortion;
use flatwright_geometry::units::Angle;
use kurbo::Vec2;
use serde_json::{Value, json};

mod common;

fn run(arguments: &[&str], folder: &Path) -> Output {
    flatwright(arguments).current_dir(folder).output().unwrap()
}

/// Runs the program, which must succeed; what it prints.
fn done(arguments: &[&str], folder: &Path) -> String {
    let ended = run(arguments, folder);
    assert_eq!(ended.status.code(), Some(0), "{arguments:?}: {}", text(&ended.stderr));
    text(&ended.stdout)
}

/// Runs the program, which must refuse its input; what it says.
fn refused(arguments: &[&str], folder: &Path) -> String {
    let ended = run(arguments, folder);
    assert_eq!(ended.status.code(), Some(2), "{arguments:?}: {}", text(&ended.stdout));
    text(&ended.stderr)
}

fn json_of(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

fn keeps_to(schema: &str, value: &Value, folder: &Path) {
    let schema: Value = serde_json::from_str(&done(&["schema", "--of", schema], folder)).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors: Vec<String> =
        validator.iter_errors(value).map(|error| format!("{} {error}", error.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

/// Fills the lengths in as a printer makes them, rounded to a tenth.
fn fill(readings: &mut Value, printer: Distortion) {
    for entry in readings["printer"].as_array_mut().unwrap() {
        let drawn = Vec2::new(entry["across"].as_f64().unwrap(), entry["up"].as_f64().unwrap());
        entry["reads"] = json!((printer.length(drawn) * 10.0).round() / 10.0);
    }
}

#[test]
fn a_coupon_leads_to_profiles_and_those_to_corrected_sheets() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    for name in ["coupon", "again"] {
        done(&["coupon", "-o", name], here);
    }
    let files = tree(&here.join("coupon"));
    assert!(files == tree(&here.join("again")), "two runs differ");
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    assert_eq!(names, ["coupon-1.svg", "coupon-2.svg", "coupon-3.svg", "coupon.pdf", "readings.json"]);
    let form = here.join("coupon/readings.json");
    let mut readings = json_of(&form);
    keeps_to("readings", &readings, here);

    let message = refused(&["profile", "coupon/readings.json", "-o", "profiles"], here);
    assert!(message.contains("holds no readings yet"), "{message}");
    assert!(!here.join("profiles").exists());
    // A blank form may be made anew, on other paper.
    done(&["coupon", "-o", "coupon", "--paper", "Letter"], here);
    done(&["coupon", "-o", "coupon"], here);

    let truth = Distortion::new(0.9962, 1.0031, Angle::degrees(0.12));
    fill(&mut readings, truth);
    readings["card"]["caliper"] = json!(["0.27 mm", 0.29]);
    readings["card"]["hole"] = json!(30.1);
    readings["card"]["piece"] = json!("29.9 mm");
    readings["card"]["slot"] = json!([0.2, 0.3, 0.2]);
    readings["board"]["caliper"] = json!("4.8 mm");
    readings["board"]["biscuit"] = json!(0.4);
    readings["paper"]["caliper"] = json!(1.1);
    fs::write(&form, serde_json::to_string_pretty(&readings).unwrap()).unwrap();
    keeps_to("readings", &readings, here);
    let message = refused(&["coupon", "-o", "coupon"], here);
    assert!(message.contains("would be lost"), "{message}");

    let report = done(&["profile", "coupon/readings.json", "-o", "profiles", "--name", "Lamp store laser"], here);
    assert!(report.contains("across") && report.contains("19 cases of 20"), "{report}");
    let (printer, materials) =
        (json_of(&here.join("profiles/printer.json")), json_of(&here.join("profiles/materials.json")));
    keeps_to("printer", &printer, here);
    keeps_to("materials", &materials, here);
    assert_eq!(printer["name"], "Lamp store laser");
    let near = |key: &str, expected: f64, within: f64| {
        let found = printer[key].as_f64().unwrap();
        assert!((found - expected).abs() < within, "{key}: {found} against {expected}");
    };
    near("x_scale", 0.9962, 5e-4);
    near("y_scale", 1.0031, 5e-4);
    near("skew", 0.12, 0.05);
    assert_eq!(materials["card"], "0.28 mm");
    assert_eq!(materials["board"], "4.8 mm");
    assert_eq!(materials["paper"], "0.11 mm");
    assert_eq!(materials["kerf"]["card"], "0.1 mm");
    // Tightest on average 0.233, one kerf more, and two cards 0.03 mm thicker than drawn for.
    assert_eq!(materials["play"]["card"], "0.27 mm");
    assert_eq!(materials["play"]["board"], "0.4 mm");

    // Few pieces: the cover has room for one sentence more, and pages keep their numbers.
    let small = r#"{ "name": "Lamp store", "pieces": [{ "piece": "tile", "size": [1, 1] }, { "piece": "post", "arms": "N" }] }"#;
    fs::write(here.join("set.json"), small).unwrap();
    let set = "set.json";
    let profiles = ["--printer", "profiles/printer.json", "--quiet"];
    done(&["sheets", set, "-o", "plain", "--quiet"], here);
    done(&[&["sheets", set, "-o", "out"], &profiles[..]].concat(), here);
    let (plain, out) = (tree(&here.join("plain")), tree(&here.join("out")));
    // Sheets for a cutter stay as they are, but for the cover's word on it.
    let differ: Vec<&String> = out.keys().filter(|name| plain.get(*name) != out.get(*name)).collect();
    assert_eq!(differ, ["parts.json", "sheets.pdf", "sheets/001.svg"]);
    let parts = json_of(&here.join("out/parts.json"));
    keeps_to("parts", &parts, here);
    assert_eq!(parts["printer"]["name"], "Lamp store laser");
    assert!(fs::read_to_string(here.join("out/sheets/001.svg")).unwrap().contains("corrected"));
}

#[test]
fn a_set_takes_its_values_from_a_profile_unless_it_gives_them() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    fs::write(
        here.join("materials.json"),
        r#"{ "name": "bench", "board": "4.8 mm", "card": "0.3 mm", "play": { "card": "0.2 mm", "board": "0.45 mm" },
             "kerf": { "card": "0.1 mm", "board": "0.2 mm" }, "fold_factor": 0.4 }"#,
    )
    .unwrap();
    let parameters = |set: &str, options: &[&str]| -> Value {
        fs::write(here.join("set.json"), set).unwrap();
        let list = done(&[&["parts", "set.json", "--json"], options].concat(), here);
        let list: Value = serde_json::from_str(&list).unwrap();
        json!([list["parameters"], list["materials"]])
    };
    let bare = r#"{ "name": "a", "pieces": [{ "piece": "biscuit" }] }"#;
    let named = r#"{ "name": "a", "materials": "materials.json", "parameters": { "card": "0.25 mm" }, "pieces": [{ "piece": "biscuit" }] }"#;
    for found in [parameters(bare, &["--materials", "materials.json"]), parameters(named, &[])] {
        assert_eq!((&found[0]["board"], &found[0]["play"]), (&json!(4.8), &json!(0.45)));
        assert_eq!(
            (&found[0]["kerf"], &found[0]["fold_factor"], &found[1]),
            (&json!(0.2), &json!(0.4), &json!("bench"))
        );
    }
    assert_eq!(parameters(bare, &[])[0]["board"], 5.0);
    assert_eq!(parameters(named, &[])[0]["card"], 0.25);
    assert_eq!(parameters(named, &["--card", "0.5 mm"])[0]["card"], 0.5);
    assert_eq!(parameters(named, &["--play", "0.1 mm"])[0]["play"], 0.1);

    let told = done(&["sheets", "set.json", "-o", "out", "--board", "5 mm"], here);
    let expected = "from the materials profile \"bench\": play, kerf, fold factor; the set gives its own board, card\n";
    assert!(told.contains(expected), "{told}");

    // Each stock has its own kerf; what is not known is cut without.
    let overrides = |kerf: Option<&str>| flatwright::args::Overrides {
        kerf: kerf.map(str::to_owned),
        profiles: flatwright::args::ProfileFiles { materials: Some(here.join("materials.json")), printer: None },
        ..Default::default()
    };
    let kerfs = |set: &str, kerf: Option<&str>| {
        let set = flatwright::pipeline::resolve("set.json", set.into(), &overrides(kerf)).unwrap();
        [set.sheets.paper.kerf, set.sheets.card.kerf, set.sheets.board.kerf].map(flatwright_geometry::units::Mm::get)
    };
    assert_eq!(kerfs(bare, None), [0.0, 0.1, 0.2]);
    assert_eq!(kerfs(bare, Some("0.3 mm")), [0.3, 0.3, 0.3]);
    let own = r#"{ "name": "a", "stock": { "card": { "kerf": "0.05 mm" } }, "pieces": [{ "piece": "biscuit" }] }"#;
    assert_eq!(kerfs(own, None), [0.0, 0.05, 0.2]);
    let all = r#"{ "name": "a", "parameters": { "kerf": "0.15 mm" }, "pieces": [{ "piece": "biscuit" }] }"#;
    assert_eq!(kerfs(all, None), [0.15, 0.15, 0.15]);
}

#[test]
fn large_corrections_warn_and_corrections_off_the_paper_are_refused() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    fs::write(here.join("printer.json"), r#"{ "name": "fit", "x_scale": 0.96, "y_scale": 0.96 }"#).unwrap();
    let set = r#"{ "name": "a", "printer": "printer.json", "pieces": [{ "piece": "biscuit" }] }"#;
    fs::write(here.join("set.json"), set).unwrap();
    let message = refused(&["parts", "set.json", "--margin", "5 mm"], here);
    assert!(message.contains("off the paper") && message.contains("give a --margin of"), "{message}");
    assert!(message.contains("set.json:1:27"), "{message}");
    let ended = run(&["sheets", "set.json", "-o", "out", "--margin", "15 mm"], here);
    assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
    let warned = text(&ended.stderr);
    assert!(warned.contains("more than 0.5 %") && warned.contains("fit to page"), "{warned}");
    assert!(warned.contains("shrink to"), "{warned}");
    assert!(text(&ended.stdout).contains("across +4.17 %, up +4.17 %, skew +0.00 degrees"), "{}", text(&ended.stdout));
    let parts = json_of(&here.join("out/parts.json"));
    assert_eq!(parts["warnings"].as_array().unwrap().len(), 2);

    // Readings of such a printer make a profile, with the same warning.
    done(&["coupon", "-o", "coupon", "--quiet"], here);
    let mut readings = json_of(&here.join("coupon/readings.json"));
    fill(&mut readings, Distortion::new(0.96, 0.96, Angle::ZERO));
    fs::write(here.join("filled.json"), readings.to_string()).unwrap();
    let ended = run(&["profile", "filled.json", "-o", "profiles"], here);
    assert_eq!(ended.status.code(), Some(0));
    assert!(text(&ended.stderr).contains("fit to page"), "{}", text(&ended.stderr));
    assert!(!here.join("profiles/materials.json").exists());
}

#[test]
fn sheets_of_board_for_a_cutter_are_not_corrected() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    fs::write(here.join("printer.json"), r#"{ "name": "wide", "x_scale": 1.004, "y_scale": 1.0 }"#).unwrap();
    let set = r#"{ "name": "a", "pieces": [{ "piece": "biscuit" }, { "piece": "post", "arms": "N" }] }"#;
    fs::write(here.join("set.json"), set).unwrap();
    let options = ["sheets", "set.json", "--board-as", "sheet", "--quiet", "-o"];
    done(&[&options[..], &["plain"]].concat(), here);
    done(&[&options[..], &["out", "--printer", "printer.json"]].concat(), here);
    // The transformation that a page begins with; type is coded anew where words are added.
    let first = |name: &str| -> Vec<String> {
        let file = lopdf::Document::load(here.join(name).join("sheets.pdf")).unwrap();
        let content = |page: &lopdf::ObjectId| text(&file.get_page_content(*page));
        let begin = |page| content(page).split("cm").next().unwrap_or_default().to_owned();
        file.get_pages().values().map(begin).collect()
    };
    let same: Vec<bool> = first("plain").into_iter().zip(first("out")).map(|(a, b)| a == b).collect();
    assert_eq!(same, [false, false, true], "cover, card, board");
}

#[test]
fn readings_can_be_typed() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    done(&["coupon", "-o", "coupon", "--quiet"], here);
    fn profile<'a>(more: &[&'a str]) -> Vec<&'a str> {
        [&["profile", "coupon/readings.json", "-o", "profiles"], more].concat()
    }
    let readings = json_of(&here.join("coupon/readings.json"));
    let drawn = |index: usize, key: &str| readings["printer"][index][key].as_f64().unwrap();
    let (a, b) = (format!("A={}", drawn(0, "across") * 0.99), format!("b={} mm", drawn(1, "up")));
    done(&profile(&["--read", &a, "--read", &b, "--read", "card.slot=0.3,0.4", "--quiet"]), here);
    let printer = json_of(&here.join("profiles/printer.json"));
    assert_eq!((&printer["x_scale"], &printer["y_scale"]), (&json!(0.99), &json!(1.0)));
    assert!(printer["standard_error"].get("skew").is_none());
    assert_eq!(json_of(&here.join("profiles/materials.json"))["play"]["card"], "0.35 mm");

    // A kerf without a caliper: a strip that goes into 0.2 and not into 0.3 is narrower by two kerfs.
    done(&profile(&["--read", "board.opening=0.2", "--quiet"]), here);
    assert_eq!(json_of(&here.join("profiles/materials.json"))["kerf"]["board"], "0.13 mm");
    // What is measured comes before it.
    let measured =
        ["--read", "board.opening=0.2", "--read", "board.hole=30.2", "--read", "board.piece=29.8", "--quiet"];
    done(&profile(&measured), here);
    assert_eq!(json_of(&here.join("profiles/materials.json"))["kerf"]["board"], "0.2 mm");
    let message = refused(&profile(&["--read", "card.opening=0.8"]), here);
    assert!(message.contains("measure hole and piece instead"), "{message}");

    let message =
        refused(&profile(&["--read", "Q=3", "--read", "A", "--read", "B=wide", "--read", "card.slot=0.35"]), here);
    for expected in [
        "4 problems",
        "nothing is called \"Q\"",
        "\"A\" is no reading",
        "\"wide\" is not a length",
        "no joint of the coupon",
    ] {
        assert!(message.contains(expected), "no {expected:?} in {message}");
    }
}
