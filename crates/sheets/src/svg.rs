//! The SVG writer: one page to one file, for cutters and drawing programs.
//!
//! One user unit is one millimetre. Every layer with marks is one group; forms are written out in
//! place, so that all that a tool follows stands in the page's own coordinates without transforms
//! or `use`. Only printed artwork, which no tool follows, is defined once and used.

use std::collections::BTreeSet;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use flatwright_geometry::units::{Mm, plain};
use kurbo::{Affine, BezPath, PathEl, Point};
use svg::node::Text as Characters;
use svg::node::element::{
    ClipPath, Definitions, Description, Element, Group, Image as Picture, Path, Text as TextElement, Title, Use,
};

use crate::faults::{self, Fault, Lines};
use crate::font::{FAMILY, shown};
use crate::page::{Align, Colour, Document, Layer, Mark, Page, Pen, Pixels, Shape, Text, Weight};

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
    let defined = defined(document, sheet);
    if !defined.is_empty() {
        drawing = drawing.add(defined.into_iter().fold(Definitions::new(), Definitions::add));
    }
    let mut clips = 0;
    for layer in Layer::ALL {
        let nodes = layer_nodes(document, sheet, layer, &mut clips);
        if !nodes.is_empty() {
            drawing = drawing.add(nodes.into_iter().fold(group(layer), Group::add));
        }
    }
    Ok(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{drawing}\n"))
}

fn group(layer: Layer) -> Group {
    let group = painted(Group::new().set("id", layer.id()).set("data-layer", layer.name()));
    let group = group.add(Title::new(layer.name()));
    match layer.processing_step() {
        Some(step) => group.set("data-processing-step", step),
        None => group,
    }
}

/// What most fills and lines of a group have in common stands once: the even-odd rule, and the ends
/// and corners of artwork's lines. A line that is not round says so itself.
fn painted(group: Group) -> Group {
    group.set("fill-rule", "evenodd").set("stroke-linecap", "round").set("stroke-linejoin", "round")
}

/// The artwork and pictures that the page's clips use, each once.
fn defined(document: &Document, page: &Page) -> Vec<Element> {
    let placed = page.marks.iter().flat_map(|mark| match &mark.shape {
        Shape::Place { form, .. } => document.forms.get(*form).map(|form| form.marks.as_slice()).unwrap_or_default(),
        _ => std::slice::from_ref(mark),
    });
    let clips: Vec<&Shape> =
        placed.map(|mark| &mark.shape).filter(|shape| matches!(shape, Shape::Clip { .. })).collect();
    let forms: BTreeSet<usize> = clips.iter().flat_map(|clip| clip.places()).collect();
    let images: BTreeSet<usize> = clips.iter().flat_map(|clip| clip.images()).collect();
    let form = |index: usize| {
        let form = document.forms.get(index)?;
        let nodes = form.marks.iter().filter_map(|mark| node(mark, Affine::IDENTITY, Affine::IDENTITY));
        Some(nodes.fold(painted(Group::new().set("id", form.id.as_str())), Group::add).into())
    };
    let picture = |index: usize| {
        let image = document.images.get(index)?;
        let (kind, bytes) = match &image.pixels {
            Pixels::Jpeg { file, .. } => ("jpeg", file.to_vec()),
            Pixels::Rgb(bytes) => ("png", crate::png::of_pixels(image.size, bytes)?),
        };
        // The unit square, its rows from the top: turned over, since y points down here.
        let element = Picture::new()
            .set("id", image.id.as_str())
            .set("width", 1)
            .set("height", 1)
            .set("preserveAspectRatio", "none")
            .set("transform", "matrix(1 0 0 -1 0 1)")
            .set("href", format!("data:image/{kind};base64,{}", BASE64.encode(bytes)));
        Some(element.into())
    };
    forms.into_iter().filter_map(form).chain(images.into_iter().filter_map(picture)).collect()
}

fn layer_nodes(document: &Document, page: &Page, layer: Layer, clips: &mut usize) -> Vec<Element> {
    let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, page.size.1.get()]);
    let on_layer = |mark: &Mark| match mark.shape {
        // A clip is artwork, whatever its mark says.
        Shape::Clip { .. } => layer == Layer::Artwork,
        _ => mark.layer == layer,
    };
    let mut nodes = Vec::new();
    for mark in &page.marks {
        let mut draw = |mark: &Mark, motion: Affine| match &mark.shape {
            Shape::Clip { path, marks } => nodes.push(clip(path, marks, flip * motion, document, clips)),
            _ => nodes.extend(node(mark, motion, flip)),
        };
        match &mark.shape {
            Shape::Place { form, motion } => {
                let marks = document.forms.get(*form).map(|form| form.marks.iter()).into_iter().flatten();
                marks.filter(|mark| on_layer(mark)).for_each(|mark| draw(mark, *motion));
            }
            _ if on_layer(mark) => draw(mark, Affine::IDENTITY),
            _ => {}
        }
    }
    nodes
}

/// Marks that show inside a path only.
fn clip(path: &BezPath, marks: &[Mark], map: Affine, document: &Document, clips: &mut usize) -> Element {
    *clips += 1;
    let id = format!("clip-{clips}");
    let area = Path::new().set("d", data(path, map)).set("clip-rule", "evenodd");
    let used = |id: &str, motion: Affine| {
        let [a, b, c, d, e, f] = (map * motion).as_coeffs();
        let turn = |part: f64| plain(part, 8);
        let matrix = format!("matrix({} {} {} {} {} {})", turn(a), turn(b), turn(c), turn(d), number(e), number(f));
        Use::new().set("href", format!("#{id}")).set("transform", matrix).into()
    };
    let node = |mark: &Mark| match &mark.shape {
        Shape::Place { form, motion } => document.forms.get(*form).map(|form| used(&form.id, *motion)),
        Shape::Image { image, motion } => document.images.get(*image).map(|image| used(&image.id, *motion)),
        _ => node(mark, Affine::IDENTITY, map),
    };
    let group = Group::new().set("clip-path", format!("url(#{id})"));
    let group = group.add(ClipPath::new().set("id", id).add(area));
    marks.iter().filter_map(node).fold(group, Group::add).into()
}

/// The element for a mark, moved on the page and then flipped; none where it draws nothing.
fn node(mark: &Mark, motion: Affine, flip: Affine) -> Option<Element> {
    match &mark.shape {
        Shape::Stroke { path, .. } | Shape::Fill { path, .. } if path.elements().is_empty() => None,
        Shape::Stroke { path, pen } => Some(stroke(&data(path, flip * motion), pen)),
        Shape::Fill { path, colour } => {
            Some(Path::new().set("d", data(path, flip * motion)).set("fill", hex(*colour)).into())
        }
        Shape::Text(text) => text_node(text, motion, flip),
        // Clips are drawn by their holders, and a form in a form was refused before.
        Shape::Place { .. } | Shape::Clip { .. } | Shape::Image { .. } => None,
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
        return path.into();
    }
    let path = path.set("stroke-linecap", "butt").set("stroke-linejoin", "miter");
    path.set("stroke-miterlimit", MITER_LIMIT).into()
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
