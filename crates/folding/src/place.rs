//! Pieces put where they stand: x east, y north, z up, the table at z = 0, floors at z = T.
//!
//! T is the thickness of a finished tile, wrap included: the paper above and below the board is
//! taken as part of what was measured. Card under a tile (tongues, pockets) lies below z = 0.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::bend::TurnTile;
use flatwright_geometry::pieces::bend_pocket::BendPocket;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::cap::{self, Cap};
use flatwright_geometry::pieces::coupler::{self, Coupler};
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{self, Post, Stand};
use flatwright_geometry::pieces::roof::Roof;
use flatwright_geometry::pieces::tile::{self, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::turn::quarter;
use flatwright_geometry::units::Mm;
use kurbo::Affine;
use parry3d_f64::math::{Pose, Rotation, Vector};

use crate::fold::FoldFault;
use crate::prove::{prove, sheet};
use crate::shell;
use crate::solid::Solid;

/// One piece of a build, in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// A name for people: identifier and place, such as `WA1 at (2, 3)`.
    pub name: String,
    /// Which family of pieces.
    pub kind: PieceKind,
    /// What it is made of.
    pub solids: Vec<Solid>,
}

/// Why a piece cannot be put in its place.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlaceError {
    /// It has no pattern.
    #[error(transparent)]
    Piece(#[from] PieceError),
    /// Its pattern does not fold.
    #[error("{what} does not fold: {}", faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Folds {
        /// Which pattern.
        what: String,
        /// Why.
        faults: Vec<FoldFault>,
    },
}

/// A lattice point: modules to the east and to the north of the origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    /// Modules east.
    pub x: f64,
    /// Modules north.
    pub y: f64,
}

impl Lattice {
    /// The point some modules east and north of this one, turned about it counterclockwise by quarter
    /// turns.
    #[must_use]
    pub fn beside(self, east: f64, north: f64, turns: u32) -> Self {
        let (x, y) = match turns % 4 {
            0 => (east, north),
            1 => (-north, east),
            2 => (-east, -north),
            _ => (north, -east),
        };
        Self { x: self.x + x, y: self.y + y }
    }
}

/// A finished tile, core and wrap as one, its south-west corner on the lattice point.
///
/// # Errors
/// Where the tile has no pattern.
pub fn tile(p: &Parameters, name: String, tile: Tile, at: Lattice) -> Result<Body, PlaceError> {
    let middle = (at.x + f64::from(tile.across) / 2.0, at.y + f64::from(tile.along) / 2.0);
    let solids = tile::finished(p, tile)?.into_iter().map(|region| slab(p, region, middle, (0.0, p.board.get())));
    Ok(Body { name, kind: PieceKind::TileCore, solids: solids.collect() })
}

/// A biscuit under the middle of a unit edge that begins at the lattice point and runs north, or
/// east.
///
/// # Errors
/// Where the biscuit has no pattern.
pub fn biscuit(p: &Parameters, name: String, at: Lattice, north: bool) -> Result<Body, PlaceError> {
    let pattern = tile::biscuit(p)?;
    // Its length lies across the edge.
    let (middle, turn) = if north { ((at.x, at.y + 0.5), 0) } else { ((at.x + 0.5, at.y), 1) };
    let region = pattern.material.moved(quarter(turn));
    Ok(Body { name, kind: pattern.kind, solids: vec![slab(p, region, middle, (0.0, p.board.get()))] })
}

/// The corner pocket under the tile in a quadrant (counterclockwise from north-east) of a lattice
/// point: the patch two calipers below the tile, its glued band filling the caliper between.
///
/// # Errors
/// Where the pocket has no pattern.
pub fn pocket(p: &Parameters, name: String, at: Lattice, quadrant: u32) -> Result<Body, PlaceError> {
    patch(p, name, &tile::corner_pocket(p)?, at, quadrant)
}

/// The pocket under a turn tile in a quadrant of the lattice point of its corner, as [`pocket`].
///
/// # Errors
/// Where the pocket has no pattern.
pub fn bend_pocket(
    p: &Parameters,
    name: String,
    pocket: BendPocket,
    at: Lattice,
    quadrant: u32,
) -> Result<Body, PlaceError> {
    patch(p, name, &pocket.pattern(p)?, at, quadrant)
}

fn patch(p: &Parameters, name: String, pattern: &Pattern, at: Lattice, quadrant: u32) -> Result<Body, PlaceError> {
    let half = p.play.get() / 2.0;
    // Drawn with the tile at positive x and y, from the finished tile's corner.
    let there = quarter(quadrant) * Affine::translate((half, half));
    let c = p.card.get();
    let patch = slab(p, pattern.material.moved(there), (at.x, at.y), (-2.0 * c, -c));
    let band = pattern.glue.iter().map(|glue| slab(p, glue.moved(there), (at.x, at.y), (-c, 0.0)));
    Ok(Body { name, kind: pattern.kind, solids: std::iter::once(patch).chain(band).collect() })
}

/// A post at a lattice point, folded from the pattern that serves all its turns; on a base plate
/// it stands a board's thickness higher.
///
/// # Errors
/// Where the sleeve has no pattern or does not fold.
pub fn post(p: &Parameters, name: String, post: Post, at: Lattice) -> Result<Body, PlaceError> {
    let drawn = post.up_to_rotation();
    let turns = (0..4).find(|&turns| drawn.turned(turns) == post).unwrap_or(0);
    let face = u32::try_from(drawn.first_face()).unwrap_or(0);
    // The strip's first face as the north face: its left edge, seen from outside, in the east.
    let s = p.post_side().get();
    let north = upright(Vector::new(s / 2.0, s / 2.0, 0.0), 2);
    let lift = if post.stand == Stand::BasePlate { p.board.get() } else { 0.0 };
    let there = Pose::from_parts(at_module(p, at, lift), turned(turns + face)) * north;
    folded(p, name, post::sleeve(p, drawn)?, there)
}

/// A cap on the post at a lattice point, its lid's underside on the post's top, folded from the
/// pattern that serves all its turns.
///
/// # Errors
/// Where the cap has no pattern or does not fold.
pub fn cap(p: &Parameters, name: String, cap: Cap, at: Lattice) -> Result<Body, PlaceError> {
    let drawn = cap.up_to_rotation();
    let turns = (0..4).find(|&turns| drawn.turned(turns) == cap).unwrap_or(0);
    // The net's plane is the lid's printed face. Posts on plates and on feet are of one height.
    let top = (p.post_height() + p.card).get();
    folded(p, name, cap::net(p, drawn)?, Pose::from_parts(at_module(p, at, top), turned(turns)))
}

/// A coupler in the foot of the post at a lattice point, its slots' upper ends level with that foot,
/// folded from the pattern that serves all its turns.
///
/// # Errors
/// Where the coupler has no pattern or does not fold.
pub fn coupler(p: &Parameters, name: String, coupler: Coupler, at: Lattice) -> Result<Body, PlaceError> {
    let drawn = coupler.up_to_rotation();
    let turns = (0..4).find(|&turns| drawn.turned(turns) == coupler).unwrap_or(0);
    let face = u32::try_from(drawn.first_face()).unwrap_or(0);
    // As with a post: the strip's first face as the north face.
    let half = coupler::side(p) / 2.0;
    let north = upright(Vector::new(half, half, 0.0), 2);
    let there = Pose::from_parts(at_module(p, at, -coupler::slot_height(p)), turned(turns + face)) * north;
    folded(p, name, coupler::sleeve(p, drawn)?, there)
}

/// The base plate of a post, and the plug in its foot.
///
/// # Errors
/// Where they have no pattern.
pub fn plate_and_plug(p: &Parameters, name: &str, at: Lattice) -> Result<[Body; 2], PlaceError> {
    let t = p.board.get();
    let flat = |pattern: Pattern, kind: &str, heights| Body {
        name: format!("{kind} of {name}"),
        kind: pattern.kind,
        solids: vec![slab(p, pattern.material, (at.x, at.y), heights)],
    };
    let plug = post::sleeve_plug(p)?;
    Ok([flat(post::base_plate(p)?, "plate", (0.0, t)), flat(plug, "plug", (t, 2.0 * t))])
}

/// A wall from a lattice point to the north, or to the east; a wall to the east shows its front to
/// the south, one to the north shows it to the east. The box of its niche is a part of it.
///
/// # Errors
/// Where the wall has no pattern or its net does not fold.
pub fn wall(p: &Parameters, name: String, wall: &Wall, at: Lattice, north: bool) -> Result<Body, PlaceError> {
    let there = beside_post(p, at, u32::from(north));
    let mut patterns = wall.patterns(p)?;
    let tray = patterns.pop_if(|pattern| pattern.kind == PieceKind::NicheBox);
    let mut body = hung(p, name, patterns.swap_remove(0), there)?;
    if let Some(tray) = tray {
        body.solids.extend(behind_wall(p, tray, there)?);
    }
    Ok(body)
}

/// A finished turn tile, core and wrap as one, its bend's corner on the lattice point and its frame turned
/// counterclockwise by quarter turns.
///
/// # Errors
/// Where the tile has no pattern.
pub fn turn_tile(p: &Parameters, name: String, tile: TurnTile, at: Lattice, turns: u32) -> Result<Body, PlaceError> {
    let there = quarter(turns);
    let parts = tile.finished(p)?.into_iter().map(|region| region.moved(there));
    let solids = parts.map(|region| slab(p, region, (at.x, at.y), (0.0, p.board.get()))).collect();
    Ok(Body { name, kind: PieceKind::TurnCore, solids })
}

/// A bent wall, its bend's corner on the lattice point and its frame turned counterclockwise by quarter
/// turns: both skins of card, the outer one's panels before the inner one's, or the core of board.
///
/// # Errors
/// Where the wall has no pattern or one of them does not fold.
pub fn bent_wall(p: &Parameters, name: String, wall: &BentWall, at: Lattice, turns: u32) -> Result<Body, PlaceError> {
    let (start, half) = ((p.post_side() + p.play).get() / 2.0, p.wall_thickness().get() / 2.0);
    let reach = p.module.get() * f64::from(wall.bend.reach);
    // From outside its left end is where the bend arrives, on its way back to the north; from inside it is
    // where the bend begins, to the east.
    let ends = [(Vector::new(reach + half, start, 0.0), 1), (Vector::new(start, reach - half, 0.0), 0)];
    let there = Pose::from_parts(at_module(p, at, p.board.get()), turned(turns));
    // The paper of facings is a part of the board's measured thickness.
    let layers = match p.walls {
        WallBuild::Card => 2,
        WallBuild::Board => 1,
    };
    let mut bodies = Vec::new();
    for (pattern, (from, quarters)) in wall.patterns(p)?.into_iter().take(layers).zip(ends) {
        bodies.push(folded(p, String::new(), pattern, there * upright(from, quarters))?);
    }
    let kind = bodies.first().map_or(PieceKind::BentWall, |body| body.kind);
    Ok(Body { name, kind, solids: bodies.into_iter().flat_map(|body| body.solids).collect() })
}

/// A filler from a lattice point to the east, turned counterclockwise by quarter turns, and the plate under
/// its free end.
///
/// # Errors
/// Where it has no pattern or does not fold.
pub fn filler(p: &Parameters, name: &str, filler: Filler, at: Lattice, turns: u32) -> Result<[Body; 2], PlaceError> {
    let mut patterns = filler.patterns(p)?;
    let plate = patterns.pop_if(|pattern| pattern.kind == PieceKind::WallBase);
    let wall = hung(p, name.to_owned(), patterns.swap_remove(0), beside_post(p, at, turns))?;
    let body = Body { kind: PieceKind::Filler, ..wall };
    let start = (p.post_side() + p.play).get() / 2.0;
    let under = quarter(turns) * Affine::translate((start, 0.0));
    let t = p.board.get();
    let solids = plate.into_iter().map(|plate| slab(p, plate.material.moved(under), (at.x, at.y), (t, 2.0 * t)));
    let plate = Body { name: format!("plate of {name}"), kind: PieceKind::WallBase, solids: solids.collect() };
    Ok([body, plate])
}

/// Where a wall hangs that leaves the post at a lattice point to the east, turned counterclockwise by
/// quarter turns.
fn beside_post(p: &Parameters, at: Lattice, turns: u32) -> Pose {
    let start = (p.post_side() + p.play).get() / 2.0;
    let half = p.wall_thickness().get() / 2.0;
    Pose::from_parts(at_module(p, at, p.board.get()), turned(turns)) * upright(Vector::new(start, -half, 0.0), 0)
}

/// A wall's net of card, folded, or its core of board.
fn hung(p: &Parameters, name: String, wall: Pattern, there: Pose) -> Result<Body, PlaceError> {
    Ok(match p.walls {
        WallBuild::Card => folded(p, name, wall, there)?,
        WallBuild::Board => {
            // The paper of the facing is a part of the board's measured thickness.
            let heights = (-p.board.get(), 0.0);
            Body { name, kind: wall.kind, solids: vec![Solid { region: wall.material, heights, pose: there }] }
        }
    })
}

/// A niche's box, drawn in the wall's coordinates: its flanges' printed faces on the wall's back.
fn behind_wall(p: &Parameters, tray: Pattern, wall: Pose) -> Result<Vec<Solid>, PlaceError> {
    let flat = folded(p, String::new(), tray, Pose::IDENTITY)?.solids;
    let front = flat.iter().flat_map(Solid::corners).map(|corner| corner.z).fold(f64::NEG_INFINITY, f64::max);
    let there = wall * Pose::from_translation(Vector::new(0.0, 0.0, -p.wall_thickness().get() - front));
    Ok(flat.iter().map(|panel| panel.moved(there)).collect())
}

/// The patterns of a piece that are folded or flat in a build; used to prove each of them once.
///
/// # Errors
/// Where the piece has no pattern or one of them does not fold.
pub fn prove_piece(p: &Parameters, piece: &Piece) -> Result<Vec<crate::prove::Proved>, PlaceError> {
    // Flaps may be glued to another net: only together nets show it.
    let patterns = match (piece, piece.nets(p)?) {
        (_, Some(nets)) => {
            shell::close(p, &nets)?;
            nets.into_iter().map(|made| made.pattern).collect()
        }
        (Piece::Roof(roof), None) => {
            for part in roof.parts(p)? {
                shell::close(p, &Roof::nets(p, &part)?)?;
            }
            piece.patterns(p)?
        }
        (_, None) => piece.patterns(p)?,
    };
    patterns
        .into_iter()
        .map(|pattern| {
            let what = format!("{} {}", pattern.kind, pattern.detail);
            let stock = sheet(p, pattern.stock);
            prove(pattern, stock).map_err(|faults| PlaceError::Folds { what: what.trim_end().to_owned(), faults })
        })
        .collect()
}

fn folded(p: &Parameters, name: String, pattern: Pattern, there: Pose) -> Result<Body, PlaceError> {
    let kind = pattern.kind;
    let what = format!("{} {}", pattern.kind, pattern.detail);
    let stock = sheet(p, pattern.stock);
    let proved = prove(pattern, stock).map_err(|faults| PlaceError::Folds { what, faults })?;
    let solids = proved.folded().iter().map(|panel| panel.moved(there)).collect();
    Ok(Body { name, kind, solids })
}

/// A flat piece lying at heights above the table, its origin at a point in modules.
fn slab(p: &Parameters, region: Region, (x, y): (f64, f64), heights: (f64, f64)) -> Solid {
    let region = one(region);
    Solid { region, heights, pose: Pose::from_parts(at_module(p, Lattice { x, y }, 0.0), Rotation::IDENTITY) }
}

/// Snapped again after a turn, so that equal pieces have equal corners.
fn one(region: Region) -> Region {
    region::union(std::slice::from_ref(&region)).pop().unwrap_or(region)
}

fn at_module(p: &Parameters, at: Lattice, height: f64) -> Vector {
    let m: Mm = p.module;
    Vector::new(at.x * m.get(), at.y * m.get(), height)
}

/// Drawn upright: the pattern's x along the wall, its y upward, its printed face outward; facing
/// south, and turned from there counterclockwise by quarter turns. `from` is where its origin goes.
fn upright(from: Vector, quarters: u32) -> Pose {
    Pose::from_parts(from, turned(quarters) * Rotation::from_axis_angle(Vector::X, std::f64::consts::FRAC_PI_2))
}

fn turned(quarters: u32) -> Rotation {
    Rotation::from_axis_angle(Vector::Z, f64::from(quarters % 4) * std::f64::consts::FRAC_PI_2)
}
