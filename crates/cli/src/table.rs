//! The parts list as a table.

use flatwright_geometry::units::{Mm, plain};

use std::collections::BTreeMap;

use crate::import::{Piece, Set};
use crate::planned::Planned;

/// The pieces of a set, one line each, and a line of sums.
#[must_use]
pub fn parts(set: &Set) -> String {
    let levels = set.plan.as_ref().map(Planned::by_level).unwrap_or_default();
    let mut head = ["id", "piece", "count", "stock", "size (mm)"].map(str::to_owned).to_vec();
    // How many of these go to each of several levels.
    head.splice(3..3, levels.iter().map(|(name, _)| (*name).to_owned()));
    let rows = set.pieces.iter().map(|piece| {
        let mut row = row(piece).to_vec();
        let of = |counts: &BTreeMap<&str, u32>| counts.get(piece.id.as_str()).copied().unwrap_or(0).to_string();
        row.splice(3..3, levels.iter().map(|(_, counts)| of(counts)));
        row
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..rows[0].len()).map(width).collect();
    let numbers = 2..3 + levels.len();
    let mut text = String::new();
    for row in &rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, &width))| {
            // Counts stand with their units below each other.
            if numbers.contains(&column) { format!("{cell:>width$}") } else { format!("{cell:width$}") }
        });
        text.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        text.push('\n');
    }
    let total: u64 = set.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    text.push_str(&format!("{total} pieces of {} kinds\n", set.pieces.len()));
    text
}

/// What a piece is: family, detail and the name that it was given.
#[must_use]
pub(crate) fn name(piece: &Piece) -> String {
    let pattern = &piece.pattern;
    let detail = if pattern.detail.is_empty() { String::new() } else { format!(" {}", pattern.detail) };
    let label = piece.label.as_ref().map(|label| format!(" ({label})")).unwrap_or_default();
    format!("{}{detail}{label}", pattern.kind.name())
}

fn row(piece: &Piece) -> [String; 5] {
    let pattern = &piece.pattern;
    let (width, height) = pattern.size();
    let side = |length: Mm| plain(length.get(), 2);
    [
        piece.id.clone(),
        name(piece),
        piece.count.to_string(),
        pattern.stock.to_string(),
        format!("{} x {}", side(width), side(height)),
    ]
}
