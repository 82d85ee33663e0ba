//! The worked values of the construction rules, measured on the patterns themselves.

use approx::assert_abs_diff_eq;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::Rect;

/// One line of the table "Worked values": board, walls, post side, tile over 1 and 2 modules, core
/// over 1 and 2, relief of the core, biscuit, post height, slot, wall body over 1 and 2, tab.
struct Row {
    board: f64,
    walls: WallBuild,
    side: f64,
    tile: [f64; 2],
    core: [f64; 2],
    relief: f64,
    biscuit: [f64; 2],
    post: f64,
    slot: [f64; 2],
    body: [f64; 2],
    tab: f64,
}

#[expect(clippy::too_many_arguments, reason = "one argument for each column of the table")]
const fn row(
    board: f64,
    walls: WallBuild,
    side: f64,
    relief: f64,
    post: f64,
    slot: f64,
    body: [f64; 2],
    tab: f64,
) -> Row {
    Row {
        board,
        walls,
        side,
        tile: [75.9, 152.1],
        core: [75.7, 151.9],
        relief,
        biscuit: [29.7, 19.7],
        post,
        slot: [slot, 25.0],
        body,
        tab,
    }
}

const TABLE: [Row; 6] = [
    row(3.0, WallBuild::Card, 15.0, 7.4, 53.0, 0.8, [60.9, 137.1], 6.95),
    row(5.0, WallBuild::Card, 15.0, 7.4, 55.0, 0.8, [60.9, 137.1], 6.95),
    row(10.0, WallBuild::Card, 15.0, 7.4, 60.0, 0.8, [60.9, 137.1], 6.95),
    row(5.0, WallBuild::Board, 18.1, 8.95, 55.0, 5.3, [57.8, 134.0], 6.25),
    row(10.0, WallBuild::Board, 23.1, 11.45, 60.0, 10.3, [52.8, 129.0], 6.25),
    // Not in the table: 3/16 in board by the same rules, worked by hand.
    row(4.7625, WallBuild::Card, 15.0, 7.4, 54.7625, 0.8, [60.9, 137.1], 6.95),
];

/// Lengths of the parts of `regions` along a horizontal line, left to right.
fn across(regions: &[Region], y: f64) -> Vec<(f64, f64)> {
    let ribbon = Contour::rectangle(Rect::new(-1e4, y - 5e-4, 1e4, y + 5e-4)).map(Region::from);
    let mut parts: Vec<(f64, f64)> = region::intersection(regions, ribbon.as_slice())
        .iter()
        .map(|part| (part.bounds().x0, part.bounds().x1))
        .collect();
    parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    parts
}

fn material(pattern: &Pattern) -> Vec<Region> {
    vec![pattern.material.clone()]
}

fn length((from, to): (f64, f64)) -> f64 {
    to - from
}

#[track_caller]
fn same(found: f64, expected: f64) {
    assert_abs_diff_eq!(found, expected, epsilon = 1e-6);
}

fn each(check: impl Fn(&Row, &Parameters)) {
    for row in &TABLE {
        let p = Parameters { board: Mm::new(row.board), walls: row.walls, ..Parameters::default() };
        p.check().expect("the table's rows can be built");
        check(row, &p);
    }
}

#[test]
fn tiles_and_cores() {
    each(|row, p| {
        for n in [1, 2] {
            let i = n as usize - 1;
            let tile = Tile { across: n, along: 1, reliefs: Reliefs::Corners };
            same(p.tile_size(n).get(), row.tile[i]);
            let core = material(&tile::core(p, tile).unwrap());
            let bounds = core[0].bounds();
            same(bounds.width(), row.core[i]);
            same(bounds.height(), row.core[0]);
            // Just inside the upper edge, the corner squares are missing.
            let parts = across(&core, bounds.y1 - 0.01);
            same(parts[0].0 - bounds.x0, row.relief);
            same(bounds.x1 - parts[parts.len() - 1].1, row.relief);
            // One notch for each module, W wide, D - f/2 - p deep.
            assert_eq!(parts.len(), n as usize + 1);
            same(parts[1].0 - parts[0].1, 20.0);
            let depth = 15.0 - 0.15 - 0.10;
            assert_eq!(across(&core, bounds.y1 - depth + 0.01).len(), n as usize + 1);
            assert_eq!(across(&core, bounds.y1 - depth - 0.01).len(), 1);
        }
    });
}

#[test]
fn wraps_fold_on_the_edges_of_their_cores() {
    each(|row, p| {
        let wrap = tile::wrap(p, Tile { across: 2, along: 1, reliefs: Reliefs::Corners }).unwrap();
        // pi/2 * 0.5 * 0.10 of flat length for each fold.
        let bend = std::f64::consts::FRAC_PI_4 * 0.10;
        let size = wrap.material.bounds();
        let (along, across_) = (row.core[1], row.core[0]);
        same(size.width(), along + bend + 2.0 * (row.board + bend) + 2.0 * (12.0 + bend / 2.0));
        same(size.height(), across_ + bend + 2.0 * (row.board + bend) + 2.0 * (12.0 + bend / 2.0));
        // Two notches leave three flaps along each long side, one leaves two along each short side.
        assert_eq!(wrap.net.panels.iter().filter(|panel| panel.name == "side").count(), 10);
        assert_eq!(wrap.net.hinges.len(), 20);
    });
}

#[test]
fn biscuits() {
    each(|row, p| {
        let (length, width) = tile::biscuit(p).unwrap().size();
        same(length.get(), row.biscuit[0]);
        same(width.get(), row.biscuit[1]);
    });
}

#[test]
fn posts() {
    each(|row, p| {
        let post = Post { arms: Arms::from_bits(0b0100), stand: Stand::Feet(Feet::NONE) };
        let sleeve = post::sleeve(p, post).unwrap();
        same(p.post_side().get(), row.side);
        same(sleeve.material.bounds().height(), row.post);
        let parts = across(&material(&sleeve), row.post - row.slot[1] + 0.01);
        assert_eq!(parts.len(), 2, "one slot");
        same(parts[1].0 - parts[0].1, row.slot[0]);
        assert_eq!(across(&material(&sleeve), row.post - row.slot[1] - 0.01).len(), 1);

        let on_plate = post::sleeve(p, Post { arms: Arms::NONE, stand: Stand::BasePlate }).unwrap();
        same(on_plate.material.bounds().height(), 50.0);
    });
}

#[test]
fn walls() {
    each(|row, p| {
        for (i, span) in [1.0, 2.0].into_iter().enumerate() {
            let patterns = Wall { span, opening: None }.patterns(p).unwrap();
            let wall = material(&patterns[0]);
            // Near the floor only the body is there; level with the necks, both tabs as well.
            let low = across(&wall, 1.0);
            assert_eq!(low.len(), 1);
            same(length(low[0]), row.body[i]);
            let tabs = across(&wall, 40.0);
            same(length(tabs[0]), row.body[i] + 2.0 * (row.tab + 0.15));
            // Below the necks, a gap between the body and each hook.
            let hooks = across(&wall, 20.0);
            assert_eq!(hooks.len(), 3);
            let gap = match row.walls {
                WallBuild::Card => 0.8,
                WallBuild::Board => 1.5,
            };
            same(hooks[1].0 - hooks[0].1, gap);
            assert_eq!(across(&wall, 16.5).len(), 1, "hooks end at H - d - q = 17");
        }
    });
}

#[test]
fn a_board_wall_is_a_core_a_facing_and_a_leaf() {
    use flatwright_geometry::pieces::opening::{HingeSide, Opening};
    let p = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    let door = Opening::Door { width: Mm::new(25.0), height: Mm::new(38.0), hinge: HingeSide::Left };
    let patterns = Wall { span: 1.0, opening: Some(door) }.patterns(&p).unwrap();
    let kinds: Vec<PieceKind> = patterns.iter().map(|pattern| pattern.kind).collect();
    assert_eq!(kinds, [PieceKind::WallCore, PieceKind::WallFacing, PieceKind::DoorLeaf]);
}

#[test]
fn seventy_posts_on_feet_and_six_on_base_plates() {
    // Burnside's lemma for the cyclic group of four turns on pairs of subsets of four:
    // (256 + 4 + 16 + 4) / 4 = 70; on subsets alone: (16 + 2 + 4 + 2) / 4 = 6.
    let all = Post::all();
    let plates = all.iter().filter(|post| post.stand == Stand::BasePlate).count();
    assert_eq!((all.len() - plates, plates), (70, 6));
    for p in [Parameters::default(), Parameters { walls: WallBuild::Board, ..Parameters::default() }] {
        for post in &all {
            let sleeve = post::sleeve(&p, *post).unwrap_or_else(|error| panic!("{post:?}: {error}"));
            let tongues = sleeve.net.panels.iter().filter(|panel| panel.name == "tongue").count();
            // A face has a tongue where either of its quadrants has a tile.
            let expected = (0..4).filter(|&face| post.feet().has(face) || post.feet().has(face + 1)).count();
            assert_eq!(tongues, expected, "{post:?}");
        }
    }
}
