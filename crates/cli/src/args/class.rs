//! Arguments for a class set.

use clap::Args;

use super::{Words, present};
use crate::set_file::ClassSheets;

/// A class set.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "For a class")]
pub struct ClassArgs {
    /// Make so many kits: a number, or a file with a name or number on each line. Replaces the file's
    /// own class. Equal pages are printed once, with how many copies to make; class.pdf has the print
    /// plan, stacks, bags with their labels, a checklist, cautions, cost and time.
    #[arg(long, value_name = "KITS")]
    pub class: Option<String>,
    /// Whether every kit has sheets of its own, or all share them, which takes the fewest [default:
    /// own].
    #[arg(long, value_name = "HOW", value_parser = Words(ClassSheets::WORDS))]
    pub class_sheets: Option<String>,
    /// How many sheets your trimmer takes at once [default: 10].
    #[arg(long, value_name = "SHEETS")]
    pub stack: Option<String>,
}

impl ClassArgs {
    /// Every option that was given, by its long name.
    #[must_use]
    pub fn given(&self) -> Vec<(&'static str, &str)> {
        present([(CLASS, &self.class), (CLASS_SHEETS, &self.class_sheets), (STACK, &self.stack)])
    }
}

/// Long names of options of [`ClassArgs`].
pub const CLASS: &str = "--class";
/// See [`CLASS`].
pub const CLASS_SHEETS: &str = "--class-sheets";
/// See [`CLASS`].
pub const STACK: &str = "--stack";
