//! Caps as a person asks for them: in a plan, in a set, and on hand.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;

use common::{flatwright, text};
use serde_json::{Value, json};

mod common;

/// Brinewell's lamp store: two levels, the upper one smaller. Its four posts carry caps, and so do the two
/// of the lower one on which nothing stands.
const PLAN: &str = "title: Lamp store
caps: yes
surface f: flagstone
level ground:
+---+---+
| f   f |
+---+---+
level loft:
+---+
| f |
+---+
";

/// What a run writes into parts.json.
fn list(folder: &Path, arguments: &[&str]) -> (Value, String) {
    let out = folder.join("out");
    let done = flatwright(arguments).arg("-o").arg(&out).current_dir(folder).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let list = serde_json::from_slice(&fs::read(out.join("parts.json")).unwrap()).unwrap();
    (list, text(&done.stdout))
}

fn caps(list: &Value) -> Vec<&Value> {
    list["pieces"].as_array().unwrap().iter().filter(|piece| piece["kind"] == "post-cap").collect()
}

#[test]
fn a_plan_with_caps_has_one_on_every_post_that_carries_nothing() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("lamp.plan"), PLAN).unwrap();
    let (found, _) = list(place.path(), &["plan", "lamp.plan"]);
    let [cap] = caps(&found)[..] else { panic!("one kind of cap: {:?}", caps(&found)) };
    // Four corners and two of the lower level, equal up to turns; as the posts where nothing else is said.
    assert_eq!(
        (&cap["id"], &cap["count"], &cap["stock"], &cap["face"]),
        (&json!("PC1"), &json!(6), &json!("card"), &json!("ashlar"))
    );
    // 15 + 2 x 0.25 + 0.3 inside, and twice pi/4 x 0.25 of a fold and a tenth of 50 of skirt.
    let side = 15.8 + 2.0 * (std::f64::consts::FRAC_PI_4 * 0.25 + 5.0);
    assert!(cap["size"].as_array().unwrap().iter().all(|size| (size.as_f64().unwrap() - side).abs() < 1e-5), "{cap}");
    let posts = |level: usize| found["plan"]["levels"][level]["posts"].as_array().unwrap();
    let bare = |post: &&Value| post.get("cap").is_none();
    assert_eq!(
        posts(0).iter().filter(|post| !bare(post)).map(|post| &post["at"]).collect::<Vec<_>>(),
        [&json!([2, 0]), &json!([2, 1])]
    );
    assert!(posts(0).iter().filter(bare).all(|post| post["carries"] == json!(true)));
    assert_eq!(posts(1).len(), 4);
    assert!(posts(1).iter().all(|post| post["cap"] == json!(["PC1"])));
    // The list keeps to its schema, by an independent validator.
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    assert!(validator.is_valid(&found));

    let (_, sheets) = list(place.path(), &["sheets", "lamp.plan"]);
    assert!(sheets.contains("pieces on"), "{sheets}");
    // Their cover names the last step, which uses all four, and their pages the piece.
    let out = place.path().join("out");
    let page = |name: &str| fs::read_to_string(out.join("sheets").join(name)).unwrap();
    assert!(page("001.svg").contains("loft: Caps (PC1\u{a0}×\u{a0}4)"));
    let pages = found["pages"].as_array().unwrap().iter();
    let named = pages.filter(|page| page.to_string().contains("\"PC1\"")).count();
    assert!(named >= 1, "{}", found["pages"]);
    // A model of it as built: a mesh for each of the caps.
    let model = fs::read(out.join("build-2.glb")).unwrap();
    let json_end = 20 + u32::from_le_bytes(model[12..16].try_into().unwrap()) as usize;
    let scene: Value = serde_json::from_slice(&model[20..json_end]).unwrap();
    let nodes = scene["nodes"].as_array().unwrap();
    let body = |name: &str| name.starts_with("PC1 at") && !name.contains("part");
    let named = nodes.iter().filter(|node| node["name"].as_str().is_some_and(body)).count();
    assert_eq!(named, 4, "{nodes:?}");
}

#[test]
fn the_proof_and_the_picture_show_caps() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("lamp.plan"), PLAN).unwrap();
    let proof = flatwright(&["proof", "lamp.plan"]).current_dir(place.path()).output().unwrap();
    let told = text(&proof.stdout);
    assert_eq!(proof.status.code(), Some(0), "{told}");
    for rule in ["cap on its post", "cap and wall", "caps apart"] {
        assert!(told.lines().any(|line| line.starts_with("holds") && line.contains(rule)), "no {rule} in {told}");
    }
    let view = flatwright(&["view", "lamp.plan", "--level", "2", "-o", "loft.svg"]).current_dir(place.path()).output();
    assert_eq!(view.unwrap().status.code(), Some(0));
    let drawn = fs::read_to_string(place.path().join("loft.svg")).unwrap();
    assert!(drawn.contains("4 post caps"), "the caption counts them");
    // Without the statement there are none.
    fs::write(place.path().join("lamp.plan"), PLAN.replace("caps: yes", "caps: no")).unwrap();
    let (found, _) = list(place.path(), &["plan", "lamp.plan"]);
    assert!(caps(&found).is_empty());
}

#[test]
fn a_set_lists_caps_and_what_is_on_hand_is_not_made() {
    let place = tempfile::tempdir().unwrap();
    let write = |name: &str, value: Value| fs::write(place.path().join(name), value.to_string()).unwrap();
    fs::write(place.path().join("lamp.plan"), PLAN).unwrap();
    let piece = |arms: &str| json!({ "piece": "cap", "arms": arms, "count": 4 });
    write(
        "set.json",
        json!({
            "name": "Lamp store",
            "plan": "lamp.plan",
            "faces": { "posts": "brick", "caps": "planks" },
            "pieces": [piece("N"), piece("W"), { "piece": "cap", "arms": "", "face": "#7a8b8c" }],
        }),
    );
    write("stock.json", json!({ "caps": [{ "arms": "NE", "count": 1 }, { "arms": "SW" }] }));
    let (found, _) = list(place.path(), &["sheets", "set.json", "--stock", "stock.json"]);
    let kinds: Vec<_> = caps(&found).into_iter().map(|cap| (&cap["detail"], &cap["count"], &cap["face"])).collect();
    // Of six corners two are there; caps with one arm are one kind whichever way it points.
    let [four, eight, one] = [4, 8, 1].map(Value::from);
    let [planks, grey] = ["planks", "#7a8b8c"].map(Value::from);
    let [corner, end, plain] = ["corner NW", "end N", "plain"].map(Value::from);
    assert_eq!(kinds, [(&corner, &four, &planks), (&end, &eight, &planks), (&plain, &one, &grey)]);
}
