//! The rules against the construction page: its table of worked values, and a build that holds.

mod rules_floor;

use approx::assert_abs_diff_eq;
use flatwright_folding::build::{Build, Placed};
use flatwright_folding::report::Report;
use flatwright_folding::rules::{Case, Finding, PageUse, RULES, Verdict, check};
use flatwright_folding::stack::Tolerances;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Post};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use rules_floor::floor;

fn of<'a>(findings: &'a [Finding], rule: &str) -> Vec<&'a Finding> {
    findings.iter().filter(|finding| finding.rule == rule).collect()
}

fn set(board: f64, walls: WallBuild) -> Parameters {
    Parameters { board: Mm::new(board), walls, ..Parameters::default() }
}

/// Numbers of the table "Worked values" of the construction rules, found again by the checks.
#[test]
fn the_numbers_are_those_of_the_worked_values() {
    // Board, walls, post side, slot, body over one module.
    let table = [
        (3.0, WallBuild::Card, 15.0, 0.8, 60.9),
        (5.0, WallBuild::Card, 15.0, 0.8, 60.9),
        (10.0, WallBuild::Card, 15.0, 0.8, 60.9),
        (5.0, WallBuild::Board, 18.1, 5.3, 57.8),
        (10.0, WallBuild::Board, 23.1, 10.3, 52.8),
    ];
    for (board, walls, side, slot, body) in table {
        let p = set(board, walls);
        let found = check(&Case::new(&p)).findings;
        let two = |rule: &str, which: usize| of(&found, rule)[which].numbers;
        let same = |found: f64, expected: f64| assert_abs_diff_eq!(found, expected, epsilon = 1e-5);
        same(two("tile pitch", 0).0, 759.0);
        same(two("tile pitch", 1).0, 1521.0);
        same(two("biscuit in notch", 0).0, 0.3);
        same(two("biscuit in notch", 1).0, 0.3);
        same(two("notch against notch", 0).0, 15.0);
        same(two("notch against notch", 0).1, 28.1);
        same(two("tongue against notch", 0).0, side / 2.0 + 12.0);
        same(two("sleeve in its hole", 0).0, 0.3);
        same(two("wall in slot", 0).0, 0.3);
        same(two("wall in slot", 1).1, slot);
        same(two("wall in slot", 2).0, 25.0);
        same(two("wall in slot", 2).1, 25.0);
        same(two("tabs inside a sleeve", 0).0, 0.3);
        same(two("wall between posts", 0).0, body + 0.3);
        same(two("wall between posts", 0).1, 76.2 - side);
        same(two("hook over card", 0).1, 0.8);
        same(two("hook over card", 3).0, 17.0);
        assert!(found.iter().all(Finding::holds), "{found:#?}");
    }
}

#[test]
fn every_rule_speaks_on_a_whole_build() {
    let p = Parameters::default();
    let build = capped(floor(2, 2, true));
    let page = PageUse {
        what: "tile wrap 1 x 1".into(),
        needs: (Mm::new(110.0), Mm::new(110.0)),
        free: (Mm::new(190.0), Mm::new(277.0)),
        overlap: None,
    };
    let plates = [Piece::Sleeve(flatwright_geometry::pieces::post::Post {
        arms: flatwright_geometry::pieces::post::Arms::NONE,
        stand: flatwright_geometry::pieces::post::Stand::BasePlate,
        under: false,
    })];
    let with_build = Case { build: Some(&build), pages: &[page], ..Case::new(&p) };
    let with_plates = Case { pieces: &plates, ..Case::new(&p) };
    let joined = [Piece::Coupler(Coupler { arms: Arms::ALL }), Piece::Wall(Wall { span: 1.0, opening: None })];
    let with_couplers = Case { pieces: &joined, ..Case::new(&p) };
    let fan = [Piece::TurnCore(TurnTile { bend: Bend { form: BendForm::Round, reach: 1 }, part: TurnPart::Fan })];
    let with_bends = Case { pieces: &fan, ..Case::new(&p) };
    let mut found = check(&with_build).findings;
    found.extend(check(&with_plates).findings);
    found.extend(check(&with_couplers).findings);
    found.extend(check(&with_bends).findings);
    for rule in RULES {
        assert!(!of(&found, rule).is_empty(), "{rule} says nothing");
    }
    assert!(found.iter().all(Finding::holds), "{found:#?}");
    assert!(found.iter().all(|f| RULES.contains(&f.rule)));
}

/// A cap on every post.
fn capped(mut build: Build) -> Build {
    let cap =
        |post: &Placed<Post>| Placed::new(format!("cap of {}", post.name), Cap { arms: post.piece.arms }, post.at);
    build.caps = build.posts.iter().map(cap).collect();
    build
}

#[test]
fn builds_of_every_board_hold_and_share_no_space() {
    let build = capped(floor(3, 2, true));
    for board in [3.0, 4.7625, 5.0, 10.0] {
        for walls in [WallBuild::Card, WallBuild::Board] {
            let p = set(board, walls);
            let (report, bodies) = Report::of(&Case { build: Some(&build), ..Case::new(&p) }, &Tolerances::default());
            assert!(report.holds(), "{board} {walls:?}\n{report}");
            // 6 tiles, 12 posts, 17 walls, 7 biscuits, 24 pockets, 12 caps.
            assert_eq!(bodies.len(), 78);
        }
    }
}

/// A piece of paper is turned or split before it is refused.
#[test]
fn pages_are_turned_and_split() {
    let p = Parameters::default();
    let one = |needs: (f64, f64), overlap: Option<f64>| {
        let page = PageUse {
            what: "x".into(),
            needs: (Mm::new(needs.0), Mm::new(needs.1)),
            free: (Mm::new(190.0), Mm::new(277.0)),
            overlap: overlap.map(Mm::new),
        };
        let found = check(&Case { pages: &[page], ..Case::new(&p) }).findings;
        let page = of(&found, "page")[0].clone();
        (page.numbers, page.verdict)
    };
    assert_eq!(one((100.0, 250.0), None), ((250.0, 277.0), Verdict::Holds));
    assert_eq!(one((250.0, 100.0), None), ((250.0, 277.0), Verdict::Holds));
    assert_eq!(one((250.0, 200.0), None), ((200.0, 190.0), Verdict::Fails));
    assert_eq!(one((300.0, 100.0), None), ((300.0, 277.0), Verdict::Fails));
    assert_eq!(one((250.0, 200.0), Some(10.0)), ((10.0, 190.0), Verdict::Holds));
    assert_eq!(one((250.0, 200.0), Some(189.5)), ((189.5, 190.0), Verdict::Fails));
}

#[test]
fn the_report_is_a_table_with_failures_first() {
    let p = Parameters {
        board: Mm::new(10.0),
        post_side: Some(Mm::new(15.0)),
        walls: WallBuild::Board,
        kerf: Mm::new(0.2),
        ..Parameters::default()
    };
    let (report, _) = Report::of(&Case::new(&p), &Tolerances::default());
    let text = report.to_string();
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[0].starts_with("verdict  rule"), "{text}");
    assert!(lines[1].starts_with("FAILS    hook over card"), "{text}");
    assert!(lines[2].contains("set post_side to 16.3 mm"), "{text}");
    assert!(text.contains("uncorrected for the kerf the slot's play would be 0.5 mm"), "{text}");
    assert!(text.contains("1 of "), "{text}");
    // Numbers line up: the column "margin" ends at the same place in every row.
    let end = lines[0].find("margin").map(|at| at + 6);
    let rows = lines.iter().filter(|line| line.starts_with("holds") || line.starts_with("FAILS"));
    assert!(rows.clone().count() > 10);
    for row in rows {
        let end = end.expect("a column");
        assert!(row.as_bytes()[end - 1].is_ascii_digit() && row.as_bytes()[end] == b' ', "{row}");
    }
    assert!(!report.holds());
    assert_eq!(text, Report::of(&Case::new(&p), &Tolerances::default()).0.to_string());
}

#[test]
fn the_report_is_readable_by_machines() {
    let p = Parameters { play: Mm::ZERO, ..Parameters::default() };
    let walls = [Piece::Wall(Wall { span: 1.0, opening: None })];
    let (report, _) = Report::of(&Case { pieces: &walls, ..Case::new(&p) }, &Tolerances::default());
    let json = serde_json::to_value(&report).expect("it can be written");
    let first = &json["findings"][0];
    assert_eq!(first["rule"], "play");
    assert_eq!(first["numbers"], serde_json::json!([0.0, 0.05]));
    assert_eq!(first["relation"], ">=");
    assert_eq!(first["margin"], -0.05);
    assert_eq!(first["verdict"], "fails");
    assert_eq!(first["mend"], serde_json::json!({"parameter": "play", "value": 0.05}));
    assert_eq!(json["stacks"][0]["chain"], "tiles");
}
