//! Areas with holes, and the boolean operations and offsets on them.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use kurbo::{Affine, BezPath, Point, Rect};
use serde::Serialize;

use crate::contour::Contour;
use crate::tolerance;
use crate::units::Mm;

/// One connected area: an outer contour less its holes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Region {
    /// The outer contour.
    pub outer: Contour,
    /// Holes, inside the outer contour and apart from each other.
    pub holes: Vec<Contour>,
}

impl From<Contour> for Region {
    fn from(outer: Contour) -> Self {
        Self { outer, holes: Vec::new() }
    }
}

impl Region {
    /// The area of the outer contour less that of the holes, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.outer.area() - self.holes.iter().map(Contour::area).sum::<f64>()
    }

    /// The smallest axis-parallel rectangle around it.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        self.outer.bounds()
    }

    /// The outer contour, then the holes.
    pub fn contours(&self) -> impl Iterator<Item = &Contour> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Outer contour and holes as one path, for filling by the even-odd rule.
    #[must_use]
    pub fn path(&self) -> BezPath {
        self.contours().flat_map(|c| c.path().into_iter().collect::<Vec<_>>()).collect()
    }

    /// The region under a motion or a reflection.
    #[must_use]
    pub fn moved(&self, motion: Affine) -> Self {
        Self { outer: self.outer.moved(motion), holes: self.holes.iter().map(|h| h.moved(motion)).collect() }
    }

    /// Whether `point` is inside the outer contour and in no hole.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        self.outer.contains(point) && !self.holes.iter().any(|hole| hole.contains(point))
    }
}

/// All that any of `regions` covers.
#[must_use]
pub fn union(regions: &[Region]) -> Vec<Region> {
    combine(regions, &[], OverlayRule::Subject)
}

/// What `from` covers and `cutters` do not.
#[must_use]
pub fn difference(from: &[Region], cutters: &[Region]) -> Vec<Region> {
    combine(from, cutters, OverlayRule::Difference)
}

/// What both cover.
#[must_use]
pub fn intersection(a: &[Region], b: &[Region]) -> Vec<Region> {
    combine(a, b, OverlayRule::Intersect)
}

/// The regions with their outer contours moved outward by `distance` and their holes inward
/// (the other way for a negative distance), corners kept sharp.
///
/// Sharp corners keep every side parallel to where it was, which is what a kerf needs: the tool
/// runs along the offset contour, and the edge it leaves is the nominal one.
#[must_use]
pub fn offset(regions: &[Region], distance: Mm) -> Vec<Region> {
    if distance.get().abs() < tolerance::SNAP {
        return regions.to_vec();
    }
    // A mitre as sharp as the tool allows: beyond it (a corner under about 6 degrees) it is cut off.
    let style = OutlineStyle::new(distance.get()).line_join(LineJoin::Miter(0.1));
    from_shapes(shapes(regions).outline_as::<i64>(&style))
}

type Shapes = Vec<Vec<Vec<[f64; 2]>>>;

fn combine(subject: &[Region], clip: &[Region], rule: OverlayRule) -> Vec<Region> {
    from_shapes(shapes(subject).overlay_as::<i64>(&shapes(clip), rule, FillRule::NonZero))
}

fn shapes(regions: &[Region]) -> Shapes {
    let points = |contour: &Contour| contour.points().iter().map(|p| [p.x, p.y]).collect::<Vec<_>>();
    regions
        .iter()
        .map(|region| {
            let holes = region.holes.iter().map(|hole| {
                let mut hole = points(hole);
                hole.reverse();
                hole
            });
            std::iter::once(points(&region.outer)).chain(holes).collect()
        })
        .collect()
}

/// Back from the library's lists, on the snapping grid, in a fixed order.
fn from_shapes(shapes: Shapes) -> Vec<Region> {
    let contour = |ring: Vec<[f64; 2]>| Contour::normal(ring.into_iter().map(|[x, y]| Point::new(x, y)).collect());
    let mut regions: Vec<Region> = shapes
        .into_iter()
        .filter_map(|shape| {
            let mut rings = shape.into_iter();
            let outer = contour(rings.next()?)?;
            let mut holes: Vec<Contour> = rings.filter_map(contour).collect();
            holes.sort_by(by_first_corner);
            Some(Region { outer, holes })
        })
        .collect();
    regions.sort_by(|a, b| by_first_corner(&a.outer, &b.outer));
    regions
}

fn by_first_corner(a: &Contour, b: &Contour) -> std::cmp::Ordering {
    let (a, b) = (a.points()[0], b.points()[0]);
    a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x))
}
