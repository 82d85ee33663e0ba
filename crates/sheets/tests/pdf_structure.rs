//! The PDF's structure, read back with `lopdf` (not by the code that wrote it).
//!
//! Rules are those of ISO 32000-1; the clause stands beside each check.

mod common;

use flatwright_geometry::tolerance::FIT;
use flatwright_geometry::units::{MM_PER_POINT, Mm};
use flatwright_sheets::faults::Problem;
use flatwright_sheets::page::{Document, Layer, Mark, Shape};
use flatwright_sheets::pdf::{self, PdfError};
use kurbo::{Affine, BezPath};
use lopdf::{Dictionary, Object, decode_text_string};

fn read(document: &Document) -> (Vec<u8>, lopdf::Document) {
    let bytes = pdf::write(document).expect("the sample can be written");
    let file = lopdf::Document::load_mem(&bytes).expect("the file can be read");
    (bytes, file)
}

fn follow<'a>(file: &'a lopdf::Document, dictionary: &'a Dictionary, keys: &[&str]) -> &'a Object {
    let mut object = dictionary.get(keys[0].as_bytes()).expect(keys[0]);
    for key in &keys[1..] {
        object = file.dereference(object).expect(key).1.as_dict().expect(key).get(key.as_bytes()).expect(key);
    }
    file.dereference(object).expect("a known object").1
}

fn words(object: &Object) -> String {
    decode_text_string(object).expect("a text string")
}

/// A box's corners, mm.
fn corners(page: &Dictionary, name: &str) -> [f64; 4] {
    let sides = page.get(name.as_bytes()).expect(name).as_array().expect(name);
    let sides: Vec<f64> =
        sides.iter().map(|side| f64::from(side.as_float().expect("a number")) * MM_PER_POINT).collect();
    sides.try_into().expect("four sides")
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let document = common::document();
    let (bytes, _) = read(&document);
    assert!(bytes == read(&document).0);
    assert!(bytes.starts_with(b"%PDF-1.7\n"));
    let mut other = document;
    other.subject.push('.');
    let id =
        |bytes: &[u8]| lopdf::Document::load_mem(bytes).expect("readable").trailer.get(b"ID").cloned().expect("ID");
    assert_ne!(id(&bytes), id(&read(&other).0), "another document has another identifier");
}

#[test]
fn boxes_have_the_page_s_measures_and_nest() {
    // 14.11.2: the crop, bleed and trim boxes lie within the media box, the trim within the bleed.
    let document = common::document();
    let (_, file) = read(&document);
    assert_eq!(file.get_pages().len(), document.pages.len());
    for (page, (_, id)) in document.pages.iter().zip(file.get_pages()) {
        let entry = file.get_dictionary(id).expect("a page");
        let (width, height) = (page.size.0.get(), page.size.1.get());
        let sides = |rect: kurbo::Rect| [rect.x0, rect.y0, rect.x1, rect.y1];
        let [media, crop, bleed, trim] =
            ["MediaBox", "CropBox", "BleedBox", "TrimBox"].map(|name| corners(entry, name));
        for (found, wanted) in
            [(media, [0.0, 0.0, width, height]), (crop, media), (bleed, sides(page.bleed)), (trim, sides(page.trim))]
        {
            for (found, wanted) in found.into_iter().zip(wanted) {
                assert!((found - wanted).abs() <= FIT, "{found} mm instead of {wanted} mm");
            }
        }
        for (outer, inner) in [(media, bleed), (bleed, trim)] {
            assert!(outer[0] <= inner[0] && outer[1] <= inner[1] && outer[2] >= inner[2] && outer[3] >= inner[3]);
        }
    }
}

#[test]
fn boxes_nest_when_trim_bleed_and_paper_agree_only_within_the_tolerance() {
    let mut document = common::document();
    document.pages[0].bleed = kurbo::Rect::new(-0.000_05, 0.0, 210.000_05, 297.0);
    document.pages[0].trim = document.pages[0].bleed;
    let (_, file) = read(&document);
    let page = file.get_dictionary(file.get_pages()[&1]).expect("a page");
    assert_eq!(page.get(b"TrimBox").expect("TrimBox"), page.get(b"MediaBox").expect("MediaBox"));
}

#[test]
fn readers_are_told_to_print_at_full_size() {
    // 12.2, table 150.
    let (_, file) = read(&common::document());
    let catalog = file.catalog().expect("a catalog");
    assert_eq!(follow(&file, catalog, &["ViewerPreferences", "PrintScaling"]), &Object::Name(b"None".to_vec()));
    assert_eq!(follow(&file, catalog, &["ViewerPreferences", "DisplayDocTitle"]), &Object::Boolean(true));
}

#[test]
fn every_layer_is_a_group_with_its_processing_step() {
    // 8.11.2 and 8.11.4.3 for the groups; names of the steps after ISO 19593-1.
    let (_, file) = read(&common::document());
    let catalog = file.catalog().expect("a catalog");
    let groups = follow(&file, catalog, &["OCProperties", "OCGs"]).as_array().expect("a list").clone();
    let found: Vec<(String, Option<String>)> = groups
        .iter()
        .map(|group| {
            let group = file.dereference(group).expect("a group").1.as_dict().expect("a group");
            assert_eq!(follow(&file, group, &["Usage", "Print", "PrintState"]), &Object::Name(b"ON".to_vec()));
            let step = group.has(b"GTS_Metadata").then(|| {
                assert_eq!(
                    follow(&file, group, &["GTS_Metadata", "GTS_ProcStepsGroup"]),
                    &Object::Name(b"Structural".to_vec())
                );
                let step = follow(&file, group, &["GTS_Metadata", "GTS_ProcStepsType"]).as_name().expect("a name");
                String::from_utf8(step.to_vec()).expect("ASCII")
            });
            (words(group.get(b"Name").expect("Name")), step)
        })
        .collect();
    let wanted = Layer::ALL.map(|layer| (layer.name().to_owned(), layer.processing_step().map(str::to_owned)));
    assert_eq!(found, wanted);
    assert_eq!(follow(&file, catalog, &["OCProperties", "D", "Order"]).as_array().expect("a list"), &groups);
    assert_eq!(follow(&file, catalog, &["OCProperties", "D", "ON"]).as_array().expect("a list"), &groups);
}

#[test]
fn step_layers_are_painted_in_spot_colours_named_after_them() {
    // 8.6.6.4: name, alternative space, and the tint that gives the pen's colour at full strength.
    let (_, file) = read(&common::document());
    let mut spots: Vec<(String, Vec<f32>)> = file
        .objects
        .values()
        .filter_map(|object| object.as_array().ok())
        .filter(|space| matches!(space.first(), Some(Object::Name(name)) if name == b"Separation"))
        .map(|space| {
            let full = follow(&file, space[3].as_dict().expect("a function"), &["C1"]).as_array().expect("a list");
            let name = String::from_utf8(space[1].as_name().expect("a name").to_vec()).expect("ASCII");
            (name, full.iter().map(|part| part.as_float().expect("a number")).collect())
        })
        .collect();
    spots.sort_by(|one, other| one.0.cmp(&other.0));
    let wanted = [
        // Okabe-Ito vermillion D55E00, blue 0072B2 and green 009E73 in thirds of 255.
        ("creasing-mountain", vec![0.835, 0.369, 0.0]),
        ("creasing-valley", vec![0.0, 0.447, 0.698]),
        ("cutting", vec![0.835, 0.369, 0.0]),
        ("cutting-2", vec![0.0]),
        ("gluing", vec![0.0, 0.62, 0.451]),
        ("partial-cutting", vec![0.0, 0.447, 0.698]),
        ("perforating", vec![0.0, 0.62, 0.451]),
        ("trimming", vec![0.0]),
    ];
    assert_eq!(spots, wanted.map(|(name, parts)| (name.to_owned(), parts)));
}

#[test]
fn bookmarks_nest_pages_under_sections() {
    // 12.3.3.
    let document = common::document();
    let (_, file) = read(&document);
    let titles = |parent: &Dictionary| {
        let mut found = Vec::new();
        let mut next = parent.get(b"First").and_then(Object::as_reference).ok();
        while let Some(id) = next {
            let entry = file.get_dictionary(id).expect("an entry");
            found.push((words(entry.get(b"Title").expect("Title")), entry.clone()));
            next = entry.get(b"Next").and_then(Object::as_reference).ok();
        }
        found
    };
    let outlines = follow(&file, file.catalog().expect("a catalog"), &["Outlines"]).as_dict().expect("outlines");
    assert_eq!(outlines.get(b"Count").expect("Count"), &Object::Integer(5));
    let sections = titles(outlines);
    assert_eq!(sections.iter().map(|section| section.0.as_str()).collect::<Vec<_>>(), ["Card", "Board"]);
    let pages: Vec<(String, Dictionary)> = sections.iter().flat_map(|(_, section)| titles(section)).collect();
    for ((title, entry), (page, (_, id))) in pages.iter().zip(document.pages.iter().zip(file.get_pages())) {
        assert_eq!(title, &page.title.replace('\0', " "));
        assert_eq!(entry.get(b"Dest").expect("Dest").as_array().expect("a list")[0], Object::Reference(id));
    }
    assert_eq!(pages.len(), 3);
}

#[test]
fn pages_carry_their_labels_and_the_file_its_title() {
    // 12.4.2 and 14.3.3.
    let document = common::document();
    let (_, file) = read(&document);
    let numbers =
        follow(&file, file.catalog().expect("a catalog"), &["PageLabels", "Nums"]).as_array().expect("a list");
    let labels: Vec<String> = numbers
        .chunks(2)
        .enumerate()
        .map(|(index, pair)| {
            assert_eq!(pair[0].as_i64().expect("an index"), i64::try_from(index).expect("small"));
            words(pair[1].as_dict().expect("a label").get(b"P").expect("P"))
        })
        .collect();
    assert_eq!(labels, ["1", "2", "B-1"]);
    let title = follow(&file, &file.trailer, &["Info", "Title"]);
    assert_eq!(words(title), document.title);
    assert_eq!(words(follow(&file, &file.trailer, &["Info", "Subject"])), common::AWKWARD.replace('\0', " "));
}

#[test]
fn forms_are_stored_once_for_each_layer_and_whole() {
    // 8.10.2, table 95.
    let (_, file) = read(&common::document());
    let forms: Vec<&Dictionary> = file
        .objects
        .values()
        .filter_map(|object| Some(&object.as_stream().ok()?.dict))
        .filter(|dictionary| matches!(dictionary.get(b"Subtype"), Ok(Object::Name(name)) if name == b"Form"))
        .collect();
    assert_eq!(forms.len(), 7, "placed three times with seven layers, but stored once");
    for form in forms {
        let sides: Vec<f32> = form
            .get(b"BBox")
            .and_then(Object::as_array)
            .expect("BBox")
            .iter()
            .map(|side| side.as_float().expect("a number"))
            .collect();
        assert_eq!(sides, [-3.0, -3.0, 43.0, 23.0]);
        assert!(form.has(b"Matrix") && form.has(b"Resources"));
    }
}

#[test]
fn text_can_be_extracted_as_it_is_shown() {
    // 9.10. This reader does not look into forms; `pdf_drawing` does.
    let (_, file) = read(&common::document());
    let found = file.extract_text(&[1]).expect("text");
    for wanted in ["Lamp <store> & \"tide\" (stair)\\ ?? ? 76 × 5 →", "100 mm"] {
        assert!(found.contains(wanted), "{wanted:?} is not in {found:?}");
    }
}

#[test]
fn all_faults_are_reported_at_once() {
    let mut document = common::document();
    document.forms.push(document.forms[0].clone());
    document.forms[0]
        .marks
        .push(Mark { layer: Layer::Labels, shape: Shape::Place { form: 0, motion: Affine::IDENTITY } });
    let page = &mut document.pages[0];
    page.trim = page.trim.inflate(100.0, 0.0);
    page.marks = vec![
        Mark { layer: Layer::Cutting, shape: Shape::Place { form: 9, motion: Affine::scale(2.0) } },
        common::stroke(
            Layer::Cutting,
            BezPath::new(),
            common::pen(-1.0, flatwright_sheets::page::Colour::BLACK, &[], true),
        ),
        common::stroke(
            Layer::Cutting,
            common::polyline(&[(0.0, f64::NAN)]),
            common::pen(1.0, flatwright_sheets::page::Colour::BLACK, &[0.0], true),
        ),
    ];
    document.pages[1].size.0 = Mm::new(f64::INFINITY);
    let Err(PdfError::Faults(faults)) = pdf::write(&document) else { panic!("must be refused") };
    let found: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let wanted = [
        "form 0 (\"panel-a\"), mark 8: a form places another form",
        "form 1 (\"panel-a\"): \"panel-a\" is the identifier of another form too",
        "page 1 (\"Card 1 of 2: panels\"): the trim",
        "page 1 (\"Card 1 of 2: panels\"), mark 1: places form 9, but there are 2",
        "page 1 (\"Card 1 of 2: panels\"), mark 1: a form is scaled",
        "page 1 (\"Card 1 of 2: panels\"), mark 2: a pen -1 mm wide",
        "page 1 (\"Card 1 of 2: panels\"), mark 3: a coordinate of a path is not a finite number",
        "page 1 (\"Card 1 of 2: panels\"), mark 3: a pen 1 mm wide",
        "page 2 (\"Card 2 of 2: posts\"): paper of inf mm x 279.4 mm",
    ];
    assert_eq!(found.len(), wanted.len(), "{found:#?}");
    for (found, wanted) in found.iter().zip(wanted) {
        assert!(found.starts_with(wanted), "{found:?} instead of {wanted:?}");
    }
    let empty = Document::default();
    let Err(PdfError::Faults(faults)) = pdf::write(&empty) else { panic!("must be refused") };
    assert_eq!(faults[0].problem, Problem::NoPages);
}
