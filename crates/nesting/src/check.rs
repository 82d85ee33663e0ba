//! Judges a layout on its own: nothing here is shared with the packer.
//!
//! It exists so that a mistake of the packer can never reach a printed sheet. It moves every
//! outline itself and measures with plain segment distances; only pairs whose boxes are near
//! each other are looked at.

use flatwright_geometry::tolerance;
use kurbo::{Point, Rect};

use crate::job::Job;
use crate::layout::{Layout, Placement};

mod distance;

/// Agreement that is asked of a layout, mm: a distance may fall short of the gap, or an outline
/// stick out of the free area, by this much. With a gap no larger than this, outlines may overlap
/// to about that depth: a disc of twice this radius that both cover is always found, where no
/// outline has a neck narrower than that.
pub const TOLERANCE: f64 = tolerance::FIT;

/// One thing wrong with a layout. Sheets and placements are indices into the layout.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Violation {
    /// A sheet of a kind that the job does not have.
    #[error("sheet {sheet} is of kind {kind}, which the job does not have")]
    UnknownKind {
        /// The sheet.
        sheet: usize,
        /// Its kind.
        kind: usize,
    },
    /// A sheet that is there zero times.
    #[error("sheet {sheet} has no copies")]
    NoCopies {
        /// The sheet.
        sheet: usize,
    },
    /// A piece that the job does not have, or whose shift is not finite.
    #[error("placement {placement} of sheet {sheet} is of no item of the job or has no finite place")]
    BadPlacement {
        /// The sheet.
        sheet: usize,
        /// The placement.
        placement: usize,
    },
    /// A turn that the item does not allow.
    #[error("\"{name}\" on sheet {sheet} is turned {quarter_turns} quarters, which it does not allow")]
    Turned {
        /// The sheet.
        sheet: usize,
        /// The placement.
        placement: usize,
        /// The item's name.
        name: String,
        /// Its turn.
        quarter_turns: u8,
    },
    /// A piece that is not wholly in the free area.
    #[error("\"{name}\" on sheet {sheet} sticks out of the free area by {by} mm")]
    Outside {
        /// The sheet.
        sheet: usize,
        /// The placement.
        placement: usize,
        /// The item's name.
        name: String,
        /// By how much, mm.
        by: f64,
    },
    /// Two pieces that overlap or lie one in the other.
    #[error("placements {a} and {b} of sheet {sheet} overlap")]
    Overlap {
        /// The sheet.
        sheet: usize,
        /// One placement.
        a: usize,
        /// The other.
        b: usize,
    },
    /// Two pieces that are closer than the gap.
    #[error("placements {a} and {b} of sheet {sheet} are {distance} mm apart, {gap} mm are asked for")]
    TooClose {
        /// The sheet.
        sheet: usize,
        /// One placement.
        a: usize,
        /// The other.
        b: usize,
        /// Their distance, mm.
        distance: f64,
        /// What it should be, mm.
        gap: f64,
    },
    /// A number of pieces that is not what the job asks for.
    #[error("\"{name}\" is placed {placed} times, {wanted} are asked for")]
    Count {
        /// The item's name.
        name: String,
        /// Copies placed, copies of sheets counted.
        placed: u64,
        /// Copies asked for.
        wanted: u32,
    },
}

/// Whether `layout` solves `job`: no two outlines closer than the gap, each within its sheet's
/// free area, turned as allowed, and every item placed as often as asked.
///
/// Sheets that are alike are stored, and looked at, once.
///
/// # Errors
/// Every [`Violation`] found.
pub fn check(job: &Job, layout: &Layout) -> Result<(), Vec<Violation>> {
    let mut found = Vec::new();
    let mut placed = vec![0_u64; job.items().len()];
    for (index, sheet) in layout.sheets.iter().enumerate() {
        if sheet.copies == 0 {
            found.push(Violation::NoCopies { sheet: index });
        }
        let Some(kind) = job.sheets().get(sheet.kind) else {
            found.push(Violation::UnknownKind { sheet: index, kind: sheet.kind });
            continue;
        };
        let mut pieces = Vec::new();
        for (number, placement) in sheet.placements.iter().enumerate() {
            let finite = placement.shift.x.is_finite() && placement.shift.y.is_finite();
            if placement.item >= job.items().len() || !finite {
                found.push(Violation::BadPlacement { sheet: index, placement: number });
                continue;
            }
            placed[placement.item] += u64::from(sheet.copies);
            let piece = Piece::new(job, number, placement);
            check_piece(job, index, kind.free, placement, &piece, &mut found);
            pieces.push(piece);
        }
        check_pairs(job.gap().get(), index, pieces, &mut found);
    }
    for (item, placed) in job.items().iter().zip(placed) {
        if placed != u64::from(item.copies) {
            found.push(Violation::Count { name: item.name.clone(), placed, wanted: item.copies });
        }
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

/// An outline where it lies.
struct Piece {
    placement: usize,
    points: Vec<Point>,
    bounds: Rect,
}

impl Piece {
    fn new(job: &Job, number: usize, placement: &Placement) -> Self {
        let motion = placement.motion();
        let points: Vec<Point> = job.items()[placement.item].outline.points().iter().map(|p| motion * *p).collect();
        let bounds = points.iter().fold(Rect::from_points(points[0], points[0]), |r, p| r.union_pt(*p));
        Self { placement: number, points, bounds }
    }
}

fn check_piece(job: &Job, sheet: usize, free: Rect, placement: &Placement, piece: &Piece, found: &mut Vec<Violation>) {
    let item = &job.items()[placement.item];
    let (name, number, quarter_turns) = (|| item.name.clone(), piece.placement, placement.quarter_turns);
    if !item.turns.allows(quarter_turns) {
        found.push(Violation::Turned { sheet, placement: number, name: name(), quarter_turns });
    }
    let b = piece.bounds;
    let by = [free.x0 - b.x0, free.y0 - b.y0, b.x1 - free.x1, b.y1 - free.y1].into_iter().fold(0.0, f64::max);
    if by > TOLERANCE {
        found.push(Violation::Outside { sheet, placement: number, name: name(), by });
    }
}

/// Every pair whose boxes come within the gap, found by a sweep from left to right.
fn check_pairs(gap: f64, sheet: usize, mut pieces: Vec<Piece>, found: &mut Vec<Violation>) {
    pieces.sort_by(|a, b| a.bounds.x0.total_cmp(&b.bounds.x0).then(a.placement.cmp(&b.placement)));
    for (i, left) in pieces.iter().enumerate() {
        for right in &pieces[i + 1..] {
            if right.bounds.x0 - left.bounds.x1 > gap {
                break;
            }
            if right.bounds.y0 - left.bounds.y1 > gap || left.bounds.y0 - right.bounds.y1 > gap {
                continue;
            }
            let (a, b) = (left.placement.min(right.placement), left.placement.max(right.placement));
            let distance = distance::between(&left.points, &right.points, gap);
            let apart = distance >= gap - TOLERANCE;
            // Boundaries that lie clearly apart leave only the question whether one holds the other.
            let overlap = if apart && distance > TOLERANCE {
                distance::holds(&left.points, &right.points) || distance::holds(&right.points, &left.points)
            } else {
                distance::overlap(&left.points, &right.points, TOLERANCE)
            };
            if overlap {
                found.push(Violation::Overlap { sheet, a, b });
            } else if !apart {
                found.push(Violation::TooClose { sheet, a, b, distance, gap });
            }
        }
    }
}
