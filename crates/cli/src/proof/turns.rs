//! The turns of a plan as a build, and in their artwork.

use flatwright_folding::build::{BentRun, Build, Placed, TurnedTile};
use flatwright_folding::place::{Body, Lattice};
use flatwright_folding::scene::{Cover, Skin};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::turn::quarter;
use flatwright_planning::assemble::Spot;
use flatwright_planning::plan::Vertex;

use crate::import::Piece;
use crate::planned::Planned;

/// Adds a level's tiles of turns, walls on bends and pockets at them. `at` is where vertices lie, and `name`
/// what a piece is called in the turn that begins at a cell.
pub(super) fn add(
    planned: &Planned,
    level: usize,
    at: &dyn Fn(Vertex) -> Lattice,
    name: &dyn Fn(Spot, (usize, usize)) -> String,
    build: &mut Build,
) {
    let (drawn, work) = (&planned.plan.levels[level], &planned.levels[level].build);
    let turn = |index: usize| drawn.turns.get(index);
    for (i, place) in work.turn_tiles.iter().enumerate() {
        let Some(turn) = turn(place.turn) else { continue };
        let piece = TurnedTile { tile: place.tile, turns: turn.turns };
        build.turn_tiles.push(Placed::new(name(Spot::TurnTile(i), turn.cell()), piece, at(turn.at)));
    }
    for (i, place) in work.bent_walls.iter().enumerate() {
        let Some(turn) = turn(place.turn) else { continue };
        let opening = planned.plan.designs.get(place.design).and_then(|design| design.opening.clone());
        let piece = BentRun { wall: BentWall { bend: place.bend, opening }, turns: turn.turns };
        build.bent_walls.push(Placed::new(name(Spot::BentWall(i), turn.cell()), piece, at(turn.at)));
    }
}

/// What a tile of a turn wears on its top, and how its wrap lies there.
pub(super) fn covered(wrap: &Piece, print: usize, turns: u32, p: &Parameters) -> (Option<Cover>, Vec<Skin>) {
    let motion = quarter(turns);
    let top = wrap.pattern.net.panels.first();
    let cover = top.map(|top| Cover { region: top.region.moved(motion), thickness: p.paper.get() });
    (cover, vec![Skin { motion, ..Skin::as_drawn(print) }])
}

/// The skins of a wall on a bend: of card the outer one, and behind its solids the inner one. The facings of
/// a core of board are longer or shorter than its own folds, so they are shown by their colour alone.
pub(super) fn skins<'s>(pieces: &[&'s Piece], body: &Body, mut print: impl FnMut(&'s Piece) -> usize) -> Vec<Skin> {
    let mut first = 0;
    let mut skins = Vec::new();
    for piece in
        pieces.iter().filter(|piece| piece.pattern.kind == PieceKind::BentWall && body.kind == PieceKind::BentWall)
    {
        skins.push(Skin { first, ..Skin::as_drawn(print(piece)) });
        first += piece.pattern.net.panels.len();
    }
    skins
}
