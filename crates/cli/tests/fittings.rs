//! Fittings in a floor plan, from its text to pieces, proof, drawing, guide and parts.json.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use flatwright::args::Overrides;
use flatwright::import::Set;
use flatwright::parts::PartsList;
use flatwright::pipeline::{self, Effort};
use flatwright::planned::{guide, view};
use flatwright::proof::{self, Which};
use flatwright_planning::assemble::Spot;
use flatwright_sheets::plan_view::{FittingKind, PlanItem};
use serde_json::Value;

const STORE: &str = "\
title: The lamp store of Brinewell
surface b: brine flags
wall A: arch 24 mm x 30 mm
prop c: crate, width 20 mm, turned 30
prop d: crate, width 20 mm, at 0.7 0.3
prop t: table, face planks
prop k: cask
pillar i: 8 sides, across 24 mm
free-wall f: 2/3, along north
free-wall a: 1, wall A
level store:
+---+-A-+---+---+
|cbk  bf db   bc|
+   +   +   +   +
| b  ib  tb   ba|
+---+---+---+---+
";

fn set(text: &str) -> Set {
    let read = pipeline::resolve("store.plan", text.as_bytes().to_vec(), &Overrides::default());
    read.unwrap_or_else(|problems| panic!("{}", problems.plain(200)))
}

fn refused(text: &str) -> String {
    pipeline::resolve("store.plan", text.as_bytes().to_vec(), &Overrides::default()).unwrap_err().plain(200)
}

fn record(set: &Set) -> Value {
    let proof = pipeline::prove(set);
    let composed = pipeline::lay_out("store.plan", set, &proof, Effort { seed: 1, steps: Some(0) }, &mut |_| {});
    let list = PartsList::new(set, Some(&composed.unwrap_or_else(|failure| panic!("{failure:?}"))));
    serde_json::to_value(list).unwrap()
}

#[test]
fn pieces_are_counted_and_equal_ones_are_one() {
    let set = set(STORE);
    let of = |letters: &str| -> Vec<u32> {
        set.pieces.iter().filter(|piece| piece.id.starts_with(letters)).map(|piece| piece.count).collect()
    };
    // Crates turned or moved are the same piece; a table has a top and four legs; a cask comes in several nets.
    let props: Vec<(&str, u32)> = set
        .pieces
        .iter()
        .filter(|piece| piece.id.starts_with("PR"))
        .map(|piece| (piece.pattern.detail.as_str(), piece.count))
        .collect();
    assert_eq!(props.iter().filter(|(detail, count)| *detail == "crate" && *count == 3).count(), 1, "{props:?}");
    assert!(props.contains(&("table, leg", 4)) && props.contains(&("table, top", 1)), "{props:?}");
    assert_eq!((of("PI"), of("FW"), of("WB")), (vec![1], vec![1, 1], vec![1, 1]));
}

/// What is built holds; where a fitting is moved into another by hand, it does not: the check can fail.
#[test]
fn the_build_holds_and_shows_every_fitting() {
    let set = set(STORE);
    let proof = pipeline::prove(&set);
    assert!(proof.holds(), "{}", proof.failures());
    let placed = proof::placed(&set, &proof, Which::Level(0)).unwrap();
    let (scene, _) = proof::scene(&set, &proof, &placed).unwrap();
    let names = |what: &str| scene.shown.iter().filter(|shown| shown.body.name.contains(what)).count();
    // A wall and its plate, and five parts of a table.
    assert_eq!((names("(crate)"), names("(table, part"), names("free-standing wall")), (3, 5, 4));
    // All but plates wear a print.
    let bare: Vec<&str> = (scene.shown.iter())
        .filter(|shown| shown.body.name.contains('(') && shown.skins.is_empty())
        .map(|shown| shown.body.name.as_str())
        .collect();
    assert!(bare.len() == 2 && bare.iter().all(|name| name.starts_with("plate of FW")), "{bare:?}");

    let mut moved = set.clone();
    let plan = moved.plan.as_mut().unwrap();
    let table = plan.levels[0].build.fittings.iter().position(|place| plan.plan.fittings[place.design].letter == 't');
    plan.levels[0].build.fittings[table.unwrap()].at = (1.5, 1.5);
    let proof = pipeline::prove(&moved);
    assert!(proof.failures().contains("share space"), "{}", proof.failures());
}

#[test]
fn the_record_has_each_with_its_place() {
    let set = set(STORE);
    let list = record(&set);
    let schema = serde_json::to_value(flatwright::parts::schema()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors: Vec<String> = validator.iter_errors(&list).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let fittings = list["plan"]["levels"][0]["fittings"].as_array().unwrap();
    assert_eq!(fittings.len(), 8);
    let crates: Vec<&Value> = fittings.iter().filter(|one| one["name"] == "crate").collect();
    let at: Vec<String> = crates.iter().map(|one| one["at"].to_string()).collect();
    assert_eq!(at, ["[0.25,0.5]", "[2.7,0.3]", "[3.5,0.5]"]);
    assert!(crates.iter().all(|one| one["pieces"] == crates[0]["pieces"]));
    assert_eq!(crates[1]["room"], serde_json::json!([22.0, 20.0, 16.0]));
    let wall = fittings.iter().find(|one| one["letter"] == "f").unwrap();
    assert_eq!((wall["turned"].as_f64(), wall["pieces"].as_array().unwrap().len()), (Some(90.0), 2));
}

#[test]
fn the_drawing_and_the_guide_have_each() {
    let set = set(STORE);
    let planned = set.plan.as_ref().unwrap();
    let drawn = view::view(planned, "store", &set.parameters);
    let kinds: Vec<FittingKind> = drawn.levels[0].fittings.iter().map(|fitting| fitting.kind).collect();
    let of = |kind| kinds.iter().filter(|other| **other == kind).count();
    assert_eq!((of(FittingKind::Prop), of(FittingKind::Pillar), of(FittingKind::FreeWall)), (5, 1, 2));
    let table = drawn.levels[0]
        .fittings
        .iter()
        .find(|fitting| fitting.outline[0].len() == 4 && fitting.kind == FittingKind::Prop);
    assert!(
        table.is_some_and(|table| table.outline[0]
            .iter()
            .all(|(x, y)| (0.0..4.0).contains(x) && (0.0..2.0).contains(y)))
    );

    let proof = pipeline::prove(&set);
    let composed = pipeline::lay_out("store.plan", &set, &proof, Effort { seed: 1, steps: Some(0) }, &mut |_| {});
    let guide = guide::guide(&set, planned, &composed.unwrap(), Vec::new());
    assert!(guide.about.contains("8 fittings"), "{}", guide.about);
    let step = guide.steps.iter().find(|step| step.title == "Fittings").unwrap();
    let marked = step.highlight.iter().filter(|item| matches!(item.item, PlanItem::Fitting(_))).count();
    assert_eq!(marked, 8);
    let legs = planned.kinds.iter().find(|kind| kind.needed.count == 4 && kind.needed.name == "table").unwrap();
    assert!(step.pieces.contains(&(legs.pieces[0].id.clone(), 4)));
    // They go in after the walls.
    let at = |title: &str| guide.steps.iter().position(|step| step.title == title);
    assert!(at("Fittings") > at("Plain walls") && at("Fittings") > at("Walls with openings"));
    assert_eq!(planned.ids_at(0, Spot::Fitting(0)).len(), 1);
}

/// A thicker wall or a larger post leaves a fitting no room: the parameters decide.
#[test]
fn parameters_decide_about_room() {
    let plan =
        |at: &str| format!("surface b: flags\nprop c: crate, at {at}\nlevel store:\n+---+---+\n| bc  b |\n+---+---+\n");
    // Half of 22 mm and half a wall of 0.5 mm: 11.25 mm, and half the play.
    set(&plan("0.15 0.5"));
    assert!(refused(&plan("0.14 0.5")).contains("reaches 0.8 x 18 mm into a wall"), "{}", refused(&plan("0.14 0.5")));
    let thick = format!("set: thick.json\n{}", plan("0.15 0.5"));
    let place = tempfile::tempdir().unwrap();
    std::fs::write(place.path().join("store.plan"), thick).unwrap();
    let board = r#"{ "name": "x", "parameters": { "walls": "board" }, "pieces": [{ "piece": "biscuit" }] }"#;
    std::fs::write(place.path().join("thick.json"), board).unwrap();
    let told = pipeline::load(&place.path().join("store.plan"), None, &Overrides::default()).unwrap_err().plain(200);
    assert!(told.contains("into a wall"), "{told}");
}

/// On two levels each is made for its own; what is too high for the room below the upper one is refused.
#[test]
fn levels_keep_their_own() {
    let plan = |height: &str, above: &str| {
        format!(
            "surface b: flags\ntiles: 1x1\npillar i: across 24 mm, height {height}\nprop c: crate\nlevel ground:\n+---+---+\n| bi  bc|\n\
             +---+---+\nlevel loft:\n+---+---+\n|{above}| bc|\n+---+---+\n"
        )
    };
    let good = set(&plan("50 mm", " b "));
    let crates = good.plan.as_ref().unwrap().kinds.iter().find(|kind| kind.needed.name == "crate").unwrap();
    assert_eq!((crates.needed.count, crates.by_level.clone()), (2, vec![1, 1, 0]));
    let proof = pipeline::prove(&good);
    assert!(proof.holds(), "{}", proof.failures());
    let told = refused(&plan("51 mm", " b "));
    assert!(
        told.contains("is 51 mm high, and level \"loft\" has floor 50 mm above this one at column 1, row 1"),
        "{told}"
    );
}

/// The plan of the sample: a stair arrives exactly at the floor above, another one over a half landing.
#[test]
fn stairs_arrive_at_the_floor_above() {
    let plan = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/brinewell/salt-store.plan");
    let set = pipeline::load(&plan, None, &Overrides::default()).unwrap_or_else(|found| panic!("{}", found.plain(200)));
    let proof = pipeline::prove(&set);
    assert!(proof.holds(), "{}", proof.failures());
    // Top of each flight against the top of the loft's floor, in space.
    let placed = proof::placed(&set, &proof, Which::Whole).unwrap();
    let (scene, _) = proof::scene(&set, &proof, &placed).unwrap();
    let tops = |what: &str| -> Vec<f64> {
        let bodies = scene.shown.iter().filter(|shown| shown.body.name.contains(what));
        let top = |solids: &[flatwright_folding::solid::Solid]| {
            solids
                .iter()
                .flat_map(flatwright_folding::solid::Solid::corners)
                .map(|corner| corner.z)
                .fold(f64::MIN, f64::max)
        };
        bodies.map(|shown| top(&shown.body.solids)).collect()
    };
    let floor = tops("TW2 at column 4")[0];
    let stairs = tops("(stair)");
    assert_eq!(stairs.len(), 3);
    let half = set.parameters.level_pitch().get() / 2.0;
    for (top, expected) in stairs.iter().zip([floor, floor - half, floor]) {
        assert!((top - expected).abs() < 1e-6, "{stairs:?}, floor {floor}");
    }
    assert!((tops("(half landing)")[0] - (floor - half)).abs() < 1e-6);
    let marker = tops("(stair marker)")[0];
    assert!((marker - floor - set.parameters.card.get()).abs() < 1e-6);
    // Without the level above a builder is told that the stair leads to no floor of the plan.
    let text = "surface b: flags\nstair s: up east, run 1\nlevel store:\n+---+---+---+\n| b  sb   b |\n+---+---+---+\n";
    let alone = self::set(text);
    let warnings: Vec<String> = alone.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(warnings, ["the stair 's' leads to a floor that the plan does not have"]);
}

/// Every form lies on its posts and walls without sharing space, in its artwork, and one that would not is
/// found.
#[test]
fn roofs_lie_on_their_walls() {
    let plan = |roof: &str| {
        format!(
            "surface b: flags\nspans: 1\ntiles: 1x1\nprop c: crate\nroof store: {roof}\nlevel store:\n+---+---+---+\n\
             | b   b  cb |\n+   +---+---+\n| b |\n+---+\n"
        )
    };
    for roof in
        ["hip", "gable, pitch 30 deg, face brick", "hip, skirt outside", "flat, over 0 0 3 1", "lean-to, over 0 0 1 2"]
    {
        // Over a part the walls that go on have no room beside a skirt.
        let text = match roof.contains("over") {
            true => {
                plan(roof).replace("+   +---+---+\n| b |\n+---+\n", "+---+---+---+\n").replace("0 0 1 2", "0 0 3 1")
            }
            false => plan(roof),
        };
        let set = set(&text);
        let proof = pipeline::prove(&set);
        assert!(proof.holds(), "{roof}: {}", proof.failures());
        let placed = proof::placed(&set, &proof, Which::Level(0)).unwrap();
        let (scene, _) = proof::scene(&set, &proof, &placed).unwrap();
        let bodies: Vec<_> = scene.shown.iter().filter(|shown| shown.body.name.contains(" roof 1)")).collect();
        assert!(bodies.len() >= 2 && bodies.iter().all(|shown| !shown.skins.is_empty()), "{roof}: {}", bodies.len());
        // Each panel wears one print: the nets of a body are as many panels as it has solids.
        for shown in &bodies {
            let panels: usize = shown.skins.iter().map(|skin| scene.prints[skin.print].pattern.net.panels.len()).sum();
            assert_eq!(panels, shown.body.solids.len(), "{roof}: {}", shown.body.name);
        }
        let record = &record(&set)["plan"]["levels"][0]["roofs"][0];
        assert_eq!(record["form"], roof.split(',').next().unwrap());
        assert_eq!(record["skirt"], if roof.contains("outside") { "outside" } else { "inside" });
        let guide = guide::short_steps(set.plan.as_ref().unwrap());
        assert!(guide.last().unwrap().starts_with("Roofs (RF1"), "{guide:?}");
    }
    let mut low = set(&plan("hip"));
    low.plan.as_mut().unwrap().levels[0].build.roofs[0].at.x += 1;
    assert!(pipeline::prove(&low).failures().contains("share space"));
    let high = plan("hip").replace("prop c: crate", "prop c: crate, height 52 mm");
    assert!(refused(&high).contains("is 52 mm high, and a roof lies 50 mm above this floor"), "{}", refused(&high));
}
