//! Bent walls and turn tiles: every net folds, and towers, turns and diagonals go together.

use flatwright_folding::build::{BentCorner, BentRun, Build, Corner, Placed, Run, Seam, TurnedTile};
use flatwright_folding::place::{self, Lattice, prove_piece};
use flatwright_folding::rules::{Case, Finding, check};
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

const FORMS: [BendForm; 2] = [BendForm::Round, BendForm::Diagonal];
const EAST: u8 = 0b1000;
const NORTH: u8 = 0b0001;
const WEST: u8 = 0b0010;
const SOUTH: u8 = 0b0100;

fn sets() -> Vec<Parameters> {
    let mut sets = Vec::new();
    for board in [3.0, 5.0, 10.0] {
        for card in [0.25, 0.5, 1.0] {
            for walls in [WallBuild::Card, WallBuild::Board] {
                let (board, card) = (Mm::new(board), Mm::new(card));
                sets.push(Parameters { board, card, walls, ..Parameters::default() });
            }
        }
    }
    sets
}

fn what(p: &Parameters) -> String {
    format!("T {} c {} {:?}", p.board, p.card, p.walls)
}

fn openings() -> Vec<Option<Opening>> {
    let mm = Mm::new;
    vec![
        None,
        Some(Opening::Arch { width: mm(30.0), height: mm(40.0) }),
        Some(Opening::Window { width: mm(22.0), height: mm(20.0), sill: mm(15.0), arched: true }),
        Some(Opening::Bars { width: mm(26.0), height: mm(18.0), sill: mm(20.0), count: 4, bar: mm(2.0) }),
        Some(Opening::Low { height: mm(16.0) }),
    ]
}

#[test]
fn every_bent_wall_folds() {
    for p in sets() {
        for reach in 1..=4 {
            for form in FORMS {
                for opening in openings() {
                    let wall = BentWall { bend: Bend { form, reach }, opening };
                    let name = wall.detail();
                    let patterns = prove_piece(&p, &Piece::BentWall(wall));
                    let patterns = patterns.unwrap_or_else(|error| panic!("{}, {name}: {error}", what(&p)));
                    let least = if p.walls == WallBuild::Card { 2 } else { 4 };
                    assert!(patterns.len() >= least, "{name}");
                }
            }
        }
    }
}

/// A window that ends at a fold, a little before it and a little behind: what is left is never a thread.
#[test]
fn openings_may_end_anywhere() {
    for card in [0.25, 1.0] {
        let p = Parameters { card: Mm::new(card), ..Parameters::default() };
        for hundredths in 0..400 {
            let width = Mm::new(18.0 + f64::from(hundredths) * 0.02);
            let window = Opening::Window { width, height: Mm::new(20.0), sill: Mm::new(15.0), arched: false };
            let bend = Bend { form: BendForm::Round, reach: 1 };
            let wall = BentWall { bend, opening: Some(window) };
            prove_piece(&p, &Piece::BentWall(wall)).unwrap_or_else(|error| panic!("{width}: {error}"));
        }
    }
}

/// Both skins end in the posts exactly where a straight wall does, having followed the bend.
#[test]
fn both_ends_lie_in_line_with_their_posts() {
    for p in sets() {
        for (reach, form) in [(1, BendForm::Round), (3, BendForm::Round), (1, BendForm::Diagonal)] {
            let wall = BentWall { bend: Bend { form, reach }, opening: None };
            let body = place::bent_wall(&p, String::new(), &wall, Lattice { x: 0.0, y: 0.0 }, 0).unwrap();
            let corners: Vec<_> = body.solids.iter().flat_map(Solid::corners).collect();
            let side = p.module.get() * f64::from(reach);
            let (half, s, f, w) =
                (p.wall_thickness().get() / 2.0, p.post_side().get(), p.play.get(), p.wall_thickness().get());
            // Past the post's face s/2 - w/2 - f: the tab ends that far before its middle.
            let end = w / 2.0 + f;
            for axis in [0, 1] {
                let (low, high) =
                    corners.iter().map(|c| c[axis]).fold((f64::MAX, f64::MIN), |r, v| (r.0.min(v), r.1.max(v)));
                assert!((low - end).abs() < 1e-5, "{}: {low} for {end}", what(&p));
                assert!((high - side - half).abs() < 1e-5, "{}: {high} for {}", what(&p), side + half);
            }
            let least = corners.iter().filter(|c| c.x < (s + f) / 2.0).map(|c| c.y).fold(f64::MAX, f64::min);
            assert!((least - side + half).abs() < 1e-5, "{}: {least}", what(&p));
        }
    }
}

#[test]
fn every_turn_tile_and_its_pockets_fold() {
    for p in sets() {
        for reach in 1..=4 {
            for form in FORMS {
                let mut parts = vec![TurnPart::Fan, TurnPart::Spandrel];
                parts.extend((1..reach).map(TurnPart::Ring));
                for part in parts {
                    let tile = TurnTile { bend: Bend { form, reach }, part };
                    let pockets = tile.corners(&p).into_iter().filter_map(|corner| corner.pocket);
                    let pieces = [Piece::TurnCore(tile), Piece::TurnWrap(tile)];
                    for piece in pieces.into_iter().chain(pockets.map(Piece::BendPocket)) {
                        prove_piece(&p, &piece)
                            .unwrap_or_else(|error| panic!("{}, {}: {error}", what(&p), tile.detail()));
                    }
                }
            }
        }
    }
}

/// A build with its pockets and its biscuits made from its turn tiles.
#[derive(Default)]
struct Made {
    build: Build,
}

impl Made {
    fn bend(&mut self, bend: Bend, (x, y): (f64, f64), turns: u32, opening: Option<Opening>) {
        let run = BentRun { wall: BentWall { bend, opening }, turns };
        let name = format!("bend {} turned {turns}", bend.reach);
        self.build.bent_walls.push(Placed::new(name, run, Lattice { x, y }));
    }

    /// A turn tile, pockets under all of its corners, and a biscuit for each notch in `tied`.
    fn turn(&mut self, p: &Parameters, tile: TurnTile, (x, y): (f64, f64), turns: u32) {
        let at = Lattice { x, y };
        let name = format!("{} turned {turns}", tile.detail());
        for corner in tile.corners(p) {
            let there = at.beside(f64::from(corner.at.0), f64::from(corner.at.1), turns);
            let quadrant = (corner.quadrant + turns) % 4;
            let name = format!("pocket {quadrant} of {name}");
            match corner.pocket {
                Some(pocket) => {
                    self.build.bend_pockets.push(Placed::new(name, BentCorner { pocket, quadrant }, there));
                }
                None => self.build.pockets.push(Placed::new(name, Corner { quadrant }, there)),
            }
        }
        self.build.turn_tiles.push(Placed::new(name, TurnedTile { tile, turns }, at));
    }

    fn tile(&mut self, (x, y): (f64, f64)) {
        let tile = Tile { across: 1, along: 1, reliefs: Reliefs::Corners };
        self.build.tiles.push(Placed::new(format!("tile {x} {y}"), tile, Lattice { x, y }));
    }

    fn post(&mut self, (x, y): (f64, f64), arms: u8, feet: u8) {
        let post = Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under: false };
        self.build.posts.push(Placed::new(format!("post {x} {y}"), post, Lattice { x, y }));
    }

    fn wall(&mut self, (x, y): (f64, f64), north: bool) {
        let run = Run { wall: Wall { span: 1.0, opening: None }, north };
        self.build.walls.push(Placed::new(format!("wall {x} {y}"), run, Lattice { x, y }));
    }

    fn biscuit(&mut self, (x, y): (f64, f64), north: bool) {
        self.build.biscuits.push(Placed::new(format!("biscuit {x} {y}"), Seam { north }, Lattice { x, y }));
    }

    fn failing(&self, p: &Parameters) -> Vec<Finding> {
        let case = Case { build: Some(&self.build), ..Case::new(p) };
        check(&case).findings.into_iter().filter(|finding| !finding.holds()).collect()
    }
}

/// Four bends, fans and spandrels about one corner, a post at every corner of the tiles.
fn tower(p: &Parameters, bend: Bend) -> Made {
    let mut made = Made::default();
    let n = f64::from(bend.reach);
    for turns in 0..4 {
        let arch = Opening::Arch { width: Mm::new(30.0), height: Mm::new(40.0) };
        made.bend(bend, (0.0, 0.0), turns, (turns == 1).then_some(arch));
        made.turn(p, TurnTile { bend, part: TurnPart::Fan }, (0.0, 0.0), turns);
        made.turn(p, TurnTile { bend, part: TurnPart::Spandrel }, (0.0, 0.0), turns);
        // The post where a bend begins: one arm on either side along the circle, both fans below it.
        let here = Lattice { x: 0.0, y: 0.0 }.beside(0.0, n, turns);
        let arms = Arms::from_bits(EAST | WEST).turned(turns);
        let feet = Feet::from_bits(0b1100).turned(turns);
        made.post((here.x, here.y), arms.bits(), feet.bits());
        let far = Lattice { x: 0.0, y: 0.0 }.beside(n, n, turns);
        made.post((far.x, far.y), 0, Feet::from_bits(0b0100).turned(turns).bits());
    }
    made.post((0.0, 0.0), 0, 0b1111);
    // Fans meet along the axes.
    for edge in (TurnTile { bend, part: TurnPart::Fan }).notches(p).into_iter().filter(|edge| edge.north) {
        for turns in 0..4 {
            let from = f64::from(edge.from.1);
            let (x, y) = [(0.0, from), (-from - 1.0, 0.0), (0.0, -from - 1.0), (from, 0.0)][turns];
            made.biscuit((x, y), turns % 2 == 0);
        }
    }
    made
}

#[test]
fn round_towers_go_together() {
    for p in sets() {
        for reach in [1, 2] {
            for form in FORMS {
                let made = tower(&p, Bend { form, reach });
                let failing = made.failing(&p);
                assert!(failing.is_empty(), "{}, {form} {reach}: {failing:#?}", what(&p));
                if form == BendForm::Round {
                    assert_eq!(made.build.biscuits.len(), 4 * reach as usize, "{}", what(&p));
                }
            }
        }
    }
}

/// A passage one module wide that comes from the west and goes on to the south.
fn passage(p: &Parameters, form: BendForm) -> Made {
    let mut made = Made::default();
    let (inner, outer) = (Bend { form, reach: 1 }, Bend { form, reach: 2 });
    made.bend(inner, (0.0, 0.0), 0, None);
    made.bend(outer, (0.0, 0.0), 0, None);
    made.turn(p, TurnTile { bend: outer, part: TurnPart::Ring(1) }, (0.0, 0.0), 0);
    made.tile((-1.0, 1.0));
    made.tile((1.0, -1.0));
    for y in [1.0, 2.0] {
        made.wall((-1.0, y), false);
    }
    for x in [1.0, 2.0] {
        made.wall((x, -1.0), true);
    }
    made.biscuit((0.0, 1.0), true);
    made.biscuit((1.0, 0.0), false);
    made.post((-1.0, 1.0), EAST, 0b0001);
    made.post((-1.0, 2.0), EAST, 0b1000);
    made.post((0.0, 1.0), EAST | WEST, 0b0011);
    made.post((0.0, 2.0), EAST | WEST, 0b1100);
    made.post((1.0, 0.0), NORTH | SOUTH, 0b1001);
    made.post((2.0, 0.0), NORTH | SOUTH, 0b0110);
    made.post((1.0, -1.0), NORTH, 0b0001);
    made.post((2.0, -1.0), NORTH, 0b0010);
    for (at, quadrant) in [((0.0, 1.0), 1), ((0.0, 2.0), 2), ((1.0, 0.0), 3), ((2.0, 0.0), 2)] {
        let at = Lattice { x: at.0, y: at.1 };
        made.build.pockets.push(Placed::new(format!("pocket {quadrant}"), Corner { quadrant }, at));
    }
    made
}

#[test]
fn passages_turn_a_quarter() {
    for p in sets() {
        for form in FORMS {
            let failing = passage(&p, form).failing(&p);
            assert!(failing.is_empty(), "{}, {form}: {failing:#?}", what(&p));
        }
    }
}

/// What is wrong on purpose is found.
#[test]
fn a_bend_in_the_wrong_place_is_found() {
    let p = Parameters::default();
    let found = |made: &Made, rule: &str| made.failing(&p).iter().filter(|finding| finding.rule == rule).count();
    // Turned round, both of its ends meet no slot.
    let mut made = passage(&p, BendForm::Round);
    made.build.bent_walls[1].piece.turns = 2;
    assert!(found(&made, "arms and walls") >= 2);
    // A bend of another reach has no post at its ends.
    let mut made = passage(&p, BendForm::Round);
    made.build.bent_walls[0].piece.wall.bend.reach = 3;
    assert!(found(&made, "arms and walls") >= 2 && found(&made, "space") == 0, "{:#?}", made.failing(&p));
    // Without its ring, feet and biscuits have no tile.
    let mut made = passage(&p, BendForm::Round);
    made.build.turn_tiles.clear();
    assert!(found(&made, "posts and reliefs") >= 4 && found(&made, "biscuit in notch") == 2);
    assert!(found(&made, "pockets apart") >= 4);
    // Two walls in one place share space.
    let mut made = passage(&p, BendForm::Round);
    made.bend(Bend { form: BendForm::Diagonal, reach: 2 }, (0.0, 0.0), 0, None);
    assert!(found(&made, "space") > 0);
    // A tongue half as long again hangs out over a diagonal's bend.
    let long = Parameters { tongue: Mm::new(19.0), ..Parameters::default() };
    let tile = TurnTile { bend: Bend { form: BendForm::Diagonal, reach: 2 }, part: TurnPart::Fan };
    let pieces = [Piece::TurnCore(tile)];
    let case = Case { pieces: &pieces, ..Case::new(&long) };
    let finding = check(&case).findings.into_iter().find(|finding| finding.rule == "tongue under a bend").unwrap();
    assert!(!finding.holds() && finding.mend.is_some(), "{finding:?}");
}
