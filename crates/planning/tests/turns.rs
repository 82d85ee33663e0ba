//! Turns in plans: read, worked out, and checked by geometry that shares nothing with the planning.

#[expect(dead_code, reason = "its other users need the rest")]
mod assemble_floor;

use std::collections::{BTreeMap, BTreeSet};

use assemble_floor::{any_level, plan, tiles};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::assemble::{Fault, assemble, verify, verify_levels};
use flatwright_planning::build::LevelBuild;
use flatwright_planning::levels;
use flatwright_planning::order;
use flatwright_planning::plan::{Edge, Level, Plan, Vertex};
use flatwright_planning::strength::{Capacities, advise, measure};
use flatwright_planning::text;
use flatwright_planning::turns::{Fit, Turn, in_the_way};
use flatwright_planning::walls::walls_and_posts;
use proptest::prelude::*;

/// A tower of four fans about one vertex, and a passage that turns into it.
const TOWER: &str = "\
surface f: tide stone
surface s: salt crust
wall W: window 18 mm x 20 mm
tiles: 2x1 1x1
turn a: round 1, about SE, fan f, wall plain
turn b: round 1, about SW, fan f, wall W
turn c: round 1, about NE, fan f, wall plain
turn d: diagonal 1, about NW, fan f, spandrel s, wall plain
turn p: round 2, about SW, inner 1, ring s, wall plain, inner wall plain

level ground:
+   +   +---+   +   +
  a   b   s   p   p
+   +   +---+   +   +
  c   d       p   p
+   +   +   +   +   +
            |   | s |
+   +   +   +   +---+
";

#[test]
fn a_tower_and_a_passage_are_read_and_built() {
    let plan = read(TOWER);
    let level = &plan.levels[0];
    assert_eq!(level.turns.len(), 5);
    let [a, .., p] = &level.turns[..] else { unreachable!("five") };
    let by_letter = |letter| level.turns.iter().find(|turn| turn.letter == letter).unwrap();
    assert_eq!((a.letter, a.at, p.letter), ('a', Vertex { x: 1, y: 1 }, 'd'));
    let p = by_letter('p');
    assert_eq!((p.at, p.inner, p.wall, p.inner_wall), (Vertex { x: 3, y: 2 }, Some(1), Some(0), Some(0)));
    assert_eq!(by_letter('b').wall, Some(1));
    assert_eq!(level.cell(0, 0), None);
    let build = built(&plan, level).unwrap();
    assert_eq!(build.turn_tiles.len(), 6);
    assert_eq!(build.bent_walls.len(), 6);
    // Around the tower's middle four fans are tied to each other.
    let around = [(0, 1, false), (1, 1, false), (1, 0, true), (1, 1, true)];
    for (x, y, down) in around {
        assert!(build.biscuits.contains(&Edge { from: Vertex { x, y }, down }), "{x}, {y}");
    }
    let arms = |x, y| build.posts.iter().find(|post| post.at == Vertex { x, y }).unwrap().post.arms.to_string();
    // Where a bend of the tower ends at the west, at its north, and where the passage begins.
    assert_eq!([arms(0, 1), arms(1, 0), arms(3, 0), arms(3, 1)], ["NS", "WE", "WE", "WE"]);
}

fn read(text: &str) -> Plan {
    let mut plan = text::read(text).unwrap_or_else(|errors| panic!("{errors:#?}")).plan;
    for turn in plan.levels.iter_mut().flat_map(|level| &mut level.turns) {
        turn.fit = Fit::of(turn, &Parameters::default());
    }
    plan
}

fn built(plan: &Plan, level: &Level) -> Result<LevelBuild, Vec<String>> {
    let told = |problems: Vec<flatwright_planning::problem::PlanProblem>| {
        problems.into_iter().map(|problem| problem.message).collect::<Vec<_>>()
    };
    let (walls, posts) = walls_and_posts(plan, level).map_err(told)?;
    let tiles = tiles(plan, level, &posts);
    Ok(assemble(plan, level, walls, posts, tiles))
}

/// One change to a good level, and the fault that must be found.
type Harm = (fn(&mut LevelBuild), fn(&Fault) -> bool);

/// The same with the drawing.
type Redrawn = (fn(&mut Level), fn(&Fault) -> bool);

#[test]
fn every_kind_of_fault_at_turns_is_found() {
    let plan = read(TOWER);
    let level = &plan.levels[0];
    let good = built(&plan, level).unwrap();
    let harms: [Harm; 8] = [
        (|b| b.turn_tiles.truncate(5), |f| matches!(f, Fault::TurnTiles { .. })),
        (|b| b.turn_tiles[0].surface = 1, |f| matches!(f, Fault::TurnTiles { .. })),
        (|b| b.turn_tiles[0].tile.part = TurnPart::Spandrel, |f| matches!(f, Fault::TurnTiles { .. })),
        (|b| b.bent_walls[1].design = 0, |f| matches!(f, Fault::TurnWalls { .. })),
        (|b| b.bent_walls[0].turn = 9, |f| matches!(f, Fault::NoTurn { turn: 9 })),
        (|b| b.posts.retain(|post| post.at != Vertex { x: 1, y: 0 }), |f| matches!(f, Fault::NoSlotForBend { .. })),
        (|b| b.biscuits.retain(|edge| edge.from != Vertex { x: 1, y: 0 }), |f| matches!(f, Fault::Biscuit { .. })),
        (|b| b.pockets.retain(|(at, _)| *at != Vertex { x: 3, y: 0 }), |f| matches!(f, Fault::Pocket { .. })),
    ];
    assert_eq!(verify(&plan, level, &good), []);
    for (number, (harm, found)) in harms.into_iter().enumerate() {
        let mut bad = good.clone();
        harm(&mut bad);
        let faults = verify(&plan, level, &bad);
        assert!(faults.iter().any(found), "harm {number}: {faults:?}");
        assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
    }
    let drawn: [Redrawn; 4] = [
        (|l| l.turns[0].at.x = 0, |f| matches!(f, Fault::Block { .. })),
        (|l| l.turns[0].at.x = 2, |f| matches!(f, Fault::BlockOver { .. })),
        (|l| l.cells[0] = Some(0), |f| matches!(f, Fault::BlockOver { x: 0, y: 0, .. })),
        (|l| l.down[4] = Some(0), |f| matches!(f, Fault::WallInTurn { .. })),
    ];
    for (number, (harm, found)) in drawn.into_iter().enumerate() {
        let mut other = level.clone();
        harm(&mut other);
        let faults = verify(&plan, &other, &good);
        assert!(faults.iter().any(found), "drawn {number}: {faults:?}");
    }
}

#[test]
fn what_does_not_fit_is_told_with_its_place() {
    let said = |text: &str| {
        let plan = read(text);
        let problems = walls_and_posts(&plan, &plan.levels[0]).unwrap_err();
        problems.into_iter().map(|problem| (problem.line, problem.column, problem.message)).collect::<Vec<_>>()
    };
    let heads = "surface f: flags\nturn t: round 2, about SW, fan f, wall plain\nlevel g:\n";
    // A wall along the edge by which the bend leaves its post.
    let taken = said(&format!("{heads}+---+   +\n  t   t\n+   +   +\n  t   t\n+   +   +\n"));
    assert_eq!((taken[0].0, taken[0].1), (4, 1));
    assert!(taken[0].2.contains("from the east"), "{taken:?}");
    // A wall that ends in the middle of the fan's straight side.
    let closed = said(&format!("{heads}+   +   +   +\n  f   t   t\n+---+   +   +\n  f   t   t\n+   +   +   +\n"));
    assert_eq!((closed[0].0, closed[0].1), (6, 5));
    assert!(closed[0].2.contains("has no room for it"), "{closed:?}");
}

/// A post beside a long bend is in its way; beside a short one it is not.
#[test]
fn posts_beside_a_bend_keep_off_it() {
    let p = Parameters::default();
    let long = |reach: usize| {
        let row = |cell: &str| format!("  {}\n", [cell].repeat(reach).join("   "));
        let vertices = format!("{}+\n", "+   ".repeat(reach));
        let mut text = format!("turn t: round {reach}, about SW, wall plain\nlevel g:\n+   +-");
        text += &format!("--+{}\n", "   +".repeat(reach.saturating_sub(2)));
        text += &[row("t"), vertices].concat().repeat(reach);
        let plan = read(&text);
        let build = built(&plan, &plan.levels[0]).unwrap();
        in_the_way(&plan, &plan.levels[0], &build, &p).len()
    };
    // By hand, where a post's near side is, 68.7 mm from the end, the circle of n modules less the stub of
    // 11.65 is 18.7 - 6.9, 7.6 and 5.6 mm off the lattice for n of 2, 3 and 4; the post takes 7.5.
    assert_eq!([2, 3, 4, 6].map(long), [0, 1, 1, 1]);
}

#[test]
fn a_tile_of_a_turn_above_the_ground_needs_posts_at_its_corners() {
    let level =
        |name: &str, fan: &str| format!("level {name}:\n+   +---+\n  {fan}   f |\n+---+   +\n| f   f |\n+---+---+\n");
    let text = format!(
        "tiles: 1x1\nsurface f: flags\nturn t: round 1, about SE, fan f, wall plain\nturn u: round 1, about SE, \
         spandrel f, wall plain\n{}{}{}",
        level("ground", "t"),
        level("loft", "t"),
        level("attic", "u")
    );
    let told = |plan: &Plan, index: usize| {
        let frames = levels::frames(plan).unwrap();
        let build = |index: usize| {
            let (walls, posts) = frames[index].clone();
            let tiles = tiles(plan, &plan.levels[index], &posts);
            assemble(plan, &plan.levels[index], walls, posts, tiles)
        };
        let found = levels::uncarried(plan, &plan.levels[index], &build(index), &plan.levels[index - 1], true);
        let told = found.into_iter().map(|problem| problem.message);
        let told: Vec<String> = told.filter(|text| text.contains("turn")).collect();
        // Judged twice, by code that shares nothing.
        let mut builds: Vec<LevelBuild> = (0..plan.levels.len()).map(build).collect();
        levels::join(&mut builds);
        let faults = verify_levels(plan, &builds, true);
        let hangs =
            faults.iter().filter(|(at, fault)| *at == index && matches!(fault, Fault::HangingTurn { .. })).count();
        assert_eq!(told.len(), hangs, "{told:?} {faults:?}");
        told
    };
    let plan = read(&text);
    // On the loft a wall ends at the corner that the fan turns about; the attic has a spandrel.
    assert_eq!(told(&plan, 1), Vec::<String>::new());
    assert!(matches!(&told(&plan, 2)[..], [one] if one.contains("spandrel")), "{:?}", told(&plan, 2));
    let open = read(&text.replace("+---+   +\n| f   f |", "+   +   +\n| f   f |"));
    assert!(matches!(&told(&open, 1)[..], [one] if one.contains("none stands at this corner")));
}

/// A turn wherever there is room: place, reach, corner, form, inner reach, floors and walls.
type Seed = (usize, usize, u32, u32, bool, u32, [Option<usize>; 3], [Option<usize>; 2]);

fn any_turned() -> impl Strategy<Value = Plan> {
    let floor = || prop_oneof![1 => Just(None), 2 => Just(Some(0)), 1 => Just(Some(1))];
    let wall = || prop_oneof![1 => Just(None), 2 => Just(Some(0)), 1 => Just(Some(2))];
    let seed = (
        0..6usize,
        0..6usize,
        1..=3u32,
        0..4u32,
        any::<bool>(),
        0..3u32,
        [floor(), floor(), floor()],
        [wall(), wall()],
    );
    (any_level(), prop::collection::vec(seed, 1..6), any::<bool>(), 0..4usize).prop_map(
        |(mut level, seeds, every, keep)| {
            // Most walls would be in the way of most bends.
            let edges = level.across.iter_mut().chain(&mut level.down).enumerate();
            edges.filter(|(i, _)| i * 7 % 5 >= keep).for_each(|(_, wall)| *wall = None);
            seeds.into_iter().for_each(|seed| put(&mut level, seed));
            let reliefs = if every { Reliefs::EveryModule } else { Reliefs::Corners };
            plan(&[(2, 1), (1, 1)], reliefs, vec![level])
        },
    )
}

fn put(level: &mut Level, (x, y, reach, turns, round, inner, [fan, ring, spandrel], [wall, inner_wall]): Seed) {
    let reach = reach.min(level.width.min(level.height) as u32);
    let side = reach as usize;
    let (x, y) = (x % (level.width - side + 1), y % (level.height - side + 1));
    let cells = || (y..y + side).flat_map(move |row| (x..x + side).map(move |column| (column, row)));
    let taken = |&(column, row): &(usize, usize)| level.turns.iter().any(|turn| turn.covers(column, row));
    if cells().any(|cell| taken(&cell)) {
        return;
    }
    let form = if round { BendForm::Round } else { BendForm::Diagonal };
    let at = match turns {
        0 => Vertex { x, y: y + side },
        1 => Vertex { x: x + side, y: y + side },
        2 => Vertex { x: x + side, y },
        _ => Vertex { x, y },
    };
    let inner = Some(inner).filter(|inner| (1..reach).contains(inner));
    let mut turn = Turn {
        letter: 't',
        at,
        turns,
        bend: Bend { form, reach },
        inner,
        fan,
        ring: inner.and(ring),
        spandrel,
        wall,
        inner_wall: inner.and(inner_wall),
        fit: Fit::default(),
    };
    turn.fit = Fit::of(&turn, &Parameters::default());
    for (column, row) in cells() {
        level.cells[row * level.width + column] = None;
        if column > x {
            level.down[row * (level.width + 1) + column] = None;
        }
        if row > y {
            level.across[row * level.width + column] = None;
        }
    }
    level.turns.push(turn);
}

/// What lies at a point, mm, y to the north: a tile, or a part of a turn with floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Floor {
    Tile(usize),
    Turn(usize, usize),
}

/// A level as geometry alone: bends as they run, in the plan's own directions.
struct Drawn<'a> {
    level: &'a Level,
    /// By turn: its bends, the longer first, from post to post.
    lines: Vec<Vec<Vec<(f64, f64)>>>,
    m: f64,
}

impl<'a> Drawn<'a> {
    fn new(level: &'a Level) -> Self {
        let p = Parameters::default();
        let m = p.module.get();
        let placed = |turn: &Turn, bend: Bend| {
            let (sin, cos) = (f64::from(turn.turns) * std::f64::consts::FRAC_PI_2).sin_cos();
            let (x, y) = (turn.at.x as f64 * m, -(turn.at.y as f64) * m);
            let line = bend.line(&p);
            line.into_iter().map(|to| (x + to.x * cos - to.y * sin, y + to.x * sin + to.y * cos)).collect()
        };
        let lines = level.turns.iter().map(|turn| {
            let bends = [Some(turn.bend), turn.inner.map(|reach| Bend { reach, ..turn.bend })];
            bends.into_iter().flatten().map(|bend| placed(turn, bend)).collect()
        });
        Self { level, lines: lines.collect(), m }
    }

    /// By vertex: the faces that walls on bends take, from the way in which they leave.
    fn arms(&self) -> BTreeMap<(i64, i64), Vec<usize>> {
        let mut arms: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for (turn, lines) in self.level.turns.iter().zip(&self.lines) {
            for (line, wall) in lines.iter().zip([turn.wall, turn.inner_wall]) {
                let both = [(line[0], line[1]), (line[line.len() - 1], line[line.len() - 2])];
                for ((x, y), (to_x, to_y)) in both.into_iter().filter(|_| wall.is_some()) {
                    let face = match ((to_x - x).round() as i64, (to_y - y).round() as i64) {
                        (0, north) if north > 0 => 0,
                        (0, _) => 2,
                        (east, 0) if east > 0 => 3,
                        _ => 1,
                    };
                    arms.entry(((x / self.m).round() as i64, (-y / self.m).round() as i64)).or_default().push(face);
                }
            }
        }
        arms
    }

    fn floor(&self, build: &LevelBuild, (x, y): (f64, f64)) -> Option<Floor> {
        let (column, row) = ((x / self.m).floor(), (-y / self.m).floor());
        if column < 0.0 || row < 0.0 {
            return None;
        }
        let (column, row) = (column as usize, row as usize);
        if let Some(tile) = build.tiles.iter().position(|tile| tile.covers(column, row)) {
            return Some(Floor::Tile(tile));
        }
        let square = |turn: &Turn| {
            let reach = turn.bend.reach as f64 * self.m;
            let (sin, cos) = (f64::from(turn.turns) * std::f64::consts::FRAC_PI_2).sin_cos();
            let (dx, dy) = (x - turn.at.x as f64 * self.m, y + turn.at.y as f64 * self.m);
            let (u, v) = (dx * cos + dy * sin, dy * cos - dx * sin);
            (0.0..reach).contains(&u) && (0.0..reach).contains(&v)
        };
        let index = self.level.turns.iter().position(square)?;
        let (turn, lines) = (&self.level.turns[index], &self.lines[index]);
        let corner = (turn.at.x as f64 * self.m, -(turn.at.y as f64) * self.m);
        let within = |line: &Vec<(f64, f64)>| inside(&[line.as_slice(), &[corner]].concat(), (x, y));
        let part = match (within(&lines[0]), lines.get(1).map(within)) {
            (false, _) => 2,
            (true, Some(false)) => 1,
            (true, _) => 0,
        };
        [turn.fan, turn.ring, turn.spandrel][part].map(|_| Floor::Turn(index, part))
    }
}

/// Even and odd crossings of a ray to the east.
fn inside(polygon: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let sides = polygon.iter().zip(polygon.iter().cycle().skip(1));
    let crosses = |&(&(ax, ay), &(bx, by)): &(&(f64, f64), &(f64, f64))| {
        (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
    };
    sides.filter(crosses).count() % 2 == 1
}

proptest! {
    #[test]
    fn turns_fit_whatever_lies_beside_them(plan in any_turned()) {
        let level = &plan.levels[0];
        let drawn = Drawn::new(level);
        let arms = drawn.arms();
        let edge = |&(x, y): &(i64, i64), face: usize| {
            Level::edge_at(Vertex { x: x as usize, y: y as usize }, face).is_some_and(|edge| level.wall(edge).is_some())
        };
        let twice = |(at, faces): (&(i64, i64), &Vec<usize>)| {
            let distinct: BTreeSet<&usize> = faces.iter().collect();
            distinct.len() < faces.len() || faces.iter().any(|face| edge(at, *face))
        };
        let conflict = arms.iter().any(twice);
        let build = match built(&plan, level) {
            Ok(build) => build,
            Err(problems) => {
                let known = |text: &String| text.contains("on a bend") || text.contains("of a turn") || text.contains("tile of turn");
                prop_assert!(problems.iter().all(known), "{problems:?}");
                prop_assert_eq!(conflict, problems.iter().any(|text| text.contains("on a bend")));
                return Ok(());
            }
        };
        prop_assert!(!conflict);
        prop_assert_eq!(verify(&plan, level, &build), []);
        // Arms: those of the bends, and those of straight walls.
        let mut expected: BTreeMap<(i64, i64), u8> = BTreeMap::new();
        for (at, faces) in &arms {
            faces.iter().for_each(|face| *expected.entry(*at).or_default() |= 1 << face);
        }
        for wall in &build.walls {
            let ends = if wall.down { [(wall.from, 2), (wall.to(), 0)] } else { [(wall.from, 3), (wall.to(), 1)] };
            ends.into_iter().for_each(|(at, face)| *expected.entry((at.x as i64, at.y as i64)).or_default() |= 1 << face);
        }
        let found: BTreeMap<(i64, i64), u8> =
            build.posts.iter().map(|post| ((post.at.x as i64, post.at.y as i64), post.post.arms.bits())).collect();
        prop_assert_eq!(found, expected);
        // Feet: where floor fills the corner that a tongue and the post's own quarter need.
        for post in &build.posts {
            let (x, y) = (post.at.x as f64 * drawn.m, -(post.at.y as f64) * drawn.m);
            for (quadrant, (east, north)) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)].into_iter().enumerate() {
                let spots = [(9.0, 1.0), (1.0, 9.0), (4.0, 4.0)];
                let here = spots.map(|(dx, dy)| drawn.floor(&build, (x + east * dx, y + north * dy)));
                let whole = here[0].is_some() && here.iter().all(|floor| *floor == here[0]);
                prop_assert_eq!(post.post.feet().has(quadrant), whole, "{:?} {}", post.at, quadrant);
            }
        }
        // Biscuits: where both sides have other floor with room for a notch and five millimetres beside it.
        let mut ties = BTreeSet::new();
        for y in 0..=level.height {
            for x in 0..=level.width {
                for down in [false, true] {
                    let (left, top) = (x as f64 * drawn.m, -(y as f64) * drawn.m);
                    let side = |way: f64| {
                        let spots = [-15.0, 0.0, 15.0].into_iter().flat_map(|along| [1.0, 10.0, 20.0].map(|deep| (along, deep * way)));
                        let floors: BTreeSet<Option<Floor>> = spots
                            .map(|(along, deep)| match down {
                                true => drawn.floor(&build, (left + deep, top - drawn.m / 2.0 + along)),
                                false => drawn.floor(&build, (left + drawn.m / 2.0 + along, top + deep)),
                            })
                            .collect();
                        floors.first().copied().flatten().filter(|_| floors.len() == 1)
                    };
                    if let (Some(one), Some(other)) = (side(1.0), side(-1.0)) && one != other {
                        ties.insert(Edge { from: Vertex { x, y }, down });
                    }
                }
            }
        }
        prop_assert_eq!(build.biscuits.iter().copied().collect::<BTreeSet<_>>(), ties);
        // What follows from it is worked out too.
        let strength = measure(level, &build, Capacities::default());
        let parts: usize = strength.parts.iter().map(|part| part.tiles.len()).sum();
        prop_assert_eq!(parts, build.slabs());
        let _ = advise(&plan, level, &build, &strength);
        let steps = order::steps(&plan, std::slice::from_ref(&build), &[]);
        let laid: usize = steps.iter().flat_map(|step| &step.places).count();
        prop_assert!(laid >= build.slabs() + build.bent_walls.len() + build.biscuits.len());
    }
}
