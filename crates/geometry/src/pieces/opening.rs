//! Openings in a wall, in the wall's own coordinates: x along the body from its left end, z up
//! from the floor.

use std::sync::Arc;

use kurbo::{BezPath, Point, Rect, Shape, Vec2};

use super::design::{Design, Mark};
use super::niche::Niche;
use super::{PieceError, mm, rect};
use crate::contour::Contour;
use crate::parameters::{Parameters, WallBuild};
use crate::region::{self, Region};
use crate::tolerance;
use crate::units::{Mm, plain};

/// Which end of the wall a door's leaf hangs at, seen from its front.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum HingeSide {
    /// The left end.
    #[default]
    Left,
    /// The right end.
    Right,
}

/// What is cut into a wall: one of five shapes by rule, in the middle of the body, or a design that
/// was drawn elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub enum Opening {
    /// A doorway from the floor up with a leaf that swings to the front.
    Door {
        /// Clear width.
        width: Mm,
        /// Clear height.
        height: Mm,
        /// Where the leaf hangs.
        hinge: HingeSide,
    },
    /// A passage from the floor up under a half-round arch.
    Arch {
        /// Clear width.
        width: Mm,
        /// Height of the crown above the floor.
        height: Mm,
    },
    /// A hole above a sill.
    Window {
        /// Clear width.
        width: Mm,
        /// Clear height.
        height: Mm,
        /// Height of the sill above the floor.
        sill: Mm,
        /// Whether its head is half-round.
        arched: bool,
    },
    /// A window with upright bars left standing in it.
    Bars {
        /// Clear width of the whole window.
        width: Mm,
        /// Clear height.
        height: Mm,
        /// Height of the sill above the floor.
        sill: Mm,
        /// How many bars.
        count: u32,
        /// Width of one bar.
        bar: Mm,
    },
    /// A lower top edge between two full-height shoulders that carry the tabs.
    Low {
        /// Height of the low edge above the floor.
        height: Mm,
    },
    /// A design.
    Drawn(Arc<Design>),
}

/// What an opening takes away.
#[derive(Clone, Debug, Default)]
pub(super) struct Cut {
    /// Holes and notches through front and back.
    pub through: Vec<Region>,
    /// The doorway, when there is a leaf in it: the front keeps its leaf.
    pub leaf: Option<Leaf>,
    /// The niche, when there is a box behind it.
    pub niche: Option<Niche>,
}

/// The doorway of a leaf, from the floor up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leaf {
    /// Its area, wall coordinates.
    pub area: Rect,
    /// Where it hangs.
    pub hinge: HingeSide,
}

impl Cut {
    fn through(through: Vec<Region>) -> Self {
        Self { through, ..Self::default() }
    }
}

/// Material that must stay beside, above and below an opening, mm. Common practice, no source.
pub const LEAST_EDGE: f64 = 5.0;
/// Largest number of bars in a window.
pub const MOST_BARS: u32 = 40;

impl Opening {
    /// The name that sheets and lists print.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Door { .. } => "door",
            Self::Arch { .. } => "arch",
            Self::Window { .. } => "window",
            Self::Bars { .. } => "bars",
            Self::Low { .. } => "low",
            Self::Drawn(design) => &design.name,
        }
    }

    /// What it is on a drawing of a floor plan.
    #[must_use]
    pub fn mark(&self) -> Mark {
        match self {
            Self::Door { .. } => Mark::Door,
            Self::Arch { .. } => Mark::Arch,
            Self::Window { .. } => Mark::Window,
            Self::Bars { .. } => Mark::Bars,
            Self::Low { .. } => Mark::Low,
            Self::Drawn(design) => design.mark,
        }
    }

    /// Whether a leaf swings in it.
    #[must_use]
    pub fn swings(&self) -> bool {
        match self {
            Self::Door { .. } => true,
            Self::Drawn(design) => design.leaf.is_some(),
            _ => false,
        }
    }

    /// Whether a box is glued behind it.
    #[must_use]
    pub fn has_box(&self) -> bool {
        matches!(self, Self::Drawn(design) if design.niche.is_some())
    }

    /// Its contours in a body of `length`, checked against the material that must stay.
    pub(super) fn cut(&self, p: &Parameters, length: f64) -> Result<Cut, PieceError> {
        let wall = mm(p.wall_height);
        let middle = length / 2.0;
        let span = |width: Mm| (middle - mm(width) / 2.0, middle + mm(width) / 2.0);
        // Openings at the floor are cut past the bottom edge.
        let below = -1.0;
        match *self {
            Self::Drawn(ref design) => design.cut(p, length),
            Self::Door { width, height, hinge } => {
                self.fits(length, width, wall, height, Mm::ZERO)?;
                let (x0, x1) = span(width);
                let area = Rect::new(x0, 0.0, x1, mm(height));
                Ok(Cut { through: rect(x0, below, x1, area.y1), leaf: Some(Leaf { area, hinge }), niche: None })
            }
            Self::Arch { width, height } => {
                self.fits(length, width, wall, height, Mm::ZERO)?;
                self.head(width, height)?;
                Ok(Cut::through(round_headed(middle, mm(width), below, mm(height))))
            }
            Self::Window { width, height, sill, arched } => {
                self.fits(length, width, wall, sill + height, sill)?;
                let (x0, x1) = span(width);
                let top = mm(sill + height);
                if arched {
                    self.head(width, height)?;
                    return Ok(Cut::through(round_headed(middle, mm(width), mm(sill), top)));
                }
                Ok(Cut::through(rect(x0, mm(sill), x1, top)))
            }
            Self::Bars { width, height, sill, count, bar } => {
                self.fits(length, width, wall, sill + height, sill)?;
                Ok(Cut::through(self.between_bars(p, span(width), sill, height, count, bar)?))
            }
            Self::Low { height } => {
                let shoulder = LEAST_EDGE + p.hook_gap().get();
                let name = self.name();
                require(format!("the {name} wall keeps a strip along the floor"), LEAST_EDGE, mm(height))?;
                require(format!("the {name} wall is lower than a full one"), 1.0, wall - mm(height))?;
                require(format!("the {name} wall's body holds two shoulders"), 2.0 * shoulder + 5.0, length)?;
                Ok(Cut::through(rect(shoulder, mm(height), length - shoulder, wall + 10.0)))
            }
        }
    }

    /// Whether enough stays beside, above and (above a sill) below it.
    fn fits(&self, length: f64, width: Mm, wall: f64, top: Mm, sill: Mm) -> Result<(), PieceError> {
        let name = self.name();
        require(format!("the {name} has a width"), 1.0, mm(width))?;
        require(format!("the {name} has a height"), 1.0, mm(top - sill))?;
        require(
            format!("the wall keeps material on both sides of its {name}"),
            LEAST_EDGE,
            (length - mm(width)) / 2.0,
        )?;
        require(format!("the wall keeps material above its {name}"), LEAST_EDGE, wall - mm(top))?;
        if matches!(self, Self::Window { .. } | Self::Bars { .. }) {
            require(format!("the wall keeps a sill below its {name}"), LEAST_EDGE, mm(sill))?;
        }
        Ok(())
    }

    fn head(&self, width: Mm, height: Mm) -> Result<(), PieceError> {
        require(format!("the {} is higher than its half-round head", self.name()), mm(width) / 2.0, mm(height))
    }

    fn between_bars(
        &self,
        p: &Parameters,
        (x0, x1): (f64, f64),
        sill: Mm,
        height: Mm,
        count: u32,
        bar: Mm,
    ) -> Result<Vec<Region>, PieceError> {
        if !(1..=MOST_BARS).contains(&count) {
            return Err(PieceError::OutOfRange {
                what: "the number of bars",
                found: count.to_string(),
                help: format!("give a whole number from 1 to {MOST_BARS}"),
            });
        }
        let tool = match p.walls {
            WallBuild::Card => p.tool_gap_card,
            WallBuild::Board => p.tool_gap_board,
        };
        require("a bar is as wide as the tool can leave it".into(), mm(tool), mm(bar))?;
        let gap = (x1 - x0 - mm(bar) * f64::from(count)) / f64::from(count + 1);
        require("the gaps between bars can be cut".into(), mm(tool), gap)?;
        Ok((0..=count)
            .flat_map(|i| {
                let from = x0 + f64::from(i) * (gap + mm(bar));
                rect(from, mm(sill), from + gap, mm(sill + height))
            })
            .collect())
    }
}

/// `Ok` where `found` is at least `least`.
pub(super) fn require(what: String, least: f64, found: f64) -> Result<(), PieceError> {
    if found >= least - tolerance::FIT {
        return Ok(());
    }
    Err(PieceError::NoRoom {
        what,
        found: format!("{} mm where at least {} mm are needed", plain(found, 3), plain(least, 3)),
        help: "make the opening smaller, or the wall longer or higher".into(),
    })
}

/// A rectangle from `bottom` up under a half-round head whose crown is at `top`; all mm.
#[must_use]
pub fn round_headed(middle: f64, width: f64, bottom: f64, top: f64) -> Vec<Region> {
    let radius = width / 2.0;
    let centre = Point::new(middle, top - radius);
    let mut path = BezPath::new();
    path.move_to((middle - radius, bottom));
    path.line_to((middle + radius, bottom));
    let head = kurbo::Arc::new(centre, Vec2::new(radius, radius), 0.0, std::f64::consts::PI, 0.0);
    // The Beziers may stray as far as the polyline that replaces them.
    for (i, element) in head.path_elements(tolerance::CHORD / 10.0).enumerate() {
        match (i, element) {
            (0, kurbo::PathEl::MoveTo(point)) => path.line_to(point),
            (_, other) => path.push(other),
        }
    }
    path.close_path();
    let head = Contour::flattened(&path).map(Region::from);
    region::union(&head.into_iter().collect::<Vec<_>>())
}
