//! The page: what the largest piece needs, and what the sheet leaves free.

use flatwright_geometry::units::Mm;

use super::Case;
use super::finding::Finding;

/// The largest pattern of one kind of sheet, as the caller lays it out.
#[derive(Clone, Debug, PartialEq)]
pub struct PageUse {
    /// Which pattern on which sheet, for people.
    pub what: String,
    /// Width and height of the pattern, bleed included.
    pub needs: (Mm, Mm),
    /// Width and height of the sheet's free area.
    pub free: (Mm, Mm),
    /// The overlap with which it is split where it is too large; `None` where it cannot be.
    pub overlap: Option<Mm>,
}

/// A pattern that is larger than what the printer can print cannot be made in one part.
pub(super) fn page(case: &Case<'_>) -> Vec<Finding> {
    case.pages.iter().map(one).collect()
}

fn one(page: &PageUse) -> Finding {
    let rule = "page";
    let (w, h) = (page.needs.0.get(), page.needs.1.get());
    let (width, height) = (page.free.0.get(), page.free.1.get());
    // Upright and turned, the side that is tighter of each; then the better of the two.
    let tighter = |a: (f64, f64), b: (f64, f64)| if a.1 - a.0 < b.1 - b.0 { a } else { b };
    let (upright, turned) = (tighter((w, width), (h, height)), tighter((w, height), (h, width)));
    let (needs, free) = if turned.1 - turned.0 > upright.1 - upright.0 { turned } else { upright };
    match page.overlap {
        Some(overlap) if needs > free => {
            // Each part adds what is free less the overlap.
            let what = format!("{}, split: the overlap, and the free width that it must leave some of", page.what);
            Finding::below(rule, what, overlap.get(), width.min(height), 1.0)
        }
        _ => Finding::at_most(rule, format!("{}, bleed included", page.what), needs, free),
    }
}
