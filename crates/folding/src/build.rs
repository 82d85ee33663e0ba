//! A build: which piece stands where, and all of it as solids.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::TurnTile;
use flatwright_geometry::pieces::bend_pocket::BendPocket;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Post, Stand};
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;
use parry3d_f64::math::{Pose, Vector};

use crate::fixture::{self, Fixture};
use crate::place::{self, Body, Lattice, PlaceError};
use crate::solid::Solid;

/// A piece in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<T> {
    /// A name for people, such as `WA1 at (2, 3)`.
    pub name: String,
    /// Which piece.
    pub piece: T,
    /// Its lattice point: a tile's south-west corner, a post's middle, a wall's western or
    /// southern end, the beginning of a biscuit's edge, the vertex that a pocket belongs to, the corner
    /// that a bend turns about.
    pub at: Lattice,
}

impl<T> Placed<T> {
    /// A piece in its place.
    pub fn new(name: impl Into<String>, piece: T, at: Lattice) -> Self {
        Self { name: name.into(), piece, at }
    }
}

/// A wall and the way it runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The wall.
    pub wall: Wall,
    /// Whether it runs to the north (else to the east).
    pub north: bool,
}

/// A filler and the way it juts out from its post.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Jut {
    /// The filler.
    pub filler: Filler,
    /// Quarter turns counterclockwise from east, 0 to 3.
    pub turns: u32,
}

/// The edge of a biscuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seam {
    /// Whether the unit edge runs to the north (else to the east).
    pub north: bool,
}

/// The corner of a pocket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Corner {
    /// Quadrant of the vertex in which its tile lies, counterclockwise from north-east, 0 to 3.
    pub quadrant: u32,
}

/// A bent wall and how it is turned.
#[derive(Clone, Debug, PartialEq)]
pub struct BentRun {
    /// The wall.
    pub wall: BentWall,
    /// Quarter turns counterclockwise from its bend's own frame.
    pub turns: u32,
}

/// A turn tile and how it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TurnedTile {
    /// The tile.
    pub tile: TurnTile,
    /// Quarter turns counterclockwise from its bend's own frame.
    pub turns: u32,
}

/// The corner of a pocket at a bend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BentCorner {
    /// The pocket.
    pub pocket: BendPocket,
    /// As of [`Corner::quadrant`].
    pub quadrant: u32,
}

/// One level of a build; x east, y north, in modules.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Build {
    /// Tiles.
    pub tiles: Vec<Placed<Tile>>,
    /// Posts as they stand, north up. One on a base plate brings its plate and plug.
    pub posts: Vec<Placed<Post>>,
    /// Caps as they lie on posts, north up.
    pub caps: Vec<Placed<Cap>>,
    /// Couplers as they stand in the feet of posts, north up; below z = 0 they reach into the level below.
    pub couplers: Vec<Placed<Coupler>>,
    /// Walls.
    pub walls: Vec<Placed<Run>>,
    /// Fillers, at the lattice points of their posts. Each brings its base plate.
    pub fillers: Vec<Placed<Jut>>,
    /// Biscuits.
    pub biscuits: Vec<Placed<Seam>>,
    /// Corner pockets.
    pub pockets: Vec<Placed<Corner>>,
    /// Walls that follow a bend.
    pub bent_walls: Vec<Placed<BentRun>>,
    /// Tiles with a side on a bend.
    pub turn_tiles: Vec<Placed<TurnedTile>>,
    /// Pockets at bends.
    pub bend_pockets: Vec<Placed<BentCorner>>,
    /// What stands free on the floor.
    pub fixtures: Vec<Placed<Fixture>>,
    /// Slots that may stay empty: the post's place and the face
    /// (index into [`flatwright_geometry::pieces::post::FACES`]).
    pub spare: Vec<(Lattice, usize)>,
}

impl Build {
    /// How many bodies [`assemble`] puts before those of the fixtures, which come last.
    #[must_use]
    pub fn before_fixtures(&self) -> usize {
        let plates = self.posts.iter().filter(|post| post.piece.stand == Stand::BasePlate).count();
        let ties = self.biscuits.len() + self.pockets.len() + self.couplers.len();
        let walls = self.walls.len() + 2 * self.fillers.len();
        let bends = self.bent_walls.len() + self.turn_tiles.len() + self.bend_pockets.len();
        self.tiles.len() + self.posts.len() + 2 * plates + walls + bends + self.caps.len() + ties
    }
}

/// Every piece of a build in its place: tiles, posts (each followed by its plate and plug), walls,
/// fillers (each followed by its plate), biscuits, pockets, caps, couplers, bent walls, turn tiles and their
/// pockets, fixtures (a free-standing wall followed by its base plate). Each distinct piece is folded once.
///
/// # Errors
/// Every piece that has no pattern or does not fold, once each.
pub fn assemble(p: &Parameters, build: &Build) -> Result<Vec<Body>, Vec<PlaceError>> {
    let here = Lattice { x: 0.0, y: 0.0 };
    let unnamed = String::new;
    let mut all = Assembly { p, bodies: Vec::new(), errors: Vec::new() };
    all.add(&build.tiles, |tile| Ok(vec![place::tile(p, unnamed(), *tile, here)?]));
    all.add(&build.posts, |post| {
        let mut bodies = vec![place::post(p, unnamed(), *post, here)?];
        if post.stand == Stand::BasePlate {
            bodies.extend(place::plate_and_plug(p, "", here)?);
        }
        Ok(bodies)
    });
    all.add(&build.walls, |run| Ok(vec![place::wall(p, unnamed(), &run.wall, here, run.north)?]));
    all.add(&build.fillers, |jut| Ok(place::filler(p, "", jut.filler, here, jut.turns)?.into()));
    all.add(&build.biscuits, |seam| Ok(vec![place::biscuit(p, unnamed(), here, seam.north)?]));
    all.add(&build.pockets, |corner| Ok(vec![place::pocket(p, unnamed(), here, corner.quadrant)?]));
    all.add(&build.caps, |cap| Ok(vec![place::cap(p, unnamed(), *cap, here)?]));
    all.add(&build.couplers, |coupler| Ok(vec![place::coupler(p, unnamed(), *coupler, here)?]));
    all.add(&build.bent_walls, |run| Ok(vec![place::bent_wall(p, unnamed(), &run.wall, here, run.turns)?]));
    all.add(&build.turn_tiles, |turned| Ok(vec![place::turn_tile(p, unnamed(), turned.tile, here, turned.turns)?]));
    all.add(&build.bend_pockets, |corner| {
        Ok(vec![place::bend_pocket(p, unnamed(), corner.pocket, here, corner.quadrant)?])
    });
    all.fixtures(&build.fixtures);
    if all.errors.is_empty() { Ok(all.bodies) } else { Err(all.errors) }
}

/// The bodies of levels that stand on each other, lowest first, each as [`assemble`] gives them: the same
/// bodies where they are then. `apart` is by how much further each is lifted above the one below, mm.
#[must_use]
pub fn on_each_other(p: &Parameters, levels: &[&[Body]], apart: f64) -> Vec<Vec<Body>> {
    let pitch = p.level_pitch().get() + apart;
    let lifted = |(index, bodies): (usize, &&[Body])| {
        let motion = Pose::from_translation(Vector::new(0.0, 0.0, pitch * index as f64));
        let lift = |body: &Body| {
            let solids = body.solids.iter().map(|solid| solid.moved(motion)).collect();
            Body { name: body.name.clone(), kind: body.kind, solids }
        };
        bodies.iter().map(lift).collect()
    };
    levels.iter().enumerate().map(lifted).collect()
}

struct Assembly<'a> {
    p: &'a Parameters,
    bodies: Vec<Body>,
    errors: Vec<PlaceError>,
}

impl Assembly<'_> {
    /// As [`Self::add`], for pieces that stand in many ways: each is folded once, however it stands.
    fn fixtures(&mut self, placed: &[Placed<Fixture>]) {
        let mut made: Vec<(&Piece, Vec<Body>)> = Vec::new();
        let m = self.p.module.get();
        for one in placed {
            let known = made.iter().position(|(piece, _)| **piece == one.piece.piece).unwrap_or_else(|| {
                let bodies = fixture::bodies(self.p, &one.piece.piece).unwrap_or_else(|error| {
                    self.errors.push(error);
                    Vec::new()
                });
                made.push((&one.piece.piece, bodies));
                made.len() - 1
            });
            let motion = Pose::from_translation(Vector::new(one.at.x * m, one.at.y * m, 0.0)) * one.piece.pose();
            for body in &made[known].1 {
                let solids = body.solids.iter().map(|solid| solid.moved(motion)).collect();
                let name = format!("{}{}", body.name, one.name);
                self.bodies.push(Body { name, kind: body.kind, solids });
            }
        }
    }

    /// Makes each distinct piece once, at the origin, and moves copies of it.
    fn add<T: PartialEq>(&mut self, placed: &[Placed<T>], make: impl Fn(&T) -> Result<Vec<Body>, PlaceError>) {
        // A set has few distinct pieces: a list is searched as fast as a map.
        let mut made: Vec<(&T, Option<Vec<Body>>)> = Vec::new();
        for one in placed {
            let known = made.iter().position(|(piece, _)| **piece == one.piece).unwrap_or_else(|| {
                let bodies = make(&one.piece).map_err(|error| self.errors.push(error)).ok();
                made.push((&one.piece, bodies));
                made.len() - 1
            });
            let m = self.p.module.get();
            let motion = Pose::from_translation(Vector::new(one.at.x * m, one.at.y * m, 0.0));
            for body in made[known].1.iter().flatten() {
                // The plate and the plug of a post are named after it: "plate of ".
                let name = format!("{}{}", body.name, one.name);
                let solids: Vec<Solid> = body.solids.iter().map(|solid| solid.moved(motion)).collect();
                self.bodies.push(Body { name, kind: body.kind, solids });
            }
        }
    }
}
