//! The file around the contents: what the document builder leaves out or writes wrongly.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::units::{MM_PER_POINT, Mm};
use kurbo::Rect;
use lopdf::{Dictionary, Object, ObjectId, Stream, dictionary};
use printpdf::{PdfDocument, PdfPage, PdfSaveOptions};

use super::canvas::{Used, number};
use super::draw::{Content, Drawn, Part, part_name};
use super::ink::Inks;
use super::text::{Types, font_name};
use super::{PdfError, outline};
use crate::page::{Colour, Document, Layer, Page, Pixels, Weight};

/// Date of every file: the same document must give the same bytes, so no clock is read. The start
/// of Unix time is the usual sign for "not known" (common practice, no source).
const DATE: &str = "D:19700101000000Z";

/// The name that the file gives its maker.
const MAKER: &str = "flatwright";

/// What the resource dictionaries point to.
struct Shared {
    layers: BTreeMap<Layer, ObjectId>,
    fonts: BTreeMap<Weight, ObjectId>,
    inks: BTreeMap<(Layer, Colour), (String, ObjectId)>,
    parts: BTreeMap<(usize, Layer), (String, ObjectId)>,
    images: BTreeMap<usize, (String, ObjectId)>,
}

/// Makes the file.
pub(super) fn file(document: &Document, drawn: Drawn, inks: &Inks, types: &Types) -> Result<Vec<u8>, PdfError> {
    let (page_uses, part_uses, mut file) = build(document, drawn);
    let tree = file.catalog()?.get(b"Pages")?.as_reference()?;
    let mut kids: Vec<ObjectId> = file
        .get_dictionary(tree)?
        .get(b"Kids")?
        .as_array()?
        .iter()
        .map(Object::as_reference)
        .collect::<Result<_, _>>()?;
    let stand_ins = kids.split_off(kids.len().min(document.pages.len()));

    let mut shared = Shared {
        layers: layers(&page_uses, &mut file),
        fonts: types.embed(&mut file)?,
        inks: spaces(page_uses.iter().chain(part_uses.iter().map(|(.., used)| used)), inks, &mut file),
        parts: BTreeMap::new(),
        images: images(document, page_uses.iter().chain(part_uses.iter().map(|(.., used)| used)), &mut file),
    };
    // Artwork first: other forms refer to it, and it refers to no form.
    let (plain, placing): (Vec<_>, Vec<_>) =
        part_uses.iter().zip(stand_ins).partition(|((.., used), _)| used.parts.is_empty());
    for (&(form, layer, ref used), id) in plain.into_iter().chain(placing) {
        if let Some(drawing) = document.forms.get(form) {
            let resources = shared.resources(used);
            let part = into_form(id, drawing.bounds, resources, &mut file)?;
            shared.parts.insert((form, layer), (part_name(drawing, layer), part));
        }
    }
    for ((page, used), &id) in document.pages.iter().zip(&page_uses).zip(&kids) {
        complete(page, shared.resources(used), file.get_dictionary_mut(id)?);
    }

    let outlines = outline::bookmarks(&document.pages, &kids, &mut file);
    let pages = file.get_dictionary_mut(tree)?;
    pages.set("Count", i64::try_from(kids.len()).unwrap_or(i64::MAX));
    pages.set("Kids", kids.into_iter().map(Object::Reference).collect::<Vec<_>>());
    let catalog = file.catalog_mut()?;
    catalog.set("Outlines", outlines);
    catalog.set("PageMode", "UseOutlines");
    catalog.set("PageLayout", "SinglePage");
    catalog.set("PageLabels", outline::labels(&document.pages));
    // Sheets are cut to measure: a reader must not offer to shrink them to the printable area.
    catalog.set("ViewerPreferences", dictionary! { "PrintScaling" => "None", "DisplayDocTitle" => true });
    if !shared.layers.is_empty() {
        catalog.set("OCProperties", layer_properties(&shared.layers));
    }
    save(document, file)
}

/// Everything through the library's builder. It draws pages only, so each part of a form is drawn
/// as a page of its own behind the others, and turned into a form afterwards.
fn build(document: &Document, drawn: Drawn) -> (Vec<Used>, Vec<(usize, Layer, Used)>, lopdf::Document) {
    let mut builder = PdfDocument::new(&document.title);
    let mut add = |content: Content| {
        // The size is a stand-in: the real boxes are set afterwards.
        builder.pages.push(PdfPage::new(printpdf::Mm(1.0), printpdf::Mm(1.0), content.ops));
        content.used
    };
    let page_uses = drawn.pages.into_iter().map(&mut add).collect();
    let part_uses = drawn.parts.into_iter().map(|Part { form, layer, content }| (form, layer, add(content))).collect();
    // Not secure means that it also writes operators which it has no name for: paths, here.
    let options = PdfSaveOptions { optimize: false, subset_fonts: false, secure: false, image_optimization: None };
    let file = builder.to_lopdf_document(&options, &mut Vec::new());
    (page_uses, part_uses, file)
}

/// One optional-content group for each layer used, bottom first.
fn layers(uses: &[Used], file: &mut lopdf::Document) -> BTreeMap<Layer, ObjectId> {
    let used: BTreeSet<Layer> = uses.iter().flat_map(|used| used.layers.iter().copied()).collect();
    used.into_iter().map(|layer| (layer, file.add_object(layer_group(layer)))).collect()
}

/// A layer (ISO 32000-1, 8.11.2.1), with its processing step in the terms of ISO 19593-1. Its
/// usage says that it is to be printed and shown.
fn layer_group(layer: Layer) -> Dictionary {
    let mut group = dictionary! {
        "Type" => "OCG",
        "Name" => lopdf::text_string(layer.name()),
        "Intent" => vec!["View".into(), "Design".into()],
        "Usage" => dictionary! {
            "CreatorInfo" => dictionary! { "Creator" => lopdf::text_string(MAKER), "Subtype" => "Technical" },
            "Print" => dictionary! { "PrintState" => "ON" },
            "View" => dictionary! { "ViewState" => "ON" },
        },
    };
    if let Some(step) = layer.processing_step() {
        group.set("GTS_Metadata", dictionary! { "GTS_ProcStepsGroup" => "Structural", "GTS_ProcStepsType" => step });
    }
    group
}

fn layer_properties(layers: &BTreeMap<Layer, ObjectId>) -> Dictionary {
    let groups: Vec<Object> = layers.values().copied().map(Object::Reference).collect();
    dictionary! {
        "OCGs" => groups.clone(),
        "D" => dictionary! {
            "Name" => lopdf::text_string("Layers"),
            "BaseState" => "ON",
            "ON" => groups.clone(),
            "Order" => groups,
            "RBGroups" => Vec::new(),
        },
    }
}

fn spaces<'a>(
    uses: impl Iterator<Item = &'a Used>,
    inks: &Inks,
    file: &mut lopdf::Document,
) -> BTreeMap<(Layer, Colour), (String, ObjectId)> {
    let used: BTreeSet<(Layer, Colour)> = uses.flat_map(|used| used.inks.iter().copied()).collect();
    let space = |(layer, colour)| {
        let ink = inks.get(layer, colour)?;
        Some(((layer, colour), (ink.name.clone(), file.add_object(ink.space()))))
    };
    used.into_iter().filter_map(space).collect()
}

/// The pictures that are shown (ISO 32000-1, 8.9.5), JPEG files as they came.
fn images<'a>(
    document: &Document,
    uses: impl Iterator<Item = &'a Used>,
    file: &mut lopdf::Document,
) -> BTreeMap<usize, (String, ObjectId)> {
    let used: BTreeSet<usize> = uses.flat_map(|used| used.images.iter().copied()).collect();
    let object = |index: usize| {
        let image = document.images.get(index)?;
        let (space, filter, bytes) = match &image.pixels {
            Pixels::Jpeg { file, components: 1 } => ("DeviceGray", Some("DCTDecode"), file),
            Pixels::Jpeg { file, .. } => ("DeviceRGB", Some("DCTDecode"), file),
            Pixels::Rgb(bytes) => ("DeviceRGB", None, bytes),
        };
        let mut entries = dictionary! {
            "Type" => "XObject",
            "Subtype" => "Image",
            "Width" => i64::from(image.size.0),
            "Height" => i64::from(image.size.1),
            "ColorSpace" => space,
            "BitsPerComponent" => 8,
            "Interpolate" => true,
        };
        if let Some(filter) = filter {
            entries.set("Filter", filter);
        }
        // Pixels are compressed with everything else.
        let stream = Stream::new(entries, bytes.to_vec()).with_compression(filter.is_none());
        Some((index, (image.id.clone(), file.add_object(stream))))
    };
    used.into_iter().filter_map(object).collect()
}

impl Shared {
    fn resources(&self, used: &Used) -> Dictionary {
        let layers = used.layers.iter().filter_map(|layer| Some((layer.id(), *self.layers.get(layer)?)));
        let fonts = used.weights.iter().filter_map(|weight| Some((font_name(*weight), *self.fonts.get(weight)?)));
        let named = |(name, id): &'_ (String, ObjectId)| (name.clone(), *id);
        let inks = used.inks.iter().filter_map(|ink| self.inks.get(ink)).map(named);
        let parts = used.parts.iter().filter_map(|part| self.parts.get(part));
        let objects = parts.chain(used.images.iter().filter_map(|image| self.images.get(image))).map(named);

        let mut resources = Dictionary::new();
        for (kind, entries) in [
            ("Properties", references(layers)),
            ("Font", references(fonts)),
            ("ColorSpace", references(inks)),
            ("XObject", references(objects)),
        ] {
            if !entries.is_empty() {
                resources.set(kind, entries);
            }
        }
        resources
    }
}

fn references<N: Into<Vec<u8>>>(entries: impl Iterator<Item = (N, ObjectId)>) -> Dictionary {
    entries.map(|(name, id)| (name.into(), Object::Reference(id))).collect()
}

/// Turns the content of a page into a form (ISO 32000-1, 8.10) that takes the page's place.
fn into_form(
    page: ObjectId,
    bounds: Rect,
    resources: Dictionary,
    file: &mut lopdf::Document,
) -> Result<ObjectId, PdfError> {
    let content = file.get_dictionary(page)?.get(b"Contents")?.as_reference()?;
    let form = &mut file.get_object_mut(content)?.as_stream_mut()?.dict;
    form.set("Type", "XObject");
    form.set("Subtype", "Form");
    form.set("BBox", [bounds.x0, bounds.y0, bounds.x1, bounds.y1].map(|side| Object::Real(number(side))).to_vec());
    form.set("Matrix", [1, 0, 0, 1, 0, 0].map(Object::Integer).to_vec());
    form.set("Resources", resources);
    Ok(content)
}

fn complete(page: &Page, resources: Dictionary, entry: &mut Dictionary) {
    let (width, height) = page.size;
    let paper = Rect::new(0.0, 0.0, width.get(), height.get());
    // Each box is cut to the one around it, so that they nest to the last decimal.
    let bleed = page.bleed.intersect(paper);
    for (name, sides) in
        [("MediaBox", paper), ("CropBox", paper), ("BleedBox", bleed), ("TrimBox", page.trim.intersect(bleed))]
    {
        entry.set(name, points(sides));
    }
    entry.set("Resources", resources);
    entry.remove(b"Annots");
}

fn points(sides: Rect) -> Object {
    let points = [sides.x0, sides.y0, sides.x1, sides.y1].map(|side| Mm::new(side / MM_PER_POINT).get());
    Object::Array(points.map(|side| Object::Real(number(side))).to_vec())
}

fn save(document: &Document, mut file: lopdf::Document) -> Result<Vec<u8>, PdfError> {
    let information = file.add_object(dictionary! {
        "Title" => outline::line(&document.title),
        "Subject" => outline::line(&document.subject),
        "Creator" => lopdf::text_string(MAKER),
        "Producer" => lopdf::text_string(MAKER),
        "CreationDate" => Object::string_literal(DATE),
        "ModDate" => Object::string_literal(DATE),
    });
    file.trailer.set("Info", information);
    file.trailer.remove(b"ID");
    "1.7".clone_into(&mut file.version);
    file.prune_objects();
    file.renumber_objects();
    file.compress();

    // The identifier comes from all that the file holds without it.
    let mut bytes = Vec::new();
    file.save_to(&mut bytes)?;
    let digest = digest(bytes.iter().copied()).to_be_bytes().to_vec();
    let id = Object::String(digest, lopdf::StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
    bytes.clear();
    file.save_to(&mut bytes)?;
    Ok(bytes)
}

/// A fingerprint, not a safeguard: FNV-1a with 128 bits (RFC 9923).
pub(super) fn digest(bytes: impl Iterator<Item = u8>) -> u128 {
    const START: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    bytes.fold(START, |hash, byte| (hash ^ u128::from(byte)).wrapping_mul(PRIME))
}

#[cfg(test)]
mod tests {
    use super::digest;

    #[test]
    fn the_fingerprint_is_fnv_1a() {
        // Test vectors of the algorithm's authors for 128 bits (from memory for "a"; the empty
        // text gives the offset basis by definition).
        assert_eq!(digest(std::iter::empty()), 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d);
        assert_eq!(digest("a".bytes()), 0xd228_cb69_6f1a_8caf_7891_2b70_4e4a_8964);
    }
}
