//! Wall designs as data: those that are carried cut what the geometry's own rules cut, can be built
//! over the whole range of walls, and bad ones are refused with their place.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use flatwright::problem::{At, Problem, Problems, Source, SourceText};
use flatwright::templates::design_draw::{Drawn, Given, Site, draw};
use flatwright::templates::design_file::{self, Recipe};
use flatwright_folding::place::prove_piece;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../templates-src/walls")
}

fn carried() -> Vec<(String, String)> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let text = |path: &PathBuf| (path.file_name().unwrap().display().to_string(), fs::read_to_string(path).unwrap());
    files.iter().map(text).collect()
}

fn recipe(name: &str) -> Recipe {
    let (file, text) = carried().into_iter().find(|(file, _)| file == name).unwrap();
    design_file::read(&file, text.into_bytes()).unwrap_or_else(|problems| panic!("{}", problems.plain(100)))
}

fn nowhere() -> At {
    let source = Source::new(SourceText { name: "a test".into(), text: " ".into() });
    At { source, start: 0, end: 1 }
}

fn drawn(recipe: &Recipe, p: &Parameters, span: f64, values: &[(&str, &str)]) -> Result<Drawn, Vec<Problem>> {
    let at = nowhere();
    let given: Vec<Given> =
        (values.iter()).map(|(key, text)| Given { key: (*key).into(), text: (*text).into(), at: at.clone() }).collect();
    let mut problems = Vec::new();
    let drawn = draw(recipe, &given, Site { parameters: p, span, asked_by: "the wall", at: &at }, &mut problems);
    drawn.ok_or(problems)
}

fn builds() -> Vec<Parameters> {
    let mm = Mm::new;
    let usual = Parameters::default();
    vec![
        usual.clone(),
        Parameters { card: mm(0.5), wall_height: mm(60.0), ..usual.clone() },
        Parameters { walls: WallBuild::Board, ..usual.clone() },
        Parameters { walls: WallBuild::Board, board: mm(10.0), module: mm(90.0), ..usual },
    ]
}

/// A file, the rule that cuts the same, and the file's values for it.
type Case = (&'static str, Opening, Vec<(&'static str, &'static str)>);

/// The rules of the geometry were written before the files and share nothing with them.
#[test]
fn files_cut_what_the_rules_cut() {
    let mm = Mm::new;
    let (width, height) = (mm(24.0), mm(38.0));
    let cases: Vec<Case> = vec![
        (
            "door.json",
            Opening::Door { width, height, hinge: HingeSide::Right },
            vec![("width", "24 mm"), ("height", "38 mm"), ("hinge", "right")],
        ),
        ("door.json", Opening::Door { width: mm(25.0), height: mm(40.0), hinge: HingeSide::Left }, vec![]),
        (
            "arch.json",
            Opening::Arch { width: Mm::inches(1.25), height },
            vec![("width", "1 1/4 in"), ("height", "38 mm")],
        ),
        (
            "window.json",
            Opening::Window { width: mm(18.0), height: mm(24.0), sill: mm(16.0), arched: true },
            vec![("width", "18 mm"), ("height", "24 mm"), ("sill", "16 mm"), ("arched", "")],
        ),
        (
            "window.json",
            Opening::Window { width: mm(20.0), height: mm(20.0), sill: mm(18.0), arched: false },
            vec![("arched", "false")],
        ),
        (
            "bars.json",
            Opening::Bars { width: mm(32.0), height: mm(26.0), sill: mm(14.0), count: 5, bar: mm(2.0) },
            vec![("width", "32 mm"), ("height", "26 mm"), ("sill", "14 mm"), ("count", "5")],
        ),
        ("low.json", Opening::Low { height: mm(25.0) }, vec![]),
    ];
    for p in builds() {
        for span in [1.0, 4.0 / 3.0, 2.0, 3.0] {
            for (file, rule, values) in &cases {
                let by_rule = Wall { span, opening: Some(rule.clone()) }.patterns(&p);
                let opening = drawn(&recipe(file), &p, span, values).unwrap().opening;
                let by_file = Wall { span, opening: Some(opening) }.patterns(&p);
                if span.fract() == 0.0 {
                    assert_eq!(by_file, by_rule, "{file} over {span} modules");
                    continue;
                }
                // Where a third of a module is rounded, arcs may be divided elsewhere: both are as near to
                // the true one as any curve.
                for (one, other) in by_file.unwrap().iter().zip(&by_rule.unwrap()) {
                    let corners = |pattern: &flatwright_geometry::pattern::Pattern| -> Vec<_> {
                        pattern.material.contours().flat_map(|contour| contour.points().to_vec()).collect()
                    };
                    let (one, other) = (corners(one), corners(other));
                    assert_eq!(one.len(), other.len(), "{file} over {span} modules");
                    let apart = one.iter().zip(&other).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
                    assert!(apart <= flatwright_geometry::tolerance::CHORD, "{file}: {apart}");
                }
            }
        }
    }
}

/// What has no room is told in the same words.
#[test]
fn files_refuse_what_the_rules_refuse() {
    let mm = Mm::new;
    let p = Parameters::default();
    let cases: Vec<Case> = vec![
        (
            "door.json",
            Opening::Door { width: mm(55.0), height: mm(40.0), hinge: HingeSide::Left },
            vec![("width", "55 mm"), ("height", "40 mm")],
        ),
        ("arch.json", Opening::Arch { width: mm(30.0), height: mm(48.0) }, vec![("height", "48 mm")]),
        (
            "window.json",
            Opening::Window { width: mm(20.0), height: mm(20.0), sill: mm(3.0), arched: false },
            vec![("sill", "3 mm")],
        ),
        ("low.json", Opening::Low { height: mm(2.0) }, vec![("height", "2 mm")]),
        ("low.json", Opening::Low { height: mm(49.5) }, vec![("height", "49.5 mm")]),
    ];
    for (file, rule, values) in cases {
        let by_rule = Wall { span: 1.0, opening: Some(rule) }.patterns(&p).unwrap_err();
        let opening = drawn(&recipe(file), &p, 1.0, &values).unwrap().opening;
        let by_file = Wall { span: 1.0, opening: Some(opening) }.patterns(&p).unwrap_err();
        assert_eq!(by_file, by_rule, "{file}");
    }
    let told = |file: &str, values: &[(&str, &str)]| {
        let problems = drawn(&recipe(file), &p, 1.0, values).unwrap_err();
        problems.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let bars = told("bars.json", &[("count", "14"), ("bar", "0.5 mm")]);
    assert_eq!(
        bars,
        [
            "the wall cannot be built: a bar is as wide as the tool can leave it: 0.5 mm where at least 0.8 mm are needed"
        ]
    );
    let arch = told("arch.json", &[("width", "40 mm"), ("height", "15 mm")]);
    assert_eq!(
        arch,
        [
            "the wall cannot be built: the arch is higher than its half-round head: 15 mm where at least 20 mm are needed"
        ]
    );
}

#[test]
fn every_design_that_is_carried_can_be_built_and_folds() {
    let mut boxes = 0;
    for (file, text) in carried() {
        let recipe = design_file::read(&file, text.into_bytes()).unwrap_or_else(|p| panic!("{}", p.plain(100)));
        // Black lines over it keep 3:1 (WCAG 2.2, success criterion 1.4.11).
        assert!(recipe.warnings.is_empty(), "{file}: {:?}", recipe.warnings);
        for p in builds() {
            for span in [1.0, 2.0, 3.0] {
                let drawn = drawn(&recipe, &p, span, &[]).unwrap_or_else(|found| panic!("{file}: {found:?}"));
                assert!(!drawn.ornament.is_empty(), "{file} draws nothing");
                let wall = Piece::Wall(Wall { span, opening: Some(drawn.opening) });
                let patterns = prove_piece(&p, &wall).unwrap_or_else(|error| panic!("{file} over {span}: {error}"));
                boxes += patterns.iter().filter(|pattern| pattern.kind == PieceKind::NicheBox).count();
                // The same again is the same.
                assert_eq!(drawn.ornament, self::drawn(&recipe, &p, span, &[]).unwrap().ornament);
            }
        }
    }
    assert_eq!(boxes, 4 * 3, "one design has a niche");
}

/// A new design is a file and nothing else.
#[test]
fn a_new_design_is_one_file() {
    let text = r##"{
        "design": "drain",
        "values": {"width": "12 mm", "slots": 3},
        "names": {"pitch": "width / slots"},
        "cut": [{"shape": "repeat", "count": "slots", "of": [
            {"shape": "circle", "middle": ["length / 2 + (i + 0.5 - slots / 2) * pitch", 12], "radius": "pitch / 4"}
        ]}],
        "ornament": [{"shape": "box", "from": ["length / 2 - 10", 7], "to": ["length / 2 + 10", 17], "fill": "#8b9294"}]
    }"##;
    let recipe = design_file::read("drain.json", text.into()).unwrap();
    let p = Parameters::default();
    let Opening::Drawn(design) = drawn(&recipe, &p, 1.0, &[("slots", "2")]).unwrap().opening else {
        panic!("a design is drawn")
    };
    assert_eq!((design.name.as_str(), design.cuts.len()), ("drain", 2));
    // A circle of radius 1.5 mm, its chords no farther than 0.01 mm from it.
    let area = design.cuts[0].area();
    let (most, least) = (std::f64::consts::PI * 1.5 * 1.5, std::f64::consts::PI * 1.49 * 1.49 - 0.05);
    assert!((least..=most).contains(&area), "{area}");
    let wall = Wall { span: 1.0, opening: Some(Opening::Drawn(Arc::clone(&design))) };
    assert_eq!(wall.patterns(&p).unwrap()[0].material.holes.len(), 4, "front and back");
}

/// JSON Schema draft 2020-12, by an independent validator.
#[test]
fn the_schema_takes_what_is_carried() {
    let schema = serde_json::to_value(design_file::schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (file, text) in carried() {
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{file}: {errors:?}");
    }
    let bad = serde_json::json!({"design": "x", "cut": [{"shape": "blob"}]});
    assert!(!validator.is_valid(&bad));
}

fn refused(name: &str, text: String) -> Option<Problems> {
    design_file::read(name, text.into_bytes()).err()
}

/// `UPDATE_EXPECTED=1 cargo test -p flatwright --test designs` rewrites the messages; read the
/// difference before you keep it.
#[test]
fn every_bad_design_is_refused_with_its_message() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/bad/designs");
    let mut files: Vec<PathBuf> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    assert!(files.len() >= 3);
    for path in files {
        let name = path.file_name().unwrap().display().to_string();
        let problems = refused(&name, fs::read_to_string(&path).unwrap());
        let message = problems.unwrap_or_else(|| panic!("{name} was accepted")).plain(100);
        let beside = path.with_extension("txt");
        if update {
            fs::write(&beside, &message).unwrap();
        } else {
            assert_eq!(fs::read_to_string(&beside).unwrap_or_default(), message, "{name}");
        }
    }
}

/// Files cut short and spoiled in many places, read and drawn: an answer each time.
#[test]
fn no_file_makes_it_panic() {
    let p = Parameters::default();
    let spoils = ["", "\"", "{", "}", "[", "(", ")", "-", "1e99", "/ 0", "é", "\u{0}", "i", "999"];
    for (file, text) in carried() {
        for (step, at) in (0..text.len()).step_by(41).enumerate() {
            if !text.is_char_boundary(at) || !text.is_char_boundary(at + 1) {
                continue;
            }
            let spoil = spoils[step % spoils.len()];
            for spoiled in [text[..at].to_owned(), format!("{}{spoil}{}", &text[..at], &text[at + 1..])] {
                if let Ok(recipe) = design_file::read(&file, spoiled.into_bytes())
                    && let Ok(drawn) = drawn(&recipe, &p, 1.0, &[])
                {
                    let _ = Wall { span: 1.0, opening: Some(drawn.opening) }.patterns(&p);
                }
            }
        }
    }
}
