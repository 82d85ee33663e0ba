//! Type in the file: cut down to the glyphs used, with the table that lets readers extract text.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use lopdf::{Dictionary, Object, ObjectId, Stream, dictionary};
use subsetter::GlyphRemapper;

use super::PdfError;
use crate::font::{self, Setting, shown};
use crate::page::{Document, Shape, Weight};

/// The type that a document uses.
pub(super) struct Types(BTreeMap<Weight, Used>);

/// What one weight is used for.
#[derive(Default)]
struct Used {
    /// Every character drawn with its glyph.
    glyphs: BTreeMap<char, font::Glyph>,
    /// From the font's glyphs to the file's.
    codes: GlyphRemapper,
}

/// Name of a weight among the resources.
pub(super) const fn font_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "Regular",
        Weight::Bold => "Bold",
    }
}

impl Types {
    pub(super) fn of(document: &Document) -> Self {
        let pages = document.pages.iter().flat_map(|page| &page.marks);
        let mut weights = BTreeMap::<Weight, Used>::new();
        for mark in pages.chain(document.forms.iter().flat_map(|form| &form.marks)) {
            if let Shape::Text(text) = &mark.shape {
                let used = weights.entry(text.weight).or_default();
                let setting = Setting::of(text.weight);
                used.glyphs.extend(shown(&text.text).chars().filter_map(|c| Some((c, setting.glyph_of(c)?))));
            }
        }
        for used in weights.values_mut() {
            let mut ids: Vec<u16> = used.glyphs.values().map(|glyph| glyph.id).collect();
            ids.sort_unstable();
            used.codes = GlyphRemapper::new_from_glyphs_sorted(&ids);
        }
        Self(weights)
    }

    /// The two-byte codes that show a text.
    pub(super) fn encode(&self, text: &str, weight: Weight) -> Vec<u8> {
        let Some(used) = self.0.get(&weight) else { return Vec::new() };
        let code = |c: char| used.codes.get(used.glyphs.get(&c)?.id);
        shown(text).chars().filter_map(code).flat_map(u16::to_be_bytes).collect()
    }

    /// Puts the type into the file (ISO 32000-1, 9.7: a composite font with CIDs equal to glyphs).
    pub(super) fn embed(&self, file: &mut lopdf::Document) -> Result<BTreeMap<Weight, ObjectId>, PdfError> {
        self.0.iter().map(|(&weight, used)| Ok((weight, embed(file, weight, used)?))).collect()
    }
}

fn embed(file: &mut lopdf::Document, weight: Weight, used: &Used) -> Result<ObjectId, PdfError> {
    let setting = Setting::of(weight);
    let program = subsetter::subset(font::data(weight), 0, &used.codes)?;
    let per_mille = |units: f64| Object::from(super::canvas::number(units * 1000.0 / setting.units_per_em));
    let of_em = |part: f64| per_mille(part * setting.units_per_em);

    let name = Object::Name(base_name(weight, used).into_bytes());
    let length = i64::try_from(program.len()).unwrap_or(i64::MAX);
    let program = file.add_object(Stream::new(dictionary! { "Length1" => length }, program));
    let descriptor = file.add_object(dictionary! {
        "Type" => "FontDescriptor",
        "FontName" => name.clone(),
        // Symbolic: its glyphs are reached by number, not through a standard encoding.
        "Flags" => 4,
        "FontBBox" => setting.bounds.iter().map(|&side| per_mille(f64::from(side))).collect::<Vec<_>>(),
        "ItalicAngle" => 0,
        "Ascent" => of_em(setting.ascent),
        "Descent" => of_em(-setting.descent),
        "CapHeight" => of_em(setting.cap_height),
        // Thickness of upright stems: by eye, readers use it only to stand in for a missing font.
        "StemV" => match weight { Weight::Regular => 90, Weight::Bold => 150 },
        "FontFile2" => program,
    });
    let cid_font = file.add_object(dictionary! {
        "Type" => "Font",
        "Subtype" => "CIDFontType2",
        "BaseFont" => name.clone(),
        "CIDSystemInfo" => dictionary! {
            "Registry" => Object::string_literal("Adobe"),
            "Ordering" => Object::string_literal("Identity"),
            "Supplement" => 0,
        },
        "FontDescriptor" => descriptor,
        "DW" => 0,
        "W" => vec![0.into(), widths(used).into_iter().map(|units| per_mille(f64::from(units))).collect::<Vec<_>>().into()],
        "CIDToGIDMap" => "Identity",
    });
    let to_unicode = file.add_object(Stream::new(Dictionary::new(), to_unicode(used).into_bytes()));
    Ok(file.add_object(dictionary! {
        "Type" => "Font",
        "Subtype" => "Type0",
        "BaseFont" => name,
        "Encoding" => "Identity-H",
        "DescendantFonts" => vec![cid_font.into()],
        "ToUnicode" => to_unicode,
    }))
}

/// Advance widths in the order of the file's glyphs; the first is the one for missing glyphs.
fn widths(used: &Used) -> Vec<u16> {
    let mut widths = vec![0; usize::from(used.codes.num_gids())];
    for glyph in used.glyphs.values() {
        if let Some(width) = used.codes.get(glyph.id).and_then(|code| widths.get_mut(usize::from(code))) {
            *width = glyph.advance;
        }
    }
    widths
}

/// The font's name with the tag of six letters that marks a subset (ISO 32000-1, 9.6.4).
fn base_name(weight: Weight, used: &Used) -> String {
    let mut rest = super::finish::digest(used.glyphs.keys().flat_map(|&c| u32::from(c).to_be_bytes()));
    let mut tag = String::new();
    for _ in 0..6 {
        tag.extend(char::from_digit(u32::try_from(rest % 26).unwrap_or_default() + 10, 36));
        rest /= 26;
    }
    tag.make_ascii_uppercase();
    format!("{tag}+NotoSans-{}", font_name(weight))
}

/// The table from codes to characters (ISO 32000-1, 9.10.3). Where characters share a glyph, the
/// first stands for all.
fn to_unicode(used: &Used) -> String {
    let mut characters = BTreeMap::new();
    for (&c, glyph) in &used.glyphs {
        if let Some(code) = used.codes.get(glyph.id) {
            characters.entry(code).or_insert(c);
        }
    }
    let mut map = String::from(
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n\
         /CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n\
         /CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n\
         1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n",
    );
    let entries: Vec<(u16, char)> = characters.into_iter().collect();
    // A block holds at most 100 entries.
    for block in entries.chunks(100) {
        // Writing into a string cannot fail.
        let _ = writeln!(map, "{} beginbfchar", block.len());
        for &(code, c) in block {
            let units: String = c.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("{unit:04X}")).collect();
            let _ = writeln!(map, "<{code:04X}> <{units}>");
        }
        map.push_str("endbfchar\n");
    }
    map.push_str("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
    map
}
