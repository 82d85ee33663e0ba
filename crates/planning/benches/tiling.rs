//! Time to cover floors with tiles: 20 x 20 and 60 x 60 cells, open and with random walls and holes.

use criterion::{Criterion, criterion_group, criterion_main};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::plan::{Level, OffFloor, Plan, Surface};
use flatwright_planning::tiling::{DEFAULT_EFFORT, OnHand, cover};

const SMALL: &[(u32, u32)] = &[(2, 2), (2, 1), (1, 1)];
const USUAL: &[(u32, u32)] = &[(3, 3), (3, 2), (3, 1), (2, 2), (2, 1), (1, 1)];
const AWKWARD: &[(u32, u32)] = &[(4, 3), (5, 1), (3, 2), (2, 1), (1, 1)];

fn floors(c: &mut Criterion) {
    let mut group = c.benchmark_group("cover");
    group.sample_size(10);
    for side in [20, 60] {
        for (set, tiles) in [("small", SMALL), ("usual", USUAL), ("awkward", AWKWARD)] {
            for one_in in [0, 20] {
                let (plan, level) = floor(side, tiles, one_in);
                let once = || cover(&plan, &level, &[], &OnHand::new(), DEFAULT_EFFORT);
                let name = format!("{side} x {side}, {set}{}", if one_in == 0 { ", open" } else { "" });
                if let Ok(cover) = once() {
                    let (tiles, seams) = (cover.fewest, cover.straight_seams);
                    println!(
                        "{name}: {} tiles, at least {}; least board {}; {} straight seams, at least {}",
                        tiles.found, tiles.at_least, cover.least_board, seams.found, seams.at_least
                    );
                }
                group.bench_function(name, |b| b.iter(once));
            }
        }
    }
    group.finish();
}

/// A square floor; one cell and one edge in `one_in` are a hole and a wall.
fn floor(side: usize, tiles: &[(u32, u32)], one_in: u64) -> (Plan, Level) {
    let mut state = 1u64;
    let mut odd = || {
        // Knuth, The Art of Computer Programming 2, 3.3.4.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        one_in > 0 && (state >> 33).is_multiple_of(one_in)
    };
    let mut level = Level::empty("hall", side, side);
    level.cells.fill_with(|| (!odd()).then_some(0));
    level.across.fill_with(|| odd().then_some(0));
    level.down.fill_with(|| odd().then_some(0));
    let plan = Plan {
        title: "Brine hall".into(),
        surfaces: vec![Surface { letter: 'f', name: "flagstone".into(), colour: None, drawn_as: None }],
        designs: Vec::new(),
        tiles: tiles.to_vec(),
        reliefs: Reliefs::Corners,
        spans: vec![1],
        off_floor: OffFloor::BasePlate,
        caps: false,
        extras: Vec::new(),
        fittings: Vec::new(),
        roofs: Vec::new(),
        levels: Vec::new(),
    };
    (plan, level)
}

criterion_group!(benches, floors);
criterion_main!(benches);
