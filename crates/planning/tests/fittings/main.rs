//! Fittings: read from the text, put where their letters say, checked against floor, walls, posts and
//! each other, and counted.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::pillar::Pillar;
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::{Fault, Spot, pieces, verify};
use flatwright_planning::build::LevelBuild;
use flatwright_planning::fittings::{
    CellSpot, FittingBody, FittingDesign, FittingPart, Form, Put, Sizes, Stance, check, places,
};
use flatwright_planning::order::steps;
use flatwright_planning::plan::{Level, Plan};
use flatwright_planning::problem::PlanProblem;
use flatwright_planning::text;
use flatwright_planning::turns::Ground;
use kurbo::Rect;
use proptest::prelude::*;

#[path = "../assemble_floor/mod.rs"]
mod assemble_floor;
mod loads;
mod roofs;
mod stairs;
mod turns;

const MODULE: f64 = 76.2;
const SIZES: Sizes = Sizes {
    module: Mm::new(MODULE),
    post: Mm::new(15.0),
    wall: Mm::new(0.5),
    play: Mm::new(0.3),
    height: Mm::new(50.0),
};

const TEXT: &str = "\
surface f: flags
wall A: arch 20 mm x 30 mm
prop c: crate, width 20 mm, turned 30, face planks
prop k: cask, at 0.25 0.75
pillar i: 6 sides, across 24 mm, height 1 in
free-wall w: 2/3, along north, window 10 mm x 12 mm, sill 20 mm
free-wall a: 1, wall A, turned -45
level g:
+---+---+---+
|cfk  f  ifw|
+   +   +   +
  f  af   f |
+---+---+---+
";

#[test]
fn fittings_are_read_and_put() {
    let read = text::read(TEXT).unwrap_or_else(|errors| panic!("{errors:#?}"));
    let plan = &read.plan;
    let named: Vec<(char, &str, f64)> =
        plan.fittings.iter().map(|design| (design.letter, design.name.as_str(), design.turn)).collect();
    assert_eq!(
        named,
        [
            ('c', "crate", 30.0),
            ('k', "cask", 0.0),
            ('i', "pillar", 0.0),
            ('w', "free-standing wall", 90.0),
            ('a', "free-standing wall", -45.0)
        ]
    );
    assert_eq!(plan.fittings[0].face, Some(("planks".into(), (3, 45))));
    assert_eq!(plan.fittings[2].form, Form::Pillar { sides: 6, across: Mm::new(24.0), height: Some(Mm::inches(1.0)) });
    let calls: Vec<_> = (read.fitting_calls.iter())
        .map(|call| {
            let said = call.values.iter().map(|said| (said.key.as_str(), said.value.as_str(), said.at.column));
            (call.design, call.name.0.as_str(), said.collect::<Vec<(&str, &str, usize)>>())
        })
        .collect();
    assert_eq!(
        calls,
        [
            (0, "crate", vec![("width", "20 mm", 22)]),
            (1, "cask", vec![]),
            (3, "window", vec![("width", "10 mm", 39), ("height", "12 mm", 47), ("sill", "20 mm", 59)]),
            (4, "arch", vec![("width", "20 mm", 14), ("height", "30 mm", 22)]),
        ]
    );
    let level = &plan.levels[0];
    let stand: Vec<_> = places(plan, level)
        .iter()
        .map(|place| (plan.fittings[place.design].letter, place.at, place.in_text(level)))
        .collect();
    assert_eq!(
        stand,
        [
            ('c', (0.25, 0.5), (10, 2)),
            ('k', (0.25, 0.75), (10, 4)),
            ('i', (2.25, 0.5), (10, 10)),
            ('w', (2.75, 0.5), (10, 12)),
            ('a', (1.5, 1.5), (12, 6)),
        ]
    );
}

#[test]
fn every_error_is_named_at_its_place() {
    let bad = "\
surface f: flags
prop b: crate, turned up
prop c: crate
prop c: cask
pillar i: 8 sides
pillar j: 2 sides, across 24 mm, at 3 0
pillar k: across 24 mm, across 3 mm, round
free-wall w: half
free-wall v: 1, wall Q
free-wall s: 1, along up
free-wall u: 1, arch 20 mm
free-wall t: 1, arch 20 mm x 30 mm, over 2
prop d: crate,, at 0.5
level g:
+---+
|xfc|
+---+
";
    let errors = text::read(bad).unwrap_err();
    let places: Vec<(usize, usize)> = errors.iter().map(|error| (error.line, error.column)).collect();
    assert_eq!(
        places,
        [
            (2, 23),
            (4, 1),
            (5, 11),
            (6, 11),
            (6, 37),
            (7, 25),
            (7, 38),
            (8, 14),
            (9, 22),
            (10, 23),
            (11, 17),
            (12, 17),
            (13, 9),
            (13, 20),
            (16, 2)
        ],
        "{errors:#?}"
    );
    assert!(errors.iter().all(|error| !error.help.is_empty() && error.length > 0));
}

#[test]
fn no_text_makes_it_panic() {
    for cut in 0..TEXT.len() {
        let _ = text::read(&TEXT[..cut]);
        for spoil in ["\t", ",", " ", ":", "at", "é", ""] {
            let _ = text::read(&format!("{}{spoil}{}", &TEXT[..cut], TEXT.get(cut + 1..).unwrap_or("")));
        }
    }
}

/// A square box of a side and a height, of one piece.
fn boxed(letter: char, side: f64, height: f64) -> FittingDesign {
    let area = Rect::from_center_size((0.0, 0.0), (side, side));
    let piece = Piece::Pillar(Pillar { sides: 4, across: Mm::new(side), height: Mm::new(height) });
    let axes = [Vector::new(1.0, 0.0, 0.0), Vector::new(0.0, 1.0, 0.0), Vector::new(0.0, 0.0, 1.0)];
    let stances = vec![Stance { axes, at: Vector::default() }];
    FittingDesign {
        letter,
        name: "box".into(),
        form: Form::Prop,
        turn: 0.0,
        at: None,
        face: None,
        body: FittingBody {
            parts: vec![FittingPart { piece, stances }],
            outline: Contour::rectangle(area).map(Into::into).into_iter().collect(),
            height: Mm::new(height),
        },
    }
}

/// A plan with boxes of several sides in places of their own, its levels built.
fn with_boxes() -> impl Strategy<Value = (Plan, Vec<LevelBuild>)> {
    let boxes = prop::collection::vec((0..4usize, 0..8u8, 0..8u8), 1..4);
    let puts = prop::collection::vec((0..6usize, 0..6usize, 0..4usize), 0..8);
    (assemble_floor::any_plan(), boxes, puts).prop_map(|(mut plan, boxes, puts)| {
        plan.fittings = (boxes.iter().enumerate())
            .map(|(i, (side, east, south))| {
                let letter = char::from(b'p' + u8::try_from(i).unwrap_or(0));
                let at = Some((f64::from(*east) / 7.0, f64::from(*south) / 7.0));
                FittingDesign { at, ..boxed(letter, [8.0, 20.0, 30.5, 90.0][*side], 20.0) }
            })
            .collect();
        let designs = plan.fittings.len();
        for level in &mut plan.levels {
            for (x, y, design) in &puts {
                if *x < level.width && *y < level.height && *design < designs {
                    let spot = CellSpot::Middle;
                    level.fittings.push(Put { y: *y, x: *x, spot, last: false, design: *design });
                }
            }
            level.fittings.sort();
            level.fittings.dedup_by_key(|put| (put.x, put.y));
        }
        let builds = assemble_floor::built(&plan);
        (plan, builds)
    })
}

/// West, north, east, south: mm from the north-west corner.
type Area = [f64; 4];

fn meet(a: Area, b: Area) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Which fittings are wrong, by rectangles alone.
fn expected(plan: &Plan, level: &Level, build: &LevelBuild) -> Vec<bool> {
    let free = 0.15 - 1e-4;
    let at = |x: usize, y: usize| (x as f64 * MODULE, y as f64 * MODULE);
    let mut fixed: Vec<Area> = Vec::new();
    for post in &build.posts {
        let ((x, y), half) = (at(post.at.x, post.at.y), 7.5 + free);
        fixed.push([x - half, y - half, x + half, y + half]);
    }
    for wall in &build.walls {
        let ((x0, y0), (x1, y1), half) = (at(wall.from.x, wall.from.y), at(wall.to().x, wall.to().y), 0.25 + free);
        fixed.push(if wall.down { [x0 - half, y0, x0 + half, y1] } else { [x0, y0 - half, x1, y0 + half] });
    }
    let areas: Vec<Area> = (build.fittings.iter())
        .map(|place| {
            let half = plan.fittings[place.design].body.outline[0].bounds().width() / 2.0;
            let (x, y) = (place.at.0 * MODULE, place.at.1 * MODULE);
            [x - half, y - half, x + half, y + half]
        })
        .collect();
    let bare = |area: &Area| {
        (-3..10_i32).any(|y| {
            (-3..10_i32).any(|x| {
                let cell = [f64::from(x) * MODULE, f64::from(y) * MODULE];
                let inside = x >= 0 && y >= 0 && level.cell(x as usize, y as usize).is_some();
                !inside && meet(*area, [cell[0], cell[1], cell[0] + MODULE, cell[1] + MODULE])
            })
        })
    };
    (0..areas.len())
        .map(|i| {
            bare(&areas[i])
                || fixed.iter().any(|fixed| meet(areas[i], *fixed))
                || areas[..i].iter().any(|other| meet(areas[i], *other))
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// What is told is exactly what rectangles alone say, and every build is as it is drawn.
    #[test]
    fn boxes_stand_where_rectangles_say((plan, builds) in with_boxes()) {
        for (level, build) in plan.levels.iter().zip(&builds) {
            prop_assert_eq!(verify(&plan, level, build), vec![]);
            // Ceilings are for a test of their own.
            let alone = Plan { levels: vec![level.clone()], ..plan.clone() };
            let told = check(&alone, level, build, &Ground::default(), SIZES);
            for (place, wrong) in build.fittings.iter().zip(expected(&plan, level, build)) {
                let (line, column) = place.in_text(level);
                let here = told.iter().any(|problem| (problem.line, problem.column) == (line, column));
                prop_assert_eq!(here, wrong, "{:?} {:#?}", place, told);
            }
        }
    }

    /// Every fitting is counted once, and used once by one step.
    #[test]
    fn every_fitting_is_counted_and_built((plan, builds) in with_boxes()) {
        let needed = pieces(&plan, &builds);
        let placed: usize = builds.iter().map(|build| build.fittings.len()).sum();
        let counted: u32 = needed.iter().filter(|kind| kind.fitting.is_some()).map(|kind| kind.count).sum();
        prop_assert_eq!(counted as usize, placed);
        let used: u32 = steps(&plan, &builds, &needed)
            .iter()
            .flat_map(|step| &step.pieces)
            .filter(|(kind, _)| needed[*kind].fitting.is_some())
            .map(|(_, count)| count)
            .sum();
        prop_assert_eq!(used, counted);
    }
}

fn room(cells: &str) -> (Plan, LevelBuild) {
    let text = format!("surface f: flags\nprop a: crate\nprop b: crate\nlevel g:\n{cells}");
    let mut plan = text::read(&text).unwrap_or_else(|errors| panic!("{errors:#?}")).plan;
    plan.fittings = vec![boxed('a', 20.0, 20.0), boxed('b', 20.0, 20.0)];
    let build = assemble_floor::built(&plan).swap_remove(0);
    (plan, build)
}

fn messages(found: &[PlanProblem]) -> Vec<&str> {
    found.iter().map(|problem| problem.message.as_str()).collect()
}

#[test]
fn messages_have_their_numbers() {
    let (mut plan, build) = room("+---+---+\n|afb  f |\n+---+---+\n");
    assert_eq!(messages(&check(&plan, &plan.levels[0], &build, &Ground::default(), SIZES)), Vec::<&str>::new());
    plan.fittings[0] = FittingDesign { body: boxed('a', 60.0, 20.0).body, ..plan.fittings[0].clone() };
    assert_eq!(
        messages(&check(&plan, &plan.levels[0], &build, &Ground::default(), SIZES)),
        [
            "the box 'a' has no floor under it outside of the drawing",
            "the box 'a' reaches 0.8 x 60 mm into a wall",
            "the box 'b' and the box 'a' share 1.9 x 20 mm of floor"
        ]
    );
}

#[test]
fn what_is_higher_than_its_room_needs_an_opening_above() {
    let (mut plan, build) = room("+---+---+\n|afb  f |\n+---+---+\n");
    let mut above = Level { name: "loft".into(), ..plan.levels[0].clone() };
    above.fittings.clear();
    plan.levels.push(above);
    plan.fittings[0].body.height = Mm::new(50.1);
    let told = check(&plan, &plan.levels[0], &build, &Ground::default(), SIZES);
    assert_eq!(
        messages(&told),
        ["the box 'a' is 50.1 mm high, and level \"loft\" has floor 50 mm above this one at column 1, row 1"]
    );
    plan.levels[1].cells[0] = None;
    assert!(check(&plan, &plan.levels[0], &build, &Ground::default(), SIZES).is_empty());
}

/// The check of builds can fail: a fitting that is missing, twice there or elsewhere.
#[test]
fn a_fitting_astray_is_found() {
    let (plan, build) = room("+---+---+\n|afb  f |\n+---+---+\n");
    let level = &plan.levels[0];
    let faults = |change: &dyn Fn(&mut LevelBuild)| {
        let mut changed = build.clone();
        change(&mut changed);
        verify(&plan, level, &changed)
    };
    assert_eq!(faults(&|_| {}), vec![]);
    let changes: [&dyn Fn(&mut LevelBuild); 4] = [
        &|build| build.fittings.truncate(1),
        &|build| build.fittings.push(build.fittings[0]),
        &|build| build.fittings[1].at.0 += 1.0,
        &|build| build.fittings[1].design = 0,
    ];
    for change in changes {
        assert!(matches!(faults(change)[..], [Fault::Fitting { x: 0, y: 0, .. }]), "{:?}", faults(change));
    }
}

/// Equal pieces are one kind, whatever letter has them, unless their faces differ.
#[test]
fn equal_pieces_are_one_kind() {
    let (mut plan, build) = room("+---+---+\n|afb  fa|\n+---+---+\n");
    let counts = |plan: &Plan| {
        let needed = pieces(plan, std::slice::from_ref(&build));
        let kinds = needed.into_iter().filter(|kind| kind.fitting.is_some());
        kinds
            .map(|kind| (kind.count, kind.places.iter().map(|place| place.spot).collect::<Vec<_>>()))
            .collect::<Vec<_>>()
    };
    let at = Spot::Fitting;
    assert_eq!(counts(&plan), [(3, vec![at(0), at(1), at(2)])]);
    plan.fittings[1].face = Some(("planks".into(), (1, 1)));
    assert_eq!(counts(&plan), [(2, vec![at(0), at(2)]), (1, vec![at(1)])]);
}
