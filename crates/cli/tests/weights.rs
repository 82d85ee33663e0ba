//! Weights of paper and card as a person meets them: the estimate of a caliper and where it is told,
//! warnings, and pieces whose grain keeps to their folds.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;

use common::{flatwright, text};
use serde_json::Value;

mod common;

/// What a run of `sheets` says on standard error, its parts list, which keeps to its schema, and its
/// cover's texts.
fn laid_out(parameters: &str, stock: &str, options: &[&str]) -> (String, Value, String) {
    let place = tempfile::tempdir().unwrap();
    let (set, folder) = (place.path().join("set.json"), place.path().join("out"));
    let pieces = r#"[
        { "piece": "tile", "size": [1, 2], "count": 2 },
        { "piece": "post", "arms": "NE", "feet": ["NE"], "count": 3 },
        { "piece": "wall", "span": 1, "count": 3 }
    ]"#;
    let all =
        format!(r#"{{ "name": "Lamp store", "parameters": {parameters}, "stock": {stock}, "pieces": {pieces} }}"#);
    fs::write(&set, all).unwrap();
    let done =
        flatwright(&["sheets", "--effort", "50"]).arg(&set).arg("-o").arg(&folder).args(options).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let list: Value = serde_json::from_slice(&fs::read(folder.join("parts.json")).unwrap()).unwrap();
    let schema = flatwright(&["schema", "--of", "parts"]).output().unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_slice(&schema.stdout).unwrap()).unwrap();
    let errors: Vec<String> = validator.iter_errors(&list).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let cover = fs::read_to_string(folder.join("sheets/001.svg")).unwrap();
    // Lines of running text, one after the other.
    let words = cover.split('>').filter_map(|tag| tag.split_once("</text")).map(|(words, _)| words);
    (text(&done.stderr), list, words.collect::<Vec<_>>().join(" "))
}

#[test]
fn a_caliper_is_an_estimate_until_it_is_measured() {
    let stock = r#"{ "card": { "weight": "110 lb index" }, "paper": { "weight": "80 gsm" } }"#;
    let (told, list, cover) = laid_out("{}", stock, &[]);
    // 110 lb index is 198.88 g/m2; at 1.3 cm3/g it is 0.2585 mm thick.
    let note = "Card: caliper 0.26 mm estimated from 199 g/m2 (110 lb index), a nominal weight: measure ten sheets with a \
                caliper and divide.";
    assert!(told.contains(&format!("note: {note}")), "{told}");
    assert!(cover.contains(note), "{cover}");
    assert!(told.contains("Paper: caliper 0.1 mm estimated from 80 g/m2"), "{told}");
    assert_eq!(list["parameters"]["card"], 0.26);
    let card = &list["stocks"][1];
    assert_eq!((&card["stock"], &card["grammage"]), (&"card".into(), &198.88.into()));
    assert_eq!(card["pound_weight"], "110 lb index");
    assert_eq!(card["caliper"], serde_json::json!({ "value": 0.26, "estimated": true }));
    let page = list["pages"].as_array().unwrap().iter().find(|page| page["stock"] == "card").unwrap();
    assert_eq!(page["material"], "card, 199 g/m2 (110 lb index)");
    // Measured, it is no estimate, in the file and on the command line.
    for (parameters, options) in [(r#"{ "card": "0.24 mm" }"#, &[][..]), ("{}", &["--card", "0.24 mm"][..])] {
        let (told, list, _) = laid_out(parameters, stock, options);
        assert!(!told.contains("Card:") && !told.contains("warning"), "{told}");
        assert_eq!(list["stocks"][1]["caliper"], serde_json::json!({ "value": 0.24, "estimated": false }));
    }
}

#[test]
fn weights_that_do_not_fit_are_warned_of() {
    let warned = |parameters: &str, stock: &str| {
        let (told, list, _) = laid_out(parameters, stock, &["--quiet"]);
        assert_eq!(list["warnings"].as_array().map_or(0, Vec::len), told.matches("warning:").count(), "{told}");
        told
    };
    let told = warned(r#"{ "card": "0.5 mm" }"#, r#"{ "card": { "weight": "200 g/m2" } }"#);
    assert!(told.contains("card of 200 g/m2 that is 0.5 mm thick has a bulk of 2.5 cm3/g, outside 0.7 to 2"), "{told}");
    let told = warned(r#"{ "paper": "0.05 mm" }"#, r#"{ "paper": { "weight": "120 g/m2" } }"#);
    assert!(told.contains("paper of 120 g/m2 that is 0.05 mm thick has a bulk of 0.42 cm3/g"), "{told}");
    let told = warned("{}", r#"{ "card": { "weight": "120 g/m2" }, "paper": { "weight": "65 lb cover" } }"#);
    assert!(told.contains("card of 120 g/m2 is limp for posts and walls"), "{told}");
    assert!(told.contains("paper of 176 g/m2 (65 lb cover) is stiff for wraps"), "{told}");
    let told = warned(r#"{ "card": "0.25 mm" }"#, r#"{ "card": { "weight": "250 g/m2" } }"#);
    assert!(!told.contains("warning"), "{told}");
}

#[test]
fn pieces_can_be_turned_so_that_they_fold_along_the_grain() {
    let stock = |way: &str| {
        format!(
            r#"{{ "card": {{ "grain": "long", "piece_grain": "{way}" }},
                 "paper": {{ "grain": "short", "piece_grain": "{way}" }} }}"#
        )
    };
    let (_, list, cover) = laid_out("{}", &stock("folds"), &[]);
    let of = |id: &str, key: &str| {
        list["pieces"].as_array().unwrap().iter().find(|piece| piece["id"] == id).unwrap().get(key).cloned()
    };
    assert_eq!((of("PO1", "folds_along"), of("PO1", "grain")), (Some("y".into()), Some("along".into())));
    assert_eq!((of("WA1", "folds_along"), of("WA1", "grain")), (Some("x".into()), Some("across".into())));
    assert_eq!((of("TC1", "folds_along"), of("TC1", "grain")), (None, None));
    assert!(!cover.contains("across the grain, so"), "{cover}");
    let mut arrows = 0;
    for page in list["pages"].as_array().unwrap().iter().filter(|page| page["stock"] != "board") {
        let upright = page["size"][0].as_f64() < page["size"][1].as_f64();
        let grain = if upright == (page["stock"] == "card") { "y" } else { "x" };
        for placed in page["placements"].as_array().unwrap() {
            assert!(placed.get("across_grain").is_none(), "{placed}");
            if let Some(arrow) = placed.get("arrow") {
                assert_eq!(arrow, grain, "{placed}");
                arrows += 1;
            }
        }
    }
    assert!(arrows > 3, "{arrows}");
}
