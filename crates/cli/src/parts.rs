//! The parts list, `parts.json`: what was made, from which parameters, and where it lies.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::{Fold, Stock};
use flatwright_geometry::region::Region;
use flatwright_geometry::units::snapped;
use flatwright_sheets::compose::{Axis, Composed, Grain, folds_along};
use kurbo::{BezPath, Line, PathEl, Point, Rect};
use schemars::JsonSchema;
use serde::Serialize;

use crate::art_record::ArtworkRecord;
use crate::calibration::{PrinterRecord, printer_record};
use crate::class::ClassRecord;
use crate::import::{Piece, Set};
use crate::layout_report::LayoutRecord;
use crate::page_record::{PageRecord, pages};
use crate::parameter_list::ParameterList;
use crate::planned::record::PlanRecord;
use crate::stock_record::{StockRecord, stocks};

/// Everything that one run made. All lengths are millimetres, x to the right, y up, angles in
/// degrees counterclockwise.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PartsList {
    /// Version of this format; 1.
    pub format: u32,
    /// Name of the set.
    pub set: String,
    /// A sentence or two about the set, where the set file has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<String>,
    /// The parameters that the patterns were computed from, defaults and derived ones included.
    pub parameters: ParameterList,
    /// Paper and card: weight, caliper and grain.
    pub stocks: Vec<StockRecord>,
    /// Name of the materials profile that parameters were taken from. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub materials: Option<String>,
    /// The printer that sheets.pdf is corrected for. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub printer: Option<PrinterRecord>,
    /// How artwork is printed.
    pub artwork: ArtworkRecord,
    /// What a builder should know though nothing is wrong, such as a picture with few pixels.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub warnings: Vec<String>,
    /// The pieces, each different one once, by kind.
    pub pieces: Vec<PieceRecord>,
    /// The pages with pieces, in printing order. Absent where nothing was laid out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pages: Option<Vec<PageRecord>>,
    /// How the pieces were put on sheets, and how few sheets could do. Absent where nothing was laid
    /// out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layout: Option<LayoutRecord>,
    /// The class that the pieces are for: the list above is one kit. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<ClassRecord>,
    /// The floor plan that the pieces are for. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<PlanRecord>,
}

/// One kind of piece.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PieceRecord {
    /// Identifier, unique in the set and printed on the piece, such as "TC1".
    pub id: String,
    /// Family: tile-core, tile-wrap, corner-pocket, biscuit, post, post-cap, coupler, base-plate, sleeve-plug, card-wall,
    /// wall-core, wall-facing or door-leaf.
    pub kind: String,
    /// What sets it apart within its family, such as "1 x 2"; may be empty.
    pub detail: String,
    /// The name that the set file or the plan gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// How many.
    pub count: u32,
    /// What it is cut from.
    pub stock: StockName,
    /// Width and height of the flat piece.
    pub size: [f64; 2],
    /// What covers its face: a colour, "#rrggbb", or the name of a surface or a picture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub face: Option<String>,
    /// What is printed when it is, without the bleed: one or more areas of the flat piece.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub face_area: Vec<Contours>,
    /// How it must lie to the grain of its sheet, "along" or "across". Absent where it may be turned
    /// by quarters.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grain: Option<GrainName>,
    /// The direction of its longest folds, in which the grain should run: that of at least 60 % of
    /// its fold lines, with a fold longer than 40 mm. Absent where there is none, and for board.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub folds_along: Option<AxisName>,
    /// Outlines of the flat piece at nominal size, in the piece's own coordinates: kerf and bleed
    /// are not in them.
    pub contours: Contours,
    /// Cuts within the outline that go round nothing, such as round a hinged leaf: lists of [x, y].
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub slits: Vec<Vec<[f64; 2]>>,
    /// Lines that are folded.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub folds: Vec<FoldRecord>,
    /// Lines that are scored but not folded.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub scores: Vec<Segment>,
    /// Lines of perforation.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub perforations: Vec<Segment>,
}

/// How a piece lies to the grain of its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum GrainName {
    /// The grain runs up the piece, along y.
    Along,
    /// The grain runs across the piece, along x.
    Across,
}

/// A direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum AxisName {
    /// Along x.
    X,
    /// Along y.
    Y,
}

impl From<Axis> for AxisName {
    fn from(axis: Axis) -> Self {
        match axis {
            Axis::X => Self::X,
            Axis::Y => Self::Y,
        }
    }
}

/// What a piece is cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum StockName {
    /// Paper that wraps and faces.
    Paper,
    /// Card that is folded.
    Card,
    /// Board.
    Board,
}

/// An area: an outer outline less its holes. Each is a list of corners [x, y], counterclockwise,
/// the first one not repeated.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Contours {
    /// The outer outline.
    pub outer: Vec<[f64; 2]>,
    /// Its holes.
    pub holes: Vec<Vec<[f64; 2]>>,
}

/// A line from one point to another.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Segment {
    /// Start, [x, y].
    pub from: [f64; 2],
    /// End, [x, y].
    pub to: [f64; 2],
}

/// A line that is folded.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct FoldRecord {
    /// Which way, seen from the printed side.
    pub fold: FoldKind,
    /// By how many degrees.
    pub angle: f64,
    /// Start, [x, y].
    pub from: [f64; 2],
    /// End, [x, y].
    pub to: [f64; 2],
}

/// Which way a fold goes, seen from the printed side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FoldKind {
    /// The printed faces close towards each other.
    Valley,
    /// The printed faces open away from each other.
    Mountain,
}

impl PartsList {
    /// The list of a set; with pages where it has been laid out.
    #[must_use]
    pub fn new(set: &Set, composed: Option<&Composed>) -> Self {
        Self {
            format: 1,
            set: set.name.clone(),
            about: set.about.clone(),
            parameters: ParameterList::new(&set.parameters),
            stocks: stocks(set),
            materials: set.materials.as_ref().map(|lent| lent.name.clone()),
            printer: printer_record(set),
            artwork: ArtworkRecord::new(set),
            warnings: set.warnings.iter().map(ToString::to_string).collect(),
            pieces: set.pieces.iter().map(|piece| PieceRecord::new(set, piece)).collect(),
            pages: composed.map(|composed| pages(set, composed)),
            layout: composed.map(|composed| LayoutRecord::new(set, composed)),
            class: ClassRecord::new(set),
            plan: set.plan.as_ref().map(|plan| PlanRecord::new(plan, &set.parameters)),
        }
    }

    /// As JSON, with a line break at the end. One line per point or short object would be long:
    /// the list is indented down to pieces and pages.
    ///
    /// # Errors
    /// None in practice: numbers and texts alone are written.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        Ok(crate::json::compact(&serde_json::to_value(self)?))
    }
}

/// The JSON Schema of the parts list (draft 2020-12).
#[must_use]
pub fn schema() -> schemars::Schema {
    schemars::generate::SchemaSettings::default().for_serialize().into_generator().into_root_schema_for::<PartsList>()
}

impl PieceRecord {
    fn new(set: &Set, piece: &Piece) -> Self {
        let pattern = &piece.pattern;
        let bounds: Rect = pattern.material.bounds();
        let fold = |fold| match fold {
            Fold::Valley => FoldKind::Valley,
            Fold::Mountain => FoldKind::Mountain,
        };
        Self {
            id: piece.id.clone(),
            kind: kind_name(pattern.kind),
            detail: pattern.detail.clone(),
            label: piece.label.clone(),
            count: piece.count,
            stock: StockName::from(pattern.stock),
            size: [snapped(bounds.width()), snapped(bounds.height())],
            face: piece.face.map(|cover| set.artwork.name_of(cover)),
            face_area: piece.face.iter().flat_map(|_| pattern.face.iter().map(Contours::new)).collect(),
            grain: match piece.grain {
                Grain::Any => None,
                Grain::Along => Some(GrainName::Along),
                Grain::Across => Some(GrainName::Across),
            },
            folds_along: folds_along(pattern).map(AxisName::from),
            contours: Contours::new(&pattern.material),
            slits: pattern.slits.iter().flat_map(polylines).collect(),
            folds: (pattern.net.hinges.iter())
                .map(|hinge| FoldRecord {
                    fold: fold(hinge.fold),
                    angle: snapped(hinge.angle.to_degrees()),
                    from: pair(hinge.line.p0),
                    to: pair(hinge.line.p1),
                })
                .collect(),
            scores: pattern.scores.iter().map(segment).collect(),
            perforations: pattern.perforations.iter().map(segment).collect(),
        }
    }
}

impl Contours {
    fn new(region: &Region) -> Self {
        let points = |contour: &Contour| contour.points().iter().map(|point| pair(*point)).collect();
        Self { outer: points(&region.outer), holes: region.holes.iter().map(points).collect() }
    }
}

impl From<Stock> for StockName {
    fn from(stock: Stock) -> Self {
        match stock {
            Stock::Paper => Self::Paper,
            Stock::Card => Self::Card,
            Stock::Board => Self::Board,
        }
    }
}

/// The family's name as the geometry writes it: `tile-core`.
fn kind_name(kind: impl Serialize) -> String {
    match serde_json::to_value(kind) {
        Ok(serde_json::Value::String(name)) => name,
        _ => String::new(),
    }
}

fn pair(point: Point) -> [f64; 2] {
    [snapped(point.x), snapped(point.y)]
}

pub(crate) fn segment(line: &Line) -> Segment {
    Segment { from: pair(line.p0), to: pair(line.p1) }
}

/// The subpaths of a path as lists of points; curves are flattened.
fn polylines(path: &BezPath) -> Vec<Vec<[f64; 2]>> {
    let mut lines: Vec<Vec<[f64; 2]>> = Vec::new();
    kurbo::flatten(path, flatwright_geometry::tolerance::CHORD, |element| match element {
        PathEl::MoveTo(point) => lines.push(vec![pair(point)]),
        PathEl::LineTo(point) => lines.last_mut().into_iter().for_each(|line| line.push(pair(point))),
        PathEl::ClosePath => lines.last_mut().into_iter().for_each(|line| line.extend(line.first().copied())),
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    lines
}
