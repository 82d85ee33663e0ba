//! The parameters of the construction system, and the lengths that follow from them.

use crate::units::{Angle, Mm};

/// How walls are built. One kind in a set: the slot of a post fits one thickness.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum WallBuild {
    /// Folded card, glued face to face: two calipers thick.
    #[default]
    Card,
    /// Board core with a paper facing: one board thick.
    Board,
}

/// Every length from which the patterns follow. [`Parameters::default`] has the defaults.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameters {
    /// M: pitch of the lattice on which tiles, walls and posts stand.
    pub module: Mm,
    /// T: thickness of the board, as measured.
    pub board: Mm,
    /// c: caliper of the card for posts and walls.
    pub card: Mm,
    /// p: caliper of the paper that wraps a tile.
    pub paper: Mm,
    /// k: width that the cutter removes.
    pub kerf: Mm,
    /// f: total clearance of a sliding joint.
    pub play: Mm,
    /// s: outer side of a post; `None` derives it.
    pub post_side: Option<Mm>,
    /// H: height of a wall above the floor surface.
    pub wall_height: Mm,
    /// d: depth of a wall slot from the post's top; `None` is half the wall's height.
    pub slot_depth: Option<Mm>,
    /// q: drop of a wall's hook below the slot.
    pub hook_drop: Mm,
    /// W: width of an edge notch.
    pub notch_width: Mm,
    /// D: depth of an edge notch from the lattice line.
    pub notch_depth: Mm,
    /// t: length of a foot tongue.
    pub tongue: Mm,
    /// R: return of the wrap under the tile.
    pub wrap_return: Mm,
    /// b: bleed of the artwork past a cut line.
    pub bleed: Mm,
    /// Width of the glued band of a corner pocket.
    pub pocket_band: Mm,
    /// Narrowest gap that the tool can cut in card.
    pub tool_gap_card: Mm,
    /// Narrowest gap that the tool can cut in board.
    pub tool_gap_board: Mm,
    /// K: where the neutral line of a fold lies, as a part of the caliper.
    pub fold_factor: f64,
    /// How walls are built.
    pub walls: WallBuild,
}

impl Default for Parameters {
    fn default() -> Self {
        Self {
            module: Mm::inches(3.0),
            board: Mm::new(5.0),
            card: Mm::new(0.25),
            paper: Mm::new(0.10),
            kerf: Mm::ZERO,
            play: Mm::new(0.3),
            post_side: None,
            wall_height: Mm::new(50.0),
            slot_depth: None,
            hook_drop: Mm::new(8.0),
            notch_width: Mm::new(20.0),
            notch_depth: Mm::new(15.0),
            tongue: Mm::new(12.0),
            wrap_return: Mm::new(12.0),
            bleed: Mm::new(3.0),
            pocket_band: Mm::new(8.0),
            tool_gap_card: Mm::new(0.8),
            tool_gap_board: Mm::new(1.5),
            fold_factor: 0.5,
            walls: WallBuild::Card,
        }
    }
}

impl Parameters {
    /// w: thickness of a wall.
    #[must_use]
    pub fn wall_thickness(&self) -> Mm {
        match self.walls {
            WallBuild::Card => self.card * 2.0,
            WallBuild::Board => self.board,
        }
    }

    /// s: outer side of a post: as given, or wide enough for four tabs and never under 15 mm.
    #[must_use]
    pub fn post_side(&self) -> Mm {
        let room = self.wall_thickness() + 2.0 * (Mm::new(6.0) + self.card + self.play);
        self.post_side.unwrap_or(Mm::new(15.0).max(room))
    }

    /// d: depth of a wall slot from the post's top.
    #[must_use]
    pub fn slot_depth(&self) -> Mm {
        self.slot_depth.unwrap_or(self.wall_height / 2.0)
    }

    /// Width of a wall slot: w + f.
    #[must_use]
    pub fn slot_width(&self) -> Mm {
        self.wall_thickness() + self.play
    }

    /// Finished size of a tile over `modules` modules: nM - f.
    #[must_use]
    pub fn tile_size(&self, modules: u32) -> Mm {
        self.module * f64::from(modules) - self.play
    }

    /// Size of its board core: the wrap's paper comes off both sides.
    #[must_use]
    pub fn core_size(&self, modules: u32) -> Mm {
        self.tile_size(modules) - self.paper * 2.0
    }

    /// Relief of a core's corner, from the core's edge: s/2 - p.
    #[must_use]
    pub fn core_relief(&self) -> Mm {
        self.post_side() / 2.0 - self.paper
    }

    /// Height of a post that stands in the hole between tiles: T + H.
    #[must_use]
    pub fn post_height(&self) -> Mm {
        self.board + self.wall_height
    }

    /// From the underside of one level's tiles to that of the next: T + H + 2c. What lies under a
    /// tile, a tongue in a pocket, is two calipers thick and rests on the walls below.
    #[must_use]
    pub fn level_pitch(&self) -> Mm {
        self.post_height() + self.card * 2.0
    }

    /// Length of a wall's body between two posts: nM - s - f.
    #[must_use]
    pub fn wall_body(&self, span: f64) -> Mm {
        self.module * span - self.post_side() - self.play
    }

    /// How far a wall's tab protrudes past the post's outer face: s/2 - w/2 - f.
    #[must_use]
    pub fn tab_past_face(&self) -> Mm {
        self.post_side() / 2.0 - self.wall_thickness() / 2.0 - self.play
    }

    /// Gap between a wall's body and its hook: 2c + f, never less than the tool can cut.
    #[must_use]
    pub fn hook_gap(&self) -> Mm {
        let tool = match self.walls {
            WallBuild::Card => self.tool_gap_card,
            WallBuild::Board => self.tool_gap_board,
        };
        (self.card * 2.0 + self.play).max(tool)
    }

    /// Length and width of a biscuit: 2D - f by W - f.
    #[must_use]
    pub fn biscuit(&self) -> (Mm, Mm) {
        (self.notch_depth * 2.0 - self.play, self.notch_width - self.play)
    }

    /// Flat length that a fold uses: A K u, the fold's angle in radians, caliper u, inside radius 0.
    #[must_use]
    pub fn fold_allowance(&self, angle: Angle, caliper: Mm) -> Mm {
        caliper * (angle.radians() * self.fold_factor)
    }
}
