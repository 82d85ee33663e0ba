//! Small random builds as solids, with our verdict on each, for a solid modeller that is not ours.
//!
//! usage: solids COUNT SEED
//!
//! One JSON object a line: the seed, the rules that fail, whether it could be put together, the pairs of bodies that share space, and
//! every body with its solids: contours, heights, a 3 by 4 matrix into space, and the volume.

mod random;

use flatwright_folding::build::{Build, Corner, Placed, Run, Seam, assemble};
use flatwright_folding::collide::clashes;
use flatwright_folding::place::{Body, Lattice};
use flatwright_folding::rules::{Case, check};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::tolerance;
use flatwright_geometry::units::Mm;
use kurbo::Point;
use random::Random;
use serde_json::{Value, json};

fn main() {
    random::print_each(one);
}

fn one(seed: u64) -> Value {
    let mut random = Random(seed);
    let p = parameters(&mut random);
    let mut build = build(&mut random);
    let broken = random.below(10);
    let changes: Vec<&str> = (0..broken.saturating_sub(7)).map(|_| spoil(&mut build, &mut random)).collect();
    let findings = check(&Case { build: Some(&build), ..Case::new(&p) }).findings;
    let failing: Vec<&str> = findings.iter().filter(|f| !f.holds() && f.rule != "space").map(|f| f.rule).collect();
    let assembled = assemble(&p, &build);
    let possible = assembled.is_ok();
    let bodies = assembled.unwrap_or_default();
    let solids: Vec<&[Solid]> = bodies.iter().map(|body| body.solids.as_slice()).collect();
    let shares: Vec<Value> =
        clashes(&solids, tolerance::FIT).iter().map(|clash| json!([clash.one, clash.other, clash.depth])).collect();
    json!({
        "seed": seed,
        "parameters": format!("{p:?}"),
        "changes": changes,
        "failing": failing,
        "assembled": possible,
        "shares": shares,
        "bodies": bodies.iter().map(body).collect::<Vec<_>>(),
    })
}

fn body(body: &Body) -> Value {
    json!({ "name": body.name, "solids": body.solids.iter().map(solid).collect::<Vec<_>>() })
}

fn solid(solid: &Solid) -> Value {
    let points = |contour: &Contour| contour.points().iter().map(|p| [p.x, p.y]).collect::<Vec<_>>();
    let at = |x: f64, y: f64, z: f64| solid.at(Point::new(x, y), z);
    let (o, x, y, z) = (at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), at(0.0, 1.0, 0.0), at(0.0, 0.0, 1.0));
    let (x, y, z) = (x - o, y - o, z - o);
    json!({
        "volume": solid.volume(),
        "heights": [solid.heights.0, solid.heights.1],
        "matrix": [[x.x, y.x, z.x, o.x], [x.y, y.y, z.y, o.y], [x.z, y.z, z.z, o.z]],
        "contours": solid.region.contours().map(points).collect::<Vec<_>>(),
    })
}

/// The defaults with some lengths changed, so that some sets hold and others do not.
fn parameters(random: &mut Random) -> Parameters {
    let mut p = Parameters { board: random.of(&[1.0, 3.0, 4.7625, 5.0, 10.0]), ..Parameters::default() };
    p.walls = if random.below(2) == 0 { WallBuild::Card } else { WallBuild::Board };
    p.card = random.of(&[0.1, 0.25, 0.4, 0.7, 1.0]);
    p.paper = random.of(&[0.05, 0.1, 0.2]);
    for _ in 0..random.below(4) {
        match random.below(12) {
            0 => p.module = random.of(&[38.1, 50.0, 50.8, 63.5, 100.0]),
            1 => p.play = random.of(&[0.0, 0.02, 0.1, 0.5, 1.0]),
            2 => p.post_side = Some(random.between(9.0, 40.0)),
            3 => p.wall_height = random.between(20.0, 80.0),
            4 => p.slot_depth = Some(random.between(3.0, 40.0)),
            5 => p.hook_drop = random.between(0.0, 25.0),
            6 => p.notch_width = random.between(5.0, 50.0),
            7 => p.notch_depth = random.between(5.0, 40.0),
            8 => p.tongue = random.between(2.0, 30.0),
            9 => p.pocket_band = random.between(2.0, 25.0),
            10 => p.kerf = random.between(0.0, 1.0),
            _ => p.fold_factor = random.between(0.0, 10.0).get() / 10.0,
        }
    }
    p
}

/// Up to two by two cells with random walls; every post, biscuit and pocket that belongs to them.
fn build(random: &mut Random) -> Build {
    let (across, along) = (1 + random.below(2), 1 + random.below(2));
    let mut build = Build::default();
    let place = |x: u64, y: u64| Lattice { x: x as f64, y: y as f64 };
    let reliefs = if random.below(2) == 0 { Reliefs::EveryModule } else { Reliefs::Corners };
    let large = random.below(3) == 0;
    let mut floor = |random: &mut Random, x: u64, y: u64, size: (u64, u64)| {
        if large || random.below(5) > 0 {
            let [across, along] = [size.0, size.1].map(|n| u32::try_from(n).unwrap_or(1));
            build.tiles.push(Placed::new(format!("tile {x} {y}"), Tile::plain(across, along, reliefs), place(x, y)));
        }
    };
    if large {
        floor(random, 0, 0, (across, along));
    } else {
        (0..along).for_each(|y| (0..across).for_each(|x| floor(random, x, y, (1, 1))));
    }
    let covering = |build: &Build, x: f64, y: f64| {
        build.tiles.iter().position(|tile| {
            let Lattice { x: west, y: south } = tile.at;
            let (east, north) = (west + f64::from(tile.piece.across), south + f64::from(tile.piece.along));
            x > west && x < east && y > south && y < north
        })
    };
    for (x, y) in (0..=along).flat_map(|y| (0..=across).map(move |x| (x, y))) {
        for north in [false, true] {
            let room = if north { y < along } else { x < across };
            if room
                && random.below(3) > 0
                && !(large && reliefs == Reliefs::Corners && inner(x, y, across, along, north))
            {
                let wall = Wall { span: 1.0, opening: opening(random) };
                build.walls.push(Placed::new(format!("wall {x} {y} {north}"), Run { wall, north }, place(x, y)));
            }
            let (x0, y0) = (x as f64, y as f64);
            let sides = if north {
                [covering(&build, x0 - 0.5, y0 + 0.5), covering(&build, x0 + 0.5, y0 + 0.5)]
            } else {
                [covering(&build, x0 + 0.5, y0 - 0.5), covering(&build, x0 + 0.5, y0 + 0.5)]
            };
            if let [Some(one), Some(other)] = sides
                && one != other
            {
                build.biscuits.push(Placed::new(format!("biscuit {x} {y} {north}"), Seam { north }, place(x, y)));
            }
        }
    }
    for (x, y) in (0..=along).flat_map(|y| (0..=across).map(move |x| (x, y))) {
        let at = place(x, y);
        let wall = |dx: f64, dy: f64, north: bool| {
            build.walls.iter().any(|w| w.piece.north == north && w.at == Lattice { x: at.x + dx, y: at.y + dy })
        };
        let arms = [wall(0.0, 0.0, true), wall(-1.0, 0.0, false), wall(0.0, -1.0, true), wall(0.0, 0.0, false)];
        if !arms.contains(&true) {
            continue;
        }
        let feet = [(0.5, 0.5), (-0.5, 0.5), (-0.5, -0.5), (0.5, -0.5)]
            .map(|(dx, dy)| covering(&build, at.x + dx, at.y + dy).is_some());
        let stand = if feet.contains(&true) { Stand::Feet(Feet::from_bits(bits(feet))) } else { Stand::BasePlate };
        build.posts.push(Placed::new(
            format!("post {x} {y}"),
            Post { arms: Arms::from_bits(bits(arms)), stand, under: false },
            at,
        ));
        for quadrant in (0..4_u32).filter(|q| feet[*q as usize]) {
            build.pockets.push(Placed::new(format!("pocket {x} {y} {quadrant}"), Corner { quadrant }, at));
        }
    }
    build
}

/// Whether a wall would need a post at a point of a tile's edge or inside it.
fn inner(x: u64, y: u64, across: u64, along: u64, north: bool) -> bool {
    let corner = |x: u64, y: u64| (x == 0 || x == across) && (y == 0 || y == along);
    let (to_x, to_y) = if north { (x, y + 1) } else { (x + 1, y) };
    !corner(x, y) || !corner(to_x, to_y)
}

fn opening(random: &mut Random) -> Option<Opening> {
    let mm = Mm::new;
    match random.below(8) {
        0 => Some(Opening::Door { width: mm(12.0), height: mm(12.0), hinge: HingeSide::Left }),
        1 => Some(Opening::Arch { width: mm(12.0), height: mm(12.0) }),
        2 => Some(Opening::Window { width: mm(8.0), height: mm(8.0), sill: mm(6.0), arched: true }),
        _ => None,
    }
}

/// Breaks something; says what.
fn spoil(build: &mut Build, random: &mut Random) -> &'static str {
    const CHANGES: [&str; 10] = [
        "arms",
        "feet",
        "post moved",
        "wall moved",
        "wall longer",
        "tile moved",
        "reliefs",
        "biscuit moved",
        "pocket moved",
        "post added",
    ];
    let step = random.one(&[0.001, 0.01, 0.05, 0.2, 0.5, 1.0]) * if random.below(2) == 0 { 1.0 } else { -1.0 };
    let which = random.below(10);
    match which {
        0 => change(&mut build.posts, random, |post, r| {
            post.piece.arms = Arms::from_bits(post.piece.arms.bits() ^ 1 << r.below(4));
        }),
        1 => change(&mut build.posts, random, |post, r| {
            let feet = Feet::from_bits(post.piece.feet().bits() ^ 1 << r.below(4));
            post.piece.stand = if r.below(2) == 0 { Stand::BasePlate } else { Stand::Feet(feet) };
        }),
        2 => change(&mut build.posts, random, |post, _| post.at.x += step),
        3 => change(&mut build.walls, random, |wall, _| wall.at.y += step),
        4 => change(&mut build.walls, random, |wall, _| wall.piece.wall.span = 2.0),
        5 => change(&mut build.tiles, random, |tile, _| tile.at.x += step),
        6 => change(&mut build.tiles, random, |tile, _| tile.piece.reliefs = Reliefs::Corners),
        7 => change(&mut build.biscuits, random, |biscuit, _| biscuit.at.y += step),
        8 => change(&mut build.pockets, random, |pocket, _| pocket.at.x += step),
        _ => {
            let at = Lattice { x: random.below(5) as f64 / 2.0, y: random.below(5) as f64 / 2.0 };
            let post = Post { arms: Arms::NONE, stand: Stand::Feet(Feet::NONE), under: false };
            build.posts.push(Placed::new("one more post", post, at));
        }
    }
    CHANGES[usize::try_from(which).unwrap_or(0)]
}

fn change<T>(all: &mut [Placed<T>], random: &mut Random, how: impl Fn(&mut Placed<T>, &mut Random)) {
    let count = all.len() as u64;
    if count > 0 {
        let which = random.below(count);
        how(&mut all[usize::try_from(which).unwrap_or(0)], random);
    }
}

fn bits(members: [bool; 4]) -> u8 {
    members.iter().enumerate().fold(0, |bits, (i, has)| bits | u8::from(*has) << i)
}
