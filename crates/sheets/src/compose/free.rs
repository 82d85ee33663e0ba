//! What the last sheet of a stock leaves free: a note says how large it is, so that it can be kept
//! and used.

use flatwright_geometry::units::{Mm, plain};
use flatwright_nesting::{Cut, Job, Layout, largest_free};
use kurbo::{Point, Rect};

use crate::furniture::marks::{Face, text};
use crate::furniture::style;
use crate::page::{Align, Mark};

/// Smaller offcuts are not worth keeping: least side, mm.
const LEAST: f64 = 25.0;

/// The largest free rectangle of a layout's last sheet, where it is worth keeping. Where the sheet is
/// taken apart by cuts, it is the largest block that they leave empty, half a gap from its edges.
pub(super) fn of_last(job: &Job, layout: &Layout, cuts: &[Vec<Cut>]) -> Option<Rect> {
    let sheet = layout.sheets.last()?;
    let rect = match cuts.last() {
        None => largest_free(job, sheet),
        Some(cuts) => {
            let half = job.gap().get() / 2.0;
            let mut blocks = vec![job.sheets()[sheet.kind].free.inflate(half, half)];
            for cut in cuts {
                blocks.retain(|block| *block != cut.block);
                blocks.extend(cut.halves());
            }
            let middles: Vec<Point> = (sheet.placements.iter())
                .map(|placed| placed.motion() * job.items()[placed.item].outline.bounds().center())
                .collect();
            let empty = blocks.into_iter().filter(|block| !middles.iter().any(|middle| block.contains(*middle)));
            empty.max_by(|a, b| a.area().total_cmp(&b.area()))?.inflate(-half, -half)
        }
    };
    (rect.width() >= LEAST && rect.height() >= LEAST).then_some(rect)
}

/// The note, in the middle of the rectangle.
pub(super) fn note(rect: Rect) -> Vec<Mark> {
    let face = Face::muted(style::SMALL);
    // Down to whole millimetres: what is told is there.
    let words = format!("free: {} x {} mm", plain(rect.width().floor(), 0), plain(rect.height().floor(), 0));
    let face = if face.width(&words) > rect.width() - 2.0 { face.sized(Mm::new(1.8)) } else { face };
    let at = rect.center() - (0.0, 0.36 * face.size.get());
    vec![text(at, words, face, Align::Middle)]
}
