//! The printer's page: a bar along each axis, and a square with its diagonals and one steeper line.
//!
//! Bars tell the scales best, since a rule's error counts least over a long bar; the square's sides
//! tell them again, so that a wrong reading stands out; diagonals tell the skew. The steeper line
//! is there for one thing: were the diagonals' readings exchanged, nothing else would show it.

use flatwright_geometry::pattern::Stock;
use flatwright_geometry::turn::quarter;
use flatwright_geometry::units::{Angle, Mm, plain};
use kurbo::{Affine, BezPath, Line, Point, Vec2};

use super::table::{self, Row};
use super::{CouponError, Length, Pages, Settings, Sheet, gauges, too_small};
use crate::furniture::marks::{Face, stroke, text};
use crate::furniture::style;
use crate::page::{Align, Layer, Mark, Shape, Text};

/// Side of the square: its sides are within a common caliper's reach, and so are its diagonals.
const SIDE: f64 = 100.0;
/// The longest bar: within the reach of a common rule.
const LONGEST: f64 = 280.0;
/// The least room for the page.
const LEAST: (f64, f64) = (178.0, 200.0);
const LETTER: Face = Face::bold(Mm::new(4.6));
/// Half the length of a bar's end lines.
const END: f64 = 3.0;

const INSTRUCTIONS: [&str; 3] = [
    "1. Print this page as you print all others: at 100 %, on the same printer, tray and paper. Let it lie for a minute.",
    "2. Measure each length from the middle of the thin line at its one end to the middle of the line at its other, with a \
     steel rule or a caliper, to a tenth of a millimetre if you can. Twice is better. Lay the rule on the print, not beside it.",
    "3. Write the readings here, then into readings.json, and run: flatwright profile readings.json -o profiles",
];

/// Draws the page; the lengths on it.
pub(super) fn page(settings: &Settings, made: &mut Pages) -> Result<Vec<Length>, CouponError> {
    let mut sheet = Sheet::new(settings, Stock::Paper)?;
    let free = sheet.frame.free;
    if free.width() < LEAST.0 || free.height() < LEAST.1 {
        return Err(too_small(settings, Stock::Paper, "the lengths of the printer's page"));
    }
    let tens = |room: f64| ((room / 10.0).floor() * 10.0).min(LONGEST);
    let (across, up) = (tens(free.width() - 12.0), tens(free.height() - 24.0));
    let corner = Point::new(free.x0 + 26.0, free.y0 + 26.0);

    let lying = Line::new((free.x0 + 8.0, free.y0 + 6.0), (free.x0 + 8.0 + across, free.y0 + 6.0));
    let standing = Line::new((free.x0 + 8.0, free.y0 + 18.0), (free.x0 + 8.0, free.y0 + 18.0 + up));
    sheet.marks.extend(bar("A", lying));
    sheet.marks.extend(bar("B", standing));
    sheet.marks.extend(square(corner));

    let right = corner.x + SIDE + 13.0;
    let lengths = lengths(across, up);
    let rows: Vec<Row> =
        lengths.iter().map(|length| Row::new(length.letter, plain(length.vector.hypot(), 2))).collect();
    let heads = ["", "drawn, mm", "first", "second"];
    let top = Point::new(right, corner.y + SIDE + 2.0);
    sheet.marks.extend(table::draw(top, free.x1 - right, 5.5, &heads, &rows, 2));

    let words_at = Point::new(free.x0 + 20.0, free.y1 - 1.0);
    let (marks, end) = table::words(words_at, free.x1 - words_at.x, &INSTRUCTIONS);
    sheet.marks.extend(marks);
    let gauges_at = kurbo::Rect::new(words_at.x, corner.y + SIDE + 9.0, free.x1, end - 3.0);
    gauges::paper(settings, made, &mut sheet, gauges_at)?;
    made.sheets.push(sheet);
    Ok(lengths)
}

/// All lengths, in the order of the table.
fn lengths(across: f64, up: f64) -> Vec<Length> {
    let length = |letter, x: f64, y: f64| Length { letter, vector: Vec2::new(x, y) };
    vec![
        length("A", across, 0.0),
        length("B", 0.0, up),
        length("C", SIDE, SIDE),
        length("D", SIDE, -SIDE),
        length("E", SIDE, 0.0),
        length("F", 0.0, SIDE),
        length("G", SIDE, 0.0),
        length("H", 0.0, SIDE),
        length("J", SIDE / 2.0, SIDE),
    ]
}

/// A bar with lines across its ends; its letter runs along it.
fn bar(letter: &str, along: Line) -> Vec<Mark> {
    let standing = along.p1.y > along.p0.y;
    let turn = Affine::translate(along.p0.to_vec2()) * quarter(u32::from(standing));
    let length = (along.p1 - along.p0).hypot();
    let segment = |a: (f64, f64), b: (f64, f64)| stroke(path(turn * Line::new(a, b)), style::fine());
    let name = format!("{letter}  {} mm", plain(length, 2));
    vec![
        segment((0.0, 0.0), (length, 0.0)),
        segment((0.0, -END), (0.0, END)),
        segment((length, -END), (length, END)),
        turned(turn * Point::new(length / 2.0, 1.6), &name, standing),
    ]
}

/// The square with its lines, each a path of its own so that a reader can measure it, and letters that
/// keep off all of them.
fn square(corner: Point) -> Vec<Mark> {
    let at = |x: f64, y: f64| corner + Vec2::new(x, y);
    let s = SIDE;
    let lines = [
        ((0.0, 0.0), (s, s)),
        ((0.0, s), (s, 0.0)),
        ((0.0, 0.0), (s, 0.0)),
        ((0.0, 0.0), (0.0, s)),
        ((0.0, s), (s, s)),
        ((s, 0.0), (s, s)),
        ((0.0, 0.0), (s / 2.0, s)),
    ];
    let mut marks: Vec<Mark> =
        lines.into_iter().map(|(a, b)| stroke(path(Line::new(at(a.0, a.1), at(b.0, b.1))), style::fine())).collect();
    let letter = |x: f64, y: f64, letter: &str, align| text(at(x, y), letter, LETTER, align);
    marks.extend([
        letter(84.0, 76.0, "C", Align::Start),
        letter(84.0, 22.0, "D", Align::Start),
        letter(s / 2.0, -6.0, "E", Align::Middle),
        letter(-2.5, s / 2.0 - 1.6, "F", Align::End),
        letter(s / 2.0 + 8.0, s + 2.0, "G", Align::Middle),
        letter(s + 2.5, s / 2.0 - 1.6, "H", Align::Start),
        letter(36.5, 80.0, "J", Align::End),
    ]);
    marks
}

fn path(line: Line) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(line.p0);
    path.line_to(line.p1);
    path
}

/// A name in the middle of a bar, along it.
fn turned(at: Point, words: &str, standing: bool) -> Mark {
    let turn = if standing { Angle::QUARTER } else { Angle::ZERO };
    let shape = Text {
        at,
        text: words.to_owned(),
        size: LETTER.size,
        weight: LETTER.weight,
        align: Align::Middle,
        turn,
        colour: LETTER.colour,
    };
    Mark { layer: Layer::Furniture, shape: Shape::Text(shape) }
}
