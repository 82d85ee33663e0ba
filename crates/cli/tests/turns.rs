//! Turns of a plan as a person asks for them: from the text to pages, list, model and proof.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use common::{flatwright, text};
use serde_json::Value;

mod common;

/// `tide-stair`: a round tower, a passage that turns into it, a diagonal. `round-tower`: two levels.
fn plan(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/plans").join(name).with_extension("plan")
}

/// Every piece is folded and put in its place, and no two share space: in thin and thick card and board.
#[test]
fn a_tower_and_a_passage_hold() {
    let (stair, tower) = (plan("tide-stair"), plan("round-tower"));
    for (plan, options) in
        [(&stair, &[][..]), (&stair, &["--card", "0.5 mm"]), (&stair, &["--board", "10 mm"]), (&tower, &[])]
    {
        let done = flatwright(&["proof"]).arg(plan).args(options).output().unwrap();
        let told = text(&done.stdout);
        assert_eq!(done.status.code(), Some(0), "{options:?} {told}{}", text(&done.stderr));
        for rule in ["arms and walls", "posts and reliefs", "tongue under a bend", "space"] {
            assert!(told.lines().any(|line| line.starts_with("holds") && line.contains(rule)), "no {rule} in {told}");
        }
    }
}

#[test]
fn a_plan_with_turns_is_drawn_listed_and_modelled() {
    let place = tempfile::tempdir().unwrap();
    let done = flatwright(&["plan"]).arg(plan("tide-stair")).arg("-o").arg(place.path()).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let list: Value = serde_json::from_slice(&fs::read(place.path().join("parts.json")).unwrap()).unwrap();
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    let errors: Vec<String> = validator.iter_errors(&list).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");

    let turns = list["plan"]["levels"][0]["turns"].as_array().unwrap();
    let forms: Vec<&str> = turns.iter().map(|turn| turn["form"].as_str().unwrap()).collect();
    // By row and column: the tower's northern half, the passage, the tower's southern half, the way out.
    assert_eq!(forms, ["round", "round", "round", "round", "diagonal", "diagonal"]);
    let places = |key: &str| turns.iter().flat_map(|turn| turn[key].as_array().unwrap()).collect::<Vec<_>>();
    // Six fans and rings and a spandrel; the passage has two walls.
    assert_eq!((places("tiles").len(), places("walls").len()), (7, 7));
    let mut used: BTreeMap<&str, u64> = BTreeMap::new();
    for piece in
        [places("tiles"), places("walls")].concat().iter().flat_map(|place| place["pieces"].as_array().unwrap())
    {
        *used.entry(piece.as_str().unwrap()).or_default() += 1;
    }
    let made: BTreeMap<&str, u64> = (list["pieces"].as_array().unwrap().iter())
        .map(|piece| (piece["id"].as_str().unwrap(), piece["count"].as_u64().unwrap()))
        .filter(|(id, _)| used.contains_key(id))
        .collect();
    assert_eq!(used, made, "as many are made as are placed");

    // The drawing names them all, and the model has each once.
    let drawing = fs::read_to_string(place.path().join("plan.svg")).unwrap();
    let model = fs::read(place.path().join("build.glb")).unwrap();
    let end = 20 + u32::from_le_bytes(model[12..16].try_into().unwrap()) as usize;
    let scene: Value = serde_json::from_slice(&model[20..end]).unwrap();
    let named: Vec<&str> = scene["nodes"].as_array().unwrap().iter().filter_map(|node| node["name"].as_str()).collect();
    for (key, shown) in [("tiles", 1), ("walls", 0)] {
        for place in places(key) {
            let id = place["pieces"][shown].as_str().unwrap();
            assert!(drawing.contains(&format!(">{id}<")), "{id} is not on the drawing");
            let all =
                place["pieces"].as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect::<Vec<_>>().join("+");
            let here = named
                .iter()
                .filter(|name| name.starts_with(&format!("{all} in the turn from")) && !name.contains("part"));
            assert_eq!(here.count() as u64, used[id], "{all} in {named:?}");
        }
    }
}
