//! Instructions, and tables with blanks to write readings in.

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect};

use crate::furniture::frame::stack;
use crate::furniture::marks::{Face, line, text, wrapped};
use crate::furniture::style;
use crate::page::{Align, Mark, Pen};

/// Height of a row.
pub(super) const ROW: f64 = 7.2;
/// Width of a blank.
pub(super) const BLANK: f64 = 15.0;
const TEXT: Face = Face::regular(Mm::new(2.9));
const NAME: Face = Face::bold(Mm::new(3.1));

/// A row: a name, what it is, and as many blanks as the table has.
pub(super) struct Row {
    pub name: String,
    pub what: String,
}

impl Row {
    pub fn new(name: &str, what: impl Into<String>) -> Self {
        Self { name: name.to_owned(), what: what.into() }
    }
}

/// Height of a table.
pub(super) fn height(rows: usize) -> f64 {
    ROW * (rows + 1) as f64
}

/// A table whose upper left corner is `top`: names in a column as wide as `name`, then what they
/// are, then `blanks` blanks at its right end, under a heading each.
pub(super) fn draw(top: Point, width: f64, name: f64, heads: &[&str], rows: &[Row], blanks: usize) -> Vec<Mark> {
    let blank = |i: usize| top.x + width - BLANK * (blanks - i) as f64;
    let base = |row: usize| top.y - ROW * (row as f64 + 1.0) + 0.34 * ROW;
    let mut marks = Vec::new();
    let columns = [top.x, top.x + name];
    let heads_at = columns.into_iter().chain((0..blanks).map(|i| blank(i) + 1.0));
    let small = Face::muted(style::SMALL);
    marks.extend(heads_at.zip(heads).map(|(x, head)| text(Point::new(x, base(0)), *head, small, Align::Start)));
    for (i, row) in rows.iter().enumerate() {
        let y = base(i + 1);
        marks.push(text(Point::new(columns[0], y), row.name.as_str(), NAME, Align::Start));
        marks.push(text(Point::new(columns[1], y), row.what.as_str(), TEXT, Align::Start));
        let foot = top.y - ROW * (i as f64 + 2.0);
        marks.push(line((top.x, foot), (blank(0), foot), style::hairline()));
        let boxes = (0..blanks)
            .map(|blank_number| Rect::new(blank(blank_number), foot, blank(blank_number) + BLANK, foot + ROW));
        marks.extend(boxes.flat_map(outline));
    }
    marks
}

/// The four sides of a blank.
fn outline(rect: Rect) -> [Mark; 4] {
    let Rect { x0, y0, x1, y1 } = rect;
    let pen: fn() -> Pen = style::fine;
    [
        line((x0, y0), (x1, y0), pen()),
        line((x1, y0), (x1, y1), pen()),
        line((x1, y1), (x0, y1), pen()),
        line((x0, y1), (x0, y0), pen()),
    ]
}

/// Words in lines from `top` downward, each paragraph on a line of its own; their marks, and where they
/// end.
pub(super) fn words(top: Point, width: f64, paragraphs: &[&str]) -> (Vec<Mark>, f64) {
    let lines: Vec<String> = paragraphs.iter().flat_map(|words| wrapped(words, width, TEXT)).collect();
    let end = top.y - lines.len() as f64 * TEXT.leading();
    (stack(&lines, top, TEXT), end)
}
