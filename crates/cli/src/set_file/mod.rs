//! The set file: what its JSON may say. Nothing here knows of patterns or sheets; `import` joins
//! these types to the inner ones.

mod pieces;
pub mod reader;
mod values;

pub use pieces::{
    Arch, Bars, Base, BiscuitEntry, Corner, Door, Feet, Hinge, Low, Opening, PieceEntry, PocketEntry, PostEntry,
    Reliefs, TileEntry, TilePartEntry, WallEntry, Window, WrapEntry,
};
pub use values::{Arms, Cells, Copies, Count, Length, Line, Pockets, Prose, Rgb, Share, Span};

use std::sync::Arc;

use jsonc_parser::errors::ParseErrorKind;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

use schemars::transform::Transform as _;

use crate::problem::{At, Problem, Problems, Source, SourceText, Spanned};
use reader::{Read, Reader, record, word};

/// The largest set file that is read, bytes.
pub const LARGEST: usize = 4 * 1024 * 1024;

record! {
    /// A set of modular terrain: what is to be cut, from what, and on which sheets.
    pub struct SetFile {
        /// Name of the set, printed on every sheet.
        pub name: Line,
        /// A sentence or two about the set: kept in the PDF's document information and in parts.json.
        pub about: Option<Prose>,
        /// Lengths from which every pattern is computed. What is left out has its default.
        pub parameters: Option<ParameterEntries>,
        /// What the pieces are cut from, and on which sheets.
        pub stock: Option<StockEntries>,
        /// The pieces of the set: 1 to 1000 entries.
        #[schemars(length(min = 1, max = 1000))]
        pub pieces: Spanned<Vec<Spanned<PieceEntry>>>,
    }
}

record! {
    /// The parameters of the construction. Every length is a text with its unit: "3 in", "5 mm",
    /// "3/16 in".
    pub struct ParameterEntries {
        /// Module: the pitch of the lattice on which tiles, walls and posts stand. Default 3 in.
        pub module: Option<Spanned<Length>>,
        /// Thickness of the board, as measured. Default 5 mm.
        pub board: Option<Spanned<Length>>,
        /// Caliper of the card for posts, walls and corner pockets. Default 0.25 mm.
        pub card: Option<Spanned<Length>>,
        /// Caliper of the paper that wraps tiles and faces board walls. Default 0.1 mm.
        pub paper: Option<Spanned<Length>>,
        /// Width that the cutter removes: 0 mm for a knife, 0.1 to 0.3 mm for a laser. Default 0 mm.
        pub kerf: Option<Spanned<Length>>,
        /// Total clearance of a sliding joint. Default 0.3 mm.
        pub play: Option<Spanned<Length>>,
        /// Outer side of a post. Default: wide enough for four wall tabs, at least 15 mm.
        pub post_side: Option<Spanned<Length>>,
        /// Height of a wall above the floor surface. Default 50 mm.
        pub wall_height: Option<Spanned<Length>>,
        /// Depth of a wall slot from the post's top. Default: half the wall's height.
        pub slot_depth: Option<Spanned<Length>>,
        /// Drop of a wall's hook below the slot. Default 8 mm.
        pub hook_drop: Option<Spanned<Length>>,
        /// Width of an edge notch. Default 20 mm.
        pub notch_width: Option<Spanned<Length>>,
        /// Depth of an edge notch, from the lattice line. Default 15 mm.
        pub notch_depth: Option<Spanned<Length>>,
        /// Length of a foot tongue. Default 12 mm.
        pub tongue: Option<Spanned<Length>>,
        /// Return of the wrap under the tile. Default 12 mm.
        pub wrap_return: Option<Spanned<Length>>,
        /// Bleed of the artwork past a cut line. Default 3 mm.
        pub bleed: Option<Spanned<Length>>,
        /// Width of the glued band of a corner pocket. Default 8 mm.
        pub pocket_band: Option<Spanned<Length>>,
        /// Narrowest gap that the tool can cut in card. Default 0.8 mm.
        pub tool_gap_card: Option<Spanned<Length>>,
        /// Narrowest gap that the tool can cut in board. Default 1.5 mm.
        pub tool_gap_board: Option<Spanned<Length>>,
        /// Where the neutral line of a fold lies, as a part of the caliper. Default 0.5, for card
        /// and paper.
        pub fold_factor: Option<Spanned<Share>>,
        /// How the walls are built. The slot of a post fits one thickness, so a set has one kind.
        /// Default "card".
        pub walls: Option<Walls>,
    }
}

word! {
    /// How walls are built.
    pub enum Walls {
        /// Folded card, glued face to face.
        Card = "card",
        /// Board core with a paper facing.
        Board = "board",
    }
}

record! {
    /// Stock and sheets.
    pub struct StockEntries {
        /// Paper for wraps and facings. Templates for board and the cover page are printed on it too.
        pub paper: Option<SheetEntry>,
        /// Card for posts, walls and corner pockets.
        pub card: Option<SheetEntry>,
        /// Board for cores and biscuits.
        pub board: Option<BoardEntry>,
        /// Margin along every side of every sheet that stays empty. Default 7 mm.
        pub margin: Option<Spanned<Length>>,
        /// Least gap between two pieces. Default 2 mm.
        pub gap: Option<Spanned<Length>>,
        /// Whether a piece too large for its sheet is split with an overlap (true), or refused.
        /// Default true.
        pub split_large: Option<Flag>,
    }
}

record! {
    /// Paper or card, and the sheets that it comes in.
    pub struct SheetEntry {
        /// Size of the sheet: a name such as "A4", "Letter" or "ARCH B", or measures such as
        /// "210 x 297 mm". Default "A4".
        pub size: Option<Spanned<Line>>,
        /// Which way the sheet is turned. Default "either".
        pub orientation: Option<Orientation>,
        /// What it is, printed on the sheets, such as "card 200 g/m2". Default: its caliper.
        pub material: Option<Line>,
        /// Width that the cutter of this stock removes. Default: the parameter "kerf".
        pub kerf: Option<Spanned<Length>>,
    }
}

record! {
    /// Board, and how it is cut.
    pub struct BoardEntry {
        /// How board pieces are laid out. Default "template".
        pub layout: Option<BoardLayout>,
        /// Size of a sheet of board, where it is cut as sheets: "20x30 in", "A2" and the like.
        /// Default "20x30 in".
        pub size: Option<Spanned<Line>>,
        /// What it is, printed on the sheets, such as "foam board 5 mm". Default: its thickness.
        pub material: Option<Line>,
        /// Width that the cutter of the board removes. Default: the parameter "kerf".
        pub kerf: Option<Spanned<Length>>,
    }
}

word! {
    /// Which way a sheet is turned.
    pub enum Orientation {
        /// Taller than wide.
        Portrait = "portrait",
        /// Wider than tall.
        Landscape = "landscape",
        /// Whichever needs fewer sheets.
        Either = "either",
    }
}

word! {
    /// How board pieces are laid out.
    pub enum BoardLayout {
        /// As templates on paper, to be glued onto the board and cut with it.
        Template = "template",
        /// Straight on board sheets, for a cutting machine.
        Sheet = "sheet",
    }
}

/// True or false.
#[derive(Clone, Copy, Debug, PartialEq, Eq, schemars::JsonSchema)]
#[schemars(inline)]
pub struct Flag(pub bool);

impl Read for Flag {
    fn read(value: &jsonc_parser::ast::Value<'_>, reader: &mut Reader) -> Option<Self> {
        let flag = value.as_boolean_lit().map(|boolean| Self(boolean.value));
        if flag.is_none() {
            reader.mismatch(value, "true or false", "write it without quotes");
        }
        flag
    }
}

impl<T: schemars::JsonSchema> schemars::JsonSchema for Spanned<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        T::schema_name()
    }

    fn inline_schema() -> bool {
        T::inline_schema()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        T::json_schema(generator)
    }
}

/// Reads a set file. `name` is what diagnostics call it.
///
/// # Errors
/// Every problem with its place: bytes that are not text, broken JSON (the first break only),
/// wrong types, unknown, repeated and missing keys, lengths without a unit, numbers out of range.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<(SetFile, Source), Problems> {
    let fail = |problem| Problems::new(name, vec![problem]);
    if bytes.len() > LARGEST {
        let size = format!("{name} has {} bytes; a set file has at most {LARGEST}", bytes.len());
        return Err(fail(
            Problem::new(size).help("give copies of a piece as a \"count\", not as entries of their own"),
        ));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let line = 1 + error.as_bytes()[..valid].iter().filter(|byte| **byte == b'\n').count();
        fail(Problem::new(format!("{name} is not UTF-8 text: byte {valid}, in line {line}")).help("save it as UTF-8"))
    })?;
    let source: Source = Arc::new(SourceText { name: name.to_owned(), text });
    let text = source.text.as_str();
    let place = |start: usize, end: usize| At { source: source.clone(), start, end: end.min(text.len()).max(start) };

    let parsed = parse_to_ast(text, &CollectOptions::default(), &strict()).map_err(|error| {
        let message = format!("broken JSON: {}", lowered(&error.kind().to_string()));
        // What is not closed runs to the end of the file: its beginning is shown.
        let open = matches!(error.kind(), ParseErrorKind::UnterminatedArray | ParseErrorKind::UnterminatedObject);
        let (start, end) = (error.range().start, error.range().end);
        let (end, label) = if open { (start + 1, "opened here") } else { (end, "here") };
        fail(
            Problem::new(message).at(&place(start, end), label).help("mend this first; what follows is read only then"),
        )
    })?;
    let Some(value) = parsed.value else {
        return Err(fail(
            Problem::new(format!("{name} is empty")).help("write a set: {\"name\": \"...\", \"pieces\": [...]}"),
        ));
    };
    // The reader above gives positions but takes a few things that the standard does not.
    if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(text.trim_start_matches('\u{feff}')) {
        let at = offset_of(text, error.line(), error.column());
        let message = error.to_string();
        let message = message.split(" at line").next().unwrap_or_default().to_owned();
        return Err(fail(Problem::new(format!("broken JSON: {message}")).at(&place(at, at + 1), "here")));
    }

    let mut reader = Reader::new(source.clone());
    let set = SetFile::read(&value, &mut reader);
    let problems = reader.into_problems();
    match set {
        Some(set) if problems.is_empty() => Ok((set, source)),
        _ => Err(Problems::new(name, problems)),
    }
}

/// The JSON Schema of the set file (draft 2020-12).
#[must_use]
pub fn schema() -> schemars::Schema {
    let mut schema = schemars::schema_for!(SetFile);
    schemars::transform::RecursiveTransform(without_null).transform(&mut schema);
    schema
}

/// A key that may be left out is left out: null is no value of it. The generator lets it be one.
fn without_null(schema: &mut schemars::Schema) {
    let null = serde_json::json!({ "type": "null" });
    if let Some(serde_json::Value::Array(types)) = schema.get_mut("type") {
        types.retain(|name| name != "null");
        if let [only] = &types[..] {
            let only = only.clone();
            schema.insert("type".to_owned(), only);
        }
    }
    if let Some(serde_json::Value::Array(words)) = schema.get_mut("enum") {
        words.retain(|word| !word.is_null());
    }
    for choice in ["anyOf", "oneOf"] {
        let Some(serde_json::Value::Array(choices)) = schema.get_mut(choice) else { continue };
        choices.retain(|inner| *inner != null);
        if let [serde_json::Value::Object(only)] = &choices[..] {
            // One choice is none: its keys take its place; a description given here stays.
            let only = only.clone();
            schema.remove(choice);
            for (key, value) in only {
                if schema.get(&key).is_none() {
                    schema.insert(key, value);
                }
            }
        }
    }
}

/// JSON as RFC 8259 has it, without any of the parser's extensions.
const fn strict() -> ParseOptions {
    ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    }
}

/// The first letter in lower case, for the middle of a sentence.
fn lowered(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

/// The byte at a line and a column, both from 1; columns are bytes, as serde_json counts them.
fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let before: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let mut at = (before + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
