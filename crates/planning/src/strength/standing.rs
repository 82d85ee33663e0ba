//! What stands on floors and lies on posts, as loads: estimates, as all loads are.

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::pieces::piece::Piece;

use super::loads::{CARD, board, grams};
use crate::build::LevelBuild;
use crate::plan::{Level, Plan, Vertex};

/// What the fittings of a level put on each of its tiles and then of its tiles of turns, g. One that covers
/// several of them counts for that under its letter; what is under none is left out.
pub(super) fn on_slabs(plan: &Plan, level: &Level, build: &LevelBuild, p: &Parameters) -> Vec<f64> {
    let mut on = vec![0.0; build.slabs()];
    let mut known: BTreeMap<usize, f64> = BTreeMap::new();
    for place in &build.fittings {
        let Some(design) = plan.fittings.get(place.design) else { continue };
        let grams = *known.entry(place.design).or_insert_with(|| {
            design.body.parts.iter().map(|part| piece(&part.piece, p) * part.stances.len() as f64).sum()
        });
        let under = (0..on.len()).find(|&slab| build.slab(level, slab).covers(place.put.x, place.put.y));
        if let Some(under) = under {
            on[under] += grams;
        }
    }
    on
}

/// What the roofs of a level put on each of its posts, g: on all that stand under them, as much on each.
pub(super) fn roofs(build: &LevelBuild, p: &Parameters) -> Vec<f64> {
    let mut on = vec![0.0; build.posts.len()];
    for place in &build.roofs {
        let under = |at: Vertex| {
            let Vertex { x, y } = at;
            let cells = [(0, 0), (1, 0), (0, 1), (1, 1)];
            cells.iter().any(|(dx, dy)| x >= *dx && y >= *dy && place.cells.contains(&(x - dx, y - dy)))
        };
        let posts: Vec<usize> = (0..on.len()).filter(|&post| under(build.posts[post].at)).collect();
        let each = piece(&Piece::Roof(place.roof.clone()), p) / posts.len().max(1) as f64;
        posts.into_iter().for_each(|post| on[post] += each);
    }
    on
}

/// A piece by what is cut for it, g; nothing for one that has no pattern.
fn piece(piece: &Piece, p: &Parameters) -> f64 {
    let of = |stock: Stock| match stock {
        Stock::Paper => (p.paper.get(), CARD),
        Stock::Card => (p.card.get(), CARD),
        Stock::Board => (p.board.get(), board(p).0),
    };
    let patterns = piece.patterns(p).unwrap_or_default();
    let weight = |pattern: &flatwright_geometry::pattern::Pattern| {
        let (thick, density) = of(pattern.stock);
        grams(pattern.material.area() * thick, density)
    };
    patterns.iter().map(weight).sum()
}
