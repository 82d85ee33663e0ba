//! Turns: blocks of cells over which walls leave the lattice, in a quarter of a circle or straight over
//! the corner.
//!
//! A [`Turn`] is a block of reach x reach cells about one of its four corners. Its bend leads from one end to
//! the other; a shorter one about the same corner may lie within. What lies inside the shorter bend is the
//! fan, what lies between the two the ring, what lies outside the spandrel; with one bend all inside it is the
//! fan. Each of them has a tile or none, each bend a wall or none. [`Bend`] says how they run.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::bend_pocket::{BendPocket, PocketPlace};

use crate::build::{BentWallPlace, TurnTilePlace};
use crate::plan::{Edge, Level, Vertex};

mod clear;
mod ground;

pub use clear::{in_the_way, uncarried};
pub use ground::Ground;

/// A turn in its place on a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Turn {
    /// The letter that stands for it in the drawing.
    pub letter: char,
    /// The corner that it turns about.
    pub at: Vertex,
    /// Quarter turns counterclockwise from the frame of [`Bend`], in which the block lies to the north-east
    /// of that corner: 0 to 3.
    pub turns: u32,
    /// Its bend, from end to end of the block.
    pub bend: Bend,
    /// Modules from the corner to the shorter bend, if there is one; less than the reach.
    pub inner: Option<u32>,
    /// Surface within the (shorter) bend: index into the plan's surfaces.
    pub fan: Option<usize>,
    /// Surface between the two bends.
    pub ring: Option<usize>,
    /// Surface outside the bend.
    pub spandrel: Option<usize>,
    /// Design of the wall on the bend: index into the plan's designs.
    pub wall: Option<usize>,
    /// Design of the wall on the shorter bend.
    pub inner_wall: Option<usize>,
    /// Where biscuits fit, and which pockets.
    pub fit: Fit,
}

/// What of a turn depends on the parameters; a plan that was just read has nothing of it yet. Notches for
/// biscuits: bit i is that of the module edge between i and i + 1 modules from the corner, on either side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fit {
    /// The notches of the fan.
    pub fan: u8,
    /// The notches of the ring.
    pub ring: u8,
    /// The notches of the spandrel.
    pub spandrel: u8,
    /// Whether the pockets at the ends of the bend are cut off along it under the fan.
    pub fan_cut: bool,
    /// The same under the ring.
    pub ring_cut: bool,
    /// The same in the far corner of the spandrel.
    pub spandrel_cut: bool,
}

/// A straight side of a turn's tile over one module.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Side {
    /// The edge of the lattice.
    pub edge: Edge,
    /// Which side of the edge the tile lies on: 0 north or west, 1 south or east.
    pub of: usize,
    /// Whether the tile has a notch there.
    pub notched: bool,
}

impl Turn {
    /// The shorter bend.
    #[must_use]
    pub fn inner_bend(&self) -> Option<Bend> {
        self.inner.map(|reach| Bend { reach, ..self.bend })
    }

    /// Its bends with a wall, the shorter one first, each with its design.
    pub fn walls(&self) -> impl Iterator<Item = (Bend, usize)> + use<> {
        let inner = self.inner_bend().zip(self.inner_wall);
        inner.into_iter().chain(self.wall.map(|design| (self.bend, design)))
    }

    /// Its parts with floor, from the corner outward, each with its surface.
    pub fn tiles(&self) -> impl Iterator<Item = (TurnTile, usize)> + use<> {
        let within = self.inner_bend().unwrap_or(self.bend);
        let fan = self.fan.map(|surface| (TurnTile { bend: within, part: TurnPart::Fan }, surface));
        let ring = self.inner.zip(self.ring);
        let bend = self.bend;
        let ring = ring.map(move |(inner, surface)| (TurnTile { bend, part: TurnPart::Ring(inner) }, surface));
        let spandrel = self.spandrel.map(|surface| (TurnTile { bend, part: TurnPart::Spandrel }, surface));
        [fan, ring, spandrel].into_iter().flatten()
    }

    /// Column and row of its north-west cell.
    #[must_use]
    pub fn cell(&self) -> (usize, usize) {
        let (one, other) = (self.at, self.vertex(self.bend.reach, self.bend.reach));
        (one.x.min(other.x), one.y.min(other.y))
    }

    /// Whether it covers cell (x, y).
    #[must_use]
    pub fn covers(&self, x: usize, y: usize) -> bool {
        let ((left, top), reach) = (self.cell(), self.bend.reach as usize);
        (left..left + reach).contains(&x) && (top..top + reach).contains(&y)
    }

    /// Whether its fan or its ring lies at a place, columns and rows from the level's north-west corner;
    /// where its bend is near, that is not said of all that do.
    #[must_use]
    pub fn surely_has_floor(&self, x: f64, y: f64) -> bool {
        let (east, south) = (x - self.at.x as f64, y - self.at.y as f64);
        let (u, v) = match self.turns % 4 {
            0 => (east, -south),
            1 => (-south, -east),
            2 => (-east, south),
            _ => (south, east),
        };
        // Bends run further from their corner than these lines, but no more than a fifth of a module: the
        // straight pieces at their ends are shorter than that.
        let within = |reach: u32, off: f64| {
            let reach = f64::from(reach) + off;
            match self.bend.form {
                BendForm::Round => u.hypot(v) < reach,
                BendForm::Diagonal => u + v < reach,
            }
        };
        let parts = (self.fan.is_some(), self.inner.is_some() && self.ring.is_some());
        u > 0.0
            && v > 0.0
            && (parts.0 && within(self.inner.unwrap_or(self.bend.reach), 0.0)
                || parts.1 && within(self.bend.reach, 0.0) && !within(self.inner.unwrap_or(0), 0.2))
    }

    /// Whether a vertex lies in its block or on the edge of it.
    #[must_use]
    pub fn meets(&self, at: Vertex) -> bool {
        let ((left, top), reach) = (self.cell(), self.bend.reach as usize);
        (left..=left + reach).contains(&at.x) && (top..=top + reach).contains(&at.y)
    }

    /// The vertex at so many modules east and north of the corner in the frame of [`Bend`].
    #[must_use]
    pub fn vertex(&self, east: u32, north: u32) -> Vertex {
        let (u, v) = (east as isize, north as isize);
        let (x, y) = match self.turns % 4 {
            0 => (u, v),
            1 => (-v, u),
            2 => (-u, -v),
            _ => (v, -u),
        };
        // Rows count from the north.
        Vertex { x: self.at.x.saturating_add_signed(x), y: self.at.y.saturating_add_signed(-y) }
    }

    /// The unit edge between two such vertices.
    fn edge(&self, one: (u32, u32), other: (u32, u32)) -> Edge {
        let (one, other) = (self.vertex(one.0, one.1), self.vertex(other.0, other.1));
        let from = if (one.x, one.y) < (other.x, other.y) { one } else { other };
        Edge { from, down: one.x == other.x }
    }

    /// A face or a quadrant of the frame of [`Bend`] as the block lies: both count counterclockwise.
    const fn turned(&self, index: usize) -> usize {
        (index + self.turns as usize) % 4
    }

    /// Where one of its bends ends, and the face of a post there that it meets
    /// (index into [`flatwright_geometry::pieces::post::FACES`]).
    #[must_use]
    pub fn ends(&self, bend: Bend) -> [(Vertex, usize); 2] {
        // It leaves the one to the east and arrives at the other from the north.
        [(self.vertex(0, bend.reach), self.turned(3)), (self.vertex(bend.reach, 0), self.turned(0))]
    }

    /// The vertices at which a part has a full corner, and the quadrant of each in which it lies (index
    /// into [`flatwright_geometry::pieces::post::QUADRANTS`]): tiles are relieved there, and hold a tongue.
    #[must_use]
    pub fn corners(&self, tile: TurnTile) -> Vec<(Vertex, usize)> {
        let [north_east, north_west, south_west, south_east] = [0, 1, 2, 3];
        let reach = tile.bend.reach;
        let inside = [(0, reach, south_east), (reach, 0, north_west)];
        let corners: Vec<(u32, u32, usize)> = match tile.part {
            TurnPart::Fan => [(0, 0, north_east)].into_iter().chain(inside).collect(),
            TurnPart::Ring(inner) => {
                [(0, inner, north_east), (inner, 0, north_east)].into_iter().chain(inside).collect()
            }
            TurnPart::Spandrel => vec![(reach, reach, south_west)],
        };
        corners.into_iter().map(|(u, v, quadrant)| (self.vertex(u, v), self.turned(quadrant))).collect()
    }

    /// The corners at which the pocket is cut off along the bend, and the pocket of each.
    #[must_use]
    pub fn pockets(&self) -> Vec<((Vertex, usize), BendPocket)> {
        let of = |(tile, _): (TurnTile, usize)| {
            let (cut, places) = match tile.part {
                TurnPart::Fan => (self.fit.fan_cut, &[PocketPlace::First, PocketPlace::Last][..]),
                TurnPart::Ring(_) => (self.fit.ring_cut, &[PocketPlace::First, PocketPlace::Last][..]),
                TurnPart::Spandrel => (self.fit.spandrel_cut, &[PocketPlace::Far][..]),
            };
            // The last corners are those at the bend's ends.
            let corners = self.corners(tile);
            let ends = corners.into_iter().rev().zip(places.iter().rev());
            let bend = tile.bend;
            ends.filter(move |_| cut).map(move |(corner, place)| (corner, BendPocket { bend, place: *place }))
        };
        self.tiles().flat_map(of).collect()
    }

    /// The straight sides of a part, module by module.
    #[must_use]
    pub fn sides(&self, tile: TurnTile) -> Vec<Side> {
        let (first, across, notches) = match tile.part {
            TurnPart::Fan => (0, 0, self.fit.fan),
            TurnPart::Ring(inner) => (inner, 0, self.fit.ring),
            TurnPart::Spandrel => (0, tile.bend.reach, self.fit.spandrel),
        };
        let side = |edge: Edge, i: u32| {
            // The cell to the south or the east of an edge has the edge's own place.
            let of = usize::from(self.covers(edge.from.x, edge.from.y));
            Side { edge, of, notched: notches >> i & 1 == 1 }
        };
        let along = (first..tile.bend.reach).flat_map(|i| {
            let lying = self.edge((i, across), (i + 1, across));
            let upright = self.edge((across, i), (across, i + 1));
            [side(lying, i), side(upright, i)]
        });
        along.collect()
    }

    /// Vertices along the straight sides of its tiles at which these have no room for a post.
    pub fn closed(&self) -> impl Iterator<Item = Vertex> + '_ {
        self.tiles().flat_map(move |(tile, _)| {
            let (first, across) = match tile.part {
                TurnPart::Fan => (0, 0),
                TurnPart::Ring(inner) => (inner, 0),
                TurnPart::Spandrel => (0, tile.bend.reach),
            };
            (first + 1..tile.bend.reach).flat_map(move |i| [self.vertex(i, across), self.vertex(across, i)])
        })
    }
}

impl Fit {
    /// That of a turn; of tiles that cannot be built nothing.
    #[must_use]
    pub fn of(turn: &Turn, p: &Parameters) -> Self {
        let mut fit = Self::default();
        for (tile, _) in turn.tiles().filter(|(tile, _)| tile.check(p).is_ok()) {
            let (notches, cut, across) = match tile.part {
                TurnPart::Fan => (&mut fit.fan, &mut fit.fan_cut, 0),
                TurnPart::Ring(_) => (&mut fit.ring, &mut fit.ring_cut, 0),
                TurnPart::Spandrel => (&mut fit.spandrel, &mut fit.spandrel_cut, tile.bend.reach),
            };
            let edges = tile.notches(p);
            let bits = |upright: bool| {
                let along = edges.iter().filter(|edge| edge.north == upright).filter_map(|edge| {
                    let (at, off) = if upright { (edge.from.1, edge.from.0) } else { edge.from };
                    (off == across && at < u8::BITS).then_some(at)
                });
                along.fold(0, |bits, at| bits | 1 << at)
            };
            (*notches, *cut) = (bits(false) & bits(true), tile.corners(p).iter().any(|corner| corner.pocket.is_some()));
        }
        fit
    }
}

/// What the turns of a level ask of posts and straight walls.
#[derive(Clone, Debug, Default)]
pub(crate) struct Ends {
    /// The faces at which walls on bends meet a post, and how often each: more than once does not fit.
    pub arms: BTreeMap<Vertex, [usize; 4]>,
    /// Quadrants in which a tile of a turn has a corner.
    pub feet: BTreeSet<(Vertex, usize)>,
    /// Where no post may stand, with the letter of the turn whose tile is in its way.
    pub closed: BTreeMap<Vertex, char>,
}

impl Ends {
    /// Those of a level.
    pub fn of(level: &Level) -> Self {
        let mut ends = Self::default();
        for turn in &level.turns {
            for (at, face) in turn.walls().flat_map(|(bend, _)| turn.ends(bend)) {
                ends.arms.entry(at).or_default()[face] += 1;
            }
            ends.feet.extend(turn.tiles().flat_map(|(tile, _)| turn.corners(tile)));
            ends.closed.extend(turn.closed().map(|at| (at, turn.letter)));
        }
        ends
    }
}

/// The tiles and walls of a level's turns.
#[must_use]
pub fn pieces(level: &Level) -> (Vec<TurnTilePlace>, Vec<BentWallPlace>) {
    let numbered = || level.turns.iter().enumerate();
    let tiles = numbered().flat_map(|(index, turn)| {
        turn.tiles().map(move |(tile, surface)| TurnTilePlace { turn: index, tile, surface })
    });
    let walls = numbered()
        .flat_map(|(index, turn)| turn.walls().map(move |(bend, design)| BentWallPlace { turn: index, bend, design }));
    (tiles.collect(), walls.collect())
}

/// A part in words.
#[must_use]
pub const fn part_name(part: TurnPart) -> &'static str {
    match part {
        TurnPart::Fan => "fan",
        TurnPart::Ring(_) => "ring",
        TurnPart::Spandrel => "spandrel",
    }
}
