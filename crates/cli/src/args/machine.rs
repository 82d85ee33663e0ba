//! Arguments for a cutting machine.

use clap::Args;

use super::present;

/// Files for a cutting machine.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "For a cutting machine")]
pub struct Machine {
    /// Write a file of bare lines for each page too, cutter-NNN.svg: one group and one colour for each
    /// step of the work, inside before outside, common edges once.
    #[arg(long)]
    pub cutter: bool,
    /// How far a closed cut goes on over its own beginning, for a drag knife, up to 10 mm.
    #[arg(long, value_name = "LENGTH", requires = "cutter")]
    pub overcut: Option<String>,
    /// Leave bridges of that width, up to 5 mm, that hold each piece in its sheet.
    #[arg(long, value_name = "LENGTH", requires = "cutter")]
    pub bridges: Option<String>,
}

impl Machine {
    /// Every length that was given, by its option's long name.
    #[must_use]
    pub fn given(&self) -> Vec<(&'static str, &str)> {
        present([(OVERCUT, &self.overcut), (BRIDGES, &self.bridges)])
    }
}

/// Long names of options of [`Machine`].
pub const OVERCUT: &str = "--overcut";
/// See [`OVERCUT`].
pub const BRIDGES: &str = "--bridges";
