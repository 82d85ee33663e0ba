//! Levels that stand on each other: posts over posts, tiles on walls, couplers between.

#[expect(dead_code, reason = "levels here are drawn as text or as rooms")]
mod assemble_floor;

use assemble_floor::{any_plan, level, plan, tiles};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::{Fault, Needed, OnHand, assemble, pieces, shortfall, verify, verify_levels};
use flatwright_planning::build::LevelBuild;
use flatwright_planning::levels::{Frame, frames, join, uncarried, walls_carry};
use flatwright_planning::order::{SET_ON, steps};
use flatwright_planning::plan::{Level, Plan, Vertex};
use flatwright_planning::problem::PlanProblem;
use flatwright_planning::strength::{Advice, Capacities, FACTOR, crippling, lift_off, loads, measure};
use flatwright_planning::text;
use proptest::prelude::*;

/// All levels, whether their tiles are carried or not.
fn stacked(plan: &Plan) -> Result<Vec<LevelBuild>, Vec<PlanProblem>> {
    let build = |(level, (walls, posts)): (&Level, Frame)| {
        let tiles = tiles(plan, level, &posts);
        assemble(plan, level, walls, posts, tiles)
    };
    let mut builds: Vec<LevelBuild> = plan.levels.iter().zip(frames(plan)?).map(build).collect();
    join(&mut builds);
    Ok(builds)
}

fn read(text: &str) -> Plan {
    text::read(text).unwrap_or_else(|errors| panic!("{errors:?}")).plan
}

/// Brinewell's tide tower: three rooms of 2 x 2 cells, one upon the other, a beam of wall across the lowest.
const TOWER: &str = "caps: yes
surface f: flagstone
tiles: 2x2 2x1 1x1
reliefs: every-module
spans: 2 1
level landing:
+---+---+
| f   f |
+   +   +
| f   f |
+---+---+
level lamp room:
+---+---+
| f   f |
+   +   +
| f   f |
+---+   +
level roof:
+---+---+
| f   f |
+   +   +
| f   f |
+   +   +
";

fn vertex(x: usize, y: usize) -> Vertex {
    Vertex { x, y }
}

/// Counted by hand from the drawing.
#[test]
fn a_tower_has_posts_over_posts_and_couplers_between() {
    let plan = read(TOWER);
    let builds = stacked(&plan).unwrap();
    let at = |level: usize| builds[level].posts.iter().map(|post| (post.at.x, post.at.y)).collect::<Vec<_>>();
    // The roof has three walls and four posts, the lamp room's southern wall ends in the middle, and so
    // the landing's is parted there.
    assert_eq!(at(2), [(0, 0), (2, 0), (0, 2), (2, 2)]);
    assert_eq!(at(1), [(0, 0), (2, 0), (0, 2), (1, 2), (2, 2)]);
    assert_eq!(at(0), at(1));
    assert_eq!(builds.iter().map(|build| build.walls.len()).collect::<Vec<_>>(), [5, 4, 3]);
    // All posts of the landing carry a level, those of the lamp room but the one in the middle.
    let under = |level: usize| builds[level].posts.iter().map(|post| post.post.under).collect::<Vec<_>>();
    assert_eq!(under(0), [true; 5]);
    assert_eq!(under(1), [true, true, true, false, true]);
    assert_eq!(under(2), [false; 4]);
    assert_eq!(builds.iter().map(|build| build.couplers.len()).collect::<Vec<_>>(), [0, 5, 4]);
    // Arms are those of the post below: over the landing's middle post a line, east and west.
    let middle = builds[1].couplers.iter().find(|place| builds[1].posts[place.post].at == vertex(1, 2)).unwrap();
    assert_eq!(middle.coupler.arms, Arms::from_bits(0b1010));
    // Caps lie on what nothing stands on; floor lies over the lamp room's middle post.
    assert_eq!(builds.iter().map(|build| build.caps.len()).collect::<Vec<_>>(), [0, 0, 4]);
    for (level, build) in plan.levels.iter().zip(&builds) {
        assert_eq!(verify(&plan, level, build), []);
        if level.name != "landing" {
            assert!(uncarried(&plan, level, build, &plan.levels[0], false).is_empty());
        }
    }
    assert_eq!(verify_levels(&plan, &builds, false), []);

    let needed = pieces(&plan, &builds);
    let count = |wanted: &dyn Fn(&Piece) -> bool| {
        needed.iter().filter(|n| wanted(&n.piece)).map(|n| n.count).collect::<Vec<_>>()
    };
    // Over the landing four corners and a line, over the lamp room: (2, 2) holds one wall, (0, 2) two.
    let couplers = needed.iter().filter(|n| matches!(n.piece, Piece::Coupler(_)));
    let couplers: Vec<_> = couplers.map(|n| (n.name.as_str(), n.count)).collect();
    assert_eq!(couplers, [("end", 1), ("corner", 4 + 3), ("line", 1)]);
    assert_eq!(count(&|piece| matches!(piece, Piece::Sleeve(post) if post.under)).iter().sum::<u32>(), 5 + 4);
    assert_eq!(count(&|piece| matches!(piece, Piece::Sleeve(post) if !post.under)).iter().sum::<u32>(), 1 + 4);
}

/// What is on hand serves its own kind: a post that carries nothing is a caliper too low.
#[test]
fn couplers_and_high_posts_on_hand_are_not_made_again() {
    let plan = read(TOWER);
    let needed = pieces(&plan, &stacked(&plan).unwrap());
    let sum = |list: &[Needed], wanted: &dyn Fn(&Piece) -> bool| {
        list.iter().filter(|n| wanted(&n.piece)).map(|n| n.count).sum::<u32>()
    };
    let high = |piece: &Piece| matches!(piece, Piece::Sleeve(post) if post.under);
    let joint = |piece: &Piece| matches!(piece, Piece::Coupler(_));
    let corner = Post { arms: Arms::from_bits(0b1100), stand: Stand::Feet(Feet::from_bits(0b1000)), under: true };
    let couplers = vec![(Coupler { arms: Arms::from_bits(0b0110) }, 2)];
    let on_hand = OnHand { posts: vec![(corner, 1)], couplers, ..OnHand::default() };
    let missing = shortfall(&needed, &on_hand);
    assert_eq!(sum(&missing, &high), sum(&needed, &high) - 1);
    assert_eq!(sum(&missing, &joint), sum(&needed, &joint) - 2);
    let low = Post { under: false, ..corner };
    let missing = shortfall(&needed, &OnHand { posts: vec![(low, 9)], ..OnHand::default() });
    assert_eq!(sum(&missing, &high), sum(&needed, &high));
}

/// The last steps of an upper level; every piece is used up as often as it is needed.
#[test]
fn an_upper_level_is_set_on_over_its_couplers() {
    let plan = read(TOWER);
    let builds = stacked(&plan).unwrap();
    let needed = pieces(&plan, &builds);
    let steps = steps(&plan, &builds, &needed);
    let titles = |level| steps.iter().filter(|s| s.level == Some(level)).map(|s| s.title.as_str()).collect::<Vec<_>>();
    assert!(titles(0).iter().all(|title| !title.starts_with(SET_ON) && *title != "Couplers"));
    assert_eq!(titles(1)[titles(1).len() - 2..], ["Couplers", "Set the level on \"landing\""]);
    assert_eq!(titles(2)[titles(2).len() - 2..], ["Couplers", "Set the level on \"lamp room\""]);
    for (index, kind) in needed.iter().enumerate() {
        let used: u32 = steps.iter().flat_map(|step| &step.pieces).filter(|(i, _)| *i == index).map(|(_, n)| n).sum();
        assert_eq!(used, kind.count, "{}", kind.name);
    }
}

type Harm = (fn(&mut Vec<LevelBuild>), fn(&Fault) -> bool);

#[test]
fn every_kind_of_fault_between_levels_is_found() {
    let plan = read(TOWER);
    let good = stacked(&plan).unwrap();
    let harms: [Harm; 9] = [
        (|b| b[0].posts[0].post.under = false, |f| matches!(f, Fault::Height { expected: true, found: false, .. })),
        (|b| b[2].posts[0].post.under = true, |f| matches!(f, Fault::Height { expected: false, found: true, .. })),
        (
            |b| {
                b[0].posts.remove(0);
            },
            |f| matches!(f, Fault::NoPostBelow { at: Vertex { x: 0, y: 0 } }),
        ),
        (|b| b[1].posts[0].post.stand = Stand::BasePlate, |f| matches!(f, Fault::PlateAbove { .. })),
        (|b| b[1].couplers[0].coupler.arms = Arms::ALL, |f| matches!(f, Fault::Coupler { .. })),
        (|b| b[1].couplers.clear(), |f| matches!(f, Fault::Coupler { found, .. } if found.is_empty())),
        (
            |b| {
                let again = b[1].couplers[0];
                b[1].couplers.push(again);
            },
            |f| matches!(f, Fault::Coupler { found, .. } if found.len() == 2),
        ),
        (|b| b[2].couplers[0].post = 77, |f| matches!(f, Fault::NoPostOfCoupler { post: 77 })),
        (
            |b| {
                let astray = b[1].couplers[0];
                b[0].couplers.push(astray);
            },
            |f| matches!(f, Fault::Coupler { expected, .. } if expected.is_empty()),
        ),
    ];
    for (number, (harm, found)) in harms.into_iter().enumerate() {
        let mut bad = good.clone();
        harm(&mut bad);
        let faults = verify_levels(&plan, &bad, false);
        assert!(faults.iter().any(|(_, fault)| found(fault)), "harm {number}: {faults:?}");
        assert!(faults.iter().all(|(_, fault)| !fault.to_string().is_empty()));
    }
    // Without posts on one side of the roof, both of its corners hang.
    let mut bad = good;
    bad[2].posts.retain(|post| post.at.y == 0);
    let faults = verify_levels(&plan, &bad, false);
    assert!(faults.iter().any(|(level, f)| *level == 2 && matches!(f, Fault::Uncarried { tile: 0, resting: 2 })));
}

/// Tiles of 1 x 1 on a room of 2 x 2 meet in its middle: each rests with three corners, and biscuits hold
/// the fourth. On a room of 3 x 3 the one in the middle hangs, and so do those beside it.
#[test]
fn tiles_rest_on_walls() {
    let room = |side: usize| {
        let cells = vec![Some(0); side * side];
        let edge = |i: usize| (i == 0 || i == side).then_some(0);
        let across: Vec<_> = (0..side * (side + 1)).map(|i| edge(i / side)).collect();
        let down: Vec<_> = (0..(side + 1) * side).map(|i| edge(i % (side + 1))).collect();
        level(side, side, &cells, &across, &down)
    };
    let hanging = |side: usize, size: (u32, u32), walls: bool| {
        let levels = ["ground", "loft"].map(|name| Level { name: name.into(), ..room(side) });
        let plan = Plan { spans: vec![side as u32, 1], ..plan(&[size, (1, 1)], Reliefs::Corners, levels.to_vec()) };
        let builds = stacked(&plan).unwrap();
        let problems = uncarried(&plan, &plan.levels[1], &builds[1], &plan.levels[0], walls);
        let faults = verify_levels(&plan, &builds, walls);
        assert_eq!(problems.len(), faults.len(), "{problems:?} {faults:?}");
        problems
    };
    assert!(hanging(2, (1, 1), true).is_empty());
    let five = hanging(3, (1, 1), true);
    assert_eq!(five.len(), 5 + 4, "corners too: their neighbours hang");
    assert!(five.iter().any(|p| p.message.contains("with 0 of its corners")), "{five:?}");
    assert_eq!((five[0].line, five[0].column, five[0].level.as_str()), (2, 3, "loft"));
    assert!(hanging(2, (2, 2), false).is_empty() && hanging(3, (3, 3), false).is_empty());
    // Where walls are too thin to carry, posts alone do: each tile has one in its corner.
    let four = hanging(2, (1, 1), false);
    assert!(four.len() == 4 && four[0].message.contains("with 1 of its corners"), "{four:?}");
    assert!(!walls_carry(&Parameters::default()));
    assert!(walls_carry(&Parameters { walls: WallBuild::Board, ..Parameters::default() }));
    // A wall that is cut down carries nothing but over its posts: below it two tiles meet in its middle.
    let mut low = plan(
        &[(1, 1)],
        Reliefs::Corners,
        ["ground", "loft"].map(|name| Level { name: name.into(), ..room(2) }).to_vec(),
    );
    let found = |plan: &Plan| {
        let builds = stacked(plan).unwrap();
        uncarried(plan, &plan.levels[1], &builds[1], &plan.levels[0], true).len()
    };
    assert_eq!(found(&low), 0);
    low.designs[0].opening = Some(Opening::Low { height: Mm::new(20.0) });
    assert_eq!((found(&low), verify_levels(&low, &stacked(&low).unwrap(), true).len()), (4, 4));
    // 2 x 2 in a corner and 1 x 1 along the other two sides: two of them rest with two corners, and
    // each of the others has one of those beside it.
    assert_eq!(hanging(3, (2, 2), true).len(), 6);
}

#[test]
fn what_does_not_stand_on_the_level_below_is_refused() {
    let refused = |text: &str| {
        let problems = stacked(&read(text)).unwrap_err();
        problems.into_iter().map(|p| (p.line, p.column, p.message, p.help)).collect::<Vec<_>>()
    };
    // The loft's wall in the middle ends where nothing is below.
    let text = "surface f: flagstone\nlevel ground:\n+---+---+\n| f   f |\n+   +   +\n| f   f |\n+---+---+\n\
                level loft:\n+---+---+\n| f | f |\n+   +   +\n| f   f |\n+---+---+\n";
    let found = refused(text);
    let [(line, column, message, help)] = &found[..] else { panic!("{found:?}") };
    assert_eq!((*line, *column), (11, 5));
    assert!(message.contains("level \"ground\"") && help.contains("offset loft:"), "{message} {help}");
    // A door over two modules below cannot be parted by a post above.
    let text = "surface f: flagstone\nwall D: arch 60 mm x 30 mm, over 2\nlevel ground:\n+-D-+-D-+\n| f   f |\n+---+---+\n\
                level loft:\n+---+---+\n| f | f |\n+---+---+\n";
    let found = refused(text);
    assert!(found[0].2.contains("up to a post of the level above"), "{found:?}");
    assert_eq!(found[0].0, 4);
    // Beside the floor a post above would need a plate, and has nothing to put it on.
    let text = "surface f: flagstone\nlevel ground:\n+---+---+\n| f   f |\n+---+---+\n\
                level loft:\n+---+---+\n| f |    \n+---+    \n";
    let found = refused(text);
    assert_eq!(found.iter().map(|p| (p.0, p.1)).collect::<Vec<_>>(), [(7, 9)]);
    assert!(found[0].2.contains("no tile touches it"), "{found:?}");
}

#[test]
fn an_offset_moves_a_level_and_keeps_its_places_in_the_text() {
    let text = "surface f: flagstone\noffset loft: 1 2\nlevel ground:\n+---+---+\n| f   f |\n+   +   +\n| f   f |\n\
                +   +---+\n| f | f |\n+---+---+\nlevel loft:\n+---+\n| f |\n+---+\n";
    let plan = read(text);
    let loft = &plan.levels[1];
    assert_eq!((loft.width, loft.height, loft.floor_cells()), (2, 3, 1));
    assert_eq!(loft.cell(1, 2), Some(0));
    assert_eq!((loft.cell_in_text(1, 2), loft.vertex_in_text(vertex(2, 3))), ((13, 3), (14, 5)));
    let builds = stacked(&plan).unwrap();
    assert_eq!(verify_levels(&plan, &builds, false), []);
    let at: Vec<_> = builds[1].posts.iter().map(|post| (post.at.x, post.at.y)).collect();
    assert_eq!(at, [(1, 2), (2, 2), (1, 3), (2, 3)]);
    let refused = |from: &str, to: &str| {
        let errors = text::read(&text.replace(from, to)).unwrap_err();
        errors.iter().map(|e| (e.line, e.column, e.message.clone())).collect::<Vec<_>>()
    };
    for (to, column, said) in [
        ("offset loft: 1", 14, "\"1\" is not an offset"),
        ("offset loft: 1 201", 14, "is not an offset"),
        ("offset loft: -1 0", 14, "is not an offset"),
        ("offset attic: 1 2", 15, "there is no level \"attic\" to move"),
        ("offset loft: 200 0", 14, "reaches over 201 x 1 cells"),
        ("offset loft: 1 2\noffset loft: 0 0", 1, "is already given"),
        ("offset: 1 2", 1, "`offset` is not a key of a plan"),
    ] {
        let found = refused("offset loft: 1 2", to);
        assert!(found.iter().any(|(_, c, message)| *c == column && message.contains(said)), "{to}: {found:?}");
    }
}

/// Loads by hand: on a tower of one room each, all posts alike.
#[test]
fn posts_carry_what_stands_on_them() {
    let text =
        "surface f: flagstone\ntiles: 2x2\nspans: 2\nlevel a:\n+---+---+\n| f   f |\n+   +   +\n| f   f |\n+---+---+\n";
    let two = format!("{text}{}", text[text.find("level").unwrap()..].replace("level a", "level b"));
    let three = format!("{two}{}", text[text.find("level").unwrap()..].replace("level a", "level c"));
    let p = Parameters::default();
    let of = |text: &str, p: &Parameters| {
        let plan = read(text);
        loads(&plan, &stacked(&plan).unwrap(), p)
    };
    assert_eq!(of(text, &p), [None]);
    let found = of(&two, &p);
    let load = found[0].as_ref().unwrap();
    assert!(found[1].is_none());
    // One tile of 152.4 x 152.4 x 5 at 0.15 g/cm3 in 0.1 mm of paper at 1 g/cm3, with returns of 12;
    // four pockets of (7.5 + 12 + 8)^2 x 0.25, four walls of 2 x 152.4 x 50 x 0.25, four posts of
    // 5 x 15 x 55 x 0.25 and couplers of 5 x 15 x 30.25 x 0.25.
    let tile = 152.4 * 152.4 * (5.0 * 0.15 + 0.1) / 1000.0 + 4.0 * 152.4 * 17.0 * 0.1 / 1000.0;
    let pockets = 4.0 * 27.5 * 27.5 * 0.25 / 1000.0;
    let walls = 4.0 * 2.0 * 152.4 * 50.0 * 0.25 / 1000.0;
    let posts = 4.0 * 5.0 * 15.0 * (55.0 + 30.25) * 0.25 / 1000.0;
    let sum = tile + pockets + walls + posts;
    assert!((load.weight - sum).abs() < 1e-9, "{} {sum}", load.weight);
    assert!(load.posts.iter().all(|post| (post - sum / 4.0).abs() < 1e-9), "{load:?}");
    // Two levels weigh twice as much, but for posts that are a caliper higher.
    let higher = of(&three, &p)[0].as_ref().unwrap().weight - 2.0 * sum;
    assert!((higher - 4.0 * 5.0 * 15.0 * 0.25 * 0.25 / 1000.0).abs() < 1e-9, "{higher}");
    // A corner post: the wall's strips beside its slot of 0.8 are 7.1 wide, 0.425 pi^2 2000 / 10.92 x
    // (0.25 / 7.1)^2 = 0.952 N/mm2, the whole faces at 4 and 15: 2.008; 0.952 on 0.25 x (60 - 1.6) mm2.
    let pi2 = std::f64::consts::PI.powi(2);
    let stress = 0.425 * pi2 * 2000.0 / 10.92 * (0.25_f64 / 7.1).powi(2);
    let by_hand = stress * 0.25 * (60.0 - 2.0 * 0.8);
    let corner = Post { arms: Arms::from_bits(0b0011), stand: Stand::Feet(Feet::ALL), under: true };
    assert!((crippling(&p, corner) - by_hand).abs() < 1e-9);
    assert!((load.buckles[0] * 9.81e-3 - by_hand).abs() < 1e-9);
    let spare = by_hand / 9.81e-3 / FACTOR - sum / 4.0;
    assert!((load.spare(load.tightest().unwrap()) - spare).abs() < 1e-9);
    let told = load.to_string();
    assert!(told.contains("estimates") && told.contains("may carry"), "{told}");
    // Thicker card carries more; a thinner board bends more.
    let thick = Parameters { card: Mm::new(0.5), ..p.clone() };
    assert!(crippling(&thick, corner) > 4.0 * crippling(&p, corner));
    let thin = of(&two, &Parameters { board: Mm::new(3.0), ..p.clone() })[0].clone().unwrap();
    assert!(thin.sag.0 > load.sag.0 && (load.sag.1 - 152.4).abs() < 1e-9 && load.corner.is_none());
    // Tiles of 1 x 1 hang by biscuits in the middle: 0.3 / 10 x 76.2 / sqrt 2.
    let small = of(&two.replace("2x2", "1x1"), &p)[0].clone().unwrap();
    assert!((small.corner.unwrap() - 0.03 * 76.2 / 2f64.sqrt()).abs() < 1e-9);
    // Too much is said to be too much.
    let weak = Parameters { card: Mm::new(0.02), walls: WallBuild::Board, board: Mm::new(10.0), ..p };
    assert!(of(&three, &weak)[0].as_ref().unwrap().to_string().contains("too much"));
}

#[test]
fn a_level_is_lifted_by_its_posts() {
    let plan = read(TOWER);
    let builds = stacked(&plan).unwrap();
    let strength = measure(&plan.levels[2], &builds[2], Capacities::default());
    let Some(Advice::LiftOff { below, posts: [(one, _), (other, _)] }) =
        lift_off(&plan.levels[1], &plan.levels[2], &builds[2], &strength)
    else {
        panic!("no advice");
    };
    assert_eq!(below, "lamp room");
    // One tile: the first and the last post, across its diagonal.
    assert_eq!((builds[2].posts[one].at, builds[2].posts[other].at), (vertex(0, 0), vertex(2, 2)));
}

/// Rooms of 1 x 1 to 2 x 2 cells in a grid, walls on all of their sides; on that, one or two levels with
/// floor in some of the rooms below and walls on some of their sides.
fn towers() -> impl Strategy<Value = Plan> {
    let sizes = prop_oneof![Just(vec![(1, 1)]), Just(vec![(2, 1), (1, 1)]), Just(vec![(2, 2), (2, 1), (1, 1)])];
    let reliefs = prop_oneof![Just(Reliefs::Corners), Just(Reliefs::EveryModule)];
    let shape = (1..=2usize, 1..=2usize, 1..=3usize, 1..=3usize, 1..=2usize);
    (shape, any::<u64>(), sizes, reliefs, any::<bool>()).prop_map(|(shape, seed, sizes, reliefs, caps)| {
        let (w, h, columns, rows, uppers) = shape;
        let mut seed = seed | 1;
        let mut chance = move |of: u64| {
            // Xorshift (G. Marsaglia, 2003).
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            seed.is_multiple_of(of)
        };
        let (width, height) = (w * columns, h * rows);
        let mut levels = Vec::new();
        let mut rooms = vec![true; columns * rows];
        for number in 0..=uppers {
            let mut level = Level::empty(&format!("level {number}"), width, height);
            if number > 0 {
                rooms.iter_mut().for_each(|room| *room &= !chance(3));
            }
            for y in 0..height {
                for x in 0..width {
                    level.cells[y * width + x] = rooms[y / h * columns + x / w].then_some(0);
                }
            }
            // The levels below carry walls on all sides of their rooms; the topmost one on some.
            let last = number == uppers;
            for y in (0..=height).step_by(h) {
                for x in 0..width {
                    let beside = [y.checked_sub(1), Some(y)].into_iter().flatten().any(|y| level.cell(x, y).is_some());
                    if beside && !(last && chance(3)) {
                        level.across[y * width + x] = Some(usize::from(chance(4)));
                    }
                }
            }
            for y in 0..height {
                for x in (0..=width).step_by(w) {
                    let beside = [x.checked_sub(1), Some(x)].into_iter().flatten().any(|x| level.cell(x, y).is_some());
                    if beside && !(last && chance(3)) {
                        level.down[y * (width + 1) + x] = Some(2 * usize::from(chance(5)));
                    }
                }
            }
            levels.push(level);
        }
        Plan { caps, ..plan(&sizes, reliefs, levels) }
    })
}

proptest! {
    /// Towers can be built: each level and all of them together pass their checks.
    #[test]
    fn towers_stand(plan in towers(), walls in any::<bool>()) {
        let builds = stacked(&plan).unwrap();
        for (level, build) in plan.levels.iter().zip(&builds) {
            prop_assert_eq!(verify(&plan, level, build), []);
        }
        let faults = verify_levels(&plan, &builds, walls);
        // Tiles may lie across rooms; nothing else can be wrong.
        prop_assert!(faults.iter().all(|(_, fault)| matches!(fault, Fault::Uncarried { .. })), "{:?}", faults);
        let told: usize = (1..builds.len())
            .map(|i| uncarried(&plan, &plan.levels[i], &builds[i], &plan.levels[i - 1], walls).len())
            .sum();
        prop_assert_eq!(told, faults.len());
        let posts: usize = builds[1..].iter().map(|build| build.posts.len()).sum();
        let needed = pieces(&plan, &builds);
        let joints: u32 = needed.iter().filter(|n| matches!(n.piece, Piece::Coupler(_))).map(|n| n.count).sum();
        let high: u32 = needed
            .iter()
            .filter(|n| matches!(n.piece, Piece::Sleeve(post) if post.under))
            .map(|n| n.count)
            .sum();
        prop_assert_eq!((joints as usize, high as usize), (posts, posts));
        let p = Parameters { walls: if walls { WallBuild::Board } else { WallBuild::Card }, ..Parameters::default() };
        for load in loads(&plan, &builds, &p).into_iter().flatten() {
            // What weighs comes on the posts, all of it where all tiles rest.
            let sum: f64 = load.posts.iter().sum();
            prop_assert!(sum <= load.weight + 1e-6, "{} of {}", sum, load.weight);
            if faults.is_empty() {
                prop_assert!((sum - load.weight).abs() < 1e-6, "{} of {}", sum, load.weight);
            }
        }
    }

    /// Levels drawn at random: what is not refused passes, but for tiles that both ways of looking find.
    #[test]
    fn what_is_not_refused_stands(plan in any_plan(), walls in any::<bool>()) {
        let Ok(builds) = stacked(&plan) else { return Ok(()) };
        let faults = verify_levels(&plan, &builds, walls);
        let told: usize = (1..builds.len())
            .map(|i| uncarried(&plan, &plan.levels[i], &builds[i], &plan.levels[i - 1], walls).len())
            .sum();
        prop_assert!(faults.iter().all(|(_, fault)| matches!(fault, Fault::Uncarried { .. })), "{:?}", faults);
        prop_assert_eq!(told, faults.len());
    }
}
