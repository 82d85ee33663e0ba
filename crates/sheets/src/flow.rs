//! Text, tables and samples that flow down columns and over pages.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect, Shape as _, Vec2};

use crate::furniture::legend_sample;
use crate::furniture::marks::{Face, fitted, line, moved, scaled, text, wrapped};
use crate::furniture::style;
use crate::lines::LineType;
use crate::page::{Align, Colour, Layer, Mark, Page, Shape, Weight};

/// One thing that is not broken over two columns.
#[derive(Clone, Debug)]
pub(crate) enum Block {
    /// A heading; it stays with what follows.
    Heading(String),
    /// A heading within a section; it stays with what follows.
    Subheading(String),
    /// Running text, with a number or letter before it where `mark` is not empty. Of a long
    /// one that was broken, only the last part ends it.
    Paragraph { mark: String, words: String, ends: bool },
    /// A picture or box: its height, mm, and its marks as they stand below and to the right of the
    /// origin.
    Drawing { height: f64, marks: Vec<Mark> },
    /// What follows begins a page.
    PageBreak,
    /// A row of a table.
    Row(Row),
    /// A type of line and what to do there.
    Sample(LineType, &'static str),
    /// Room, mm.
    Space(f64),
}

impl Block {
    /// A whole paragraph.
    pub fn paragraph(mark: &str, words: &str) -> Self {
        Self::Paragraph { mark: mark.to_owned(), words: words.to_owned(), ends: true }
    }

    /// The first page of a picture, as large as fits into a width and a height, mm, in the middle
    /// of the width. It places no forms.
    pub fn picture(page: &Page, width: f64, height: f64) -> Self {
        let (w, h) = (page.size.0.get(), page.size.1.get());
        let scale = (width / w).min(height / h);
        let marks = moved(&scaled(&page.marks, scale), Vec2::new((width - w * scale) / 2.0, -h * scale));
        Self::Drawing { height: h * scale, marks }
    }
}

/// How blocks are set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look {
    /// Running text.
    pub body: Face,
    /// Tables.
    pub table: Face,
    /// Headings.
    pub heading: Face,
    /// Headings within a section.
    pub subheading: Face,
    /// Height of a heading with the room around it, as a multiple of its em.
    pub heading_room: f64,
    /// Room below a paragraph, mm.
    pub after: f64,
    /// Room below a table's row, mm.
    pub row_gap: f64,
    /// Room between columns of a table, mm.
    pub cell_gap: f64,
    /// Most of a table's width that columns as wide as their cells may take together.
    pub fixed_share: f64,
    /// Room for what stands before a paragraph, mm.
    pub indent: f64,
    /// Paragraphs are not set wider than this, mm.
    pub measure: f64,
    /// Bar under a heading.
    pub bar: Option<Colour>,
}

/// The cover of a set of sheets.
pub(crate) const COVER: Look = Look {
    body: Face::regular(style::BODY),
    table: Face::regular(Mm::new(2.7)),
    heading: Face::bold(style::HEADING),
    subheading: Face::bold(style::BODY),
    heading_room: 1.9,
    after: 0.9,
    row_gap: 1.1,
    cell_gap: 2.5,
    fixed_share: 1.0,
    indent: 5.0,
    measure: f64::INFINITY,
    bar: None,
};

/// What came to stand on one page.
#[derive(Clone, Debug, Default)]
pub(crate) struct Flowed {
    pub marks: Vec<Mark>,
    /// The headings that begin on it.
    pub headings: Vec<String>,
}

/// A row of a table.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub cells: Vec<String>,
    /// Which columns, and how they are aligned.
    pub columns: &'static [Column],
    /// Widths, mm, or nothing for the column that takes what is left.
    pub widths: Vec<Option<f64>>,
    pub head: bool,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Column {
    /// An identifier.
    Name,
    /// Words that may be wrapped.
    Words,
    /// A number.
    Number,
}

const SAMPLE: f64 = 14.0;
/// Text is easiest to read in lines of some sixty letters; a column is not set wider.
const WIDEST: f64 = 130.0;
/// Below this a table's rows break too often.
const NARROWEST: f64 = 84.0;
const GUTTER: f64 = 9.0;

/// The columns of a page.
pub(crate) fn columns(free: Rect) -> Vec<Rect> {
    let count = ((free.width() + GUTTER) / (NARROWEST + GUTTER)).floor().max(1.0);
    let width = ((free.width() + GUTTER) / count - GUTTER).min(if count > 1.0 { WIDEST } else { f64::INFINITY });
    (0..count as usize)
        .map(|i| {
            let x0 = free.x0 + i as f64 * (width + GUTTER);
            Rect { x0, x1: x0 + width, ..free }
        })
        .collect()
}

/// Sets blocks into columns, page after page. A table that goes on in another column has its head
/// there again. A block taller than a column reaches out of it: see [`too_tall`].
pub(crate) fn set(blocks: &[Block], columns: &[Rect], look: &Look) -> Vec<Flowed> {
    let blocks = &broken(blocks, columns, look);
    let mut pages = vec![Flowed::default()];
    let mut column = 0;
    let mut y = columns.first().map_or(0.0, |c| c.y1);
    let mut head: Option<&Block> = None;
    for (index, block) in blocks.iter().enumerate() {
        let rect = columns[column];
        let top = (y - rect.y1).abs() < 1e-9;
        let fresh = top && column == 0;
        let mut again = None;
        if matches!(block, Block::PageBreak) {
            if !fresh {
                column = 0;
                pages.push(Flowed::default());
                y = columns[column].y1;
            }
            continue;
        }
        if y - needed(&blocks[index..], rect, look) < rect.y0 - 1e-9 && !top {
            column += 1;
            if column == columns.len() {
                column = 0;
                pages.push(Flowed::default());
            }
            y = columns[column].y1;
            again = head.filter(|_| matches!(block, Block::Row(Row { head: false, .. })));
        }
        let rect = columns[column];
        if (y - rect.y1).abs() < 1e-9 && matches!(block, Block::Space(_)) {
            continue;
        }
        for block in again.into_iter().chain([block]) {
            let marks = draw(block, rect, y, look);
            if let Some(page) = pages.last_mut() {
                page.marks.extend(marks);
                if let Block::Heading(words) = block {
                    page.headings.push(words.clone());
                }
            }
            y -= height(block, rect.width(), look);
        }
        if matches!(block, Block::Row(Row { head: true, .. })) {
            head = Some(block);
        }
    }
    pages
}

/// The blocks that no column can hold, by their indices. Paragraphs are broken, so only drawings
/// and rows can be too tall; a row must leave room for its table's head and heading.
pub(crate) fn too_tall(blocks: &[Block], columns: &[Rect], look: &Look) -> Vec<usize> {
    const ROW_SHARE: f64 = 0.7;
    let share = |block: &Block| if matches!(block, Block::Row(_)) { ROW_SHARE } else { 1.0 };
    let fits =
        |block: &Block| columns.iter().all(|c| height(block, c.width(), look) <= share(block) * c.height() + 1e-9);
    let breaks = |block: &Block| matches!(block, Block::Paragraph { .. });
    (0..blocks.len()).filter(|&i| !breaks(&blocks[i]) && !fits(&blocks[i])).collect()
}

/// Height of blocks in one column, however long.
pub(crate) fn total(blocks: &[Block], width: f64, look: &Look) -> f64 {
    blocks.iter().map(|block| height(block, width, look)).sum()
}

/// The blocks, long paragraphs in parts of a few lines each, so that they may go over pages.
fn broken(blocks: &[Block], columns: &[Rect], look: &Look) -> Vec<Block> {
    const LONGEST: usize = 14;
    const PART: usize = 4;
    let width = columns.iter().map(Rect::width).fold(f64::INFINITY, f64::min);
    let parts = |block: &Block| match block {
        Block::Paragraph { mark, words, ends } => {
            let lines = wrapped(words, measure(mark, width, look), look.body);
            if lines.len() <= LONGEST {
                return vec![block.clone()];
            }
            let part = |(i, lines): (usize, &[String])| Block::Paragraph {
                // A space stands as an empty mark that keeps the indent.
                mark: if i == 0 || mark.is_empty() { mark.clone() } else { " ".to_owned() },
                words: lines.join(" "),
                ends: *ends && (i + 1) * PART >= lines.len(),
            };
            lines.chunks(PART).enumerate().map(part).collect()
        }
        _ => vec![block.clone()],
    };
    blocks.iter().flat_map(parts).collect()
}

/// Room for the first block and those that it must not stand without: a heading keeps what it
/// heads, a table's head its first rows.
fn needed(blocks: &[Block], column: Rect, look: &Look) -> f64 {
    /// So many of a table's rows stay with its head where they leave room for as much again.
    const FIRST_ROWS: usize = 4;
    let tall = |blocks: &[Block]| blocks.iter().map(|block| height(block, column.width(), look)).sum::<f64>();
    let mut kept = 0;
    while kept < blocks.len() && matches!(blocks[kept], Block::Heading(_) | Block::Subheading(_) | Block::Space(_)) {
        kept += 1;
    }
    kept += match blocks.get(kept) {
        Some(Block::Row(Row { head: true, .. })) => {
            let rows =
                blocks[kept + 1..].iter().take_while(|block| matches!(block, Block::Row(Row { head: false, .. })));
            let rows = rows.take(FIRST_ROWS).count();
            let few = |rows: &usize| tall(&blocks[..kept + 1 + rows]) <= 0.5 * column.height();
            1 + (1..=rows).rev().find(few).unwrap_or(rows.min(1))
        }
        _ => 1,
    };
    // Room alone keeps nothing: it may fall away at a column's foot.
    let kept = if matches!(blocks.first(), Some(Block::Space(_))) { 1 } else { kept };
    tall(&blocks[..kept.min(blocks.len())])
}

fn height(block: &Block, width: f64, look: &Look) -> f64 {
    let body = |lines: usize| lines as f64 * look.body.leading();
    match block {
        Block::Heading(_) => look.heading.size.get() * look.heading_room,
        Block::Subheading(_) => look.subheading.size.get() * 1.9,
        Block::Paragraph { mark, words, ends } => {
            let after = if *ends { look.after } else { 0.0 };
            body(wrapped(words, measure(mark, width, look), look.body).len()) + after
        }
        Block::Row(row) => {
            let lines = cells(row, width, look).iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(1);
            lines as f64 * look.table.leading() + look.row_gap
        }
        Block::Sample(_, words) => body(wrapped(words, width - SAMPLE - 2.5, look.body).len()) + look.after,
        Block::Drawing { height, .. } => *height,
        Block::Space(room) => *room,
        Block::PageBreak => 0.0,
    }
}

fn indent(mark: &str, look: &Look) -> f64 {
    if mark.is_empty() { 0.0 } else { look.indent }
}

/// Width of a paragraph's lines in a column.
fn measure(mark: &str, width: f64, look: &Look) -> f64 {
    (width - indent(mark, look)).min(look.measure)
}

fn draw(block: &Block, rect: Rect, y: f64, look: &Look) -> Vec<Mark> {
    let baseline = |i: usize, face: Face| y - i as f64 * face.leading() - 0.85 * face.size.get();
    let headline = |words: &str, face: Face, drop: f64| {
        let (words, face) = fitted(words, rect.width(), face, look.body.size);
        text(Point::new(rect.x0, y - drop * face.size.get()), words, face, Align::Start)
    };
    let body = look.body;
    let mut marks = Vec::new();
    match block {
        Block::Heading(words) => {
            marks.push(headline(words, look.heading, 1.25));
            if let Some(colour) = look.bar {
                let top = y - 1.66 * look.heading.size.get();
                let path = Rect::new(rect.x0, top - 1.0, rect.x0 + 18.0_f64.min(rect.width()), top).to_path(0.1);
                marks.push(Mark { layer: Layer::Artwork, shape: Shape::Fill { path, colour } });
            }
        }
        Block::Subheading(words) => marks.push(headline(words, look.subheading, 1.25)),
        Block::Paragraph { mark, words, .. } => {
            let indent = indent(mark, look);
            if !mark.trim().is_empty() {
                let face = Face { weight: Weight::Bold, ..body };
                marks.push(text(Point::new(rect.x0, baseline(0, body)), mark.clone(), face, Align::Start));
            }
            for (i, words) in wrapped(words, measure(mark, rect.width(), look), body).into_iter().enumerate() {
                let at = Point::new(rect.x0 + indent, baseline(i, body));
                marks.push(text(at, words, body, Align::Start));
            }
        }
        Block::Row(row) => {
            let table = look.table;
            let face = if row.head { Face { colour: style::MUTED, ..table } } else { table };
            for ((x, width, lines), column) in cells(row, rect.width(), look).into_iter().zip(row.columns) {
                let (x, align) = if *column == Column::Number { (x + width, Align::End) } else { (x, Align::Start) };
                let face = if *column == Column::Name && !row.head { Face::bold(table.size) } else { face };
                for (i, words) in lines.into_iter().enumerate() {
                    let at = Point::new(rect.x0 + x, baseline(i, table));
                    marks.push(text(at, words, face, align));
                }
            }
            let foot = y - height(block, rect.width(), look) + look.row_gap * (0.35 / 1.1);
            marks.push(line((rect.x0, foot), (rect.x1, foot), style::hairline()));
        }
        Block::Sample(kind, words) => {
            marks.extend(legend_sample(*kind, Point::new(rect.x0, y - 0.5 * body.size.get()), SAMPLE));
            for (i, words) in wrapped(words, rect.width() - SAMPLE - 2.5, body).into_iter().enumerate() {
                marks.push(text(Point::new(rect.x0 + SAMPLE + 2.5, baseline(i, body)), words, body, Align::Start));
            }
        }
        Block::Drawing { marks: drawing, .. } => {
            marks.extend(moved(drawing, Vec2::new(rect.x0, y)));
        }
        Block::Space(_) | Block::PageBreak => {}
    }
    marks
}

/// Left end, width and lines of every cell.
fn cells(row: &Row, width: f64, look: &Look) -> Vec<(f64, f64, Vec<String>)> {
    let widest = cap(&row.widths, look.fixed_share * width);
    let fixed: f64 = row.widths.iter().flatten().map(|cell| cell.min(widest)).sum();
    let loose = row.widths.iter().filter(|w| w.is_none()).count().max(1) as f64;
    let gaps = look.cell_gap * row.widths.len().saturating_sub(1) as f64;
    let rest = ((width - fixed - gaps) / loose).max(12.0);
    let mut x = 0.0;
    row.cells
        .iter()
        .zip(&row.widths)
        .zip(row.columns)
        .map(|((words, cell), column)| {
            let cell = cell.map_or(rest, |cell| cell.min(widest));
            let face = if *column == Column::Name { Face::bold(look.table.size) } else { look.table };
            // Half a letter to spare, so that a width measured from the cells themselves holds them.
            let lines = wrapped(words, cell + 1e-6, face);
            let entry = (x, cell, lines);
            x += cell + look.cell_gap;
            entry
        })
        .collect()
}

/// The width to which the widest columns must be cut so that all of a given width fit `room`: the
/// narrow ones, of numbers and short names, are spared.
fn cap(widths: &[Option<f64>], room: f64) -> f64 {
    let mut widths: Vec<f64> = widths.iter().flatten().copied().collect();
    widths.sort_by(f64::total_cmp);
    let mut left = room;
    for (i, width) in widths.iter().enumerate() {
        let share = left / (widths.len() - i) as f64;
        if *width > share {
            return share;
        }
        left -= width;
    }
    f64::INFINITY
}

/// Rows of one table: the head first, columns as wide as their widest cell, the words' column
/// taking the rest.
pub(crate) fn table(look: &Look, columns: &'static [Column], head: &[&str], rows: &[Vec<String>]) -> Vec<Block> {
    let head: Vec<String> = head.iter().map(|&words| words.to_owned()).collect();
    let widths: Vec<Option<f64>> = columns
        .iter()
        .enumerate()
        .map(|(i, column)| {
            let face = Face::bold(look.table.size);
            let widest =
                |rows: &mut dyn Iterator<Item = &Vec<String>>| rows.map(|row| face.width(&row[i])).fold(0.0, f64::max);
            (*column != Column::Words).then(|| widest(&mut rows.iter().chain([&head])))
        })
        .collect();
    let row = |cells: Vec<String>, head: bool| Block::Row(Row { cells, columns, widths: widths.clone(), head });
    std::iter::once(row(head.clone(), true)).chain(rows.iter().map(|cells| row(cells.clone(), false))).collect()
}
