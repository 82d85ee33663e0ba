//! What is printed on the faces of a set's pieces.

use flatwright_artwork::{Colour, Ink};
use flatwright_geometry::pattern::PieceKind;
use flatwright_sheets::art::{Artwork, Face, Picture};

use crate::import::{Cover, Own, Piece, Set};
use crate::pictures::{self, Fit};
use crate::set_file::Rgb;

/// The surfaces and pictures of a set, as they are printed.
#[must_use]
pub fn artwork(set: &Set) -> Artwork {
    let images = set.artwork.pictures.iter().filter_map(|own| own.printed.as_ref());
    Artwork {
        swatches: set.artwork.swatches(set.parameters.module),
        images: images.map(|printed| printed.image.clone()).collect(),
    }
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
        Cover::Picture(index) => picture(set, piece, index),
    };
    let face = Face { ornament, ..face };
    let floor = matches!(piece.pattern.kind, PieceKind::TileWrap | PieceKind::TurnWrap);
    let Some((grid, plane)) = set.artwork.grid.zip(piece.pattern.planes.first()).filter(|_| floor) else { return face };
    // The top alone: figures do not stand on a tile's sides.
    let top = piece.pattern.net.panels.first().map(|panel| panel.region.bounds()).unwrap_or_default();
    let over = plane.motion.inverse().transform_rect_bbox(top);
    let ground = set.artwork.from_afar(cover, set.parameters.module);
    Face { ornament: grid.elements(over, grid_colour(ground)), ..face }
}

/// A picture's face; nothing where it is not printed.
fn picture(set: &Set, piece: &Piece, index: usize) -> Face {
    let printed = |own: &Own| own.printed.is_some();
    let Some(own) = set.artwork.pictures.get(index) else { return Face::default() };
    let Some(printing) = &own.printed else { return Face::default() };
    let picture = Picture {
        image: set.artwork.pictures[..index].iter().filter(|own| printed(own)).count(),
        place: pictures::place(&own.picture, &piece.pattern, set.parameters.bleed),
        repeated: matches!(own.picture.fit, Fit::Repeat(_)),
        turn: printing.turn,
        extremes: printing.extremes,
        ink: printing.ink,
    };
    let ground = match own.picture.fit {
        Fit::Whole(Some(ground)) => set.artwork.print.colour(ground),
        // Under every picture, so that no hairline of paper shows where two planes or copies meet.
        Fit::Whole(None) | Fit::Repeat(_) | Fit::Cover => printing.edge,
    };
    Face { tint: Some(ground), picture: Some(picture), ..Face::default() }
}

/// A grid is seen, but seen last: a shade darker than the ground, never too dark for a black line
/// over it.
fn grid_colour(ground: Colour) -> Colour {
    let darker = ground.shaded(-0.3);
    if darker.contrast(Colour::BLACK) >= flatwright_sheets::art::LEAST_CONTRAST { darker } else { ground.shaded(0.3) }
}
