//! Stairs, pillars and free-standing walls of a set, from the file to its sheets.

use flatwright::args::Overrides;
use flatwright::import::Set;
use flatwright::pipeline::{self, Effort};

fn set(pieces: &str) -> Set {
    let text = format!(r#"{{ "name": "Tide stair", "pieces": [{pieces}] }}"#);
    pipeline::resolve("set.json", text.into_bytes(), &Overrides::default())
        .unwrap_or_else(|problems| panic!("{}", problems.plain(200)))
}

const ALL: &str = r#"
    { "piece": "stair", "run": 1, "count": 2 },
    { "piece": "stair", "run": 2, "face": "planks", "label": "tide stair" },
    { "piece": "stair", "run": 1, "climb": "lower" },
    { "piece": "stair", "run": 1, "climb": "upper" },
    { "piece": "half-landing", "size": [1, 2] },
    { "piece": "stair-marker", "run": 1 },
    { "piece": "pillar", "across": "24 mm", "count": 3 },
    { "piece": "pillar", "sides": 4, "across": "14 mm", "height": "30 mm" },
    { "piece": "tile", "size": [2, 3], "opening": { "size": [1, 2] }, "count": 2 },
    { "piece": "tile", "size": [3, 2], "opening": { "at": ["1/2", "1/2"], "size": [2, 1] } },
    { "piece": "grating", "size": [1, 2], "count": 2 },
    { "piece": "filler", "span": "1/3", "count": 2 },
    { "piece": "filler", "span": "2/3", "face": "brick" },
    { "piece": "free-wall", "span": "1/3" },
    { "piece": "free-wall", "span": "2/3", "design": { "name": "cracked wall" } },
    { "piece": "free-wall", "span": 1, "opening": { "arch": { "width": "25 mm", "height": "40 mm" } } }"#;

#[test]
fn each_has_its_identifier_and_count() {
    let set = set(ALL);
    // Of what comes in several nets the first one stands for the whole.
    let first =
        set.pieces.iter().filter(|piece| !["net 2", "net 3"].iter().any(|net| piece.pattern.detail.contains(net)));
    let listed: Vec<(&str, u32)> = first.map(|piece| (piece.id.as_str(), piece.count)).collect();
    let of = |letters: &str| -> u32 { listed.iter().filter(|(id, _)| id.starts_with(letters)).map(|(_, n)| n).sum() };
    assert_eq!(of("ST"), 5, "{listed:?}");
    assert_eq!(of("HL"), 1, "{listed:?}");
    assert_eq!(of("SM"), 1, "{listed:?}");
    assert_eq!((of("GR"), of("GB")), (2, 2), "{listed:?}");
    // The second tile is the first one turned.
    assert_eq!((of("TC"), of("TW"), of("CP")), (3, 3, 12), "{listed:?}");
    assert!(listed.contains(&("TC1", 3)), "{listed:?}");
    assert_eq!(of("PI"), 4, "{listed:?}");
    assert_eq!((of("FW"), of("FI"), of("WB")), (3, 3, 6), "{listed:?}");
}

#[test]
fn they_are_proved_and_laid_out() {
    let set = set(ALL);
    let proof = pipeline::prove(&set);
    assert!(proof.joints_hold(), "{}", proof.failures());
    let composed = pipeline::lay_out("set.json", &set, &proof, Effort { seed: 1, steps: Some(0) }, &mut |_| {});
    let composed = composed.unwrap_or_else(|failure| panic!("{failure:?}"));
    for (index, piece) in set.pieces.iter().enumerate() {
        let laid: u32 = composed
            .sheets
            .iter()
            .map(|sheet| sheet.copies * sheet.placements.iter().filter(|placed| placed.part == index).count() as u32)
            .sum();
        assert!(laid >= piece.count, "{}: {laid} of {}", piece.id, piece.count);
    }
}

/// A thicker board makes the way up longer: the same steps, each a little higher.
#[test]
fn a_thicker_board_makes_higher_steps() {
    let flight = |board: &str| {
        let overrides = Overrides { board: Some(board.to_owned()), ..Overrides::default() };
        let text = r#"{ "name": "Tide stair", "pieces": [{ "piece": "stair", "run": 1 }] }"#;
        let set =
            pipeline::resolve("set.json", text.as_bytes().to_vec(), &overrides).unwrap_or_else(|_| panic!("a set"));
        let mut panels = set.pieces.iter().flat_map(|piece| &piece.pattern.net.panels);
        let riser = panels.find(|panel| panel.name == "riser").map(|panel| panel.region.bounds());
        riser.map(|bounds| bounds.width().min(bounds.height())).unwrap_or_default()
    };
    let (thin, thick) = (flight("5 mm"), flight("8 mm"));
    assert!((thick - thin - 1.0).abs() < 1e-3, "{thin} and {thick}: 3 mm more on three steps");
}
