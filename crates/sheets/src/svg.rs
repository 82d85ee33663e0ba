//! The SVG writer: one page to one file, for cutters and drawing programs.
//!
//! One user unit is one millimetre. Every layer with marks is one group; forms are written out in
//! place, so that all geometry stands in the page's own coordinates without transforms or `use`.

use flatwright_geometry::units::{Mm, plain};
use kurbo::{Affine, BezPath, PathEl, Point};
use svg::node::Text as Characters;
use svg::node::element::{Description, Element, Group, Path, Text as TextElement, Title};

use crate::faults::{self, Fault, Lines};
use crate::font::{FAMILY, shown};
use crate::page::{Align, Colour, Document, Layer, Mark, Page, Pen, Shape, Text, Weight};

/// Decimals of every length in the file, mm.
const DECIMALS: usize = 4;

/// Ratio of mitre length to line width above which a corner is cut off: PDF's default, so that
/// both files show the same corners (ISO 32000-1, table 52); SVG's own is 4.
const MITER_LIMIT: u32 = 10;

/// Why no SVG was written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SvgError {
    /// A page index beyond the end.
    #[error("there is no page {page}; the document has {pages}, counted from 0")]
    NoPage {
        /// The index asked for.
        page: usize,
        /// How many pages there are.
        pages: usize,
    },
    /// The page cannot be put on paper; all that is wrong with it.
    #[error("the page cannot be written as SVG:{}", Lines(.0))]
    Faults(Vec<Fault>),
}

/// One page, counted from 0, as an SVG 1.1 file in UTF-8: same page, same text.
///
/// Coordinates are the document's with y turned downwards, rounded to 1e-4 mm.
///
/// # Errors
/// [`SvgError::NoPage`], or [`SvgError::Faults`] with everything that [`faults::of_page`] finds.
pub fn write(document: &Document, page: usize) -> Result<String, SvgError> {
    let sheet = document.pages.get(page).ok_or(SvgError::NoPage { page, pages: document.pages.len() })?;
    let faults = faults::of_page(document, page);
    if !faults.is_empty() {
        return Err(SvgError::Faults(faults));
    }
    let (width, height) = sheet.size;
    let mut drawing = svg::Document::new()
        .set("width", format!("{}mm", length(width)))
        .set("height", format!("{}mm", length(height)))
        .set("viewBox", format!("0 0 {} {}", length(width), length(height)))
        .add(Title::new(line(&sheet.title)))
        .add(Description::new().add(Characters::new(line(&document.subject))));
    for layer in Layer::ALL {
        let nodes = layer_nodes(document, sheet, layer);
        if !nodes.is_empty() {
            drawing = drawing.add(nodes.into_iter().fold(group(layer), Group::add));
        }
    }
    Ok(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{drawing}\n"))
}

fn group(layer: Layer) -> Group {
    let group = Group::new().set("id", layer.id()).set("data-layer", layer.name()).add(Title::new(layer.name()));
    match layer.processing_step() {
        Some(step) => group.set("data-processing-step", step),
        None => group,
    }
}

fn layer_nodes(document: &Document, page: &Page, layer: Layer) -> Vec<Element> {
    let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, page.size.1.get()]);
    let mut nodes = Vec::new();
    for mark in &page.marks {
        match &mark.shape {
            Shape::Place { form, motion } => {
                let marks = document.forms.get(*form).map(|form| form.marks.iter()).into_iter().flatten();
                nodes.extend(marks.filter(|mark| mark.layer == layer).filter_map(|mark| node(mark, *motion, flip)));
            }
            _ if mark.layer == layer => nodes.extend(node(mark, Affine::IDENTITY, flip)),
            _ => {}
        }
    }
    nodes
}

/// The element for a mark, moved on the page and then flipped; none where it draws nothing.
fn node(mark: &Mark, motion: Affine, flip: Affine) -> Option<Element> {
    match &mark.shape {
        Shape::Stroke { path, .. } | Shape::Fill { path, .. } if path.elements().is_empty() => None,
        Shape::Stroke { path, pen } => Some(stroke(&data(path, flip * motion), pen)),
        Shape::Fill { path, colour } => Some(
            Path::new()
                .set("d", data(path, flip * motion))
                .set("fill", hex(*colour))
                .set("fill-rule", "evenodd")
                .set("stroke", "none")
                .into(),
        ),
        Shape::Text(text) => text_node(text, motion, flip),
        // A form in a form was refused before.
        Shape::Place { .. } => None,
    }
}

fn stroke(data: &str, pen: &Pen) -> Element {
    let mut path = Path::new()
        .set("d", data)
        .set("fill", "none")
        .set("stroke", hex(pen.colour))
        .set("stroke-width", length(pen.width));
    if !pen.dashes.is_empty() {
        let dashes: Vec<String> = pen.dashes.iter().copied().map(length).collect();
        path = path.set("stroke-dasharray", dashes.join(" "));
    }
    if pen.round {
        path.set("stroke-linecap", "round").set("stroke-linejoin", "round").into()
    } else {
        path.set("stroke-miterlimit", MITER_LIMIT).into()
    }
}

fn text_node(text: &Text, motion: Affine, flip: Affine) -> Option<Element> {
    let characters = shown(&text.text);
    if characters.is_empty() {
        return None;
    }
    let at = flip * motion * text.at;
    let [along_x, along_y, ..] = motion.as_coeffs();
    // Counterclockwise on the page, which is negative where y points down.
    let turn = plain(-(along_y.atan2(along_x) + text.turn.radians()).to_degrees(), DECIMALS);
    let anchor = match text.align {
        Align::Start => "start",
        Align::Middle => "middle",
        Align::End => "end",
    };
    let weight = match text.weight {
        Weight::Regular => "normal",
        Weight::Bold => "bold",
    };
    let (x, y) = (number(at.x), number(at.y));
    let mut element = TextElement::new("")
        .set("font-family", format!("{FAMILY}, Open Sans, DejaVu Sans, Arial, Helvetica, sans-serif"))
        .set("font-weight", weight)
        .set("font-size", length(text.size))
        .set("text-anchor", anchor)
        .set("fill", hex(text.colour));
    if turn != "0" {
        element = element.set("transform", format!("rotate({turn} {x} {y})"));
    }
    // XML readers would otherwise run several spaces together and drop those at the ends.
    if characters.contains("  ") || characters.trim() != characters {
        element = element.set("xml:space", "preserve");
    }
    Some(element.set("x", x).set("y", y).add(Characters::new(characters)).into())
}

/// Path data in absolute coordinates, one space between all parts.
fn data(path: &BezPath, map: Affine) -> String {
    let pair = |point: Point| {
        let at = map * point;
        format!("{} {}", number(at.x), number(at.y))
    };
    let parts: Vec<String> = path
        .elements()
        .iter()
        .map(|element| match *element {
            PathEl::MoveTo(to) => format!("M {}", pair(to)),
            PathEl::LineTo(to) => format!("L {}", pair(to)),
            PathEl::QuadTo(control, to) => format!("Q {} {}", pair(control), pair(to)),
            PathEl::CurveTo(first, second, to) => format!("C {} {} {}", pair(first), pair(second), pair(to)),
            PathEl::ClosePath => "Z".to_owned(),
        })
        .collect();
    parts.join(" ")
}

fn length(length: Mm) -> String {
    number(length.get())
}

fn number(mm: f64) -> String {
    plain(mm, DECIMALS)
}

fn hex(Colour(red, green, blue): Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// Text that XML can hold, on one line: control characters and the two noncharacters that XML
/// forbids (XML 1.0, 2.2) become spaces.
fn line(text: &str) -> String {
    text.replace(|c: char| c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}'), " ")
}
