//! What cannot be set of a guide, all of it at once.

use std::collections::BTreeSet;

use flatwright_geometry::units::Mm;

use super::Guide;
use crate::plan_view::{PlanFault, PlanItem, PlanRef, faults};

/// Why a guide was not set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GuideError {
    /// Everything that is wrong with it.
    #[error("the guide cannot be set:{}", listed(.0))]
    Faults(Vec<GuideFault>),
}

/// One thing wrong with a guide.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GuideFault {
    /// The plan cannot be drawn.
    #[error("the plan: {0}")]
    Plan(#[from] PlanFault),
    /// A margin out of range.
    #[error("the margin is {0}; it must be 0 to 100 mm")]
    Margin(Mm),
    /// A page with too little room.
    #[error(
        "{paper} with margins of {margin} leaves {width} x {height}; a guide needs at least {} x {}",
        crate::booklet::LEAST_WIDTH,
        crate::booklet::LEAST_HEIGHT
    )]
    PageTooSmall {
        /// The sheet.
        paper: String,
        /// The margin.
        margin: Mm,
        /// What is left of its width.
        width: Mm,
        /// What is left of its height.
        height: Mm,
    },
    /// Two kinds of part of one name.
    #[error("two parts are called {0:?}; give each its own identifier")]
    SamePart(String),
    /// A step with a part that is not in the list.
    #[error("step {step} takes {id:?}, which is not among the parts; add it or mend its identifier")]
    UnknownPart {
        /// The step's number.
        step: u32,
        /// The identifier.
        id: String,
    },
    /// A step that points at something that is not on the plan.
    #[error("step {step} points at {item:?} of level {level} (counted from 0), which is not on the plan")]
    UnknownItem {
        /// The step's number.
        step: u32,
        /// The level's index.
        level: usize,
        /// What it points at.
        item: PlanItem,
    },
    /// A row of the shopping list that no page can hold.
    #[error("the shopping list's line {0:?} is too long for one page; shorten its note")]
    RowTooTall(String),
    /// A picture that no page can hold.
    #[error("{0} is too tall for the page; use a larger sheet or smaller margins")]
    TooTall(&'static str),
}

/// Everything wrong with a guide itself, whatever it is printed on.
pub(super) fn faults_of(guide: &Guide) -> Vec<GuideFault> {
    let mut found: Vec<GuideFault> = faults(&guide.plan).into_iter().map(GuideFault::from).collect();
    let mut ids = BTreeSet::new();
    for part in &guide.parts {
        if !ids.insert(part.id.as_str()) {
            found.push(GuideFault::SamePart(part.id.clone()));
        }
    }
    for step in &guide.steps {
        let unknown = step.pieces.iter().filter(|(id, _)| !ids.contains(id.as_str()));
        found.extend(unknown.map(|(id, _)| GuideFault::UnknownPart { step: step.number, id: id.clone() }));
        for &PlanRef { level, item } in &step.highlight {
            let there = guide.plan.levels.get(level).is_some_and(|level| match item {
                PlanItem::Tile(i) => i < level.tiles.len(),
                PlanItem::Wall(i) => i < level.walls.len(),
                PlanItem::Post(i) => i < level.posts.len(),
                PlanItem::Biscuit(i) => i < level.biscuits.len(),
                PlanItem::Shape(i) => i < level.shapes.len(),
                PlanItem::Bend(i) => i < level.bends.len(),
                PlanItem::Fitting(i) => i < level.fittings.len(),
            });
            if !there {
                found.push(GuideFault::UnknownItem { step: step.number, level, item });
            }
        }
    }
    found
}

fn listed(faults: &[GuideFault]) -> String {
    faults.iter().map(|fault| format!("\n  {fault}")).collect()
}
