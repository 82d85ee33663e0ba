//! The pages in parts.json: what lies where on them, and how they are cut apart.

use flatwright_geometry::units::snapped;
use flatwright_sheets::compose::{Composed, PlacedPart};
use flatwright_sheets::furniture::registration;
use schemars::JsonSchema;
use serde::Serialize;

use crate::import::Set;
use crate::parts::{AxisName, Segment, StockName, segment};

/// One page with pieces.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PageRecord {
    /// Number of the page in sheets.pdf, from 1; sheets/NNN.svg has the same number.
    pub number: usize,
    /// Name of the sheet's size, such as "A4".
    pub paper: String,
    /// What the pieces on it are cut from.
    pub stock: StockName,
    /// The level that the pieces on it are for, or what else they are. Absent where there is one level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<String>,
    /// What the sheet is made of, as printed on it.
    pub material: String,
    /// How many times the page is to be printed.
    pub copies: u32,
    /// Width and height of the sheet as turned.
    pub size: [f64; 2],
    /// Number of the page for its back, with the pieces' names alone. Only where there are such pages.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reverse: Option<usize>,
    /// Marks for a cutter. Only where there are such marks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub registration: Option<RegistrationRecord>,
    /// Share of the sheet's area that ink would cover if all of it were black, 0 to 1: an estimate.
    pub ink: f64,
    /// The pieces on it.
    pub placements: Vec<PlacementRecord>,
    /// First and last step that the page serves, by their numbers. Only for the layout "by-step".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub steps: Option<[usize; 2]>,
    /// The largest free rectangle on the last page of a stock: x and y of its lower left corner, then
    /// width and height. Absent where it is too small to keep.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free: Option<[f64; 4]>,
    /// Straight cuts that take a stack of the sheet apart, in the order to make them, each from edge to
    /// edge of what is left. Only for the layout "stacked".
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cuts: Vec<Segment>,
}

/// Marks for a cutter: an angle of two lines at each corner of what can be printed, its arms along
/// the sheet's sides, and a square in the lower left angle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct RegistrationRecord {
    /// Corners of the angles, in the middles of their lines: lower left, lower right, upper right,
    /// upper left; each [x, y].
    pub corners: [[f64; 2]; 4],
    /// Length of an arm, from the angle's outer corner.
    pub arm: f64,
    /// Width of its lines.
    pub width: f64,
    /// Side of the square; its lower left corner is 1.5 mm right of and above the lower left angle's.
    pub square: f64,
}

/// One piece on a page: turned about its own origin, then moved.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PlacementRecord {
    /// Identifier of the piece.
    pub piece: String,
    /// Which part of it, where it was split: the identifier printed on the part, such as "TW2a".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Where its origin lies, from the page's lower left corner.
    pub x: f64,
    /// The same, upward.
    pub y: f64,
    /// Turn counterclockwise, degrees: 0, 90, 180 or 270.
    pub rotation: u32,
    /// Which way the arrow on it shows the grain, on the page. Absent where it has no arrow: its folds
    /// need none, there is no room, or it lies across the known grain of its sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arrow: Option<AxisName>,
    /// True where it folds across the known grain of its sheet; absent else.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub across_grain: bool,
}

/// An estimate is not worth more digits.
pub(crate) fn thousandths(share: f64) -> f64 {
    (share * 1000.0).round() / 1000.0
}

/// The records of all pages with pieces.
#[must_use]
pub(crate) fn pages(set: &Set, composed: &Composed) -> Vec<PageRecord> {
    let placement = |placed: &PlacedPart| {
        let piece = set.pieces[placed.part].id.clone();
        PlacementRecord {
            part: (placed.id != piece).then(|| placed.id.clone()),
            piece,
            x: snapped(placed.x.get()),
            y: snapped(placed.y.get()),
            rotation: placed.rotation,
            arrow: placed.arrow.map(AxisName::from),
            across_grain: placed.across_grain,
        }
    };
    (composed.sheets.iter())
        .map(|sheet| PageRecord {
            number: sheet.page + 1,
            paper: sheet.paper.name.clone(),
            stock: StockName::from(sheet.stock),
            level: sheet.bag.clone(),
            material: sheet.material.clone(),
            copies: sheet.copies,
            size: [snapped(sheet.size.0.get()), snapped(sheet.size.1.get())],
            reverse: sheet.reverse.map(|reverse| reverse + 1),
            registration: sheet.registration.map(|corners| RegistrationRecord {
                corners: corners.map(|corner| [snapped(corner.x), snapped(corner.y)]),
                arm: registration::ARM.get(),
                width: registration::WIDTH.get(),
                square: registration::SQUARE.get(),
            }),
            ink: thousandths(sheet.ink),
            placements: sheet.placements.iter().map(placement).collect(),
            free: sheet.free.map(|free| [free.x0, free.y0, free.width(), free.height()].map(snapped)),
            steps: sheet.steps.map(|(first, last)| [first + 1, last + 1]),
            cuts: sheet.cuts.iter().map(segment).collect(),
        })
        .collect()
}
