//! Short ways to make marks, and to make text fit.

use flatwright_geometry::units::{Angle, Mm};
use kurbo::{Affine, BezPath, Line, Point, Rect, Shape as _, Vec2};

use super::style;
use crate::font;
use crate::page::{Align, Colour, Layer, Mark, Pen, Shape, Text, Weight};

/// How a piece of text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Face {
    pub size: Mm,
    pub weight: Weight,
    pub colour: Colour,
}

impl Face {
    pub const fn regular(size: Mm) -> Self {
        Self { size, weight: Weight::Regular, colour: style::INK }
    }

    pub const fn muted(size: Mm) -> Self {
        Self { size, weight: Weight::Regular, colour: style::MUTED }
    }

    pub const fn bold(size: Mm) -> Self {
        Self { size, weight: Weight::Bold, colour: style::INK }
    }

    /// Width of a line set so.
    pub fn width(self, text: &str) -> f64 {
        font::measure(text, self.size, self.weight).get()
    }

    /// Distance between baselines, mm.
    pub fn leading(self) -> f64 {
        self.size.get() * style::LEADING
    }

    /// The same with another em.
    pub const fn sized(self, size: Mm) -> Self {
        Self { size, ..self }
    }
}

pub(crate) fn text(at: Point, words: impl Into<String>, face: Face, align: Align) -> Mark {
    let shape = Text {
        at,
        text: words.into(),
        size: face.size,
        weight: face.weight,
        align,
        turn: Angle::ZERO,
        colour: face.colour,
    };
    Mark { layer: Layer::Furniture, shape: Shape::Text(shape) }
}

pub(crate) fn line(from: impl Into<Point>, to: impl Into<Point>, pen: Pen) -> Mark {
    stroke(Line::new(from, to).into_path(0.1), pen)
}

pub(crate) fn stroke(path: BezPath, pen: Pen) -> Mark {
    Mark { layer: Layer::Furniture, shape: Shape::Stroke { path, pen } }
}

/// The marks, moved. Forms placed among them move with them.
pub(crate) fn moved(marks: &[Mark], by: Vec2) -> Vec<Mark> {
    mapped(marks, Affine::translate(by), 1.0)
}

/// The marks, drawn larger or smaller about the origin, lines and type with them. Forms outside of
/// clips are never scaled: marks that place them are left out.
pub(crate) fn scaled(marks: &[Mark], by: f64) -> Vec<Mark> {
    mapped(marks, Affine::scale(by), by)
}

fn mapped(marks: &[Mark], motion: Affine, scale: f64) -> Vec<Mark> {
    let mark = |mark: &Mark| Some(Mark { layer: mark.layer, shape: mark.shape.mapped(motion, scale)? });
    marks.iter().filter_map(mark).collect()
}

/// Symbols that are not parted from the number before them.
const UNITS: [&str; 6] = ["%", "mm", "cm", "m", "in", "g/m2"];

/// The words of a text at which a line may be broken. A number and its unit stay together: they are
/// one value. Common practice, no source.
fn words_of(text: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    // Only at plain spaces: a no-break space keeps what it joins.
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let unit = UNITS.contains(&word.trim_end_matches([',', '.', ';', ':', ')']));
        let number = |before: &&mut String| before.ends_with(|c: char| c.is_ascii_digit());
        match all.last_mut().filter(number) {
            Some(before) if unit => {
                before.push(' ');
                before.push_str(word);
            }
            _ => all.push(word.to_owned()),
        }
    }
    all
}

/// `words` broken into lines no wider than `width`, mm. A word that is wider than that is broken
/// between letters.
pub(crate) fn wrapped(words: &str, width: f64, face: Face) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut current = String::new();
    for word in words_of(words) {
        let longer = if current.is_empty() { word.clone() } else { format!("{current} {word}") };
        if face.width(&longer) <= width {
            current = longer;
            continue;
        }
        if !current.is_empty() {
            lines.push(std::mem::take(&mut current));
        }
        for letter in word.chars() {
            current.push(letter);
            if face.width(&current) > width && current.chars().count() > 1 {
                current.pop();
                lines.push(std::mem::replace(&mut current, letter.to_string()));
            }
        }
    }
    if !current.is_empty() {
        lines.push(current);
    }
    lines
}

/// `words` on one line within `width`, mm: set smaller down to `least`, then cut short with three
/// dots.
pub(crate) fn fitted(words: &str, width: f64, face: Face, least: Mm) -> (String, Face) {
    let natural = face.width(words);
    if natural <= width {
        return (words.to_owned(), face);
    }
    let smaller = face.sized(face.size * (width / natural));
    if smaller.size.get() >= least.get() {
        // A hair less than the exact quotient, so that rounding never makes the line too wide.
        return (words.to_owned(), smaller.sized(smaller.size * 0.999));
    }
    let face = face.sized(least.min(face.size));
    let mut kept: String = words.to_owned();
    while !kept.is_empty() && face.width(&format!("{}...", kept.trim_end())) > width {
        kept.pop();
    }
    let shortened = format!("{}...", kept.trim_end());
    (if face.width(&shortened) <= width { shortened } else { String::new() }, face)
}

/// The rectangle that a text covers on its page: its width by the height from the descenders to
/// the ascenders. For quarter turns only.
#[must_use]
pub fn text_box(text: &Text) -> Rect {
    let width = font::measure(&text.text, text.size, text.weight).get();
    let start = match text.align {
        Align::Start => 0.0,
        Align::Middle => -width / 2.0,
        Align::End => -width,
    };
    let size = text.size.get();
    let upright = Rect::new(start, -0.22 * size, start + width, 0.76 * size);
    let turn = kurbo::Affine::rotate(text.turn.radians());
    (kurbo::Affine::translate(text.at.to_vec2()) * turn).transform_rect_bbox(upright)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_not_broken_between_a_number_and_its_unit() {
        let face = Face::regular(Mm::new(3.0));
        let text = "paper, to glue on foam board 5 mm, and about 2 % of the sheets in 4 rows";
        // At every width at which the pairs themselves have room, they share a line.
        let least = face.width("sheets").max(face.width("5 mm,")).ceil() as u32;
        for width in least..120 {
            let lines = wrapped(text, f64::from(width), face);
            assert_eq!(lines.join(" "), text);
            for pair in ["5 mm,", "2 %"] {
                assert!(lines.iter().any(|line| line.contains(pair)), "{width}: {lines:?}");
            }
        }
    }
}
