//! The entries of the list of pieces.

use jsonc_parser::ast::Value;

use super::Flag;
use super::bends::{BentWallEntry, TurnTileEntry};
use super::design_call::{DesignCall, PropCall};
use super::opening::Opening;
use super::reader::{Read, Reader, listed, record, tagged, word};
use super::roof::RoofEntry;
use super::standing::{FillerEntry, FreeWallEntry, LandingEntry, MarkerEntry, PillarEntry, StairEntry};
use super::stock::PieceGrain;
use super::values::{Arms, Cells, Copies, Covering, Line, Pockets, Span};
use super::well::{GratingEntry, WellEntry};
use crate::problem::Spanned;

tagged! {
    /// One kind of piece, and how many of it.
    pub enum PieceEntry by "piece" {
        /// A whole tile: its board core, its printed wrap and its corner pockets.
        Tile(TileEntry) = "tile",
        /// The board core of a tile alone.
        TileCore(TilePartEntry) = "tile-core",
        /// The printed wrap of a tile alone.
        TileWrap(WrapEntry) = "tile-wrap",
        /// A card patch under a relieved corner of a tile.
        CornerPocket(PocketEntry) = "corner-pocket",
        /// A board tie between the edge notches of two tiles.
        Biscuit(BiscuitEntry) = "biscuit",
        /// A square sleeve of card that stands between tiles and holds walls.
        Post(PostEntry) = "post",
        /// A folded card lid that lies on a post's open top.
        Cap(CapEntry) = "cap",
        /// A square sleeve of card, half in a post and half in the post of the level above.
        Coupler(CouplerEntry) = "coupler",
        /// A wall that hangs between two posts.
        Wall(WallEntry) = "wall",
        /// A straight flight of stairs.
        Stair(StairEntry) = "stair",
        /// A half landing between two flights.
        HalfLanding(LandingEntry) = "half-landing",
        /// A flat marker where a stair leads down.
        StairMarker(MarkerEntry) = "stair-marker",
        /// A pillar.
        Pillar(PillarEntry) = "pillar",
        /// A wall that stands free on a base plate.
        FreeWall(FreeWallEntry) = "free-wall",
        /// A grating that lies in the opening of a tile.
        Grating(GratingEntry) = "grating",
        /// A wall of a third or two thirds of a module that hangs in one post.
        Filler(FillerEntry) = "filler",
        /// A prop of folded card, such as a crate.
        Prop(PropEntry) = "prop",
        /// A roof of folded card that lifts off its walls.
        Roof(RoofEntry) = "roof",
        /// A wall that follows a bend, round or diagonal.
        BentWall(BentWallEntry) = "bent-wall",
        /// A whole tile with a side on a bend: its board core, its printed wrap and its pockets.
        TurnTile(TurnTileEntry) = "turn-tile",
    }
}

impl PieceEntry {
    /// What covers its face.
    #[must_use]
    pub fn face(&self) -> Option<&Spanned<Covering>> {
        match self {
            Self::Tile(e) => e.face.as_ref(),
            Self::TileWrap(e) => e.face.as_ref(),
            Self::Post(e) => e.face.as_ref(),
            Self::Cap(e) => e.face.as_ref(),
            Self::Wall(e) => e.face.as_ref(),
            Self::Stair(e) => e.face.as_ref(),
            Self::HalfLanding(e) => e.face.as_ref(),
            Self::StairMarker(e) => e.face.as_ref(),
            Self::Pillar(e) => e.face.as_ref(),
            Self::FreeWall(e) => e.face.as_ref(),
            Self::Filler(e) => e.face.as_ref(),
            Self::Grating(e) => e.face.as_ref(),
            Self::Prop(e) => e.face.as_ref(),
            Self::Roof(e) => e.face.as_ref(),
            Self::BentWall(e) => e.face.as_ref(),
            Self::TurnTile(e) => e.face.as_ref(),
            Self::TileCore(_) | Self::CornerPocket(_) | Self::Biscuit(_) | Self::Coupler(_) => None,
        }
    }

    /// What it asks for in a few words, such as `4 x tile, brine hall floor`.
    #[must_use]
    pub fn title(&self) -> String {
        let (word, count, label) = match self {
            Self::Tile(e) => ("tile", e.count, &e.label),
            Self::TileCore(e) => ("tile core", e.count, &e.label),
            Self::TileWrap(e) => ("tile wrap", e.count, &e.label),
            Self::CornerPocket(e) => ("corner pocket", e.count, &e.label),
            Self::Biscuit(e) => ("biscuit", e.count, &e.label),
            Self::Post(e) => ("post", e.count, &e.label),
            Self::Cap(e) => ("cap", e.count, &e.label),
            Self::Coupler(e) => ("coupler", e.count, &e.label),
            Self::Wall(e) => ("wall", e.count, &e.label),
            Self::Roof(e) => ("roof", e.count, &e.label),
            Self::Stair(e) => ("stair", e.count, &e.label),
            Self::HalfLanding(e) => ("half landing", e.count, &e.label),
            Self::StairMarker(e) => ("stair marker", e.count, &e.label),
            Self::Pillar(e) => ("pillar", e.count, &e.label),
            Self::FreeWall(e) => ("free-standing wall", e.count, &e.label),
            Self::BentWall(e) => ("bent wall", e.count, &e.label),
            Self::TurnTile(e) => ("turn tile", e.count, &e.label),
            Self::Filler(e) => ("filler", e.count, &e.label),
            Self::Grating(e) => ("grating", e.count, &e.label),
            Self::Prop(e) => (e.design.0.name.value.0.as_str(), e.count, &e.label),
        };
        let label = label.as_ref().map(|label| format!(", {}", label.0)).unwrap_or_default();
        format!("{} x {word}{label}", count.map_or(1, |count| count.0))
    }
}

record! {
    /// A whole tile: its board core, its printed wrap and its corner pockets.
    pub struct TileEntry {
        /// Modules along its two sides, such as [1, 2].
        pub size: Cells,
        /// Where it is relieved for posts. Default "corners".
        pub reliefs: Option<Reliefs>,
        /// An opening in it, such as a stair leads up through. Default: none.
        pub opening: Option<Spanned<WellEntry>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its face: a colour such as "#7a8b8c", or a surface such as "flagstone".
        /// Default: `faces.floors`.
        pub face: Option<Spanned<Covering>>,
        /// How many of its corners get a pocket, 0 to 4. Default 4.
        pub pockets: Option<Pockets>,
        /// A name for it, printed on its parts.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How its wrap lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// The board core of a tile alone.
    pub struct TilePartEntry {
        /// Modules along its two sides, such as [1, 2].
        pub size: Cells,
        /// Where it is relieved for posts. Default "corners".
        pub reliefs: Option<Reliefs>,
        /// An opening in it, such as a stair leads up through. Default: none.
        pub opening: Option<Spanned<WellEntry>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
    }
}

record! {
    /// The printed wrap of a tile alone.
    pub struct WrapEntry {
        /// Modules along its two sides, such as [1, 2].
        pub size: Cells,
        /// Where it is relieved for posts. Default "corners".
        pub reliefs: Option<Reliefs>,
        /// An opening in it, such as a stair leads up through. Default: none.
        pub opening: Option<Spanned<WellEntry>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its face: a colour such as "#7a8b8c", or a surface such as "flagstone".
        /// Default: `faces.floors`.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A card patch under a relieved corner of a tile.
    pub struct PocketEntry {
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A board tie between the edge notches of two tiles.
    pub struct BiscuitEntry {
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
    }
}

record! {
    /// A square sleeve of card that stands between tiles and holds walls.
    pub struct PostEntry {
        /// The sides that hold a wall: any of the letters N, E, S and W, such as "NE"; "" for none.
        pub arms: Arms,
        /// The quadrants in which a tile lies, where the post has tongues: any of "NE", "SE", "SW"
        /// and "NW". Default: none. Not together with "base".
        pub feet: Option<Spanned<Feet>>,
        /// What it stands on instead of tongues: "plate" for a glued base plate.
        pub base: Option<Base>,
        /// Whether a level stands on it: then it is a caliper higher. Default false.
        pub under: Option<Flag>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its outer faces: a colour such as "#7a8b8c", or a surface such as "flagstone".
        /// Default: `faces.posts`.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A folded card lid that lies on a post's open top.
    pub struct CapEntry {
        /// The sides of its post that hold a wall, where it is notched: any of the letters N, E, S and W,
        /// such as "NE"; "" for none.
        pub arms: Arms,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its lid and skirts: a colour such as "#7a8b8c", or a surface such as "planks".
        /// Default: `caps` of the set's "faces", or else `posts`; without either it is left white.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A square sleeve of card, half in a post and half in the post of the level above.
    pub struct CouplerEntry {
        /// The sides of the lower post that hold a wall, where it is slotted: any of the letters N, E, S
        /// and W, such as "NE"; "" for none.
        pub arms: Arms,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A wall that hangs between two posts.
    pub struct WallEntry {
        /// Modules along it: a whole number, or a fraction in quotes such as "1/3" or "2/3".
        pub span: Span,
        /// What is cut into it. Default: nothing.
        pub opening: Option<Spanned<Opening>>,
        /// Its design by name, and what the design is to be like, such as {"name": "niche", "width": "18 mm"}.
        /// Default: none. Not together with "opening".
        pub design: Option<Spanned<DesignCall>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its faces: a colour such as "#7a8b8c", or a surface such as "flagstone".
        /// Default: `faces.walls`.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed on it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

record! {
    /// A prop of folded card: all its parts.
    pub struct PropEntry {
        /// Which: "crate", or with values of its own {"name": "crate", "length": "30 mm"}.
        pub design: PropCall,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers all its parts: a colour such as "#7a8b8c", or a surface such as "planks".
        /// Default: what the prop itself says for each.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside its parts.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

word! {
    /// Where a tile is relieved for posts.
    pub enum Reliefs {
        /// At its four corners.
        Corners = "corners",
        /// At its corners and at every module point along its edges.
        EveryModule = "every-module",
    }
}

word! {
    /// What a post stands on.
    pub enum Base {
        /// A glued base plate.
        Plate = "plate",
    }
}

word! {
    /// One quadrant around a post.
    pub enum Corner {
        /// North east.
        NorthEast = "NE",
        /// South east.
        SouthEast = "SE",
        /// South west.
        SouthWest = "SW",
        /// North west.
        NorthWest = "NW",
    }
}

/// The quadrants in which a post has tongues, each at most once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Feet(pub Vec<Corner>);

impl schemars::JsonSchema for Feet {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Feet".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "array",
            "items": { "enum": Corner::WORDS },
            "uniqueItems": true,
        })
    }
}

impl Read for Feet {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let corners = Vec::<Corner>::read(value, reader)?;
        let repeated = corners.iter().enumerate().any(|(i, corner)| corners[..i].contains(corner));
        if repeated {
            reader.wrong(
                value,
                "names a quadrant twice",
                "here",
                &format!("name each of {} once", listed(Corner::WORDS, "and")),
            );
        }
        (!repeated).then_some(Self(corners))
    }
}
