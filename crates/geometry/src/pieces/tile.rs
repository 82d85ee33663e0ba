//! Tile: board core, printed wrap, corner pockets; and the biscuit that ties two tiles.

use kurbo::{Affine, Line, Rect, Vec2};

use super::well::Well;
use super::{Draft, PieceError, flat, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, Pattern, PieceKind, Plane, Stock};
use crate::region::Region;
use crate::turn::quarter;
use crate::units::Angle;

/// Largest number of modules along a tile's side.
pub const LONGEST_SIDE: u32 = 20;

/// Where a tile is relieved for posts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Reliefs {
    /// At its four corners.
    #[default]
    Corners,
    /// At its corners and at every module point along its edges.
    EveryModule,
}

/// One tile's size and reliefs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tile {
    /// Modules along x.
    pub across: u32,
    /// Modules along y.
    pub along: u32,
    /// Where it is relieved.
    pub reliefs: Reliefs,
    /// Its opening, if any, such as a stair leads up through.
    pub opening: Option<Well>,
}

impl Tile {
    /// A tile without an opening.
    #[must_use]
    pub const fn plain(across: u32, along: u32, reliefs: Reliefs) -> Self {
        Self { across, along, reliefs, opening: None }
    }

    /// Turned counterclockwise by quarter turns.
    #[must_use]
    pub fn turned(self, quarters: u32) -> Self {
        (0..quarters % 4).fold(self, |tile, _| Self {
            across: tile.along,
            along: tile.across,
            opening: tile.opening.map(|well| well.turned(tile.along)),
            ..tile
        })
    }

    /// The one of its quarter turns that stands for all of them: wider than it is long, its opening as
    /// far left, then as far down, as it can be.
    #[must_use]
    pub fn up_to_rotation(self) -> Self {
        let turns = (0..4).map(|quarters| self.turned(quarters)).filter(|tile| tile.across >= tile.along);
        turns.min_by_key(|tile| tile.opening.map(|well| (well.at, well.size))).unwrap_or(self)
    }

    fn detail(self) -> String {
        let reliefs = match self.reliefs {
            Reliefs::EveryModule if self.across > 1 || self.along > 1 => ", every module",
            _ => "",
        };
        let opening = self.opening.map(Well::detail).unwrap_or_default();
        format!("{} x {}{reliefs}{opening}", self.across, self.along)
    }

    fn check(self) -> Result<(), PieceError> {
        let fits = |side| (1..=LONGEST_SIDE).contains(&side);
        if fits(self.across) && fits(self.along) {
            return Ok(());
        }
        Err(PieceError::OutOfRange {
            what: "a tile's size",
            found: format!("{} x {} modules", self.across, self.along),
            help: format!("give whole numbers of modules from 1 to {LONGEST_SIDE}"),
        })
    }
}

/// The four edges: a quarter turn each, with the modules along the edge and those across it.
/// Along the edge frame, x runs along the edge and y points out of the tile.
fn edges(tile: Tile) -> [(Affine, u32, u32); 4] {
    // From the northern edge clockwise.
    [
        (quarter(0), tile.across, tile.along),
        (quarter(3), tile.along, tile.across),
        (quarter(2), tile.across, tile.along),
        (quarter(1), tile.along, tile.across),
    ]
}

/// What the reliefs take away, as seen from the tile's middle. `half` is the distance from the
/// middle to the core's edge, or more for the paper that covers it.
fn relief_cutters(p: &Parameters, tile: Tile) -> Vec<Region> {
    let (s, f, m) = (mm(p.post_side()), mm(p.play), mm(p.module));
    let beyond = 1.0 + m;
    let mut cutters = Vec::new();
    for (turn, along, across) in edges(tile) {
        let (length, height) = (mm(p.tile_size(along)), mm(p.tile_size(across)));
        let (x, y) = (length / 2.0 - s / 2.0, height / 2.0 - s / 2.0);
        let mut take = |regions: Vec<Region>| cutters.extend(regions.iter().map(|r| r.moved(turn)));
        take(rect(x, y, x + beyond, y + beyond));
        if tile.reliefs == Reliefs::EveryModule {
            for point in 1..along {
                let at = m * f64::from(point) - m * f64::from(along) / 2.0;
                // s + f wide, as the hole between four corners is: a sleeve of s needs its play here too.
                take(rect(at - (s + f) / 2.0, y, at + (s + f) / 2.0, y + beyond));
            }
        }
    }
    cutters
}

/// Middles of the modules along an edge of `along` modules.
fn module_middles(p: &Parameters, along: u32) -> impl Iterator<Item = f64> {
    let m = mm(p.module);
    (0..along).map(move |i| m * (f64::from(i) + 0.5) - m * f64::from(along) / 2.0)
}

/// The board core, its middle at the origin.
///
/// # Errors
/// [`PieceError`] where the size is out of range or reliefs and notches cut the core apart.
pub fn core(p: &Parameters, tile: Tile) -> Result<Pattern, PieceError> {
    tile.check()?;
    let (width, height) = (mm(p.core_size(tile.across)), mm(p.core_size(tile.along)));
    let (whole, mut cutters) = uncut(p, tile);
    let room = mm(p.notch_depth).max(mm(p.post_side()) / 2.0);
    let mut room = Rect::new(room - width / 2.0, room - height / 2.0, width / 2.0 - room, height / 2.0 - room);
    if let Some(well) = tile.opening {
        well.check(p, tile, &crate::region::difference(&whole, &cutters))?;
        cutters.extend(well.in_core(p, tile));
        room = well.label_room(p, tile, room);
    }
    let mut draft = flat(PieceKind::TileCore, Stock::Board, tile.detail(), &whole, &cutters)?;
    draft.label(room, tile.opening.is_some() && room.height() > room.width());
    draft.finish()
}

/// The core's rectangle, and what reliefs and notches take from it.
fn uncut(p: &Parameters, tile: Tile) -> (Vec<Region>, Vec<Region>) {
    let (width, height) = (mm(p.core_size(tile.across)), mm(p.core_size(tile.along)));
    let notch = mm(p.notch_width) / 2.0;
    let mut cutters = relief_cutters(p, tile);
    for (turn, along, across) in edges(tile) {
        let lattice = mm(p.module) * f64::from(across) / 2.0;
        for at in module_middles(p, along) {
            let slot = rect(at - notch, lattice - mm(p.notch_depth), at + notch, lattice + 1.0);
            cutters.extend(slot.iter().map(|r| r.moved(turn)));
        }
    }
    (rect(-width / 2.0, -height / 2.0, width / 2.0, height / 2.0), cutters)
}

/// The finished tile's outline, its middle at the origin: the core, and the wrap's paper on the
/// edges that have a flap.
///
/// # Errors
/// As [`core()`].
pub fn finished(p: &Parameters, tile: Tile) -> Result<Vec<Region>, PieceError> {
    let mut parts = vec![core(p, tile)?.material];
    for (turn, along, across) in edges(tile) {
        let edge = mm(p.core_size(across)) / 2.0;
        for flap in flaps(p, tile, along) {
            // A little into the core, so that the two are one.
            let paper = rect(flap.from, edge - 0.5, flap.to, edge + mm(p.paper));
            parts.extend(paper.iter().map(|r| r.moved(turn)));
        }
    }
    parts.extend(tile.opening.iter().flat_map(|well| well.lining(p, tile)));
    Ok(crate::region::union(&parts))
}

/// The printed wrap, its middle at the origin, printed side up.
///
/// # Errors
/// [`PieceError`] where the size is out of range, the reliefs cut the top apart or an opening has no room.
pub fn wrap(p: &Parameters, tile: Tile) -> Result<Pattern, PieceError> {
    tile.check()?;
    let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
    // Fold lines lie on the core's edges, half an allowance out.
    let half = |modules: u32| mm(p.core_size(modules)) / 2.0 + bend / 2.0;
    let (x, y) = (half(tile.across), half(tile.along));
    let mut draft = Draft::new(PieceKind::TileWrap, Stock::Paper, tile.detail());
    let mut cutters = relief_cutters(p, tile);
    let board = tile.opening.map(|_| uncut(p, tile)).map(|(whole, cut)| crate::region::difference(&whole, &cut));
    if let (Some(well), Some(board)) = (tile.opening, &board) {
        well.check(p, tile, board)?;
        let hole = well.in_wrap(p, tile);
        cutters.extend(rect(hole.x0, hole.y0, hole.x1, hole.y1));
    }
    let top = draft.panel("top", &rect(-x, -y, x, y), &cutters)?;
    draft.shows(top);
    // The lattice's vertex at the tile's lower left corner.
    let vertex = |modules: u32| -mm(p.module) * f64::from(modules) / 2.0;
    draft.planes.push(Plane::everywhere(Affine::translate((vertex(tile.across), vertex(tile.along)))));
    for (turn, along, across) in edges(tile) {
        for flap in flaps(p, tile, along) {
            wrap_flap(&mut draft, p, top, turn, half(across), flap)?;
        }
    }
    if let (Some(well), Some(board)) = (tile.opening, &board) {
        well.flaps(&mut draft, p, tile, top, board)?;
    }
    // The longest return gives the label most room.
    draft.label_spots.sort_by(|a, b| {
        let length = |spot: &crate::pattern::LabelSpot| spot.rect.width().max(spot.rect.height());
        length(b).total_cmp(&length(a)).then(a.upward.cmp(&b.upward))
    });
    draft.finish()
}

/// One flap along an edge: from and to, and whether each end lies at a corner relief, where the
/// return is mitred so that it keeps off the neighbouring edge's return.
#[derive(Clone, Copy)]
struct Flap {
    from: f64,
    to: f64,
    mitre_from: bool,
    mitre_to: bool,
}

/// The flaps of an edge of `along` modules: what reliefs and notches leave of it.
fn flaps(p: &Parameters, tile: Tile, along: u32) -> Vec<Flap> {
    let (s, f, m) = (mm(p.post_side()), mm(p.play), mm(p.module));
    let corner = mm(p.tile_size(along)) / 2.0 - s / 2.0;
    let mut gaps: Vec<(f64, f64)> = module_middles(p, along)
        .map(|at| (at - (mm(p.notch_width) + f) / 2.0, at + (mm(p.notch_width) + f) / 2.0))
        .collect();
    if tile.reliefs == Reliefs::EveryModule {
        gaps.extend((1..along).map(|point| {
            let at = m * f64::from(point) - m * f64::from(along) / 2.0;
            (at - (s + f) / 2.0, at + (s + f) / 2.0)
        }));
    }
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut flaps = Vec::new();
    let mut from = -corner;
    for (gap_from, gap_to) in gaps.into_iter().chain([(corner, corner)]) {
        if gap_from - from > 1.0 {
            flaps.push(Flap { from, to: gap_from, mitre_from: from == -corner, mitre_to: gap_from == corner });
        }
        from = gap_to;
    }
    flaps
}

/// Side and return of one flap, on the edge whose frame `turn` gives, `edge` from the middle.
fn wrap_flap(
    draft: &mut Draft,
    p: &Parameters,
    top: usize,
    turn: Affine,
    edge: f64,
    flap: Flap,
) -> Result<(), PieceError> {
    let bend = mm(p.fold_allowance(Angle::QUARTER, p.paper));
    let Flap { from, to, .. } = flap;
    let low = edge + mm(p.board) + bend;
    // A short flap with two mitres would come to a point: its return is shortened to leave a millimetre.
    let mitres = f64::from(u8::from(flap.mitre_from) + u8::from(flap.mitre_to));
    let room = if mitres > 0.0 { (to - from - 1.0) / mitres } else { f64::INFINITY };
    let depth = (mm(p.wrap_return) + bend / 2.0).min(room);
    let end_from = if flap.mitre_from { from + depth } else { from };
    let end_to = if flap.mitre_to { to - depth } else { to };
    let placed = |regions: Vec<Region>| regions.iter().map(|r| r.moved(turn)).collect::<Vec<_>>();
    let line = |y: f64| turn * Line::new((from, y), (to, y));

    let side = draft.panel("side", &placed(rect(from, edge, to, low)), &[])?;
    draft.shows(side);
    let under = polygon(&[(from, low), (to, low), (end_to, low + depth), (end_from, low + depth)]);
    let under = draft.panel("return", &placed(under), &[])?;
    draft.hinge(top, side, line(edge), Fold::Mountain, Angle::QUARTER);
    draft.hinge(side, under, line(low), Fold::Mountain, Angle::QUARTER);
    // The artwork's bleed runs onto the return; the label keeps beyond it.
    let spot = turn.transform_rect_bbox(Rect::new(end_from, low + mm(p.bleed), end_to, low + depth));
    draft.label(spot, spot.height() > spot.width());
    Ok(())
}

/// The card patch under a relieved corner, the finished tile's corner at the origin and the tile
/// at positive x and y; glue goes on the side that is drawn.
///
/// # Errors
/// [`PieceError`] where the parameters leave no patch.
pub fn corner_pocket(p: &Parameters) -> Result<Pattern, PieceError> {
    let relief = mm(p.post_side()) / 2.0;
    let channel = relief + mm(p.tongue);
    let side = channel + mm(p.pocket_band);
    let (patch, hole) = (rect(0.0, 0.0, side, side), rect(-1.0, -1.0, relief, relief));
    let mut draft = flat(PieceKind::CornerPocket, Stock::Card, String::new(), &patch, &hole)?;
    draft.glue = crate::region::difference(&patch, &rect(-1.0, -1.0, channel, channel));
    draft.label(Rect::new(0.0, relief, channel, channel), false);
    draft.label(Rect::new(relief, 0.0, channel, channel), true);
    draft.finish()
}

/// The board tie between two edge notches, its middle at the origin.
///
/// # Errors
/// [`PieceError`] where the parameters leave no board.
pub fn biscuit(p: &Parameters) -> Result<Pattern, PieceError> {
    let (length, width) = p.biscuit();
    let half = Vec2::new(mm(length), mm(width)) / 2.0;
    let whole = rect(-half.x, -half.y, half.x, half.y);
    let mut draft = flat(PieceKind::Biscuit, Stock::Board, String::new(), &whole, &[])?;
    draft.label(Rect::new(-half.x, -half.y, half.x, half.y), false);
    draft.finish()
}
