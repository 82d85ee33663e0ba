//! The units that are packed: every part of a stock, split where it must be, with its outline.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use flatwright_nesting::Job;
use kurbo::Rect;

use super::flat::{Flat, area};
use super::label::{self, Label};
use super::{BoardAs, ComposeError, Part, Settings, SheetSettings, split};
use crate::furniture::frame::{Frame, Fullness};
use crate::paper::{Orientation, PaperSize};

/// All parts of one stock.
pub(super) struct Group {
    pub stock: Stock,
    /// Heading of its pages: `Paper`, `Card`, `Board`.
    pub section: &'static str,
    pub sheet: SheetSettings,
    pub fullness: Fullness,
    /// Every orientation that may be used.
    pub choices: Vec<Choice>,
    pub units: Vec<Unit>,
}

/// A way to turn the group's sheets.
#[derive(Clone)]
pub(super) struct Choice {
    pub size: (Mm, Mm),
    pub frame: Frame,
}

/// A drawing with what packing and labelling need.
pub(super) struct Unit {
    pub flat: Flat,
    pub copies: u32,
    pub kerf: Mm,
    pub label: Label,
    /// What is packed.
    pub outline: Contour,
}

/// The groups that have parts, in the order of the document.
pub(super) fn groups(parts: &[Part], settings: &Settings) -> Result<Vec<Group>, Vec<ComposeError>> {
    let mut groups = Vec::new();
    let mut errors = Vec::new();
    for stock in [Stock::Paper, Stock::Card, Stock::Board] {
        if parts.iter().any(|part| part.pattern.stock == stock && part.copies > 0) {
            match group(stock, parts, settings) {
                Ok(group) => groups.push(group),
                Err(found) => errors.extend(found),
            }
        }
    }
    if errors.is_empty() { Ok(groups) } else { Err(errors) }
}

/// The ways in which a sheet can be used; none where it is too small.
pub(super) fn choices(paper: &PaperSize, orientation: Orientation, margin: Mm, fullness: Fullness) -> Vec<Choice> {
    let choice = |orientation: &Orientation| {
        let size = paper.turned(*orientation);
        Frame::new(size, margin, fullness).map(|frame| Choice { size, frame })
    };
    orientation.choices().iter().filter_map(choice).collect()
}

/// A stock's sheets, before anything is on them.
///
/// # Errors
/// [`ComposeError::PageTooSmall`].
pub(super) fn empty_group(stock: Stock, settings: &Settings) -> Result<Group, ComposeError> {
    let (section, sheet, fullness) = match (stock, &settings.board_as) {
        (Stock::Paper, _) => ("Paper", settings.paper.clone(), Fullness::Sheet),
        (Stock::Card, _) => ("Card", settings.card.clone(), Fullness::Sheet),
        (Stock::Board, BoardAs::Template) => {
            let material = format!("{}, to glue on {}", settings.paper.material, settings.board_material);
            ("Board", SheetSettings { material, ..settings.paper.clone() }, Fullness::Sheet)
        }
        (Stock::Board, BoardAs::Sheet(paper)) => {
            let sheet = SheetSettings {
                paper: paper.clone(),
                orientation: Orientation::Either,
                material: settings.board_material.clone(),
                kerf: settings.board_kerf,
            };
            ("Board", sheet, Fullness::Cutter)
        }
    };
    let choices = choices(&sheet.paper, sheet.orientation, settings.margin, fullness);
    if choices.is_empty() {
        return Err(ComposeError::PageTooSmall { paper: sheet.paper.to_string(), margin: settings.margin });
    }
    Ok(Group { stock, section, sheet, fullness, choices, units: Vec::new() })
}

fn group(stock: Stock, parts: &[Part], settings: &Settings) -> Result<Group, Vec<ComposeError>> {
    let mut group = empty_group(stock, settings).map_err(|error| vec![error])?;
    let mut errors = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        if part.pattern.stock == stock && part.copies > 0 {
            match units(index, part, &group, settings) {
                Ok(units) => group.units.extend(units),
                Err(error) => errors.push(error),
            }
        }
    }
    if errors.is_empty() { Ok(group) } else { Err(errors) }
}

/// One unit where the part fits, several where it is split.
fn units(index: usize, part: &Part, group: &Group, settings: &Settings) -> Result<Vec<Unit>, ComposeError> {
    let whole = unit(Flat::new(index, part), part, settings);
    let fits = |unit: &Unit| {
        let size = unit.outline.bounds().size();
        group.choices.iter().any(|choice| holds(choice.frame.free, size.width, size.height))
    };
    if fits(&whole) {
        return Ok(vec![whole]);
    }
    let splittable = group.stock != Stock::Board && settings.split_overlap.is_some();
    if let (true, Some(overlap)) = (splittable, settings.split_overlap) {
        let make = |flat: Flat| unit(flat, part, settings);
        if let Some(halves) = split::split(Flat::new(index, part), overlap, &make, &fits) {
            return Ok(halves);
        }
    }
    Err(too_large(&whole, group, settings, splittable))
}

/// The refusal of a unit that fits none of the group's sheets.
pub(super) fn too_large(unit: &Unit, group: &Group, settings: &Settings, splittable: bool) -> ComposeError {
    let size = unit.outline.bounds().size();
    let size = (Mm::new(size.width), Mm::new(size.height));
    let free = |choice: &Choice| (Mm::new(choice.frame.free.width()), Mm::new(choice.frame.free.height()));
    let frees = |paper: &PaperSize| -> Vec<(Mm, Mm)> {
        choices(paper, group.sheet.orientation, settings.margin, group.fullness).iter().map(free).collect()
    };
    let offered = group.choices.iter().map(|choice| {
        let way = if choice.size.0.get() <= choice.size.1.get() { "portrait" } else { "landscape" };
        let (w, h) = free(choice);
        (format!("{} {way}", group.sheet.paper.name), w, h)
    });
    ComposeError::TooLarge {
        id: unit.flat.id.clone(),
        name: unit.flat.name.join(" "),
        size,
        free: offered.collect(),
        splittable,
        papers: PaperSize::smallest_fitting(size, frees).iter().map(ToString::to_string).collect(),
    }
}

/// Whether a rectangle holds a size, upright or turned.
pub(super) fn holds(free: Rect, width: f64, height: f64) -> bool {
    // Not more than the packer itself allows.
    let within = |w: f64, h: f64| w <= free.width() + 1e-9 && h <= free.height() + 1e-9;
    within(width, height) || within(height, width)
}

fn unit(flat: Flat, part: &Part, settings: &Settings) -> Unit {
    let kerf = settings.kerf(part.pattern.stock);
    let footprint = flat.footprint(kerf, settings.bleed);
    let label = label::plan(&flat, part, settings.bleed, &footprint);
    let outline = outline(&footprint, &label);
    Unit { flat, copies: part.copies, kerf, label, outline }
}

/// The outer contour of a footprint and its leader; a rectangle around them where they are not in
/// one piece or have more corners than the packer takes.
fn outline(footprint: &[Region], label: &Label) -> Contour {
    let mut areas = footprint.to_vec();
    if let Some(leader) = &label.leader {
        areas.extend(area(leader.room));
        areas.extend(leader.strip.clone());
    }
    let joined = region::union(&areas);
    let bounds = joined.iter().map(Region::bounds).reduce(|a, b| a.union(b));
    match (&joined[..], bounds) {
        ([one], _) if one.outer.points().len() <= Job::MAX_CORNERS => one.outer.clone(),
        (_, Some(bounds)) => Contour::rectangle(bounds).unwrap_or_else(|| joined[0].outer.clone()),
        // The footprint holds the material, which has an area.
        (_, None) => footprint[0].outer.clone(),
    }
}
