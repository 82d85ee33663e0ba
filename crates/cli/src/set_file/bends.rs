//! What a set file says about bends: walls that follow one, and tiles with a side on one.

use super::Flag;
use super::design_call::DesignCall;
use super::opening::Opening;
use super::reader::{record, word};
use super::stock::PieceGrain;
use super::values::{Copies, Count, Covering, Line};
use crate::problem::Spanned;

record! {
    /// A wall that follows a bend over a square of modules, and hangs between two posts as any wall.
    pub struct BentWallEntry {
        /// Modules from the corner that it turns about to either of its posts, 1 to 8.
        pub reach: Count<8>,
        /// Its form. Default "round".
        pub form: Option<BendWord>,
        /// What is cut into it, seen from outside the bend. Not a door with a leaf, and not together with
        /// "design".
        pub opening: Option<Spanned<Opening>>,
        /// A design for it, such as {"name": "window"}. Not one with a box or a leaf.
        pub design: Option<Spanned<DesignCall>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "brick". Default:
        /// `faces.walls`.
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
    /// A tile with a side on a bend: its board core, its printed wrap and its pockets.
    pub struct TurnTileEntry {
        /// Which part of the square that the bend crosses.
        pub part: TurnWord,
        /// Modules from the corner that the bend turns about to either of its posts, 1 to 8.
        pub reach: Count<8>,
        /// The same of the bend inside a ring: less than "reach". For rings alone.
        pub inner: Option<Spanned<Count<7>>>,
        /// The form of the bend. Default "round".
        pub form: Option<BendWord>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers its face: a colour such as "#7a8b8c", or a surface such as "flagstone".
        /// Default: `faces.floors`.
        pub face: Option<Spanned<Covering>>,
        /// Whether its corners get pockets. Default true.
        pub pockets: Option<Flag>,
        /// A name for it, printed on its parts.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How its wrap lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

word! {
    /// How a bend gets from one post to the other.
    pub enum BendWord {
        /// A quarter of a circle.
        Round = "round",
        /// A straight line over the corner.
        Diagonal = "diagonal",
    }
}

word! {
    /// Which part of the square that a bend crosses.
    pub enum TurnWord {
        /// From the corner to the bend.
        Fan = "fan",
        /// Between a bend inside and the bend.
        Ring = "ring",
        /// From the bend to the square's far corner.
        Spandrel = "spandrel",
    }
}
