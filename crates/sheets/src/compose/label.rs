//! Where a piece's label stands: inside the piece beside the artwork, or outside on a leader.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::{Angle, Mm};
use kurbo::{Affine, Line, ParamCurve as _, ParamCurveNearest as _, Point, Rect, Shape as _, Vec2};

use super::Part;
use super::flat::{Flat, area};
use crate::font;
use crate::furniture::style;
use crate::lines;
use crate::page::{Align, Colour, Layer, Mark, Pen, Shape, Text, Weight};

/// The largest and the smallest em of a label.
pub(super) const LARGEST: Mm = Mm::new(3.2);
pub(super) const SMALLEST: Mm = Mm::new(1.8);
/// Below this a shorter text set larger reads better than a longer one.
const COMFORTABLE: Mm = Mm::new(2.4);
/// Room kept around the text, mm.
pub(super) const PAD: f64 = 0.3;
/// Distance between a piece and its label outside, mm.
const LEADER: f64 = 1.2;
/// Height of a line of text from descenders to ascenders, and its middle above the baseline, ems.
pub(super) const TALL: f64 = 0.98;
pub(super) const MIDDLE: f64 = 0.27;

/// A label, pattern coordinates.
#[derive(Clone, Debug)]
pub(super) struct Label {
    pub text: String,
    pub size: Mm,
    pub centre: Point,
    pub upward: bool,
    pub colour: Colour,
    /// What the text covers, padding included.
    pub room: Rect,
    pub leader: Option<Leader>,
}

/// A label outside its piece.
#[derive(Clone, Debug)]
pub(super) struct Leader {
    /// From the text to the edge of the piece.
    pub line: Line,
    /// Room for the text, and for the line.
    pub room: Rect,
    pub strip: Option<Region>,
}

/// The best place for the label of a drawing.
pub(super) fn plan(flat: &Flat, part: &Part, bleed: Mm, footprint: &[Region]) -> Label {
    let texts = texts(flat);
    let printed = flat.printed(bleed);
    let spots: Vec<(Rect, bool)> = flat
        .spots
        .iter()
        .flat_map(|spot| clear_of(spot.rect, &printed).into_iter().map(|rect| (rect, spot.upward)))
        .collect();
    let on_face = if part.label_on_face && part.face.prints() { face_spots(flat) } else { Vec::new() };
    let ink = part.face.tint.map_or(style::INK, lines::readable_on);
    for (places, colour) in [(&on_face, ink), (&spots, style::INK)] {
        for least in [COMFORTABLE, SMALLEST] {
            let found = texts
                .iter()
                .find_map(|text| places.iter().find_map(|&(rect, upward)| fit(text, rect, upward, least, colour)));
            if let Some(label) = found {
                return label;
            }
        }
    }
    outside(&flat.id, flat, footprint)
}

/// The label's marks on a page, for a piece under `motion`, `quarter_turns` quarters turned. The
/// text reads from the foot or from the right, whichever way the piece lies.
pub(super) fn marks(label: &Label, motion: Affine, quarter_turns: u8) -> Vec<Mark> {
    let upward = label.upward != (quarter_turns % 2 == 1);
    let mut marks = vec![centred(label.text.clone(), motion * label.centre, label.size, upward, label.colour)];
    if let Some(leader) = &label.leader {
        let path = (motion * leader.line).into_path(0.1);
        let pen = Pen { width: Mm::new(0.18), colour: style::INK, dashes: Vec::new(), round: true };
        marks.push(Mark { layer: Layer::Labels, shape: Shape::Stroke { path, pen } });
    }
    marks
}

/// A label on the back of a page, where `motion` leads from the pattern to that back.
pub(super) fn on_back(label: &Label, motion: Affine, quarter_turns: u8) -> Mark {
    // A mirrored place, but words that read.
    centred(label.text.clone(), motion * label.centre, label.size, label.upward != (quarter_turns % 2 == 1), style::INK)
}

/// The label for a piece's back: as on its front where that is on the piece, or else the name where
/// it fits. `None` where the piece is too small for any.
pub(super) fn behind(front: &Label, flat: &Flat) -> Option<Label> {
    if front.leader.is_none() {
        return Some(front.clone());
    }
    let sides: Vec<Line> = flat.material.contours().flat_map(Contour::sides).map(|(a, b)| Line::new(a, b)).collect();
    let bounds = flat.material.bounds();
    for size in [LARGEST, COMFORTABLE, SMALLEST] {
        let width = font::measure(&flat.id, size, Weight::Bold).get() + 2.0 * PAD;
        let height = size.get() * TALL + 2.0 * PAD;
        let mut best: Option<(f64, Rect, bool)> = None;
        for upward in [false, true] {
            let half = if upward { Vec2::new(height, width) } else { Vec2::new(width, height) } / 2.0;
            for step in 0..GRID * GRID {
                let share = |index: u32| (f64::from(index) + 0.5) / f64::from(GRID);
                let centre = Point::new(
                    bounds.x0 + bounds.width() * share(step % GRID),
                    bounds.y0 + bounds.height() * share(step / GRID),
                );
                let room = Rect::from_points(centre - half, centre + half);
                let cost = centre.distance(bounds.center()) + if upward { 0.5 } else { 0.0 };
                let better = best.is_none_or(|(least, ..)| cost < least);
                if better && flat.material.contains(centre) && !sides.iter().any(|side| meets(room, *side)) {
                    best = Some((cost, room, upward));
                }
            }
        }
        if let Some((_, room, upward)) = best {
            let (text, colour) = (flat.id.clone(), style::INK);
            return Some(Label { text, size, centre: room.center(), upward, colour, room, leader: None });
        }
    }
    None
}

/// Places each way that are tried for a label on a back.
const GRID: u32 = 32;

/// A joint's letter on a page.
pub(super) fn letter(letter: &str, at: Point, quarter_turns: u8) -> Mark {
    centred(letter.to_owned(), at, Mm::new(2.6), quarter_turns % 2 == 1, style::INK)
}

/// Bold text with its middle at `centre`.
fn centred(text: String, centre: Point, size: Mm, upward: bool, colour: Colour) -> Mark {
    let drop = MIDDLE * size.get();
    let (at, turn) = if upward {
        (centre + Vec2::new(drop, 0.0), Angle::QUARTER)
    } else {
        (centre - Vec2::new(0.0, drop), Angle::ZERO)
    };
    let text = Text { at, text, size, weight: Weight::Bold, align: Align::Middle, turn, colour };
    Mark { layer: Layer::Labels, shape: Shape::Text(text) }
}

/// What the label may say, longest first; the identifier alone last.
fn texts(flat: &Flat) -> Vec<String> {
    (0..=flat.name.len())
        .rev()
        .map(|n| std::iter::once(&flat.id).chain(&flat.name[..n]).cloned().collect::<Vec<_>>().join(" "))
        .collect()
}

/// `text` in the middle of a rectangle, as large as fits, if that is at least `least`.
fn fit(text: &str, rect: Rect, upward: bool, least: Mm, colour: Colour) -> Option<Label> {
    let (along, across) = if upward { (rect.height(), rect.width()) } else { (rect.width(), rect.height()) };
    let unit_width = font::measure(text, Mm::new(1.0), Weight::Bold).get();
    let size = LARGEST.get().min((along - 2.0 * PAD) / unit_width).min((across - 2.0 * PAD) / TALL);
    (size >= least.get()).then(|| {
        let half = Vec2::new(size * unit_width / 2.0 + PAD, size * TALL / 2.0 + PAD);
        let half = if upward { Vec2::new(half.y, half.x) } else { half };
        let centre = rect.center();
        let room = Rect::from_points(centre - half, centre + half);
        Label { text: text.to_owned(), size: Mm::new(size), centre, upward, colour, room, leader: None }
    })
}

/// The rectangles of `spot` that artwork leaves free.
fn clear_of(spot: Rect, printed: &[Region]) -> Vec<Rect> {
    let Some(spot) = area(spot) else { return Vec::new() };
    region::difference(&[spot], printed)
        .iter()
        .map(|rest| (rest.bounds(), rest.area()))
        .filter(|(bounds, area)| bounds.area() - area < 1e-3)
        .map(|(bounds, _)| bounds)
        .collect()
}

/// A rectangle in the middle of each face that lies wholly within it.
fn face_spots(flat: &Flat) -> Vec<(Rect, bool)> {
    let mut spots = Vec::new();
    for face in &flat.face {
        let bounds = face.bounds();
        let upward = bounds.height() > bounds.width();
        for share in [0.9, 0.7, 0.5, 0.3] {
            let (w, h) = (bounds.width() * share / 2.0, bounds.height() * share / 2.0);
            // A narrow band is more likely to be free than a block.
            let (w, h) = if upward { (w.min(2.6), h) } else { (w, h.min(2.6)) };
            let c = bounds.center();
            let rect = Rect::new(c.x - w, c.y - h, c.x + w, c.y + h);
            let within =
                area(rect).is_some_and(|spot| region::difference(&[spot], std::slice::from_ref(face)).is_empty());
            if within {
                spots.push((rect, upward));
            }
        }
    }
    spots
}

/// The identifier beside the piece, where the outline grows least.
fn outside(id: &str, flat: &Flat, footprint: &[Region]) -> Label {
    let size = COMFORTABLE;
    let width = font::measure(id, size, Weight::Bold).get() + 2.0 * PAD;
    let height = size.get() * TALL + 2.0 * PAD;
    let sides: Vec<Line> =
        footprint.iter().flat_map(Region::contours).flat_map(Contour::sides).map(|(a, b)| Line::new(a, b)).collect();
    let bounds = footprint.iter().map(Region::bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
    let is_free = |room: Rect| {
        let wide = room.inflate(LEADER, LEADER);
        let hit = sides.iter().any(|side| meets(wide, *side));
        !hit && !footprint.iter().any(|region| region.contains(room.center()))
    };

    let mut best: Option<(f64, Rect, bool)> = None;
    for upward in [false, true] {
        let (w, h) = if upward { (height, width) } else { (width, height) };
        let reach = bounds.inflate(w + LEADER + 1.0, h + LEADER + 1.0);
        // About forty places each way; the last ones lie outside, where everything is free.
        let step = |length: f64| (length / 40.0).max(0.5);
        let (dx, dy) = (step(reach.width()), step(reach.height()));
        let mut y = reach.y0;
        while y + h <= reach.y1 {
            let mut x = reach.x0;
            while x + w <= reach.x1 {
                let room = Rect::new(x, y, x + w, y + h);
                let growth = bounds.union(room).area() - bounds.area();
                let cost = growth + room.center().distance(bounds.center()) * 1e-3 + if upward { 0.5 } else { 0.0 };
                if best.is_none_or(|(least, ..)| cost < least) && is_free(room) {
                    best = Some((cost, room, upward));
                }
                x += dx;
            }
            y += dy;
        }
    }
    let below = Rect::new(bounds.x0, bounds.y0 - LEADER - height, bounds.x0 + width, bounds.y0 - LEADER);
    let (_, room, upward) = best.unwrap_or((0.0, below, false));
    let line = leader_line(room, flat);
    let leader = Leader { line, room, strip: strip(line) };
    Label { text: id.to_owned(), size, centre: room.center(), upward, colour: style::INK, room, leader: Some(leader) }
}

/// From the edge of the text's room to the nearest point of the piece's edge.
fn leader_line(room: Rect, flat: &Flat) -> Line {
    let nearest = |side: Line| side.eval(side.nearest(room.center(), 1e-9).t);
    let to = flat
        .material
        .outer
        .sides()
        .map(|(a, b)| nearest(Line::new(a, b)))
        .min_by(|a, b| a.distance(room.center()).total_cmp(&b.distance(room.center())))
        .unwrap_or(room.center());
    let from = Point::new(to.x.clamp(room.x0, room.x1), to.y.clamp(room.y0, room.y1));
    Line::new(from, to)
}

/// Room for a leader's line: its ends reach into the text's room and the piece.
fn strip(line: Line) -> Option<Region> {
    let along = line.p1 - line.p0;
    let unit = if along.hypot() > 1e-9 { along / along.hypot() } else { return None };
    let (side, end) = (unit.turn_90() * 0.4, unit * 0.3);
    let corners = [line.p0 - end - side, line.p1 + end - side, line.p1 + end + side, line.p0 - end + side];
    Contour::new(corners).ok().map(Region::from)
}

/// Whether a segment touches a rectangle (Liang and Barsky 1984).
fn meets(rect: Rect, line: Line) -> bool {
    super::split::clipped(line, rect).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_fits_its_rectangle_or_is_refused() {
        let rect = Rect::new(0.0, 0.0, 20.0, 4.0);
        let label = fit("TW2 tile wrap", rect, false, SMALLEST, Colour::BLACK).unwrap();
        assert!(label.size >= SMALLEST && label.size <= LARGEST);
        assert!(label.room.width() <= 20.0 + 1e-9 && label.room.height() <= 4.0 + 1e-9);
        assert!(fit("TW2 tile wrap", Rect::new(0.0, 0.0, 5.0, 4.0), false, SMALLEST, Colour::BLACK).is_none());
        assert!(fit("TW2", Rect::new(0.0, 0.0, 3.0, 20.0), true, SMALLEST, Colour::BLACK).is_some());
    }
}
