//! The units that are packed: every part of a stock, split where it must be, with its outline.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use flatwright_nesting::Job;

use super::flat::{Flat, area};
use super::label::{self, Label};
use super::{BoardAs, ComposeError, Grain, LayoutMode, Offer, Part, Settings, SheetGrain, SheetSettings, split};
use crate::furniture::frame::{Frame, Fullness};
use crate::furniture::registration;
use crate::lines::LineType;
use crate::paper::{Orientation, PaperSize};

/// All parts of one stock, or those of them in one bag.
pub(super) struct Group {
    pub stock: Stock,
    /// Index of the bag, where there are bags.
    pub bag: Option<usize>,
    /// Heading of its pages: `Paper`, `Card`, `Board`.
    pub section: &'static str,
    pub sheet: SheetSettings,
    pub fullness: Fullness,
    /// Every size in every orientation that may be used; sizes in the order of the settings.
    pub choices: Vec<Choice>,
    pub units: Vec<Unit>,
}

/// One of the group's sheets, turned one way.
#[derive(Clone)]
pub(super) struct Choice {
    pub offer: Offer,
    pub size: (Mm, Mm),
    pub frame: Frame,
}

impl Choice {
    /// Whether it stands on its shorter side; a square sheet does.
    pub fn portrait(&self) -> bool {
        self.size.0.get() <= self.size.1.get()
    }

    /// Whether a piece may lie as drawn (or upside down), and whether turned by a quarter.
    pub fn turns(&self, grain: Grain, sheet: SheetGrain) -> (bool, bool) {
        let upright = self.portrait() == (sheet == SheetGrain::Long);
        match grain {
            Grain::Any => (true, true),
            Grain::Along => (upright, !upright),
            Grain::Across => (!upright, upright),
        }
    }

    /// Whether a piece of a size fits.
    pub fn holds(&self, (width, height): (f64, f64), grain: Grain, sheet: SheetGrain) -> bool {
        // Not more than the packer itself allows.
        let within = |w: f64, h: f64| w <= self.frame.free.width() + 1e-9 && h <= self.frame.free.height() + 1e-9;
        let (drawn, turned) = self.turns(grain, sheet);
        (drawn && within(width, height)) || (turned && within(height, width))
    }
}

/// A drawing with what packing and labelling need.
pub(super) struct Unit {
    pub flat: Flat,
    pub copies: u32,
    pub kerf: Mm,
    pub grain: Grain,
    pub label: Label,
    /// What is packed.
    pub outline: Contour,
}

/// The groups that have parts, in the order of the document.
pub(super) fn groups(parts: &[Part], settings: &Settings) -> Result<Vec<Group>, Vec<ComposeError>> {
    let bags: Vec<Option<usize>> = match settings.bags.len() {
        0 => vec![None],
        count => (0..count).map(Some).collect(),
    };
    let mut groups = Vec::new();
    let mut errors: Vec<ComposeError> = Vec::new();
    for stock in [Stock::Paper, Stock::Card, Stock::Board] {
        for &bag in &bags {
            let held =
                |(index, part): (usize, &Part)| part.pattern.stock == stock && copies(part, index, bag, settings) > 0;
            if parts.iter().enumerate().any(held) {
                match group(stock, bag, parts, settings) {
                    Ok(group) => groups.push(group),
                    // What is wrong with a piece is told once, whatever bags it is in.
                    Err(found) => found.into_iter().for_each(|error| {
                        if !errors.contains(&error) {
                            errors.push(error);
                        }
                    }),
                }
            }
        }
    }
    if errors.is_empty() { Ok(groups) } else { Err(errors) }
}

/// How many of a part are in a bag; all of them where there are none.
fn copies(part: &Part, index: usize, bag: Option<usize>, settings: &Settings) -> u32 {
    match bag.and_then(|bag| settings.bags.get(bag)) {
        Some(bag) => bag.copies.get(index).copied().unwrap_or(0),
        None => part.copies,
    }
}

/// The ways in which a sheet can be used; none where it is too small.
pub(super) fn choices(offer: &Offer, orientation: Orientation, settings: &Settings, fullness: Fullness) -> Vec<Choice> {
    let stacked = settings.layout == LayoutMode::Stacked;
    let lines = if stacked && fullness != Fullness::Cover { LineType::ALL } else { LineType::OF_PIECES };
    let choice = |orientation: &Orientation| {
        let size = offer.paper.turned(*orientation);
        let marks = if settings.registration && fullness != Fullness::Cover { registration::ROOM } else { Mm::ZERO };
        let frame = Frame::with_lines(size, settings.margin + marks, fullness, lines)?;
        Some(Choice { offer: offer.clone(), size, frame })
    };
    // Turned, a square sheet is the same.
    let square = offer.paper.width == offer.paper.height;
    orientation.choices().iter().take(if square { 1 } else { 2 }).filter_map(choice).collect()
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
        (Stock::Board, BoardAs::Sheet(papers)) => {
            let sheet = SheetSettings {
                papers: papers.clone(),
                orientation: Orientation::Either,
                material: settings.board_material.clone(),
                kerf: settings.board_kerf,
                grain: SheetGrain::default(),
            };
            ("Board", sheet, Fullness::Cutter)
        }
    };
    let mut all = Vec::new();
    for offer in &sheet.papers {
        let choices = choices(offer, sheet.orientation, settings, fullness);
        if choices.is_empty() {
            return Err(ComposeError::PageTooSmall { paper: offer.paper.to_string(), margin: settings.margin });
        }
        all.extend(choices);
    }
    let choices = all;
    Ok(Group { stock, bag: None, section, sheet, fullness, choices, units: Vec::new() })
}

fn group(stock: Stock, bag: Option<usize>, parts: &[Part], settings: &Settings) -> Result<Group, Vec<ComposeError>> {
    let mut group = Group { bag, ..empty_group(stock, settings).map_err(|error| vec![error])? };
    let mut errors = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let copies = copies(part, index, bag, settings);
        if part.pattern.stock == stock && copies > 0 {
            match units((index, part), copies, &group, settings) {
                Ok(units) => group.units.extend(units),
                Err(error) => errors.push(error),
            }
        }
    }
    if errors.is_empty() { Ok(group) } else { Err(errors) }
}

/// One unit where the part fits, several where it is split.
fn units(
    (index, part): (usize, &Part),
    copies: u32,
    group: &Group,
    settings: &Settings,
) -> Result<Vec<Unit>, ComposeError> {
    let make = |flat: Flat| unit(flat, part, copies, settings);
    let whole = make(Flat::new(index, part));
    let fits = |unit: &Unit| {
        let size = unit.outline.bounds().size();
        let size = (size.width, size.height);
        group.choices.iter().any(|choice| choice.holds(size, unit.grain, group.sheet.grain))
    };
    if fits(&whole) {
        return Ok(vec![whole]);
    }
    let splittable = group.stock != Stock::Board && settings.split_overlap.is_some();
    if let (true, Some(overlap)) = (splittable, settings.split_overlap)
        && let Some(halves) = split::split(Flat::new(index, part), overlap, &make, &fits)
    {
        return Ok(halves);
    }
    Err(too_large(&whole, group, settings, splittable))
}

/// The refusal of a unit that fits none of the group's sheets.
pub(super) fn too_large(unit: &Unit, group: &Group, settings: &Settings, splittable: bool) -> ComposeError {
    let size = unit.outline.bounds().size();
    let size = (Mm::new(size.width), Mm::new(size.height));
    let free = |choice: &Choice| (Mm::new(choice.frame.free.width()), Mm::new(choice.frame.free.height()));
    let frees = |paper: &PaperSize| -> Vec<(Mm, Mm)> {
        let offer = Offer::only(paper.clone());
        choices(&offer, group.sheet.orientation, settings, group.fullness).iter().map(free).collect()
    };
    let offered = group.choices.iter().map(|choice| {
        let way = if choice.portrait() { "portrait" } else { "landscape" };
        let (w, h) = free(choice);
        (format!("{} {way}", choice.offer.paper.name), w, h)
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

fn unit(flat: Flat, part: &Part, copies: u32, settings: &Settings) -> Unit {
    let kerf = settings.kerf(part.pattern.stock);
    let footprint = flat.footprint(kerf, settings.bleed);
    let label = label::plan(&flat, part, settings.bleed, &footprint);
    let outline = outline(&footprint, &label);
    Unit { flat, copies, kerf, grain: part.grain, label, outline }
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
