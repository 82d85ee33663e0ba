//! What is to be placed, and on what. Checked when it is made, never again.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::units::Mm;
use kurbo::Rect;

/// Which rotations an item may be placed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turns {
    /// As drawn.
    Fixed,
    /// As drawn or upside down: for stock with a grain.
    Half,
    /// Any multiple of a quarter turn.
    Quarter,
}

impl Turns {
    /// Whether `quarter_turns` quarter turns counterclockwise are allowed (0 to 3; no other number is).
    #[must_use]
    pub const fn allows(self, quarter_turns: u8) -> bool {
        match self {
            Self::Fixed => quarter_turns == 0,
            Self::Half => quarter_turns == 0 || quarter_turns == 2,
            Self::Quarter => quarter_turns < 4,
        }
    }
}

/// One kind of piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its name, for messages.
    pub name: String,
    /// The footprint that must stay clear of all others, in coordinates of the item's own.
    pub outline: Contour,
    /// How many are needed, at least one.
    pub copies: u32,
    /// How it may be turned.
    pub turns: Turns,
}

/// One kind of sheet, of which there are as many as needed.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetKind {
    /// Its name, for messages.
    pub name: String,
    /// The area in which whole outlines must lie, page coordinates.
    pub free: Rect,
    /// What one sheet costs, in any unit: the packer seeks the least sum.
    pub price: f64,
}

/// A packing problem, known to be sane.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    items: Vec<Item>,
    sheets: Vec<SheetKind>,
    gap: Mm,
    seed: u64,
    effort: u32,
}

/// One thing wrong with a job.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JobError {
    /// There is nothing to place pieces on.
    #[error("there is no sheet to place pieces on; give at least one")]
    NoSheet,
    /// An item that is not needed.
    #[error("\"{0}\" is wanted 0 times; ask for at least one or leave it out")]
    NoCopies(String),
    /// More kinds of pieces or sheets than the packer is made for.
    #[error("{count} kinds of {what} are too many; at most {limit} can be packed together")]
    TooManyKinds {
        /// `piece` or `sheet`.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        limit: usize,
    },
    /// More copies than the packer is made for.
    #[error("{0} pieces are too many; at most {limit} can be packed together", limit = Job::MAX_COPIES)]
    TooManyCopies(u64),
    /// An outline with too many corners.
    #[error("the outline of \"{name}\" has {corners} corners; at most {limit} are allowed", limit = Job::MAX_CORNERS)]
    TooManyCorners {
        /// The item.
        name: String,
        /// How many corners it has.
        corners: usize,
    },
    /// Coordinates that are not finite or absurdly far out.
    #[error("\"{0}\" reaches further than {limit} mm from its origin", limit = Job::REACH)]
    OutOfReach(String),
    /// A free area without width or height.
    #[error("sheet \"{name}\" leaves no free area ({width} x {height} mm); make it larger or its margins smaller")]
    NoFreeArea {
        /// The sheet.
        name: String,
        /// Free width, mm.
        width: f64,
        /// Free height, mm.
        height: f64,
    },
    /// A price that is not above zero.
    #[error("the price of sheet \"{name}\" is {price}; it must be a number above zero and at most 1e9")]
    BadPrice {
        /// The sheet.
        name: String,
        /// What it was said to cost.
        price: f64,
    },
    /// A gap that is negative, too large or not a number.
    #[error("the gap between pieces is {0} mm; it must be 0 to {limit} mm", limit = Job::MAX_GAP)]
    BadGap(f64),
}

impl Job {
    /// Kinds of pieces, and kinds of sheets, in one job.
    pub const MAX_KINDS: usize = 2_000;
    /// Pieces in one job.
    pub const MAX_COPIES: u64 = 1_000_000;
    /// Corners of one outline.
    pub const MAX_CORNERS: usize = 2_000;
    /// Largest coordinate, mm.
    pub const REACH: f64 = 20_000.0;
    /// Largest gap, mm.
    pub const MAX_GAP: f64 = 100.0;
    /// An effort that suits a set of a few hundred pieces: some tenths of a second.
    pub const DEFAULT_EFFORT: u32 = 2_000;

    /// A job from its parts.
    ///
    /// `gap` is the least distance between two outlines on a sheet (none is kept to the edge of
    /// the free area). `seed` picks among equally good ways; `effort` is the step budget, one
    /// step being a thousand looks at a possible contact. Zero is allowed: a layout is always
    /// made. No items at all make an empty layout.
    ///
    /// # Errors
    /// Every [`JobError`] that applies.
    pub fn new(
        items: Vec<Item>,
        sheets: Vec<SheetKind>,
        gap: Mm,
        seed: u64,
        effort: u32,
    ) -> Result<Self, Vec<JobError>> {
        let mut errors = Vec::new();
        if sheets.is_empty() {
            errors.push(JobError::NoSheet);
        }
        for (what, count) in [("piece", items.len()), ("sheet", sheets.len())] {
            if count > Self::MAX_KINDS {
                errors.push(JobError::TooManyKinds { what, count, limit: Self::MAX_KINDS });
            }
        }
        let copies = items.iter().map(|item| u64::from(item.copies)).sum();
        if copies > Self::MAX_COPIES {
            errors.push(JobError::TooManyCopies(copies));
        }
        items.iter().for_each(|item| check_item(item, &mut errors));
        sheets.iter().for_each(|sheet| check_sheet(sheet, &mut errors));
        if !(0.0..=Self::MAX_GAP).contains(&gap.get()) {
            errors.push(JobError::BadGap(gap.get()));
        }
        if errors.is_empty() { Ok(Self { items, sheets, gap, seed, effort }) } else { Err(errors) }
    }

    /// The kinds of pieces.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// The kinds of sheets.
    #[must_use]
    pub fn sheets(&self) -> &[SheetKind] {
        &self.sheets
    }

    /// The least distance between two outlines.
    #[must_use]
    pub const fn gap(&self) -> Mm {
        self.gap
    }

    /// The seed of every choice left to chance.
    #[must_use]
    pub const fn seed(&self) -> u64 {
        self.seed
    }

    /// The step budget.
    #[must_use]
    pub const fn effort(&self) -> u32 {
        self.effort
    }

    /// Pieces to place, copies counted.
    #[must_use]
    pub fn copies(&self) -> u64 {
        self.items.iter().map(|item| u64::from(item.copies)).sum()
    }
}

/// Whether all four sides are numbers within reach.
fn within_reach(rect: Rect) -> bool {
    [rect.x0, rect.y0, rect.x1, rect.y1].iter().all(|c| c.abs() <= Job::REACH)
}

fn check_item(item: &Item, errors: &mut Vec<JobError>) {
    if item.copies == 0 {
        errors.push(JobError::NoCopies(item.name.clone()));
    }
    let corners = item.outline.points().len();
    if corners > Job::MAX_CORNERS {
        errors.push(JobError::TooManyCorners { name: item.name.clone(), corners });
    }
    if !within_reach(item.outline.bounds()) {
        errors.push(JobError::OutOfReach(item.name.clone()));
    }
}

fn check_sheet(sheet: &SheetKind, errors: &mut Vec<JobError>) {
    let (width, height) = (sheet.free.width(), sheet.free.height());
    if !within_reach(sheet.free) {
        errors.push(JobError::OutOfReach(sheet.name.clone()));
    } else if !(width > 0.0 && height > 0.0) {
        errors.push(JobError::NoFreeArea { name: sheet.name.clone(), width, height });
    }
    if !(sheet.price > 0.0 && sheet.price <= 1e9) {
        errors.push(JobError::BadPrice { name: sheet.name.clone(), price: sheet.price });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_is_reported_at_once() {
        let outline = Contour::rectangle(Rect::new(0.0, 0.0, 3e4, 20.0)).unwrap();
        let item = Item { name: "slab".into(), outline, copies: 0, turns: Turns::Fixed };
        let sheet = SheetKind { name: "strip".into(), free: Rect::new(10.0, 0.0, 5.0, 9.0), price: f64::NAN };
        let errors = Job::new(vec![item], vec![sheet], Mm::new(-1.0), 0, 0).unwrap_err();
        assert!(matches!(
            errors[..],
            [
                JobError::NoCopies(_),
                JobError::OutOfReach(_),
                JobError::NoFreeArea { .. },
                JobError::BadPrice { .. },
                JobError::BadGap(_)
            ]
        ));
        assert_eq!(Job::new(vec![], vec![], Mm::ZERO, 0, 0), Err(vec![JobError::NoSheet]));
    }

    #[test]
    fn turns_allow_what_they_say() {
        let allowed = |turns: Turns| (0..=5).filter(|&q| turns.allows(q)).collect::<Vec<_>>();
        assert_eq!(allowed(Turns::Fixed), [0]);
        assert_eq!(allowed(Turns::Half), [0, 2]);
        assert_eq!(allowed(Turns::Quarter), [0, 1, 2, 3]);
    }
}
