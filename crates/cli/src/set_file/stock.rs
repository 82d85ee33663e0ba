//! What the set file says about paper, card and board, and how pieces are put on them.

use jsonc_parser::ast::Value;

use super::Flag;
use super::reader::{Read, Reader, record, word};
use super::values::{Amount, Length, Line};
use super::weight::Weight;
use crate::problem::Spanned;

/// The most sizes of sheet that one stock can have.
pub const MOST_SIZES: usize = 8;

word! {
    /// How pieces are put on sheets.
    pub enum LayoutWord {
        /// On the fewest sheets; of several sizes, the cheapest.
        FewestPages = "fewest-pages",
        /// So that straight cuts take stacks of equal sheets apart, for a trimmer.
        Stacked = "stacked",
        /// In the order of building: of the plan's steps, then of the list of pieces.
        ByStep = "by-step",
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
        /// "210 x 297 mm". Several sizes at once are a list, with what one sheet of each costs:
        /// [{ "size": "Letter", "price": 0.05 }, { "size": "Tabloid", "price": 0.12 }]; the cheapest
        /// mix is sought, and the cover is printed on the first. Default "A4".
        pub size: Option<Spanned<Sizes>>,
        /// Which way the sheet is turned. Default "either".
        pub orientation: Option<Orientation>,
        /// What it is, printed on the sheets, such as "pearl-white card". Default: "paper" or "card",
        /// with its weight or, without one, its caliper.
        pub material: Option<Line>,
        /// Its nominal weight, as the packet has it: "200 g/m2" (or gsm), or pounds with their basic
        /// size, "110 lb index" (bond, cover, index, text or tag), or both, "199 g/m2 (110 lb index)".
        /// It is printed on the sheets. Where the caliper is not among the parameters, it is estimated
        /// from the weight; where it is, the two are checked against each other.
        pub weight: Option<Spanned<Weight>>,
        /// Width that the cutter of this stock removes. Default: the parameter "kerf".
        pub kerf: Option<Spanned<Length>>,
        /// Along which side of the sheet its grain runs. It matters for pieces that lie along or
        /// across it; and arrows on pieces show the grain only where it is as they say. Without it
        /// such pieces are packed as for "long", and arrows show how the grain should run.
        pub grain: Option<SheetGrain>,
        /// How pieces of this stock lie to the grain, where they do not say so themselves. Default
        /// "any".
        pub piece_grain: Option<PieceGrain>,
    }
}

record! {
    /// Board, and how it is cut.
    pub struct BoardEntry {
        /// How board pieces are laid out. Default "template".
        pub layout: Option<BoardLayout>,
        /// Size of a sheet of board: "20x30 in", "A2" and the like. Pieces are laid out on it where
        /// the board is cut as sheets, and several sizes can be given as a list with prices, as for
        /// paper; with templates the first size is for the shopping list only. Default "20x30 in".
        pub size: Option<Spanned<Sizes>>,
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

word! {
    /// Along which side of a sheet its grain runs.
    pub enum SheetGrain {
        /// Along the longer side, as in most office paper.
        Long = "long",
        /// Along the shorter side.
        Short = "short",
    }
}

word! {
    /// How a piece lies to the grain of its sheet. Up and across are those of the piece as parts.json
    /// has it; a post's and a wall's height is up.
    pub enum PieceGrain {
        /// Either way: it may be turned by quarters.
        Any = "any",
        /// The grain runs up the piece.
        Along = "along",
        /// The grain runs across the piece.
        Across = "across",
        /// The grain runs along the piece's longest folds; without clearly longest folds, either way.
        Folds = "folds",
    }
}

/// The sizes that a stock's sheets come in.
#[derive(Clone, Debug)]
pub enum Sizes {
    /// One size.
    One(Line),
    /// Several, the usual one first.
    Several(Vec<Spanned<SizeEntry>>),
}

record! {
    /// A size of sheet, and what one of it costs.
    pub struct SizeEntry {
        /// A name such as "Letter", or measures such as "210 x 297 mm".
        pub size: Spanned<Line>,
        /// What one sheet costs. Where no size of a list has a price, the area counts.
        pub price: Option<Spanned<Amount>>,
    }
}

impl Read for Sizes {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let Value::Array(array) = value else {
            if matches!(value, Value::StringLit(_)) {
                return Line::read(value, reader).map(Self::One);
            }
            reader.mismatch(
                value,
                "a size or a list of sizes",
                "write \"A4\", or [{ \"size\": \"Letter\", \"price\": 0.05 }, { \"size\": \"Tabloid\", \"price\": 0.12 }]",
            );
            return None;
        };
        let number = array.elements.len();
        if !(1..=MOST_SIZES).contains(&number) {
            let brace = jsonc_parser::common::Range::new(array.range.start, array.range.start + 1);
            let what = format!("has {number} sizes; it can have 1 to {MOST_SIZES}");
            reader.wrong(&brace, &what, "this list", "name each size once");
            return None;
        }
        Vec::read(value, reader).map(Self::Several)
    }
}

impl schemars::JsonSchema for Sizes {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Sizes".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let one = generator.subschema_for::<Line>();
        let entry = generator.subschema_for::<SizeEntry>();
        schemars::json_schema!({
            "anyOf": [one, { "type": "array", "items": entry, "minItems": 1, "maxItems": MOST_SIZES }],
        })
    }
}
