//! SVG files: drawings, set in pixels at the size at which they are printed.
//!
//! Nothing else is read for them: no other files, nothing from a network, no type but our own.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use flatwright_geometry::units::{MM_PER_INCH, Mm};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{ImageHrefResolver, Options, Tree, roxmltree};

use super::{Found, Raster, Refusal, svg_work, within};

/// Largest drawing, bytes.
const LARGEST: usize = 8 * 1024 * 1024;
/// Most elements, those that are used again counted each time.
const MOST_ELEMENTS: u64 = 200_000;
/// How deep elements may stand in each other, those that are used again counted where they are used.
/// The renderer calls itself for each.
const DEEPEST: usize = 250;

const HELP: &str = "save it again as plain SVG from the program that made it";

/// Reads a drawing.
pub(super) fn read(bytes: &[u8]) -> Result<Found<Tree>, Refusal> {
    if bytes.len() > LARGEST {
        let what = format!("is a drawing of more than {} MB", LARGEST / (1024 * 1024));
        return Err(Refusal::new(what, "simplify it, or save it as PNG"));
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(Refusal::new("is an SVG that is not UTF-8 text", "save it as UTF-8"));
    };
    let text = text.trim_start_matches('\u{feff}');
    let broken = |error: &dyn std::fmt::Display| Refusal::new(format!("is no sound SVG: {error}"), HELP);
    let xml = roxmltree::ParsingOptions { allow_dtd: true, nodes_limit: 400_000, ..Default::default() };
    let document = roxmltree::Document::parse_with_options(text, xml).map_err(|error| broken(&error))?;
    let (elements, depth) = expanded(&document);
    if depth > DEEPEST {
        let what = format!("has elements more than {DEEPEST} deep in each other");
        return Err(Refusal::new(what, "take groups apart, or save it as PNG"));
    }
    if elements > MOST_ELEMENTS {
        let what = format!("draws more than {MOST_ELEMENTS} elements");
        return Err(Refusal::new(what, "simplify it, or save it as PNG"));
    }
    let others = Arc::new(AtomicBool::new(false));
    let tree = {
        let others = Arc::clone(&others);
        let embedded = ImageHrefResolver::default_data_resolver();
        let resolver = ImageHrefResolver {
            resolve_string: Box::new(move |_, _| {
                others.store(true, Ordering::Relaxed);
                None
            }),
            resolve_data: Box::new(
                move |kind, bytes, options| {
                    if super::embeddable(&bytes) { embedded(kind, bytes, options) } else { None }
                },
            ),
        };
        let options = Options {
            resources_dir: None,
            image_href_resolver: resolver,
            fontdb: flatwright_sheets::png::fonts(),
            font_family: flatwright_sheets::font::FAMILY.to_owned(),
            ..Options::default()
        };
        Tree::from_xmltree(&document, &options).map_err(|error| broken(&error))?
    };
    let mut notes = Vec::new();
    if others.load(Ordering::Relaxed) {
        notes.push(("names pictures in other files, which are left out", "embed them in the drawing"));
    }
    if tree.has_text_nodes() {
        notes.push(("has text, which is set in the type of the sheets", "turn text into paths to keep its look"));
    }
    Ok(Found { value: tree, notes })
}

/// The drawing over white, `width` wide at a resolution.
pub(super) fn raster(tree: &Tree, width: Mm, dots_per_inch: f64) -> Result<Raster, Refusal> {
    let (w, h) = (f64::from(tree.size().width()), f64::from(tree.size().height()));
    let across = (width.get() / MM_PER_INCH * dots_per_inch).ceil().max(1.0);
    let down = (across * h / w).ceil().max(1.0);
    within(across as u64, down as u64)?;
    if svg_work::is_too_much(tree, (across / w).max(down / h)) {
        let what = "asks for more than can be drawn at its printed size: layers, patterns, filters or shapes that reach far out";
        return Err(Refusal::new(what, "simplify it, or save it as PNG"));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be few")]
    let size = (across as u32, down as u32);
    let Some(mut picture) = Pixmap::new(size.0, size.1) else {
        return Err(Refusal::new("needs too many pixels", "print it smaller"));
    };
    picture.fill(Color::WHITE);
    #[expect(clippy::cast_possible_truncation, reason = "the renderer takes single precision")]
    let scale = Transform::from_scale((across / w) as f32, (down / h) as f32);
    resvg::render(tree, scale, &mut picture.as_mut());
    // On white everything is opaque, so premultiplied colours are the colours.
    let rgb: Vec<u8> = picture.data().chunks_exact(4).flat_map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
    Ok(Raster { size, rgb: rgb.into() })
}

/// How many elements are drawn when everything that is used again is written out. What uses itself
/// is not followed: the renderer leaves it out. Also how deep they stand in each other.
fn expanded(document: &roxmltree::Document<'_>) -> (u64, usize) {
    let by_id: BTreeMap<&str, roxmltree::Node<'_, '_>> =
        document.descendants().filter_map(|node| Some((node.attribute("id")?, node))).collect();
    let mut known = BTreeMap::new();
    count(document.root_element(), &by_id, &mut known, 0)
}

fn count<'a>(
    node: roxmltree::Node<'a, 'a>,
    by_id: &BTreeMap<&str, roxmltree::Node<'a, 'a>>,
    known: &mut BTreeMap<u32, (u64, usize)>,
    depth: usize,
) -> (u64, usize) {
    if let Some(count) = known.get(&node.id().get()) {
        return *count;
    }
    // Refused already; this function too calls itself.
    if depth > DEEPEST {
        return (1, 1);
    }
    known.insert(node.id().get(), (0, 0));
    let (mut sum, mut below) = (1u64, 0);
    let mut add = |(inner, deep): (u64, usize)| {
        sum = sum.saturating_add(inner);
        below = below.max(deep);
    };
    for child in node.children().filter(roxmltree::Node::is_element) {
        add(count(child, by_id, known, depth + 1));
    }
    // References in attributes: use, gradients, patterns, clips, masks, markers, filters.
    for attribute in node.attributes() {
        for id in references(attribute.value()) {
            if let Some(target) = by_id.get(id) {
                add(count(*target, by_id, known, depth + 1));
            }
        }
    }
    known.insert(node.id().get(), (sum, below + 1));
    (sum, below + 1)
}

/// `#id` and every `url(#id)` of a value.
fn references(value: &str) -> Vec<&str> {
    let whole = value.trim().strip_prefix('#').filter(|_| !value.contains(char::is_whitespace));
    let inside = value.split("url(").skip(1).filter_map(|rest| {
        rest.split(')').next()?.trim_matches(|c: char| c.is_whitespace() || matches!(c, '\'' | '"')).strip_prefix('#')
    });
    whole.into_iter().chain(inside).collect()
}
