//! Random bends: the patterns of their walls and tiles, and round towers of them as solids, for
//! geometry libraries and a modeller that are not ours.
//!
//! usage: bends COUNT SEED
//!
//! One JSON object a line: the parameters, the bend, every pattern's contours and fold lines, and a tower
//! of four of it with posts and tiles: each body's solids with contours, heights and a 3 by 4 matrix.

mod random;

use flatwright_folding::place::{self, Body, Lattice, PlaceError};
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::units::Mm;
use kurbo::Point;
use random::Random;
use serde_json::{Value, json};

fn main() {
    random::print_each(one);
}

fn one(seed: u64) -> Value {
    let mut random = Random(seed);
    let p = Parameters {
        module: random.between(70.0, 90.0),
        board: random.of(&[3.0, 5.0, 10.0]),
        card: random.of(&[0.25, 0.5, 1.0]),
        paper: random.of(&[0.1, 0.2]),
        walls: if random.below(3) == 0 { WallBuild::Board } else { WallBuild::Card },
        ..Parameters::default()
    };
    let form = if random.below(3) == 0 { BendForm::Diagonal } else { BendForm::Round };
    let reach = 1 + u32::try_from(random.below(3)).unwrap_or(0);
    let bend = Bend { form, reach };
    let window = Opening::Window {
        width: random.between(12.0, 40.0),
        height: Mm::new(18.0),
        sill: Mm::new(16.0),
        arched: false,
    };
    let opening = (random.below(2) == 0).then_some(window);
    let width = match &opening {
        Some(Opening::Window { width, .. }) => Some(width.get()),
        _ => None,
    };
    let wall = BentWall { bend, opening };
    let said = json!({
        "seed": seed, "module": p.module.get(), "board": p.board.get(), "card": p.card.get(),
        "paper": p.paper.get(), "play": p.play.get(), "post": p.post_side().get(),
        "height": p.wall_height.get(), "notch": [p.notch_width.get(), p.notch_depth.get()],
        "factor": p.fold_factor, "board_walls": p.walls == WallBuild::Board,
        "form": form.to_string(), "reach": reach, "window": width,
    });
    match (drawn(&p, &wall), tower(&p, &wall)) {
        (Ok((walls, tiles)), Ok(bodies)) => json!({
            "said": said, "walls": walls, "tiles": tiles, "bodies": bodies.iter().map(body).collect::<Vec<_>>(),
        }),
        (Err(error), _) => json!({ "said": said, "refused": error.to_string() }),
        (_, Err(error)) => json!({ "said": said, "broken": error.to_string() }),
    }
}

/// The patterns of the wall, and the core and the wrap of every tile beside it.
fn drawn(p: &Parameters, wall: &BentWall) -> Result<(Vec<Value>, Vec<Value>), PieceError> {
    let walls = wall.patterns(p)?.iter().map(pattern).collect();
    let mut parts = vec![("fan", TurnPart::Fan), ("spandrel", TurnPart::Spandrel)];
    parts.extend((1..wall.bend.reach).map(|inner| ("ring", TurnPart::Ring(inner))));
    let mut tiles = Vec::new();
    for (name, part) in parts {
        let tile = TurnTile { bend: wall.bend, part };
        let notches: Vec<Value> =
            tile.notches(p).iter().map(|edge| json!([edge.from.0, edge.from.1, edge.north])).collect();
        let inner = tile.inner().map(|inner| inner.reach);
        tiles.push(json!({
            "part": name, "inner": inner, "notches": notches,
            "core": pattern(&tile.core(p)?), "wrap": pattern(&tile.wrap(p)?),
        }));
    }
    Ok((walls, tiles))
}

fn pattern(pattern: &Pattern) -> Value {
    let line = |line: kurbo::Line| [line.p0.x, line.p0.y, line.p1.x, line.p1.y];
    json!({
        "kind": pattern.kind.name(),
        "detail": pattern.detail,
        "contours": pattern.material.contours().map(points).collect::<Vec<_>>(),
        "folds": pattern.net.hinges.iter().map(|hinge| line(hinge.line)).collect::<Vec<_>>(),
    })
}

fn points(contour: &Contour) -> Vec<[f64; 2]> {
    contour.points().iter().map(|p| [p.x, p.y]).collect()
}

/// Four bends about one corner, a post where each begins, a fan inside and a spandrel outside.
fn tower(p: &Parameters, wall: &BentWall) -> Result<Vec<Body>, PlaceError> {
    let here = Lattice { x: 0.0, y: 0.0 };
    let mut bodies = Vec::new();
    for turns in 0..4 {
        bodies.push(place::bent_wall(p, format!("wall {turns}"), wall, here, turns)?);
        let at = here.beside(0.0, f64::from(wall.bend.reach), turns);
        let arms = Arms::from_bits(0b1010).turned(turns);
        let stand = Stand::Feet(Feet::from_bits(0b1100).turned(turns));
        bodies.push(place::post(p, format!("post {turns}"), Post { arms, stand, under: false }, at)?);
        for (name, part) in [("fan", TurnPart::Fan), ("spandrel", TurnPart::Spandrel)] {
            let tile = TurnTile { bend: wall.bend, part };
            bodies.push(place::turn_tile(p, format!("{name} {turns}"), tile, here, turns)?);
            for corner in tile.corners(p) {
                let (Some(pocket), (x, y)) = (corner.pocket, corner.at) else { continue };
                let at = here.beside(f64::from(x), f64::from(y), turns);
                let quadrant = corner.quadrant + turns;
                bodies.push(place::bend_pocket(p, format!("pocket {name} {turns}"), pocket, at, quadrant)?);
            }
        }
    }
    Ok(bodies)
}

fn body(body: &Body) -> Value {
    json!({ "name": body.name, "solids": body.solids.iter().map(solid).collect::<Vec<_>>() })
}

fn solid(solid: &Solid) -> Value {
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
