//! A floor of single tiles with a wall on every edge, a post on every vertex, a biscuit in every seam.

use flatwright_folding::build::{Build, Corner, Placed, Run, Seam};
use flatwright_folding::place::Lattice;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;

/// `across` by `along` cells.
pub fn floor(across: u32, along: u32, pockets: bool) -> Build {
    let mut build = Build::default();
    let place = |x: u32, y: u32| Lattice { x: f64::from(x), y: f64::from(y) };
    let is_floor = |x: i64, y: i64| (0..i64::from(across)).contains(&x) && (0..i64::from(along)).contains(&y);
    for (x, y) in grid(across, along) {
        let tile = Tile::plain(1, 1, Reliefs::Corners);
        build.tiles.push(Placed::new(format!("tile {x} {y}"), tile, place(x, y)));
    }
    for (x, y) in grid(across + 1, along + 1) {
        let at = place(x, y);
        // Faces north, west, south, east; quadrants north-east, north-west, south-west, south-east.
        let arms = [y < along, x > 0, y > 0, x < across];
        let (i, j) = (i64::from(x), i64::from(y));
        let feet = [is_floor(i, j), is_floor(i - 1, j), is_floor(i - 1, j - 1), is_floor(i, j - 1)];
        let post =
            Post { arms: Arms::from_bits(bits(arms)), stand: Stand::Feet(Feet::from_bits(bits(feet))), under: false };
        build.posts.push(Placed::new(format!("post {x} {y}"), post, at));
        for north in [false, true] {
            if (north && y < along) || (!north && x < across) {
                let run = Run { wall: Wall { span: 1.0, opening: None }, north };
                build.walls.push(Placed::new(format!("wall {x} {y} {north}"), run, at));
            }
            let seam = if north { x > 0 && x < across && y < along } else { y > 0 && y < along && x < across };
            if seam {
                build.biscuits.push(Placed::new(format!("biscuit {x} {y} {north}"), Seam { north }, at));
            }
        }
        for quadrant in (0..4).filter(|q| pockets && feet[*q as usize]) {
            build.pockets.push(Placed::new(format!("pocket {x} {y} {quadrant}"), Corner { quadrant }, at));
        }
    }
    build
}

/// Row by row.
fn grid(across: u32, along: u32) -> impl Iterator<Item = (u32, u32)> {
    (0..along).flat_map(move |y| (0..across).map(move |x| (x, y)))
}

fn bits(members: [bool; 4]) -> u8 {
    members.iter().enumerate().fold(0, |bits, (i, has)| bits | u8::from(*has) << i)
}
