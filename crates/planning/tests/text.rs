//! The plan text, read right and refused with its place.

use flatwright_geometry::pieces::post::Stand;
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::plan::{Edge, ExtraPiece, OffFloor, Vertex};
use flatwright_planning::text;
use flatwright_planning::walls::walls_and_posts;

const SMALL: &str = "\
title: Lamp store   # a comment
tiles: 2x1, 1x1
reliefs: every-module
off-floor posts: refuse
surface f: flags #c9c3b6
wall D: door 25 mm x 1 1/2 in, hinge right
extra: 3 biscuits

level ground:
  +---+-D-+   # the drawing may be indented
  | f   f |
  +   +---+
  | f |
  +---+
";

#[test]
fn a_plan_is_read() {
    let read = text::read(SMALL).unwrap_or_else(|errors| panic!("{errors:?}"));
    let plan = read.plan;
    assert_eq!(plan.title, "Lamp store");
    assert_eq!(plan.tiles, [(2, 1), (1, 1)]);
    assert_eq!(plan.reliefs, Reliefs::EveryModule);
    assert_eq!(plan.off_floor, OffFloor::Refuse);
    assert_eq!((plan.surfaces[0].letter, plan.surfaces[0].colour), ('f', Some((0xc9, 0xc3, 0xb6))));
    let call = &read.calls[0];
    assert_eq!((call.design, call.name.0.as_str(), plan.designs[1].name.as_str()), (1, "door", "door"));
    let said: Vec<(&str, &str, usize)> =
        call.values.iter().map(|said| (said.key.as_str(), said.value.as_str(), said.at.column)).collect();
    assert_eq!(said, [("width", "25 mm", 14), ("height", "1 1/2 in", 22), ("hinge", "right", 38)]);
    assert_eq!((plan.extras[0].piece, plan.extras[0].count), (ExtraPiece::Biscuit, 3));
    let level = &plan.levels[0];
    assert_eq!((level.width, level.height, level.floor_cells()), (2, 2, 3));
    assert_eq!(level.wall(Edge { from: Vertex { x: 1, y: 0 }, down: false }), Some(1));
    assert_eq!(level.cell_in_text(0, 1), (13, 5));
}

/// A column on the floor, one off it, and one that parts a wall; an offset moves them with their level.
#[test]
fn columns_are_read() {
    let text =
        "surface f: flags\nspans: 2 1\nlevel ground:\n+---+---+   o\n| f   f |\n+   o   +\n| f   f |\n+---o---+\n";
    let plan = text::read(text).unwrap_or_else(|errors| panic!("{errors:?}")).plan;
    let level = &plan.levels[0];
    let at = |x, y| Vertex { x, y };
    assert_eq!(level.columns.iter().copied().collect::<Vec<_>>(), [at(1, 1), at(1, 2), at(3, 0)]);
    let (walls, posts) = walls_and_posts(&plan, level).unwrap();
    // The southern wall of two modules is two of one; the northern one is whole.
    assert_eq!(walls.iter().filter(|wall| !wall.down && wall.from.y == 2).count(), 2);
    assert_eq!(walls.iter().filter(|wall| !wall.down && wall.from.y == 0).count(), 1);
    let post = |x, y| posts.iter().find(|post| post.at == at(x, y)).map(|post| post.post).unwrap();
    assert_eq!((post(1, 1).arms.count(), post(1, 1).feet().count()), (0, 4));
    assert_eq!((post(1, 2).arms.count(), post(1, 2).feet().count()), (2, 2));
    assert_eq!(post(3, 0).stand, Stand::BasePlate);
    let moved = level.clone().moved((2, 1));
    assert!(moved.columns.contains(&at(3, 2)) && moved.columns.len() == 3);
}

#[test]
fn every_error_is_named_at_its_place() {
    let bad = "\
titel: x
tiles: 2x2 0x1
surface ff: flags
wall D: door 25 mm
wall E: door 25 x 40 mm
level ground:
+---+
| q |
+-Z-+
| f
";
    let errors = text::read(bad).unwrap_err();
    let places: Vec<(usize, usize)> = errors.iter().map(|error| (error.line, error.column)).collect();
    assert_eq!(places, [(1, 1), (2, 8), (3, 1), (4, 9), (5, 9), (8, 3), (9, 3), (10, 1), (10, 3)], "{errors:#?}");
    assert!(errors.iter().all(|error| !error.help.is_empty() && error.length > 0));
}

#[test]
fn no_text_makes_it_panic() {
    // Every way of cutting the sample short, and of spoiling one character.
    for cut in 0..SMALL.len() {
        let _ = text::read(&SMALL[..cut]);
        for spoil in ["\t", "+", "|", ":", "#", "é", "\u{202e}", ""] {
            let _ = text::read(&format!("{}{spoil}{}", &SMALL[..cut], SMALL.get(cut + 1..).unwrap_or("")));
        }
    }
}

/// A run of five edges takes a span of 2 twice and of 1 once: three walls, four posts.
#[test]
fn runs_are_split_into_fewest_walls() {
    let drawing = "surface f: flags\nlevel g:\n+---+---+---+---+---+\n  f   f   f   f   f\n+   +   +   +   +   +\n";
    let plan = text::read(drawing).unwrap().plan;
    let (walls, posts) = walls_and_posts(&plan, &plan.levels[0]).unwrap();
    let spans: Vec<usize> = walls.iter().map(|wall| wall.span).collect();
    assert_eq!(spans.iter().sum::<usize>(), 5);
    assert_eq!((walls.len(), posts.len()), (3, 4));
}

#[test]
fn posts_stand_where_walls_turn_branch_cross_and_end() {
    let drawing = "\
surface f: flags
spans: 2 1
level g:
+---+---+
| f | f |
+---+---+
  f | f
+   +   +
";
    let plan = text::read(drawing).unwrap().plan;
    let (walls, posts) = walls_and_posts(&plan, &plan.levels[0]).unwrap();
    let shapes: Vec<&str> = posts.iter().map(|post| post.post.shape()).collect();
    // Row by row: corner, tee, corner; corner, cross, corner; the stub's end.
    assert_eq!(shapes, ["corner", "tee", "corner", "corner", "cross", "corner", "end"]);
    assert!(posts.iter().all(|post| matches!(post.post.stand, Stand::Feet(_))));
    // Every wall end meets an arm, and every arm a wall end.
    let arms: u32 = posts.iter().map(|post| post.post.arms.count()).sum();
    assert_eq!(arms as usize, walls.len() * 2);
}

#[test]
fn a_post_without_a_tile_gets_a_plate_or_is_refused() {
    let drawing = "surface f: flags\nlevel g:\n+---+---+---+\n  f\n+   +   +   +\n";
    let plan = text::read(drawing).unwrap().plan;
    let (_, posts) = walls_and_posts(&plan, &plan.levels[0]).unwrap();
    assert_eq!(posts.last().unwrap().post.stand, Stand::BasePlate);
    let refused = text::read(&format!("off-floor posts: refuse\n{drawing}")).unwrap().plan;
    let problems = walls_and_posts(&refused, &refused.levels[0]).unwrap_err();
    assert_eq!((problems[0].line, problems[0].column), (4, 13));
}

#[test]
fn a_design_over_two_modules_needs_pairs_of_edges() {
    let drawing =
        "surface f: flags\nwall A: arch 40 mm x 42 mm, over 2\nlevel g:\n+-A-+-A-+-A-+\n  f   f   f\n+   +   +   +\n";
    let plan = text::read(drawing).unwrap().plan;
    let problems = walls_and_posts(&plan, &plan.levels[0]).unwrap_err();
    assert_eq!((problems[0].line, problems[0].column), (4, 2));
}
