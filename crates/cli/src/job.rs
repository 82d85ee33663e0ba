//! What the composer is given of a set: its parts and how to lay them out.

use flatwright_geometry::units::Mm;
use flatwright_sheets::compose::{self, LayoutMode, Offer, Part, Settings, SheetSettings};

use crate::calibration::Printer;
use crate::import::{Piece, Set, SheetChoice, Size};
use crate::{faces, planned, steps};

/// Overlap of the parts of a piece that is split.
const SPLIT_OVERLAP: Mm = Mm::new(10.0);

/// What the packing may be told.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Seed of the choices that are left to chance.
    pub seed: u64,
    /// Step budget; the usual one where none is given.
    pub steps: Option<u32>,
}

/// One kind of piece, for all kits that share sheets.
pub(crate) fn part(set: &Set, piece: &Piece) -> Part {
    let mut pattern = piece.pattern.clone();
    if let Some(label) = &piece.label {
        let comma = if pattern.detail.is_empty() { "" } else { ", " };
        let detail = format!("{}{comma}{label}", pattern.detail);
        pattern = pattern.renamed(detail);
    }
    Part {
        id: piece.id.clone(),
        pattern,
        copies: piece.count.saturating_mul(set.kits().shares()),
        face: faces::face(set, piece),
        label_on_face: piece.label_on_face,
        grain: piece.grain,
    }
}

/// How they are laid out. Artwork and the cover's picture are not among it: they take time.
pub(crate) fn settings(set: &Set, effort: Effort) -> Settings {
    let sheet = |choice: &SheetChoice| SheetSettings {
        papers: offers(&choice.sizes),
        orientation: choice.orientation,
        material: choice.material.clone(),
        kerf: choice.kerf,
        grain: choice.grain,
    };
    let sheets = &set.sheets;
    Settings {
        paper: sheet(&sheets.paper),
        card: sheet(&sheets.card),
        board_as: match sheets.board.direct {
            true => compose::BoardAs::Sheet(offers(&sheets.board.sizes)),
            false => compose::BoardAs::Template,
        },
        board_material: sheets.board.material.clone(),
        board_kerf: sheets.board.kerf,
        margin: sheets.margin,
        gap: sheets.gap,
        bleed: set.parameters.bleed,
        kits: set.kits(),
        registration: set.artwork.registration,
        reverse: set.artwork.reverse,
        split_overlap: sheets.split_large.then_some(SPLIT_OVERLAP),
        layout: set.layout,
        steps: if set.layout == LayoutMode::ByStep { steps::steps(set) } else { Vec::new() },
        bags: steps::bags(set),
        stock_notes: set.notes.clone(),
        build_steps: set.plan.as_ref().map(planned::guide::short_steps).unwrap_or_default(),
        correction: set.printer.as_ref().map(Printer::correction),
        seed: effort.seed,
        effort: effort.steps.unwrap_or(flatwright_nesting::Job::DEFAULT_EFFORT),
        ..Settings::new(&set.name, sheets.paper.size.clone())
    }
}

/// Sizes with their prices. Where none is given, the area counts: a sheet of twice the first one's
/// area costs twice as much.
fn offers(sizes: &[Size]) -> Vec<Offer> {
    let first = sizes.first().map_or(1.0, |size| size.paper.area());
    let offer = |size: &Size| {
        let price = size.price.unwrap_or_else(|| size.paper.area() / first);
        Offer { paper: size.paper.clone(), price }
    };
    sizes.iter().map(offer).collect()
}
