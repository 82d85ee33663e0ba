//! The box of a niche: it closes, it holds what its formula says, and its neighbours have room.

use std::sync::Arc;

use flatwright_folding::place::{self, Lattice, prove_piece};
use flatwright_folding::prove::Proved;
use flatwright_folding::rules::shared;
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::design::{Design, Mark};
use flatwright_geometry::pieces::niche::{MARGIN, Niche};
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use kurbo::Rect;

const WIDTH: f64 = 20.0;
const HEIGHT: f64 = 24.0;

fn cases() -> Vec<Parameters> {
    let mm = Mm::new;
    let card = [0.15, 0.25, 0.5, 1.0].map(|c| Parameters { card: mm(c), ..Parameters::default() });
    let board = [3.0, 5.0, 10.0].map(|t| Parameters { board: mm(t), walls: WallBuild::Board, ..Parameters::default() });
    card.into_iter().chain(board).collect()
}

/// A wall over one module with a niche at `from` along its body.
fn wall(p: &Parameters, from: f64, depth: f64) -> Wall {
    let length = p.wall_body(1.0).get();
    let area = Rect::new(from, 12.0, from + WIDTH, 12.0 + HEIGHT);
    let design = Design {
        name: "niche".into(),
        mark: Mark::Plain,
        length,
        cuts: Vec::new(),
        top: Vec::new(),
        leaf: None,
        niche: Some(Niche { area, depth }),
    };
    Wall { span: 1.0, opening: Some(Opening::Drawn(Arc::new(design))) }
}

fn tray(p: &Parameters, depth: f64) -> Proved {
    let patterns = prove_piece(p, &Piece::Wall(wall(p, 10.0, depth))).unwrap_or_else(|error| panic!("{error}"));
    patterns.into_iter().find(|pattern| pattern.kind == PieceKind::NicheBox).expect("a box")
}

fn panel<'a>(tray: &'a Proved, name: &str) -> &'a Solid {
    let index = tray.net.panels.iter().position(|panel| panel.name == name).expect("a panel of that name");
    &tray.folded()[index]
}

/// Lowest and highest of a panel's corners along an axis.
fn along(solid: &Solid, axis: usize) -> (f64, f64) {
    let values = solid.corners().map(|corner| [corner.x, corner.y, corner.z][axis]);
    values.fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)))
}

/// The volume inside is width by height by depth: measured between the folded panels, against the
/// formula of a box.
#[test]
fn the_box_holds_what_its_formula_says() {
    for p in cases() {
        for depth in [5.0, 8.0, Niche::deepest(&p)] {
            let tray = tray(&p, depth);
            let width = along(panel(&tray, "right side"), 0).0 - along(panel(&tray, "left side"), 0).1;
            let height = along(panel(&tray, "upper side"), 1).0 - along(panel(&tray, "lower side"), 1).1;
            // From the back's printed face to the printed faces of all four flanges.
            for flange in ["left flange", "right flange", "upper flange", "lower flange"] {
                let found = along(panel(&tray, flange), 2).1 - along(panel(&tray, "back"), 2).1;
                let formula = (WIDTH + 2.0 * MARGIN) * (HEIGHT + 2.0 * MARGIN) * depth;
                let volume = width * height * found;
                assert!((volume - formula).abs() < 1e-3, "{flange}: {volume} is not {formula} at {depth} of {p:?}");
            }
            assert_eq!(tray.net.seats.len(), 4, "four corners are glued");
        }
    }
}

/// The flanges stay inside the material that every wall keeps around its opening.
#[test]
fn the_flanges_stay_on_the_wall() {
    for p in cases() {
        for panel in tray(&p, 8.0).folded() {
            let (x, y) = (along(panel, 0), along(panel, 1));
            assert!(x.0 >= 10.0 - 5.0 && x.1 <= 10.0 + WIDTH + 5.0 && y.0 >= 12.0 - 5.0 && y.1 <= 12.0 + HEIGHT + 5.0);
        }
    }
}

/// Two walls that meet at a corner, their niches as near to it and as deep as they may be, on the
/// sides that face each other: nothing shares space. A deeper one is refused.
#[test]
fn neighbours_round_the_corner_have_room() {
    for p in cases() {
        let deepest = Niche::deepest(&p);
        let end = p.wall_body(1.0).get() - 5.0 - WIDTH;
        let at = |x: f64, y: f64| Lattice { x, y };
        // To the east a wall's back faces north, to the north it faces west.
        let bodies = [
            place::wall(&p, "one".into(), &wall(&p, end, deepest), at(0.0, 0.0), false),
            place::wall(&p, "other".into(), &wall(&p, 5.0, deepest), at(1.0, 0.0), true),
        ];
        let bodies: Vec<_> = bodies.into_iter().map(|body| body.unwrap_or_else(|error| panic!("{error}"))).collect();
        let found = shared(&bodies);
        assert!(found.iter().all(flatwright_folding::rules::Finding::holds), "{found:#?}");
        // The check itself can fail: pushed together by a post's side they do meet.
        let mut nearer = bodies.clone();
        let by = p.post_side().get();
        let push = parry3d_f64::math::Pose::from_translation(parry3d_f64::math::Vector::new(-by, -by, 0.0));
        nearer[1].solids = nearer[1].solids.iter().map(|solid| solid.moved(push)).collect();
        assert!(shared(&nearer).iter().any(|finding| !finding.holds()));
        assert!(wall(&p, 5.0, deepest + 0.1).patterns(&p).is_err());
    }
}
