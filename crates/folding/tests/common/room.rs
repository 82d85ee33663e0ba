//! Brinewell's brine hall: an invented room with every kind of piece, of any size.

use flatwright_folding::place::{self, Body, Lattice, PlaceError};
use flatwright_folding::scene::{Rgb, Scene, Shown, cover};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

const FLAGS: [Rgb; 2] = [Rgb(0xCF, 0xC9, 0xB8), Rgb(0xBF, 0xC4, 0xBB)];
const WALL: Rgb = Rgb(0xE0, 0xCF, 0xAE);
const PIER: Rgb = Rgb(0x9D, 0xAE, 0xA8);
const CARD: Rgb = Rgb(0xF6, 0xF2, 0xE8);
const BOARD: Rgb = Rgb(0xEE, 0xE9, 0xDC);

/// The module by module tile that the hall is floored with.
pub const TILE: Tile = Tile::plain(1, 1, Reliefs::Corners);

/// A wall from a lattice point to the east, or to the north.
pub struct Side {
    pub at: (u32, u32),
    pub north: bool,
    pub opening: Option<Opening>,
}

/// The pieces of a hall.
pub struct Room {
    pub bodies: Vec<Body>,
}

/// Three modules by two, open to the south-east.
pub fn hall(p: &Parameters) -> Result<Room, PlaceError> {
    let mm = Mm::new;
    let door = Opening::Door { width: mm(22.0), height: mm(38.0), hinge: HingeSide::Left };
    let window = Opening::Window { width: mm(22.0), height: mm(20.0), sill: mm(18.0), arched: false };
    let arched = Opening::Window { width: mm(18.0), height: mm(26.0), sill: mm(14.0), arched: true };
    let bars = Opening::Bars { width: mm(26.0), height: mm(18.0), sill: mm(20.0), count: 4, bar: mm(2.0) };
    let arch = Opening::Arch { width: mm(34.0), height: mm(40.0) };
    let low = Opening::Low { height: mm(16.0) };
    let side = |x, y, north, opening| Side { at: (x, y), north, opening };
    let sides = [
        side(0, 2, false, Some(window)),
        side(1, 2, false, Some(door)),
        side(2, 2, false, Some(arched)),
        side(0, 0, true, None),
        side(0, 1, true, Some(bars)),
        side(2, 1, true, Some(arch)),
        side(0, 0, false, Some(low.clone())),
        side(2, 0, false, Some(low)),
    ];
    room(p, (3, 2), &sides, &[(1, 1)])
}

/// A floor of `columns` by `rows` tiles with walls on every other lattice edge.
pub fn maze(p: &Parameters, (columns, rows): (u32, u32)) -> Result<Room, PlaceError> {
    let arch = Opening::Arch { width: Mm::new(34.0), height: Mm::new(40.0) };
    let window = Opening::Window { width: Mm::new(22.0), height: Mm::new(20.0), sill: Mm::new(18.0), arched: false };
    let mut sides = Vec::new();
    for y in 0..=rows {
        for x in 0..=columns {
            let opening = [None, Some(arch.clone()), Some(window.clone())][((x + 2 * y) % 3) as usize].clone();
            if x < columns && (x + y) % 2 == 0 {
                sides.push(Side { at: (x, y), north: false, opening: opening.clone() });
            }
            if y < rows && (x + y) % 2 == 1 {
                sides.push(Side { at: (x, y), north: true, opening });
            }
        }
    }
    room(p, (columns, rows), &sides, &[])
}

/// A floor with the given walls and free columns: posts at the walls' ends, pockets for the posts'
/// feet, biscuits.
pub fn room(
    p: &Parameters,
    (columns, rows): (u32, u32),
    sides: &[Side],
    columns_at: &[(u32, u32)],
) -> Result<Room, PlaceError> {
    let at = |x: u32, y: u32| Lattice { x: f64::from(x), y: f64::from(y) };
    let cells = |columns: u32, rows: u32| (0..rows).flat_map(move |y| (0..columns).map(move |x| (x, y)));
    let mut bodies = Vec::new();
    for (x, y) in cells(columns, rows) {
        bodies.push(place::tile(p, format!("tile at ({x}, {y})"), TILE, at(x, y))?);
    }
    for (x, y) in cells(columns, rows) {
        if x > 0 {
            bodies.push(place::biscuit(p, format!("biscuit west of ({x}, {y})"), at(x, y), true)?);
        }
        if y > 0 {
            bodies.push(place::biscuit(p, format!("biscuit south of ({x}, {y})"), at(x, y), false)?);
        }
    }
    for (x, y) in cells(columns + 1, rows + 1) {
        let arms = Arms::from_bits(arms(sides, x, y));
        if arms == Arms::NONE && !columns_at.contains(&(x, y)) {
            continue;
        }
        let (west, south) = (x > 0, y > 0);
        let (east, north) = (x < columns, y < rows);
        let tiles = [north && east, north && west, south && west, south && east];
        let bits = (0..4).map(|i| u8::from(tiles[i]) << i).sum();
        let post = Post { arms, stand: Stand::Feet(Feet::from_bits(bits)), under: false };
        bodies.push(place::post(p, format!("post at ({x}, {y})"), post, at(x, y))?);
        for quadrant in (0..4).filter(|&i| tiles[i as usize]) {
            let name = format!("pocket {quadrant} at ({x}, {y})");
            bodies.push(place::pocket(p, name, at(x, y), quadrant)?);
        }
    }
    for side in sides {
        let (x, y) = side.at;
        let way = if side.north { "north" } else { "east" };
        let wall = Wall { span: 1.0, opening: side.opening.clone() };
        bodies.push(place::wall(p, format!("wall {way} of ({x}, {y})"), &wall, at(x, y), side.north)?);
    }
    Ok(Room { bodies })
}

/// Which faces of the post at a lattice point meet a wall: bit 0 north, 1 west, 2 south, 3 east.
fn arms(sides: &[Side], x: u32, y: u32) -> u8 {
    let bit = |side: &Side| match (side.north, side.at) {
        (true, from) if from == (x, y) => 1,
        (true, (fx, fy)) if (fx, fy + 1) == (x, y) => 4,
        (false, from) if from == (x, y) => 8,
        (false, (fx, fy)) if (fx + 1, fy) == (x, y) => 2,
        _ => 0,
    };
    sides.iter().map(bit).sum()
}

/// The hall in its colours.
pub fn scene<'a>(p: &Parameters, room: &'a Room) -> Result<Scene<'a>, PlaceError> {
    let cover = cover(p, TILE)?;
    let mut tiles = 0;
    let shown = room.bodies.iter().map(|body| match body.kind {
        PieceKind::TileCore => {
            // Chequered as long as rows are odd.
            tiles += 1;
            Shown { cover: cover.clone(), ..Shown::new(body, FLAGS[tiles % 2], BOARD) }
        }
        PieceKind::Post => Shown::new(body, PIER, CARD),
        PieceKind::CardWall | PieceKind::WallCore => Shown::new(body, WALL, CARD),
        PieceKind::CornerPocket => Shown::new(body, CARD, CARD),
        _ => Shown::new(body, BOARD, BOARD),
    });
    Ok(Scene { title: "Brinewell: the brine hall".into(), shown: shown.collect(), prints: Vec::new() })
}
