//! Props: crates, tables, lamps and the like, each of one or several folded parts.

use super::PieceError;
use super::bars::Bars;
use super::solid::{self, Made, Shell};
use crate::parameters::Parameters;
use crate::pattern::PieceKind;

/// One folded part of a prop.
#[derive(Clone, Debug, PartialEq)]
pub struct Prop {
    /// The prop and its part, such as `chest, lid`.
    pub name: String,
    /// Its outside, mm.
    pub outside: Shell,
    /// Bars in its upright faces, if any.
    pub bars: Option<Bars>,
}

impl Prop {
    /// What is folded: the inside, a caliper below the outside.
    ///
    /// # Errors
    /// [`PieceError`] where the card leaves no inside.
    pub fn inside(&self, p: &Parameters) -> Result<Shell, PieceError> {
        self.outside.inset(p.card.get()).map_err(|error| PieceError::NoRoom {
            what: format!("the {} has an inside", self.name),
            found: error.to_string(),
            help: "make it larger, use thinner card, or give a cone a regular base".into(),
        })
    }

    /// Its nets.
    ///
    /// # Errors
    /// [`PieceError`] where the card leaves no inside, flaps no room, or bars have none.
    pub fn nets(&self, p: &Parameters) -> Result<Vec<Made>, PieceError> {
        let inside = self.inside(p)?;
        let mut nets = solid::nets(p, &inside, PieceKind::Prop, &self.name)?;
        if let Some(bars) = self.bars {
            bars.cut(&inside, &self.name, &mut nets)?;
        }
        Ok(nets)
    }
}
