//! Packs a group, in the better orientation, and has the result checked.

use flatwright_geometry::turn::quarter;
use flatwright_nesting::order::{check_order, in_order};
use flatwright_nesting::stacked::{check_cuts, stacked};
use flatwright_nesting::{Bound, Cut, Item, Job, Layout, PackError, SheetKind, Turns, check};
use kurbo::Rect;

use super::unit::{self, Choice, Group, Unit};
use super::{ComposeError, Grain, LayoutMode, Progress, Settings, free, steps};

/// A group's layout; its sheet kinds are indices into its choices.
pub(super) struct Packed {
    pub layout: Layout,
    pub choices: Vec<Choice>,
    /// For each sheet its cuts, where they are asked for.
    pub cuts: Vec<Vec<Cut>>,
    /// For each sheet its first and last step, where their order is asked for.
    pub spans: Vec<(usize, usize)>,
    /// What the last sheet leaves free, where it is worth keeping.
    pub free: Option<Rect>,
    /// How few sheets could do.
    pub bound: Bound,
}

impl Packed {
    /// What decides between two layouts: the price, then sheets, then different pages.
    fn cost(&self) -> (f64, u64, usize) {
        let price =
            |sheet: &flatwright_nesting::PackedSheet| self.choices[sheet.kind].offer.price * f64::from(sheet.copies);
        (self.layout.sheets.iter().map(price).sum(), self.layout.sheets_used(), self.layout.sheets.len())
    }

    /// The same sheets for so many kits, each with its own.
    pub(super) fn times(mut self, kits: u32) -> Self {
        for sheet in &mut self.layout.sheets {
            sheet.copies = sheet.copies.saturating_mul(kits);
        }
        self
    }

    fn better(&self, other: &Self) -> bool {
        let ((price, sheets, pages), (than, sheets_than, pages_than)) = (self.cost(), other.cost());
        if (price - than).abs() > 1e-9 { price < than } else { (sheets, pages) < (sheets_than, pages_than) }
    }
}

/// Packs on sheets of one orientation, whichever costs less; on both together only where some pieces
/// need the one and some the other.
pub(super) fn pack(
    group: &Group,
    settings: &Settings,
    progress: &mut dyn FnMut(Progress),
) -> Result<Packed, Vec<ComposeError>> {
    let bound = bound(group, settings)?;
    let tries = tries(group);
    let count = tries.len() as f64;
    let mut best: Option<Packed> = None;
    for (index, choices) in tries.into_iter().enumerate() {
        let so_far = best.as_ref().map(|best| best.layout.sheets_used());
        let mut step = |now: flatwright_nesting::Progress| {
            let sheets = [so_far, now.sheets].into_iter().flatten().min();
            let done = (index as f64 + now.spent) / count;
            progress(Progress { stock: group.stock, done, sheets, at_least: now.at_least });
        };
        let Some(packed) = attempt(group, choices, settings, &bound, &mut step)? else { continue };
        if best.as_ref().is_none_or(|best| packed.better(best)) {
            best = Some(packed);
        }
        // Nothing can beat fewest sheets where all cost the same.
        if group.sheet.papers.len() == 1
            && settings.layout != LayoutMode::Stacked
            && best.as_ref().is_some_and(|best| best.layout.sheets_used() <= bound.sheets)
        {
            break;
        }
    }
    // None is found where pieces that keep the grain need sheets turned both ways.
    best.ok_or_else(|| group.units.iter().map(|unit| unit::too_large(unit, group, settings, false)).collect())
}

/// Which sheets to offer together: every size alone, each way up, then all sizes each way up; and all
/// there is where no one way does. A grain is kept in one orientation at a time. A mix can only be
/// better than the best of its sizes, but a search that is short may not find it.
fn tries(group: &Group) -> Vec<Vec<Choice>> {
    let of = |portrait: bool| group.choices.iter().filter(move |choice| choice.portrait() == portrait).cloned();
    let ways = [of(true).collect::<Vec<_>>(), of(false).collect()];
    let mut tries: Vec<Vec<Choice>> = Vec::new();
    if group.sheet.papers.len() > 1 {
        tries.extend(group.choices.iter().map(|choice| vec![choice.clone()]));
    }
    tries.extend(ways);
    tries.retain(|choices| !choices.is_empty() && group.units.iter().all(|unit| fits_some(unit, group, choices)));
    if tries.is_empty() && group.units.iter().all(|unit| unit.grain == Grain::Any) {
        tries.push(group.choices.clone());
    }
    tries
}

fn fits_some(unit: &Unit, group: &Group, choices: &[Choice]) -> bool {
    let size = unit.outline.bounds().size();
    choices.iter().any(|choice| choice.holds((size.width, size.height), unit.grain, group.sheet.grain))
}

/// A bound for every layout that could be made of the group's sheets, whichever way they are turned.
///
/// It is that of one job with every size in every orientation that is allowed, the gap that is asked
/// for, and every piece free to turn. Any layout that [`pack`] makes,
/// and any that mixes orientations by hand, is a layout of that job: it uses some of its sheets,
/// keeps the gap or (for straight cuts) a larger one, and turns pieces no more freely. So it has no
/// fewer sheets than the job's bound.
fn bound(group: &Group, settings: &Settings) -> Result<Bound, Vec<ComposeError>> {
    let items = group.units.iter().map(|unit| item(unit, Turns::Quarter));
    let sheets = group.choices.iter().map(kind);
    let job = Job::new(items.collect(), sheets.collect(), settings.gap, settings.seed, settings.effort);
    Ok(flatwright_nesting::lower_bound(&job.map_err(refused)?))
}

fn item(unit: &Unit, turns: Turns) -> Item {
    Item { name: unit.flat.id.clone(), outline: unit.outline.clone(), copies: unit.copies, turns }
}

fn kind(choice: &Choice) -> SheetKind {
    SheetKind { name: choice.offer.paper.name.clone(), free: choice.frame.free, price: choice.offer.price }
}

fn refused(errors: Vec<flatwright_nesting::JobError>) -> Vec<ComposeError> {
    errors.into_iter().map(ComposeError::Job).collect()
}

/// `None` where some piece fits none of these sheets.
fn attempt(
    group: &Group,
    choices: Vec<Choice>,
    settings: &Settings,
    bound: &Bound,
    step: &mut dyn FnMut(flatwright_nesting::Progress),
) -> Result<Option<Packed>, Vec<ComposeError>> {
    // Pieces that keep the grain are packed as they must lie, or upside down; sheets of one try lie
    // one way, so the first of them tells.
    let lying = |unit: &Unit| unit.grain != Grain::Any && !choices[0].turns(unit.grain, group.sheet.grain).0;
    let turned: Vec<bool> = group.units.iter().map(lying).collect();
    let items = group.units.iter().zip(&turned).map(|(unit, turned)| {
        let item = item(unit, if unit.grain == Grain::Any { Turns::Quarter } else { Turns::Half });
        let outline = if *turned { item.outline.moved(quarter(1)) } else { item.outline };
        Item { outline, ..item }
    });
    let sheets = choices.iter().map(kind);
    let job = Job::new(items.collect(), sheets.collect(), settings.gap_used(), settings.seed, settings.effort)
        .map_err(refused)?;
    let (mut cuts, mut spans) = (Vec::new(), Vec::new());
    let made: Result<Layout, PackError> = match settings.layout {
        LayoutMode::FewestPages => flatwright_nesting::pack(&job, bound, step),
        LayoutMode::Stacked => match stacked(&job, bound, step) {
            Ok(stacked) => {
                check_cuts(&job, &stacked).map_err(|faults| {
                    let error = |fault| ComposeError::Cuts { stock: group.stock, fault };
                    faults.into_iter().map(error).collect::<Vec<_>>()
                })?;
                cuts = stacked.cuts;
                Ok(stacked.layout)
            }
            Err(error) => Err(error),
        },
        LayoutMode::ByStep => {
            let steps = steps::of_group(group, settings);
            let needs = steps::needs(group, settings, &steps);
            match in_order(&job, &needs, bound, step) {
                Ok(ordered) => {
                    check_order(&job, &needs, &ordered).map_err(|faults| {
                        let error = |fault| ComposeError::Order { stock: group.stock, fault };
                        faults.into_iter().map(error).collect::<Vec<_>>()
                    })?;
                    spans = ordered.spans.iter().map(|(first, last)| (steps[*first], steps[*last])).collect();
                    Ok(ordered.layout)
                }
                Err(error) => Err(error),
            }
        }
    };
    let Ok(mut layout) = made else { return Ok(None) };
    if let Err(found) = check::check(&job, &layout) {
        let error = |violation| ComposeError::Layout { stock: group.stock, violation };
        return Err(found.into_iter().map(error).collect());
    }
    let free = free::of_last(&job, &layout, &cuts);
    for placement in layout.sheets.iter_mut().flat_map(|sheet| &mut sheet.placements) {
        // The turn that was made before packing, and the packer's, about the same point.
        placement.quarter_turns = (placement.quarter_turns + u8::from(turned[placement.item])) % 4;
    }
    Ok(Some(Packed { layout, choices, cuts, spans, free, bound: bound.clone() }))
}
