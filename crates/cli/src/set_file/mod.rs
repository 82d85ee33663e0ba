//! The set file: what its JSON may say. Nothing here knows of patterns or sheets; `import` joins
//! these types to the inner ones.

mod artwork;
mod bends;
mod class;
mod design_call;
pub mod document;
mod opening;
mod pieces;
mod plan;
pub mod reader;
mod roof;
mod standing;
mod stock;
mod values;
mod weight;
mod well;

pub use artwork::{
    ArtworkEntries, FieldWord, FlipWord, GridEntry, InkWord, LookWord, PictureEntry, Pictures, RegistrationWord,
};
pub use bends::{BendWord, BentWallEntry, TurnTileEntry, TurnWord};
pub use class::{ClassEntry, ClassSheets, Kits, MOST_KITS, MOST_STACK};
pub use design_call::{DesignCall, PropCall};
pub use opening::{Arch, Bars, Door, Hinge, Low, Opening, Window};
pub use pieces::{
    Base, BiscuitEntry, CapEntry, Corner, CouplerEntry, Feet, PieceEntry, PocketEntry, PostEntry, PropEntry, Reliefs,
    TileEntry, TilePartEntry, WallEntry, WrapEntry,
};
pub use plan::{Faces, Minutes, Prices, Rates};
pub use roof::{Degrees, FormWord, LatticePoint, MOST_CORNERS as MOST_ROOF_CORNERS, OverWord, RoofEntry, SkirtWord};
pub use standing::{Climb, FillerEntry, FillerSpan, FreeWallEntry, LandingEntry, MarkerEntry, PillarEntry, StairEntry};
pub use stock::{
    BoardEntry, BoardLayout, LayoutWord, Orientation, PieceGrain, SheetEntry, SheetGrain, SizeEntry, Sizes,
    StockEntries,
};
pub use values::{Amount, Arms, Cells, Copies, Count, Covering, Length, Line, Pockets, Prose, Rgb, Share, Span};
pub use weight::Weight;
pub use well::{GratingEntry, Spans, WellEntry};

use crate::problem::{Problems, Source, Spanned};
use document::Called;
use reader::{Read, Reader, record, word};

/// The largest set file that is read, bytes.
pub const LARGEST: usize = 4 * 1024 * 1024;

record! {
    /// A set of modular terrain: what is to be cut, from what, and on which sheets. It lists pieces,
    /// or names a floor plan, or both.
    #[schemars(extend("anyOf" = [{ "required": ["pieces"] }, { "required": ["plan"] }]))]
    pub struct SetFile {
        /// Name of the set, printed on every sheet.
        pub name: Line,
        /// A sentence or two about the set: kept in the PDF's document information and in parts.json.
        pub about: Option<Prose>,
        /// Lengths from which every pattern is computed. What is left out has its default.
        pub parameters: Option<ParameterEntries>,
        /// What the pieces are cut from, and on which sheets.
        pub stock: Option<StockEntries>,
        /// How pieces are put on sheets. Default "fewest-pages".
        pub layout: Option<LayoutWord>,
        /// A floor plan, whose pieces are made: a file in the set file's folder or below it, such
        /// as "pump-room.plan".
        pub plan: Option<Spanned<Line>>,
        /// A printer profile that `flatwright profile` wrote, in the set file's folder or below it, such as
        /// "printer.json": the pages of sheets.pdf are corrected for that printer.
        pub printer: Option<Spanned<Line>>,
        /// A materials profile that `flatwright profile` wrote, in the set file's folder or below it, such as
        /// "materials.json": calipers, kerf, play and fold factor that `parameters` and `stock` do not
        /// give are taken from it.
        pub materials: Option<Spanned<Line>>,
        /// How artwork is printed.
        pub artwork: Option<ArtworkEntries>,
        /// Pictures of your own, as faces: each has a name, such as "mosaic", by which a piece, a plan
        /// or `faces` asks for it.
        pub pictures: Option<Pictures>,
        /// A folder beside the set file or below it with data files of your own: `surfaces` in it
        /// holds surfaces (see `flatwright schema --of surface`), `walls` designs of walls, `props` props.
        /// What has the name of one that the program carries takes its place.
        pub templates: Option<Spanned<Line>>,
        /// What covers the pieces that the floor plan asks for.
        pub faces: Option<Faces>,
        /// What sheets cost and how long work takes, for estimates.
        pub rates: Option<Rates>,
        /// A class set: the same kit for each child or group.
        pub class: Option<ClassEntry>,
        /// The pieces of the set: 1 to 1000 entries. With a floor plan they are made beside what
        /// the plan needs; without one there must be some.
        #[schemars(length(min = 1, max = 1000))]
        pub pieces: Option<Spanned<Vec<Spanned<PieceEntry>>>>,
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
        /// Caliper of the card for posts, walls and corner pockets, as measured. Default: an estimate
        /// from the card's "weight" in `stock`, or without one 0.25 mm.
        pub card: Option<Spanned<Length>>,
        /// Caliper of the paper that wraps tiles and faces board walls, as measured. Default: an
        /// estimate from the paper's "weight" in `stock`, or without one 0.1 mm.
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

const CALLED: Called = Called {
    file: "a set file",
    whole: "the set",
    write: "write a set: {\"name\": \"...\", \"pieces\": [...]}",
    largest: LARGEST,
    shorten: "give copies of a piece as a \"count\", not as entries of their own",
};

/// Reads a set file. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them, and a set that has neither pieces nor a plan.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<(SetFile, Source), Problems> {
    document::read(name, bytes, CALLED, |value, reader| {
        let Some(object) = value.as_object() else { return };
        let has = |key: &str| object.properties.iter().any(|property| property.name.as_str() == key);
        if !has("pieces") && !has("plan") {
            let brace = jsonc_parser::common::Range::new(object.range.start, object.range.start + 1);
            let help = "add the key \"pieces\", or \"plan\" with the name of a floor plan";
            reader.wrong(&brace, "has no \"pieces\"", "in here", help);
        }
    })
}

/// The JSON Schema of the set file (draft 2020-12).
#[must_use]
pub fn schema() -> schemars::Schema {
    document::schema::<SetFile>()
}
