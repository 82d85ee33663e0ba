//! Tiles of the list of pieces, with the opening that they may have, to those of the geometry.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::grating::Grating;
use flatwright_geometry::pieces::tile::{Tile, core};
use flatwright_geometry::pieces::well::{PER_MODULE, Well};
use flatwright_geometry::units::Mm;

use super::inner::tile_of;
use crate::problem::{Problem, Spanned};
use crate::set_file::{Cells, GratingEntry, Length, Reliefs, Span, Spans, WellEntry};

/// What sizes of openings are given in.
const SQUARES: &str = "thirds of a module, the squares of the grid";
/// Bars of a grating and least gaps between them that says nothing of them, mm.
const BARS: (f64, f64) = (5.0, 6.0);

/// A tile of an entry; `None` where its opening lies on no grid.
pub(super) fn tile_with(
    size: Cells,
    reliefs: Option<Reliefs>,
    opening: Option<&Spanned<WellEntry>>,
    (p, name): (&Parameters, &str),
    problems: &mut Vec<Problem>,
) -> Option<Tile> {
    let tile = tile_of(size, reliefs);
    let Some(Spanned { value: entry, at: here }) = opening else { return Some(tile) };
    let size = on_grid("size", &entry.size, 3, SQUARES, problems);
    let at = match &entry.at {
        Some(at) => Some(on_grid("place", at, PER_MODULE, "sixths of a module, half squares of the grid", problems)?),
        None => None,
    };
    let size = size?;
    let well = at.map_or_else(|| Well::in_the_middle(tile, size), |at| Well { at, size });
    let tile = Tile { opening: Some(well), ..tile };
    // Told once, not for each part of the tile.
    if let Err(error) = core(p, tile) {
        let mut start = here.clone();
        start.end = start.start + 1;
        let message = format!("{name} cannot be built: {error}");
        problems.push(Problem::new(message).at(&start, "this opening").help(error.help()));
        return None;
    }
    Some(tile)
}

/// A grating of an entry; `None` where its opening lies on no grid.
pub(super) fn grating_of(entry: &GratingEntry, problems: &mut Vec<Problem>) -> Option<Grating> {
    let (x, y) = on_grid("size", &entry.size, 3, SQUARES, problems)?;
    let length = |length: Option<Length>, usual| length.map_or(Mm::new(usual), |length| length.0);
    let squares = |parts| parts / (PER_MODULE / 3);
    Some(Grating {
        size: (squares(x), squares(y)),
        bar: length(entry.bar, BARS.0),
        gap: length(entry.gap, BARS.1),
        crossed: entry.crossed.is_some_and(|crossed| crossed.0),
    })
}

/// Both numbers in parts of a module as openings have them, where each is a whole number of the wanted ones.
fn on_grid(
    what: &str,
    spans: &Spanned<Spans>,
    wanted: u32,
    words: &str,
    problems: &mut Vec<Problem>,
) -> Option<(u32, u32)> {
    let parts = |span: Span| {
        let parts = span.parts * wanted;
        parts.is_multiple_of(span.per_module).then(|| parts / span.per_module * (PER_MODULE / wanted))
    };
    let Spans(x, y) = spans.value;
    let both = parts(x).zip(parts(y));
    if both.is_none() {
        let message = format!("the {what} of an opening is a whole number of {words}");
        let help = format!("write modules in quotes, such as \"1/{wanted}\" or \"2/{wanted}\", or whole ones");
        problems.push(Problem::new(message).at(&spans.at, "here").help(help));
    }
    both
}
