//! The parts: a card each with its flat pattern, name and count, by stock.

use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::{Mm, plain};
use kurbo::{Point, Rect, RoundedRect, Shape as _, Vec2};

use super::thumbnail::{self, Print};
use super::{ACCENT, CAPTION, Guide, GuidePart, LEAST, frame};
use crate::flow::Block;
use crate::furniture::marks::{Face, fitted, moved, text, wrapped};
use crate::lines::LineType;
use crate::page::{Align, Mark};
use crate::plan_view::symbols::stroke;

/// Heading of the section.
pub(super) const HEADING: &str = "Parts";

/// Least width of a card, distance of cards, mm.
const LEAST_CARD: f64 = 54.0;
const GAP: f64 = 4.0;
/// Height of a card and of the picture in it.
const CARD: f64 = 54.0;
const PICTURE: f64 = 28.0;
const PAD: f64 = 3.0;
const NAME: Face = Face::regular(Mm::new(3.2));

pub(super) fn blocks(guide: &Guide, print: &Print<'_>, free: Rect) -> Vec<Block> {
    if guide.parts.iter().all(|part| part.count == 0) {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::Heading(HEADING.to_owned()),
        Block::paragraph(
            "",
            "Check that you have all of these before you build. The pictures show the parts flat and are not to scale; below each stands its size when flat. Over artwork folds are black, dashed in the same way.",
        ),
        Block::Sample(LineType::Valley, "valley fold: the printed sides close"),
        Block::Sample(LineType::Mountain, "mountain fold: the printed sides open"),
    ];
    let per_row = ((free.width() + GAP) / (LEAST_CARD + GAP)).floor().max(1.0);
    let width = (free.width() + GAP) / per_row - GAP;
    for stock in [Stock::Paper, Stock::Card, Stock::Board] {
        let parts: Vec<&GuidePart> = guide.parts.iter().filter(|part| part.stock == stock && part.count > 0).collect();
        if parts.is_empty() {
            continue;
        }
        let pieces: u64 = parts.iter().map(|part| u64::from(part.count)).sum();
        let plural = if pieces == 1 { "" } else { "s" };
        blocks.push(Block::Space(2.0));
        blocks.push(Block::Subheading(format!("From {stock}: {pieces} piece{plural}")));
        for row in parts.chunks(per_row as usize) {
            let cards = row.iter().enumerate();
            let marks =
                cards.flat_map(|(i, part)| moved(&card(part, print, width), Vec2::new(i as f64 * (width + GAP), 0.0)));
            blocks.push(Block::Drawing { height: CARD + GAP, marks: marks.collect() });
        }
    }
    blocks
}

/// A card of a given width, below and to the right of the origin.
fn card(part: &GuidePart, print: &Print<'_>, width: f64) -> Vec<Mark> {
    let inner = width - 2.0 * PAD;
    let mut marks = vec![stroke(RoundedRect::from_rect(Rect::new(0.0, -CARD, width, 0.0), 2.0).to_path(0.01), frame())];
    let picture = Rect::new(PAD, -PAD - PICTURE, width - PAD, -PAD);
    marks.extend(thumbnail::draw(part, print, picture));

    let baseline = picture.y0 - 6.5;
    let bold = Face::bold(Mm::new(4.6));
    let (count, face) = fitted(&format!("× {}", part.count), 0.5 * inner, Face { colour: ACCENT, ..bold }, LEAST);
    let taken = face.width(&count) + 3.0;
    marks.push(text(Point::new(width - PAD, baseline), count, face, Align::End));
    let (id, face) = fitted(&part.id, inner - taken, bold, LEAST);
    marks.push(text(Point::new(PAD, baseline), id, face, Align::Start));

    let mut lines = wrapped(part.name.trim(), inner, NAME);
    if lines.len() > 2 {
        let rest = lines.split_off(1).join(" ");
        let (rest, _) = fitted(&rest, inner, NAME, NAME.size);
        lines.push(rest);
    }
    let mut y = baseline - 5.2;
    for words in lines {
        marks.push(text(Point::new(PAD, y), words, NAME, Align::Start));
        y -= NAME.leading();
    }
    let (w, h) = part.pattern.size();
    let size = format!("{} × {} mm flat", plain(w.get(), 0), plain(h.get(), 0));
    let (size, face) = fitted(&size, inner, CAPTION, LEAST);
    marks.push(text(Point::new(PAD, -CARD + 2.6), size, face, Align::Start));
    marks.retain(|mark| !matches!(&mark.shape, crate::page::Shape::Text(text) if text.text.is_empty()));
    marks
}
