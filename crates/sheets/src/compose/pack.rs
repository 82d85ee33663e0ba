//! Packs a group, in the better orientation, and has the result checked.

use flatwright_nesting::{Item, Job, Layout, SheetKind, Turns, check};

use super::unit::{self, Choice, Group};
use super::{ComposeError, Progress, Settings};

/// A group's layout; its sheet kinds are indices into the group's choices.
pub(super) struct Packed {
    pub layout: Layout,
    pub choices: Vec<Choice>,
}

/// Packs on sheets of one orientation, whichever needs fewer; on both together only where some
/// pieces need the one and some the other.
pub(super) fn pack(
    group: &Group,
    settings: &Settings,
    progress: &mut dyn FnMut(Progress),
) -> Result<Packed, Vec<ComposeError>> {
    let mut tries: Vec<Vec<Choice>> = group.choices.iter().map(|choice| vec![choice.clone()]).collect();
    let square = group.sheet.paper.width == group.sheet.paper.height;
    if square {
        tries.truncate(1);
    }
    let count = tries.len() as f64;
    let mut best: Option<Packed> = None;
    for (index, choices) in tries.into_iter().enumerate() {
        let mut step = |spent: f64| progress(Progress { stock: group.stock, done: (index as f64 + spent) / count });
        let Some(layout) = attempt(group, &choices, settings, &mut step)? else { continue };
        if best.as_ref().is_none_or(|best| layout.sheets_used() < best.layout.sheets_used()) {
            best = Some(Packed { layout, choices });
        }
    }
    if let Some(best) = best {
        return Ok(best);
    }
    let mut step = |spent: f64| progress(Progress { stock: group.stock, done: spent });
    match attempt(group, &group.choices, settings, &mut step)? {
        Some(layout) => Ok(Packed { layout, choices: group.choices.clone() }),
        // Not reached while `unit::holds` is as strict as the packer.
        None => Err(group.units.iter().map(|unit| unit::too_large(unit, group, settings, false)).collect()),
    }
}

/// `None` where some piece fits none of these sheets.
fn attempt(
    group: &Group,
    choices: &[Choice],
    settings: &Settings,
    step: &mut dyn FnMut(f64),
) -> Result<Option<Layout>, Vec<ComposeError>> {
    let items = group.units.iter().map(|unit| Item {
        name: unit.flat.id.clone(),
        outline: unit.outline.clone(),
        copies: unit.copies,
        turns: Turns::Quarter,
    });
    let sheets = choices.iter().map(|choice| SheetKind {
        name: group.sheet.paper.name.clone(),
        free: choice.frame.free,
        price: 1.0,
    });
    let job = Job::new(items.collect(), sheets.collect(), settings.gap, settings.seed, settings.effort)
        .map_err(|errors| errors.into_iter().map(ComposeError::Job).collect::<Vec<_>>())?;
    let bound = flatwright_nesting::lower_bound(&job);
    let Ok(layout) = flatwright_nesting::pack(&job, &bound, &mut |progress| step(progress.spent)) else {
        return Ok(None);
    };
    match check::check(&job, &layout) {
        Ok(()) => Ok(Some(layout)),
        Err(found) => {
            Err(found.into_iter().map(|violation| ComposeError::Layout { stock: group.stock, violation }).collect())
        }
    }
}
