//! What the set file says about its artwork.

use super::reader::{record, word};
use super::values::{Count, Length, Share};
use crate::problem::Spanned;

record! {
    /// How artwork is printed.
    pub struct ArtworkEntries {
        /// Which ink. Default "colour".
        pub ink: Option<InkWord>,
        /// How much lighter everything is printed, 0 to 1: for printers that print too dark, and to
        /// save ink. Default 0.
        pub lighter: Option<Share>,
        /// How much darker everything is printed, 0 to 1: for printers with little ink left.
        /// Default 0.
        pub darker: Option<Share>,
        /// A grid for figures on the floors. Default: none.
        pub grid: Option<GridEntry>,
        /// Settles every choice left to chance. Default 1.
        pub seed: Option<Count<1_000_000>>,
        /// Drawings of each surface's module square, which take turns. More of them repeat less and
        /// make larger files. Default 3.
        pub variants: Option<Count<12>>,
    }
}

word! {
    /// Which ink artwork is printed with.
    pub enum InkWord {
        /// All colours.
        Colour = "colour",
        /// Black ink only.
        Grey = "grey",
        /// Thin lines on bare paper, to be coloured by hand.
        LineArt = "line-art",
        /// No artwork.
        Blank = "blank",
    }
}

record! {
    /// A grid for figures, counted from the corners of the modules.
    pub struct GridEntry {
        /// Shape of its fields. Default "square".
        pub field: Option<FieldWord>,
        /// Side of a square, or distance between opposite sides of a hexagon: "1 in", "25 mm",
        /// "1.25 in", "1.5 in".
        pub pitch: Spanned<Length>,
        /// How it is drawn. Default "corners".
        pub look: Option<LookWord>,
    }
}

word! {
    /// Shape of a grid's fields.
    pub enum FieldWord {
        /// Squares.
        Square = "square",
        /// Hexagons.
        Hex = "hex",
    }
}

word! {
    /// How a grid is drawn.
    pub enum LookWord {
        /// Thin lines all along.
        Lines = "lines",
        /// Only short strokes at the corners.
        Corners = "corners",
    }
}
