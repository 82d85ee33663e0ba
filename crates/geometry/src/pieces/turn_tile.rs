//! Tile with a side on a bend: its ground, its sides on the lattice, its corners, its board core.

use kurbo::{Affine, Point, Rect, Vec2};

use super::bend::{Bend, TurnPart, TurnTile};
use super::bend_pocket::{BendPocket, PocketPlace};
use super::{PieceError, flat, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind, Stock};
use crate::region::{self, Region};
use crate::tolerance;
use crate::turn::quarter;
use crate::units::{Mm, plain, snapped};

/// A spandrel is cut off where it is narrower than this, mm: its points would break. Common practice.
const NARROWEST: f64 = 8.0;
/// Least board round a notch for a biscuit, and at the narrowest place of a spandrel, mm; an estimate.
const LEAST: f64 = 5.0;

/// A unit edge of the lattice, counted from a bend's corner in the bend's frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct UnitEdge {
    /// Modules east and north of the corner at which it begins.
    pub from: (u32, u32),
    /// Whether it runs to the north (else to the east).
    pub north: bool,
}

/// A corner of a turn tile at which a post may stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TurnCorner {
    /// Modules east and north of the bend's corner.
    pub at: (u32, u32),
    /// The quadrant of that point in which the tile lies, counterclockwise from north-east.
    pub quadrant: u32,
    /// The pocket below it where the usual one would stick out beyond the bend.
    pub pocket: Option<BendPocket>,
}

/// A side on the lattice: x along it and y out of the tile, from its lattice line.
#[derive(Clone, Copy)]
pub(super) struct Side {
    /// To the bend's frame.
    pub motion: Affine,
    /// From where to where the finished side goes, mm.
    pub from: f64,
    pub to: f64,
    /// Whether either end lies at a corner where another side of the tile begins.
    pub meets_from: bool,
    pub meets_to: bool,
    /// The side's module edges: the first one's beginning, and how many lie along the whole side.
    modules: (f64, u32),
}

impl TurnTile {
    /// What sets it apart, for people: `fan, round, 2`, `ring, diagonal, 2 less 1`.
    #[must_use]
    pub fn detail(self) -> String {
        let Bend { form, reach } = self.bend;
        match self.part {
            TurnPart::Fan => format!("fan, {form}, {reach}"),
            TurnPart::Ring(inner) => format!("ring, {form}, {reach} less {inner}"),
            TurnPart::Spandrel => format!("spandrel, {form}, {reach}"),
        }
    }

    /// The bend inside a ring.
    #[must_use]
    pub const fn inner(self) -> Option<Bend> {
        match self.part {
            TurnPart::Ring(reach) => Some(Bend { reach, ..self.bend }),
            TurnPart::Fan | TurnPart::Spandrel => None,
        }
    }

    /// Whether it can be built at all.
    ///
    /// # Errors
    /// [`PieceError`] where a reach is out of range or the tile has no room.
    pub fn check(self, p: &Parameters) -> Result<(), PieceError> {
        self.bend.check(p)?;
        if let Some(inner) = self.inner() {
            if inner.reach >= self.bend.reach {
                return Err(PieceError::OutOfRange {
                    what: "the reach of a ring's inner bend",
                    found: format!("{} modules, where the outer one's is {}", inner.reach, self.bend.reach),
                    help: "let the inner reach be at least 1 and less than the outer one".into(),
                });
            }
            inner.check(p)?;
        }
        if self.part != TurnPart::Spandrel {
            return Ok(());
        }
        // From the post in its far corner to the bend's middle, along the diagonal.
        let corner = mm(p.module) * f64::from(self.bend.reach) - (mm(p.post_side()) + mm(p.play)) / 2.0;
        let line = self.bend.beside(p, mm(p.play) / 2.0);
        let nearest =
            |point: Point| line.windows(2).map(|side| distance(point, side[0], side[1])).fold(f64::INFINITY, f64::min);
        let left = nearest(Point::new(corner, corner));
        let inside = region::intersection(&rect(corner - 0.1, corner - 0.1, corner, corner), &beyond(&line, 0.0));
        if left >= LEAST && !inside.is_empty() {
            return Ok(());
        }
        Err(PieceError::NoRoom {
            what: "a spandrel keeps board between its bend and the post in its far corner".into(),
            found: format!("{} mm where at least {LEAST} mm are needed", plain(left, 2)),
            help: "use a longer reach, a narrower post or a larger module".into(),
        })
    }

    /// Its finished ground in the bend's frame, without reliefs and notches; `in_by` mm further in on the
    /// sides on the lattice.
    pub(super) fn ground(self, p: &Parameters, in_by: f64) -> Vec<Region> {
        let half = mm(p.play) / 2.0;
        // On the grid, as folds on its sides are: they meet there wherever the lattice line is.
        let near = snapped(half + in_by);
        let far = snapped(mm(p.module) * f64::from(self.bend.reach)) - near;
        let wide = 2.0 * far;
        let bend = |bend: Bend, off: f64| bend.beside(p, off);
        match self.part {
            TurnPart::Fan => region::intersection(&rect(near, near, wide, wide), &within(&bend(self.bend, -half))),
            TurnPart::Ring(reach) => {
                let outer = region::intersection(&rect(near, near, wide, wide), &within(&bend(self.bend, -half)));
                region::intersection(&outer, &beyond(&bend(Bend { reach, ..self.bend }, half), wide))
            }
            TurnPart::Spandrel => {
                let cut = self.cut_off(p);
                region::intersection(&rect(cut, cut, far, far), &beyond(&bend(self.bend, half), wide))
            }
        }
    }

    /// Where a spandrel is cut off, from either axis of the bend's frame: where it would be too narrow.
    fn cut_off(self, p: &Parameters) -> f64 {
        let half = mm(p.play) / 2.0;
        let level = mm(p.module) * f64::from(self.bend.reach) - half - NARROWEST;
        let line = self.bend.beside(p, half);
        let crossing = line.windows(2).find(|side| side[0].y >= level && side[1].y < level);
        crossing.map_or(level, |side| {
            let share = (side[0].y - level) / (side[0].y - side[1].y);
            side[0].lerp(side[1], share).x
        })
    }

    /// Its sides on the lattice.
    pub(super) fn lattice_sides(self, p: &Parameters) -> Vec<Side> {
        let m = mm(p.module);
        let (reach, corner) = (snapped(f64::from(self.bend.reach) * m), (mm(p.post_side()) + mm(p.play)) / 2.0);
        let modules = |first: u32| (f64::from(first) * m, self.bend.reach - first);
        match self.part {
            TurnPart::Fan | TurnPart::Ring(_) => {
                let first = self.inner().map_or(0, |inner| inner.reach);
                let from = f64::from(first) * m + corner;
                let meets = first == 0;
                let west = Side {
                    motion: quarter(1),
                    from,
                    to: reach - corner,
                    meets_from: meets,
                    meets_to: false,
                    modules: modules(first),
                };
                // The southern side runs from east to west.
                let south = Side {
                    motion: quarter(2),
                    from: -west.to,
                    to: -west.from,
                    meets_from: false,
                    meets_to: meets,
                    modules: (-reach, self.bend.reach - first),
                };
                vec![west, south]
            }
            TurnPart::Spandrel => {
                let cut = self.cut_off(p);
                let north = Side {
                    motion: Affine::translate((0.0, reach)),
                    from: cut,
                    to: reach - corner,
                    meets_from: false,
                    meets_to: true,
                    modules: modules(0),
                };
                let east = Side {
                    motion: Affine::translate((reach, 0.0)) * quarter(3),
                    from: -north.to,
                    to: -cut,
                    meets_from: true,
                    meets_to: false,
                    modules: (-reach, self.bend.reach),
                };
                vec![north, east]
            }
        }
    }

    /// The corners at which it is relieved for posts.
    #[must_use]
    pub fn corners(self, p: &Parameters) -> Vec<TurnCorner> {
        let n = self.bend.reach;
        let bent = |place| BendPocket { bend: self.bend, place };
        let usual = |at| TurnCorner { at, quadrant: 0, pocket: None };
        let first = TurnCorner { at: (0, n), quadrant: 3, pocket: Some(bent(PocketPlace::First)) };
        let last = TurnCorner { at: (n, 0), quadrant: 1, pocket: Some(bent(PocketPlace::Last)) };
        let far = TurnCorner { at: (n, n), quadrant: 2, pocket: Some(bent(PocketPlace::Far)) };
        let mut corners = match self.part {
            TurnPart::Fan => vec![usual((0, 0)), first, last],
            TurnPart::Ring(inner) => vec![usual((0, inner)), usual((inner, 0)), first, last],
            TurnPart::Spandrel => vec![far],
        };
        // Far enough from the bend, the usual one fits there, too.
        for corner in &mut corners {
            corner.pocket = corner.pocket.filter(|pocket| pocket.is_cut(p));
        }
        corners
    }

    /// Where its finished ground lies, without reliefs and notches, as seen from a corner: that at the
    /// origin, and the tile at positive x and y.
    #[must_use]
    pub fn ground_from(self, p: &Parameters, corner: TurnCorner) -> Vec<Region> {
        let m = mm(p.module);
        let half = mm(p.play) / 2.0;
        let vertex = Affine::translate((f64::from(corner.at.0) * m, f64::from(corner.at.1) * m));
        let there = vertex * quarter(corner.quadrant) * Affine::translate((half, half));
        self.ground(p, 0.0).iter().map(|part| part.moved(there.inverse())).collect()
    }

    /// What the reliefs for posts take away.
    pub(super) fn reliefs(self, p: &Parameters) -> Vec<Region> {
        let (m, half) = (mm(p.module), (mm(p.post_side()) + mm(p.play)) / 2.0);
        let square = |corner: TurnCorner| {
            let (x, y) = (f64::from(corner.at.0) * m, f64::from(corner.at.1) * m);
            rect(x - half, y - half, x + half, y + half)
        };
        self.corners(p).into_iter().flat_map(square).collect()
    }

    /// The module edges with a notch for a biscuit: those where enough board stays all round it.
    #[must_use]
    pub fn notches(self, p: &Parameters) -> Vec<UnitEdge> {
        self.notch_places(p).into_iter().map(|(edge, _)| edge).collect()
    }

    /// The notches, and where each lies along its side, from and to.
    pub(super) fn notch_places(self, p: &Parameters) -> Vec<(UnitEdge, Notch)> {
        let (m, wide, deep) = (mm(p.module), mm(p.notch_width) / 2.0, mm(p.notch_depth));
        let board = region::difference(&self.ground(p, mm(p.paper)), &self.reliefs(p));
        let mut places = Vec::new();
        for (index, side) in self.lattice_sides(p).into_iter().enumerate() {
            let (first, count) = side.modules;
            for module in 0..count {
                let middle = first + m * (f64::from(module) + 0.5);
                let area = |by: f64| -> Vec<Region> {
                    let area =
                        rect(middle - wide - by, -deep - by, middle + wide + by, -mm(p.play) / 2.0 - mm(p.paper));
                    area.iter().map(|part| part.moved(side.motion)).collect()
                };
                if middle - wide - LEAST < side.from || middle + wide + LEAST > side.to {
                    continue;
                }
                let bare: f64 = region::difference(&area(LEAST), &board).iter().map(Region::area).sum();
                if bare < tolerance::FIT {
                    let notch = Notch { side: index, from: middle - wide, to: middle + wide };
                    places.push((unit_edge(side.motion, middle, m), notch, area(LEAST), area(0.0)));
                }
            }
        }
        // Two that come too near to each other are left out, both.
        let apart = |one: usize| {
            places.iter().enumerate().all(|(other, place)| {
                one == other || region::intersection(&places[one].2, &place.3).iter().all(|r| r.area() < tolerance::FIT)
            })
        };
        (0..places.len()).filter(|&one| apart(one)).map(|one| (places[one].0, places[one].1)).collect()
    }

    /// The board core in the bend's frame.
    ///
    /// # Errors
    /// [`PieceError`] where a reach is out of range, the tile has no room, or it is cut apart.
    pub fn core(self, p: &Parameters) -> Result<Pattern, PieceError> {
        self.check(p)?;
        let mut cutters = self.reliefs(p);
        let sides = self.lattice_sides(p);
        for (_, notch) in self.notch_places(p) {
            let area = rect(notch.from, -mm(p.notch_depth), notch.to, 1.0);
            cutters.extend(area.iter().map(|part| part.moved(sides[notch.side].motion)));
        }
        let ground = self.ground(p, mm(p.paper));
        let mut draft = flat(PieceKind::TurnCore, Stock::Board, self.detail(), &ground, &cutters)?;
        if let Some(spot) = self.label_room(p, &draft.net.panels[0].region) {
            draft.label(spot, false);
        }
        draft.finish()
    }

    /// A rectangle of the core about a place in its middle.
    fn label_room(self, p: &Parameters, core: &Region) -> Option<Rect> {
        let reach = mm(p.module) * f64::from(self.bend.reach);
        let half = std::f64::consts::FRAC_1_SQRT_2 * reach;
        let middle = match self.part {
            TurnPart::Fan => half * 0.55,
            TurnPart::Ring(inner) => (half + half / f64::from(self.bend.reach) * f64::from(inner)) / 2.0,
            TurnPart::Spandrel => (half + reach) / 2.0 * 0.97,
        };
        let middle = Point::new(middle, middle);
        // Three times as wide as high, as large as it goes.
        let fits = |height: &f64| {
            let spot = Rect::from_center_size(middle, (3.0 * height, *height));
            region::difference(&rect(spot.x0, spot.y0, spot.x1, spot.y1), std::slice::from_ref(core)).is_empty()
        };
        let height = (2..=20).rev().map(|step| f64::from(step) * 1.5).find(fits)?;
        Some(Rect::from_center_size(middle, (3.0 * height, height)))
    }

    /// The finished tile's outline in the bend's frame: the core, and the wrap's paper on the sides that
    /// have a flap.
    ///
    /// # Errors
    /// As [`Self::core`] has them.
    pub fn finished(self, p: &Parameters) -> Result<Vec<Region>, PieceError> {
        let mut parts = vec![self.core(p)?.material];
        let (half, paper) = (mm(p.play) / 2.0, mm(p.paper));
        let sides = self.lattice_sides(p);
        for flap in self.flaps(p) {
            // A little into the core, so that the two are one.
            let strip = rect(flap.from, -half - paper - 0.5, flap.to, -half);
            parts.extend(strip.iter().map(|part| part.moved(sides[flap.side].motion)));
        }
        Ok(region::union(&parts))
    }

    /// What reliefs and notches leave of its sides on the lattice.
    pub(super) fn flaps(self, p: &Parameters) -> Vec<Notch> {
        let notches = self.notch_places(p);
        let play = mm(p.play) / 2.0;
        let mut flaps = Vec::new();
        for (index, side) in self.lattice_sides(p).into_iter().enumerate() {
            let mut gaps: Vec<(f64, f64)> = (notches.iter())
                .filter(|(_, notch)| notch.side == index)
                .map(|(_, notch)| (notch.from - play, notch.to + play))
                .collect();
            gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut from = side.from;
            for (gap_from, gap_to) in gaps.into_iter().chain([(side.to, side.to)]) {
                if gap_from - from > 1.0 {
                    flaps.push(Notch { side: index, from, to: gap_from });
                }
                from = gap_to;
            }
        }
        flaps
    }

    /// What of its ground lies at least `apart` from its bends; the sides on the lattice stay.
    pub(super) fn off_the_bends(self, p: &Parameters, apart: Mm) -> Vec<Region> {
        let (half, apart) = (mm(p.play) / 2.0, mm(apart));
        let wide = 2.0 * mm(p.module) * f64::from(self.bend.reach);
        let whole = rect(-wide, -wide, wide, wide);
        match self.part {
            TurnPart::Fan => within(&self.bend.beside(p, -half - apart)),
            TurnPart::Ring(reach) => {
                let inner = Bend { reach, ..self.bend }.beside(p, half + apart);
                region::intersection(&within(&self.bend.beside(p, -half - apart)), &beyond(&inner, wide))
            }
            TurnPart::Spandrel => {
                let (cut, line) = (self.cut_off(p) + apart, self.bend.beside(p, half + apart));
                let kept = region::intersection(&beyond(&line, wide), &whole);
                region::intersection(&kept, &rect(cut, cut, wide, wide))
            }
        }
    }
}

/// A stretch of a side: a notch, or a flap.
#[derive(Clone, Copy)]
pub(super) struct Notch {
    /// Index of the side.
    pub side: usize,
    pub from: f64,
    pub to: f64,
}

/// The unit edge about whose middle a side has a place.
fn unit_edge(side: Affine, middle: f64, module: f64) -> UnitEdge {
    let at = side * Point::new(middle, 0.0);
    let along = side * Point::new(middle + 1.0, 0.0) - at;
    let north = along.y.abs() > along.x.abs();
    let back = if north { Vec2::new(0.0, 0.5) } else { Vec2::new(0.5, 0.0) };
    let from = at - back * module;
    // Lattice points of the frame's first quadrant.
    let whole = |value: f64| (value / module).round().max(0.0) as u32;
    UnitEdge { from: (whole(from.x), whole(from.y)), north }
}

/// All on a bend's own side of a line beside it.
fn within(line: &[Point]) -> Vec<Region> {
    let far = -line.first().map_or(0.0, |first| first.y);
    side_of(line, Point::new(far, far), far)
}

/// All beyond a line beside a bend, up to `to` mm from the corner.
fn beyond(line: &[Point], to: f64) -> Vec<Region> {
    let to = to.max(2.0 * line.first().map_or(0.0, |first| first.y));
    let whole = rect(-to, -to, to, to);
    region::difference(&whole, &side_of(line, Point::new(-2.0 * to, -2.0 * to), -2.0 * to))
}

/// The area between a line, gone on at its ends to x or y = `far`, and a corner.
fn side_of(line: &[Point], corner: Point, far: f64) -> Vec<Region> {
    let (Some(first), Some(last)) = (line.first(), line.last()) else { return Vec::new() };
    let ends = [(last.x, far), (corner.x, corner.y), (far, first.y)];
    let points: Vec<(f64, f64)> = line.iter().map(|point| (point.x, point.y)).chain(ends).collect();
    polygon(&points)
}

fn distance(point: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let share = ((point - from).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    point.distance(from.lerp(to, share))
}
