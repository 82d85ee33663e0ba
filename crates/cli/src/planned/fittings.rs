//! The fittings of a plan: on its drawing and in parts.json.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pieces::stair::Flight;
use flatwright_geometry::region::Region;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::Spot;
use flatwright_planning::fittings::{FittingDesign, FittingPlace, Form};
use flatwright_sheets::plan_view::{FittingKind, FittingView};
use kurbo::{Affine, Point, Rect};
use schemars::JsonSchema;
use serde::Serialize;

use super::Planned;

/// What stands free on a floor, such as a prop.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct FittingRecord {
    /// Its pieces, each once.
    pub pieces: Vec<String>,
    /// What it is, such as "crate".
    pub name: String,
    /// Its letter in the drawing.
    pub letter: char,
    /// Column and row of the cell with its letter.
    pub cell: [usize; 2],
    /// The middle of what it covers: modules to the east and to the south of the level's north-west corner.
    pub at: [f64; 2],
    /// By how much it is turned, degrees, counterclockwise as seen from above. Of a stair: the way up (of a
    /// marker: down), 0 for the east.
    pub turned: f64,
    /// Width to the east, depth to the south and height of the room that it takes, mm.
    pub room: [f64; 3],
}

/// The records of a level.
pub(super) fn records(planned: &Planned, level: usize) -> Vec<FittingRecord> {
    let thousandth = |value: f64| (value * 1000.0).round() / 1000.0 + 0.0;
    let places = planned.levels[level].build.fittings.iter().enumerate();
    let record = |(index, place): (usize, &FittingPlace)| {
        let design = planned.plan.fittings.get(place.design)?;
        let turn = Affine::rotate(design.turn.to_radians());
        let covered = design.body.outline.iter().map(|region| region.moved(turn).bounds());
        let size = covered.reduce(|one, other| one.union(other)).unwrap_or_default();
        Some(FittingRecord {
            pieces: planned.ids_at(level, Spot::Fitting(index)),
            name: design.name.clone(),
            letter: design.letter,
            cell: [place.put.x, place.put.y],
            at: [thousandth(place.at.0), thousandth(place.at.1)],
            turned: thousandth(design.turn),
            room: [size.width(), size.height(), design.body.height.get()].map(thousandth),
        })
    };
    places.filter_map(record).collect()
}

/// What a level's drawing shows of them.
pub(super) fn views(planned: &Planned, level: usize, module: Mm) -> Vec<FittingView> {
    let places = planned.levels[level].build.fittings.iter().enumerate();
    let view = |(index, place): (usize, &FittingPlace)| {
        let design = planned.plan.fittings.get(place.design)?;
        let label = planned.ids_at(level, Spot::Fitting(index)).into_iter().next().unwrap_or_default();
        Some(drawn(design, place, module, label))
    };
    places.filter_map(view).collect()
}

fn drawn(design: &FittingDesign, place: &FittingPlace, module: Mm, label: String) -> FittingView {
    let covered = design.body.outline.iter().map(Region::bounds);
    let bounds = covered.reduce(|one, other| one.union(other)).unwrap_or_default();
    // From the fitting's millimetres to squares, the south downward.
    let motion = Affine::translate(place.at) * Affine::FLIP_Y * Affine::rotate(design.turn.to_radians());
    let there = |point: Point| {
        let Point { x, y } = motion * (point.to_vec2() / module.get()).to_point();
        (x, y)
    };
    let outline = |contour: &Contour| contour.points().iter().map(|point| there(*point)).collect();
    let line = |from: Point, to: Point| (there(from), there(to));
    let Rect { x0, y0, x1, y1 } = bounds;
    let middle = bounds.center().y;
    let treads = |steps: u32| {
        let at = move |step: u32| x0 + (x1 - x0) * f64::from(step) / f64::from(steps);
        (1..steps).map(move |step| (Point::new(at(step), y0), Point::new(at(step), y1)))
    };
    let arrow = |steps: u32| {
        let tread = (x1 - x0) / f64::from(steps);
        Some(line(Point::new(x0 + tread / 2.0, middle), Point::new(x1 - tread / 2.0, middle)))
    };
    let (kind, lines, arrow) = match &design.form {
        Form::Prop => (FittingKind::Prop, Vec::new(), None),
        Form::Pillar { .. } => (FittingKind::Pillar, Vec::new(), None),
        Form::FreeWall(_) => (FittingKind::FreeWall, vec![line(Point::new(x0, 0.0), Point::new(x1, 0.0))], None),
        Form::Flight(flight) => {
            let lines = treads(flight.steps).map(|(from, to)| line(from, to)).collect();
            (FittingKind::Flight, lines, arrow(flight.steps))
        }
        Form::Landing(_) => (FittingKind::Landing, Vec::new(), None),
        Form::Marker(marker) => {
            let steps = Flight::usual_steps(marker.run);
            (FittingKind::Marker, treads(steps).map(|(from, to)| line(from, to)).collect(), arrow(steps))
        }
    };
    let outline = design.body.outline.iter().flat_map(Region::contours).map(outline).collect();
    FittingView { label, kind, outline, lines, arrow }
}
