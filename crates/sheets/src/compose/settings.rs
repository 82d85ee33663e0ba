//! What a job is laid out with: sheets and their prices, the way of laying out, the steps.

use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::Mm;

use crate::art::Artwork;
use crate::correction::Correction;
use crate::page::Document;
use crate::paper::{Orientation, PaperSize};

/// A size of sheet, and what one of it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The sheet.
    pub paper: PaperSize,
    /// Its price in any unit, above zero: the least sum is sought.
    pub price: f64,
}

impl Offer {
    /// A size that is the only one: its price does not matter.
    #[must_use]
    pub const fn only(paper: PaperSize) -> Self {
        Self { paper, price: 1.0 }
    }
}

/// Along which side of a sheet its grain runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SheetGrain {
    /// Along the longer side.
    #[default]
    Long,
    /// Along the shorter side.
    Short,
}

/// How a piece lies to the grain of its sheet. Upward and across are those of its pattern.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grain {
    /// Either way.
    #[default]
    Any,
    /// The grain runs up the piece.
    Along,
    /// The grain runs across the piece.
    Across,
}

/// What a stock is printed on, and cut with.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetSettings {
    /// The sheets that go through the printer, one size or several; the first is the usual one.
    pub papers: Vec<Offer>,
    /// Which way they are turned.
    pub orientation: Orientation,
    /// What the sheet is made of, such as `card 0.25 mm`.
    pub material: String,
    /// The width that the cutting tool removes.
    pub kerf: Mm,
    /// Where its grain runs, for pieces that must lie along or across it; `None` where that is not
    /// known: they are packed as if it ran along the longer side.
    pub grain: Option<SheetGrain>,
}

/// How board pieces reach the board.
#[derive(Clone, Debug, PartialEq)]
pub enum BoardAs {
    /// Printed on paper that is glued to the board and cut along the lines.
    Template,
    /// Straight on sheets of board, for a cutter: one size or several.
    Sheet(Vec<Offer>),
}

/// How pieces are put on sheets.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LayoutMode {
    /// On the fewest sheets (of several sizes: the cheapest).
    #[default]
    FewestPages,
    /// So that straight cuts take stacks of equal sheets apart.
    Stacked,
    /// In the order of the steps of building.
    ByStep,
}

/// For how many kits of the same pieces the sheets are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kits {
    /// One.
    #[default]
    One,
    /// So many, each with sheets of its own: parts are those of one kit, and every page is printed
    /// for each kit.
    Own(u32),
    /// So many that share their sheets: parts are those of all kits.
    Shared(u32),
}

impl Kits {
    /// How many kits there are.
    #[must_use]
    pub const fn count(self) -> u32 {
        match self {
            Self::One => 1,
            Self::Own(kits) | Self::Shared(kits) => kits,
        }
    }

    /// For how many kits one print of all sheets is.
    #[must_use]
    pub const fn shares(self) -> u32 {
        match self {
            Self::Shared(kits) => kits,
            Self::One | Self::Own(_) => 1,
        }
    }

    /// How often the sheets of the parts are needed.
    #[must_use]
    pub const fn prints(self) -> u32 {
        match self {
            Self::Own(kits) => kits,
            Self::One | Self::Shared(_) => 1,
        }
    }
}

/// About which edge a printer turns paper over for its back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Flip {
    /// About a long edge.
    #[default]
    LongEdge,
    /// About a short edge.
    ShortEdge,
}

/// A step of building, for [`LayoutMode::ByStep`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BuildStep {
    /// What it is, such as `Row 2`.
    pub name: String,
    /// Pieces that it uses up: index of the part, and how many.
    pub pieces: Vec<(usize, u32)>,
    /// Index of the bag that its pieces are in, where there are bags.
    pub bag: usize,
}

/// Pieces that are packed on sheets of their own, such as those of one level.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bag {
    /// What it is, such as `landing`; printed on its sheets.
    pub name: String,
    /// How many of each part are in it, in the order of the parts.
    pub copies: Vec<u32>,
}

/// Everything but the parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// The set's title.
    pub title: String,
    /// Paper that wraps and faces; board templates and the cover are printed on the same sizes.
    pub paper: SheetSettings,
    /// Card that is folded.
    pub card: SheetSettings,
    /// Whether board is cut by template or straight.
    pub board_as: BoardAs,
    /// What the board is, such as `foam board 5 mm`.
    pub board_material: String,
    /// The width that the tool that cuts board removes.
    pub board_kerf: Mm,
    /// Edge of every page that cannot be printed.
    pub margin: Mm,
    /// Least distance between two pieces.
    pub gap: Mm,
    /// How far artwork runs past its edge.
    pub bleed: Mm,
    /// Overlap of a piece that is split because it fits no page; `None` refuses such a piece.
    pub split_overlap: Option<Mm>,
    /// How pieces are put on sheets.
    pub layout: LayoutMode,
    /// The steps of building, in order, for [`LayoutMode::ByStep`]; numbered from 1 on the sheets.
    pub steps: Vec<BuildStep>,
    /// Sentences for the cover on what paper and card are, such as a caliper that is an estimate.
    pub stock_notes: Vec<String>,
    /// Bags, in the order of the pages within a stock; together they hold every copy of every part.
    /// Without any, all parts share their sheets.
    pub bags: Vec<Bag>,
    /// Steps for the cover, in order, such as from the plan; a short general order where empty.
    pub build_steps: Vec<String>,
    /// The surfaces and pictures of the parts' faces.
    pub artwork: Artwork,
    /// Whether marks for a cutter stand at the corners of every sheet.
    pub registration: bool,
    /// How paper is turned over for a page behind every sheet, with the names of its pieces alone;
    /// `None` for no such pages.
    pub reverse: Option<Flip>,
    /// A picture of what is built, for the cover.
    pub picture: Option<Document>,
    /// For how many kits the sheets are, and whether each has its own.
    pub kits: Kits,
    /// The printer that the pages will be corrected for; the cover tells it.
    pub correction: Option<Correction>,
    /// Picks among equally good packings.
    pub seed: u64,
    /// How hard the packer tries ([`flatwright_nesting::Job::DEFAULT_EFFORT`] is usual).
    pub effort: u32,
}

impl Settings {
    /// Settings for one size of paper and the usual margins: 7 mm margin, 2 mm gap, 3 mm bleed,
    /// a knife's kerf of 0, board by template, too large pieces split with 10 mm of overlap.
    #[must_use]
    pub fn new(title: &str, paper: PaperSize) -> Self {
        let sheet = |paper: PaperSize, material: &str| SheetSettings {
            papers: vec![Offer::only(paper)],
            orientation: Orientation::Either,
            material: material.to_owned(),
            kerf: Mm::ZERO,
            grain: None,
        };
        Self {
            title: title.to_owned(),
            paper: sheet(paper.clone(), "paper"),
            card: sheet(paper, "card"),
            board_as: BoardAs::Template,
            board_material: "board".to_owned(),
            board_kerf: Mm::ZERO,
            margin: Mm::new(7.0),
            gap: Mm::new(2.0),
            bleed: Mm::new(3.0),
            split_overlap: Some(Mm::new(10.0)),
            layout: LayoutMode::default(),
            steps: Vec::new(),
            stock_notes: Vec::new(),
            bags: Vec::new(),
            build_steps: Vec::new(),
            artwork: Artwork::default(),
            registration: false,
            reverse: None,
            picture: None,
            kits: Kits::One,
            correction: None,
            seed: 1,
            effort: flatwright_nesting::Job::DEFAULT_EFFORT,
        }
    }

    /// The least distance between two pieces as they are laid out: a numbered cut needs room for
    /// its number.
    #[must_use]
    pub fn gap_used(&self) -> Mm {
        match self.layout {
            LayoutMode::Stacked => self.gap.max(super::trim::LEAST_GAP),
            LayoutMode::FewestPages | LayoutMode::ByStep => self.gap,
        }
    }

    pub(super) fn kerf(&self, stock: Stock) -> Mm {
        match stock {
            Stock::Paper => self.paper.kerf,
            Stock::Card => self.card.kerf,
            Stock::Board => self.board_kerf,
        }
    }
}
