//! The backs of sheets: names of pieces, each behind its piece.

use flatwright_geometry::units::Mm;
use flatwright_nesting::PackedSheet;
use kurbo::{Affine, Rect};

use super::unit::Group;
use super::{Flip, label};
use crate::furniture::marks::{Face, fitted, text};
use crate::furniture::style;
use crate::page::{Align, Mark};

impl Flip {
    /// From a sheet's front to its back, each as it is looked at: turned over about an upright edge,
    /// what was at the left is at the right; about a lying one, what was at the top is at the foot.
    #[must_use]
    pub fn to_back(self, (width, height): (Mm, Mm)) -> Affine {
        let upright_is_long = height >= width;
        if upright_is_long == (self == Self::LongEdge) {
            Affine::new([-1.0, 0.0, 0.0, 1.0, width.get(), 0.0])
        } else {
            Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height.get()])
        }
    }
}

/// The names behind a sheet's pieces, and which page it is the back of: that stands behind `header`,
/// where no piece lies.
pub(super) fn marks(group: &Group, sheet: &PackedSheet, to_back: Affine, header: Rect, front: usize) -> Vec<Mark> {
    let words = format!("Reverse of page {front}: names of the pieces, seen from behind");
    let room = to_back.transform_rect_bbox(header);
    let (words, face) = fitted(&words, room.width(), Face::muted(style::SUBTITLE), style::LEAST);
    let mut marks = vec![text(room.center() - (0.0, 0.3 * face.size.get()), words, face, Align::Middle)];
    marks.extend(sheet.placements.iter().filter_map(|placement| {
        let unit = &group.units[placement.item];
        let label = label::behind(&unit.label, &unit.flat)?;
        Some(label::on_back(&label, to_back * placement.motion(), placement.quarter_turns))
    }));
    marks
}
