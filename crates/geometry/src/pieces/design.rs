//! A wall's design as drawn for one body: what it cuts, the leaf it leaves, the niche behind it.
//!
//! Wall coordinates: x along the body from its left end, y up from the floor.

use kurbo::{Affine, Point, Rect};

use super::niche::Niche;
use super::opening::{Cut, LEAST_EDGE, Leaf, require};
use super::{PieceError, mm};
use crate::contour::Contour;
use crate::parameters::{Parameters, WallBuild};
use crate::region::{self, Region};
use crate::tolerance;

/// What a design is on a drawing of a floor plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Mark {
    /// A wall like any other.
    #[default]
    Plain,
    /// A doorway.
    Door,
    /// A passage.
    Arch,
    /// A window.
    Window,
    /// Bars.
    Bars,
    /// A wall to look over.
    Low,
}

/// A design, drawn for a body of one length.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// The name that sheets and lists print.
    pub name: String,
    /// What it is on a drawing of a floor plan.
    pub mark: Mark,
    /// The body's length that it was drawn for, mm; on another one it stays in the middle.
    pub length: f64,
    /// What is cut through front and back. One that begins at the floor goes on below it.
    pub cuts: Vec<Region>,
    /// A lower top edge between two full-height shoulders, from left to right; empty where there
    /// is none.
    pub top: Vec<Point>,
    /// A leaf that stays in one of the cuts.
    pub leaf: Option<Leaf>,
    /// An opening with a box behind it.
    pub niche: Option<Niche>,
}

/// How much lower than a full wall a lower top edge is at least, mm.
const LEAST_DROP: f64 = 1.0;
/// Least length of a lower top edge, mm.
const LEAST_TOP: f64 = 5.0;
/// Least width and height of all that is cut, mm.
const LEAST_CUT: f64 = 1.0;

impl Design {
    /// A shoulder that carries a tab: from the body's end to a lower top edge, mm.
    #[must_use]
    pub fn shoulder(p: &Parameters) -> f64 {
        LEAST_EDGE + mm(p.hook_gap())
    }

    /// Its contours in a body of `length`, checked against the material that must stay.
    pub(super) fn cut(&self, p: &Parameters, length: f64) -> Result<Cut, PieceError> {
        let shift = Affine::translate(((length - self.length) / 2.0, 0.0));
        let stays = length == self.length;
        let moved = |region: &Region| if stays { region.clone() } else { region.moved(shift) };
        let rect = |rect: Rect| if stays { rect } else { shift.transform_rect_bbox(rect) };
        let niche = self.niche.map(|niche| Niche { area: rect(niche.area), ..niche });
        let mut holes: Vec<Region> = self.cuts.iter().map(moved).collect();
        holes.extend(niche.and_then(|niche| Contour::rectangle(niche.area)).map(Region::from));
        let holes = region::union(&holes);
        let top: Vec<Point> = self.top.iter().map(|point| if stays { *point } else { shift * *point }).collect();

        let roof = self.roof(p, length, &top)?;
        self.room(p, length, roof, &holes)?;
        if let Some(niche) = &niche {
            niche.check(p, &self.name)?;
        }
        let leaf = self.leaf.map(|leaf| Leaf { area: rect(leaf.area), ..leaf });
        if let Some(leaf) = &leaf {
            self.doorway(leaf, &holes)?;
        }
        let lowered = lowered(p, &top)?;
        Ok(Cut { through: region::union(&[holes, lowered].concat()), leaf, niche })
    }

    /// The lowest height of the top edge.
    fn roof(&self, p: &Parameters, length: f64, top: &[Point]) -> Result<f64, PieceError> {
        let wall = mm(p.wall_height);
        let (Some(first), Some(last)) = (top.first(), top.last()) else { return Ok(wall) };
        let name = &self.name;
        let shoulder = Self::shoulder(p);
        let lowest = top.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
        let highest = top.iter().map(|point| point.y).fold(0.0, f64::max);
        require(format!("the {name} wall keeps a strip along the floor"), LEAST_EDGE, lowest)?;
        require(format!("the {name} wall is lower than a full one"), LEAST_DROP, wall - highest)?;
        require(
            format!("the {name} wall's body holds two shoulders"),
            2.0 * shoulder + LEAST_TOP,
            2.0 * shoulder + last.x - first.x,
        )?;
        require(
            format!("the {name} wall keeps both shoulders that carry its tabs"),
            shoulder,
            first.x.min(length - last.x),
        )?;
        if top.windows(2).any(|pair| pair[1].x < pair[0].x - tolerance::SNAP) {
            return Err(PieceError::NoRoom {
                what: format!("the {name} wall's top edge runs from left to right"),
                found: "it turns back".into(),
                help: "let each of its points stand to the right of the one before".into(),
            });
        }
        Ok(lowest)
    }

    /// Whether enough stays beside, above, below and between the holes.
    fn room(&self, p: &Parameters, length: f64, roof: f64, holes: &[Region]) -> Result<(), PieceError> {
        let Some(all) = holes.iter().map(Region::bounds).reduce(|a, b| a.union(b)) else { return Ok(()) };
        let name = &self.name;
        require(format!("the {name} has a width"), LEAST_CUT, all.width())?;
        require(format!("the {name} has a height"), LEAST_CUT, all.y1 - all.y0.max(0.0))?;
        require(
            format!("the wall keeps material on both sides of its {name}"),
            LEAST_EDGE,
            all.x0.min(length - all.x1),
        )?;
        require(format!("the wall keeps material above its {name}"), LEAST_EDGE, roof - all.y1)?;
        // What begins at the floor has no sill.
        let sills = holes.iter().map(|hole| hole.bounds().y0).filter(|y| *y > tolerance::FIT);
        let sill = sills.fold(f64::INFINITY, f64::min);
        require(format!("the wall keeps a sill below its {name}"), LEAST_EDGE, sill)?;
        let tool = match p.walls {
            WallBuild::Card => mm(p.tool_gap_card),
            WallBuild::Board => mm(p.tool_gap_board),
        };
        let narrowest = holes.iter().map(Region::bounds).map(|b| b.width().min(b.height()));
        let narrowest = narrowest.fold(f64::INFINITY, f64::min);
        require(format!("the cuts of the {name} are as wide as the tool can make them"), tool, narrowest)?;
        let nearest = nearest(holes, tool);
        require(format!("what stays between the cuts of the {name} is as wide as the tool can leave it"), tool, nearest)
    }

    /// A leaf fills its doorway: it is cut free at the top and on one side only.
    fn doorway(&self, leaf: &Leaf, holes: &[Region]) -> Result<(), PieceError> {
        let area = Contour::rectangle(leaf.area).map(Region::from);
        let fills = |hole: &Region, area: &Region| {
            let above = Rect { y0: 0.0, ..hole.bounds() };
            let corners = [above.x0 - leaf.area.x0, above.x1 - leaf.area.x1, above.y1 - leaf.area.y1, leaf.area.y0];
            let left = region::difference(std::slice::from_ref(area), std::slice::from_ref(hole));
            corners.iter().all(|by| by.abs() < tolerance::FIT) && left.is_empty()
        };
        if area.as_ref().is_some_and(|area| holes.iter().any(|hole| fills(hole, area))) {
            return Ok(());
        }
        Err(PieceError::NoRoom {
            what: format!("the leaf of the {} fills one of its cuts, from the floor up", self.name),
            found: "it does not".into(),
            help: "cut a box from below the floor to the leaf's height, as wide as the leaf".into(),
        })
    }
}

/// What a lower top edge takes away.
fn lowered(p: &Parameters, top: &[Point]) -> Result<Vec<Region>, PieceError> {
    let (Some(first), Some(last)) = (top.first(), top.last()) else { return Ok(Vec::new()) };
    let above = mm(p.wall_height) + 10.0;
    let up = [Point::new(last.x, above), Point::new(first.x, above)];
    let contour = Contour::new(top.iter().copied().chain(up)).map_err(|error| PieceError::NoRoom {
        what: "a lower top edge is a line from left to right".into(),
        found: error.to_string(),
        help: "let each of its points stand to the right of the one before".into(),
    })?;
    Ok(vec![contour.into()])
}

/// The least distance between two of the holes; those that are farther apart than `within` are
/// not measured exactly.
fn nearest(holes: &[Region], within: f64) -> f64 {
    let mut least = f64::INFINITY;
    for (i, a) in holes.iter().enumerate() {
        for b in &holes[i + 1..] {
            let (near, far) = (a.bounds().inflate(within, within), b.bounds());
            if near.overlaps(far) {
                least = least.min(distance(&a.outer, &b.outer)).min(distance(&b.outer, &a.outer));
            }
        }
    }
    least
}

/// From the corners of one contour to the sides of another: of two that are apart, one pair of
/// nearest points has a corner in it.
fn distance(corners: &Contour, sides: &Contour) -> f64 {
    let to_side = |point: Point, (from, to): (Point, Point)| {
        let along = to - from;
        let share = ((point - from).dot(along) / along.hypot2()).clamp(0.0, 1.0);
        point.distance(from + along * share)
    };
    let all = corners.points().iter().flat_map(|point| sides.sides().map(|side| to_side(*point, side)));
    all.fold(f64::INFINITY, f64::min)
}
