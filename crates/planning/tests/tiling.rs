//! Covers against every cover there is, against published facts, and against another solver.

mod tiling_floor;

use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::build::TilePlace;
use flatwright_planning::tiling::{self, OnHand};
use serde_json::Value;
use tiling_floor::{Floor, open, post};

const SMALL: &[(u32, u32)] = &[(2, 2), (2, 1), (1, 1)];
const USUAL: &[(u32, u32)] = &[(3, 3), (3, 2), (3, 1), (2, 2), (2, 1), (1, 1)];

/// Numbers for the tests: a linear congruence (Knuth, The Art of Computer Programming 2, 3.3.4).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

fn same_as_brute_force(floor: &Floor) {
    let best = brute_force(floor);
    let found = floor.cover();
    assert_eq!(found.is_some(), best.is_some(), "{floor:?}");
    let (Some(found), Some(best)) = (found, best) else { return };
    assert!(floor.is_covered_by(&found.tiles), "{floor:?}");
    assert_eq!(floor.worth(&found.tiles), best, "{floor:?} {found:?}");
    assert!(found.fewest.is_exact() && found.new_tiles.is_exact() && found.straight_seams.is_exact(), "{found:?}");
    assert!(found.least_board);
    let counts = (found.new_tiles.found, found.fewest.found, found.straight_seams.found);
    assert_eq!(counts, (best.0, best.1, best.3), "{floor:?}");
}

/// All 512 floors of 3 x 3 cells, for sets with and without single cells.
#[test]
fn every_floor_of_nine_cells() {
    for tiles in [SMALL, &[(3, 1), (2, 1)], &[(2, 2), (1, 1)], &[(3, 2), (2, 1), (1, 1)]] {
        for bits in 0..512 {
            let mut floor = open(3, 3, tiles);
            floor.level.cells = (0..9).map(|cell| (bits >> cell & 1 == 1).then_some(0)).collect();
            same_as_brute_force(&floor);
        }
    }
}

/// Random floors of up to 4 x 4 cells: holes, walls, posts, two surfaces, tiles on hand.
#[test]
fn random_floors_of_sixteen_cells() {
    let mut numbers = Numbers(1);
    for round in 0..400 {
        let tiles = [SMALL, USUAL, &[(4, 1), (2, 2), (1, 1)], &[(2, 1)]][numbers.below(4) as usize];
        let mut floor = open(1 + numbers.below(4) as usize, 1 + numbers.below(4) as usize, tiles);
        let holes = [5, 20, 1000][numbers.below(3) as usize];
        let Floor { plan, level, posts, on_hand } = &mut floor;
        for cell in &mut level.cells {
            *cell = (numbers.below(holes) > 0).then(|| usize::from(numbers.below(6) == 0));
        }
        for edge in level.across.iter_mut().chain(&mut level.down) {
            *edge = (numbers.below(9) == 0).then_some(0);
        }
        posts.extend(level.vertices().filter(|_| numbers.below(12) == 0).map(|v| post(v.x, v.y)));
        if numbers.below(2) == 0 {
            plan.reliefs = Reliefs::EveryModule;
        }
        if round % 4 == 0 {
            for &(a, b) in tiles {
                on_hand.insert((0, (a as usize, b as usize)), numbers.below(4) as usize);
            }
            on_hand.retain(|_, count| *count > 0);
        }
        same_as_brute_force(&floor);
    }
}

/// A rectangle has a cover by dominoes without a seam straight through just where its area is even,
/// both sides are at least 5, and it is not 6 x 6 (R. L. Graham, Fault-free tilings of rectangles, in
/// The Mathematical Gardner, 1981; S. W. Golomb, Polyominoes, 1965). The 1 x 2 is left out there.
#[test]
fn dominoes_without_faults() {
    for width in 3..=8 {
        for height in 3..=width {
            if width * height % 2 == 1 {
                assert!(open(width, height, &[(2, 1)]).cover().is_none(), "an odd area has no domino cover");
                continue;
            }
            let floor = open(width, height, &[(2, 1)]);
            let cover = floor.cover().expect("an even rectangle has a domino cover");
            let possible = width >= 5 && height >= 5 && (width, height) != (6, 6);
            assert_eq!(cover.straight_seams.found == 0, possible, "{width} x {height}: {:?}", cover.straight_seams);
            assert!(cover.straight_seams.is_exact(), "{width} x {height}");
            assert_eq!(floor.straight_seams(&cover.tiles), cover.straight_seams.found);
        }
    }
}

/// Two opposite corners of a chessboard cut off: no domino cover, by the colours of the cells
/// (M. Black, Critical Thinking, 1946).
#[test]
fn the_mutilated_chessboard() {
    for side in [4, 6, 8] {
        let mut floor = open(side, side, &[(2, 1)]);
        floor.level.cells[0] = None;
        floor.level.cells[side * side - 1] = None;
        let problems = tiling::cover(&floor.plan, &floor.level, &[], &OnHand::new(), 2).expect_err("no cover");
        assert_eq!(problems.len(), 1);
        let expected = format!("the {} cells of floor around this one cannot be covered", side * side - 2);
        assert!(problems[0].message.starts_with(&expected), "{}", problems[0].message);
        // The part's first cell is the second of the first row.
        assert_eq!((problems[0].line, problems[0].column), floor.level.cell_in_text(1, 0));
    }
}

/// Cells in every k-th row and column from the first: no two lie in one tile of k x k or less, and
/// rows and columns cut k at a time reach just that many.
#[test]
fn open_rectangles() {
    for (k, tiles) in [(2, SMALL), (3, USUAL)] {
        for (width, height) in [(5, 5), (7, 9), (12, 12), (20, 20), (25, 8)] {
            let cover = open(width, height, tiles).cover().expect("single cells cover everything");
            let known = width.div_ceil(k) * height.div_ceil(k);
            assert_eq!((cover.fewest.found, cover.fewest.at_least), (known, known), "{width} x {height}, {k}");
        }
    }
}

/// Optima found by HiGHS: `python tests/outside/tiles.py --table > crates/planning/tests/data/tiling.json`.
#[test]
fn optima_of_another_solver() {
    let table: Vec<Value> = serde_json::from_str(include_str!("data/tiling.json")).expect("the table is JSON");
    assert_eq!(table.len(), 60);
    for (i, row) in table.iter().enumerate() {
        let floor = of_table(&row["plan"]);
        let Some(cover) = floor.cover() else {
            assert!(row["optimum"].is_null(), "plan {i}");
            continue;
        };
        assert!(floor.is_covered_by(&cover.tiles), "plan {i}");
        let best = |name: &str| row["optimum"][name].as_u64().map(|n| n as usize);
        assert_eq!(best("tiles"), Some(cover.fewest.found), "plan {i}: {:?}", cover.fewest);
        assert_eq!(best("new"), Some(cover.new_tiles.found), "plan {i}: {:?}", cover.new_tiles);
        if let Some(sides) = best("sides") {
            assert_eq!(cover.tiles.iter().map(|t| t.width + t.height).sum::<usize>(), sides, "plan {i}");
        }
    }
}

fn of_table(plan: &Value) -> Floor {
    let number = |value: &Value| value.as_u64().expect("a number") as usize;
    let list = |name: &str| plan[name].as_array().expect("a list");
    let tiles: Vec<(u32, u32)> =
        list("tiles").iter().map(|size| (number(&size[0]) as u32, number(&size[1]) as u32)).collect();
    let mut floor = open(number(&plan["width"]), number(&plan["height"]), &tiles);
    floor.level.cells = list("cells").iter().map(|cell| cell.as_u64().map(|surface| surface as usize)).collect();
    let walls = |name| list(name).iter().map(|wall| (number(wall) == 1).then_some(0)).collect();
    (floor.level.across, floor.level.down) = (walls("across"), walls("down"));
    floor.posts = list("posts").iter().map(|at| post(number(&at[0]), number(&at[1]))).collect();
    if plan["every_module"] == true {
        floor.plan.reliefs = Reliefs::EveryModule;
    }
    let class = |row: &Value| ((number(&row[0]), (number(&row[1]), number(&row[2]))), number(&row[3]));
    floor.on_hand = list("on_hand").iter().map(class).collect();
    floor
}

/// The best of all covers, one by one.
fn brute_force(floor: &Floor) -> Option<(usize, usize, i64, usize)> {
    let mut best = None;
    extend(floor, &mut Vec::new(), &mut vec![false; floor.level.cells.len()], &mut best);
    best
}

fn extend(floor: &Floor, tiles: &mut Vec<TilePlace>, done: &mut [bool], best: &mut Option<(usize, usize, i64, usize)>) {
    let columns = floor.level.width;
    let Some(cell) = (0..done.len()).find(|&cell| floor.level.cells[cell].is_some() && !done[cell]) else {
        let worth = floor.worth(tiles);
        *best = Some(best.map_or(worth, |best| best.min(worth)));
        return;
    };
    let (x, y) = (cell % columns, cell / columns);
    let mut sides: Vec<(usize, usize)> = floor.plan.tiles.iter().map(|&(a, b)| (a as usize, b as usize)).collect();
    sides.extend(sides.clone().iter().filter(|(a, b)| a != b).map(|&(a, b)| (b, a)));
    for (width, height) in sides {
        let Some(surface) = floor.level.cells[cell] else { continue };
        let t = TilePlace { y, x, width, height, surface };
        let cells: Vec<usize> = (y..y + height).flat_map(|y| (x..x + width).map(move |x| y * columns + x)).collect();
        if !floor.allows(t) || cells.iter().any(|&cell| done[cell]) {
            continue;
        }
        cells.iter().for_each(|&cell| done[cell] = true);
        tiles.push(t);
        extend(floor, tiles, done, best);
        tiles.pop();
        cells.iter().for_each(|&cell| done[cell] = false);
    }
}
