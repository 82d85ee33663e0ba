//! A piece as a drawing: everything of a pattern that is drawn, none of how it folds.
//!
//! It exists beside `Pattern` because half of a split piece is a drawing, but no net.

use flatwright_geometry::pattern::{Fold, LabelSpot, Pattern, Plane};
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use kurbo::{BezPath, Line, Point, Rect};

use super::Part;
use crate::page::Mark;

/// A drawing at nominal size, pattern coordinates.
#[derive(Clone, Debug)]
pub(super) struct Flat {
    /// Index of the part.
    pub part: usize,
    /// As printed: the part's identifier, with a letter where it is a half.
    pub id: String,
    /// Kind and detail.
    pub name: Vec<String>,
    pub material: Region,
    pub slits: Vec<BezPath>,
    pub folds: Vec<(Fold, Line)>,
    pub scores: Vec<Line>,
    pub perforations: Vec<Line>,
    pub glue: Vec<Region>,
    pub face: Vec<Region>,
    /// How artwork lies on the face.
    pub planes: Vec<Plane>,
    pub spots: Vec<LabelSpot>,
    /// Marks that show how halves meet, and the areas that they need.
    pub joints: Vec<Mark>,
    pub joint_areas: Vec<Rect>,
    /// The joints' letters and the middles of them; set upright on the page like the label.
    pub joint_letters: Vec<(String, Point)>,
}

/// Lines that are scored, and folds that are made by scoring alone.
fn scores(pattern: &Pattern) -> Vec<Line> {
    let shallow = pattern.net.hinges.iter().filter(|hinge| pattern.scores(hinge));
    pattern.scores.iter().copied().chain(shallow.map(|hinge| hinge.line)).collect()
}

impl Flat {
    pub fn new(index: usize, part: &Part) -> Self {
        let pattern = &part.pattern;
        let mut name = vec![pattern.kind.name().to_owned()];
        if !pattern.detail.trim().is_empty() {
            name.push(pattern.detail.trim().to_owned());
        }
        Self {
            part: index,
            id: part.id.clone(),
            name,
            material: pattern.material.clone(),
            slits: pattern.slits.clone(),
            folds: pattern.net.hinges.iter().filter(|h| !pattern.scores(h)).map(|h| (h.fold, h.line)).collect(),
            scores: scores(pattern),
            perforations: pattern.perforations.clone(),
            glue: pattern.glue.clone(),
            planes: pattern.planes.clone(),
            // Where nothing is printed, the face is as good as any other place.
            face: if part.face.prints() { pattern.face.clone() } else { Vec::new() },
            spots: pattern.label_spots.clone(),
            joints: Vec::new(),
            joint_areas: Vec::new(),
            joint_letters: Vec::new(),
        }
    }

    /// Where the artwork is printed.
    pub fn printed(&self, bleed: Mm) -> Vec<Region> {
        region::offset(&self.face, bleed)
    }

    /// What the tool runs along.
    pub fn tool_contours(&self, kerf: Mm) -> Vec<Region> {
        region::offset(std::slice::from_ref(&self.material), kerf / 2.0)
    }

    /// All that must stay clear of other pieces, in one or more areas.
    pub fn footprint(&self, kerf: Mm, bleed: Mm) -> Vec<Region> {
        let mut areas = region::offset(std::slice::from_ref(&self.material), kerf);
        areas.extend(self.printed(bleed));
        areas.extend(self.joint_areas.iter().filter_map(|rect| area(*rect)));
        region::union(&areas)
    }
}

/// A rectangle as a region; `None` where it has no area.
pub(super) fn area(rect: Rect) -> Option<Region> {
    flatwright_geometry::contour::Contour::rectangle(rect).map(Region::from)
}
