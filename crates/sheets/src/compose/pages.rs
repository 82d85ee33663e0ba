//! Lays the packed pieces on pages and numbers them through.

use flatwright_geometry::units::Mm;
use flatwright_nesting::{Cut, PackedSheet, Placement};

use super::pack::Packed;
use super::unit::{Choice, Group};
use super::{
    ComposeError, Composed, Kits, Part, PlacedPart, Settings, SheetRecord, StockTally, back, cover, form, free, grain,
    ink, label, steps, tally, trim,
};
use crate::art::{self, Forms};
use crate::embed;
use crate::furniture::frame::Head;
use crate::furniture::registration;
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
    let art = Forms::new(&settings.artwork, 0);
    let drawn: Vec<Drawn> = groups.iter().map(|group| Drawn::new(group, parts, &art, settings.bleed)).collect();

    let mut document = Document {
        title: settings.title.clone(),
        subject: "Patterns to print at 100 %, cut, score and build".to_owned(),
        forms: art::forms(&settings.artwork),
        images: settings.artwork.images.clone(),
        pages: Vec::new(),
    };
    let picture = settings.picture.as_ref().and_then(|picture| embed::page(&mut document, picture));
    // The cover tells page numbers, and its own length moves them: the number of its pages does not
    // depend on what the numbers are, but for their width, so twice round is enough.
    let mut first = 1;
    let mut records = Vec::new();
    let mut tallies = Vec::new();
    let mut cover_pages = Vec::new();
    for _ in 0..3 {
        records = sheet_records(settings, parts, groups, packed, &drawn, first);
        tallies = tallies_of(settings, groups, packed, &records);
        cover_pages = cover::pages(parts, settings, groups, &records, &tallies, picture.as_ref(), choice.frame.free);
        let covers = covers(settings, cover_pages.len());
        if covers == first {
            break;
        }
        first = covers;
    }
    let total = first + records.len() * pages_of_sheet(settings);

    let covers = cover_pages.len();
    for (index, marks) in cover_pages.into_iter().enumerate() {
        let part = if covers > 1 { format!("Cover {} of {covers}", index + 1) } else { "Cover".to_owned() };
        let head = Head {
            title: settings.title.clone(),
            page: format!("Page {} of {total}", index + 1),
            heading: part.clone(),
            instruction: summary(parts, settings.kits, &records),
            pieces: Vec::new(),
            grain: false,
        };
        let mut all = choice.frame.draw(&head);
        all.extend(marks);
        document.pages.push(page(index, part, "Cover", choice.size, 1, all));
    }

    if first > covers {
        // Printed on both sides, the first sheet must not come behind the cover.
        let title = "Reverse of the cover: left empty".to_owned();
        document.pages.push(page(covers, title, "Cover", choice.size, 1, Vec::new()));
    }

    let mut records_left = records.iter();
    for ((group, packed), drawn) in groups.iter().zip(packed).zip(drawn) {
        // A piece that is in several bags is drawn once.
        let forms: Vec<usize> = drawn.forms.into_iter().map(|form| index_of(&mut document.forms, form)).collect();
        let count = packed.layout.sheets.len();
        for ((number, sheet), record) in packed.layout.sheets.iter().enumerate().zip(records_left.by_ref()) {
            let choice = &packed.choices[sheet.kind];
            let serves = record.steps.map(|span| steps::named(&settings.steps, span));
            let tail = serves.as_ref().map(|steps| format!(", {steps}")).unwrap_or_default();
            let place = format!("sheet {} of {count}{tail}", number + 1);
            let head = Head {
                title: settings.title.clone(),
                page: format!("Page {} of {total}", record.page + 1),
                heading: format!(
                    "{}{}, {place}",
                    group.section,
                    bag_of(settings, group).map(|bag| format!(", {bag}")).unwrap_or_default()
                ),
                instruction: instruction(record, settings.kits),
                pieces: counts(group, sheet),
                grain: record.placements.iter().any(|placed| placed.arrow.is_some()),
            };
            let mut marks = choice.frame.draw(&head);
            for placement in &sheet.placements {
                marks.extend(placed(group, choice, placement, &forms));
            }
            if let Some(inner) = packed.cuts.get(number) {
                let cuts = sheet_cuts(settings, choice, inner);
                marks.extend(trim::marks(&cuts, choice.frame.free));
            }
            marks.extend(record.free.into_iter().flat_map(free::note));
            if settings.registration {
                marks.extend(registration::marks(printable(settings, choice)));
            }
            let bag = bag_of(settings, group).map(|bag| format!(", {bag}")).unwrap_or_default();
            let section = group.section;
            let title = format!("{section}{bag} {} of {count}{tail}: {}", number + 1, kinds(parts, group, sheet));
            document.pages.push(page(record.page, title, group.section, choice.size, sheet.copies, marks));
            if let (Some(flip), Some(reverse)) = (settings.reverse, record.reverse) {
                let front = record.page + 1;
                let marks = back::marks(group, sheet, flip.to_back(choice.size), choice.frame.header, front);
                let title = format!("Reverse of page {front}");
                document.pages.push(page(reverse, title, group.section, choice.size, sheet.copies, marks));
            }
        }
    }
    Ok(Composed { document, sheets: records, tallies })
}

/// The drawings of a group, and the ink that each takes, mm2 of full black.
struct Drawn {
    forms: Vec<Form>,
    ink: Vec<f64>,
}

impl Drawn {
    fn new(group: &Group, parts: &[Part], art: &Forms<'_>, bleed: Mm) -> Self {
        let form = |unit: &super::unit::Unit| form::form(unit, &parts[unit.flat.part], art, bleed);
        let forms: Vec<Form> = group.units.iter().map(form).collect();
        let both = forms.iter().zip(&group.units);
        let ink = both.map(|(form, unit)| ink::of_form(form, unit, &parts[unit.flat.part], art, bleed)).collect();
        Self { forms, ink }
    }

    /// The share of a page's area that ink covers.
    fn share(&self, settings: &Settings, group: &Group, choice: &Choice, sheet: &PackedSheet) -> f64 {
        // Words of the header that differ from page to page come to next to nothing.
        let mut sum = ink::of_marks(&choice.frame.draw(&Head { title: settings.title.clone(), ..Head::default() }));
        if settings.registration {
            sum += ink::of_marks(&registration::marks(printable(settings, choice)));
        }
        for placement in &sheet.placements {
            let label = &group.units[placement.item].label;
            sum += self.ink[placement.item]
                + ink::of_marks(&label::marks(label, placement.motion(), placement.quarter_turns))
                + ink::of_marks(&arrow(group, choice, placement));
        }
        sum / (choice.size.0.get() * choice.size.1.get())
    }
}

/// The name of a group's bag.
fn bag_of<'a>(settings: &'a Settings, group: &Group) -> Option<&'a str> {
    settings.bags.get(group.bag?).map(|bag| bag.name.as_str())
}

/// The page less its margins.
fn printable(settings: &Settings, choice: &Choice) -> kurbo::Rect {
    let margin = settings.margin.get();
    kurbo::Rect::new(0.0, 0.0, choice.size.0.get(), choice.size.1.get()).inflate(-margin, -margin)
}

/// How many pages a sheet of paper has: two where backs are printed.
const fn pages_of_sheet(settings: &Settings) -> usize {
    if settings.reverse.is_some() { 2 } else { 1 }
}

/// Pages before the first sheet: covers fill whole sheets of paper.
const fn covers(settings: &Settings, pages: usize) -> usize {
    pages.next_multiple_of(pages_of_sheet(settings))
}

fn tallies_of(settings: &Settings, groups: &[Group], packed: &[Packed], records: &[SheetRecord]) -> Vec<StockTally> {
    let tally = |(group, packed): (&Group, &Packed)| StockTally {
        ink: tally::mean_ink(records.iter().filter(|record| record.stock == group.stock)),
        ..tally::tally(group, packed, settings.kits.prints())
    };
    let mut tallies: Vec<StockTally> = Vec::new();
    for (group, packed) in groups.iter().zip(packed) {
        let mut one = tally((group, packed));
        if let Some(bag) = bag_of(settings, group) {
            one.certificate = format!("{bag}: {}", one.certificate);
        }
        match tallies.last_mut().filter(|last| last.stock == one.stock) {
            Some(last) => last.add(one),
            None => tallies.push(one),
        }
    }
    tallies
}

/// A record of every page with pieces; the first stands at index `first`.
fn sheet_records(
    settings: &Settings,
    parts: &[Part],
    groups: &[Group],
    packed: &[Packed],
    drawn: &[Drawn],
    first: usize,
) -> Vec<SheetRecord> {
    let mut records = Vec::new();
    for ((group, packed), drawn) in groups.iter().zip(packed).zip(drawn) {
        for (number, sheet) in packed.layout.sheets.iter().enumerate() {
            let page = first + records.len() * pages_of_sheet(settings);
            let choice = &packed.choices[sheet.kind];
            let cuts = packed.cuts.get(number).map(|inner| sheet_cuts(settings, choice, inner)).unwrap_or_default();
            records.push(SheetRecord {
                page,
                paper: choice.offer.paper.clone(),
                size: choice.size,
                stock: group.stock,
                bag: bag_of(settings, group).map(str::to_owned),
                material: group.sheet.material.clone(),
                copies: sheet.copies,
                placements: sheet.placements.iter().map(|placed| placed_part(parts, group, choice, placed)).collect(),
                cuts: cuts.iter().map(Cut::line).collect(),
                free: packed.free.filter(|_| number + 1 == packed.layout.sheets.len()),
                steps: packed.spans.get(number).copied(),
                reverse: settings.reverse.map(|_| page + 1),
                registration: settings.registration.then(|| registration::corners(printable(settings, choice))),
                ink: drawn.share(settings, group, choice, sheet),
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

fn placed_part(parts: &[Part], group: &Group, choice: &Choice, placement: &Placement) -> PlacedPart {
    let flat = &group.units[placement.item].flat;
    PlacedPart {
        part: flat.part,
        id: flat.id.clone(),
        x: Mm::new(placement.shift.x),
        y: Mm::new(placement.shift.y),
        rotation: u32::from(placement.quarter_turns % 4) * 90,
        arrow: grain::on_page(group, choice, placement),
        across_grain: grain::lies_across(group, choice, placement, parts),
    }
}

/// Where a form stands among those of a document; one that is not there yet is added.
fn index_of(forms: &mut Vec<Form>, form: Form) -> usize {
    forms.iter().position(|other| other.id == form.id).unwrap_or_else(|| {
        forms.push(form);
        forms.len() - 1
    })
}

/// A piece, its label and its arrow.
fn placed(group: &Group, choice: &Choice, placement: &Placement, forms: &[usize]) -> Vec<Mark> {
    let motion = placement.motion();
    let form = Shape::Place { form: forms[placement.item], motion };
    let mut marks = vec![Mark { layer: Layer::Cutting, shape: form }];
    let unit = &group.units[placement.item];
    marks.extend(label::marks(&unit.label, motion, placement.quarter_turns));
    let letters = unit.flat.joint_letters.iter();
    marks.extend(letters.map(|(letter, at)| label::letter(letter, motion * *at, placement.quarter_turns)));
    marks.extend(arrow(group, choice, placement));
    marks
}

/// The arrow of a piece, where it has one on this sheet.
fn arrow(group: &Group, choice: &Choice, placement: &Placement) -> Vec<Mark> {
    let both = group.units[placement.item].arrow.zip(grain::on_page(group, choice, placement));
    both.map(|(arrow, axis)| grain::marks(&arrow, placement.motion(), axis)).unwrap_or_default()
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

fn instruction(record: &SheetRecord, kits: Kits) -> String {
    let copies = if record.copies == 1 { "print once".to_owned() } else { format!("print {} copies", record.copies) };
    // What belongs to one kit is given a name by hand: equal pages are printed as one.
    let kit = if let Kits::Own(_) = kits { "; kit: _______________" } else { "" };
    format!("{copies} on {}, {}{kit}", record.material, record.paper)
}

fn summary(parts: &[Part], kits: Kits, records: &[SheetRecord]) -> String {
    let pieces: u64 = parts.iter().map(|part| u64::from(part.copies)).sum();
    let pieces = pieces * u64::from(kits.prints());
    let kinds = parts.iter().filter(|part| part.copies > 0).count();
    let sheets: u64 = records.iter().map(|record| u64::from(record.copies)).sum();
    let plural = |n: u64, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let kits = match kits {
        Kits::One => String::new(),
        Kits::Own(kits) | Kits::Shared(kits) => format!(" for {}", plural(u64::from(kits), "kit")),
    };
    format!("{} of {}{kits} on {}", plural(pieces, "piece"), plural(kinds as u64, "kind"), plural(sheets, "sheet"))
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
