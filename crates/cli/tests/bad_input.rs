//! Every file of `fixtures/bad` is refused with the message beside it.
//!
//! The schema that `flatwright schema` prints is the second opinion, asked through the
//! independent `jsonschema` crate: it has to refuse the same files, but for those listed below.
//!
//! `UPDATE_EXPECTED=1 cargo test -p flatwright --test bad_input` rewrites the messages; read the
//! difference before you keep it.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::PathBuf;

use flatwright::args::Overrides;
use flatwright::{pipeline, set_file};

/// What a JSON Schema cannot say, or says about text that it never sees.
const BEYOND_THE_SCHEMA: [(&str, &str); 16] = [
    ("bends-no-room", "needs geometry, and one key beside the other"),
    ("caps-no-room", "needs geometry"),
    ("designs", "needs the designs"),
    ("fillers-no-room", "needs geometry"),
    ("no-room", "needs geometry"),
    ("parameters", "needs geometry"),
    ("papers", "needs the tables of paper sizes, and lengths within limits"),
    ("pictures", "needs the files"),
    ("profiles", "needs the files"),
    ("props", "needs the props"),
    ("roofs", "needs geometry"),
    ("sizes", "needs the tables of paper sizes, and one entry beside the other"),
    ("standing-no-room", "needs geometry"),
    ("tile-openings", "needs geometry, and fractions of a module"),
    ("weights-caliper", "needs geometry"),
    ("weights-range", "needs the basic sizes, and weights within limits"),
];

fn fixtures() -> Vec<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/bad");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    assert!(files.len() > 15, "the folder of bad inputs is not where it was");
    files
}

fn stem(path: &std::path::Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

#[test]
fn every_bad_input_is_refused_with_its_message() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let mut wrong = Vec::new();
    for path in fixtures() {
        let name = format!("{}.json", stem(&path));
        let Err(problems) = pipeline::resolve(&name, fs::read(&path).unwrap(), &Overrides::default()) else {
            wrong.push(format!("{name} was accepted"));
            continue;
        };
        let message = problems.plain(100);
        let beside = path.with_extension("txt");
        if update {
            fs::write(&beside, &message).unwrap();
        } else if fs::read_to_string(&beside).unwrap_or_default() != message {
            wrong.push(format!("{name} says\n{message}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Readings and profiles that are refused, by the beginnings of their names.
#[test]
fn every_bad_reading_and_profile_is_refused_with_its_message() {
    use flatwright::calibration::{fit, profiles, readings};
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/bad/calibration");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    assert!(files.len() >= 8, "the folder of bad readings is not where it was");
    let mut wrong = Vec::new();
    for path in files {
        let (name, bytes) = (format!("{}.json", stem(&path)), fs::read(&path).unwrap());
        let kind = name.split('-').next().unwrap_or_default();
        let (schema, problems) = match kind {
            "readings" => {
                let read = readings::read(&name, bytes.clone());
                let fitted = read.and_then(|(file, _)| fit::fit(&name, file, &[], None));
                (readings::schema(), fitted.err())
            }
            "printer" => (profiles::printer_schema(), profiles::printer(&name, bytes.clone()).err()),
            "materials" => (profiles::materials_schema(), profiles::materials(&name, bytes.clone()).err()),
            _ => panic!("{name} is of no known kind"),
        };
        let Some(problems) = problems else {
            wrong.push(format!("{name} was accepted"));
            continue;
        };
        // What only a fit can tell, the schema lets pass.
        let beyond =
            ["units", "letters", "missing", "misread", "exchanged", "askew"].iter().any(|word| name.contains(word));
        let value: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        let valid = jsonschema::draft202012::new(&serde_json::to_value(schema).unwrap()).unwrap().is_valid(&value);
        assert_eq!(valid, kind == "readings" && beyond, "{name}");
        let message = problems.plain(100);
        let beside = path.with_extension("txt");
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            fs::write(&beside, &message).unwrap();
        } else if fs::read_to_string(&beside).unwrap_or_default() != message {
            wrong.push(format!("{name} says\n{message}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let schema = serde_json::to_value(set_file::schema()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for path in fixtures() {
        let name = stem(&path);
        // What is not JSON never reaches a schema.
        let Ok(value) = serde_json::from_slice::<serde_json::Value>(&fs::read(&path).unwrap()) else { continue };
        let beyond = BEYOND_THE_SCHEMA.iter().any(|(beyond, _)| *beyond == name);
        assert_eq!(validator.is_valid(&value), beyond, "{name}");
    }
}

/// Every value of a sample, replaced by something else, dropped, or given a neighbour: reader and
/// schema agree on each of the changed files.
#[test]
fn reader_and_schema_agree_on_every_change_of_a_set() {
    use serde_json::{Value, json};
    let schema = serde_json::to_value(set_file::schema()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let sample: Value = serde_json::from_str(include_str!("../../../samples/brinewell/set.json")).unwrap();
    let others =
        [Value::Null, json!(true), json!(""), json!("x"), json!(7), json!(-1), json!(1.5), json!([]), json!({})];
    let (mut accepted, mut refused) = (0, 0);
    let mut agree = |changed: Value, place: &str| {
        let bytes = serde_json::to_vec(&changed).unwrap();
        let read = pipeline::resolve("changed", bytes, &Overrides::default());
        let valid = validator.is_valid(&changed);
        if valid {
            accepted += 1;
        } else {
            refused += 1;
        }
        let said = read.as_ref().map_or_else(|problems| problems.plain(100), |_| "nothing".to_owned());
        assert_eq!(read.is_ok(), valid, "{place}: the reader says {said}");
    };
    // What a design takes, the design says, not the schema of the set.
    let of_design = |place: &str| place.split_once("/design").is_some_and(|(before, _)| before.starts_with("/pieces/"));
    for place in places(&sample, "").into_iter().filter(|place| !of_design(place)) {
        for other in &others {
            let mut changed = sample.clone();
            *changed.pointer_mut(&place).unwrap() = other.clone();
            // Names of paper sizes and of surfaces are not in the schema.
            let names_paper = place.ends_with("/size") && place.starts_with("/stock");
            let names_surface = place.ends_with("/face") || place.starts_with("/faces/");
            if !((names_paper || names_surface) && *other == json!("x")) {
                agree(changed, &format!("{other} at {place}"));
            }
        }
        let (parent, key) = place.rsplit_once('/').unwrap_or_default();
        let mut without = sample.clone();
        let mut beside = sample.clone();
        if let Some(object) = without.pointer_mut(parent).and_then(Value::as_object_mut) {
            object.remove(key);
            agree(without, &format!("without {place}"));
        }
        if let Some(object) = beside.pointer_mut(&place).and_then(Value::as_object_mut) {
            object.insert("unheard-of".to_owned(), json!(1));
            agree(beside, &format!("one more key at {place}"));
        }
    }
    assert!(accepted > 100 && refused > 1000, "{accepted} accepted, {refused} refused");
}

/// JSON pointers to every value, the root left out.
fn places(value: &serde_json::Value, at: &str) -> Vec<String> {
    let inner: Vec<(String, &serde_json::Value)> = match value {
        serde_json::Value::Object(object) => object.iter().map(|(key, value)| (format!("{at}/{key}"), value)).collect(),
        serde_json::Value::Array(list) => {
            list.iter().enumerate().map(|(i, value)| (format!("{at}/{i}"), value)).collect()
        }
        _ => Vec::new(),
    };
    inner.into_iter().flat_map(|(at, value)| std::iter::once(at.clone()).chain(places(value, &at))).collect()
}

#[test]
fn a_file_that_is_too_large_is_refused_unread() {
    let problems = pipeline::resolve("big.json", vec![b' '; set_file::LARGEST + 1], &Overrides::default()).unwrap_err();
    assert!(problems.plain(200).contains("has at most 4194304"), "{}", problems.plain(200));
}

#[test]
fn deep_nesting_is_refused() {
    for depth in [600, 1_000_000] {
        let text = format!("{{ \"name\": {}{} }}", "[".repeat(depth), "]".repeat(depth));
        let problems = pipeline::resolve("deep.json", text.into_bytes(), &Overrides::default()).unwrap_err();
        assert!(problems.plain(80).contains("maximum nesting depth exceeded"));
    }
}

/// Any text at all ends in a set or in a list of problems.
#[test]
fn no_cut_or_changed_set_file_panics() {
    let sample = include_str!("../../../samples/brinewell/set.json");
    let text: String = sample.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(700).collect();
    for (at, _) in text.char_indices() {
        for change in ["", "\"", "{", "]", "-1", "null", "1e999", "\\u0000", "\u{20ac}"] {
            let changed = format!("{}{change}{}", &text[..at], &text[at..]);
            let _ = pipeline::resolve("changed", changed.into_bytes(), &Overrides::default());
        }
        let cut = pipeline::resolve("cut", text.as_bytes()[..at].to_vec(), &Overrides::default()).unwrap_err();
        assert!(cut.count() >= 1 && !cut.plain(80).is_empty());
    }
}
