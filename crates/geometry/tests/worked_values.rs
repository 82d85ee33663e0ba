//! The worked values of the construction rules, measured on the patterns themselves.

use approx::assert_abs_diff_eq;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::cap::{self, Cap};
use flatwright_geometry::pieces::coupler::{self, Coupler};
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
            let tile = Tile::plain(n, 1, Reliefs::Corners);
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
        let wrap = tile::wrap(p, Tile::plain(2, 1, Reliefs::Corners)).unwrap();
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
        let post = Post { arms: Arms::from_bits(0b0100), stand: Stand::Feet(Feet::NONE), under: false };
        let sleeve = post::sleeve(p, post).unwrap();
        same(p.post_side().get(), row.side);
        same(sleeve.material.bounds().height(), row.post);
        let parts = across(&material(&sleeve), row.post - row.slot[1] + 0.01);
        assert_eq!(parts.len(), 2, "one slot");
        same(parts[1].0 - parts[0].1, row.slot[0]);
        assert_eq!(across(&material(&sleeve), row.post - row.slot[1] - 0.01).len(), 1);

        let on_plate = post::sleeve(p, Post { arms: Arms::NONE, stand: Stand::BasePlate, under: false }).unwrap();
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

/// Board, walls, card, post side; then by hand: inside s + 2c + f, notch w + 2f (and two papers on
/// board), whole flat net inside + 2 (a fold's allowance of pi/4 c + 5 of skirt), tab's length.
#[test]
fn caps() {
    use std::f64::consts::FRAC_PI_4;
    let cases = [
        (3.0, WallBuild::Card, 0.25, 15.8, 1.1, 5.0),
        (10.0, WallBuild::Card, 0.5, 16.3, 1.6, 5.0),
        (3.0, WallBuild::Board, 0.25, 16.9, 3.8, 5.0),
        // s = 4.7625 + 2 (6 + 0.25 + 0.3); a strip of (18.6625 - 5.5625) / 2 holds a tab of 5.
        (4.7625, WallBuild::Board, 0.25, 18.6625, 5.5625, 5.0),
        (5.0, WallBuild::Board, 0.25, 18.9, 5.8, 5.0),
        (10.0, WallBuild::Board, 0.25, 23.9, 10.8, 5.0),
    ];
    for (board, walls, card, inside, notch, tab) in cases {
        let p = Parameters { board: Mm::new(board), card: Mm::new(card), walls, ..Parameters::default() };
        same(cap::inside(&p), inside);
        // South alone: its lower edge is cut in two by the notch, which ends at the post's face.
        let net = cap::net(&p, Cap { arms: Arms::from_bits(0b0100) }).unwrap();
        let (all, fold) = (net.material.bounds(), FRAC_PI_4 * card);
        same(all.width(), inside + 2.0 * (fold + 5.0));
        same(all.height(), all.width());
        let low = across(&material(&net), all.y0 + 0.01);
        let gap = low.windows(2).find(|pair| pair[0].1 < 0.0 && pair[1].0 > 0.0).map(|pair| pair[1].0 - pair[0].1);
        same(gap.expect("a notch"), notch);
        let side = p.post_side().get();
        assert!(across(&material(&net), -side / 2.0 - 0.01).iter().any(|part| (part.1 + notch / 2.0).abs() < 1e-6));
        assert!(across(&material(&net), -side / 2.0 + 0.01).iter().any(|part| part.0 < 0.0 && part.1 > 0.0));
        // The tab's middle is as long as it is inside, and half of its fold.
        let panel = net.net.panels.iter().find(|panel| panel.name == "tab").expect("a tab").region.bounds();
        same(panel.width().max(panel.height()), tab + fold / 2.0);
        assert_eq!(net.net.panels.iter().filter(|panel| panel.name == "tab").count(), 4);
        assert_eq!((net.net.panels.len(), net.net.hinges.len()), (10, 9), "lid, five strips, four tabs");
    }
}

/// A skirt is left off where its notch leaves no strip for a tab that the tool can cut.
#[test]
fn skirts_that_cannot_be_cut_are_left_off() {
    // Walls of 300 mm have skirts of 30, so that the tabs' height is no matter.
    let p = Parameters { tool_gap_card: Mm::new(6.9), wall_height: Mm::new(300.0), ..Parameters::default() };
    // The notch itself is as wide as the tool can cut: (15.8 - 6.9) / 2 - 0.5 = 3.95.
    same(cap::notch_width(&p), 6.9);
    let panels = |arms: u8| cap::net(&p, Cap { arms: Arms::from_bits(arms) }).map(|net| net.net.panels);
    let names = |arms: u8| panels(arms).unwrap().iter().map(|panel| panel.name).collect::<Vec<_>>();
    assert_eq!(
        names(0b0001),
        ["lid", "west skirt", "south skirt", "east skirt", "tab", "tab"],
        "the corners beside the skirt that is left off have no tab"
    );
    assert_eq!(names(0b0101), ["lid", "west skirt", "east skirt"]);
    let error = panels(0b1111).unwrap_err();
    assert_eq!(error.to_string(), "a cap has skirts beside its notches: 4.45 mm on either side of each");
    // Skirts of 1.25 mm, half of the slot's 2.5, are used up by a caliper and a gap of 0.8.
    let p = Parameters { wall_height: Mm::new(5.0), hook_drop: Mm::new(1.0), ..Parameters::default() };
    let error = cap::net(&p, Cap::default()).unwrap_err().to_string();
    assert!(error.starts_with("a cap's skirts leave their glue tabs a height that can be cut: "), "{error}");
}

#[test]
fn six_caps() {
    // Burnside's lemma as above: (16 + 2 + 4 + 2) / 4 subsets of four sides up to turns.
    let mut all: Vec<Cap> = (0..16).map(|bits| Cap { arms: Arms::from_bits(bits) }.up_to_rotation()).collect();
    all.sort();
    all.dedup();
    assert_eq!(all.len(), 6);
    let shapes: Vec<&str> = all.iter().map(|cap| cap.shape()).collect();
    assert_eq!(shapes, ["plain", "end", "corner", "line", "tee", "cross"]);
}

/// Gauges of the calibration coupon: areas by hand, for the default parameters.
#[test]
fn gauges_are_as_large_as_they_say() {
    use flatwright_geometry::pattern::Stock;
    use flatwright_geometry::pieces::gauge;
    use kurbo::Shape as _;
    let p = Parameters::default();
    let steps: Vec<Mm> = (0..9).map(|step| Mm::new(0.1) * f64::from(step)).collect();
    // Slots of 0.5 mm and 0.0 to 0.8 mm of play, 25 mm deep, in card of 9 x 8.5 + 4 by 33 mm.
    let slots = gauge::slots(&p, &steps).unwrap();
    let missing = 80.5 * 33.0 - slots.pattern.material.area();
    approx::assert_relative_eq!(missing, (9.0 * 0.5 + 3.6) * 25.0, epsilon = 1e-6);
    assert_eq!(slots.marks.len(), 9);
    // Openings of 10.0 to 9.2 mm, 12 mm deep, in 9 x 15 + 5 by 20 mm.
    let openings = gauge::openings(Stock::Board, &steps).unwrap();
    let missing = 140.0 * 20.0 - openings.pattern.material.area();
    approx::assert_relative_eq!(missing, (90.0 - 3.6) * 12.0, epsilon = 1e-6);
    let window = gauge::window(Stock::Card).unwrap();
    approx::assert_relative_eq!(window.slits[0].perimeter(1e-9), 120.0, epsilon = 1e-9);
    let strips = gauge::strips(Stock::Card).unwrap();
    assert_eq!((strips.slits.len(), strips.size()), (5, (Mm::new(60.0), Mm::new(30.0))));
    let fold = gauge::fold().unwrap();
    assert_eq!((fold.net.hinges.len(), fold.size().0), (1, Mm::new(60.0)));
}

/// Board, walls, card, then by hand: side s - 4c - f, slot w + 2f, leg (side - slot) / 2, reach below
/// min(s, H/2, 4 legs), reach above min(s, T + 50 - 25 - 8 - 0.3), pitch of levels T + 50 + 2c.
#[test]
fn couplers_and_the_posts_under_a_level() {
    use std::f64::consts::FRAC_PI_4;
    let cases = [
        (3.0, WallBuild::Card, 0.25, 15.0, 13.7, 1.1, 6.3, 15.0, 15.0, 53.5),
        (5.0, WallBuild::Card, 0.5, 15.0, 12.7, 1.6, 5.55, 15.0, 15.0, 56.0),
        // s = 3 + 2 (6 + 0.25 + 0.3); the hooks above end at 3 + 17.
        (3.0, WallBuild::Board, 0.25, 16.1, 14.8, 3.6, 5.6, 16.1, 16.1, 53.5),
        (10.0, WallBuild::Board, 0.25, 23.1, 21.8, 10.6, 5.6, 22.4, 23.1, 60.5),
    ];
    for (board, walls, card, s, side, slot, leg, below, above, pitch) in cases {
        let p = Parameters { board: Mm::new(board), card: Mm::new(card), walls, ..Parameters::default() };
        same(p.post_side().get(), s);
        same(coupler::side(&p), side);
        same(coupler::slot_width(&p), slot);
        same(coupler::leg_width(&p), leg);
        same(coupler::reach_below(&p), below);
        same(coupler::reach_above(&p), above);
        same(p.level_pitch().get(), pitch);
        // South alone: its first face has no slot; below the slot's top the third strip is in two.
        let net = coupler::sleeve(&p, Coupler { arms: Arms::from_bits(0b0100) }).unwrap();
        same(net.material.bounds().height(), below + card + above);
        let parts = across(&material(&net), below + card - 0.01);
        assert_eq!(parts.len(), 2, "one slot, {board}");
        same(parts[1].0 - parts[0].1, slot);
        assert_eq!(across(&material(&net), below + card + 0.01).len(), 1);
        // Around: four faces of the side between fold lines, less a caliper at the first face's free
        // edge, two where both neighbours are folded and three beside the flap; the flap with its play.
        let allowance = FRAC_PI_4 * card;
        let faces = 4.0 * side - 8.0 * card + 3.5 * allowance;
        same(net.material.bounds().width(), faces + side - 2.0 * card - 0.3 + allowance / 2.0);
        // A post that carries a level is a caliper higher, and so much deeper are its slots.
        for stand in [Stand::Feet(Feet::NONE), Stand::BasePlate] {
            let post = Post { arms: Arms::from_bits(0b0100), stand, under: false };
            let [low, high] = [post, Post { under: true, ..post }].map(|post| post::sleeve(&p, post).unwrap());
            same(high.material.bounds().height() - low.material.bounds().height(), card);
            let bottom = low.material.bounds().height() - p.slot_depth().get();
            for net in [low, high] {
                assert_eq!(across(&material(&net), bottom - 0.01).len(), 1);
                assert_eq!(across(&material(&net), bottom + 0.01).len(), 2);
            }
        }
    }
}

#[test]
fn six_couplers() {
    // Burnside's lemma as for the caps.
    let mut all: Vec<Coupler> = (0..16).map(|bits| Coupler { arms: Arms::from_bits(bits) }.up_to_rotation()).collect();
    all.sort();
    all.dedup();
    let shapes: Vec<&str> = all.iter().map(|coupler| coupler.shape()).collect();
    assert_eq!(shapes, ["plain", "end", "corner", "line", "tee", "cross"]);
}

#[test]
fn a_coupler_without_room_says_what_it_needs() {
    let narrow = Parameters { post_side: Some(Mm::new(9.0)), ..Parameters::default() };
    let shallow = Parameters { slot_depth: Some(Mm::new(4.0)), ..Parameters::default() };
    let low = Parameters {
        wall_height: Mm::new(10.0),
        hook_drop: Mm::new(4.0),
        board: Mm::new(4.0),
        ..Parameters::default()
    };
    // (9 - 1 - 0.3 - 1.1) / 2 = 3.3 holds; with a quarter more of play it is 2.91.
    assert!(coupler::sleeve(&narrow, Coupler::default()).is_ok());
    let narrower = Parameters { play: Mm::new(0.56), ..narrow };
    for (p, said) in [
        (narrower, "a coupler has legs beside its slots: (s - 4c - f - slot) / 2: 2.91 mm where"),
        (shallow, "a coupler reaches into the post below: d: 4 mm where at least 5 mm are needed"),
        // 4 + 10 - 5 - 4 - 0.3
        (low, "a coupler reaches into the post above: T + H - d - q - f: 4.7 mm where"),
    ] {
        let error = coupler::sleeve(&p, Coupler::default()).unwrap_err();
        assert!(error.to_string().starts_with(said), "{error}");
        assert!(!error.help().is_empty());
    }
}
