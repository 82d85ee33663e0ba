//! Fittings and roofs as loads on the posts below.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::roof::{Form, Roof, Skirt};
use flatwright_geometry::units::Angle;
use flatwright_planning::assemble::assemble;
use flatwright_planning::fittings::roofs::RoofPlace;
use flatwright_planning::levels::{Frame, frames, join};
use flatwright_planning::plan::Vertex;
use flatwright_planning::strength::{Load, loads};

use super::*;

/// Levels on each other.
fn stacked(plan: &Plan) -> Vec<LevelBuild> {
    let levels = plan.levels.iter().zip(frames(plan).expect("they stand on each other"));
    let build = |(level, (walls, posts)): (&Level, Frame)| {
        let tiles = assemble_floor::tiles(plan, level, &posts);
        assemble(plan, level, walls, posts, tiles)
    };
    let mut builds: Vec<LevelBuild> = levels.map(build).collect();
    join(&mut builds);
    builds
}

/// What stands on an upper floor and what lies on its posts is carried, too: a box on the floor of one tile
/// by the tile's four corners, a roof by the four posts.
#[test]
fn posts_carry_fittings_and_roofs() {
    let room = "+---+---+\n| f  bf |\n+   +   +\n| f   f |\n+---+---+\n";
    let head = "surface f: flagstone\ntiles: 2x2\nspans: 2\npillar b: 4 sides, across 20 mm, height 20 mm\n";
    let mut plan =
        text::read(&format!("{head}level a:\n{}level b:\n{room}", room.replace('b', " "))).expect("a plan").plan;
    let p = Parameters::default();
    let of = |plan: &Plan, builds: &[LevelBuild]| loads(plan, builds, &p).swap_remove(0).unwrap();
    let mut builds = stacked(&plan);
    let bare = of(&plan, &builds);
    let axes = [Vector::new(1.0, 0.0, 0.0), Vector::new(0.0, 1.0, 0.0), Vector::new(0.0, 0.0, 1.0)];
    let stances = vec![Stance { axes, at: Vector::default() }; 2];
    let piece = Piece::Pillar(Pillar { sides: 4, across: Mm::new(20.0), height: Mm::new(20.0) });
    plan.fittings[0].body.parts = vec![FittingPart { piece, stances }];
    let boxed = of(&plan, &builds);
    // Two boxes: four sides and a top of 20 x 20 of card of 0.25 at 1 g/cm3, and flaps of less than that.
    let more = boxed.weight - bare.weight;
    assert!(more > 2.0 * 5.0 * 0.1 && more < 2.0 * 10.0 * 0.1, "{more}");
    let quarter = |more: f64, load: &Load, than: &Load| {
        load.posts.iter().zip(&than.posts).all(|(post, before)| (post - before - more / 4.0).abs() < 1e-9)
    };
    assert!(quarter(more, &boxed, &bare));
    let roof = Roof {
        form: Form::Gable,
        plan: vec![(0, 0), (2, 0), (2, 2), (0, 2)],
        pitch: Angle::degrees(45.0),
        overhang: Mm::ZERO,
        skirt: Skirt::Inside,
        on_caps: false,
    };
    let cells = [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().collect();
    builds[1].roofs = vec![RoofPlace { design: 0, roof, at: Vertex { x: 0, y: 2 }, cells }];
    let roofed = of(&plan, &builds);
    // Two slopes, two gables of half the floor together, a soffit as large as the floor and the skirt.
    let floor = 152.4_f64.powi(2) * 0.25 / 1000.0;
    let more = roofed.weight - boxed.weight;
    assert!(more > floor * (2.0_f64.sqrt() + 0.5 + 0.5) && more < floor * 5.0, "{more} {floor}");
    assert!(quarter(more, &roofed, &boxed));
}
