//! What a set file says about a floor plan that it names, or that names it.

use super::reader::record;
use super::values::{Amount, Covering, Line};
use crate::problem::Spanned;

record! {
    /// What covers pieces that do not say it themselves: a colour such as "#efe9df", or a surface such
    /// as "brick". The tiles of a floor plan have those of the plan's surfaces.
    pub struct Faces {
        /// The tops of tiles. Default "flagstone".
        pub floors: Option<Spanned<Covering>>,
        /// The faces of walls. Default "ashlar".
        pub walls: Option<Spanned<Covering>>,
        /// The outer faces of posts. Default "ashlar".
        pub posts: Option<Spanned<Covering>>,
        /// The lids and skirts of caps on posts. Default: as the posts.
        pub caps: Option<Spanned<Covering>>,
    }
}

record! {
    /// What sheets cost and how long work takes. Everything computed from it is an estimate.
    pub struct Rates {
        /// What prices are in, such as "EUR". Default: prices are printed without it.
        pub currency: Option<Line>,
        /// What one sheet costs.
        pub sheet: Option<Prices>,
        /// How many minutes work takes.
        pub minutes: Option<Minutes>,
    }
}

record! {
    /// What one sheet costs.
    pub struct Prices {
        /// One sheet of paper.
        pub paper: Option<Amount>,
        /// One sheet of card.
        pub card: Option<Amount>,
        /// One sheet of board.
        pub board: Option<Amount>,
    }
}

record! {
    /// How many minutes work takes. What is left out is not counted.
    pub struct Minutes {
        /// Cutting one metre.
        pub cut_metre: Option<Amount>,
        /// Scoring and making one fold.
        pub fold: Option<Amount>,
        /// One straight cut through a stack, in the layout "stacked".
        pub stack_cut: Option<Amount>,
        /// Handling one piece: sorting, glueing, putting it in its place.
        pub piece: Option<Amount>,
    }
}
