//! Which parameters can be built from at all.
//!
//! These are the conditions without which a pattern has no shape. Whether the joints of a set
//! fit, with numbers and margins, is proved elsewhere, on the finished patterns.

use crate::parameters::Parameters;
use crate::units::{Mm, plain};

/// A parameter, or a relation between parameters, from which nothing can be built.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{rule}: {found}")]
pub struct ParameterError {
    /// Field of [`Parameters`] to change first.
    pub field: &'static str,
    /// What must hold.
    pub rule: &'static str,
    /// The two numbers.
    pub found: String,
    /// How to mend it.
    pub help: String,
}

/// Longest length that any parameter may have, mm.
pub const LONGEST: f64 = 2000.0;

impl Parameters {
    /// Checks that patterns can be built from these parameters.
    ///
    /// # Errors
    /// Every condition that does not hold.
    pub fn check(&self) -> Result<(), Vec<ParameterError>> {
        let mut errors = self.ranges();
        if errors.is_empty() {
            errors = self.relations();
        }
        if errors.is_empty() { Ok(()) } else { Err(errors) }
    }

    /// Every length is a number within reason.
    fn ranges(&self) -> Vec<ParameterError> {
        let least = |field, value: Mm, least: f64| (field, value, least);
        let fields = [
            least("module", self.module, 10.0),
            least("board", self.board, 0.1),
            least("card", self.card, 0.01),
            least("paper", self.paper, 0.01),
            least("kerf", self.kerf, 0.0),
            least("play", self.play, 0.0),
            least("post_side", self.post_side(), 1.0),
            least("wall_height", self.wall_height, 5.0),
            least("slot_depth", self.slot_depth(), 1.0),
            least("hook_drop", self.hook_drop, 0.0),
            least("notch_width", self.notch_width, 1.0),
            least("notch_depth", self.notch_depth, 1.0),
            least("tongue", self.tongue, 1.0),
            least("wrap_return", self.wrap_return, 1.0),
            least("bleed", self.bleed, 0.0),
            least("pocket_band", self.pocket_band, 1.0),
            least("tool_gap_card", self.tool_gap_card, 0.0),
            least("tool_gap_board", self.tool_gap_board, 0.0),
        ];
        let mut errors: Vec<ParameterError> = fields
            .into_iter()
            .filter(|(_, value, least)| !(value.get() >= *least && value.get() <= LONGEST))
            .map(|(field, value, least)| ParameterError {
                field,
                rule: "a length within reason",
                found: format!("{value} is not between {} mm and {LONGEST} mm", plain(least, 2)),
                help: format!("give a length from {} mm to {LONGEST} mm", plain(least, 2)),
            })
            .collect();
        if !(0.0..=1.0).contains(&self.fold_factor) {
            errors.push(ParameterError {
                field: "fold_factor",
                rule: "the neutral line of a fold lies inside the stock",
                found: format!("{} is not between 0 and 1", self.fold_factor),
                help: "use 0.5 for card and paper".into(),
            });
        }
        errors
    }

    /// Every feature has room beside its neighbours.
    fn relations(&self) -> Vec<ParameterError> {
        let (s, w, f, c) = (self.post_side(), self.wall_thickness(), self.play, self.card);
        let notch_room = self.module / 2.0 - self.notch_width / 2.0;
        let mut errors = Vec::new();
        // `small` must be below `large` by at least `by`.
        let mut below = |field, rule, small: Mm, large: Mm, by: f64, help: &str| {
            if large.get() - small.get() < by {
                let found = format!("{small} against {large}, {} mm short", plain(by - (large.get() - small.get()), 3));
                errors.push(ParameterError { field, rule, found, help: help.to_owned() });
            }
        };
        below(
            "notch_depth",
            "notch against notch: D < M/2 - W/2",
            self.notch_depth,
            notch_room,
            0.5,
            "make the notch shallower or narrower, or the module larger",
        );
        below(
            "tongue",
            "tongue against notch: s/2 + t < M/2 - W/2",
            s / 2.0 + self.tongue,
            notch_room,
            0.1,
            "make the tongue shorter, the post or the notch narrower, or the module larger",
        );
        below(
            "post_side",
            "a slot leaves a pillar on both sides: w + f + 4c < s",
            w + f + c * 4.0,
            s,
            2.0,
            "make the post wider, or leave its side out to have it derived",
        );
        below(
            "post_side",
            "a hook behind its gap: 2c + f < s/2 - w/2 - f/2",
            self.hook_gap(),
            self.tab_past_face() + f / 2.0,
            1.5,
            "make the post wider, or leave its side out to have it derived",
        );
        below(
            "hook_drop",
            "a hook ends above the floor: d + q < H",
            self.slot_depth() + self.hook_drop,
            self.wall_height,
            0.5,
            "make the slot shallower or the hook shorter, or the wall higher",
        );
        below(
            "paper",
            "a relief is deeper than the wrap is thick: p < s/2",
            self.paper,
            s / 2.0,
            0.5,
            "measure the paper again: the caliper of one sheet",
        );
        below(
            "card",
            "the card folds within the post's side: 3c < s/2",
            c * 3.0,
            s / 2.0,
            1.0,
            "use thinner card or a wider post",
        );
        below(
            "play",
            "the play is smaller than the notch and the biscuit: f < min(D, W)",
            f,
            self.notch_depth.min(self.notch_width),
            0.5,
            "use a play of 0.1 mm to 0.5 mm",
        );
        below(
            "kerf",
            "the cutter fits through the narrowest slot: k < w + f",
            self.kerf,
            self.slot_width(),
            0.0,
            "use a cutter with a narrower kerf, thicker card or more play",
        );
        errors
    }
}
