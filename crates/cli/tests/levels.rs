//! Levels on each other as a person asks for them: in a plan, in a set, and on hand.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;

use common::{flatwright, sample, text};
use serde_json::{Value, json};

mod common;

fn list(folder: &Path, arguments: &[&str]) -> Value {
    let out = folder.join("out");
    let done = flatwright(arguments).arg("-o").arg(&out).current_dir(folder).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    serde_json::from_slice(&fs::read(out.join("parts.json")).unwrap()).unwrap()
}

fn valid(schema: &str, value: &Value) {
    let schema = flatwright(&["schema", "--of", schema]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    let errors: Vec<String> = validator.iter_errors(value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

/// A set lists posts that carry a level and couplers; they are proved, and couplers are one kind in any turn.
#[test]
fn a_set_lists_couplers_and_posts_that_carry_a_level() {
    let place = tempfile::tempdir().unwrap();
    let set = json!({
        "name": "Tide tower",
        "pieces": [
            { "piece": "post", "arms": "NE", "feet": ["NE"], "under": true, "count": 2 },
            { "piece": "post", "arms": "NE", "feet": ["NE"] },
            { "piece": "coupler", "arms": "NE", "count": 2, "label": "landing" },
            { "piece": "coupler", "arms": "SW", "label": "landing" },
            { "piece": "coupler", "arms": "" },
            { "piece": "wall", "span": 1 },
        ],
    });
    valid("set", &set);
    fs::write(place.path().join("set.json"), set.to_string()).unwrap();
    let found = list(place.path(), &["sheets", "set.json"]);
    valid("parts", &found);
    let of = |kind: &str| {
        let pieces = found["pieces"].as_array().unwrap().iter().filter(|piece| piece["kind"] == kind);
        pieces.map(|piece| (piece["detail"].as_str().unwrap(), piece["count"].as_u64().unwrap())).collect::<Vec<_>>()
    };
    assert_eq!(of("coupler"), [("corner NE", 3), ("plain", 1)]);
    let [(high, 2), (low, 1)] = of("post")[..] else { panic!("{:?}", of("post")) };
    assert_eq!(format!("{low}, carries a level"), high);
    let proof = flatwright(&["proof", "set.json"]).current_dir(place.path()).output().unwrap();
    let told = text(&proof.stdout);
    assert_eq!(proof.status.code(), Some(0), "{told}");
    for rule in ["coupler in its posts", "coupler over tabs", "coupler under hooks", "level on level"] {
        assert!(told.lines().any(|line| line.starts_with("holds") && line.contains(rule)), "no {rule} in {told}");
    }
    // Where the joint has no room the piece is refused with what it needs.
    let narrow = json!({ "name": "x", "parameters": { "wall_height": "12 mm", "hook_drop": "4 mm", "board": "3 mm" }, "pieces": [{ "piece": "coupler", "arms": "" }] });
    fs::write(place.path().join("narrow.json"), narrow.to_string()).unwrap();
    let done = flatwright(&["parts", "narrow.json"]).current_dir(place.path()).output().unwrap();
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("a coupler reaches into the post above"), "{}", text(&done.stderr));
}

/// Every way of laying out keeps the tower's levels apart; a class lists them apart too.
#[test]
fn every_layout_keeps_levels_apart() {
    let place = tempfile::tempdir().unwrap();
    let tower = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/plans/three-levels.plan");
    let tower = tower.to_str().unwrap();
    let names = ["landing", "pump floor", "lamp room"];
    let mut sheets = Vec::new();
    for more in [
        &["--layout", "fewest-pages"][..],
        &["--layout", "stacked"],
        &["--layout", "by-step"],
        &["--class", "3", "--class-sheets", "shared"],
        &["--class", "3", "--class-sheets", "own"],
    ] {
        let found = list(place.path(), &[&["sheets", tower, "--effort", "100"][..], more].concat());
        valid("parts", &found);
        let pages = found["pages"].as_array().unwrap();
        assert!(pages.iter().all(|page| names.contains(&page["level"].as_str().unwrap())), "{more:?}");
        let level = |name: &str| pages.iter().filter(|page| page["level"] == name).count();
        assert!(names.iter().all(|name| level(name) > 1), "{more:?}");
        sheets.push(found["layout"]["sheets"].as_u64().unwrap());
    }
    assert_eq!(sheets[4], 3 * sheets[0], "each kit has its own");
    assert!(sheets[3] < sheets[4], "{sheets:?}");
}

/// The last step of an upper level says where to lift it; the guide and the cover tell how many pieces are
/// for which level.
#[test]
fn the_guide_sets_levels_on() {
    let place = tempfile::tempdir().unwrap();
    let done = flatwright(&["plan"]).arg(sample("tide-tower.plan")).arg("-o").arg(place.path()).output().unwrap();
    let told = text(&done.stdout);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    for said in ["Lift it off \"landing\" straight up by its posts", "it may carry", "estimates", "build-3.glb"] {
        assert!(told.contains(said), "no {said:?} in {told}");
    }
    let head = told.lines().next().unwrap();
    assert!(["landing", "pump floor", "lamp room"].iter().all(|name| head.contains(name)), "{head}");
    let list: Value = serde_json::from_slice(&fs::read(place.path().join("parts.json")).unwrap()).unwrap();
    valid("parts", &list);
    let levels = list["plan"]["levels"].as_array().unwrap();
    let couplers =
        |level: &Value| level["posts"].as_array().unwrap().iter().filter(|post| post.get("coupler").is_some()).count();
    assert_eq!(couplers(&levels[0]), 0);
    assert_eq!(couplers(&levels[2]), levels[2]["posts"].as_array().unwrap().len());
    // The whole build has every piece of every level once.
    let model = fs::read(place.path().join("build.glb")).unwrap();
    let end = 20 + u32::from_le_bytes(model[12..16].try_into().unwrap()) as usize;
    let scene: Value = serde_json::from_slice(&model[20..end]).unwrap();
    let nodes = scene["nodes"].as_array().unwrap();
    let named = |start: &str, level: &str| {
        let name = |node: &&Value| {
            node["name"]
                .as_str()
                .is_some_and(|name| name.starts_with(start) && name.ends_with(level) && !name.contains("part"))
        };
        nodes.iter().filter(name).count()
    };
    for (level, name) in levels.iter().zip(["landing", "pump floor", "lamp room"]) {
        assert_eq!(named("CS", name), couplers(level), "{name}");
        assert_eq!(named("PO", name), level["posts"].as_array().unwrap().len(), "{name}");
    }
}
