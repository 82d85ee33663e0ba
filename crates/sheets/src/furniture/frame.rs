//! The frame of a sheet: where header, footer and scale bars stand, and what is left for pieces.
//!
//! ```text
//! | ruler | title                          page 3 of 12 |
//! |   up  | what to print, on what                      |
//! |       | pieces on this sheet                        |
//! |       |---------------------------------------------|
//! |       |                    free                     |
//! |       |---------------------------------------------|
//! |       | ruler along      line types       cautions  |
//! ```

use flatwright_geometry::units::Mm;
use kurbo::{Point, Rect};

use super::marks::{Face, fitted, line, text, wrapped};
use super::rulers::{self, Reach, ruler};
use super::{legend, style};
use crate::lines::LineType;
use crate::page::{Align, Mark};

/// The safety line of every sheet.
pub const CAUTION: &str = "Keep fingers behind the blade and change blades often. Children only with an adult. \
    Ventilate when you use spray adhesive; hot glue burns. Follow product safety sheets and local rules.";

/// How to check the scale; stands beside the bars where there is room.
const CHECK: &str = "Print at 100 %: the bars must measure true, lying and standing.";

/// What a header says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// The set's title.
    pub title: String,
    /// Such as `Page 3 of 12`.
    pub page: String,
    /// Such as `Card, sheet 1 of 3`.
    pub heading: String,
    /// Such as `Print 4 copies on A4 (210 x 297 mm), card 0.25 mm`.
    pub instruction: String,
    /// Pieces and how many of each; empty on the cover.
    pub pieces: Vec<(String, usize)>,
    /// Whether arrows on the sheet show the grain, so that the legend says so.
    pub grain: bool,
}

/// How much furniture a sheet carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fullness {
    /// A printed sheet.
    Sheet,
    /// The cover: a larger title, no list of pieces.
    Cover,
    /// A board sheet for a cutter: the least.
    Cutter,
}

/// Where everything stands on a page of a given size.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// The page less its margins.
    pub printable: Rect,
    /// The strip of the standing bars.
    pub strip: Rect,
    /// Title and list of pieces.
    pub header: Rect,
    /// Lying bars, line types, cautions.
    pub footer: Rect,
    /// What is left for the pieces.
    pub free: Rect,
    fullness: Fullness,
    standing: Reach,
    lying: Reach,
    rows: Rows,
}

/// How the parts of the footer share its width.
#[derive(Clone, Debug, PartialEq)]
struct Rows {
    legend: legend::Measure,
    /// Left end of the legend and the bottom of its row, from the footer's lower left corner.
    legend_at: (f64, f64),
    bars_bottom: f64,
    /// How to check the scale, and its left end.
    check: Option<(f64, Set)>,
    caution: Set,
    caution_at: (f64, f64),
    height: f64,
}

impl Frame {
    /// The frame of a page. `None` where the page is too small to carry its furniture and
    /// anything else.
    #[must_use]
    pub fn new(size: (Mm, Mm), margin: Mm, fullness: Fullness) -> Option<Self> {
        Self::with_lines(size, margin, fullness, LineType::OF_PIECES, false)
    }

    /// The same with a legend of the given types of line, and with room in it for the arrow that
    /// shows the grain, where the page is wide enough for it.
    #[must_use]
    pub fn with_lines(
        (width, height): (Mm, Mm),
        margin: Mm,
        fullness: Fullness,
        lines: &'static [LineType],
        grain: bool,
    ) -> Option<Self> {
        let m = margin.get();
        let printable = Rect::new(m, m, width.get() - m, height.get() - m);
        let strip = Rect { x1: printable.x0 + style::STRIP, ..printable };
        let column = Rect { x0: strip.x1 + style::STRIP_GAP, ..printable };
        let standing = Reach::within(printable.height() - rulers::THICKNESS)?;
        let lying = Reach::within(column.width())?;

        // The cover tells of the arrow too, so it is no reason to refuse a page.
        let plain = || Rows::new(column.width(), lying, lines, false);
        let rows = Rows::new(column.width(), lying, lines, grain).or_else(plain)?;
        let header = Rect { y0: column.y1 - head_height(fullness, column.width()), ..column };
        let footer = Rect { y1: column.y0 + rows.height + RULE_GAP, ..column };
        let free = Rect { y0: footer.y1 + style::BAND_GAP, y1: header.y0 - style::BAND_GAP, ..column };
        let enough = free.width() >= 20.0 && free.height() >= 20.0;
        enough.then_some(Self { printable, strip, header, footer, free, fullness, standing, lying, rows })
    }

    /// Everything but the pieces.
    #[must_use]
    pub fn draw(&self, head: &Head) -> Vec<Mark> {
        let mut marks = self.draw_head(head);
        marks.extend(self.draw_foot(head.grain));
        let x = f64::midpoint(self.strip.x0, self.strip.x1);
        marks.extend(ruler(Point::new(x, self.strip.y0 + 0.2), true, self.standing));
        marks
    }

    fn draw_head(&self, head: &Head) -> Vec<Mark> {
        let Rect { x0, x1, y0, y1 } = self.header;
        let mut marks = vec![line((x0, y0), (x1, y0), style::hairline())];

        let page = Face::muted(style::SUBTITLE);
        let page_width = page.width(&head.page);
        let size = title_size(self.fullness);
        let baseline = y1 - 0.78 * size.get();
        let (title, face) =
            fitted(&head.title, self.header.width() - page_width - 4.0, Face::bold(size), style::SUBTITLE);
        marks.push(text(Point::new(x0, baseline), title, face, Align::Start));
        marks.push(text(Point::new(x1, baseline), head.page.clone(), page, Align::End));

        let second = baseline - Face::regular(style::SUBTITLE).leading() - 0.35 * (size.get() - style::SUBTITLE.get());
        let share = self.header.width() * 0.6;
        let (heading, face) = fitted(&head.heading, share, Face::bold(style::SUBTITLE), style::LEAST);
        let used = if heading.is_empty() { 0.0 } else { face.width(&heading) + 2.5 };
        marks.push(text(Point::new(x0, second), heading, face, Align::Start));
        let rest = self.header.width() - used;
        let all = piece_line_count(self.fullness, self.header.width());
        let (instruction, face) = instruction(&head.instruction, rest, self.header.width(), all);
        let below = instruction.len() - 1;
        let mut y = second;
        for (line, words) in instruction.into_iter().enumerate() {
            marks.push(text(Point::new(if line == 0 { x0 + used } else { x0 }, y), words, face, Align::Start));
            y -= Face::regular(style::PIECES).leading() + if line == 0 { 0.2 } else { 0.0 };
        }
        let (lines, face) = piece_lines(&head.pieces, self.header.width(), all - below);
        for words in lines {
            marks.push(text(Point::new(x0, y), words, face, Align::Start));
            y -= face.leading();
        }
        marks.retain(|mark| !matches!(&mark.shape, crate::page::Shape::Text(text) if text.text.is_empty()));
        marks
    }

    fn draw_foot(&self, grain: bool) -> Vec<Mark> {
        let Rect { x0, x1, y0, y1 } = self.footer;
        let rows = &self.rows;
        let mut marks = vec![line((x0, y1), (x1, y1), style::hairline())];
        let bars = Point::new(x0 + 0.1, y0 + rows.bars_bottom + rulers::THICKNESS / 2.0);
        marks.extend(ruler(bars, false, self.lying));
        if let Some((x, check)) = &rows.check {
            let top = Point::new(x0 + x, bars.y + check.height() / 2.0);
            marks.extend(stack(&check.lines, top, check.face));
        }
        marks.extend(legend::draw(&rows.legend, Point::new(x0 + rows.legend_at.0, y0 + rows.legend_at.1), grain));
        let top = y0 + rows.caution_at.1 + rows.caution.height();
        marks.extend(stack(&rows.caution.lines, Point::new(x0 + rows.caution_at.0, top), rows.caution.face));
        marks
    }
}

/// Between the footer's rule and its first row.
const RULE_GAP: f64 = 1.2;
const ROW_GAP: f64 = 0.9;
const COLUMN_GAP: f64 = 7.0;

/// Lines of small print.
#[derive(Clone, Debug, PartialEq)]
struct Set {
    lines: Vec<String>,
    face: Face,
}

impl Set {
    /// A little smaller where that saves a line.
    fn new(words: &str, width: f64) -> Self {
        let sized = |size: f64| {
            let face = Face::regular(Mm::new(size));
            Self { lines: wrapped(words, width, face), face }
        };
        let usual = sized(style::SMALL.get());
        [2.3, 2.2, 2.1, 2.0].into_iter().map(sized).find(|set| set.lines.len() < usual.lines.len()).unwrap_or(usual)
    }

    fn height(&self) -> f64 {
        self.lines.len() as f64 * self.face.leading()
    }
}

impl Rows {
    /// The flattest arrangement that fits; `None` where the line types do not fit one row.
    fn new(width: f64, lying: Reach, lines: &'static [LineType], grain: bool) -> Option<Self> {
        let bars = lying.length();
        let legend_height = legend::HEIGHT;
        let row = rulers::THICKNESS.max(legend_height);
        let caution = |width: f64| Set::new(CAUTION, width);
        let checked = |width: f64| Set::new(&format!("{CHECK} {CAUTION}"), width);

        if let Some(legend) = legend::Measure::roomy(width - bars - COLUMN_GAP, lines, grain) {
            let x = bars + COLUMN_GAP;
            let legend_y = (row - legend_height) / 2.0;
            // All in one row.
            let third = x + legend.width + COLUMN_GAP;
            let beside = checked((width - third).max(1.0));
            if width - third >= 80.0 && beside.height() <= row + 3.5 {
                let height = row.max(beside.height());
                let lift = (height - row) / 2.0;
                let caution_at = (third, (height - beside.height()) / 2.0);
                let legend_at = (x, legend_y + lift);
                return Some(Self {
                    legend,
                    legend_at,
                    bars_bottom: lift,
                    check: None,
                    caution: beside,
                    caution_at,
                    height,
                });
            }
            // Cautions below.
            let below = checked(width);
            let bottom = below.height() + ROW_GAP;
            let height = bottom + row;
            return Some(Self {
                legend,
                legend_at: (x, bottom + legend_y),
                bars_bottom: bottom,
                check: None,
                caution: below,
                caution_at: (0.0, 0.0),
                height,
            });
        }
        // Bars, line types, cautions: a row each.
        let legend = legend::Measure::within(width, lines, grain)?;
        let x = bars + COLUMN_GAP;
        let check = Set::new(CHECK, (width - x).max(1.0));
        let check = (width - x >= 38.0 && check.lines.len() <= 2).then_some((x, check));
        let words = if check.is_some() { caution(width) } else { checked(width) };
        let legend_bottom = words.height() + ROW_GAP;
        let bars_bottom = legend_bottom + legend_height + ROW_GAP;
        Some(Self {
            legend,
            legend_at: (0.0, legend_bottom),
            bars_bottom,
            check,
            caution: words,
            caution_at: (0.0, 0.0),
            height: bars_bottom + rulers::THICKNESS,
        })
    }
}

/// Lines of text downward from `top`, the upper edge of the first.
pub(crate) fn stack(lines: &[String], top: Point, face: Face) -> Vec<Mark> {
    lines
        .iter()
        .enumerate()
        .map(|(i, words)| {
            let y = top.y - i as f64 * face.leading() - face.leading() * 0.78;
            text(Point::new(top.x, y), words.clone(), face, Align::Start)
        })
        .collect()
}

const fn title_size(fullness: Fullness) -> Mm {
    match fullness {
        Fullness::Sheet => style::TITLE,
        Fullness::Cover => style::COVER_TITLE,
        Fullness::Cutter => Mm::new(3.6),
    }
}

const fn piece_line_count(fullness: Fullness, width: f64) -> usize {
    match fullness {
        Fullness::Cover => 0,
        Fullness::Cutter => 1,
        Fullness::Sheet if width < 150.0 => 3,
        Fullness::Sheet => 2,
    }
}

fn head_height(fullness: Fullness, width: f64) -> f64 {
    let size = title_size(fullness).get();
    let second = 0.78 * size + style::SUBTITLE.get() * style::LEADING + 0.35 * (size - style::SUBTITLE.get());
    second + piece_line_count(fullness, width) as f64 * Face::regular(style::PIECES).leading() + 1.6
}

/// What to print and on what, on the line of the heading: set smaller where it is long. Where that is
/// not enough it goes on below, from the header's left end, on lines that pieces would have had, but
/// for one: a long name of a material is not cut short.
fn instruction(words: &str, rest: f64, width: f64, lines: usize) -> (Vec<String>, Face) {
    let (one, face) = fitted(words, rest, Face::regular(style::SUBTITLE), style::LEAST);
    let most = lines.saturating_sub(1);
    if one == words || most == 0 {
        return (vec![one], face);
    }
    // As lines are broken: two spaces count as one.
    let words = words.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    let broken = |size: Mm| {
        let face = face.sized(size);
        let first = wrapped(&words, rest, face).into_iter().next().unwrap_or_default();
        let left = words.strip_prefix(&first).unwrap_or_default().trim_start().to_owned();
        (first, wrapped(&left, width, face), face)
    };
    let sizes = [style::PIECES, style::SMALL, Mm::new(2.0)];
    let found = sizes.into_iter().map(broken).find(|(_, below, _)| below.len() <= most);
    let (first, mut below, face) = found.unwrap_or_else(|| broken(style::LEAST));
    if below.len() > most {
        let last = fitted(&below[most - 1..].join(" "), width, face, style::LEAST).0;
        below.truncate(most - 1);
        below.push(last);
    }
    (std::iter::once(first).chain(below).collect(), face)
}

/// The list of pieces on at most `count` lines: set smaller where it is long, and as a last resort
/// cut short with a word on where the rest is told.
fn piece_lines(pieces: &[(String, usize)], width: f64, count: usize) -> (Vec<String>, Face) {
    let face = Face::regular(style::PIECES);
    if count == 0 || pieces.is_empty() {
        return (Vec::new(), face);
    }
    // A no-break space keeps an identifier and its count together.
    let entry = |(id, n): &(String, usize)| format!("{id}\u{a0}\u{d7}\u{a0}{n}");
    let total: usize = pieces.iter().map(|(_, n)| n).sum();
    let list = |shown: usize| {
        let entries: Vec<String> = pieces[..shown].iter().map(entry).collect();
        let more = pieces.len() - shown;
        let rest = if more == 0 { String::new() } else { format!(", + {more} more: see cover") };
        let plural = if total == 1 { "piece" } else { "pieces" };
        format!("{total}\u{a0}{plural} on this sheet: {}{rest}", entries.join(", "))
    };
    let all = list(pieces.len());
    let small = face.sized(style::LEAST);
    for face in [face, face.sized(style::SMALL), face.sized(Mm::new(2.0)), small] {
        // Smaller lines leave room for more of them.
        let room = (count as f64 * Face::regular(style::PIECES).leading() / face.leading()).floor() as usize;
        let lines = wrapped(&all, width, face);
        if lines.len() <= room {
            return (lines, face);
        }
    }
    let room = (count as f64 * Face::regular(style::PIECES).leading() / small.leading()).floor() as usize;
    let fits = |shown: usize| wrapped(&list(shown), width, small).len() <= room;
    let shown = (0..pieces.len()).rev().find(|&shown| fits(shown)).unwrap_or(0);
    (wrapped(&list(shown), width, small), small)
}
