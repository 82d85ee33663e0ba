//! What a set file says about what stands on a floor: stairs, pillars, free-standing walls.

use super::Flag;
use super::design_call::DesignCall;
use super::opening::Opening;
use super::reader::{record, word};
use super::stock::PieceGrain;
use super::values::{Cells, Copies, Count, Covering, Length, Line, Span};
use crate::problem::Spanned;

record! {
    /// A straight flight of stairs: a folded body of card that stands on a floor between posts. Its
    /// top tread is flush with the floor above.
    pub struct StairEntry {
        /// Modules that it is long, 1 to 6.
        pub run: Count<6>,
        /// Modules that it is wide, 1 to 6. Default 1.
        pub wide: Option<Count<6>>,
        /// How many steps it has, 1 to 18. Default: one for each of three squares along a module.
        pub steps: Option<Count<18>>,
        /// Which part of the way it leads. Default "whole".
        pub climb: Option<Climb>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "planks". Default:
        /// `faces.walls`.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

word! {
    /// Which part of the way to the floor above a flight leads.
    pub enum Climb {
        /// From floor to floor.
        Whole = "whole",
        /// From the floor to a half landing.
        Lower = "lower",
        /// From a half landing to the floor above.
        Upper = "upper",
    }
}

record! {
    /// A half landing: a box of card half as high as the way to the floor above.
    pub struct LandingEntry {
        /// Modules along its two sides, such as [1, 2].
        pub size: Cells,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "planks". Default:
        /// `faces.walls`.
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
    /// A flat card with a line for each tread, for a floor from which a stair leads down.
    pub struct MarkerEntry {
        /// Modules that it is long, 1 to 6.
        pub run: Count<6>,
        /// Modules that it is wide, 1 to 6. Default 1.
        pub wide: Option<Count<6>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "planks". Default:
        /// `faces.floors`.
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
    /// A pillar of folded card, closed at its top, to be glued where it stands.
    pub struct PillarEntry {
        /// How many sides it has, 3 to 24. Default 8.
        pub sides: Option<Count<24>>,
        /// How wide it is from side to side, such as "24 mm".
        pub across: Spanned<Length>,
        /// How high it is. Default: the wall's height.
        pub height: Option<Spanned<Length>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "ashlar". Default:
        /// `faces.posts`.
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
    /// A folded card wall without hooks, on feet that are glued to a base plate of board: it stands
    /// anywhere, or closes a part of a passage.
    pub struct FreeWallEntry {
        /// Its length in modules: "1/3", "2/3", 1, 2 and so on; shorter by a post and the play.
        pub span: Span,
        /// What is cut into it. Not a door with a leaf, and not together with "design".
        pub opening: Option<Spanned<Opening>>,
        /// A design for it, such as "cracked wall". Not one with a box or a leaf.
        pub design: Option<Spanned<DesignCall>>,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "brick". Default:
        /// `faces.walls`.
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
    /// A wall of a third or two thirds of a module. It hangs in a post at one end; the other stands on a
    /// base plate of board, so that a passage is closed in part.
    pub struct FillerEntry {
        /// How much of a module it fills, from the middle of its post: "1/3" or "2/3".
        pub span: FillerSpan,
        /// How many. Default 1.
        pub count: Option<Copies>,
        /// What covers it: a colour such as "#7a8b8c", or a surface such as "brick". Default:
        /// `faces.walls`.
        pub face: Option<Spanned<Covering>>,
        /// A name for it, printed beside it.
        pub label: Option<Line>,
        /// Whether its label may be printed on its face. Default false.
        pub label_on_face: Option<Flag>,
        /// How it lies to the grain of its sheet. Default: the stock's "piece_grain".
        pub grain: Option<PieceGrain>,
    }
}

word! {
    /// How much of a module a filler fills.
    pub enum FillerSpan {
        /// A third.
        Third = "1/3",
        /// Two thirds.
        TwoThirds = "2/3",
    }
}
