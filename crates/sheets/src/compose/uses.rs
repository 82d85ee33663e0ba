//! What the largest pieces need of their sheets, for the proof's page rule.

use flatwright_folding::rules::PageUse;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::region::Region;
use flatwright_geometry::units::Mm;

use super::unit;
use super::{Part, Settings};

/// For each stock the piece that is tightest on its sheet, bleed and kerf included, beside the
/// free area of the roomier orientation. Empty for a stock whose sheet is too small to be used at
/// all: [`super::compose`] says so.
#[must_use]
pub fn page_uses(parts: &[Part], settings: &Settings) -> Vec<PageUse> {
    [Stock::Paper, Stock::Card, Stock::Board].into_iter().filter_map(|stock| tightest(stock, parts, settings)).collect()
}

fn tightest(stock: Stock, parts: &[Part], settings: &Settings) -> Option<PageUse> {
    let group = unit::empty_group(stock, parts, settings).ok()?;
    let roomiest = group.choices.iter().max_by(|a, b| a.frame.free.area().total_cmp(&b.frame.free.area()))?;
    let free = roomiest.frame.free.size();
    let kerf = settings.kerf(stock);
    let needs = |part: &Part| {
        let footprint = part.pattern.footprint(kerf, settings.bleed, part.face.prints());
        footprint.iter().map(Region::bounds).reduce(|a, b| a.union(b)).map(|bounds| bounds.size())
    };
    // How much of the sheet is used, long side beside long side and short beside short.
    let share = |size: &kurbo::Size| (size.max_side() / free.max_side()).max(size.min_side() / free.min_side());
    let wanted = parts.iter().filter(|part| part.pattern.stock == stock && part.copies > 0);
    let sizes = wanted.filter_map(|part| Some((part, needs(part)?)));
    let (part, size) = sizes.max_by(|a, b| share(&a.1).total_cmp(&share(&b.1)))?;
    Some(PageUse {
        what: format!("{} on {}", part.id, roomiest.offer.paper.name),
        needs: (Mm::new(size.width), Mm::new(size.height)),
        free: (Mm::new(free.width), Mm::new(free.height)),
        overlap: settings.split_overlap.filter(|_| stock != Stock::Board),
    })
}
