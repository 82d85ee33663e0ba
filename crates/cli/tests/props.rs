//! Props as data: those that are carried fold in every card that they can be folded from, their parts
//! stand beside each other, and bad ones are refused with their place.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::{Path, PathBuf};

use flatwright::problem::{At, Problem, Source, SourceText};
use flatwright::templates::design_draw::{Given, Site};
use flatwright::templates::prop_draw::{Part, draw};
use flatwright::templates::prop_file::{self, PropFile};
use flatwright_folding::place::{Body, prove_piece};
use flatwright_folding::rules::{Finding, shared};
use flatwright_folding::shell::{close, standing};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::units::Mm;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

fn carried() -> Vec<PropFile> {
    let files = fs::read_dir(folder("templates-src/props")).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = files.collect();
    files.sort();
    let read = |path: &PathBuf| {
        let name = path.file_name().unwrap().display().to_string();
        prop_file::read(&name, fs::read(path).unwrap()).unwrap_or_else(|problems| panic!("{}", problems.plain(100)))
    };
    files.iter().map(read).collect()
}

fn drawn<'a>(file: &'a PropFile, p: &Parameters, values: &[(&str, &str)]) -> Result<Vec<Part<'a>>, Vec<Problem>> {
    let at = At { source: Source::new(SourceText { name: "a test".into(), text: " ".into() }), start: 0, end: 1 };
    let given: Vec<Given> =
        (values.iter()).map(|(key, text)| Given { key: (*key).into(), text: (*text).into(), at: at.clone() }).collect();
    let mut problems = Vec::new();
    draw(file, &given, Site { parameters: p, span: 1.0, asked_by: "the prop", at: &at }, &mut problems).ok_or(problems)
}

fn with(card: f64, board: f64) -> Parameters {
    Parameters { card: Mm::new(card), board: Mm::new(board), ..Parameters::default() }
}

/// The parts of a prop where they stand.
fn bodies(parts: &[Part<'_>], p: &Parameters) -> Vec<Body> {
    let mut bodies = Vec::new();
    for part in parts {
        let nets = part.prop.nets(p).unwrap_or_else(|error| panic!("{error}"));
        let solids: Vec<_> = close(p, &nets).unwrap_or_else(|error| panic!("{error}")).concat();
        for at in &part.at {
            let solids = standing(&solids, part.axes(), *at);
            bodies.push(Body { name: part.prop.name.clone(), kind: PieceKind::Prop, solids });
        }
    }
    bodies
}

/// From thin card to greyboard and from thin board to thick: what is drawn folds, and its parts share
/// no space. Thick card is refused where a part is too small for it, and says so.
#[test]
fn every_prop_that_is_carried_folds() {
    let props = carried();
    assert_eq!(props.len(), 9);
    let mut refused = Vec::new();
    for file in &props {
        for (card, board) in [(0.25, 3.0), (0.25, 5.0), (0.25, 10.0), (0.5, 5.0), (1.0, 5.0)] {
            let p = with(card, board);
            let parts = drawn(file, &p, &[]).unwrap_or_else(|found| panic!("{}: {found:?}", file.prop.0));
            let proved = parts.iter().map(|part| prove_piece(&p, &Piece::Prop(part.prop.clone())));
            if let Err(error) = proved.collect::<Result<Vec<_>, _>>() {
                let error = error.to_string();
                assert!(error.contains("has room for its folds") || error.contains("has an inside"), "{error}");
                refused.push(format!("{} in {card} mm: {error}", file.prop.0));
                continue;
            }
            let found = shared(&bodies(&parts, &p));
            assert!(found.iter().all(Finding::holds), "{} in {card} mm: {found:#?}", file.prop.0);
        }
    }
    println!("refused: {refused:#?}");
    assert!(refused.iter().all(|what| !what.contains("in 0.25 mm") && !what.contains("in 0.5 mm")), "{refused:#?}");
}

/// The check of parts can fail: a table whose legs stand in its top.
#[test]
fn parts_that_share_space_are_found() {
    let props = carried();
    let table = props.iter().find(|file| file.prop.0 == "table").unwrap();
    let p = with(0.25, 5.0);
    let mut parts = drawn(table, &p, &[]).unwrap();
    parts[0].at[0].z -= 2.0;
    assert!(shared(&bodies(&parts, &p)).iter().any(|finding| !finding.holds()));
}

#[test]
fn values_change_a_prop_and_bad_ones_are_told() {
    let props = carried();
    let prop = |name: &str| props.iter().find(|file| file.prop.0 == name).unwrap();
    let p = with(0.25, 5.0);
    let small = drawn(prop("crate"), &p, &[("length", "12 mm")]).unwrap();
    let size = small[0].prop.outside.volume();
    assert!((size - 12.0 * 18.0 * 16.0).abs() < 1e-9, "{size}");
    assert_eq!(drawn(prop("brine vat"), &p, &[("filled", "false")]).unwrap().len(), 1);
    let told = |name: &str, values: &[(&str, &str)]| {
        let problems = drawn(prop(name), &p, values).unwrap_err();
        problems.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(told("crate", &[("lenght", "12 mm")]), ["the prop \"crate\" has no value \"lenght\""]);
    assert_eq!(
        told("crate", &[("height", "0 mm")]),
        [
            "the prop cannot be built: the crate: the card's thickness leaves nothing of it, or its faces no common corner"
        ]
    );
    let legs = told("table", &[("leg", "20 mm")]);
    assert_eq!(legs, ["the prop cannot be built: legs stand apart: -18 mm where at least 1 mm are needed"]);
}

/// Every upright face of a cage is barred, with bars and gaps no narrower than asked; the southern one is a
/// door whose leaf swings. Without room for a window, or with bars that no knife leaves whole, it is refused.
#[test]
fn a_cage_has_bars_and_a_door() {
    let props = carried();
    let cage = props.iter().find(|file| file.prop.0 == "cage").unwrap();
    for card in [0.25, 0.5] {
        let p = with(card, 5.0);
        for door in [true, false] {
            let parts = drawn(cage, &p, &[("door", &door.to_string())]).unwrap();
            let nets = parts[0].prop.nets(&p).unwrap_or_else(|error| panic!("{error}"));
            close(&p, &nets).unwrap_or_else(|error| panic!("{error}"));
            let panels: Vec<_> = nets.iter().flat_map(|net| &net.pattern.net.panels).collect();
            let barred: Vec<_> = panels.iter().filter(|panel| !panel.region.holes.is_empty()).collect();
            // Four sides, and with a door its leaf besides.
            assert_eq!(barred.len(), 4 + usize::from(door));
            assert_eq!(panels.iter().filter(|panel| panel.name == "leaf").count(), usize::from(door));
            let swinging = nets.iter().flat_map(|net| &net.pattern.net.hinges).filter(|hinge| hinge.swings).count();
            assert_eq!(swinging, usize::from(door));
            for panel in barred {
                let mut holes: Vec<_> =
                    panel.region.holes.iter().map(flatwright_geometry::contour::Contour::bounds).collect();
                if door && holes.len() == 1 {
                    continue;
                }
                // Whichever way the face lies in its net, bars lie side by side.
                let upright = holes[0].height() > holes[0].width();
                let span = |hole: &kurbo::Rect| if upright { (hole.x0, hole.x1) } else { (hole.y0, hole.y1) };
                holes.sort_by(|a, b| span(a).0.total_cmp(&span(b).0));
                assert!(holes.iter().map(span).all(|(from, to)| to - from > 3.0 - 1e-3), "{holes:?}");
                assert!(
                    holes.windows(2).all(|two| (span(&two[1]).0 - span(&two[0]).1 - 2.0).abs() < 1e-3),
                    "{holes:?}"
                );
            }
        }
        let refused = |values: &[(&str, &str)]| {
            let parts = drawn(cage, &p, values).unwrap();
            parts[0].prop.nets(&p).expect_err("refused").to_string()
        };
        assert!(refused(&[("bar", "1 mm")]).contains("bars as wide as a knife needs"));
        assert!(refused(&[("rim", "4 mm")]).contains("rim that hides its glue flaps"));
        assert!(refused(&[("height", "16 mm")]).contains("face with room for bars"));
        assert!(refused(&[("length", "22 mm")]).contains("room for a barred door"));
    }
}

/// Round parts have as many facets as their card can carry, and are scored where they bend little.
#[test]
fn a_round_part_has_more_facets_in_thinner_card() {
    let text = r#"{"prop": "drum", "parts": [
        {"solid": "prism", "part": "drum", "round": true, "radius": 20, "height": 16, "open": ["top", "bottom"]}
    ]}"#;
    let file = prop_file::read("drum.json", text.into()).unwrap();
    let mut last = usize::MAX;
    for card in [0.25, 0.5, 1.0] {
        let p = with(card, 5.0);
        let parts = drawn(&file, &p, &[]).unwrap();
        let facets = parts[0].prop.outside.faces().len() - 2;
        assert!(facets <= last && facets >= 12, "{facets} in {card} mm");
        last = facets;
        let patterns = prove_piece(&p, &Piece::Prop(parts[0].prop.clone())).unwrap_or_else(|error| panic!("{error}"));
        let scored = patterns[0].net.hinges.iter().filter(|hinge| hinge.is_scored()).count();
        assert_eq!(scored > 0, facets > 18, "{facets} facets bend by {} degrees", 360 / facets);
    }
}

/// `UPDATE_EXPECTED=1` rewrites the messages; read the difference before you keep it.
#[test]
fn bad_props_are_refused_with_their_place() {
    let mut files: Vec<PathBuf> =
        fs::read_dir(folder("fixtures/bad/props")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    assert!(files.len() >= 2);
    for path in files {
        let name = path.file_name().unwrap().display().to_string();
        let problems = prop_file::read(&name, fs::read(&path).unwrap()).expect_err("must be refused").plain(100);
        let beside = path.with_extension("txt");
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            fs::write(&beside, &problems).unwrap();
        }
        assert_eq!(problems, fs::read_to_string(&beside).unwrap_or_default(), "{name}");
    }
}

/// A set's roofs come with all their parts.
#[test]
fn a_set_may_have_roofs() {
    let text = r#"{"name": "roofs", "pieces": [
        {"piece": "roof", "form": "hip", "size": [3, 2], "count": 2, "label": "brine hall"},
        {"piece": "roof", "form": "gable", "plan": [[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]], "pitch": "35 deg"},
        {"piece": "roof", "form": "lean-to", "size": [2, 1], "over": "caps"},
        {"piece": "roof", "form": "flat", "size": [1, 1], "skirt": "outside"}
    ]}"#;
    let set = flatwright::pipeline::resolve("roofs.json", text.into(), &flatwright::args::Overrides::default());
    let set = set.unwrap_or_else(|problems| panic!("{}", problems.plain(100)));
    let count = |kind: PieceKind| set.pieces.iter().filter(|piece| piece.pattern.kind == kind).count();
    // One ridge over the hip, two over the L.
    assert_eq!(count(PieceKind::RidgeCap), 3);
    // Four over the hip roof's corners; a gable roof has none but where it turns out of its corner.
    assert!(count(PieceKind::HipCap) >= 4);
    assert!(count(PieceKind::RoofSkirt) >= 4 && count(PieceKind::Roof) > 8);
    assert!(set.pieces.iter().all(|piece| piece.face.is_some() && piece.count >= 1));
}
