//! Deliberately broken sets and builds: each caught by the check that should catch it, and by no
//! other; and every mend tried out.

mod rules_floor;

use flatwright_folding::build::{Build, Corner, Placed, Run, Seam};
use flatwright_folding::place::Lattice;
use flatwright_folding::rules::{Case, Finding, InHand, Mend, Value, check};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use rules_floor::floor;

const fn mm(length: f64) -> Mm {
    Mm::new(length)
}

/// Names of the rules that fail, each once.
fn failing(findings: &[Finding]) -> Vec<&'static str> {
    let mut rules: Vec<&str> = findings.iter().filter(|f| !f.holds()).map(|f| f.rule).collect();
    rules.dedup();
    rules
}

/// One broken set: what is wrong, the parameters, the stock in hand if it differs, the rules that
/// fail, the mend's parameter and value.
struct Broken {
    what: &'static str,
    p: Parameters,
    in_hand: Option<InHand>,
    rules: &'static [&'static str],
    mend: (&'static str, f64),
}

fn set(what: &'static str, p: Parameters, rule: &'static [&'static str], mend: (&'static str, f64)) -> Broken {
    Broken { what, p, in_hand: None, rules: rule, mend }
}

fn table() -> Vec<Broken> {
    let default = Parameters::default;
    let thick_walls = || Parameters { board: mm(10.0), walls: WallBuild::Board, ..default() };
    let nominal = InHand { board: mm(5.0), card: mm(0.25), paper: mm(0.1), fold_factor: 0.5 };
    let hand = |what, p, in_hand, rule, mend| Broken { in_hand: Some(in_hand), ..set(what, p, rule, mend) };
    vec![
        set(
            "10 mm board walls in posts of 15 mm",
            Parameters { post_side: Some(mm(15.0)), ..thick_walls() },
            &["hook over card"],
            // s/2 - w/2 - f + f/2 - 1.5 (gap) = 1.5 (hook)
            ("post_side", 16.3),
        ),
        set(
            "a kerf larger than the slot",
            Parameters { kerf: mm(0.9), tool_gap_card: mm(1.5), ..default() },
            &["wall in slot"],
            ("kerf", 0.79),
        ),
        set(
            "a kerf larger than the slot of thin card",
            Parameters { kerf: mm(0.6), card: mm(0.1), ..default() },
            &["wall in slot"],
            ("kerf", 0.49),
        ),
        set(
            "a kerf larger than the gap of the hook",
            Parameters { kerf: mm(1.7), walls: WallBuild::Board, ..default() },
            &["hook over card"],
            ("kerf", 1.49),
        ),
        set(
            "a tongue too long",
            Parameters { tongue: mm(21.0), pocket_band: mm(3.0), ..default() },
            &["tongue against notch"],
            ("tongue", 20.5),
        ),
        set(
            "a notch too deep",
            Parameters { notch_depth: mm(29.0), ..default() },
            &["notch against notch"],
            ("notch_depth", 27.6),
        ),
        set("no play", Parameters { play: mm(0.0), ..default() }, &["play"], ("play", 0.05)),
        set(
            "card too thick for the post that was asked for",
            Parameters { card: mm(2.0), post_side: Some(mm(15.0)), ..default() },
            &["hook over card"],
            // s/2 - c - f/2 - (2c + f) = 1.5
            ("post_side", 15.9),
        ),
        set(
            "a hook that reaches the floor",
            Parameters { hook_drop: mm(24.9), ..default() },
            &["hook over card"],
            ("hook_drop", 24.5),
        ),
        set(
            "pockets that lie on each other",
            Parameters { pocket_band: mm(20.0), ..default() },
            &["pockets apart"],
            // (76.2 - 0.3) / 2 - 7.5 - 12
            ("pocket_band", 18.45),
        ),
        set(
            "a fold factor that is not the paper's",
            Parameters { fold_factor: 0.1, paper: mm(0.2), ..default() },
            &["wrap over core"],
            // pi/2 * 0.2 * (0.5 - K) = 0.3 / 4
            ("fold_factor", 0.261),
        ),
        hand(
            "board thicker than the wrap was drawn for",
            default(),
            InHand { board: mm(5.4), ..nominal },
            &["wrap over core"],
            ("board", 5.325),
        ),
        hand(
            "board walls thicker than their slot",
            Parameters { walls: WallBuild::Board, ..default() },
            InHand { board: mm(5.05), ..nominal },
            &["wall in slot", "tabs inside a sleeve", "cap and wall"],
            ("board", 5.05),
        ),
        hand(
            "card thicker than the hook's gap and the slot were drawn for",
            default(),
            InHand { card: mm(0.3), ..nominal },
            &["wall in slot", "tabs inside a sleeve", "hook over card", "cap and wall", "glue flap"],
            ("card", 0.3),
        ),
    ]
}

#[test]
fn broken_sets_are_caught_by_the_check_that_should() {
    for broken in table() {
        let case = Case { in_hand: broken.in_hand, ..Case::new(&broken.p) };
        let found = check(&case).findings;
        assert_eq!(failing(&found), broken.rules, "{}: {found:#?}", broken.what);
        for rule in broken.rules {
            let fails = found.iter().find(|f| f.rule == *rule && !f.holds()).expect("it fails");
            let mend = fails.mend.as_ref().unwrap_or_else(|| panic!("{}: no mend for {rule}", broken.what));
            assert_eq!(mend.parameter, broken.mend.0, "{}", broken.what);
            let value = number(mend);
            // The two that give by a hair may stop a thousandth earlier.
            let exact = broken.rules.len() == 1 || *rule == broken.rules[0];
            if exact {
                assert!((value - broken.mend.1).abs() < 1.5e-3, "{}: {value}", broken.what);
            }
            try_out(&broken, rule, mend.parameter, value);
        }
    }
}

fn number(mend: &Mend) -> f64 {
    match &mend.value {
        Value::Length(length) => length.get(),
        Value::Number(number) => *number,
        Value::Text(text) => panic!("{text} is no number"),
    }
}

/// With the mend the rule holds; with a value 0.01 nearer it does not.
fn try_out(broken: &Broken, rule: &str, parameter: &str, value: f64) {
    let holds = |value: f64| {
        let p = with(&broken.p, parameter, value);
        let case = Case { in_hand: broken.in_hand, ..Case::new(&p) };
        check(&case).findings.iter().filter(|f| f.rule == rule).all(Finding::holds)
    };
    assert!(holds(value), "{}: {parameter} = {value} does not mend {rule}", broken.what);
    let nearer = value + 0.01 * (get(&broken.p, parameter) - value).signum();
    assert!(!holds(nearer), "{}: {parameter} = {nearer} mends {rule} too", broken.what);
}

fn with(p: &Parameters, parameter: &str, value: f64) -> Parameters {
    let mut p = p.clone();
    match parameter {
        "post_side" => p.post_side = Some(mm(value)),
        "kerf" => p.kerf = mm(value),
        "tongue" => p.tongue = mm(value),
        "notch_depth" => p.notch_depth = mm(value),
        "play" => p.play = mm(value),
        "hook_drop" => p.hook_drop = mm(value),
        "pocket_band" => p.pocket_band = mm(value),
        "fold_factor" => p.fold_factor = value,
        "board" => p.board = mm(value),
        "card" => p.card = mm(value),
        _ => panic!("{parameter} is not in the table"),
    }
    p
}

fn get(p: &Parameters, parameter: &str) -> f64 {
    match parameter {
        "post_side" => p.post_side().get(),
        "kerf" => p.kerf.get(),
        "tongue" => p.tongue.get(),
        "notch_depth" => p.notch_depth.get(),
        "play" => p.play.get(),
        "hook_drop" => p.hook_drop.get(),
        "pocket_band" => p.pocket_band.get(),
        "fold_factor" => p.fold_factor,
        "board" => p.board.get(),
        "card" => p.card.get(),
        _ => panic!("{parameter} is not in the table"),
    }
}

/// What is broken in a build: what, how, the rule besides "space" that fails, whether solids share
/// space too, and the mend.
type BrokenBuild = (&'static str, fn(&mut Build), &'static str, bool, Option<(&'static str, &'static str)>);

const BUILDS: [BrokenBuild; 15] = [
    ("a post that stands in another", beside_another, "posts apart", true, None),
    ("a pocket away from its relief", pocket_astray, "pockets apart", true, None),
    (
        "a wall on a face without a slot",
        |b| b.posts[4].piece.arms = Arms::from_bits(0b0111),
        "arms and walls",
        true,
        Some(("arms", "NWSE for post 1 1")),
    ),
    ("a slot without a wall", |b| drop(b.walls.remove(0)), "arms and walls", false, Some(("arms", "N for post 0 0"))),
    ("a wall without a post", |b| drop(b.posts.remove(8)), "arms and walls", false, None),
    ("a wall over a post", over_a_post, "arms and walls", true, None),
    ("two walls in one place", twice_a_wall, "arms and walls", true, None),
    ("a post inside a tile", inside_a_tile, "posts and reliefs", true, None),
    (
        "a post at the edge of a tile without relief",
        at_an_edge,
        "posts and reliefs",
        true,
        Some(("reliefs", "every module for long tile")),
    ),
    ("a plate on the floor", |b| b.posts[0].piece.stand = Stand::BasePlate, "posts and reliefs", true, None),
    (
        "a foot where no tile is",
        |b| b.posts[0].piece.stand = Stand::Feet(Feet::from_bits(0b0011)),
        "posts and reliefs",
        false,
        Some(("feet", "NE for post 0 0")),
    ),
    ("a biscuit at the floor's edge", |b| add_biscuit(b, at(0.0, 0.0)), "biscuit in notch", false, None),
    ("a biscuit inside a tile", biscuit_in_tile, "biscuit in notch", true, None),
    ("two tiles in one place", twice_a_tile, "tile pitch", true, None),
    (
        "two pockets in one place",
        |b| {
            for i in 0..2 {
                b.pockets.push(Placed::new(format!("pocket {i}"), Corner { quadrant: 0 }, at(0.0, 0.0)));
            }
        },
        "pockets apart",
        true,
        None,
    ),
];

const fn at(x: f64, y: f64) -> Lattice {
    Lattice { x, y }
}

fn over_a_post(b: &mut Build) {
    // One wall over two modules instead of two, the post between them still there.
    b.walls.retain(|wall| wall.at.y != 0.0 || wall.piece.north);
    let run = Run { wall: Wall { span: 2.0, opening: None }, north: false };
    b.walls.push(Placed::new("long wall", run, at(0.0, 0.0)));
    b.posts[1].piece.arms = Arms::from_bits(0b0001);
}

/// Off the floor, two posts a tenth of a module apart.
fn beside_another(b: &mut Build) {
    let post = Post { arms: Arms::NONE, stand: Stand::Feet(Feet::NONE), under: false };
    b.posts.push(Placed::new("post", post, at(5.0, 5.0)));
    b.posts.push(Placed::new("another post", post, at(5.1, 5.0)));
}

/// So far aside that its band lies where the post's tongue does.
fn pocket_astray(b: &mut Build) {
    b.pockets.push(Placed::new("pocket", Corner { quadrant: 0 }, at(-0.05, 0.0)));
}

fn twice_a_wall(b: &mut Build) {
    let again = Placed { name: "the same wall".into(), ..b.walls[0].clone() };
    b.walls.push(again);
}

fn inside_a_tile(b: &mut Build) {
    let post = Post { arms: Arms::NONE, stand: Stand::Feet(Feet::NONE), under: false };
    b.posts.push(Placed::new("post in the middle", post, at(0.5, 0.5)));
}

fn at_an_edge(b: &mut Build) {
    // A tile over both cells of the first row; the post between them stands at its edge.
    b.tiles.retain(|tile| tile.at.y > 0.0);
    let tile = Tile::plain(2, 1, Reliefs::Corners);
    b.tiles.push(Placed::new("long tile", tile, at(0.0, 0.0)));
    b.biscuits.retain(|biscuit| !(biscuit.piece.north && biscuit.at.y == 0.0));
    // Only that one post of the tile's two edges is left.
    b.posts.retain(|post| !(post.at.x == 1.0 && post.at.y == 1.0));
    b.walls.retain(|wall| {
        let far = if wall.piece.north { at(wall.at.x, wall.at.y + 1.0) } else { at(wall.at.x + 1.0, wall.at.y) };
        wall.at != at(1.0, 1.0) && far != at(1.0, 1.0)
    });
    spare_all(b);
}

/// Every slot may stay empty.
fn spare_all(b: &mut Build) {
    b.spare = b.posts.iter().flat_map(|post| (0..4).map(|face| (post.at, face))).collect();
}

fn add_biscuit(b: &mut Build, place: Lattice) {
    b.biscuits.push(Placed::new("one more biscuit", Seam { north: true }, place));
}

fn biscuit_in_tile(b: &mut Build) {
    at_an_edge(b);
    b.tiles[2].piece.reliefs = Reliefs::EveryModule;
    add_biscuit(b, at(1.0, 0.0));
}

fn twice_a_tile(b: &mut Build) {
    let again = Placed { name: "the same tile".into(), ..b.tiles[0].clone() };
    b.tiles.push(again);
}

#[test]
fn broken_builds_are_caught_by_the_check_that_should() {
    let p = Parameters::default();
    for (what, spoil, rule, shares, mend) in BUILDS {
        let mut build = floor(2, 2, false);
        spoil(&mut build);
        let found = check(&Case { build: Some(&build), ..Case::new(&p) }).findings;
        let expected = if shares { vec![rule, "space"] } else { vec![rule] };
        assert_eq!(failing(&found), expected, "{what}: {found:#?}");
        let fails = found.iter().find(|f| f.rule == rule && !f.holds()).expect("it fails");
        // Lengths are tried out on broken sets; here it is what to do about one piece that counts.
        let text = |mend: &&Mend| matches!(mend.value, Value::Text(_));
        let told = fails.mend.as_ref().filter(text).map(|mend| (mend.parameter, mend.value.clone()));
        assert_eq!(told, mend.map(|(name, value)| (name, Value::Text(value.to_owned()))), "{what}");
    }
}

/// What the mends of builds say, done.
#[test]
fn mended_builds_hold() {
    let p = Parameters::default();
    let holds = |build: &Build| {
        let found = check(&Case { build: Some(build), ..Case::new(&p) }).findings;
        assert!(found.iter().all(Finding::holds), "{found:#?}");
    };
    let mut build = floor(2, 2, true);
    holds(&build);
    at_an_edge(&mut build);
    build.tiles[2].piece.reliefs = Reliefs::EveryModule;
    holds(&build);
    let mut build = floor(2, 2, true);
    build.walls.remove(0);
    build.posts[0].piece.arms = Arms::from_bits(0b0001);
    build.spare.push((build.posts[1].at, 1));
    holds(&build);
}
