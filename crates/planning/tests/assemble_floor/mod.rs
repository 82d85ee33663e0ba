//! Floors for the tests: random plans and a plain way to lay tiles, apart from the program's own.

use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::assemble;
use flatwright_planning::build::{LevelBuild, PostPlace, TilePlace};
use flatwright_planning::plan::{Design, Level, OffFloor, Plan, Surface, Vertex};
use flatwright_planning::walls::walls_and_posts;
use proptest::prelude::*;

pub fn plan(tiles: &[(u32, u32)], reliefs: Reliefs, levels: Vec<Level>) -> Plan {
    let surface = |letter, name: &str| Surface { letter, name: name.into(), colour: None, drawn_as: None };
    let design = |letter, name: &str, opening| Design { letter, name: name.into(), opening, span: 1, filler: None };
    let (width, height) = (Mm::new(26.0), Mm::new(38.0));
    let door = Opening::Door { width, height, hinge: HingeSide::Left };
    Plan {
        title: "Brine hall".into(),
        surfaces: vec![surface('f', "flagstone"), surface('p', "planks")],
        designs: vec![
            design(None, "plain", None),
            design(Some('D'), "door", Some(door)),
            design(Some('A'), "arch", Some(Opening::Arch { width, height })),
        ],
        tiles: tiles.to_vec(),
        reliefs,
        spans: vec![2, 1],
        off_floor: OffFloor::BasePlate,
        caps: false,
        extras: Vec::new(),
        fittings: Vec::new(),
        roofs: Vec::new(),
        levels,
    }
}

/// A level drawn as a list: cells row by row, then edges in the order of the level.
pub fn level(
    width: usize,
    height: usize,
    cells: &[Option<usize>],
    across: &[Option<usize>],
    down: &[Option<usize>],
) -> Level {
    Level {
        cells: cells.to_vec(),
        across: across.to_vec(),
        down: down.to_vec(),
        ..Level::empty("ground", width, height)
    }
}

/// Random levels up to 6 x 6, with two surfaces, holes, walls, doors and arches.
pub fn any_level() -> impl Strategy<Value = Level> {
    let cell = || prop_oneof![1 => Just(None), 4 => Just(Some(0)), 2 => Just(Some(1))];
    let wall = || prop_oneof![5 => Just(None), 3 => Just(Some(0)), 1 => Just(Some(1)), 1 => Just(Some(2))];
    (1..=6usize, 1..=6usize).prop_flat_map(move |(w, h)| {
        (
            prop::collection::vec(cell(), w * h),
            prop::collection::vec(wall(), w * (h + 1)),
            prop::collection::vec(wall(), (w + 1) * h),
        )
            .prop_map(move |(cells, across, down)| level(w, h, &cells, &across, &down))
    })
}

pub fn any_plan() -> impl Strategy<Value = Plan> {
    let sizes = prop_oneof![Just(vec![(1, 1)]), Just(vec![(2, 1), (1, 1)]), Just(vec![(2, 2), (2, 1), (1, 1)])];
    let reliefs = prop_oneof![Just(Reliefs::Corners), Just(Reliefs::EveryModule)];
    (sizes, reliefs, prop::collection::vec(any_level(), 1..=2), any::<bool>()).prop_map(
        |(sizes, reliefs, levels, caps)| {
            let named = |(i, level)| Level { name: format!("level {i}"), ..level };
            Plan { caps, ..plan(&sizes, reliefs, levels.into_iter().enumerate().map(named).collect()) }
        },
    )
}

/// Every level of a plan, tiled by taking the first size that fits, in reading order.
pub fn built(plan: &Plan) -> Vec<LevelBuild> {
    let build = |level: &Level| {
        let (walls, posts) = walls_and_posts(plan, level).expect("spans of 1 fill every run");
        let tiles = tiles(plan, level, &posts);
        assemble(plan, level, walls, posts, tiles)
    };
    plan.levels.iter().map(build).collect()
}

/// The first size that fits, in reading order.
pub fn tiles(plan: &Plan, level: &Level, posts: &[PostPlace]) -> Vec<TilePlace> {
    let mut taken = vec![false; level.width * level.height];
    let mut tiles = Vec::new();
    for y in 0..level.height {
        for x in 0..level.width {
            let Some(surface) = level.cell(x, y) else { continue };
            if taken[y * level.width + x] {
                continue;
            }
            let turns = plan.tiles.iter().flat_map(|&(a, b)| [(a as usize, b as usize), (b as usize, a as usize)]);
            let tile = turns
                .map(|(width, height)| TilePlace { x, y, width, height, surface })
                .find(|tile| fits(plan, level, posts, tile, &taken))
                .expect("1 x 1 is among the sizes");
            for row in y..y + tile.height {
                taken[row * level.width + x..][..tile.width].fill(true);
            }
            tiles.push(tile);
        }
    }
    tiles
}

fn fits(plan: &Plan, level: &Level, posts: &[PostPlace], tile: &TilePlace, taken: &[bool]) -> bool {
    let edge = |x, y, down| level.wall(flatwright_planning::plan::Edge { from: Vertex { x, y }, down });
    for y in tile.y..tile.y + tile.height {
        for x in tile.x..tile.x + tile.width {
            let free = level.cell(x, y) == Some(tile.surface) && !taken[y * level.width + x];
            let walled = (x > tile.x && edge(x, y, true).is_some()) || (y > tile.y && edge(x, y, false).is_some());
            if !free || walled {
                return false;
            }
        }
    }
    posts.iter().all(|post| {
        let at = post.at;
        let (along_x, along_y) =
            (at.x >= tile.x && at.x <= tile.x + tile.width, at.y >= tile.y && at.y <= tile.y + tile.height);
        let edge_x = at.x == tile.x || at.x == tile.x + tile.width;
        let edge_y = at.y == tile.y || at.y == tile.y + tile.height;
        let apart = !(along_x && along_y);
        apart || (edge_x && edge_y) || (plan.reliefs == Reliefs::EveryModule && (edge_x || edge_y))
    })
}
