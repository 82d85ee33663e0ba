//! The pieces: each a function from the parameters to flat patterns.

use kurbo::{Affine, Line, Point, Rect};

use crate::contour::Contour;
use crate::pattern::{Hinge, LabelSpot, Net, Panel, Pattern, PieceKind, Plane, Stock};
use crate::region::{self, Region};
use crate::units::{Angle, Mm};

pub mod bars;
pub mod bend;
pub mod bend_pocket;
mod bent_layer;
pub mod bent_wall;
pub mod board_wall;
pub mod cap;
pub mod card_wall;
pub mod coupler;
pub mod design;
pub mod filler;
pub mod free_wall;
pub mod gauge;
pub mod grating;
pub mod niche;
pub mod opening;
pub mod piece;
pub mod pillar;
pub mod post;
pub mod prop;
pub mod roof;
pub mod solid;
pub mod stair;
pub mod tile;
mod turn_clear;
pub mod turn_tile;
mod turn_wrap;
pub mod wall;
pub mod well;

/// Why a piece has no pattern.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PieceError {
    /// Cutting leaves more than one part, or nothing.
    #[error("the {kind} {detail} falls into {parts} parts when it is cut")]
    FallsApart {
        /// Family.
        kind: PieceKind,
        /// Which one.
        detail: String,
        /// How many parts are left.
        parts: usize,
    },
    /// A feature has no room.
    #[error("{what}: {found}")]
    NoRoom {
        /// Which feature, and what must hold.
        what: String,
        /// The two numbers.
        found: String,
        /// How to mend it.
        help: String,
    },
    /// A size that is not one of those that can be built.
    #[error("{what} is {found}")]
    OutOfRange {
        /// Which size.
        what: &'static str,
        /// What was asked for.
        found: String,
        /// What is possible.
        help: String,
    },
}

impl PieceError {
    /// How to mend it, in one sentence.
    #[must_use]
    pub fn help(&self) -> &str {
        match self {
            Self::FallsApart { .. } => "leave more material between its reliefs, notches and openings",
            Self::NoRoom { help, .. } | Self::OutOfRange { help, .. } => help,
        }
    }
}

/// An axis-parallel rectangle as a region; empty ones vanish.
fn rect(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Region> {
    Contour::rectangle(Rect::new(x0, y0, x1, y1)).map(Region::from).into_iter().collect()
}

/// A polygon as a region; empty where the points enclose nothing.
fn polygon(points: &[(f64, f64)]) -> Vec<Region> {
    Contour::new(points.iter().map(|&p| Point::from(p))).map(Region::from).into_iter().collect()
}

/// Collects a piece's panels and what is printed on it; the material follows from the panels.
struct Draft {
    kind: PieceKind,
    stock: Stock,
    detail: String,
    net: Net,
    glue: Vec<Region>,
    face: Vec<Region>,
    planes: Vec<Plane>,
    slits: Vec<kurbo::BezPath>,
    label_spots: Vec<LabelSpot>,
}

impl Draft {
    fn new(kind: PieceKind, stock: Stock, detail: String) -> Self {
        Self {
            kind,
            stock,
            detail,
            net: Net::default(),
            glue: Vec::new(),
            face: Vec::new(),
            planes: Vec::new(),
            slits: Vec::new(),
            label_spots: Vec::new(),
        }
    }

    /// Adds a panel, `area` less `cutters`, and gives its index.
    fn panel(&mut self, name: &'static str, area: &[Region], cutters: &[Region]) -> Result<usize, PieceError> {
        let region = self.one(region::difference(area, cutters))?;
        self.net.panels.push(Panel { name, region });
        Ok(self.net.panels.len() - 1)
    }

    /// Adds a fold between two panels.
    fn hinge(&mut self, from: usize, to: usize, line: Line, fold: crate::pattern::Fold, angle: Angle) {
        self.net.hinges.push(Hinge { from, to, line, fold, angle, swings: false });
    }

    /// Adds the upright line on which a leaf swings towards the printed side.
    fn swing(&mut self, from: usize, to: usize, x: f64, height: f64) {
        let line = Line::new((x, 0.0), (x, height));
        let fold = crate::pattern::Fold::Valley;
        self.net.hinges.push(Hinge { from, to, line, fold, angle: Angle::QUARTER, swings: true });
    }

    /// Marks a panel as one that shows.
    fn shows(&mut self, panel: usize) {
        self.face.push(self.net.panels[panel].region.clone());
    }

    /// Lays artwork on the part of the pattern between two levels.
    fn plane(&mut self, (from, to): (f64, f64), motion: Affine) {
        let everywhere = Plane::everywhere(motion);
        self.planes.push(Plane { window: Rect { y0: from, y1: to, ..everywhere.window }, motion });
    }

    /// Adds a place for the label, shrunk by half a millimetre so that text keeps off the lines.
    fn label(&mut self, rect: Rect, upward: bool) {
        let rect = rect.inflate(-0.5, -0.5);
        if rect.width() > 1.5 && rect.height() > 1.5 {
            self.label_spots.push(LabelSpot { rect, upward });
        }
    }

    fn one(&self, mut regions: Vec<Region>) -> Result<Region, PieceError> {
        match (regions.len(), regions.pop()) {
            (1, Some(region)) => Ok(region),
            (parts, _) => Err(PieceError::FallsApart { kind: self.kind, detail: self.detail.clone(), parts }),
        }
    }

    fn finish(self) -> Result<Pattern, PieceError> {
        let panels: Vec<Region> = self.net.panels.iter().map(|panel| panel.region.clone()).collect();
        let material = self.one(region::union(&panels))?;
        Ok(Pattern {
            kind: self.kind,
            detail: self.detail,
            stock: self.stock,
            material,
            slits: self.slits,
            face: region::union(&self.face),
            planes: self.planes,
            net: self.net,
            scores: Vec::new(),
            perforations: Vec::new(),
            glue: self.glue,
            label_spots: self.label_spots,
        })
    }
}

/// A piece of one flat panel.
fn flat(
    kind: PieceKind,
    stock: Stock,
    detail: String,
    area: &[Region],
    cutters: &[Region],
) -> Result<Draft, PieceError> {
    let mut draft = Draft::new(kind, stock, detail);
    draft.panel("whole", area, cutters)?;
    Ok(draft)
}

/// `2` or `1/3` or `1.25`: a number of modules for people.
#[must_use]
pub fn span_text(span: f64) -> String {
    let near = |value: f64| (span - value).abs() < 1e-9;
    if near(1.0 / 3.0) {
        "1/3".into()
    } else if near(2.0 / 3.0) {
        "2/3".into()
    } else if near(0.5) {
        "1/2".into()
    } else {
        crate::units::plain(span, 3)
    }
}

/// Shorthand: the number of millimetres.
const fn mm(length: Mm) -> f64 {
    length.get()
}
