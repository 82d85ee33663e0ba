//! What a set takes: sheets of each stock, and with rates what they cost and how long work takes.
//!
//! Sheets of paper and card are those of the finished pages. All that has to do with money and
//! time is an estimate.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::region::Region;
use flatwright_geometry::units::{Mm, plain};
use flatwright_sheets::class::stacks;
use flatwright_sheets::compose::{Composed, SheetRecord};
use flatwright_sheets::guide::ShoppingLine;
use flatwright_sheets::paper::PaperSize;
use kurbo::{ParamCurveArclen as _, PathSeg};

use crate::import::{Piece, Set, Size};
use crate::set_file::Rates;

/// The shopping list, the sum and the working time where the rates allow them.
#[must_use]
pub fn list(set: &Set, composed: &Composed) -> Vec<ShoppingLine> {
    let mut total = None;
    let mut lines: Vec<ShoppingLine> = needs(set, composed)
        .into_iter()
        .map(|need| {
            let price = need.price.map(|price| price * f64::from(need.sheets));
            if let Some(price) = price {
                total = Some(total.unwrap_or(0.0) + price);
            }
            let least = if need.at_least { "at least " } else { "" };
            ShoppingLine {
                what: need.what,
                quantity: format!("{least}{}", counted(u64::from(need.sheets), "sheet")),
                price: price.map(|price| money(set.rates.as_ref(), price)),
                note: need.note,
            }
        })
        .collect();
    if let Some(total) = total {
        lines.push(ShoppingLine {
            what: "All of these".into(),
            quantity: String::new(),
            price: Some(money(set.rates.as_ref(), total)),
            note: "estimate, from the prices in the set file".into(),
        });
        if let Some(class) = &set.class {
            let kits = class.kits.len() as f64;
            lines.push(ShoppingLine {
                what: "For one kit".into(),
                quantity: String::new(),
                price: Some(money(set.rates.as_ref(), total / kits)),
                note: format!("the sum above, divided by {kits} kits"),
            });
        }
    }
    lines.extend(time(set, composed));
    lines
}

/// Sheets of one stock and size.
struct Need {
    what: String,
    sheets: u32,
    /// Whether more may be needed.
    at_least: bool,
    /// What one costs.
    price: Option<f64>,
    note: String,
}

fn needs(set: &Set, composed: &Composed) -> Vec<Need> {
    let sheets = &set.sheets;
    let laid = |stock: Stock, size: &Size| -> u32 {
        let same = |sheet: &&SheetRecord| sheet.stock == stock && sheet.paper == size.paper;
        composed.sheets.iter().filter(same).map(|sheet| sheet.copies).sum()
    };
    let rates = set.rates.as_ref();
    // The rates know one price for a stock: that of its usual size. Others cost as their area does.
    let price = |stock: Stock, usual: &PaperSize, size: &Size| {
        let rate = || price_of(rates, stock).map(|price| price * size.paper.area() / usual.area());
        size.price.or_else(rate)
    };
    let need = |stock: Stock, material: &str, usual: &PaperSize, size: &Size, sheets: u32| Need {
        what: format!("{material}, {}", size.paper),
        sheets,
        at_least: false,
        price: price(stock, usual, size),
        note: String::new(),
    };
    let mut needs = Vec::new();
    let all: u32 = composed.document.pages.iter().map(|page| page.copies).sum();
    let cover = all - composed.sheets.iter().map(|sheet| sheet.copies).sum::<u32>();
    for (index, size) in sheets.paper.sizes.iter().enumerate() {
        let uses = [
            (laid(Stock::Paper, size), "for wraps and facings"),
            (if sheets.board.direct { 0 } else { laid(Stock::Board, size) }, "for templates that are glued on board"),
            (if index == 0 { cover } else { 0 }, "for the cover"),
        ];
        let used: Vec<String> =
            uses.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}")).collect();
        let count = uses.iter().map(|(count, _)| count).sum();
        let need = need(Stock::Paper, &sheets.paper.material, &sheets.paper.size, size, count);
        needs.push(Need { note: used.join(", "), ..need });
    }
    for size in &sheets.card.sizes {
        needs.push(need(Stock::Card, &sheets.card.material, &sheets.card.size, size, laid(Stock::Card, size)));
    }
    let board = &sheets.board;
    for (index, size) in board.sizes.iter().enumerate() {
        if board.direct {
            needs.push(need(Stock::Board, &board.material, &board.size, size, laid(Stock::Board, size)));
        } else if index == 0 {
            let area: f64 =
                pieces_of(set, Stock::Board).map(|piece| piece.pattern.material.area() * f64::from(piece.count)).sum();
            let area = area * f64::from(set.kits().count());
            let share = area / size.paper.area();
            let need = need(Stock::Board, &board.material, &board.size, size, share.ceil() as u32);
            let note = format!("estimate: the pieces' area is {} sheets; allow for waste", plain(share, 1));
            needs.push(Need { at_least: true, note, ..need });
        }
    }
    needs.retain(|need| need.sheets > 0);
    needs
}

fn pieces_of(set: &Set, stock: Stock) -> impl Iterator<Item = &Piece> {
    set.pieces.iter().filter(move |piece| piece.pattern.stock == stock)
}

/// What work a set is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Work {
    /// Metres that the tool cuts, kerf counted in.
    pub cut_metres: f64,
    /// Folds that are made once or swing.
    pub folds: u64,
    /// Pieces.
    pub pieces: u64,
}

/// The work of all kits of a set.
#[must_use]
pub fn work(set: &Set) -> Work {
    let kits = set.kits().count();
    let sheets = &set.sheets;
    let mut sum = Work::default();
    for piece in &set.pieces {
        let kerf = match piece.pattern.stock {
            Stock::Paper => sheets.paper.kerf,
            Stock::Card => sheets.card.kerf,
            Stock::Board => sheets.board.kerf,
        };
        let count = u64::from(piece.count) * u64::from(kits);
        sum.cut_metres += cut_length(piece, kerf) / 1000.0 * f64::from(piece.count) * f64::from(kits);
        sum.folds += count * piece.pattern.net.hinges.len() as u64;
        sum.pieces += count;
    }
    sum
}

/// Length of the tool's path around and in one piece, mm.
fn cut_length(piece: &Piece, kerf: Mm) -> f64 {
    let outlines = piece.pattern.tool_contours(kerf);
    let around: f64 = outlines.iter().flat_map(Region::contours).map(Contour::perimeter).sum();
    let length = |segment: PathSeg| segment.arclen(flatwright_geometry::tolerance::CHORD);
    around + piece.pattern.slits.iter().flat_map(kurbo::BezPath::segments).map(length).sum::<f64>()
}

/// Straight cuts that take all stacks of sheets apart.
fn stack_cuts(set: &Set, composed: &Composed) -> u64 {
    let cuts = |sheet: &SheetRecord| {
        let (number, _) = stacks(sheet.copies, set.stack());
        u64::from(number) * sheet.cuts.len() as u64
    };
    composed.sheets.iter().map(cuts).sum()
}

fn time(set: &Set, composed: &Composed) -> Option<ShoppingLine> {
    let minutes = set.rates.as_ref()?.minutes.as_ref()?;
    let work = work(set);
    let stack_cuts = stack_cuts(set, composed);
    let rate = |amount: Option<crate::set_file::Amount>| amount.map(|amount| amount.0);
    let parts = [
        (rate(minutes.cut_metre), work.cut_metres, format!("{} m of cuts", plain(work.cut_metres, 0))),
        (rate(minutes.stack_cut), stack_cuts as f64, counted(stack_cuts, "cut") + " through stacks"),
        (rate(minutes.fold), work.folds as f64, counted(work.folds, "fold")),
        (rate(minutes.piece), work.pieces as f64, counted(work.pieces, "piece")),
    ];
    let told: Vec<&str> = parts
        .iter()
        .filter(|(rate, amount, _)| rate.is_some() && *amount > 0.0)
        .map(|(.., words)| words.as_str())
        .collect();
    let total: f64 = parts.iter().filter_map(|(rate, amount, _)| Some((*rate)? * amount)).sum();
    if told.is_empty() {
        return None;
    }
    let one = match &set.class {
        Some(class) => format!("; {} for one kit", hours(total / class.kits.len() as f64)),
        None => String::new(),
    };
    Some(ShoppingLine {
        what: "Working time".into(),
        quantity: format!("about {}", hours(total)),
        price: None,
        note: format!("estimate, from the rates in the set file: {}{one}", told.join(", ")),
    })
}

/// A time, rounded up to five minutes: more would look exact.
fn hours(minutes: f64) -> String {
    let rounded = ((minutes / 5.0).ceil() * 5.0) as u64;
    match (rounded / 60, rounded % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

fn price_of(rates: Option<&Rates>, stock: Stock) -> Option<f64> {
    let prices = rates?.sheet.as_ref()?;
    let price = match stock {
        Stock::Paper => prices.paper,
        Stock::Card => prices.card,
        Stock::Board => prices.board,
    };
    price.map(|price| price.0)
}

fn money(rates: Option<&Rates>, amount: f64) -> String {
    match rates.and_then(|rates| rates.currency.as_ref()) {
        Some(currency) => format!("{amount:.2} {}", currency.0),
        None => format!("{amount:.2}"),
    }
}

fn counted(count: u64, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
