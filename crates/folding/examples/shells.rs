//! Random prisms, frusta and cones as nets, folded and put together, for a modeller that is not ours.
//!
//! usage: shells COUNT SEED
//!
//! One JSON object a line: what it is, the shell's corners and faces, its volume, and every panel of
//! its nets as a prism: contours, heights, a 3 by 4 matrix into space, and for a flap its seat.

mod random;

use flatwright_folding::shell::close;
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::solid::form::{Ends, cone, regular, stack};
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::solid::{Role, Shell, nets};
use flatwright_geometry::units::Mm;
use kurbo::Point;
use random::Random;
use serde_json::{Value, json};

fn main() {
    random::print_each(one);
}

fn one(seed: u64) -> Value {
    let mut random = Random(seed);
    let card = random.one(&[0.2, 0.25, 0.4, 0.6]);
    let facets = u32::try_from(3 + random.below(10)).unwrap_or(3);
    let mut length = |least: f64, most: f64| least + (most - least) * random.share();
    let (a, b, c, height) = (length(9.0, 25.0), length(9.0, 25.0), length(9.0, 25.0), length(8.0, 40.0));
    let ends = [Ends::BOTH, Ends { bottom: true, top: false }, Ends { bottom: false, top: false }][random.index(3)];
    let (what, shell) = match random.below(4) {
        0 => ("prism", stack(&[(regular(facets, a), 0.0), (regular(facets, a), height)], ends)),
        1 => ("frustum", stack(&[(regular(facets, a), 0.0), (regular(facets, b), height)], ends)),
        2 => ("cone", cone(&regular(facets, a), Vector::new(0.0, 0.0, height), ends.bottom)),
        _ => {
            let (a, c, b) = (a.min(b).min(c), a.max(b).max(c) + 3.0, b);
            let rings = [
                (regular(facets, a), 0.0),
                (regular(facets, c), height / 2.0),
                (regular(facets, b.min(c - 1.0)), height),
            ];
            ("cask", stack(&rings, ends))
        }
    };
    let p = Parameters { card: Mm::new(card), ..Parameters::default() };
    let what = format!("{what} of {facets} facets, card {card}, seed {seed}");
    let made = shell.ok().and_then(|shell| shell.inset(card).ok()).and_then(|shell| {
        let made = nets(&p, &shell, PieceKind::Prop, &what).ok()?;
        Some((shell, made))
    });
    let Some((shell, made)) = made else { return json!({ "what": what, "refused": true }) };
    let folded = match close(&p, &made) {
        Ok(folded) => folded,
        Err(error) => return json!({ "what": what, "broken": error.to_string() }),
    };
    let mut panels = Vec::new();
    for (net, solids) in made.iter().zip(&folded) {
        for (role, panel) in net.roles.iter().zip(solids) {
            let (face, seat) = match role {
                Role::Face(face) => (Some(*face), None),
                Role::Flap { seat, .. } => (None, Some(*seat)),
                Role::Leaf(_) => (None, None),
            };
            panels.push(json!({ "face": face, "seat": seat, "solid": solid(panel) }));
        }
    }
    json!({ "what": what, "card": card, "shell": body(&shell), "nets": made.len(), "panels": panels })
}

fn body(shell: &Shell) -> Value {
    json!({
        "points": shell.points().iter().map(|p| [p.x, p.y, p.z]).collect::<Vec<_>>(),
        "faces": shell.faces().iter().map(|face| face.corners.clone()).collect::<Vec<_>>(),
        "volume": shell.volume(),
    })
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
