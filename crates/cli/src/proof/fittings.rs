//! The fittings of a plan in its build and its pictures.

use flatwright_folding::build::{Build, Placed};
use flatwright_folding::fixture::Fixture;
use flatwright_folding::place::{Body, Lattice};
use flatwright_folding::scene::{Paint, Rgb, Shown, Skin};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_planning::assemble::Spot;
use flatwright_planning::fittings::{CellSpot, Stance};

use super::{FACE, STOCK};
use crate::import::{Piece, Set};
use crate::planned::Planned;

/// Adds the fittings of a level to its build; `rows` is the number of rows by which its north-west
/// corner lies above the build's origin.
pub(super) fn add(p: &Parameters, planned: &Planned, level: usize, rows: usize, build: &mut Build) {
    for (index, place) in planned.levels[level].build.fittings.iter().enumerate() {
        let Some(design) = planned.plan.fittings.get(place.design) else { continue };
        let (x, y) = (place.put.x + 1, place.put.y + 1);
        let ids = planned.ids_at(level, Spot::Fitting(index)).join("+");
        let at = Lattice { x: place.at.0, y: rows as f64 - place.at.1 };
        let half = match place.put.spot {
            CellSpot::Middle => "",
            CellSpot::West => ", west",
            CellSpot::East => ", east",
        };
        let several = design.body.parts.iter().map(|part| part.stances.len()).sum::<usize>() > 1;
        let mut number = 0;
        for part in &design.body.parts {
            for stance in &part.stances {
                number += 1;
                let number = if several { format!(", part {number}") } else { String::new() };
                let name = format!("{ids} ({}{number}) in column {x}, row {y}{half}", design.name);
                let Stance { axes, at: origin } = turned(*stance, design.turn);
                let origin = origin + Vector::new(0.0, 0.0, p.board.get());
                let fixture = Fixture { piece: part.piece.clone(), axes, at: origin };
                build.fixtures.push(Placed::new(name, fixture, at));
            }
        }
    }
}

/// Adds the roofs of a level to its build, on the posts' tops.
pub(super) fn add_roofs(p: &Parameters, planned: &Planned, level: usize, rows: usize, build: &mut Build) {
    for (index, place) in planned.levels[level].build.roofs.iter().enumerate() {
        let ids = planned.ids_at(level, Spot::Roof(index)).join("+");
        let name = format!("{ids} ({} roof {})", place.roof.form.name(), index + 1);
        let at = Lattice { x: place.at.x as f64, y: rows as f64 - place.at.y as f64 };
        let axes = [Vector::new(1.0, 0.0, 0.0), Vector::new(0.0, 1.0, 0.0), Vector::new(0.0, 0.0, 1.0)];
        let top = Vector::new(0.0, 0.0, p.post_height().get());
        build.fixtures.push(Placed::new(name, Fixture { piece: Part::Roof(place.roof.clone()), axes, at: top }, at));
    }
}

/// A stance turned about the upright through the origin, by degrees, counterclockwise from above.
fn turned(Stance { axes, at }: Stance, by: f64) -> Stance {
    // Whole quarters are exact, so that equal pieces have equal corners.
    let (sin, cos) = match by.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    };
    let turn = |v: Vector| Vector::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y, v.z);
    Stance { axes: axes.map(turn), at: turn(at) }
}

/// Whether a body is one of a fixture, by its name: that has a word before it and its level after it.
fn is_of(body: &Body, fixture: &str) -> bool {
    let after = body.name.find(fixture).map(|at| &body.name[at + fixture.len()..]);
    after.is_some_and(|after| after.is_empty() || after.starts_with(','))
}

/// The last bodies of a level's build in their artwork; `worn` gives the number of a piece's print.
pub(super) fn shown<'a, 's>(
    set: &'s Set,
    planned: &'s Planned,
    (level, build): (usize, &Build),
    bodies: &'a [Body],
    worn: &mut dyn FnMut(&'s Piece) -> usize,
) -> Vec<Shown<'a>> {
    let spots = |piece: &Part, number: usize| {
        let build = &planned.levels[level].build;
        let mut parts = build.fittings.iter().enumerate().flat_map(|(index, place)| {
            let parts = planned.plan.fittings.get(place.design).map_or(&[][..], |design| &design.body.parts);
            parts.iter().flat_map(move |part| part.stances.iter().map(move |_| Spot::Fitting(index)))
        });
        match piece {
            // Roofs come after all others.
            Part::Roof(_) => Spot::Roof(number - parts.count()),
            _ => parts.nth(number).unwrap_or(Spot::Fitting(0)),
        }
    };
    let mut shown = Vec::new();
    let mut fixtures = build.fixtures.iter().enumerate().peekable();
    // How many pieces of the fixture at hand are worn already.
    let mut used = 0;
    for body in bodies {
        while fixtures.next_if(|(_, fixture)| !is_of(body, &fixture.name)).is_some() {
            used = 0;
        }
        let Some((number, Placed { piece: Fixture { piece: part, .. }, .. })) = fixtures.peek() else {
            shown.push(Shown::new(body, FACE, STOCK));
            continue;
        };
        let kind = planned.kinds_at(level, spots(part, *number)).find(|kind| kind.needed.piece == *part);
        let pieces = kind.into_iter().flat_map(|kind| &kind.pieces);
        let pieces: Vec<&'s Piece> = pieces.filter(|piece| piece.pattern.kind == body.kind).collect();
        let Some(face) = pieces.iter().find_map(|piece| piece.face).filter(|_| body.kind != PieceKind::WallBase) else {
            shown.push(Shown::new(body, FACE, STOCK));
            continue;
        };
        let colour = set.artwork.from_afar(face, set.parameters.module);
        let paint = Paint { edges: STOCK, ..Paint::of(body.kind, Rgb(colour.0, colour.1, colour.2), STOCK) };
        // Net after net, each over its own panels; a roof has several bodies of a kind.
        let mut first = 0;
        let mut skins = Vec::new();
        if body.kind != PieceKind::Roof {
            used = 0;
        }
        for piece in pieces.into_iter().skip(used) {
            if first >= body.solids.len() {
                break;
            }
            used += 1;
            skins.push(Skin { first, ..Skin::as_drawn(worn(piece)) });
            first += piece.pattern.net.panels.len();
        }
        shown.push(Shown { body, paint, cover: None, skins });
    }
    shown
}
