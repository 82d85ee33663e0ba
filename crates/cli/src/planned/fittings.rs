//! The fittings of a plan: on its drawing and in parts.json.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pieces::roof::Skirt;
use flatwright_geometry::pieces::stair::Flight;
use flatwright_geometry::region::Region;
use flatwright_geometry::units::Mm;
use flatwright_planning::assemble::Spot;
use flatwright_planning::fittings::roofs::RoofPlace;
use flatwright_planning::fittings::{FittingDesign, FittingPlace, Form};
use flatwright_sheets::plan_view::{FittingKind, FittingView};
use kurbo::{Affine, Point, Rect, Vec2};
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

/// A roof on the posts of a level.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct RoofRecord {
    /// Its pieces: the roof, its skirt and the caps of its ridges, each once.
    pub pieces: Vec<String>,
    /// Its form: "hip", "gable", "lean-to" or "flat".
    pub form: String,
    /// The pitch of its slopes, degrees.
    pub pitch: f64,
    /// Where its skirt is: "inside" or "outside" the posts.
    pub skirt: String,
    /// The vertices under its corners, counterclockwise as seen from above.
    pub corners: Vec<[usize; 2]>,
}

/// The records of a level's roofs.
pub(super) fn roof_records(planned: &Planned, level: usize) -> Vec<RoofRecord> {
    let places = planned.levels[level].build.roofs.iter().enumerate();
    let record = |(index, place): (usize, &RoofPlace)| {
        let roof = &place.roof;
        let steps = |way: i32| usize::try_from(way).unwrap_or(0);
        let corner = |(x, y): &(i32, i32)| [place.at.x + steps(*x), place.at.y.saturating_sub(steps(*y))];
        RoofRecord {
            pieces: planned.ids_at(level, Spot::Roof(index)),
            form: roof.form.name().to_owned(),
            pitch: (roof.pitch.to_degrees() * 1000.0).round() / 1000.0,
            skirt: if roof.skirt == Skirt::Inside { "inside" } else { "outside" }.to_owned(),
            corners: roof.plan.iter().map(corner).collect(),
        }
    };
    places.map(record).collect()
}

/// Roofs as dashed outlines with their ridges, hips and valleys.
fn roof_views(planned: &Planned, level: usize) -> impl Iterator<Item = FittingView> + '_ {
    let places = planned.levels[level].build.roofs.iter().enumerate();
    places.map(move |(index, place)| {
        let label = planned.ids_at(level, Spot::Roof(index)).into_iter().next().unwrap_or_default();
        let (x, y) = (place.at.x as f64, place.at.y as f64);
        let there = move |point: Point| (x + point.x, y - point.y);
        let corners: Vec<Point> =
            place.roof.plan.iter().map(|(x, y)| Point::new(f64::from(*x), f64::from(*y))).collect();
        let n = corners.len();
        // Eaves, every side a little out.
        let outline = (0..n).map(|i| {
            let (before, here, after) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
            let (one, two) = ((here - before).normalize(), (after - here).normalize());
            there(here + (Vec2::new(one.y, -one.x) + Vec2::new(two.y, -two.x)) * EAVES)
        });
        let lines = place.roof.lines().into_iter().map(|(from, to)| (there(from), there(to))).collect();
        FittingView { label, kind: FittingKind::Roof, outline: vec![outline.collect()], lines, arrow: None }
    })
}

/// How far eaves are drawn past the lattice, squares: beyond the names of walls.
const EAVES: f64 = 0.27;

/// What a level's drawing shows of them.
pub(super) fn views(planned: &Planned, level: usize, module: Mm) -> Vec<FittingView> {
    let places = planned.levels[level].build.fittings.iter().enumerate();
    let view = |(index, place): (usize, &FittingPlace)| {
        let design = planned.plan.fittings.get(place.design)?;
        let label = planned.ids_at(level, Spot::Fitting(index)).into_iter().next().unwrap_or_default();
        Some(drawn(design, place, module, label))
    };
    places.filter_map(view).chain(roof_views(planned, level)).collect()
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
