//! The parameters of a set in parts.json.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::units::{Mm, snapped};
use schemars::JsonSchema;
use serde::Serialize;

/// Resolved parameters. Lengths in millimetres.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ParameterList {
    /// Module: the pitch of the lattice.
    pub module: f64,
    /// Thickness of the board.
    pub board: f64,
    /// Caliper of the card.
    pub card: f64,
    /// Caliper of the paper.
    pub paper: f64,
    /// Width that the cutter removes, where a stock has no kerf of its own.
    pub kerf: f64,
    /// Total clearance of a sliding joint.
    pub play: f64,
    /// Outer side of a post.
    pub post_side: f64,
    /// Height of a wall above the floor surface.
    pub wall_height: f64,
    /// Depth of a wall slot from the post's top.
    pub slot_depth: f64,
    /// Drop of a wall's hook below the slot.
    pub hook_drop: f64,
    /// Width of an edge notch.
    pub notch_width: f64,
    /// Depth of an edge notch, from the lattice line.
    pub notch_depth: f64,
    /// Length of a foot tongue.
    pub tongue: f64,
    /// Return of the wrap under the tile.
    pub wrap_return: f64,
    /// Bleed of the artwork past a cut line.
    pub bleed: f64,
    /// Width of the glued band of a corner pocket.
    pub pocket_band: f64,
    /// Narrowest gap that the tool can cut in card.
    pub tool_gap_card: f64,
    /// Narrowest gap that the tool can cut in board.
    pub tool_gap_board: f64,
    /// Where the neutral line of a fold lies, as a part of the caliper.
    pub fold_factor: f64,
    /// How the walls are built.
    pub walls: WallKind,
}

/// How the walls are built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum WallKind {
    /// Folded card.
    Card,
    /// Board core with a paper facing.
    Board,
}

impl ParameterList {
    /// Those of a set.
    #[must_use]
    pub fn new(p: &Parameters) -> Self {
        let mm = |length: Mm| snapped(length.get());
        Self {
            module: mm(p.module),
            board: mm(p.board),
            card: mm(p.card),
            paper: mm(p.paper),
            kerf: mm(p.kerf),
            play: mm(p.play),
            post_side: mm(p.post_side()),
            wall_height: mm(p.wall_height),
            slot_depth: mm(p.slot_depth()),
            hook_drop: mm(p.hook_drop),
            notch_width: mm(p.notch_width),
            notch_depth: mm(p.notch_depth),
            tongue: mm(p.tongue),
            wrap_return: mm(p.wrap_return),
            bleed: mm(p.bleed),
            pocket_band: mm(p.pocket_band),
            tool_gap_card: mm(p.tool_gap_card),
            tool_gap_board: mm(p.tool_gap_board),
            fold_factor: p.fold_factor,
            walls: match p.walls {
                WallBuild::Card => WallKind::Card,
                WallBuild::Board => WallKind::Board,
            },
        }
    }
}
