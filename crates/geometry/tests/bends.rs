//! Bends: lengths and areas against the circle's own, and every pattern against what holds for all.
//!
//! Arc, sector and the square less its quarter circle: I. N. Bronshtein, K. A. Semendyayev, "Handbook of
//! Mathematics", plane figures: the circle; the polygon about a circle has N R tan(a/2) instead of N R a/2.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

use approx::{assert_abs_diff_eq, assert_relative_eq};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Fold, Pattern, PieceKind, Stock};
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::bend_pocket::{BendPocket, PocketPlace};
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::turn_tile::UnitEdge;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;

const ROUND: BendForm = BendForm::Round;
const DIAGONAL: BendForm = BendForm::Diagonal;

fn bend(form: BendForm, reach: u32) -> Bend {
    Bend { form, reach }
}

fn wall(form: BendForm, reach: u32) -> BentWall {
    BentWall { bend: bend(form, reach), opening: None }
}

/// Radius of a round bend and length of its stub, by the rule: R = nM - (s + f)/2 - 4.
fn radius(p: &Parameters, reach: u32) -> (f64, f64) {
    let stub = (p.post_side() + p.play).get() / 2.0 + 4.0;
    (p.module.get() * f64::from(reach) - stub, stub)
}

#[test]
fn a_round_wall_is_as_long_as_its_quarter_circle() {
    let p = Parameters::default();
    for reach in 1..=8 {
        let (r, stub) = radius(&p, reach);
        let developed = wall(ROUND, reach).developed_span(&p) * p.module.get();
        assert_relative_eq!(developed, 2.0 * stub + 24.0 * r * (3.75_f64).to_radians().tan(), max_relative = 1e-9);
        // To the circle itself within 0.15 %.
        let arc = developed - 2.0 * stub;
        assert!(arc > r * FRAC_PI_2 && arc < r * FRAC_PI_2 * 1.0015, "{arc} for {}", r * FRAC_PI_2);
        assert_abs_diff_eq!(wall(ROUND, reach).body(&p).unwrap().get(), developed - 15.3, epsilon = 1e-9);
        let straight = wall(DIAGONAL, reach).developed_span(&p) * p.module.get();
        assert_relative_eq!(straight, 2.0 * stub + r * std::f64::consts::SQRT_2, max_relative = 1e-9);
    }
}

/// By hand for M 76.2, s 15, f 0.3, c 0.25, reach 1: stub 11.65, R 64.55, t = 2 tan 3.75 degrees.
#[test]
fn skins_have_the_lengths_of_their_own_lines() {
    let p = Parameters::default();
    let patterns = wall(ROUND, 1).patterns(&p).unwrap();
    assert_eq!(patterns.len(), 2);
    let (t, allowance) = (2.0 * (3.75_f64).to_radians().tan(), 7.5_f64.to_radians() * 0.5 * 0.25);
    for (pattern, r, fold) in [(&patterns[0], 64.55, Fold::Mountain), (&patterns[1], 64.55 - 0.25, Fold::Valley)] {
        assert_eq!((pattern.kind, pattern.stock), (PieceKind::BentWall, Stock::Card));
        assert_eq!(pattern.net.hinges.len(), 12);
        let mut lines: Vec<f64> = pattern.net.hinges.iter().map(|hinge| hinge.line.p0.x).collect();
        lines.sort_by(f64::total_cmp);
        assert!(pattern.net.hinges.iter().all(|hinge| hinge.fold == fold && hinge.is_scored()));
        // The body begins 4 mm before the circle, the first fold lies half a side behind.
        assert_abs_diff_eq!(lines[0], 4.0 + r * t / 2.0 + allowance / 2.0, epsilon = 1e-5);
        for pair in lines.windows(2) {
            assert_abs_diff_eq!(pair[1] - pair[0], r * t + allowance, epsilon = 1e-5);
        }
        // Tabs: as those of a straight wall, 7.1 past either end of the body.
        let body = 8.0 + 12.0 * (r * t + allowance);
        assert_abs_diff_eq!(pattern.size().0.get(), body + 2.0 * 7.1, epsilon = 1e-4);
        assert_abs_diff_eq!(pattern.size().1.get(), 50.0, epsilon = 1e-9);
    }
}

#[test]
fn a_board_wall_is_cut_half_through_and_faced() {
    let p = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    let patterns = wall(ROUND, 2).patterns(&p).unwrap();
    let kinds: Vec<(PieceKind, Stock)> = patterns.iter().map(|pattern| (pattern.kind, pattern.stock)).collect();
    let facing = (PieceKind::BentFacing, Stock::Paper);
    assert_eq!(kinds, [(PieceKind::BentCore, Stock::Board), facing, facing, facing]);
    let (r, stub) = radius(&p, 2);
    let t = 2.0 * (3.75_f64).to_radians().tan();
    let start = (p.post_side() + p.play).get() / 2.0;
    // No allowance: the length of the concave face, half a board further in.
    let body = |r: f64| 2.0 * (stub - start) + 12.0 * r * t;
    let tabs = 2.0 * (p.play.get() / 2.0 + p.tab_past_face().get());
    assert_abs_diff_eq!(patterns[0].size().0.get(), body(r - 2.5) + tabs, epsilon = 1e-4);
    assert!(patterns[0].net.hinges.iter().all(|hinge| patterns[0].scores(hinge)));
    let allowance = 12.0 * 7.5_f64.to_radians() * 0.5 * 0.1;
    assert_abs_diff_eq!(patterns[1].size().0.get(), body(r + 2.5) + allowance, epsilon = 1e-4);
    assert_abs_diff_eq!(patterns[2].size().0.get(), body(r - 2.6) + allowance, epsilon = 1e-4);
    // The band along the top: its middle line times the board.
    assert_relative_eq!(patterns[3].material.area(), body(r) * 5.0, max_relative = 1e-6);
    // A low wall has a strip on either shoulder.
    let low = BentWall { opening: Some(Opening::Low { height: Mm::new(20.0) }), ..wall(ROUND, 2) };
    let low = low.patterns(&p).unwrap();
    assert_eq!(low.len(), 5);
    let shoulder = 5.0 + p.hook_gap().get();
    for strip in &low[3..] {
        assert_relative_eq!(strip.material.area(), shoulder * 5.0, max_relative = 1e-6);
    }
}

/// Holes lie behind each other: of one wide window, each skin loses what lies between the same two places.
#[test]
fn openings_are_cut_into_both_skins_in_one_place() {
    let p = Parameters::default();
    let window = Opening::Window { width: Mm::new(40.0), height: Mm::new(20.0), sill: Mm::new(15.0), arched: false };
    let plain = wall(ROUND, 1).patterns(&p).unwrap();
    let cut = BentWall { opening: Some(window), ..wall(ROUND, 1) }.patterns(&p).unwrap();
    for (plain, cut) in plain.iter().zip(&cut) {
        let hole = &cut.material.holes[0].bounds();
        let middle = plain.material.bounds().center().x;
        assert_abs_diff_eq!(hole.center().x, middle, epsilon = 1e-4);
        assert_abs_diff_eq!(hole.height(), 20.0, epsilon = 1e-5);
        // 40 mm of the middle line, to the scale of the skin's own sides.
        let lines: Vec<f64> = plain.net.hinges.iter().map(|hinge| hinge.line.p0.x).collect();
        let side = (lines[1] - lines[0]).abs();
        let scale = side / (2.0 * 64.55 * (3.75_f64).to_radians().tan());
        assert_abs_diff_eq!(hole.width(), 40.0 * scale, epsilon = 1e-4);
    }
    let door = Opening::Door { width: Mm::new(22.0), height: Mm::new(38.0), hinge: HingeSide::Left };
    let leaf = BentWall { opening: Some(door), ..wall(ROUND, 1) }.patterns(&p);
    assert!(matches!(leaf, Err(PieceError::OutOfRange { .. })), "{leaf:?}");
}

/// What a quarter circle leaves of the tiles, less reliefs and notches counted by hand.
#[test]
fn turn_tiles_have_the_areas_of_their_sectors() {
    for (board, walls) in [(3.0, WallBuild::Card), (5.0, WallBuild::Card), (10.0, WallBuild::Board)] {
        let p = Parameters { board: Mm::new(board), walls, ..Parameters::default() };
        let (half, paper) = (p.play.get() / 2.0, p.paper.get());
        // Twelve tangents about the circle instead of the circle.
        let round = 12.0 * (3.75_f64).to_radians().tan();
        let relief = p.core_relief().get();
        let notch = p.notch_width.get() * (p.notch_depth.get() - half - paper);
        let area = |tile: TurnTile| tile.core(&p).unwrap().material.area();
        // The corner square, two strips beside the stubs, the sector; from the core's edge.
        let fan = |reach: u32| {
            let (r, stub) = radius(&p, reach);
            let (r, stub) = (r - half, stub - half - paper);
            stub * stub + 2.0 * stub * r + round * r * r
        };
        // Reliefs at bends' ends lie beside a straight piece: from the side on the lattice s/2 - p wide, from
        // the bend s/2 deep.
        let at_end = relief * p.post_side().get() / 2.0;
        for reach in 1..=4 {
            let tile = TurnTile { bend: bend(ROUND, reach), part: TurnPart::Fan };
            let notches = tile.notches(&p).len() as f64;
            assert_relative_eq!(notches, 2.0 * f64::from(reach));
            let expected = fan(reach) - relief * relief - 2.0 * at_end - notches * notch;
            assert_relative_eq!(area(tile), expected, max_relative = 1e-6);
            // To the circle itself within 0.15 %.
            let (r, stub) = radius(&p, reach);
            let (r, stub) = (r - half, stub - half - paper);
            let circle = stub * stub + 2.0 * stub * r + FRAC_PI_4 * r * r;
            assert!(fan(reach) > circle && fan(reach) < circle * 1.0015);
        }
        for (inner, reach) in [(1, 2), (1, 3), (2, 3), (3, 8)] {
            let ring = TurnTile { bend: bend(ROUND, reach), part: TurnPart::Ring(inner) };
            // What lies within the inner bend and the play beyond it.
            let (r, stub) = radius(&p, inner);
            let (r, stub) = (r + half, stub - half - paper);
            let within = stub * stub + 2.0 * stub * r + round * r * r;
            let notches = 2.0 * f64::from(reach - inner);
            assert_relative_eq!(ring.notches(&p).len() as f64, notches);
            let expected = fan(reach) - within - 4.0 * at_end - notches * notch;
            assert_relative_eq!(area(ring), expected, max_relative = 1e-6);
        }
    }
}

/// A spandrel lies between the tangents about the circle and the square, where it is wide enough: as an
/// integral over x of what the lowest of the tangents leaves (trapezoids; the nearest is exact to 1e-5).
#[test]
fn spandrels_are_squares_less_sectors() {
    let p = Parameters::default();
    for reach in 2..=4 {
        let (r, stub) = radius(&p, reach);
        let tile = TurnTile { bend: bend(ROUND, reach), part: TurnPart::Spandrel };
        let core = tile.core(&p).unwrap().material;
        // From the circle's middle: to the bend with half the play, to the core's edge, to the cut.
        let (out, side, cut) = (r + 0.15, r - 0.15 - 0.1, core.bounds().x0 - stub);
        let tangent = |x: f64| {
            let line = |k: u32| {
                let (sine, cosine) = (f64::from(k) * 7.5_f64.to_radians()).sin_cos();
                (out - x * cosine) / sine
            };
            (1..=12).map(line).fold(f64::INFINITY, f64::min)
        };
        let height = |x: f64| (side - tangent(x).max(cut)).max(0.0);
        let steps = 100_000;
        let width = (side - cut) / f64::from(steps);
        let whole: f64 = (0..steps)
            .map(|i| (height(cut + width * f64::from(i)) + height(cut + width * f64::from(i + 1))) / 2.0 * width)
            .sum();
        let notches = tile.notches(&p).len() as f64;
        let expected = whole - 7.4 * 7.4 - notches * 20.0 * (15.0 - 0.15 - 0.1);
        assert_relative_eq!(core.area(), expected, max_relative = 1e-5);
        // Uncut it would be R^2 (1 - pi/4); the points are a small part of it.
        let sector = r * r * (1.0 - FRAC_PI_4);
        assert!(whole < sector && whole > 0.75 * sector, "{whole} of {sector}");
        // Where it is cut off it is 8 mm wide to its finished side, and no narrower elsewhere.
        let at_cut =
            core.outer.sides().find(|(a, b)| (a.x - core.bounds().x0).abs() + (b.x - core.bounds().x0).abs() < 1e-4);
        let (a, b) = at_cut.unwrap();
        assert_abs_diff_eq!((a.y - b.y).abs(), 8.0 - 0.1, epsilon = 1e-4);
        // It has one notch on either side from two modules on, next to its far corner.
        let far = reach - 1;
        let edges = tile.notches(&p);
        assert!(edges.contains(&UnitEdge { from: (far, reach), north: false }), "{edges:?}");
        assert!(edges.contains(&UnitEdge { from: (reach, far), north: true }), "{edges:?}");
    }
    let small = TurnTile { bend: bend(ROUND, 1), part: TurnPart::Spandrel };
    assert_eq!(small.notches(&p), []);
}

/// Tiles on both sides of a bend leave the play between them, and with the ring between two bends they
/// cover the square but for that, the posts and the points that are cut off.
#[test]
fn tiles_beside_a_bend_lie_the_play_apart() {
    let p = Parameters::default();
    for form in [ROUND, DIAGONAL] {
        let fan = TurnTile { bend: bend(form, 2), part: TurnPart::Fan }.finished(&p).unwrap();
        let spandrel = TurnTile { bend: bend(form, 2), part: TurnPart::Spandrel }.finished(&p).unwrap();
        let apart = |by: f64| {
            let wider = region::offset(&fan, Mm::new(by));
            region::intersection(&wider, &spandrel).iter().map(Region::area).sum::<f64>() == 0.0
        };
        assert!(apart(0.299) && !apart(0.301), "{form}");
    }
}

#[test]
fn pockets_are_cut_off_only_where_they_would_stick_out() {
    let p = Parameters::default();
    let usual = flatwright_geometry::pieces::tile::corner_pocket(&p).unwrap().material.area();
    for (form, reach) in [(ROUND, 1), (ROUND, 2), (DIAGONAL, 1), (DIAGONAL, 3)] {
        let [first, last] = [PocketPlace::First, PocketPlace::Last].map(|place| {
            let pocket = BendPocket { bend: bend(form, reach), place };
            assert!(pocket.is_cut(&p));
            pocket.pattern(&p).unwrap().material
        });
        assert!(first.area() < usual && first.area() > 0.6 * usual, "{form} {reach}: {} of {usual}", first.area());
        // Mirror images of each other.
        let mirror = kurbo::Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]);
        let odd = region::difference(&[first.moved(mirror)], &[last]);
        assert!(odd.iter().map(Region::area).sum::<f64>() < 1e-3);
    }
    // From four modules on the first facet is longer than the pocket.
    let wide = TurnTile { bend: bend(ROUND, 4), part: TurnPart::Fan };
    assert!(wide.corners(&p).iter().all(|corner| corner.pocket.is_none()));
    let far = |form, reach| BendPocket { bend: bend(form, reach), place: PocketPlace::Far };
    assert!(far(ROUND, 1).is_cut(&p) && !far(ROUND, 2).is_cut(&p));
    let tile = TurnTile { bend: bend(ROUND, 2), part: TurnPart::Ring(1) };
    let corners = tile.corners(&p);
    assert_eq!(corners.iter().filter(|corner| corner.pocket.is_some()).count(), 2);
    assert_eq!(corners.len(), 4);
}

#[test]
fn what_cannot_be_built_says_why() {
    let p = Parameters::default();
    assert!(matches!(wall(ROUND, 0).patterns(&p), Err(PieceError::OutOfRange { .. })));
    assert!(matches!(wall(ROUND, 9).patterns(&p), Err(PieceError::OutOfRange { .. })));
    let ring = TurnTile { bend: bend(ROUND, 2), part: TurnPart::Ring(2) };
    assert!(matches!(ring.core(&p), Err(PieceError::OutOfRange { .. })));
    let small = Parameters { module: Mm::new(14.0), ..Parameters::default() };
    for form in [ROUND, DIAGONAL] {
        let refused = wall(form, 1).patterns(&small);
        assert!(matches!(refused, Err(PieceError::NoRoom { .. })), "{refused:?}");
    }
    let narrow = Parameters { module: Mm::new(45.0), ..Parameters::default() };
    let spandrel = TurnTile { bend: bend(ROUND, 1), part: TurnPart::Spandrel };
    assert!(matches!(spandrel.wrap(&narrow), Err(PieceError::NoRoom { .. })));
}

/// The artwork of a wrap lies on the lattice of its bend's corner, and every label off the face.
#[test]
fn wraps_cover_their_cores() {
    let p = Parameters::default();
    for (form, part) in [(ROUND, TurnPart::Fan), (ROUND, TurnPart::Ring(1)), (DIAGONAL, TurnPart::Spandrel)] {
        let tile = TurnTile { bend: bend(form, 2), part };
        let (core, wrap): (Pattern, Pattern) = (tile.core(&p).unwrap(), tile.wrap(&p).unwrap());
        // The top covers the whole core; half the allowance beyond it where it is folded.
        let top = std::slice::from_ref(&wrap.net.panels[0].region);
        assert!(region::difference(std::slice::from_ref(&core.material), top).is_empty());
        let grown = region::offset(std::slice::from_ref(&core.material), Mm::new(0.05));
        let notches: f64 = tile.notches(&p).len() as f64 * 20.0 * 15.0;
        let beyond: f64 = region::difference(top, &grown).iter().map(Region::area).sum();
        assert!(beyond <= notches, "{beyond}");
        assert!(wrap.net.panels.iter().filter(|panel| panel.name == "return").count() >= 2);
    }
}
