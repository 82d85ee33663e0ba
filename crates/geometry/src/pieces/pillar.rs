//! Pillars: prisms of card from floor to ceiling that stand free.

use super::PieceError;
use super::solid::{self, Made, Shell, form};
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind};
use crate::units::{Mm, plain};

/// Sides that a pillar may have.
pub const SIDES: std::ops::RangeInclusive<u32> = 3..=24;
/// Thinnest pillar, mm.
const THINNEST: f64 = 6.0;

/// A pillar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pillar {
    /// How many sides it has.
    pub sides: u32,
    /// Distance between two opposite sides, or from a side to the corner opposite.
    pub across: Mm,
    /// How high it is: the wall's height where it reaches the ceiling.
    pub height: Mm,
}

impl Pillar {
    /// What sets it apart, for people: `8 sides, 24 mm across, 50 mm high`.
    #[must_use]
    pub fn detail(&self) -> String {
        let [across, height] = [self.across, self.height].map(|length| plain(length.get(), 1));
        format!("{} sides, {across} mm across, {height} mm high", self.sides)
    }

    /// Its outside, upright about the origin, open below.
    ///
    /// # Errors
    /// [`PieceError`] where a size is out of range.
    pub fn outside(&self) -> Result<Shell, PieceError> {
        let out = |what, found: String, help: String| PieceError::OutOfRange { what, found, help };
        if !SIDES.contains(&self.sides) {
            let help = format!("give {} to {}", SIDES.start(), SIDES.end());
            return Err(out("a pillar's number of sides", self.sides.to_string(), help));
        }
        if self.across.get() < THINNEST || self.height.get() < THINNEST {
            let found = format!("{} across and {} high", self.across, self.height);
            return Err(out("a pillar", found, format!("give at least {THINNEST} mm for both")));
        }
        // From a flat side to the one opposite: twice the inner radius where the sides are even.
        let half = std::f64::consts::PI / f64::from(self.sides);
        let across = if self.sides.is_multiple_of(2) { 2.0 * half.cos() } else { 1.0 + half.cos() };
        let ring = form::regular(self.sides, self.across.get() / across);
        let rings = [(ring.clone(), 0.0), (ring, self.height.get())];
        form::stack(&rings, form::Ends { bottom: false, top: true }).map_err(|error| PieceError::NoRoom {
            what: "a pillar closes".into(),
            found: error.to_string(),
            help: "give it fewer sides".into(),
        })
    }

    /// Its nets.
    ///
    /// # Errors
    /// As [`Self::outside`] has them, and where the card is too thick or flaps find no room.
    pub fn nets(&self, p: &Parameters) -> Result<Vec<Made>, PieceError> {
        let inside = self.outside()?.inset(p.card.get()).map_err(|error| PieceError::NoRoom {
            what: format!("the pillar of {} has an inside", self.detail()),
            found: error.to_string(),
            help: "make it wider, or use thinner card".into(),
        })?;
        solid::nets(p, &inside, PieceKind::Pillar, &self.detail())
    }

    /// Its flat patterns.
    ///
    /// # Errors
    /// As [`Self::nets`] has them.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        Ok(self.nets(p)?.into_iter().map(|made| made.pattern).collect())
    }
}
