//! What the levels of a plan need, counted.

use std::collections::BTreeMap;

use flatwright_geometry::pieces::bend_pocket::BendPocket;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Post, Stand};
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;

use crate::build::{LevelBuild, TilePlace};
use crate::fittings::roofs::RoofPlace;
use crate::plan::{Design, Edge, ExtraPiece, Plan, Vertex};
use crate::turns::Turn;

/// One kind of piece, as often as it is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct Needed {
    /// What to make. Posts and tiles stand for all their quarter turns.
    pub piece: Piece,
    /// How many, extras included.
    pub count: u32,
    /// What tells it from others of its kind: the surface of a wrap, the design of a wall, the
    /// shape of a post or a cap; else the kind itself.
    pub name: String,
    /// Index into the plan's surfaces, for wraps.
    pub surface: Option<usize>,
    /// Index into the plan's designs, for walls.
    pub design: Option<usize>,
    /// Index into the plan's fittings and into the parts of that one, for what belongs to one: the first
    /// of all that have this piece and this face.
    pub fitting: Option<(usize, usize)>,
    /// Index into the plan's roofs, for roofs: the first of all that are equal in one face.
    pub roof: Option<usize>,
    /// Where each goes, level by level. Extras have no place, so there may be fewer than `count`.
    pub places: Vec<Place>,
}

/// Where a piece goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Index into the plan's levels.
    pub level: usize,
    /// Where on that level.
    pub spot: Spot,
}

/// Where on its level a piece goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spot {
    /// Index into the level's tiles.
    Tile(usize),
    /// The seam that a biscuit ties.
    Biscuit(Edge),
    /// The vertex and the quadrant of a pocket.
    Pocket(Vertex, usize),
    /// Index into the level's posts: sleeves, plates and plugs.
    Post(usize),
    /// Index into the level's walls.
    Wall(usize),
    /// Index into the level's posts: the cap on one.
    Cap(usize),
    /// Index into the level's couplers.
    Coupler(usize),
    /// Index into the level's tiles of turns.
    TurnTile(usize),
    /// Index into the level's walls on bends.
    BentWall(usize),
    /// Index into the level's fittings.
    Fitting(usize),
    /// Index into the level's roofs.
    Roof(usize),
}

/// Everything that the plan needs, each kind once.
///
/// `builds` are the plan's levels in their order. Cores of one size are one kind whatever lies on
/// them; wraps differ by their surface, walls by their design. Cores come first (largest first),
/// then wraps by surface, biscuits, pockets, plates, plugs, sleeves, walls by design,
/// caps and couplers, what stands free, and the pieces of turns.
#[must_use]
pub fn pieces(plan: &Plan, builds: &[LevelBuild]) -> Vec<Needed> {
    let mut list = List(Vec::new());
    for (level, build) in builds.iter().enumerate() {
        let put = |spot| Some(Place { level, spot });
        for (index, tile) in build.tiles.iter().enumerate() {
            let piece = tile_piece(plan, tile);
            list.add(Piece::Core(piece), "tile core", None, None, put(Spot::Tile(index)));
            let surface = plan.surfaces.get(tile.surface).map_or("floor", |surface| &surface.name);
            list.add(Piece::Wrap(piece), surface, Some(tile.surface), None, put(Spot::Tile(index)));
        }
        for &edge in &build.biscuits {
            list.add(Piece::Biscuit, BISCUIT, None, None, put(Spot::Biscuit(edge)));
        }
        let turns = plan.levels.get(level).map_or(&[][..], |level| &level.turns);
        let cut: BTreeMap<(Vertex, usize), BendPocket> = turns.iter().flat_map(Turn::pockets).collect();
        for &(at, quadrant) in &build.pockets {
            let place = put(Spot::Pocket(at, quadrant));
            match cut.get(&(at, quadrant)) {
                Some(pocket) => list.add(Piece::BendPocket(*pocket), "pocket at a bend", None, None, place),
                None => list.add(Piece::Pocket, POCKET, None, None, place),
            }
        }
        for (index, place) in build.turn_tiles.iter().enumerate() {
            let spot = put(Spot::TurnTile(index));
            list.add(Piece::TurnCore(place.tile), "core of a turn's tile", None, None, spot);
            let surface = plan.surfaces.get(place.surface).map_or("floor", |surface| &surface.name);
            list.add(Piece::TurnWrap(place.tile), surface, Some(place.surface), None, spot);
        }
        for (index, place) in build.bent_walls.iter().enumerate() {
            let design = plan.designs.get(place.design);
            let wall = BentWall { bend: place.bend, opening: design.and_then(|design| design.opening.clone()) };
            let name = design.map_or("wall", |design| &design.name);
            list.add(Piece::BentWall(wall), name, None, Some(place.design), put(Spot::BentWall(index)));
        }
        for (index, post) in build.posts.iter().enumerate() {
            let post: Post = post.post.up_to_rotation();
            list.add(Piece::Sleeve(post), post.shape(), None, None, put(Spot::Post(index)));
            if post.stand == Stand::BasePlate {
                list.add(Piece::Plate, "base plate", None, None, put(Spot::Post(index)));
                list.add(Piece::Plug, "plug", None, None, put(Spot::Post(index)));
            }
        }
        for (index, wall) in build.walls.iter().enumerate() {
            let design = plan.designs.get(wall.design);
            // Spans are short: a plan's side is bounded, so the number is exact.
            let span = f64::from(u32::try_from(wall.span).unwrap_or(u32::MAX));
            let piece = match wall.filler {
                Some(filler) => Piece::Filler(Filler { thirds: filler.thirds }),
                None => Piece::Wall(Wall { span, opening: design.and_then(|design| design.opening.clone()) }),
            };
            let name = design.map_or("wall", |design| &design.name);
            // Fillers of one length are one kind, at whichever end they hang.
            let alike = |design: &Design| design.filler.map(|f| f.thirds) == wall.filler.map(|f| f.thirds);
            let first = wall.filler.and_then(|_| plan.designs.iter().position(alike)).unwrap_or(wall.design);
            list.add(piece, name, None, Some(first), put(Spot::Wall(index)));
        }
        for post in build.caps.iter().filter_map(|&index| Some((index, build.posts.get(index)?))) {
            let (index, cap) = (post.0, Cap { arms: post.1.post.arms }.up_to_rotation());
            list.add(Piece::Cap(cap), cap.shape(), None, None, put(Spot::Cap(index)));
        }
        for (index, place) in build.couplers.iter().enumerate() {
            let coupler = place.coupler.up_to_rotation();
            list.add(Piece::Coupler(coupler), coupler.shape(), None, None, put(Spot::Coupler(index)));
        }
        for (index, place) in build.roofs.iter().enumerate() {
            list.add_roof(plan, place, put(Spot::Roof(index)));
        }
        for (index, place) in build.fittings.iter().enumerate() {
            let parts = plan.fittings.get(place.design).map_or(&[][..], |design| &design.body.parts);
            for (number, part) in parts.iter().enumerate() {
                for _ in &part.stances {
                    list.add_fitting(plan, (place.design, number), put(Spot::Fitting(index)));
                }
            }
        }
    }
    for extra in &plan.extras {
        let (piece, name) = match extra.piece {
            ExtraPiece::Biscuit => (Piece::Biscuit, BISCUIT),
            ExtraPiece::Pocket => (Piece::Pocket, POCKET),
        };
        let slot = list.entry(piece, name, None, None);
        slot.count = slot.count.saturating_add(extra.count);
    }
    list.0.retain(|needed| needed.count > 0);
    list.0.sort_by_key(rank);
    list.0
}

const BISCUIT: &str = "biscuit";
const POCKET: &str = "corner pocket";

/// A tile as a piece, its longer side first.
fn tile_piece(plan: &Plan, tile: &TilePlace) -> Tile {
    let (long, short) = tile.size();
    let side = |modules| u32::try_from(modules).unwrap_or(u32::MAX);
    Tile::plain(side(long), side(short), plan.reliefs)
}

struct List(Vec<Needed>);

impl List {
    fn entry(&mut self, piece: Piece, name: &str, surface: Option<usize>, design: Option<usize>) -> &mut Needed {
        let same =
            |n: &Needed| n.piece.same_as(&piece) && n.surface == surface && n.design == design && n.fitting.is_none();
        let at = self.0.iter().position(same).unwrap_or_else(|| {
            self.0.push(Needed {
                piece,
                count: 0,
                name: name.to_owned(),
                surface,
                design,
                fitting: None,
                roof: None,
                places: Vec::new(),
            });
            self.0.len() - 1
        });
        &mut self.0[at]
    }

    /// One copy of a part of a fitting. Equal pieces in one cover are one kind, whatever has them.
    fn add_fitting(&mut self, plan: &Plan, (design, part): (usize, usize), place: Option<Place>) {
        let Some(found) = plan.fittings.get(design) else { return };
        let Some(piece) = found.body.parts.get(part).map(|part| &part.piece) else { return };
        let cover =
            |design: usize| plan.fittings.get(design).and_then(|design| design.face.as_ref().map(|face| &face.0));
        let same =
            |n: &&mut Needed| n.piece == *piece && n.fitting.is_some_and(|(other, _)| cover(other) == cover(design));
        if let Some(known) = self.0.iter_mut().find(same) {
            known.count = known.count.saturating_add(1);
            known.places.extend(place);
            return;
        }
        let fitting = Some((design, part));
        let (piece, name, places) = (piece.clone(), found.name.clone(), place.into_iter().collect());
        self.0.push(Needed { piece, count: 1, name, surface: None, design: None, fitting, roof: None, places });
    }

    fn add_roof(&mut self, plan: &Plan, place: &RoofPlace, put: Option<Place>) {
        let Some(design) = plan.roofs.get(place.design) else { return };
        let piece = Piece::Roof(place.roof.clone());
        let cover = |roof: usize| plan.roofs.get(roof).and_then(|roof| roof.face.as_ref().map(|face| &face.0));
        let same = |n: &&mut Needed| n.piece == piece && n.roof.is_some_and(|roof| cover(roof) == cover(place.design));
        if let Some(known) = self.0.iter_mut().find(same) {
            known.count = known.count.saturating_add(1);
            known.places.extend(put);
            return;
        }
        let (name, roof, places) = (design.name(), Some(place.design), put.into_iter().collect());
        self.0.push(Needed { piece, count: 1, name, surface: None, design: None, fitting: None, roof, places });
    }

    fn add(&mut self, piece: Piece, name: &str, surface: Option<usize>, design: Option<usize>, place: Option<Place>) {
        let needed = self.entry(piece, name, surface, design);
        needed.count = needed.count.saturating_add(1);
        needed.places.extend(place);
    }
}

/// The order of kinds: by use, then by surface or design, then the larger first.
fn rank(needed: &Needed) -> (u8, usize, std::cmp::Reverse<(u32, u32)>, Option<Post>) {
    let (kind, size, post) = match &needed.piece {
        Piece::Core(tile) => (0, (tile.across, tile.along), None),
        Piece::Wrap(tile) => (1, (tile.across, tile.along), None),
        Piece::Biscuit => (2, (0, 0), None),
        Piece::Pocket => (3, (0, 0), None),
        Piece::Plate => (4, (0, 0), None),
        Piece::Plug => (5, (0, 0), None),
        Piece::Sleeve(post) => (6, (0, 0), Some(*post)),
        // Whole modules here: the plan's spans.
        Piece::Wall(wall) => (7, (wall.span as u32, 0), None),
        Piece::Filler(filler) => (7, (0, filler.thirds), None),
        // By its arms, as a post.
        Piece::Cap(cap) => (8, (0, 0), Some(Post { arms: cap.arms, stand: Stand::BasePlate, under: false })),
        Piece::Coupler(coupler) => {
            (9, (0, 0), Some(Post { arms: coupler.arms, stand: Stand::BasePlate, under: false }))
        }
        Piece::Stair(_) => (10, (0, 0), None),
        Piece::Pillar(_) => (11, (0, 0), None),
        Piece::FreeWall(_) => (12, (0, 0), None),
        Piece::Prop(_) => (13, (0, 0), None),
        Piece::Roof(_) => (14, (0, 0), None),
        Piece::TurnCore(tile) => (15, (tile.bend.reach, 0), None),
        Piece::TurnWrap(tile) => (16, (tile.bend.reach, 0), None),
        Piece::BendPocket(pocket) => (17, (pocket.bend.reach, 0), None),
        Piece::BentWall(wall) => (18, (wall.bend.reach, 0), None),
        // Not of a plan.
        Piece::Grating(_) => (19, (0, 0), None),
    };
    let group = needed.surface.or(needed.design).or(needed.fitting.map(|(design, _)| design)).unwrap_or(0);
    (kind, group, std::cmp::Reverse(size), post)
}
