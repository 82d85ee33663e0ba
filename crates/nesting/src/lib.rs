//! Outlines to placements on sheets: a packer, a lower bound, and a checker that trusts neither.
//!
//! The crate knows outlines, not pieces. A [`Job`] says what must be placed how often and on
//! which sheets; [`pack`] answers with a [`Layout`]; [`check::check`] judges any layout on its
//! own; [`lower_bound`] says how few sheets could do at best. [`stacked()`] packs so that straight
//! cuts take the sheets apart, [`in_order`] so that sheets follow the steps of the work. All
//! lengths are millimetres, y up.
//!
//! ```
//! use flatwright_geometry::{contour::Contour, units::Mm};
//! use flatwright_nesting::{Item, Job, SheetKind, Turns, check, lower_bound, pack};
//! use kurbo::Rect;
//!
//! let outline = Contour::rectangle(Rect::new(0.0, 0.0, 30.0, 20.0)).expect("has an area");
//! let item = Item { name: "biscuit".into(), outline, copies: 100, turns: Turns::Quarter };
//! let sheet = SheetKind { name: "A4".into(), free: Rect::new(7.0, 7.0, 203.0, 290.0), price: 1.0 };
//! let job = Job::new(vec![item], vec![sheet], Mm::new(2.0), 1, Job::DEFAULT_EFFORT).expect("in range");
//! let bound = lower_bound(&job);
//! let layout = pack(&job, &bound, &mut |_| {}).expect("every item fits");
//! assert_eq!(check::check(&job, &layout), Ok(()));
//! assert_eq!((layout.sheets_used(), bound.sheets), (2, 2));
//! ```

pub mod bound;
pub mod check;
mod engine;
pub mod free;
pub mod job;
pub mod layout;
pub mod order;
pub mod stacked;

pub use bound::{Bound, lower_bound};
pub use free::largest_free;
pub use job::{Item, Job, JobError, SheetKind, Turns};
pub use layout::{Layout, PackedSheet, Placement};
pub use order::{Ordered, in_order};
pub use stacked::{Cut, Stacked, stacked};

/// How far [`pack`] has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Part of the step budget that is spent, 0 to 1. The last call says 1.
    pub spent: f64,
    /// Sheets of the best complete layout so far, copies counted.
    pub sheets: Option<u64>,
    /// Sheets that are needed at least: the bound that [`pack`] was given.
    pub at_least: u64,
}

/// The size of something that must hold a piece, or of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Misfit {
    /// The item's index in the job.
    pub item: usize,
    /// The item's name.
    pub name: String,
    /// Width and height of the outline as drawn, mm.
    pub size: (f64, f64),
    /// Turns that were allowed.
    pub turns: Turns,
    /// Every sheet's name and the width and height of its free area, mm.
    pub free: Vec<(String, f64, f64)>,
}

impl std::fmt::Display for Misfit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use flatwright_geometry::units::plain;
        let size = |w: f64, h: f64| format!("{} x {} mm", plain(w, 2), plain(h, 2));
        write!(f, "\"{}\" is {}", self.name, size(self.size.0, self.size.1))?;
        for (i, (name, w, h)) in self.free.iter().enumerate() {
            write!(f, "{} {name} leaves {}", if i == 0 { ":" } else { "," }, size(*w, *h))?;
        }
        Ok(())
    }
}

/// Why a job cannot be packed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PackError {
    /// Items that fit on none of the sheets in any allowed turn: all of them.
    #[error("no sheet holds {}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    TooLarge(Vec<Misfit>),
}

/// Places every copy of every item. Same job, same layout.
///
/// `bound` is what is known to be needed, by [`lower_bound`]: a layout that meets it ends the
/// search. `progress` is called now and then, from this thread. In debug builds the result is checked
/// before it is returned; callers run [`check::check`] on it in every build.
///
/// # Errors
/// [`PackError::TooLarge`] lists every item that no sheet holds.
pub fn pack(job: &Job, bound: &Bound, progress: &mut dyn FnMut(Progress)) -> Result<Layout, PackError> {
    let misfits = misfits(job);
    if !misfits.is_empty() {
        return Err(PackError::TooLarge(misfits));
    }
    let layout = engine::solve(job, bound, progress);
    debug_assert_eq!(check::check(job, &layout), Ok(()), "the packer broke its promise");
    Ok(layout)
}

fn misfits(job: &Job) -> Vec<Misfit> {
    let fits = |item: &Item, sheet: &SheetKind| {
        let size = item.outline.bounds().size();
        let holds = |w, h| engine::holds(sheet.free, w, h);
        (item.turns.allows(0) && holds(size.width, size.height))
            || (item.turns.allows(1) && holds(size.height, size.width))
    };
    let free = || job.sheets().iter().map(|s| (s.name.clone(), s.free.width(), s.free.height())).collect();
    job.items()
        .iter()
        .enumerate()
        .filter(|(_, item)| !job.sheets().iter().any(|sheet| fits(item, sheet)))
        .map(|(index, item)| {
            let size = item.outline.bounds().size();
            let (name, turns) = (item.name.clone(), item.turns);
            Misfit { item: index, name, size: (size.width, size.height), turns, free: free() }
        })
        .collect()
}
