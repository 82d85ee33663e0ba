//! Stairs, pillars and free-standing walls: every net folds, and what is built has its size.

use flatwright_folding::build::on_each_other;
use flatwright_folding::place::{self, Body, Lattice};
use flatwright_folding::prove::{prove, sheet};
use flatwright_folding::rules::{Finding, shared};
use flatwright_folding::shell::{close, standing};
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::grating::Grating;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::pillar::Pillar;
use flatwright_geometry::pieces::solid::Made;
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::stair::{Climb, Flight, Landing, Marker, Stair};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::well::Well;
use flatwright_geometry::units::Mm;
use parry3d_f64::math::Pose;

fn parameters() -> Vec<Parameters> {
    let boards = [3.0, 5.0, 10.0].into_iter();
    let with = |board, card| Parameters { board: Mm::new(board), card: Mm::new(card), ..Parameters::default() };
    boards.flat_map(|board| [0.25, 0.4].map(|card| with(board, card))).collect()
}

/// The box round folded panels: least and greatest x, y, z.
fn reach<'a>(solids: impl Iterator<Item = &'a Solid>) -> [(f64, f64); 3] {
    let mut reach = [(f64::MAX, f64::MIN); 3];
    for corner in solids.flat_map(Solid::corners) {
        for (axis, (least, most)) in reach.iter_mut().enumerate() {
            *least = least.min(corner[axis]);
            *most = most.max(corner[axis]);
        }
    }
    reach
}

fn built(p: &Parameters, what: &str, nets: Result<Vec<Made>, PieceError>) -> [(f64, f64); 3] {
    let nets = nets.unwrap_or_else(|error| panic!("{what}: {error}"));
    let folded = close(p, &nets).unwrap_or_else(|error| panic!("{what}: {error}"));
    reach(folded.iter().flatten())
}

#[test]
fn a_flight_reaches_the_next_floor_exactly() {
    for p in parameters() {
        let pitch = p.level_pitch().get();
        for (run, climb, from, to) in [
            (1, Climb::Whole, 0.0, pitch),
            (2, Climb::Whole, 0.0, pitch),
            (1, Climb::Lower, 0.0, pitch / 2.0),
            (1, Climb::Upper, 0.0, pitch),
        ] {
            let flight = Flight { run, wide: 1, steps: Flight::usual_steps(run), climb };
            let what = format!("{flight:?}, board {}, card {}", p.board, p.card);
            let [x, y, z] = built(&p, &what, Stair::Flight(flight).nets(&p));
            // The top tread's upper face is the floor's; flaps do not reach out of the body.
            assert!((z.0 - from).abs() < 1e-6 && (z.1 - to).abs() < 1e-6, "{what}: {z:?}, not {from} to {to}");
            let long = p.tile_size(run).get();
            assert!(x.0.abs() < 1e-6 && (x.1 - long).abs() < 1e-6, "{what}: {x:?}, not {long}");
            let wide = p.wall_body(1.0).get();
            assert!(y.0.abs() < 1e-6 && (y.1 - wide).abs() < 1e-6, "{what}: {y:?}, not {wide}");
            let rises = flight.rise(&p).get() * f64::from(flight.steps);
            let climbs = if climb == Climb::Whole { pitch } else { pitch / 2.0 };
            assert!((rises - climbs).abs() < 1e-9);
            // One tread for each square of the grid: M/3, less its share of the play.
            let tread = (p.module.get() * f64::from(run) - p.play.get()) / f64::from(3 * run);
            assert!((flight.tread(&p).get() - tread).abs() < 1e-9);
        }
    }
}

/// Two flights and a landing between them: the lower one ends where the landing is, the upper one
/// begins there.
#[test]
fn flights_meet_at_a_half_landing() {
    for p in parameters() {
        let half = p.level_pitch().get() / 2.0;
        for size in [(1, 1), (1, 2)] {
            let [_, _, z] = built(&p, "a landing", Stair::Landing(Landing { size }).nets(&p));
            assert!(z.0.abs() < 1e-6 && (z.1 - half).abs() < 1e-6, "{z:?}");
        }
        let upper = Flight { run: 1, wide: 1, steps: 3, climb: Climb::Upper };
        let lowest_tread = half + upper.rise(&p).get();
        let shell = upper.outside(&p).expect("a flight");
        let heights: Vec<f64> = shell.points().iter().map(|point| point.z).filter(|z| *z > 1e-9).collect();
        let lowest = heights.into_iter().fold(f64::MAX, f64::min);
        assert!((lowest - lowest_tread).abs() < 1e-9);
    }
}

/// Areas of a stepped body by hand: treads together cover the plan, risers the climb, and each side
/// is the sum of its columns, tread x rise x (1 + 2 + ... + n).
#[test]
fn areas_are_those_of_the_steps() {
    let p = Parameters::default();
    let flight = Flight { run: 2, wide: 1, steps: 6, climb: Climb::Whole };
    let shell = flight.outside(&p).expect("a flight");
    let (tread, rise, wide) = (flight.tread(&p).get(), flight.rise(&p).get(), p.wall_body(1.0).get());
    let area = |name: &str| -> f64 {
        let all = shell.faces().iter().enumerate().filter(|(_, face)| face.name == name);
        all.map(|(index, _)| shell.area(index)).sum()
    };
    assert!((area("tread") - 6.0 * tread * wide).abs() < 1e-6);
    assert!((area("riser") - 6.0 * rise * wide).abs() < 1e-6);
    assert!((area("north side") - tread * rise * 21.0).abs() < 1e-6);
    assert!((area("south side") - area("north side")).abs() < 1e-6);
    assert!((shell.volume() - tread * rise * 21.0 * wide).abs() < 1e-6);
}

#[test]
fn pillars_close_and_have_their_size() {
    for p in parameters() {
        for sides in [3, 4, 5, 6, 8, 12] {
            let pillar = Pillar { sides, across: Mm::new(24.0), height: p.wall_height };
            let what = format!("{}, card {}", pillar.detail(), p.card);
            let [_, y, z] = built(&p, &what, pillar.nets(&p));
            assert!(z.0.abs() < 1e-6 && (z.1 - p.wall_height.get()).abs() < 1e-6, "{what}: {z:?}");
            // One side faces south. Of even numbers one is opposite, due north, 24 mm from it; of odd
            // ones a corner, whose outside is open where the card bends; lips reach past corners by less
            // than a caliper.
            let (wide, c) = (y.1 - y.0, p.card.get());
            assert!(wide < 24.0 + 2.0 * c && (sides % 2 == 1 || wide > 24.0 - 1e-6), "{what}: {y:?}");
            // Lateral area of a regular prism: perimeter x height (from memory; any handbook of
            // elementary geometry), n sides of 2 r sin(pi/n).
            let shell = pillar.outside().expect("a pillar");
            let lateral: f64 = (0..shell.faces().len())
                .filter(|face| shell.faces()[*face].name == "side")
                .map(|face| shell.area(face))
                .sum();
            let turn = std::f64::consts::PI / f64::from(sides);
            let radius = 24.0 / if sides % 2 == 0 { 2.0 * turn.cos() } else { 1.0 + turn.cos() };
            let perimeter = f64::from(sides) * 2.0 * radius * turn.sin();
            assert!((lateral - perimeter * p.wall_height.get()).abs() < 1e-6, "{what}");
        }
    }
}

#[test]
fn free_standing_walls_stand_on_their_feet() {
    let door = Opening::Arch { width: Mm::new(25.0), height: Mm::new(40.0) };
    for p in parameters() {
        for (span, opening) in
            [(1.0 / 3.0, None), (2.0 / 3.0, None), (1.0, None), (2.0, None), (1.0, Some(door.clone()))]
        {
            let wall = FreeWall { span, opening };
            if p.wall_body(span).get() < 8.0 {
                assert!(wall.patterns(&p).is_err());
                continue;
            }
            let patterns = wall.patterns(&p).unwrap_or_else(|error| panic!("{}: {error}", wall.detail()));
            let (net, base) = (patterns[0].clone(), &patterns[1]);
            let stock = net.stock;
            let feet = net.net.panels.iter().filter(|panel| panel.name == "foot").count();
            assert_eq!(feet, if wall.opening.is_some() { 4 } else { 2 });
            let proved = prove(net, sheet(&p, stock)).unwrap_or_else(|faults| panic!("{}: {faults:?}", wall.detail()));
            // Folded where the front lies flat: y is up, z along the feet.
            let [x, y, z] = reach(proved.folded().iter());
            // The bend along the top is no solid: the outermost caliper is missing.
            let high = y.1 - y.0 + p.card.get();
            // On its plate it is as high as other walls.
            assert!((high + p.board.get() - p.wall_height.get()).abs() < 1e-6, "{}: {y:?}", wall.detail());
            let (long, across) = (base.size().0.get(), base.size().1.get());
            assert!(x.1 - x.0 <= long + 1e-9, "{x:?} on {long}");
            assert!(z.1 - z.0 < across - 2.0, "{z:?} on {across}");
        }
    }
}

#[test]
fn a_marker_has_a_line_for_each_square() {
    let p = Parameters::default();
    for run in 1..=3 {
        let patterns = Stair::Marker(Marker { run, wide: 1 }).patterns(&p).expect("a marker");
        assert_eq!(patterns[0].scores.len() as u32, 3 * run - 1);
        prove(patterns[0].clone(), sheet(&p, patterns[0].stock)).expect("it is flat");
    }
}

/// A flight as long as the opening above it passes through, with the play between them, and stands in
/// the tile where there is none; its top tread is level with that tile's floor.
#[test]
fn a_flight_passes_through_an_opening_of_its_length() {
    for p in parameters() {
        let tile = Tile::plain(2, 3, Reliefs::Corners);
        for run in [1, 2] {
            let flight = Flight { run, wide: 1, steps: Flight::usual_steps(run), climb: Climb::Whole };
            let nets = Stair::Flight(flight).nets(&p).expect("a flight");
            let panels: Vec<Solid> = close(&p, &nets).expect("it closes").into_iter().flatten().collect();
            let well = Well::in_the_middle(tile, (6, 6 * run));
            // Drawn eastward from the origin: it leads north through the tile's middle.
            let (m, wide, long) = (p.module.get(), p.wall_body(1.0).get(), p.tile_size(run).get());
            let corner = Vector::new(m + wide / 2.0, 1.5 * m - long / 2.0, p.board.get());
            let (east, north) = (Vector::new(0.0, 1.0, 0.0), Vector::new(-1.0, 0.0, 0.0));
            let flight = standing(&panels, [east, north, Vector::new(0.0, 0.0, 1.0)], corner);
            let overlaps = |tile| {
                let here = Lattice { x: 0.0, y: 0.0 };
                let body = place::tile(&p, "tile".into(), tile, here).expect("a tile");
                let levels = on_each_other(&p, &[&[], &[body]], 0.0);
                let bodies = [Body { name: "flight".into(), kind: PieceKind::Flight, solids: flight.clone() }];
                shared(&[&bodies[..], &levels[1]].concat()).iter().filter(|finding| !finding.holds()).count()
            };
            assert_eq!(overlaps(Tile { opening: Some(well), ..tile }), 0, "run {run}, board {}", p.board);
            assert!(overlaps(tile) > 0);
            let narrower = Well::in_the_middle(tile, (4, 6 * run));
            assert!(overlaps(Tile { opening: Some(narrower), ..tile }) > 0);
            let top = reach(flight.iter())[2].1;
            assert!((top - p.level_pitch().get() - p.board.get()).abs() < 1e-6);
        }
    }
}

/// The wrap's flaps line the opening's sides and lie under the tile; what is clear is as wide as was asked.
#[test]
fn a_wrap_is_folded_down_into_an_opening() {
    for p in parameters() {
        let tile = Tile::plain(3, 2, Reliefs::Corners);
        let tile = Tile { opening: Some(Well { at: (5, 3), size: (8, 6) }), ..tile };
        let wrap = tile::wrap(&p, tile).expect("a wrap");
        let names: Vec<&str> = wrap.net.panels.iter().map(|panel| panel.name).collect();
        let stock = wrap.stock;
        let proved = prove(wrap, sheet(&p, stock)).expect("it folds");
        let last = names.len() - 8;
        let sides = proved.folded().iter().enumerate().filter(|(i, _)| *i >= last && names[*i] == "side");
        let area = Well { at: (5, 3), size: (8, 6) }.area(&p, tile);
        // Panels are as thick as the paper: the hole between their printed faces is what is clear.
        for (_, side) in sides {
            let [x, y, z] = reach(std::iter::once(side));
            let off = [x.1 - area.x0, x.0 - area.x1, y.1 - area.y0, y.0 - area.y1];
            assert!(off.iter().any(|off| off.abs() < 1e-4), "{x:?} {y:?} round {area:?}");
            // Its slanted ends reach a part of the lower fold's allowance beyond that fold.
            assert!((z.1 - z.0 - p.board.get()).abs() < p.paper.get(), "{z:?}");
        }
    }
}

/// A grating drops into its opening with the play, and its card rests on the floor all round.
#[test]
fn a_grating_lies_in_its_opening() {
    for p in parameters() {
        let tile = Tile::plain(2, 2, Reliefs::Corners);
        let opened = Tile { opening: Some(Well::in_the_middle(tile, (6, 4))), ..tile };
        let grating = Grating { size: (3, 2), bar: Mm::new(5.0), gap: Mm::new(6.0), crossed: true };
        let patterns = grating.patterns(&p).expect("a grating");
        let (t, c, m) = (p.board.get(), p.card.get(), p.module.get());
        let middle = Pose::from_translation(parry3d_f64::math::Vector::new(m, m, 0.0));
        let solids = patterns.iter().zip([(0.0, t), (t, t + c)]).map(|(pattern, heights)| Solid {
            region: pattern.material.clone(),
            heights,
            pose: middle,
        });
        let grating = Body { name: "grating".into(), kind: PieceKind::Grating, solids: solids.collect() };
        let holds = |tile| {
            let floor = place::tile(&p, "tile".into(), tile, Lattice { x: 0.0, y: 0.0 }).expect("a tile");
            shared(&[floor, grating.clone()]).iter().all(Finding::holds)
        };
        assert!(holds(opened) && !holds(tile), "board {}", p.board);
        // On all four sides the card lies on floor that the wrap covers.
        let floor = tile::wrap(&p, opened).expect("a wrap").net.panels.swap_remove(0).region;
        let card = patterns[1].material.bounds();
        for point in [(card.x0, 0.0), (card.x1, 0.0), (0.0, card.y0), (0.0, card.y1)] {
            assert!(floor.contains(kurbo::Point::from(point)), "{point:?}");
        }
    }
}

#[test]
fn what_cannot_be_built_says_why() {
    let p = Parameters::default();
    let flight = |run, wide, steps| Stair::Flight(Flight { run, wide, steps, climb: Climb::Whole }).patterns(&p);
    assert!(matches!(flight(0, 1, 3), Err(PieceError::OutOfRange { .. })));
    assert!(matches!(flight(1, 7, 3), Err(PieceError::OutOfRange { .. })));
    assert!(matches!(flight(1, 1, 0), Err(PieceError::OutOfRange { .. })));
    assert!(matches!(flight(1, 1, 18), Err(PieceError::NoRoom { .. })));
    let pillar = |sides, across| Pillar { sides, across: Mm::new(across), height: Mm::new(50.0) }.patterns(&p);
    assert!(matches!(pillar(2, 24.0), Err(PieceError::OutOfRange { .. })));
    assert!(matches!(pillar(8, 2.0), Err(PieceError::OutOfRange { .. })));
}
