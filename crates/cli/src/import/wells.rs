//! Tiles of the list of pieces, with the opening that they may have, to those of the geometry.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::tile::{Tile, core};
use flatwright_geometry::pieces::well::{PER_MODULE, Well};

use super::inner::tile_of;
use crate::problem::{Problem, Spanned};
use crate::set_file::{Cells, Reliefs, Span, Spans, WellEntry};

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
    let size = on_grid("size", &entry.size, 3, "thirds of a module, the squares of the grid", problems);
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
