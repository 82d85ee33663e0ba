//! A cutter's file as SVG 1.1: one group and one colour for each processing step.

use flatwright_geometry::units::plain;
use kurbo::Point;
use svg::node::Text as Characters;
use svg::node::element::{Description, Group, Path, Title};

use super::{Way, Work, colour};
use crate::page::Colour;

/// Width of every line, mm: a hairline. A cutter follows its middle.
const HAIRLINE: f64 = 0.1;
const DECIMALS: usize = 4;

/// What every file says of itself.
const ABOUT: &str = "One group and one colour for each processing step, in the order of the work; within a group the \
paths in the order to cut them, inside first. Millimetres. Before a laser cuts anything, know exactly what the \
material is: never PVC, never an unknown foam. The owner of the machine and the product's safety sheet decide.";

/// The work as a file in UTF-8; same work, same text. One user unit is one millimetre.
#[must_use]
pub fn write(work: &Work) -> String {
    let (width, height) = (number(work.size.0.get()), number(work.size.1.get()));
    let mut drawing = svg::Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(work.title.as_str()))
        .add(Description::new().add(Characters::new(ABOUT)));
    let group = |id: &str, Colour(r, g, b): Colour, ways: &[Way]| {
        let group = Group::new()
            .set("id", id)
            .set("fill", "none")
            .set("stroke", format!("#{r:02x}{g:02x}{b:02x}"))
            .set("stroke-width", HAIRLINE);
        ways.iter().map(|way| Path::new().set("d", data(way, work.size.1.get()))).fold(group, Group::add)
    };
    if !work.marks.is_empty() {
        drawing = drawing.add(group("registration", Colour(0x80, 0x80, 0x80), &work.marks));
    }
    for step in &work.steps {
        drawing = drawing.add(group(step.layer.id(), colour(step.layer), &step.ways));
    }
    format!("{drawing}\n")
}

fn data(way: &Way, height: f64) -> String {
    let pair = |point: &Point| format!("{},{}", number(point.x), number(height - point.y));
    let (points, end) = match way.points.split_last() {
        Some((_, points)) if way.closed() => (points, "z"),
        _ => (way.points.as_slice(), ""),
    };
    let corners: Vec<String> = points.iter().map(pair).collect();
    format!("M{}{end}", corners.join(" L"))
}

fn number(value: f64) -> String {
    plain(value, DECIMALS)
}
