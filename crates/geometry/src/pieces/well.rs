//! The opening of a tile, such as a stair leads up through: a rectangle in the core, and flaps of
//! the wrap that fold down into it and back under the tile.

use kurbo::{Line, Rect};

use super::tile::Tile;
use super::{Draft, PieceError, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::Fold;
use crate::region::Region;
use crate::turn::quarter;
use crate::units::{Angle, plain};

/// Parts of a module in which an opening is given: half squares of the grid, of which there are
/// three to a module (as many as a flight has treads), so that an opening can always be in the middle.
pub const PER_MODULE: u32 = 6;

/// Least board round an opening, mm, to notches, reliefs and the tile's sides, or as much as the
/// board is thick. An estimate: foam board tears at a narrower web.
const LEAST_BOARD: f64 = 6.0;
/// Shortest return under the tile, mm: what glue still holds. Common practice for flaps.
const SHORTEST_RETURN: f64 = 4.0;
/// Least that two returns keep apart, under the tile and on the sheet, mm.
const APART: f64 = 1.0;
/// How far flaps keep off a corner of the opening beyond the paper of their neighbour, mm.
const CORNER: f64 = 0.4;

/// An opening's place and size, [`PER_MODULE`] parts to a module. What is clear when it is finished
/// is the whole of it: a flight of n modules, nM - f long, passes through an opening of n modules with
/// the play f.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Well {
    /// Its lower left corner, from that of the tile on the lattice.
    pub at: (u32, u32),
    /// Along x and along y.
    pub size: (u32, u32),
}

impl Well {
    /// The opening of that size in the middle of a tile.
    #[must_use]
    pub fn in_the_middle(tile: Tile, size: (u32, u32)) -> Self {
        let off = |modules: u32, size: u32| (modules * PER_MODULE).saturating_sub(size) / 2;
        Self { at: (off(tile.across, size.0), off(tile.along, size.1)), size }
    }

    /// As it lies when its tile, `along` modules along y, has been turned counterclockwise by a quarter.
    pub(super) const fn turned(self, along: u32) -> Self {
        let far = self.at.1 + self.size.1;
        Self { at: ((along * PER_MODULE).saturating_sub(far), self.at.0), size: (self.size.1, self.size.0) }
    }

    /// What sets it apart, for people, in modules.
    pub(super) fn detail(self) -> String {
        let (at, size) = (self.at, self.size);
        format!(", opening {} x {} at {}, {}", part(size.0), part(size.1), part(at.0), part(at.1))
    }

    /// What is clear of it when the tile is finished, the tile's middle at the origin.
    #[must_use]
    pub fn area(self, p: &Parameters, tile: Tile) -> Rect {
        let at = |parts: u32, modules: u32| {
            mm(p.module) * (f64::from(parts) / f64::from(PER_MODULE) - f64::from(modules) / 2.0)
        };
        Rect::new(
            at(self.at.0, tile.across),
            at(self.at.1, tile.along),
            at(self.at.0 + self.size.0, tile.across),
            at(self.at.1 + self.size.1, tile.along),
        )
    }

    /// What it takes from the core: its sides are covered by paper.
    pub(super) fn in_core(self, p: &Parameters, tile: Tile) -> Vec<Region> {
        let Rect { x0, y0, x1, y1 } = self.area(p, tile).inflate(mm(p.paper), mm(p.paper));
        rect(x0, y0, x1, y1)
    }

    /// Paper on its sides, for the finished tile.
    pub(super) fn lining(self, p: &Parameters, tile: Tile) -> Vec<Region> {
        let inner = self.area(p, tile);
        // A little into the core, so that the two are one.
        let outer = inner.inflate(mm(p.paper) + 0.5, mm(p.paper) + 0.5);
        let whole = rect(outer.x0, outer.y0, outer.x1, outer.y1);
        crate::region::difference(&whole, &rect(inner.x0, inner.y0, inner.x1, inner.y1))
    }

    /// Where a label has most room on a core that is free of notches within `room`.
    pub(super) fn label_room(self, p: &Parameters, tile: Tile, room: Rect) -> Rect {
        let hole = self.area(p, tile).inflate(mm(p.paper), mm(p.paper));
        let strips = [
            Rect { y1: hole.y0, ..room },
            Rect { y0: hole.y1, ..room },
            Rect { x1: hole.x0, ..room },
            Rect { x0: hole.x1, ..room },
        ];
        let least = |strip: &Rect| strip.width().min(strip.height());
        strips.into_iter().max_by(|a, b| least(a).total_cmp(&least(b))).unwrap_or(room)
    }

    /// Checks that it leaves board enough all round; `board` is the core without it.
    pub(super) fn check(self, p: &Parameters, tile: Tile, board: &[Region]) -> Result<(), PieceError> {
        let inside = |at: u32, size: u32, modules: u32| {
            size > 0 && at > 0 && at.checked_add(size).is_some_and(|end| end < modules * PER_MODULE)
        };
        let no_room = |what: String, found: String, help: &str| {
            Err(PieceError::NoRoom { what: format!("the opening of a tile {what}"), found, help: help.into() })
        };
        if !inside(self.at.0, self.size.0, tile.across) || !inside(self.at.1, self.size.1, tile.along) {
            let found = format!("{} x {} modules{}", tile.across, tile.along, self.detail());
            return no_room("lies inside it".into(), found, "make it smaller, or move it, or use a larger tile");
        }
        let area = self.area(p, tile);
        let least = LEAST_BOARD.max(mm(p.board));
        let left = distance(area, board);
        if left < least {
            let what = format!("leaves {} mm of board to sides, notches and reliefs", plain(least, 2));
            let help = "make it smaller, or move it away from notches and reliefs, which a larger tile may need";
            return no_room(what, format!("{} mm are left", plain(left, 2)), help);
        }
        let side = mm(p.post_side()) / 2.0 + mm(p.tongue) + mm(p.pocket_band);
        let (x, y) = (mm(p.tile_size(tile.across)) / 2.0, mm(p.tile_size(tile.along)) / 2.0);
        let patches = [(-x, -y, -x + side, -y + side), (x - side, -y, x, -y + side)]
            .into_iter()
            .chain([(-x, y - side, -x + side, y), (x - side, y - side, x, y)]);
        let to_patch = patches.map(|(x0, y0, x1, y1)| apart(area, Rect::new(x0, y0, x1, y1))).fold(f64::MAX, f64::min);
        if to_patch < mm(p.play) {
            let what = format!("keeps off its corner pockets, {} mm long, by the play", plain(side, 2));
            let help = "move it away from the corners, or make it smaller; its middle is the farthest from them";
            return no_room(what, format!("{} mm are left", plain(to_patch, 2)), help);
        }
        let depth = self.return_depth(p, tile, board);
        if depth < SHORTEST_RETURN {
            let what = format!("has returns of {SHORTEST_RETURN} mm under the tile");
            let help =
                "make it larger, so that the flaps of its sides fit in it, or move it away from the tile's sides";
            return no_room(what, format!("there is room for {} mm", plain(depth.max(0.0), 2)), help);
        }
        Ok(())
    }

    /// How deep its returns are: as other returns, or what its flaps have room for on the sheet,
    /// where they come from its middle, and under the tile, beside notches and the sides' returns.
    fn return_depth(self, p: &Parameters, tile: Tile, board: &[Region]) -> f64 {
        let area = self.area(p, tile);
        let (x, y) = (mm(p.tile_size(tile.across)) / 2.0, mm(p.tile_size(tile.along)) / 2.0);
        let rim = (area.x0 + x).min(x - area.x1).min(area.y0 + y).min(y - area.y1);
        let under = (rim - mm(p.wrap_return)).min(distance(area, board)) - APART;
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let sheet = (area.width().min(area.height()) - APART) / 2.0 - mm(p.paper) - CORNER - mm(p.board) - 2.0 * bend;
        mm(p.wrap_return).min(under).min(sheet)
    }

    /// The hole that the wrap's top has: its sides are fold lines, half an allowance beyond the board's.
    pub(super) fn in_wrap(self, p: &Parameters, tile: Tile) -> Rect {
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let out = mm(p.paper) - bend / 2.0;
        self.area(p, tile).inflate(out, out)
    }

    /// Adds its flaps to a wrap: a side and a return on each of its sides, cut from its corners at 45
    /// degrees. `board` is the core without it.
    pub(super) fn flaps(
        self,
        draft: &mut Draft,
        p: &Parameters,
        tile: Tile,
        top: usize,
        board: &[Region],
    ) -> Result<(), PieceError> {
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
        let deep = mm(p.board) + bend;
        let end = deep + self.return_depth(p, tile, board) + bend / 2.0;
        let hole = self.in_wrap(p, tile);
        let gap = mm(p.paper) + CORNER;
        for turn in (0..4).map(quarter) {
            // In a frame in which the flap hangs on the hole's lower side and reaches up into it.
            let Rect { x0, y0, x1, .. } = turn.inverse().transform_rect_bbox(hole);
            let (x0, x1) = (x0 + gap, x1 - gap);
            let strip = |from: f64, to: f64| -> Vec<Region> {
                let outline = [(x0 + from, y0 + from), (x1 - from, y0 + from), (x1 - to, y0 + to), (x0 + to, y0 + to)];
                polygon(&outline).iter().map(|region| region.moved(turn)).collect()
            };
            let line = |deep: f64| turn * Line::new((x0 + deep, y0 + deep), (x1 - deep, y0 + deep));
            let side = draft.panel("side", &strip(0.0, deep), &[])?;
            draft.shows(side);
            let under = draft.panel("return", &strip(deep, end), &[])?;
            draft.hinge(top, side, line(0.0), Fold::Mountain, Angle::QUARTER);
            draft.hinge(side, under, line(deep), Fold::Mountain, Angle::QUARTER);
        }
        Ok(())
    }
}

/// Distance of a rectangle to the sides of an area with right angles only.
fn distance(area: Rect, board: &[Region]) -> f64 {
    let sides = board.iter().flat_map(Region::contours).flat_map(crate::contour::Contour::sides);
    sides.map(|(a, b)| apart(area, Rect::from_points(a, b))).fold(f64::MAX, f64::min)
}

/// Distance of two rectangles, 0 where they meet.
fn apart(a: Rect, b: Rect) -> f64 {
    let x = (b.x0 - a.x1).max(a.x0 - b.x1).max(0.0);
    let y = (b.y0 - a.y1).max(a.y0 - b.y1).max(0.0);
    x.hypot(y)
}

/// `1/3` for two of six parts.
fn part(parts: u32) -> String {
    let divisor = [6, 3, 2].into_iter().find(|divisor| parts.is_multiple_of(*divisor)).unwrap_or(1);
    match PER_MODULE / divisor {
        1 => (parts / divisor).to_string(),
        below => format!("{}/{below}", parts / divisor),
    }
}
