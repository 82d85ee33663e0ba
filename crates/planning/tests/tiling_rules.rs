//! The rules of a cover on random floors, and floors too large for one programme.

mod tiling_floor;

use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::tiling;
use proptest::prelude::*;
use tiling_floor::{Floor, open, post};

fn floors() -> impl Strategy<Value = Floor> {
    let sets: [&[(u32, u32)]; 4] =
        [&[(2, 2), (2, 1), (1, 1)], &[(3, 3), (2, 2), (3, 1), (2, 1), (1, 1)], &[(4, 3), (2, 1), (1, 1)], &[(1, 1)]];
    (1..=12usize, 1..=12usize, prop::sample::select(sets.to_vec()), any::<bool>()).prop_flat_map(
        |(width, height, tiles, every_module)| {
            let mut floor = open(width, height, tiles);
            if every_module {
                floor.plan.reliefs = Reliefs::EveryModule;
            }
            let cell = prop_oneof![8 => Just(Some(0)), 1 => Just(Some(1)), 1 => Just(None)];
            let wall = prop::option::weighted(0.1, Just(0));
            let stock = prop::collection::btree_map((0..2usize, Just((2, 1))), 0..5usize, 0..2);
            (
                prop::collection::vec(cell, width * height),
                prop::collection::vec(wall.clone(), width * (height + 1)),
                prop::collection::vec(wall, (width + 1) * height),
                prop::collection::btree_set((0..=width, 0..=height), 0..5),
                stock,
            )
                .prop_map(move |(cells, across, down, posts, on_hand)| {
                    let mut floor = floor.clone();
                    (floor.level.cells, floor.level.across, floor.level.down) = (cells, across, down);
                    floor.posts = posts.into_iter().map(|(x, y)| post(x, y)).collect();
                    floor.on_hand = on_hand;
                    floor
                })
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every cell once, no wall and no unrelieved post in a tile; counts as told; the same each time.
    #[test]
    fn covers_keep_the_rules(floor in floors()) {
        let cover = floor.cover().expect("single cells cover everything");
        prop_assert!(floor.is_covered_by(&cover.tiles));
        prop_assert!(cover.tiles.is_sorted());
        prop_assert_eq!(cover.tiles.len(), cover.fewest.found);
        prop_assert!(cover.fewest.at_least <= cover.fewest.found);
        let (new, _, _, seams) = floor.worth(&cover.tiles);
        prop_assert_eq!((new, seams), (cover.new_tiles.found, cover.straight_seams.found));
        let taken: usize = cover.from_stock.values().sum();
        prop_assert_eq!(taken + new, cover.tiles.len());
        prop_assert!(cover.from_stock.iter().all(|(class, count)| floor.on_hand.get(class) >= Some(count)));
        prop_assert_eq!(floor.cover(), Some(cover));
    }
}

/// A part too large for one programme by far: its cover keeps the rules, and its bound is true and near.
#[test]
fn a_large_floor_of_an_awkward_set() {
    let mut floor = open(36, 36, &[(4, 3), (3, 2), (5, 1), (2, 1), (1, 1)]);
    for cell in [90, 700, 701, 1200] {
        floor.level.cells[cell] = None;
    }
    let cover =
        tiling::cover(&floor.plan, &floor.level, &[], &floor.on_hand, 1).expect("single cells cover everything");
    assert!(floor.is_covered_by(&cover.tiles));
    // At least by area; and the gap is under a tenth.
    assert!(cover.fewest.at_least >= (36 * 36 - 4usize).div_ceil(12));
    assert!(cover.fewest.found * 8 <= cover.fewest.at_least * 9, "{:?}", cover.fewest);
    assert_eq!(floor.straight_seams(&cover.tiles), cover.straight_seams.found);
}

/// Rooms of the same shape get the same tiles, wherever they are.
#[test]
fn alike_rooms_are_covered_alike() {
    let mut floor = open(20, 5, &[(3, 2), (2, 1), (1, 1)]);
    let walled: Vec<usize> = (0..5).flat_map(|y| [5, 10, 15].map(|x| y * 21 + x)).collect();
    walled.into_iter().for_each(|edge| floor.level.down[edge] = Some(0));
    let cover = floor.cover().expect("single cells cover everything");
    let room = |first: usize| -> Vec<_> {
        let tiles = cover.tiles.iter().filter(|t| (first..first + 5).contains(&t.x));
        tiles.map(|t| (t.x - first, t.y, t.width, t.height)).collect()
    };
    assert!(!room(0).is_empty());
    assert!([5, 10, 15].iter().all(|&first| room(first) == room(0)));
}
