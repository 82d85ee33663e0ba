//! A plan in parts.json: what lies where, and what is proved of it.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::post::{FACES, QUADRANTS, Stand};
use flatwright_planning::assemble::Spot;
use flatwright_planning::strength::Load;
use flatwright_planning::tiling::Fewest;
use schemars::JsonSchema;
use serde::Serialize;

use super::fittings::{self, FittingRecord, RoofRecord};
use super::turns::{self, TurnRecord};
use super::{Planned, pair};

/// A floor plan worked out. Columns count from the west and rows from the north, both from 0;
/// vertex [x, y] is the north-west corner of cell [x, y].
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PlanRecord {
    /// The plan's title.
    pub title: String,
    /// Its levels, lowest first.
    pub levels: Vec<LevelRecord>,
    /// What the plan needs and how much of it is made, kind by kind.
    pub kinds: Vec<KindRecord>,
}

/// One kind of piece of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct KindRecord {
    /// Identifiers of its pieces: one, but for board walls. One that is on hand altogether is not
    /// in the list of pieces.
    pub pieces: Vec<String>,
    /// Surface, design or shape, such as "brine flags".
    pub name: String,
    /// How many the plan needs.
    pub needed: u32,
    /// How many of these are made; the others are on hand.
    pub made: u32,
    /// How many of those that are made go to each level, lowest first, and how many are spares. Absent
    /// where there is one level.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_level: Vec<u32>,
}

/// One level.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct LevelRecord {
    /// Its name.
    pub name: String,
    /// Columns of cells.
    pub columns: usize,
    /// Rows of cells.
    pub rows: usize,
    /// What is proved of its tiles.
    pub cover: CoverRecord,
    /// The weakest place. Absent where no tile is tied to another.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weakest: Option<CutRecord>,
    /// What stands on it: an estimate. Absent for the topmost level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<LoadRecord>,
    /// Tiles, row by row.
    pub tiles: Vec<TileRecord>,
    /// Walls.
    pub walls: Vec<WallRecord>,
    /// Turns: what leaves the lattice. Absent where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub turns: Vec<TurnRecord>,
    /// Posts, row by row.
    pub posts: Vec<PostRecord>,
    /// Biscuits.
    pub biscuits: Vec<EdgeRecord>,
    /// Corner pockets.
    pub pockets: Vec<PocketRecord>,
    /// What stands free on its floor. Absent where nothing does.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fittings: Vec<FittingRecord>,
    /// Roofs on its posts. Absent where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub roofs: Vec<RoofRecord>,
}

/// Numbers of tiles and seams, each with the bound that is proved for it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct CoverRecord {
    /// Tiles.
    pub tiles: FewestRecord,
    /// Tiles beyond those on hand.
    pub new_tiles: FewestRecord,
    /// Seams that run straight through a connected part of the floor.
    pub straight_seams: FewestRecord,
    /// Whether it is proved that no cover with as few tiles takes less board.
    pub least_board: bool,
}

/// A number, and a proved lower bound for it: the fewest there can be where both are equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct FewestRecord {
    /// The number.
    pub found: usize,
    /// The bound.
    pub at_least: usize,
}

/// The weakest way to part a level's tiles: an estimate.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct CutRecord {
    /// What the joints across it hold, where one biscuit holds `biscuit`.
    pub capacity: u64,
    /// What one biscuit is taken to hold.
    pub biscuit: u32,
    /// The tiles of the lighter side: indices into the level's tiles, from 0, and on from these into the tiles of
    /// its turns, turn by turn.
    pub tiles: Vec<usize>,
}

/// What a level carries: all of it estimated from sizes and usual densities.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct LoadRecord {
    /// What the levels above weigh, g.
    pub weight: f64,
    /// The post that is nearest to its limit: an index into the level's posts, from 0.
    pub post: usize,
    /// What comes on that post, g.
    pub on_post: f64,
    /// The load under which it would buckle, g.
    pub buckles: f64,
    /// What it may carry beyond what it does, g: with a factor of 4. Negative where it carries too much.
    pub spare: f64,
    /// How far the longest tile above sags in its middle under 200 g, mm.
    pub sag: f64,
}

/// A tile.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct TileRecord {
    /// Its core and its wrap.
    pub pieces: Vec<String>,
    /// Column and row of its north-west cell.
    pub cell: [usize; 2],
    /// Cells from west to east and from north to south.
    pub size: [usize; 2],
    /// The name of its surface.
    pub surface: String,
}

/// A wall.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct WallRecord {
    /// Its pieces: one, but for board walls.
    pub pieces: Vec<String>,
    /// Its western or northern end.
    pub from: [usize; 2],
    /// Its other end.
    pub to: [usize; 2],
    /// The name of its design.
    pub design: String,
    /// The end at which a filler hangs, `from` or `to`; it has no post at the other. Absent for other walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hangs_at: Option<HungAt>,
}

/// An end of a filler's edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HungAt {
    /// Its western or northern end.
    From,
    /// Its eastern or southern end.
    To,
}

/// A post.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PostRecord {
    /// Its sleeve; with a base plate that and its plug too.
    pub pieces: Vec<String>,
    /// Its cap. Absent where it carries none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cap: Vec<String>,
    /// The coupler in its foot, over the post below. Absent on the ground.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub coupler: Vec<String>,
    /// Whether a post of the level above stands on it. Absent where none does.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub carries: bool,
    /// Where it stands.
    pub at: [usize; 2],
    /// The sides that hold a wall, as it stands: letters of N, W, S, E.
    pub arms: String,
    /// The quadrants with a tongue, as it stands: "NE", "NW", "SW", "SE". None on a base plate.
    pub feet: Vec<String>,
    /// Whether it stands on a base plate.
    pub base_plate: bool,
}

/// A biscuit, by the side of a cell that it lies under.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct EdgeRecord {
    /// The piece.
    pub pieces: Vec<String>,
    /// The western or northern end of that side.
    pub from: [usize; 2],
    /// The other end.
    pub to: [usize; 2],
}

/// A corner pocket.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PocketRecord {
    /// The piece.
    pub pieces: Vec<String>,
    /// The post's place.
    pub at: [usize; 2],
    /// The quadrant of the tile that it is glued under: "NE", "NW", "SW" or "SE".
    pub quadrant: String,
}

impl PlanRecord {
    /// The record of a plan.
    #[must_use]
    pub fn new(planned: &Planned, p: &Parameters) -> Self {
        let kinds = planned.kinds.iter().map(|kind| KindRecord {
            pieces: kind.pieces.iter().map(|piece| piece.id.clone()).collect(),
            name: kind.needed.name.clone(),
            needed: kind.needed.count,
            made: kind.missing,
            by_level: if planned.levels.len() > 1 { kind.by_level.clone() } else { Vec::new() },
        });
        Self {
            title: planned.plan.title.clone(),
            levels: (0..planned.levels.len())
                .zip(planned.loads(p))
                .map(|(level, load)| level_record(planned, level, load.as_ref()))
                .collect(),
            kinds: kinds.collect(),
        }
    }
}

fn level_record(planned: &Planned, level: usize, load: Option<&Load>) -> LevelRecord {
    let (drawn, work) = (&planned.plan.levels[level], &planned.levels[level]);
    let build = &work.build;
    let ids = |spot| planned.ids_at(level, spot);
    let tiles = build.tiles.iter().enumerate().map(|(index, tile)| TileRecord {
        pieces: ids(Spot::Tile(index)),
        cell: [tile.x, tile.y],
        size: [tile.width, tile.height],
        surface: planned.plan.surfaces.get(tile.surface).map(|surface| surface.name.clone()).unwrap_or_default(),
    });
    let walls = build.walls.iter().enumerate().map(|(index, wall)| WallRecord {
        pieces: ids(Spot::Wall(index)),
        from: pair(wall.from),
        to: pair(wall.to()),
        design: planned.plan.designs.get(wall.design).map(|design| design.name.clone()).unwrap_or_default(),
        hangs_at: wall.filler.map(|filler| if filler.side.far() { HungAt::To } else { HungAt::From }),
    });
    let posts = build.posts.iter().enumerate().map(|(index, place)| {
        let (arms, feet) = (place.post.arms, place.post.feet());
        PostRecord {
            pieces: ids(Spot::Post(index)),
            cap: ids(Spot::Cap(index)),
            coupler: build
                .couplers
                .iter()
                .position(|place| place.post == index)
                .map(|coupler| ids(Spot::Coupler(coupler)))
                .unwrap_or_default(),
            carries: place.post.under,
            at: pair(place.at),
            arms: (0..4).filter(|&face| arms.has(face)).map(|face| FACES[face]).collect(),
            feet: (0..4).filter(|&quadrant| feet.has(quadrant)).map(|q| QUADRANTS[q].to_owned()).collect(),
            base_plate: place.post.stand == Stand::BasePlate,
        }
    });
    let biscuits = build.biscuits.iter().map(|&edge| EdgeRecord {
        pieces: ids(Spot::Biscuit(edge)),
        from: pair(edge.from),
        to: pair(edge.to()),
    });
    let pockets = build.pockets.iter().map(|&(at, quadrant)| PocketRecord {
        pieces: ids(Spot::Pocket(at, quadrant)),
        at: pair(at),
        quadrant: QUADRANTS.get(quadrant).copied().unwrap_or_default().to_owned(),
    });
    let cover = &work.cover;
    LevelRecord {
        name: drawn.name.clone(),
        columns: drawn.width,
        rows: drawn.height,
        cover: CoverRecord {
            tiles: cover.fewest.into(),
            new_tiles: cover.new_tiles.into(),
            straight_seams: cover.straight_seams.into(),
            least_board: cover.least_board,
        },
        weakest: work.weakest().map(|cut| CutRecord {
            capacity: cut.capacity,
            biscuit: work.strength.capacities.biscuit,
            tiles: cut.sides[0].clone(),
        }),
        load: load.and_then(|load| {
            let post = load.tightest()?;
            let tenth = |value: f64| (value * 10.0).round() / 10.0;
            Some(LoadRecord {
                weight: tenth(load.weight),
                post,
                on_post: tenth(load.posts[post]),
                buckles: tenth(load.buckles[post]),
                spare: tenth(load.spare(post)),
                sag: tenth(load.sag.0),
            })
        }),
        tiles: tiles.collect(),
        walls: walls.collect(),
        turns: turns::records(planned, level),
        posts: posts.collect(),
        biscuits: biscuits.collect(),
        pockets: pockets.collect(),
        fittings: fittings::records(planned, level),
        roofs: fittings::roof_records(planned, level),
    }
}

impl From<Fewest> for FewestRecord {
    fn from(count: Fewest) -> Self {
        Self { found: count.found, at_least: count.at_least }
    }
}
