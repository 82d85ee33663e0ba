//! The file of `--stock`: what has been built already.

use crate::problem::{Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::record;
use crate::set_file::{Arms, Base, Cells, Copies, DesignCall, Feet, Flag, LARGEST, Line, Opening, Reliefs, Span};

record! {
    /// What has been built already. It serves a floor plan first, and only the rest is made. Pieces of turns
    /// (their tiles, their walls on bends and the pockets at these), fittings (props, stairs, pillars,
    /// free-standing walls) and roofs are not listed: they are made anew.
    pub struct StockFile {
        /// Tiles, wrapped.
        pub tiles: Option<Vec<TileOnHand>>,
        /// Posts, folded and glued.
        pub posts: Option<Vec<PostOnHand>>,
        /// Caps, folded and glued.
        pub caps: Option<Vec<CapOnHand>>,
        /// Couplers, folded and glued, in no post.
        pub couplers: Option<Vec<CouplerOnHand>>,
        /// Walls. Fillers are not listed: those of a plan are made anew.
        pub walls: Option<Vec<Spanned<WallOnHand>>>,
        /// Loose biscuits. Default: none.
        pub biscuits: Option<Copies>,
        /// Loose corner pockets. Those glued under tiles are not counted. Default: none.
        pub corner_pockets: Option<Copies>,
    }
}

record! {
    /// Tiles of one size and surface.
    pub struct TileOnHand {
        /// Modules along its two sides, such as [1, 2].
        pub size: Cells,
        /// The name of its surface, as the floor plan writes it.
        pub surface: Line,
        /// Where it is relieved for posts. Default "corners".
        pub reliefs: Option<Reliefs>,
        /// How many. Default 1.
        pub count: Option<Copies>,
    }
}

record! {
    /// Posts of one kind, turned in any way.
    pub struct PostOnHand {
        /// The sides that hold a wall: any of the letters N, E, S and W, such as "NE".
        pub arms: Arms,
        /// The quadrants in which it has tongues: any of "NE", "SE", "SW" and "NW". Default: none.
        /// Not together with "base".
        pub feet: Option<Spanned<Feet>>,
        /// "plate" for one on a base plate, which is counted with it.
        pub base: Option<Base>,
        /// Whether it is one that a level stands on, a caliper higher than others. Default false.
        pub under: Option<Flag>,
        /// How many. Default 1.
        pub count: Option<Copies>,
    }
}

record! {
    /// Caps of one kind, turned in any way.
    pub struct CapOnHand {
        /// The sides that are notched for a wall: any of the letters N, E, S and W, such as "NE".
        pub arms: Arms,
        /// How many. Default 1.
        pub count: Option<Copies>,
    }
}

record! {
    /// Couplers of one kind, turned in any way.
    pub struct CouplerOnHand {
        /// The sides that are slotted for a wall of the level below: any of the letters N, E, S and W.
        pub arms: Arms,
        /// How many. Default 1.
        pub count: Option<Copies>,
    }
}

record! {
    /// Walls of one kind.
    pub struct WallOnHand {
        /// Modules along it.
        pub span: Span,
        /// What is cut into it, with the same sizes as in the plan. Default: nothing.
        pub opening: Option<Spanned<Opening>>,
        /// Its design, with the same values as in the plan. Default: none. Not together with "opening".
        pub design: Option<Spanned<DesignCall>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
    }
}

const CALLED: Called = Called {
    file: "a stock file",
    whole: "the stock",
    write: "write what there is, such as {\"biscuits\": 12}",
    largest: LARGEST,
    shorten: "give equal pieces as one entry with a \"count\"",
};

/// Reads a stock file. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<(StockFile, Source), Problems> {
    document::read(name, bytes, CALLED, |_, _| {})
}

/// The JSON Schema of the stock file (draft 2020-12).
#[must_use]
pub fn schema() -> schemars::Schema {
    document::schema::<StockFile>()
}
