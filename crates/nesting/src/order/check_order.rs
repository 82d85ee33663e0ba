//! Judges the order of a layout's sheets on its own.
//!
//! It exists because a page that comes too late stops the work: it counts what has been placed
//! after every sheet and compares that with what the steps need.

use super::{Ordered, StepNeeds, needs};
use crate::job::Job;

/// One thing wrong with the order. Sheets and steps are indices, from 0.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum OrderFault {
    /// Not every sheet tells which steps it serves.
    #[error("there are {sheets} sheets, but {spans} of them tell their steps")]
    Spans {
        /// Sheets of the layout.
        sheets: usize,
        /// Spans of steps.
        spans: usize,
    },
    /// A sheet that serves an earlier step than the one before it ends with, or runs backwards.
    #[error("sheet {sheet} serves steps {first} to {last}, after one that goes on to step {before}")]
    Backwards {
        /// The sheet.
        sheet: usize,
        /// Its first step.
        first: usize,
        /// Its last step.
        last: usize,
        /// The last step of the sheet before.
        before: usize,
    },
    /// A sheet begins before earlier steps have all of a piece.
    #[error("sheet {sheet} begins with step {first}, but earlier steps still lack item {item}")]
    TooEarly {
        /// The sheet.
        sheet: usize,
        /// Its first step.
        first: usize,
        /// The item.
        item: usize,
    },
    /// A sheet has pieces of a later step than it says.
    #[error("sheet {sheet} goes on to step {last}, but holds more of item {item} than is needed until then")]
    TooMany {
        /// The sheet.
        sheet: usize,
        /// Its last step.
        last: usize,
        /// The item.
        item: usize,
    },
}

/// Whether the sheets follow the steps: each begins with the step that the one before ended with,
/// or a later one; by then all earlier steps have every piece, and nothing is there beyond what
/// the steps so far need.
///
/// # Errors
/// Every [`OrderFault`] found.
pub fn check_order(job: &Job, steps: &[StepNeeds], ordered: &Ordered) -> Result<(), Vec<OrderFault>> {
    let mut found = Vec::new();
    let (sheets, spans) = (ordered.layout.sheets.len(), ordered.spans.len());
    if sheets != spans {
        found.push(OrderFault::Spans { sheets, spans });
    }
    let needs = needs(job, steps);
    let until = |step: usize, item: usize| -> u64 { needs.iter().take(step).map(|need| u64::from(need[item])).sum() };
    let mut placed = vec![0_u64; job.items().len()];
    let mut before = 0;
    for (sheet, (packed, &(first, last))) in ordered.layout.sheets.iter().zip(&ordered.spans).enumerate() {
        if first < before || last < first {
            found.push(OrderFault::Backwards { sheet, first, last, before });
        }
        before = last;
        found.extend(
            (0..placed.len()).filter(|&item| placed[item] < until(first, item)).map(|item| OrderFault::TooEarly {
                sheet,
                first,
                item,
            }),
        );
        for placement in packed.placements.iter().filter(|placement| placement.item < job.items().len()) {
            placed[placement.item] += u64::from(packed.copies);
        }
        found.extend(
            (0..placed.len()).filter(|&item| placed[item] > until(last + 1, item)).map(|item| OrderFault::TooMany {
                sheet,
                last,
                item,
            }),
        );
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}
