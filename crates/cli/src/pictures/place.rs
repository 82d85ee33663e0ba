//! Where a picture lies on a piece.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::{Affine, Rect};

use super::{Fit, Picture};

/// Where the first or only copy of a picture lies, in the artwork's plane of a pattern.
#[must_use]
pub fn place(picture: &Picture, pattern: &Pattern, bleed: Mm) -> Rect {
    let aspect = picture.aspect();
    let face = face(pattern);
    let fitted = |room: Rect, fill: bool| {
        let by_width = (room.width() / aspect >= room.height()) == fill;
        let (width, height) =
            if by_width { (room.width(), room.width() / aspect) } else { (room.height() * aspect, room.height()) };
        Rect::from_center_size(room.center(), (width, height))
    };
    match picture.fit {
        Fit::Repeat(width) => Rect::new(0.0, 0.0, width.get(), width.get() / aspect),
        Fit::Cover => fitted(face.inflate(bleed.get(), bleed.get()), true),
        Fit::Whole(_) => {
            // A tile's sides are not part of what is looked at.
            let top = pattern
                .net
                .panels
                .first()
                .filter(|_| matches!(pattern.kind, PieceKind::TileWrap | PieceKind::TurnWrap));
            let motion = pattern.planes.first().map_or(Affine::IDENTITY, |plane| plane.motion);
            let top = top.map(|panel| motion.inverse().transform_rect_bbox(panel.region.bounds()));
            fitted(top.unwrap_or(face), false)
        }
    }
}

/// What a pattern's first plane shows: of a wall, the front.
fn face(pattern: &Pattern) -> Rect {
    let plane = pattern.planes.first();
    let window = plane.and_then(|plane| Contour::rectangle(plane.window)).map(Region::from);
    let shown = match window {
        Some(window) => region::intersection(&pattern.face, &[window]),
        None => pattern.face.clone(),
    };
    let bounds = shown.iter().map(Region::bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
    plane.map_or(bounds, |plane| plane.motion.inverse().transform_rect_bbox(bounds))
}
