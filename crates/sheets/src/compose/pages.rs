//! Lays the packed pieces on pages and numbers them through.

use flatwright_geometry::units::Mm;
use flatwright_nesting::{Cut, PackedSheet, Placement};

use super::pack::Packed;
use super::unit::{Choice, Group};
use super::{
    ComposeError, Composed, Part, PlacedPart, Settings, SheetRecord, StockTally, cover, form, free, label, steps,
    tally, trim,
};
use crate::furniture::frame::Head;
use crate::page::{Document, Form, Layer, Mark, Page, Shape};

/// The document: the cover, then every group's pages.
pub(super) fn assemble(
    parts: &[Part],
    settings: &Settings,
    groups: &[Group],
    packed: &[Packed],
) -> Result<Composed, ComposeError> {
    let first_paper = || settings.paper.papers.first().map(|offer| offer.paper.to_string()).unwrap_or_default();
    let too_small = || ComposeError::PageTooSmall { paper: first_paper(), margin: settings.margin };
    let choice = cover::choice(settings).ok_or_else(too_small)?;
    let tallies: Vec<StockTally> =
        groups.iter().zip(packed).map(|(group, packed)| tally::tally(group, packed)).collect();

    // The cover tells page numbers, and its own length moves them: the number of its pages does not
    // depend on what the numbers are, but for their width, so twice round is enough.
    let mut first = 1;
    let mut records = Vec::new();
    let mut cover_pages = Vec::new();
    for _ in 0..3 {
        records = sheet_records(settings, groups, packed, first);
        cover_pages = cover::pages(parts, settings, groups, &records, &tallies, choice.frame.free);
        if cover_pages.len() == first {
            break;
        }
        first = cover_pages.len();
    }
    let total = cover_pages.len() + records.len();

    let mut document = Document {
        title: settings.title.clone(),
        subject: "Patterns to print at 100 %, cut, score and build".to_owned(),
        ..Document::default()
    };
    let covers = cover_pages.len();
    for (index, marks) in cover_pages.into_iter().enumerate() {
        let part = if covers > 1 { format!("Cover {} of {covers}", index + 1) } else { "Cover".to_owned() };
        let head = Head {
            title: settings.title.clone(),
            page: format!("Page {} of {total}", index + 1),
            heading: part.clone(),
            instruction: summary(parts, &records),
            pieces: Vec::new(),
        };
        let mut all = choice.frame.draw(&head);
        all.extend(marks);
        document.pages.push(page(index, part, "Cover", choice.size, 1, all));
    }

    let mut records_left = records.iter();
    for (group, packed) in groups.iter().zip(packed) {
        let base = document.forms.len();
        document.forms.extend(
            group.units.iter().map(|unit| -> Form { form::form(unit, parts[unit.flat.part].face, settings.bleed) }),
        );
        let count = packed.layout.sheets.len();
        for ((number, sheet), record) in packed.layout.sheets.iter().enumerate().zip(records_left.by_ref()) {
            let choice = &packed.choices[sheet.kind];
            let serves = record.steps.map(|span| steps::named(&settings.steps, span));
            let tail = serves.as_ref().map(|steps| format!(", {steps}")).unwrap_or_default();
            let place = format!("sheet {} of {count}{tail}", number + 1);
            let head = Head {
                title: settings.title.clone(),
                page: format!("Page {} of {total}", record.page + 1),
                heading: format!("{}, {place}", group.section),
                instruction: instruction(record),
                pieces: counts(group, sheet),
            };
            let mut marks = choice.frame.draw(&head);
            for placement in &sheet.placements {
                marks.extend(placed(group, placement, base));
            }
            if let Some(inner) = packed.cuts.get(number) {
                let cuts = sheet_cuts(settings, choice, inner);
                marks.extend(trim::marks(&cuts, choice.frame.free));
            }
            marks.extend(record.free.into_iter().flat_map(free::note));
            let title = format!("{} {} of {count}{tail}: {}", group.section, number + 1, kinds(parts, group, sheet));
            document.pages.push(page(record.page, title, group.section, choice.size, sheet.copies, marks));
        }
    }
    Ok(Composed { document, sheets: records, tallies })
}

/// A record of every page with pieces; the first stands at index `first`.
fn sheet_records(settings: &Settings, groups: &[Group], packed: &[Packed], first: usize) -> Vec<SheetRecord> {
    let mut records = Vec::new();
    for (group, packed) in groups.iter().zip(packed) {
        for (number, sheet) in packed.layout.sheets.iter().enumerate() {
            let choice = &packed.choices[sheet.kind];
            let cuts = packed.cuts.get(number).map(|inner| sheet_cuts(settings, choice, inner)).unwrap_or_default();
            records.push(SheetRecord {
                page: first + records.len(),
                paper: choice.offer.paper.clone(),
                size: choice.size,
                stock: group.stock,
                material: group.sheet.material.clone(),
                copies: sheet.copies,
                placements: sheet.placements.iter().map(|placement| placed_part(group, placement)).collect(),
                cuts: cuts.iter().map(Cut::line).collect(),
                free: packed.free.filter(|_| number + 1 == packed.layout.sheets.len()),
                steps: packed.spans.get(number).copied(),
            });
        }
    }
    records
}

/// All cuts of a sheet, from the whole sheet on.
fn sheet_cuts(settings: &Settings, choice: &Choice, inner: &[Cut]) -> Vec<Cut> {
    let half = settings.gap_used().get() / 2.0;
    trim::cuts(choice.size, choice.frame.free.inflate(half, half), inner)
}

fn placed_part(group: &Group, placement: &Placement) -> PlacedPart {
    let flat = &group.units[placement.item].flat;
    PlacedPart {
        part: flat.part,
        id: flat.id.clone(),
        x: Mm::new(placement.shift.x),
        y: Mm::new(placement.shift.y),
        rotation: u32::from(placement.quarter_turns % 4) * 90,
    }
}

/// A piece and its label.
fn placed(group: &Group, placement: &Placement, base: usize) -> Vec<Mark> {
    let motion = placement.motion();
    let form = Shape::Place { form: base + placement.item, motion };
    let mut marks = vec![Mark { layer: Layer::Cutting, shape: form }];
    let unit = &group.units[placement.item];
    marks.extend(label::marks(&unit.label, motion, placement.quarter_turns));
    let letters = unit.flat.joint_letters.iter();
    marks.extend(letters.map(|(letter, at)| label::letter(letter, motion * *at, placement.quarter_turns)));
    marks
}

fn page(index: usize, title: String, section: &str, size: (Mm, Mm), copies: u32, marks: Vec<Mark>) -> Page {
    // Printed at home, a sheet is not trimmed: all three boxes are the paper's.
    let paper = kurbo::Rect::new(0.0, 0.0, size.0.get(), size.1.get());
    Page {
        label: (index + 1).to_string(),
        title,
        section: section.to_owned(),
        size,
        trim: paper,
        bleed: paper,
        copies,
        marks,
    }
}

fn instruction(record: &SheetRecord) -> String {
    let copies = if record.copies == 1 { "print once".to_owned() } else { format!("print {} copies", record.copies) };
    format!("{copies} on {}, {}", record.material, record.paper)
}

fn summary(parts: &[Part], records: &[SheetRecord]) -> String {
    let pieces: u64 = parts.iter().map(|part| u64::from(part.copies)).sum();
    let kinds = parts.iter().filter(|part| part.copies > 0).count();
    let sheets: u64 = records.iter().map(|record| u64::from(record.copies)).sum();
    let plural = |n: u64, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    format!("{} of {} on {}", plural(pieces, "piece"), plural(kinds as u64, "kind"), plural(sheets, "sheet"))
}

/// Pieces of one sheet and how many of each, in the order of the parts.
fn counts(group: &Group, sheet: &PackedSheet) -> Vec<(String, usize)> {
    let count = |item: usize| sheet.placements.iter().filter(|placement| placement.item == item).count();
    let all = group.units.iter().enumerate().map(|(item, unit)| (unit.flat.id.clone(), count(item)));
    all.filter(|(_, count)| *count > 0).collect()
}

/// The families of pieces on a sheet, for its bookmark.
fn kinds(parts: &[Part], group: &Group, sheet: &PackedSheet) -> String {
    let mut kinds: Vec<_> =
        sheet.placements.iter().map(|p| parts[group.units[p.item].flat.part].pattern.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds.iter().map(|kind| kind.name()).collect::<Vec<_>>().join(", ")
}
