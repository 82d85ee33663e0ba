//! The parameters that a mend may change, by name.

use flatwright_geometry::LONGEST;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::units::Mm;

use super::InHand;
use super::finding::{Mend, Value};

/// One of the numbers among the parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Module,
    Board,
    Card,
    Paper,
    Kerf,
    Play,
    PostSide,
    WallHeight,
    SlotDepth,
    HookDrop,
    NotchWidth,
    NotchDepth,
    Tongue,
    PocketBand,
    FoldFactor,
}

impl Field {
    /// Its name in [`Parameters`].
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Module => "module",
            Self::Board => "board",
            Self::Card => "card",
            Self::Paper => "paper",
            Self::Kerf => "kerf",
            Self::Play => "play",
            Self::PostSide => "post_side",
            Self::WallHeight => "wall_height",
            Self::SlotDepth => "slot_depth",
            Self::HookDrop => "hook_drop",
            Self::NotchWidth => "notch_width",
            Self::NotchDepth => "notch_depth",
            Self::Tongue => "tongue",
            Self::PocketBand => "pocket_band",
            Self::FoldFactor => "fold_factor",
        }
    }

    /// Its value; derived lengths as they come out.
    pub(super) fn get(self, p: &Parameters) -> f64 {
        let length = match self {
            Self::Module => p.module,
            Self::Board => p.board,
            Self::Card => p.card,
            Self::Paper => p.paper,
            Self::Kerf => p.kerf,
            Self::Play => p.play,
            Self::PostSide => p.post_side(),
            Self::WallHeight => p.wall_height,
            Self::SlotDepth => p.slot_depth(),
            Self::HookDrop => p.hook_drop,
            Self::NotchWidth => p.notch_width,
            Self::NotchDepth => p.notch_depth,
            Self::Tongue => p.tongue,
            Self::PocketBand => p.pocket_band,
            Self::FoldFactor => return p.fold_factor,
        };
        length.get()
    }

    /// Its value as measured on the stock in hand.
    pub(super) fn in_hand(self, hand: &InHand) -> Option<f64> {
        match self {
            Self::Board => Some(hand.board.get()),
            Self::Card => Some(hand.card.get()),
            Self::Paper => Some(hand.paper.get()),
            Self::FoldFactor => Some(hand.fold_factor),
            _ => None,
        }
    }

    /// The parameters with another value; `None` where that is beyond what any set may have.
    pub(super) fn set(self, p: &Parameters, value: f64) -> Option<Parameters> {
        let (least, most) = match self {
            Self::FoldFactor => (0.0, 1.0),
            Self::Kerf | Self::Play | Self::HookDrop => (0.0, LONGEST),
            Self::Card | Self::Paper => (0.01, LONGEST),
            Self::Board => (0.1, LONGEST),
            Self::WallHeight => (5.0, LONGEST),
            Self::Module => (10.0, LONGEST),
            _ => (1.0, LONGEST),
        };
        if !(value >= least && value <= most) {
            return None;
        }
        let mut p = p.clone();
        let length = Mm::new(value);
        match self {
            Self::Module => p.module = length,
            Self::Board => p.board = length,
            Self::Card => p.card = length,
            Self::Paper => p.paper = length,
            Self::Kerf => p.kerf = length,
            Self::Play => p.play = length,
            Self::PostSide => p.post_side = Some(length),
            Self::WallHeight => p.wall_height = length,
            Self::SlotDepth => p.slot_depth = Some(length),
            Self::HookDrop => p.hook_drop = length,
            Self::NotchWidth => p.notch_width = length,
            Self::NotchDepth => p.notch_depth = length,
            Self::Tongue => p.tongue = length,
            Self::PocketBand => p.pocket_band = length,
            Self::FoldFactor => p.fold_factor = value,
        }
        Some(p)
    }

    /// The mend that sets it.
    pub(super) fn mend(self, value: f64) -> Mend {
        let value = if self == Self::FoldFactor { Value::Number(value) } else { Value::Length(Mm::new(value)) };
        Mend { parameter: self.name(), value }
    }
}
