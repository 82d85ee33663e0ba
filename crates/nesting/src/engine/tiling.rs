//! Fills a sheet without any waste, as a jigsaw is laid.
//!
//! The lowest free point of a sheet (the leftmost of those) can only be covered by a piece whose
//! own lowest corner lies there, and the lowest free direction at it only by that corner's lower
//! side. So at every step one place is given, and the pieces that may lie there are few: depth
//! first, a dead end is met soon. It works where pieces meet without a gap and sides match; the
//! search is exact up to [`SLACK`].

use std::collections::BTreeMap;
use std::f64::consts::PI;

use kurbo::Point;

use super::chance::Chance;
use super::gaps::Gaps;
use super::page::Put;
use super::shapes::{Shapes, Units, mm, units};
use super::tile::{ANGLE, SLACK, Sector, Tile, after, separate};

pub(super) struct Tiler<'a> {
    shapes: &'a Shapes,
    /// By direction of the lower side.
    tiles: Vec<Tile>,
    /// Steps so far: places that were looked at and pieces that were tried there, each as many
    /// times as there was to compare it with.
    pub(super) steps: u64,
}

/// Pieces that one step is compared with.
const PIECES_PER_STEP: u64 = 20;
/// By how much of its area a sign of belonging to a place raises a tile's rank (tried on the
/// published rectangle jigsaws: 3 to 100 for a strong sign do about as well, none much worse).
const STRONG: f64 = 10.0;
const WEAK: f64 = 1.0;

/// How sheets are laid.
#[derive(Clone, Copy)]
pub(super) struct Manner {
    /// How much of the order in which pieces are tried is left to chance, 0 to 1.
    pub(super) mood: f64,
    /// Whether a piece is refused where a gap beside or above it is one that rectangles could not
    /// fill. That may miss a way to lay other pieces.
    pub(super) strict: bool,
}

/// What was laid.
pub(super) struct Laying {
    /// Full sheets, copies counted.
    pub(super) sheets: u64,
    pub(super) full: Vec<Full>,
    /// Whether every order was tried, each sheet being repeated as often as its pieces last.
    pub(super) exhausted: bool,
}

/// A full sheet and how often it is laid.
#[derive(Clone)]
pub(super) struct Full {
    pub(super) puts: Vec<Put>,
    pub(super) times: u32,
    laid: Vec<Laid>,
}

/// A sheet in the making.
struct Sheet {
    low: Point,
    high: Point,
    laid: Vec<Laid>,
}

#[derive(Clone, Copy)]
struct Laid {
    tile: usize,
    at: Units,
    corner: Point,
    far: Point,
}

impl Laid {
    /// Whether the piece's box holds `point`.
    fn holds(&self, point: Point) -> bool {
        let within = |p: f64, a: f64, b: f64| p > a - SLACK && p < b + SLACK;
        within(point.x, self.corner.x, self.far.x) && within(point.y, self.corner.y, self.far.y)
    }

    /// `point` as seen from the piece's box.
    fn seen(&self, point: Point) -> Point {
        point - self.corner.to_vec2()
    }
}

/// A place that has to be covered, and the tiles that are still to be tried there.
struct Branch {
    point: Point,
    tiles: Vec<usize>,
}

/// The lowest free point and its lowest free directions.
#[derive(Clone, Copy)]
struct Place {
    point: Point,
    from: f64,
    /// Where the next piece begins, seen from `from`.
    wide: f64,
    /// Length of the side that lies along `from`, mm.
    side: f64,
    /// How far it is along `from` to the next piece or the room's end, mm; infinite where `from` is not level.
    run: f64,
}

impl<'a> Tiler<'a> {
    pub(super) fn new(shapes: &'a Shapes) -> Self {
        let mut tiles: Vec<Tile> =
            (0..shapes.list.len()).map(|i| Tile::new(i, shapes.list[i].corners.clone())).collect();
        tiles.sort_by(|a, b| a.lower.total_cmp(&b.lower).then(a.shape.cmp(&b.shape)));
        Self { shapes, tiles, steps: 0 }
    }

    /// Lays sheets of the room from `low` to `high` wholly, one after the other, with at most `left`
    /// of each item, until `goal` are laid, nothing else can be tried, or `most` steps are spent.
    ///
    /// A sheet is repeated while all its pieces last. Where a later sheet cannot be laid, earlier
    /// ones are laid anew.
    pub(super) fn fill(
        &mut self,
        (low, high): (Units, Units),
        left: &[u32],
        goal: u64,
        Manner { mood, strict }: Manner,
        chance: &mut Chance,
        most: u64,
    ) -> Laying {
        let point = |u: Units| Point::new(mm(u[0]), mm(u[1]));
        let mut sheet = Sheet { low: point(low), high: point(high), laid: Vec::new() };
        let mut left = left.to_vec();
        let end = self.steps + most;
        let liking: Vec<f64> = self.tiles.iter().map(|t| t.area * (1.0 - mood + mood * chance.part())).collect();
        let mut branches: Vec<Branch> = Vec::new();
        let mut full: Vec<Full> = Vec::new();
        let mut best = Laying { sheets: 0, full: Vec::new(), exhausted: false };
        let mut start = sheet.low;
        loop {
            match self.lowest(&sheet, start) {
                Some(place) => {
                    let tiles = self.candidates(&sheet, &place, &left, &liking, strict);
                    branches.push(Branch { point: place.point, tiles });
                }
                None => {
                    self.close(&mut sheet, &mut full, &mut left);
                    let sheets = full.iter().map(|f| u64::from(f.times)).sum();
                    if sheets > best.sheets {
                        best = Laying { sheets, full: full.clone(), exhausted: false };
                    }
                    if sheets >= goal {
                        return best;
                    }
                    start = sheet.low;
                    continue;
                }
            }
            // Back to the last place where something else can lie.
            loop {
                let Some(branch) = branches.last_mut() else {
                    best.exhausted = !strict;
                    return best;
                };
                if let Some(tile) = branch.tiles.pop() {
                    start = branch.point;
                    self.lay(&mut sheet, tile, start);
                    left[self.item(tile)] -= 1;
                    break;
                }
                branches.pop();
                if sheet.laid.is_empty() {
                    self.reopen(&mut sheet, &mut full, &mut left);
                }
                if let Some(last) = sheet.laid.pop() {
                    left[self.item(last.tile)] += 1;
                }
            }
            if self.steps >= end {
                return best;
            }
        }
    }

    /// Sets a full sheet aside, as often as its pieces last.
    fn close(&self, sheet: &mut Sheet, full: &mut Vec<Full>, left: &mut [u32]) {
        let laid = std::mem::take(&mut sheet.laid);
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        laid.iter().for_each(|l| *counts.entry(self.item(l.tile)).or_default() += 1);
        let more = counts.iter().map(|(item, count)| left[*item] / count).min().unwrap_or(0);
        counts.iter().for_each(|(item, count)| left[*item] -= count * more);
        let puts = laid.iter().map(|l| Put { shape: self.tiles[l.tile].shape, at: l.at }).collect();
        full.push(Full { puts, times: 1 + more, laid });
    }

    /// The last full sheet becomes the one in the making again.
    fn reopen(&self, sheet: &mut Sheet, full: &mut Vec<Full>, left: &mut [u32]) {
        if let Some(last) = full.pop() {
            last.laid.iter().for_each(|l| left[self.item(l.tile)] += last.times - 1);
            sheet.laid = last.laid;
        }
    }

    fn item(&self, tile: usize) -> usize {
        self.shapes.list[self.tiles[tile].shape].item
    }

    fn lay(&self, sheet: &mut Sheet, tile: usize, point: Point) {
        let base = self.tiles[tile].base;
        let at = [units(point.x) + base[0], units(point.y) + base[1]];
        let corner = Point::new(mm(at[0]), mm(at[1]));
        let far = corner + self.tiles[tile].size;
        sheet.laid.push(Laid { tile, at, corner, far });
    }

    /// The lowest free place at or after `start`; `None` where the sheet is full.
    fn lowest(&mut self, sheet: &Sheet, start: Point) -> Option<Place> {
        let mut from = start;
        loop {
            self.steps += work(sheet.laid.len());
            if let Some(place) = self.place(sheet, from) {
                return Some(place);
            }
            // The next corner of anything.
            let room = [sheet.low, Point::new(sheet.high.x, sheet.low.y), sheet.high];
            let laid = sheet.laid.iter().flat_map(|l| {
                let near = l.far.y > from.y - SLACK;
                let corners = if near { &self.tiles[l.tile].corners[..] } else { &[] };
                corners.iter().map(|c| *c + l.corner.to_vec2())
            });
            from = laid.chain(room).filter(|p| after(*p, from)).reduce(|a, b| if after(a, b) { b } else { a })?;
        }
    }

    /// The lowest free directions at `point`, all below it being covered.
    fn place(&self, sheet: &Sheet, point: Point) -> Option<Place> {
        if point.y > sheet.high.y - SLACK {
            return None;
        }
        let mut from = if point.x > sheet.high.x - SLACK { PI / 2.0 } else { 0.0 };
        let mut side = if from > 0.0 { sheet.high.y - point.y } else { sheet.high.x - point.x };
        let mut wide = if point.x < sheet.low.x + SLACK { PI / 2.0 } else { PI };
        let sectors = || sheet.laid.iter().filter(|l| l.holds(point)).flat_map(|l| self.sectors(l, point)).flatten();
        // What is covered grows from the lowest direction on, one piece after the other.
        while let Some(next) = sectors()
            .filter(|s| s.from < from + ANGLE && s.to > from + ANGLE)
            .reduce(|a, b| if a.to > b.to { a } else { b })
        {
            from = next.to;
            side = next.side;
        }
        wide = sectors().map(|s| s.from).filter(|f| *f > from + ANGLE).fold(wide, f64::min);
        if from > wide - ANGLE {
            return None;
        }
        let ahead =
            |l: &&Laid| l.corner.x > point.x + SLACK && l.corner.y < point.y + SLACK && l.far.y > point.y + SLACK;
        let end = || sheet.laid.iter().filter(ahead).map(|l| l.corner.x).fold(sheet.high.x, f64::min);
        let run = if from < ANGLE { end() - point.x } else { f64::INFINITY };
        // A level side ends at the room's lower edge or is the top of a piece.
        if from < ANGLE {
            let near = sheet.laid.iter().filter(|l| l.holds(point));
            side = near.filter_map(|l| self.tiles[l.tile].ledge(l.seen(point))).next().unwrap_or(side);
        }
        Some(Place { point, from, wide: wide - from, side, run })
    }

    fn sectors(&self, laid: &Laid, point: Point) -> [Option<Sector>; 2] {
        self.tiles[laid.tile].sectors(laid.seen(point))
    }

    /// Tiles that lie flush at `place` and overlap nothing, the best last.
    fn candidates(&mut self, sheet: &Sheet, place: &Place, left: &[u32], liking: &[f64], strict: bool) -> Vec<usize> {
        let first = self.tiles.partition_point(|t| t.lower < place.from - ANGLE);
        let flush = self.tiles[first..].iter().take_while(|t| t.lower < place.from + ANGLE).count();
        let count = |tile: &Tile| left[self.shapes.list[tile.shape].item];
        self.steps += work(flush + if strict { self.tiles.len() } else { 0 });
        let gaps = strict.then(|| [0, 1].map(|axis| Gaps::new(&self.tiles, count, axis)));
        let mut found: Vec<(f64, usize)> = Vec::new();
        for index in first..first + flush {
            let tile = &self.tiles[index];
            if left[self.item(index)] == 0 || tile.wide > place.wide + ANGLE {
                continue;
            }
            self.steps += work(sheet.laid.len());
            if self.fits(sheet, index, place.point)
                && gaps.as_ref().is_none_or(|gaps| self.hopeful(sheet, index, place.point, gaps))
            {
                found.push((liking[index] * self.promise(sheet, index, place), index));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        found.into_iter().map(|(_, index)| index).collect()
    }

    /// How likely it is that a tile belongs at `place`: one for no sign of it, more with every sign.
    fn promise(&self, sheet: &Sheet, index: usize, place: &Place) -> f64 {
        let tile = &self.tiles[index];
        let corner = tile.corner(place.point);
        let far = corner + tile.size;
        let same = |a: f64, b: f64| (a - b).abs() <= SLACK;
        let touches = |l: &Laid| same(l.far.x, corner.x) || same(l.corner.x, far.x);
        // Sides of one length were most likely cut by one cut, and tops of one height by another.
        let matches = same(tile.side, place.side);
        let ends = same(tile.side, place.run);
        let level = same(far.y, sheet.high.y) || sheet.laid.iter().any(|l| same(l.far.y, far.y) && touches(l));
        let fills = (tile.wide - place.wide).abs() <= ANGLE;
        let signs = [(matches, STRONG), (ends, STRONG), (level, STRONG), (fills, WEAK)];
        1.0 + signs.iter().filter(|s| s.0).map(|s| s.1).sum::<f64>()
    }

    /// Whether every gap that a tile at `point` leaves beside or above it can be filled by rectangles.
    fn hopeful(&self, sheet: &Sheet, index: usize, point: Point, gaps: &[Gaps; 2]) -> bool {
        let tile = &self.tiles[index];
        let corner = tile.corner(point);
        (0..3).all(|way| {
            let axis = way % 2;
            let along = |p: Point| if axis == 0 { (p.x, p.y) } else { (p.y, p.x) };
            let (at, off) = along(corner);
            let sign = if way == 2 { -1.0 } else { 1.0 };
            tile.faces[way].iter().all(|face| {
                let (at, from, to) = (at + face.at, off + face.from, off + face.to);
                let end = if way == 2 { along(sheet.low).0 } else { along(sheet.high).0 };
                let mut gap = sign * (end - at);
                for laid in &sheet.laid {
                    let (base, off) = along(laid.corner);
                    for other in &self.tiles[laid.tile].faces[(way + 2) % 4] {
                        let apart = sign * (base + other.at - at);
                        let beside = off + other.from < to - SLACK && off + other.to > from + SLACK;
                        if beside && apart > -SLACK && apart < gap {
                            gap = apart;
                        }
                    }
                }
                gap <= SLACK || gaps[axis].fillable(gap)
            })
        })
    }

    /// Whether a tile with its lowest corner at `point` lies in the room and clear of all others.
    fn fits(&self, sheet: &Sheet, index: usize, point: Point) -> bool {
        let tile = &self.tiles[index];
        let corner = tile.corner(point);
        let far = corner + tile.size;
        let (low, high) = (sheet.low, sheet.high);
        if corner.x < low.x - SLACK || corner.y < low.y - SLACK || far.x > high.x + SLACK || far.y > high.y + SLACK {
            return false;
        }
        let parts = &self.shapes.list[tile.shape].parts;
        sheet.laid.iter().all(|l| {
            let apart = far.x < l.corner.x + SLACK
                || l.far.x < corner.x + SLACK
                || far.y < l.corner.y + SLACK
                || l.far.y < corner.y + SLACK;
            let shift = corner - l.corner;
            let others = &self.shapes.list[self.tiles[l.tile].shape].parts;
            apart || parts.iter().all(|a| others.iter().all(|b| separate(a, b, shift)))
        })
    }
}

/// Steps that a comparison with so many pieces costs.
fn work(pieces: usize) -> u64 {
    1 + pieces as u64 / PIECES_PER_STEP
}
