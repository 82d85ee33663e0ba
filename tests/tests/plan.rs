//! From the pump room's drawing to what is made for it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

use flatwright::args::Overrides;
use flatwright::import::{self, Set};
use flatwright::open::{self, Input};
use flatwright::output::Output;
use flatwright::parts::PartsList;
use flatwright::pipeline::{self, Effort};

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples/brinewell").join(name)
}

fn load(name: &str, stock: Option<&str>) -> Set {
    let stock = stock.map(|text| Input { name: "stock.json".into(), bytes: text.into(), folder: ".".into() });
    import_of(Input::load(&sample(name)).expect("the sample is there"), stock)
}

fn import_of(input: Input, stock: Option<Input>) -> Set {
    open::open(input, stock)
        .and_then(|opened| import::import(opened, &Overrides::default()))
        .unwrap_or_else(|problems| panic!("{}", problems.plain(100)))
}

/// Copies of each kind of piece, by the name that parts.json gives it.
fn counts(set: &Set) -> BTreeMap<String, u32> {
    let mut counts = BTreeMap::new();
    for piece in PartsList::new(set, None).pieces {
        *counts.entry(piece.kind).or_default() += piece.count;
    }
    counts
}

/// What the pump room's drawing shows, counted in its text, not by the program: cells, and edges
/// with a wall.
fn drawn() -> (u32, u32) {
    let text = std::fs::read_to_string(sample("pump-room.plan")).expect("the sample is there");
    let rows: Vec<&str> = text.lines().skip_while(|line| !line.starts_with("level ")).skip(1).collect();
    let (mut cells, mut edges) = (0, 0);
    for (number, row) in rows.iter().enumerate() {
        for (column, mark) in row.chars().enumerate() {
            match (number % 2, column % 4) {
                (0, 2) if mark != ' ' => edges += 1,
                (1, 0) if mark != ' ' => edges += 1,
                (1, 2) if mark != ' ' => cells += 1,
                _ => {}
            }
        }
    }
    (cells, edges)
}

#[test]
fn parts_are_what_the_drawing_shows() {
    let set = load("pump-room.plan", None);
    let list = PartsList::new(&set, None);
    let plan = list.plan.expect("it is a plan");
    let [level] = &plan.levels[..] else { panic!("{} levels", plan.levels.len()) };
    let (cells, edges) = drawn();
    assert_eq!((cells, edges), (29, 33), "as counted by eye, row by row");
    let covered: usize = level.tiles.iter().map(|tile| tile.size[0] * tile.size[1]).sum();
    assert_eq!(covered, 29);
    let spanned: usize = level.walls.iter().map(|wall| wall.to[0] - wall.from[0] + wall.to[1] - wall.from[1]).sum();
    assert_eq!(spanned, 33);

    let counts = counts(&set);
    let count = |kind: &str| counts[kind] as usize;
    assert_eq!((count("tile-core"), count("tile-wrap")), (level.tiles.len(), level.tiles.len()));
    assert_eq!((count("card-wall"), count("post")), (level.walls.len(), level.posts.len()));
    // Two more are listed by hand.
    assert_eq!(count("biscuit"), level.biscuits.len() + 2);
    assert_eq!(count("corner-pocket"), level.pockets.len());
    assert_eq!(count("post-cap"), level.posts.len(), "the plan asks for caps");
    // Every wall has two ends, and every arm of a post holds one.
    let arms: usize = level.posts.iter().map(|post| post.arms.len()).sum();
    assert_eq!(arms, 2 * level.walls.len());
    assert_eq!(level.pockets.len(), level.posts.iter().map(|post| post.feet.len()).sum::<usize>());
    // Each place names a piece of the list, and names it as often as it is needed.
    let mut places: BTreeMap<&str, u32> = BTreeMap::new();
    let named = (level.tiles.iter().map(|tile| &tile.pieces))
        .chain(level.walls.iter().map(|wall| &wall.pieces))
        .chain(level.posts.iter().map(|post| &post.pieces))
        .chain(level.pockets.iter().map(|pocket| &pocket.pieces))
        .chain(level.posts.iter().map(|post| &post.cap));
    named.flatten().for_each(|id| *places.entry(id).or_default() += 1);
    for piece in list.pieces.iter().filter(|piece| piece.kind != "biscuit") {
        assert_eq!(places.get(piece.id.as_str()), Some(&piece.count), "{}", piece.id);
    }
    assert_eq!(level.cover.tiles.found, level.tiles.len());
    assert!(level.cover.tiles.at_least <= level.cover.tiles.found);
}

#[test]
fn what_is_on_hand_is_not_made() {
    let (all, stock) = (
        load("pump-room.plan", None),
        r#"{
            "tiles": [
                { "size": [1, 2], "surface": "pump planks", "count": 2 },
                { "size": [2, 1], "surface": "a surface of another plan", "count": 9 }
            ],
            "posts": [{ "arms": "NE", "feet": ["NE"], "count": 3 }],
            "walls": [
                { "span": 1, "opening": { "door": { "width": "25 mm", "height": "40 mm" } }, "count": 1 },
                { "span": 1, "opening": { "door": { "width": "24 mm", "height": "40 mm" } }, "count": 1 }
            ],
            "biscuits": 10,
            "corner_pockets": 60000
        }"#,
    );
    let rest = load("pump-room.plan", Some(stock));
    let (all_counts, rest_counts) = (counts(&all), counts(&rest));
    let saved = |kind: &str| all_counts[kind] - rest_counts.get(kind).copied().unwrap_or(0);
    assert_eq!((saved("tile-core"), saved("tile-wrap")), (2, 2));
    assert_eq!((saved("post"), saved("card-wall"), saved("biscuit")), (3, 1, 10));
    assert!(!rest_counts.contains_key("corner-pocket"), "all are on hand");

    // The identifiers are those of the whole plan.
    let ids = |set: &Set| set.pieces.iter().map(|piece| piece.id.clone()).collect::<Vec<_>>();
    let gone: Vec<String> = ids(&all).into_iter().filter(|id| !ids(&rest).contains(id)).collect();
    assert_eq!(gone, ["CP1"]);
    let plan = PartsList::new(&rest, None).plan.expect("it is a plan");
    let missing: u32 = plan.kinds.iter().filter(|kind| kind.pieces == ["CP1"]).map(|kind| kind.made).sum();
    assert_eq!(missing, 0);
}

#[test]
fn nothing_is_left_to_make_where_all_is_on_hand() {
    let plan = "title: Lamp store\nsurface f: flagstones\nlevel ground:\n+   +\n  f  \n+   +\n";
    let input = |name: &str, text: &str| Input { name: name.into(), bytes: text.into(), folder: ".".into() };
    let stock = r#"{ "tiles": [{ "size": [1, 1], "surface": "flagstones", "reliefs": "every-module" }] }"#;
    let set = import_of(input("lamp.plan", plan), Some(input("stock.json", stock)));
    assert!(set.pieces.is_empty(), "{:?}", counts(&set));
    let proof = pipeline::prove(&set);
    let composed =
        pipeline::lay_out("lamp.plan", &set, &proof, Effort { seed: 1, steps: None }, &mut |_| {}).expect("it fits");
    let output = pipeline::render_plan("lamp.plan", &set, &proof, &composed, None).expect("it can be written");
    assert!(output.files.iter().any(|(name, _)| name == "guide.pdf"));
}

fn both(set: &Set) -> [Output; 2] {
    let effort = Effort { seed: 1, steps: None };
    let proof = pipeline::prove(set);
    let composed = pipeline::lay_out("plan", set, &proof, effort, &mut |_| {}).expect("it fits");
    let sheets = pipeline::render(set, &composed, None, None).expect("sheets can be written");
    let plan = pipeline::render_plan("plan", set, &proof, &composed, None).expect("the plan can be written");
    [sheets, plan]
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let start = Instant::now();
    let [sheets, plan] = both(&load("pump-room.plan", None));
    println!("drawing to sheets, pictures and guide: {:?}", start.elapsed());
    let again = both(&load("pump-room.plan", None));
    assert!(sheets.files == again[0].files && sheets.pages == again[0].pages, "sheets differ");
    assert!(plan.files == again[1].files, "plans differ");
    let names: Vec<&str> = plan.files.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["plan.svg", "plan.png", "guide.pdf", "build.glb", "parts.json"]);
    // Both commands write the same list, so that they can share a folder.
    assert!(sheets.files.last() == plan.files.last());
}

#[test]
fn each_level_has_its_drawing() {
    let [_, plan] = both(&load("tide-tower.plan", None));
    let names: Vec<&str> = plan.files.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(
        names,
        [
            "plan-1.svg",
            "plan-1.png",
            "plan-2.svg",
            "plan-2.png",
            "plan-3.svg",
            "plan-3.png",
            "guide.pdf",
            "build.glb",
            "build-1.glb",
            "build-2.glb",
            "build-3.glb",
            "parts.json",
        ]
    );
    // Files of other numbers of levels go.
    assert!(plan.former.iter().any(|name| name == "plan.svg") && plan.former.iter().any(|name| name == "plan-4.png"));
}

/// Every level has sheets of its own, which say so and hold its pieces; what is on hand is taken off the
/// level that it serves.
#[test]
fn every_level_is_packed_apart() {
    let set = load("tide-tower.plan", None);
    let list = |set: &Set| {
        let proof = pipeline::prove(set);
        let effort = Effort { seed: 1, steps: Some(50) };
        PartsList::new(set, Some(&pipeline::lay_out("plan", set, &proof, effort, &mut |_| {}).expect("it fits")))
    };
    let names = ["landing", "pump floor", "lamp room"];
    let check = |list: &PartsList| {
        let plan = list.plan.as_ref().expect("it is a plan");
        for (index, name) in names.iter().enumerate() {
            let mut placed: BTreeMap<&str, u32> = BTreeMap::new();
            for page in list.pages.as_ref().expect("it is laid out").iter().filter(|p| p.level.as_deref() == Some(name))
            {
                // Of what is split its first part stands for it.
                let first = page.placements.iter().filter(|p| p.part.as_deref().is_none_or(|part| part.ends_with('a')));
                first.for_each(|piece| *placed.entry(piece.piece.as_str()).or_default() += page.copies);
            }
            let mut needed: BTreeMap<&str, u32> = BTreeMap::new();
            for kind in plan.kinds.iter().filter(|kind| kind.by_level[index] > 0) {
                kind.pieces.iter().for_each(|id| *needed.entry(id.as_str()).or_default() += kind.by_level[index]);
            }
            assert_eq!(placed, needed, "{name}");
            assert!(!placed.is_empty());
        }
        assert!(list.pages.as_ref().unwrap().iter().all(|page| page.level.is_some()));
        assert!(plan.kinds.iter().all(|kind| kind.by_level.iter().sum::<u32>() == kind.made));
    };
    let whole = list(&set);
    check(&whole);
    let plan = whole.plan.as_ref().unwrap();
    assert!(plan.levels[0].posts.iter().filter(|post| post.carries).count() == plan.levels[1].posts.len());
    assert!(plan.levels[1].posts.iter().all(|post| post.coupler.len() == 1));
    assert!(plan.levels[0].load.is_some() && plan.levels[2].load.is_none());
    let carried = plan.levels[0].load.as_ref().unwrap();
    assert!(carried.spare > 0.0 && carried.on_post < carried.weight && carried.buckles > carried.on_post);
    // With tiles, a high post and a coupler on hand.
    let stock = r#"{ "tiles": [{ "size": [1, 2], "surface": "pump planks", "count": 1 }, { "size": [2, 2], "surface": "lamp flags" }],
        "posts": [{ "arms": "NE", "feet": ["NE"], "under": true, "count": 2 }], "couplers": [{ "arms": "NS", "count": 5 }],
        "biscuits": 3 }"#;
    let fewer = list(&load("tide-tower.plan", Some(stock)));
    check(&fewer);
    let made =
        |list: &PartsList, kind: &str| list.pieces.iter().filter(|p| p.kind == kind).map(|p| p.count).sum::<u32>();
    assert!(made(&fewer, "coupler") + 5 == made(&whole, "coupler") && made(&fewer, "post") + 2 == made(&whole, "post"));
}

#[test]
fn a_set_that_names_a_plan_makes_what_the_plan_that_names_the_set_makes() {
    let text = std::fs::read_to_string(sample("set.json")).expect("the sample is there");
    let (head, pieces) = text.split_once("  \"pieces\"").expect("the set has pieces");
    let folder = sample("set.json").parent().expect("a folder").to_owned();
    let set =
        |text: String| import_of(Input { name: "set.json".into(), bytes: text.into(), folder: folder.clone() }, None);
    let head = head.replace("the brine halls", "the pump room");
    let named = set(format!("{head}  \"plan\": \"pump-room.plan\"\n}}"));
    let leading = load("pump-room.plan", None);
    let (named, leading) = (PartsList { about: None, ..PartsList::new(&named, None) }, PartsList::new(&leading, None));
    assert_eq!(named, leading);

    // With pieces of its own the set makes those beside.
    let beside = set(format!("{head}  \"plan\": \"pump-room.plan\",\n  \"pieces\"{pieces}"));
    let alone = set(format!("{head}  \"pieces\"{pieces}"));
    let (sum, plan, own) = (counts(&beside), counts(&load("pump-room.plan", None)), counts(&alone));
    for (kind, count) in sum {
        let parts = [&plan, &own].map(|list| list.get(&kind).copied().unwrap_or(0));
        assert_eq!(count, parts[0] + parts[1], "{kind}");
    }
}

#[test]
fn board_walls_keep_all_their_pieces_in_their_places() {
    let overrides = Overrides::default();
    let text = std::fs::read_to_string(sample("pump-room.plan")).expect("the sample is there");
    let folder = std::env::temp_dir().join(format!("flatwright-board-walls-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the set");
    let set =
        r#"{ "name": "Lent", "parameters": { "walls": "board" }, "pieces": [{ "piece": "biscuit", "count": 500 }] }"#;
    std::fs::write(folder.join("set.json"), set).expect("it can be written");
    let input = Input { name: "pump-room.plan".into(), bytes: text.into(), folder: folder.clone() };
    let set = open::open(input, None).and_then(|opened| import::import(opened, &overrides));
    std::fs::remove_dir_all(&folder).expect("it can be removed");
    let list = PartsList::new(&set.unwrap_or_else(|problems| panic!("{}", problems.plain(100))), None);
    let level = &list.plan.expect("it is a plan").levels[0];
    for wall in &level.walls {
        let kinds: Vec<&str> = wall.pieces.iter().map(|id| &id[..2]).collect();
        let expected: &[&str] = match wall.design.as_str() {
            "door" => &["WC", "WF", "DL"],
            "niche" => &["WC", "WF", "NB"],
            _ => &["WC", "WF"],
        };
        assert_eq!(kinds, expected, "{wall:?}");
    }
    // The pieces of a set that only lends its materials are not made.
    let biscuits: u32 = list.pieces.iter().filter(|piece| piece.kind == "biscuit").map(|piece| piece.count).sum();
    assert!(biscuits < 100, "{biscuits}");
}
