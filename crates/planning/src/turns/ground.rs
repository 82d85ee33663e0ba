//! What turns put on the ground of a level, as areas.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::region::Region;
use flatwright_geometry::turn::quarter;
use kurbo::Affine;

use super::Turn;
use crate::build::LevelBuild;
use crate::plan::Level;

/// Tiles and walls of a level's turns: x east and y north of the level's north-west corner, mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ground {
    /// Their tiles.
    pub floor: Vec<Region>,
    /// Their walls, half a wall's thickness on either side of their lines and as far beyond as was asked for.
    pub walls: Vec<Region>,
}

impl Ground {
    /// That of a level's turns, the walls wider by `beyond` mm on either side. Tiles and walls without room
    /// are left out: they are told of when their pieces are made.
    #[must_use]
    pub fn of(level: &Level, build: &LevelBuild, p: &Parameters, beyond: f64) -> Self {
        let m = p.module.get();
        let there =
            |turn: &Turn| Affine::translate((turn.at.x as f64 * m, -(turn.at.y as f64) * m)) * quarter(turn.turns);
        let floor = build.turn_tiles.iter().filter_map(|place| {
            // The top of its wrap: that covers the notches.
            let top = place.tile.wrap(p).ok()?.net.panels.into_iter().next()?.region;
            Some(top.moved(there(level.turns.get(place.turn)?)))
        });
        let half = p.wall_thickness().get() / 2.0 + beyond;
        let walls = build.bent_walls.iter().filter_map(|place| {
            place.bend.check(p).ok()?;
            let back = place.bend.beside(p, -half).into_iter().rev();
            let band = Contour::new(place.bend.beside(p, half).into_iter().chain(back)).ok()?;
            Some(Region::from(band).moved(there(level.turns.get(place.turn)?)))
        });
        Self { floor: floor.collect(), walls: walls.collect() }
    }
}
