//! What the levels of a plan need, counted.

use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Post, Stand};
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;

use crate::build::{LevelBuild, TilePlace};
use crate::plan::{Design, Edge, ExtraPiece, Plan, Vertex};

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
}

/// Everything that the plan needs, each kind once.
///
/// `builds` are the plan's levels in their order. Cores of one size are one kind whatever lies on
/// them; wraps differ by their surface, walls by their design. Cores come first (largest first),
/// then wraps by surface, biscuits, pockets, plates, plugs, sleeves, walls by design,
/// caps and couplers.
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
        for &(at, quadrant) in &build.pockets {
            list.add(Piece::Pocket, POCKET, None, None, put(Spot::Pocket(at, quadrant)));
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
        let same = |n: &Needed| n.piece.same_as(&piece) && n.surface == surface && n.design == design;
        let at = self.0.iter().position(same).unwrap_or_else(|| {
            self.0.push(Needed { piece, count: 0, name: name.to_owned(), surface, design, places: Vec::new() });
            self.0.len() - 1
        });
        &mut self.0[at]
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
        // Not of a plan.
        Piece::Prop(_)
        | Piece::Stair(_)
        | Piece::Pillar(_)
        | Piece::FreeWall(_)
        | Piece::Grating(_)
        | Piece::Roof(_) => (10, (0, 0), None),
    };
    let group = needed.surface.or(needed.design).unwrap_or(0);
    (kind, group, std::cmp::Reverse(size), post)
}
