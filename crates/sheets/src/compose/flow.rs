//! Text, tables and samples that flow down columns and over pages.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect};

use crate::furniture::legend_sample;
use crate::furniture::marks::{Face, fitted, line, text, wrapped};
use crate::furniture::style;
use crate::lines::LineType;
use crate::page::{Align, Mark};

/// One thing that is not broken over two columns.
#[derive(Clone, Debug)]
pub(super) enum Block {
    /// A heading; it stays with what follows.
    Heading(String),
    /// Running text, with a number or letter before it where `mark` is not empty.
    Paragraph { mark: String, words: String },
    /// A row of a table.
    Row(Row),
    /// A type of line and what to do there.
    Sample(LineType, &'static str),
    /// Room, mm.
    Space(f64),
}

/// A row of a table.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub cells: Vec<String>,
    /// Which columns, and how they are aligned.
    pub columns: &'static [Column],
    /// Widths, mm, or nothing for the column that takes what is left.
    pub widths: Vec<Option<f64>>,
    pub head: bool,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    /// An identifier.
    Name,
    /// Words that may be wrapped.
    Words,
    /// A number.
    Number,
}

const BODY: Face = Face::regular(style::BODY);
const TABLE: Face = Face::regular(Mm::new(2.7));
const CELL_GAP: f64 = 2.5;
const SAMPLE: f64 = 14.0;
/// Text is easiest to read in lines of some sixty letters; a column is not set wider.
const WIDEST: f64 = 130.0;
/// Below this a table's rows break too often.
const NARROWEST: f64 = 84.0;
const GUTTER: f64 = 9.0;

/// The columns of a page.
pub(super) fn columns(free: Rect) -> Vec<Rect> {
    let count = ((free.width() + GUTTER) / (NARROWEST + GUTTER)).floor().max(1.0);
    let width = ((free.width() + GUTTER) / count - GUTTER).min(if count > 1.0 { WIDEST } else { f64::INFINITY });
    (0..count as usize)
        .map(|i| {
            let x0 = free.x0 + i as f64 * (width + GUTTER);
            Rect { x0, x1: x0 + width, ..free }
        })
        .collect()
}

/// Sets blocks into columns, page after page; gives the marks of each page. A table that goes on in
/// another column has its head there again.
pub(super) fn set(blocks: &[Block], columns: &[Rect]) -> Vec<Vec<Mark>> {
    let mut pages: Vec<Vec<Mark>> = vec![Vec::new()];
    let mut column = 0;
    let mut y = columns.first().map_or(0.0, |c| c.y1);
    let mut head: Option<&Block> = None;
    for (index, block) in blocks.iter().enumerate() {
        let rect = columns[column];
        let top = (y - rect.y1).abs() < 1e-9;
        let mut again = None;
        if y - needed(&blocks[index..], rect.width()) < rect.y0 && !top {
            column += 1;
            if column == columns.len() {
                column = 0;
                pages.push(Vec::new());
            }
            y = columns[column].y1;
            again = head.filter(|_| matches!(block, Block::Row(Row { head: false, .. })));
        }
        let rect = columns[column];
        if (y - rect.y1).abs() < 1e-9 && matches!(block, Block::Space(_)) {
            continue;
        }
        for block in again.into_iter().chain([block]) {
            let marks = draw(block, rect, y);
            if let Some(page) = pages.last_mut() {
                page.extend(marks);
            }
            y -= height(block, rect.width());
        }
        if matches!(block, Block::Row(Row { head: true, .. })) {
            head = Some(block);
        }
    }
    pages
}

/// Room for the first block and those that it must not stand without: a heading keeps what it
/// heads, a table's head its first rows.
fn needed(blocks: &[Block], width: f64) -> f64 {
    const FIRST_ROWS: usize = 4;
    let mut kept = 0;
    while kept < blocks.len() && matches!(blocks[kept], Block::Heading(_)) {
        kept += 1;
    }
    kept += match blocks.get(kept) {
        Some(Block::Row(Row { head: true, .. })) => {
            let rows =
                blocks[kept + 1..].iter().take_while(|block| matches!(block, Block::Row(Row { head: false, .. })));
            1 + rows.take(FIRST_ROWS).count()
        }
        _ => 1,
    };
    blocks.iter().take(kept).map(|block| height(block, width)).sum()
}

fn height(block: &Block, width: f64) -> f64 {
    match block {
        Block::Heading(_) => style::HEADING.get() * 1.9,
        Block::Paragraph { mark, words } => {
            wrapped(words, width - indent(mark), BODY).len() as f64 * BODY.leading() + 0.9
        }
        Block::Row(row) => {
            let lines = cells(row, width).iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(1);
            lines as f64 * TABLE.leading() + 1.1
        }
        Block::Sample(_, words) => wrapped(words, width - SAMPLE - 2.5, BODY).len() as f64 * BODY.leading() + 0.9,
        Block::Space(room) => *room,
    }
}

fn indent(mark: &str) -> f64 {
    if mark.is_empty() { 0.0 } else { 5.0 }
}

fn draw(block: &Block, rect: Rect, y: f64) -> Vec<Mark> {
    let baseline = |i: usize, face: Face| y - i as f64 * face.leading() - 0.85 * face.size.get();
    let mut marks = Vec::new();
    match block {
        Block::Heading(words) => {
            let (words, face) = fitted(words, rect.width(), Face::bold(style::HEADING), style::BODY);
            marks.push(text(Point::new(rect.x0, y - 1.25 * style::HEADING.get()), words, face, Align::Start));
        }
        Block::Paragraph { mark, words } => {
            let indent = indent(mark);
            if !mark.is_empty() {
                marks.push(text(
                    Point::new(rect.x0, baseline(0, BODY)),
                    mark.clone(),
                    Face::bold(style::BODY),
                    Align::Start,
                ));
            }
            for (i, words) in wrapped(words, rect.width() - indent, BODY).into_iter().enumerate() {
                marks.push(text(Point::new(rect.x0 + indent, baseline(i, BODY)), words, BODY, Align::Start));
            }
        }
        Block::Row(row) => {
            let face = if row.head { Face { colour: style::MUTED, ..TABLE } } else { TABLE };
            for ((x, width, lines), column) in cells(row, rect.width()).into_iter().zip(row.columns) {
                let (x, align) = if *column == Column::Number { (x + width, Align::End) } else { (x, Align::Start) };
                let face = if *column == Column::Name && !row.head { Face::bold(TABLE.size) } else { face };
                for (i, words) in lines.into_iter().enumerate() {
                    marks.push(text(Point::new(rect.x0 + x, baseline(i, TABLE)), words, face, align));
                }
            }
            let foot = y - height(block, rect.width()) + 0.35;
            marks.push(line((rect.x0, foot), (rect.x1, foot), style::hairline()));
        }
        Block::Sample(kind, words) => {
            marks.extend(legend_sample(*kind, Point::new(rect.x0, y - 0.5 * style::BODY.get()), SAMPLE));
            for (i, words) in wrapped(words, rect.width() - SAMPLE - 2.5, BODY).into_iter().enumerate() {
                marks.push(text(Point::new(rect.x0 + SAMPLE + 2.5, baseline(i, BODY)), words, BODY, Align::Start));
            }
        }
        Block::Space(_) => {}
    }
    marks
}

/// Left end, width and lines of every cell.
fn cells(row: &Row, width: f64) -> Vec<(f64, f64, Vec<String>)> {
    let fixed: f64 = row.widths.iter().flatten().sum();
    let loose = row.widths.iter().filter(|w| w.is_none()).count().max(1) as f64;
    let gaps = CELL_GAP * row.widths.len().saturating_sub(1) as f64;
    let rest = ((width - fixed - gaps) / loose).max(12.0);
    let mut x = 0.0;
    row.cells
        .iter()
        .zip(&row.widths)
        .zip(row.columns)
        .map(|((words, cell), column)| {
            let cell = cell.unwrap_or(rest);
            let face = if *column == Column::Name { Face::bold(TABLE.size) } else { TABLE };
            // Half a letter to spare, so that a width measured from the cells themselves holds them.
            let lines = wrapped(words, cell + 1e-6, face);
            let entry = (x, cell, lines);
            x += cell + CELL_GAP;
            entry
        })
        .collect()
}

/// Rows of one table: the head first, columns as wide as their widest cell, the words' column
/// taking the rest.
pub(super) fn table(columns: &'static [Column], head: &[&str], rows: &[Vec<String>]) -> Vec<Block> {
    let head: Vec<String> = head.iter().map(|&words| words.to_owned()).collect();
    let widths: Vec<Option<f64>> = columns
        .iter()
        .enumerate()
        .map(|(i, column)| {
            let face = Face::bold(TABLE.size);
            let widest =
                |rows: &mut dyn Iterator<Item = &Vec<String>>| rows.map(|row| face.width(&row[i])).fold(0.0, f64::max);
            (*column != Column::Words).then(|| widest(&mut rows.iter().chain([&head])))
        })
        .collect();
    let row = |cells: Vec<String>, head: bool| Block::Row(Row { cells, columns, widths: widths.clone(), head });
    std::iter::once(row(head.clone(), true)).chain(rows.iter().map(|cells| row(cells.clone(), false))).collect()
}
