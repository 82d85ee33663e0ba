//! Bent walls and turn tiles of a set, from the file to its sheets.

use flatwright::args::Overrides;
use flatwright::import::Set;
use flatwright::pipeline::{self, Effort};
use flatwright_geometry::pattern::PieceKind;

fn set(parameters: &str, pieces: &str) -> Set {
    let text = format!(r#"{{ "name": "Pump house", "parameters": {{ {parameters} }}, "pieces": [{pieces}] }}"#);
    pipeline::resolve("set.json", text.into_bytes(), &Overrides::default())
        .unwrap_or_else(|problems| panic!("{}", problems.plain(200)))
}

const ALL: &str = r#"
    { "piece": "bent-wall", "reach": 1, "count": 3 },
    { "piece": "bent-wall", "reach": 2, "opening": { "arch": { "width": "40 mm", "height": "42 mm" } } },
    { "piece": "bent-wall", "reach": 1, "form": "diagonal", "design": { "name": "window" }, "face": "brick" },
    { "piece": "turn-tile", "part": "fan", "reach": 1, "count": 4, "face": "cobble" },
    { "piece": "turn-tile", "part": "ring", "reach": 2, "inner": 1 },
    { "piece": "turn-tile", "part": "spandrel", "reach": 2, "form": "diagonal" },
    { "piece": "turn-tile", "part": "fan", "reach": 2, "form": "diagonal", "pockets": false }"#;

fn count(set: &Set, kind: PieceKind) -> u32 {
    set.pieces.iter().filter(|piece| piece.pattern.kind == kind).map(|piece| piece.count).sum()
}

#[test]
fn a_tile_brings_its_core_its_wrap_and_its_pockets() {
    let set = set("", ALL);
    // Two skins each.
    assert_eq!(count(&set, PieceKind::BentWall), 2 * (3 + 1 + 1));
    assert_eq!((count(&set, PieceKind::TurnCore), count(&set, PieceKind::TurnWrap)), (7, 7));
    // A fan has one usual corner, a ring two, a spandrel of two modules one; at a bend's ends they are cut off.
    assert_eq!(count(&set, PieceKind::CornerPocket), 4 + 2 + 1);
    assert_eq!(count(&set, PieceKind::BendPocket), 4 * 2 + 2);
}

#[test]
fn they_are_proved_and_laid_out() {
    for parameters in ["", r#""board": "10 mm", "card": "0.5 mm", "walls": "board""#] {
        let set = set(parameters, ALL);
        let proof = pipeline::prove(&set);
        assert!(proof.joints_hold(), "{}", proof.failures());
        let composed = pipeline::lay_out("set.json", &set, &proof, Effort { seed: 1, steps: Some(0) }, &mut |_| {});
        let composed = composed.unwrap_or_else(|failure| panic!("{failure:?}"));
        for (index, piece) in set.pieces.iter().enumerate() {
            let on = |sheet: &flatwright_sheets::compose::SheetRecord| {
                sheet.copies * sheet.placements.iter().filter(|placed| placed.part == index).count() as u32
            };
            let laid: u32 = composed.sheets.iter().map(on).sum();
            assert!(laid >= piece.count, "{}: {laid} of {}", piece.id, piece.count);
        }
    }
}
