//! Spoiled files of every kind that the program reads: each ends in a result or in a list of
//! problems, within limits of time and memory, and never in a panic.
//!
//! The inputs are those of `fixtures/corpus` and of the samples, spoiled in a few places by a seeded
//! generator: no luck, the same inputs in every run. `FUZZ_RUNS=20 cargo test -p flatwright --test
//! fuzz` tries twenty times as many, `FUZZ_ONLY=7` the seventh alone. What once failed is kept in
//! `fixtures/corpus` and tried first.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

mod harness;
mod mutate;

use flatwright::args::Overrides;
use flatwright::calibration::{fit, profiles, readings};
use flatwright::class;
use flatwright::import::{self, Set};
use flatwright::open::{self, Input};
use flatwright::parts::PartsList;
use flatwright::pictures::{Fit, Picture};
use flatwright::pipeline::{self, Effort, Failure};
use flatwright::problem::{At, Problem, Problems, Source, SourceText};
use flatwright::templates::design_draw::{Site, draw};
use flatwright::templates::{design_file, prop_draw, prop_file, surface_file};
use flatwright_artwork::{Ink, Print};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use harness::{End, Target, root, run};

const JSON: &[&str] = &[
    "{", "}", "[", "]", "\"", ",", ":", "null", "true", "\\u0000", "\\ud800", "{}", "[]", "\"\"", "\u{20ac}",
    "\"5 mm\"",
];
/// A set of more pieces is not folded and laid out here: that is work, not danger.
const FEW: u64 = 80;

/// A list of problems has some, and each can be shown.
fn refused(problems: &Problems) -> End {
    assert!(problems.count() >= 1);
    assert!(!problems.plain(80).is_empty());
    End::Refused
}

fn refused_alone(problem: Problem) -> End {
    refused(&Problems::new("input", vec![problem]))
}

/// A set that was read goes through all that follows, to its files.
fn carried_on(set: &Set) -> End {
    PartsList::new(set, None).to_json().unwrap();
    if set.pieces.iter().map(|piece| u64::from(piece.count)).sum::<u64>() > FEW {
        return End::Taken;
    }
    let proof = pipeline::prove(set);
    if !proof.joints_hold() {
        assert!(!proof.failures().is_empty());
        return End::Refused;
    }
    let laid = pipeline::lay_out("input", set, &proof, Effort { seed: 1, steps: Some(0) }, &mut |_| {});
    match laid.and_then(|composed| pipeline::render(set, &composed, None, None)) {
        Ok(output) => assert!(!output.pages.is_empty()),
        Err(Failure::Input(problems)) => return refused(&problems),
        Err(Failure::Check(what)) => panic!("the program failed on good input: {what}"),
    }
    End::Taken
}

fn input(name: &str, bytes: &[u8]) -> Input {
    Input { name: name.into(), bytes: bytes.to_vec(), folder: root("fixtures/corpus") }
}

fn resolved(main: Input, stock: Option<Input>) -> End {
    match open::open(main, stock).and_then(|opened| import::import(opened, &Overrides::default())) {
        Ok(set) => carried_on(&set),
        Err(problems) => refused(&problems),
    }
}

fn nowhere() -> At {
    At { source: Source::new(SourceText { name: "a test".into(), text: " ".into() }), start: 0, end: 1 }
}

#[test]
fn set_files() {
    let words = [
        "\"pieces\"",
        "\"pictures\"",
        "\"plan\": \"plan/lamp-store.plan\"",
        "\"templates\": \"templates\"",
        "\"post\"",
        "\"wall\"",
        "\"tile\"",
        "\"design\": \"niche\"",
        "\"A4\"",
        "\"in-order\"",
        "\"split_large\": true",
        "\"1/3\"",
        "\"0 mm\"",
        "\"2000 mm\"",
        "\"kerf\": \"3 mm\"",
        "\"face\": \"salt\"",
        "\"count\": 9",
        "\"class\": { \"kits\": 3 }",
        "\"class\": { \"kits\": [\"a\", \"b\"], \"sheets\": \"shared\" }",
    ];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "set",
        more: &["samples/brinewell/*.json", "fixtures/bad/*.json", "fixtures/*.json"],
        words,
        runs: 250,
        check: |bytes| resolved(input("set.json", bytes), None),
    });
}

#[test]
fn plan_texts() {
    run(&Target {
        name: "plan",
        more: &["samples/brinewell/*.plan", "fixtures/bad/*.plan"],
        words: &[
            "+---+",
            "|",
            "+-D-+",
            " f ",
            "\n",
            "\t",
            "level top:\n",
            "wall D: door 25 mm x 40 mm\n",
            "surface f: x\n",
            "#",
            ":",
            "caps: yes\n",
            "over 2",
            "reliefs: every-module\n",
            "off-floor posts: plate\n",
            "\u{301}",
            "\u{20ac}",
            "tiles: 1x1\n",
            "spans: 3 1\n",
            "extra: 100000 biscuits\n",
        ],
        runs: 250,
        check: |bytes| resolved(input("lamp.plan", bytes), None),
    });
}

#[test]
fn stock_files() {
    let words =
        ["\"tiles\"", "\"posts\"", "\"caps\"", "\"walls\"", "\"biscuits\": 12", "\"arms\": \"NES\"", "\"span\": 1"];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "stock",
        more: &[],
        words,
        runs: 150,
        check: |bytes| {
            let plan = std::fs::read(root("fixtures/corpus/plan/lamp-store.plan")).unwrap();
            resolved(input("lamp.plan", &plan), Some(input("stock.json", bytes)))
        },
    });
}

#[test]
fn names_of_kits() {
    run(&Target {
        name: "names",
        more: &[],
        words: &["\n", "\r\n", "\u{feff}", "\t", "Ada\n", "7\n", "\u{301}", "\u{202e}", " "],
        runs: 200,
        check: |bytes| match class::names("class.txt", bytes.to_vec()) {
            Ok(names) => {
                assert!(!names.is_empty() && names.iter().all(|name| !name.is_empty()));
                End::Taken
            }
            Err(problems) => refused(&problems),
        },
    });
}

#[test]
fn readings_files() {
    let words = [
        "\"printer\"",
        "\"letter\": \"K\"",
        "\"across\": 0",
        "\"up\": -100",
        "\"reads\": 99.5",
        "\"card\"",
        "\"board\"",
        "\"hole\": 30",
        "\"slot\": 0.3",
        "\"sheets\": 1000",
        "\"caliper\"",
        "\"walls\": \"board\"",
        "1e-300",
        "2000",
        "0",
    ];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "readings",
        more: &["samples/brinewell/calibration/*.json", "fixtures/bad/calibration/*.json"],
        words,
        runs: 1500,
        check: |bytes| {
            let read = readings::read("readings.json", bytes.to_vec());
            match read.and_then(|(file, _)| fit::fit("readings.json", file, &["A=169.2".to_owned()], None)) {
                Ok(made) => {
                    // What is written can be read again.
                    if let Some(printer) = &made.printer {
                        profiles::printer("printer.json", printer.to_string().into_bytes()).unwrap();
                    }
                    if let Some(materials) = &made.materials {
                        profiles::materials("materials.json", materials.to_string().into_bytes()).unwrap();
                    }
                    End::Taken
                }
                Err(problems) => refused(&problems),
            }
        },
    });
}

#[test]
fn profile_files() {
    let words = [
        "\"x_scale\": 1.08",
        "\"y_scale\": 0.92",
        "\"skew\": -3",
        "\"board\": \"2000 mm\"",
        "\"card\": \"0 mm\"",
        "\"kerf\"",
        "\"play\": {}",
        "\"fold_factor\": 0",
        "1e308",
    ];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "profile",
        more: &["fixtures/bad/calibration/*.json"],
        words,
        runs: 300,
        check: |bytes| {
            let set = br#"{ "name": "a", "pieces": [{ "piece": "post", "arms": "N" }, { "piece": "tile", "size": [1, 1] }] }"#;
            let mut opened = open::open(input("set.json", set), None).unwrap();
            let printer = profiles::printer("printer.json", bytes.to_vec());
            match (printer, profiles::materials("materials.json", bytes.to_vec())) {
                (Err(one), Err(other)) => {
                    refused(&one);
                    return refused(&other);
                }
                (Ok((printer, _)), _) => opened.printer = Some((printer, None)),
                (_, Ok((materials, _))) => opened.materials = Some(materials),
            }
            match import::import(opened, &Overrides::default()) {
                Ok(set) => carried_on(&set),
                Err(problems) => refused(&problems),
            }
        },
    });
}

#[test]
fn surface_files() {
    let words =
        ["\"layer\": \"cobbles\"", "\"layer\": \"cracks\"", "\"600\"", "\"2000 mm\"", "\"0 mm\"", "\"#000000\""];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "surface",
        more: &["templates-src/surfaces/*.json"],
        words,
        runs: 600,
        check: |bytes| match surface_file::read("surface.json", bytes.to_vec()) {
            Ok(surface) => {
                for side in [12.0, 76.2] {
                    let swatch = Print { ink: Ink::Grey, shade: -0.2 }.swatch(&surface.swatch(side, 7, 2));
                    assert!(swatch.reach().is_finite());
                }
                End::Taken
            }
            Err(problems) => refused(&problems),
        },
    });
}

#[test]
fn design_files() {
    let words = [
        "\"shape\": \"repeat\"",
        "\"count\": 400",
        "\"when\": 0",
        "\"i\"",
        "length",
        "wall_height",
        " / 0",
        " ^ ",
        "(((",
        ")",
        "mod",
        "min(",
        "chance(",
        "-",
        "sqrt(-1)",
        "tan(PI / 2)",
        "1e9",
        "\"niche\"",
        "\"leaf\"",
        "\"top\"",
    ];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "design",
        more: &["templates-src/walls/*.json", "fixtures/bad/designs/*.json"],
        words,
        runs: 600,
        check: |bytes| {
            let recipe = match design_file::read("design.json", bytes.to_vec()) {
                Ok(recipe) => recipe,
                Err(problems) => return refused(&problems),
            };
            let (parameters, at) = (Parameters::default(), nowhere());
            for span in [1.0, 2.0] {
                let mut problems = Vec::new();
                let site = Site { parameters: &parameters, span, asked_by: "the wall", at: &at };
                match draw(&recipe, &[], site, &mut problems) {
                    Some(drawn) => {
                        let wall = Wall { span, opening: Some(drawn.opening) };
                        if let Err(error) = wall.patterns(&parameters) {
                            assert!(!error.to_string().is_empty());
                        }
                    }
                    None => return refused(&Problems::new("design.json", problems)),
                }
            }
            End::Taken
        },
    });
}

#[test]
fn prop_files() {
    let words = [
        "\"solid\": \"frustum\"",
        "\"solid\": \"cone\"",
        "\"facets\": 36",
        "\"round\": true",
        "\"base\"",
        "\"count\": 400",
        "\"open\": [\"top\"]",
        "card",
        " / 0",
        " ^ ",
        "-",
        "0.001",
        "1e9",
    ];
    let words = Box::leak([JSON, &words].concat().into_boxed_slice());
    run(&Target {
        name: "prop",
        more: &["templates-src/props/*.json", "fixtures/bad/props/*.json"],
        words,
        runs: 150,
        check: |bytes| {
            let file = match prop_file::read("prop.json", bytes.to_vec()) {
                Ok(file) => file,
                Err(problems) => return refused(&problems),
            };
            let (parameters, at) = (Parameters::default(), nowhere());
            let mut problems = Vec::new();
            let site = Site { parameters: &parameters, span: 1.0, asked_by: "the prop", at: &at };
            match prop_draw::draw(&file, &[], site, &mut problems) {
                Some(parts) => {
                    for part in parts {
                        if let Err(error) = part.prop.nets(&parameters) {
                            assert!(!error.to_string().is_empty());
                        }
                    }
                    End::Taken
                }
                None => refused(&Problems::new("prop.json", problems)),
            }
        },
    });
}

#[test]
fn pictures() {
    run(&Target {
        name: "picture",
        more: &["fixtures/pictures/*.jpg", "fixtures/pictures/*.svg"],
        words: &[
            "<g>",
            "</g>",
            "<use href=\"#a\"/>",
            " id=\"a\"",
            "<image href=\"data:image/png;base64,iVBORw0KGgo=\"/>",
            "<filter id=\"a\"><feGaussianBlur stdDeviation=\"1e9\"/></filter>",
            "<!DOCTYPE svg [<!ENTITY a \"b\">]>",
            "&a;",
            "width=\"1e9\"",
            "height=\"0\"",
            "viewBox=\"0 0 1e-9 1e9\"",
            " filter=\"url(#a)\"",
            " mask=\"url(#a)\"",
            "<text>a</text>",
            "\u{0}",
        ],
        runs: 1500,
        check: |bytes| match Picture::read("salt", "salt", bytes, Fit::Whole(None), &nowhere()) {
            Ok(picture) => {
                assert!(picture.aspect() > 0.0);
                match picture.printed("p1", Mm::new(40.0), Print { ink: Ink::Grey, shade: 0.1 }) {
                    Ok(printed) => {
                        assert!(printed.image.size.0 > 0 && printed.image.size.1 > 0);
                        End::Taken
                    }
                    Err(problem) => refused_alone(problem),
                }
            }
            Err(problem) => refused_alone(problem),
        },
    });
}
