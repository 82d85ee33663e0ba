//! What is printed on the faces of a set's pieces.

use flatwright_artwork::{Colour, Ink};
use flatwright_geometry::pattern::PieceKind;
use flatwright_sheets::art::{Artwork, Face};

use crate::import::{Cover, Piece, Set};
use crate::set_file::Rgb;

/// The surfaces of a set, drawn as they are printed.
#[must_use]
pub fn artwork(set: &Set) -> Artwork {
    Artwork { swatches: set.artwork.swatches(set.parameters.module), images: Vec::new() }
}

/// What is printed on a piece's face; index of surfaces are those of [`artwork`].
#[must_use]
pub fn face(set: &Set, piece: &Piece) -> Face {
    let print = set.artwork.print;
    let ornament: Vec<_> = piece.ornament.iter().filter_map(|element| print.element(element)).collect();
    let Some(cover) = piece.face.filter(|_| print.ink != Ink::Blank) else {
        return Face { ornament, ..Face::default() };
    };
    let face = match cover {
        // In line art a flat colour is bare paper.
        Cover::Colour(Rgb(r, g, b)) => Face { tint: print.ground(Colour(r, g, b)), ..Face::default() },
        Cover::Surface(surface) => Face { surface: Some(surface), ..Face::default() },
    };
    let face = Face { ornament, ..face };
    let floor = piece.pattern.kind == PieceKind::TileWrap;
    let Some((grid, plane)) = set.artwork.grid.zip(piece.pattern.planes.first()).filter(|_| floor) else { return face };
    // The top alone: figures do not stand on a tile's sides.
    let top = piece.pattern.net.panels.first().map(|panel| panel.region.bounds()).unwrap_or_default();
    let over = plane.motion.inverse().transform_rect_bbox(top);
    let ground = set.artwork.from_afar(cover, set.parameters.module);
    Face { ornament: grid.elements(over, grid_colour(ground)), ..face }
}

/// A grid is seen, but seen last: a shade darker than the ground, never too dark for a black line
/// over it.
fn grid_colour(ground: Colour) -> Colour {
    let darker = ground.shaded(-0.3);
    if darker.contrast(Colour::BLACK) >= flatwright_sheets::art::LEAST_CONTRAST { darker } else { ground.shaded(0.3) }
}
