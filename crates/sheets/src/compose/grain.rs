//! Which way the grain of paper and card should run in a piece, and the arrow that shows it.
//!
//! Paper and card fold cleanly along their grain and crack across it (common practice). A piece
//! with long folds one way wants its grain that way; where there is room off the finished face, a
//! small arrow with the word `grain` says so. Where the grain of the sheets is known, an arrow
//! stands only where it is true of the sheet that the piece lies on.

use std::collections::BTreeSet;

use flatwright_geometry::pattern::{Pattern, Stock};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::{Angle, Mm};
use flatwright_nesting::Placement;
use kurbo::{Affine, Line, Point, Rect, Vec2};

use super::label::{MIDDLE, PAD, TALL};
use super::room::{Free, Raster};
use super::unit::{Choice, Group, Unit};
use super::{Grain, Part, PlacedPart, SheetRecord, steps};
use crate::font;
use crate::furniture::{arrow, style};
use crate::page::{Align, Layer, Mark, Shape, Text, Weight};

/// What the arrow says.
const WORD: &str = "grain";
/// Least share of all fold lines that run one way, for that to be the way of the folds.
const SHARE: f64 = 0.6;
/// A piece whose longest fold is not longer than this folds well either way, mm.
const LONG: f64 = 40.0;
/// Ems of the word, the roomiest first.
const SIZES: [f64; 2] = [2.2, 1.8];
/// Lengths of an arrow beside its word, mm, the roomiest first.
const SHORT: [f64; 3] = [6.0, 4.5, 3.0];
/// Length of a shaft on either side of the word, and room between the two, mm.
const SHAFT: f64 = 3.2;
const GAP: f64 = 0.6;
/// Room around the whole that is nice to have, mm.
const AIR: f64 = 1.6;
/// Width of the band that an arrow needs, mm.
const BAND: f64 = 1.2;

/// A direction of a flat piece or of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    /// Across, to the right.
    X,
    /// Up.
    Y,
}

impl Axis {
    /// The same after so many quarter turns.
    #[must_use]
    pub const fn turned(self, quarter_turns: u8) -> Self {
        match (self, quarter_turns % 2) {
            (Self::X, 1) => Self::Y,
            (Self::Y, 1) => Self::X,
            (same, _) => same,
        }
    }
}

/// The direction along which a pattern of paper or card folds: that of at least 60 % of its fold
/// lines by length, if the longest of those is longer than 40 mm. Folds that lie on one line count
/// as one, since they are scored in one go. `None` where neither direction is clearly the longer,
/// where all folds are short, and for board. The numbers are common practice.
#[must_use]
pub fn folds_along(pattern: &Pattern) -> Option<Axis> {
    if pattern.stock == Stock::Board {
        return None;
    }
    // Direction, place across it, and length.
    let mut scored: Vec<(Axis, f64, f64)> = Vec::new();
    let mut total = 0.0;
    for hinge in &pattern.net.hinges {
        let run = hinge.line.p1 - hinge.line.p0;
        total += run.hypot();
        let (axis, at) = if run.y.abs() < tolerance::FIT {
            (Axis::X, hinge.line.p0.y)
        } else if run.x.abs() < tolerance::FIT {
            (Axis::Y, hinge.line.p0.x)
        } else {
            continue;
        };
        let same = |(other, place, _): &&mut (Axis, f64, f64)| *other == axis && (*place - at).abs() < tolerance::FIT;
        match scored.iter_mut().find(same) {
            Some((.., length)) => *length += run.hypot(),
            None => scored.push((axis, at, run.hypot())),
        }
    }
    [Axis::X, Axis::Y].into_iter().find(|axis| {
        let lengths = || scored.iter().filter(|(other, ..)| other == axis).map(|(.., length)| *length);
        let longest = lengths().fold(0.0, f64::max);
        longest > LONG && lengths().sum::<f64>() >= SHARE * total
    })
}

/// The arrow of a piece, pattern coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arrow {
    /// Which way it points.
    pub axis: Axis,
    /// What it covers with its word.
    pub room: Rect,
    form: Form,
    /// Em of the word.
    size: f64,
}

/// How arrow and word stand to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Form {
    /// The word in the middle of the shaft.
    Inline,
    /// The word along the arrow, above it.
    Above,
    /// The word across the arrow, after it.
    Across,
}

impl Form {
    /// Room along the arrow and across it, mm.
    fn room(self, size: f64, arrow: f64) -> (f64, f64) {
        let word = font::measure(WORD, Mm::new(size), Weight::Regular).get();
        let tall = size * TALL;
        match self {
            Self::Inline => (word + 2.0 * (GAP + SHAFT), tall + 2.0 * PAD),
            Self::Above => (word + 2.0 * PAD, tall + BAND + 2.0 * PAD),
            Self::Across => (arrow.max(tall), word + GAP + BAND + 2.0 * PAD),
        }
    }
}

/// Which way the grain should run in a part: as it is told to lie, else along its folds. `None` for
/// a part whose folds do not need it.
pub(super) fn wanted(part: &Part) -> Option<Axis> {
    let folds = folds_along(&part.pattern)?;
    Some(match part.grain {
        Grain::Any => folds,
        Grain::Along => Axis::Y,
        Grain::Across => Axis::X,
    })
}

/// The arrow of a unit as near to its label as there is room for it: on the material, but neither
/// on what shows or is printed, nor on lines, the label or the marks of a joint. `None` where the
/// folds do not need it or there is no room.
pub(super) fn place(unit: &Unit, part: &Part, bleed: Mm) -> Option<Arrow> {
    let axis = wanted(part)?;
    let free = open(unit, part, bleed);
    let near = unit.label.centre;
    let forms = SIZES.map(|size| (Form::Inline, size, 0.0)).into_iter();
    let forms = forms.chain(SIZES.map(|size| (Form::Above, size, 0.0)));
    let forms = forms.chain(SHORT.into_iter().flat_map(|arrow| SIZES.map(|size| (Form::Across, size, arrow))));
    for (form, size, arrow) in forms {
        let (along, across) = form.room(size, arrow);
        let (width, height) = if axis == Axis::X { (along, across) } else { (across, along) };
        // With air around it, if that is there.
        let airy = free.nearest((width + AIR, height + AIR), near).map(|room| room.inflate(-AIR / 2.0, -AIR / 2.0));
        if let Some(room) = airy.or_else(|| free.nearest((width, height), near)) {
            return Some(Arrow { axis, room, form, size });
        }
    }
    None
}

/// Where an arrow may lie.
fn open(unit: &Unit, part: &Part, bleed: Mm) -> Free {
    let flat = &unit.flat;
    let mut raster = Raster::new(flat.material.bounds());
    raster.open(std::slice::from_ref(&flat.material));
    // Without artwork what shows still shows.
    raster.close(if flat.face.is_empty() { &part.pattern.face } else { &flat.face });
    raster.close(&flat.printed(bleed));
    let outlines = flat.material.contours().flat_map(|contour| contour.sides().map(|(a, b)| Line::new(a, b)));
    let folds = flat.folds.iter().map(|(_, line)| *line);
    for line in outlines.chain(folds).chain(flat.scores.iter().chain(&flat.perforations).copied()) {
        raster.close_line(line);
    }
    for slit in &flat.slits {
        raster.close_path(slit);
    }
    for mark in &flat.joints {
        if let Shape::Stroke { path, .. } | Shape::Fill { path, .. } = &mark.shape {
            raster.close_path(path);
        }
    }
    let letter = Vec2::new(2.0, 2.0);
    for (_, at) in &flat.joint_letters {
        raster.close_rect(Rect::from_points(*at - letter, *at + letter));
    }
    raster.close_rect(unit.label.room);
    if let Some(leader) = &unit.label.leader {
        raster.close_line(leader.line);
    }
    raster.into_free()
}

/// The direction of a unit's arrow on its page; `None` where it has none, or where the grain of the
/// sheet is known and runs the other way.
pub(super) fn on_page(group: &Group, choice: &Choice, placement: &Placement) -> Option<Axis> {
    let arrow = group.units[placement.item].arrow?;
    let axis = arrow.axis.turned(placement.quarter_turns);
    match of_sheet(group, choice) {
        Some(grain) if grain != axis => None,
        _ => Some(axis),
    }
}

/// Whether a unit lies so that it folds across the grain of its sheet, where that is known.
pub(super) fn lies_across(group: &Group, choice: &Choice, placement: &Placement, parts: &[Part]) -> bool {
    let folds = folds_along(&parts[group.units[placement.item].flat.part].pattern);
    let folds = folds.map(|axis| axis.turned(placement.quarter_turns));
    folds.zip(of_sheet(group, choice)).is_some_and(|(folds, grain)| folds != grain)
}

/// The direction of a sheet's grain, where it is known.
fn of_sheet(group: &Group, choice: &Choice) -> Option<Axis> {
    group.sheet.grain?;
    let (upright, _) = choice.turns(Grain::Along, group.sheet.grain);
    Some(if upright { Axis::Y } else { Axis::X })
}

/// The arrow's marks on a page, for a piece under `motion`, a shift and quarter turns. The word reads
/// from the foot or from the right.
pub(super) fn marks(arrow: &Arrow, motion: Affine, axis: Axis) -> Vec<Mark> {
    let room = motion.transform_rect_bbox(arrow.room);
    // In a frame in which the arrow points to the right; upright ones are turned to the left.
    let (length, width) = match axis {
        Axis::X => (room.width(), room.height()),
        Axis::Y => (room.height(), room.width()),
    };
    let frame = match axis {
        Axis::X => Affine::translate((room.x0, room.y0)),
        Axis::Y => Affine::new([0.0, 1.0, -1.0, 0.0, room.x1, room.y0]),
    };
    let word = font::measure(WORD, Mm::new(arrow.size), Weight::Regular).get();
    let at = |along: f64, across: f64| frame * Point::new(along, across);
    let line = |from: f64, to: f64, across: f64| Line::new(at(from, across), at(to, across));
    let (shaft, middle, across) = match arrow.form {
        Form::Inline => {
            let (before, after) = ((length - word) / 2.0 - GAP, (length + word) / 2.0 + GAP);
            let level = width / 2.0;
            (vec![line(0.0, before, level), line(after, length, level)], at(length / 2.0, level), false)
        }
        Form::Above => {
            let level = PAD + BAND + arrow.size * TALL / 2.0;
            (vec![line(0.0, length, PAD + BAND / 2.0)], at(length / 2.0, level), false)
        }
        Form::Across => {
            let level = width - PAD - BAND / 2.0;
            (vec![line(0.0, length, level)], at(length / 2.0, PAD + word / 2.0), true)
        }
    };
    let mut marks = arrow::double(&shaft, Layer::Labels);
    let upward = (axis == Axis::Y) != across;
    let drop = MIDDLE * arrow.size;
    let (base, turn) = if upward {
        (middle + Vec2::new(drop, 0.0), Angle::QUARTER)
    } else {
        (middle - Vec2::new(0.0, drop), Angle::ZERO)
    };
    let text = Text {
        at: base,
        text: WORD.to_owned(),
        size: Mm::new(arrow.size),
        weight: Weight::Regular,
        align: Align::Middle,
        turn,
        colour: style::INK,
    };
    marks.push(Mark { layer: Layer::Labels, shape: Shape::Text(text) });
    marks
}

/// What the cover says of the grain, a paragraph each; nothing where no folds need it.
pub(super) fn words(parts: &[Part], groups: &[Group], sheets: &[SheetRecord]) -> Vec<String> {
    let groups: Vec<&Group> = groups.iter().filter(|group| group.grain).collect();
    if groups.is_empty() {
        return Vec::new();
    }
    let mut all = vec![
        "An arrow with the word \"grain\" shows which way the grain should run in a piece: a fold along it is clean, \
         a fold across it may crack. To find it, bend a sheet both ways: it bends more easily along its grain. Or tear \
         it both ways: along the grain it tears straighter. (Common practice.)"
            .to_owned(),
    ];
    let has = |axis| move |placed: &PlacedPart| placed.arrow == Some(axis);
    let unknown = |record: &&SheetRecord| {
        groups.iter().any(|group| group.stock == record.stock && group.sheet.grain.is_none())
            && record.placements.iter().any(has(Axis::X))
            && record.placements.iter().any(has(Axis::Y))
    };
    let both: Vec<usize> = sheets.iter().filter(unknown).map(|record| record.page + 1).collect();
    if !both.is_empty() {
        let pages = if both.len() == 1 { "Page" } else { "Pages" };
        all.push(format!(
            "{pages} {}: arrows both ways. Where the set says how the \"grain\" of its sheets runs and lets \
             \"piece_grain\" be \"folds\", pieces are turned to suit.",
            steps::ranges(&both)
        ));
    }
    let across = sheets.iter().flat_map(|record| &record.placements).filter(|placed| placed.across_grain);
    let across: BTreeSet<(usize, &str)> = across.map(|placed| (placed.part, placed.id.as_str())).collect();
    if !across.is_empty() {
        all.push(format!(
            "They fold across the grain, so score them well: {}. Let \"piece_grain\" be \"folds\" to turn them.",
            listed(across.into_iter().map(|(_, id)| id))
        ));
    }
    let units = groups.iter().flat_map(|group| &group.units);
    let bare = units.filter(|unit| unit.arrow.is_none() && wanted(&parts[unit.flat.part]).is_some());
    let bare: Vec<&str> = bare.map(|unit| unit.flat.id.as_str()).collect();
    if !bare.is_empty() {
        let few = listed(bare.into_iter());
        all.push(format!("No room for an arrow: {few}. Let their grain run along their longest folds."));
    }
    all
}

/// The most names of a list.
const MOST_LISTED: usize = 24;

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    let more = names.len().saturating_sub(MOST_LISTED);
    let rest = if more == 0 { String::new() } else { format!(" and {more} more (parts.json has them all)") };
    format!("{}{rest}", names[..names.len() - more].join(", "))
}
