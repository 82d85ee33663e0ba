//! Whether a level is built as it is drawn.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::post::{FACES, Feet, QUADRANTS, Stand};
use flatwright_geometry::pieces::tile::Reliefs;

use super::Owners;
use super::verify_turns::{self, Turned};
use crate::build::{LevelBuild, TilePlace};
use crate::plan::{Edge, Filler, Level, Plan, Vertex};

/// One thing that does not fit. Rows and columns in its text count from 1, as a reader counts.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[expect(missing_docs, reason = "every field is named in the text of its variant")]
pub enum Fault {
    /// A floor cell without exactly one tile.
    #[error("the floor at row {}, column {} lies under {tiles} tiles instead of one", y + 1, x + 1)]
    Cover { x: usize, y: usize, tiles: usize },
    /// A tile over no floor, or over floor of another surface.
    #[error("tile {tile} covers row {}, column {}, where its surface is not", y + 1, x + 1)]
    Surface { tile: usize, x: usize, y: usize },
    /// A tile of a size that the plan does not have.
    #[error("tile {tile} measures {width} x {height} modules, which is none of the plan's sizes")]
    Size { tile: usize, width: usize, height: usize },
    /// A wall across a tile.
    #[error("a wall stands inside tile {tile}, at {}", vertex(&edge.from))]
    WallInside { tile: usize, edge: Edge },
    /// An edge that is drawn with one design and built with another, with none or with two.
    #[error("the edge at {} has walls {built:?} where {drawn:?} is drawn", vertex(&edge.from))]
    Edge { edge: Edge, drawn: Option<usize>, built: Vec<usize> },
    /// A wall that fills another part of its edge than its design, hangs at an end that its edge does not
    /// have, or is longer than an edge though it fills a part of one.
    #[error("wall {wall} fills {found:?} of its edge where its design says {expected:?}")]
    Filler { wall: usize, expected: Option<Filler>, found: Option<Filler> },
    /// A wall's end without a post that has a slot for it.
    #[error("wall {wall} ends at {}, where no post has a slot to the {}", vertex(at), FACES[*face])]
    NoSlot { wall: usize, at: Vertex, face: usize },
    /// A post's slot without a wall's end.
    #[error("the post at {} has a slot to the {} without a wall", vertex(at), FACES[*face])]
    NoWall { at: Vertex, face: usize },
    /// A post under the middle of a wall.
    #[error("wall {wall} runs through the post at {}", vertex(at))]
    Through { wall: usize, at: Vertex },
    /// Two posts in one place.
    #[error("two posts stand at {}", vertex(at))]
    TwoPosts { at: Vertex },
    /// A post where a tile has no relief.
    #[error("the post at {} meets tile {tile}, which is not relieved there", vertex(at))]
    Relief { at: Vertex, tile: usize },
    /// A post without walls that is not drawn, or one that is drawn and not there.
    #[error("a column stands at {}: {found}; in the drawing: {drawn}", vertex(at))]
    Column { at: Vertex, drawn: bool, found: bool },
    /// Feet that do not match the tiles.
    #[error("the post at {} stands on {found:?} where its tiles ask for {expected:?}", vertex(at))]
    Stand { at: Vertex, expected: Stand, found: Stand },
    /// A seam without its biscuit, or with several.
    #[error("the edge at {} has {found} biscuits instead of {expected}", vertex(&edge.from))]
    Biscuit { edge: Edge, expected: usize, found: usize },
    /// A foot without its pocket, or with several.
    #[error("the {} quadrant at {} has {found} pockets instead of {expected}", QUADRANTS[*quadrant % 4], vertex(at))]
    Pocket { at: Vertex, quadrant: usize, expected: usize, found: usize },
    /// A post that carries no cap where the plan asks for one, or some where it does not.
    #[error("the post at {} carries {found} caps instead of {expected}", vertex(at))]
    Cap { at: Vertex, expected: usize, found: usize },
    /// A post that is as high as one under a level where none stands on it, or not where one does.
    #[error("the post at {} carries a level in its height: {found}; in the drawing: {expected}", vertex(at))]
    Height { at: Vertex, expected: bool, found: bool },
    /// A post above the ground without one below it.
    #[error("no post stands below the one at {}", vertex(at))]
    NoPostBelow { at: Vertex },
    /// A post on a base plate above the ground.
    #[error("the post at {} stands on a base plate above another level", vertex(at))]
    PlateAbove { at: Vertex },
    /// A post whose couplers do not fit the post below, or are none or several.
    #[error("the post at {} has couplers {found:?} where the post below asks for {expected:?}", vertex(at))]
    Coupler { at: Vertex, expected: Vec<Coupler>, found: Vec<Coupler> },
    /// A coupler in a post that is not there.
    #[error("a coupler is in post {post}, which is not there")]
    NoPostOfCoupler { post: usize },
    /// A tile above the ground with too little under it.
    #[error("tile {tile} rests on the level below with {resting} of its corners")]
    Uncarried { tile: usize, resting: usize },
    /// A letter of a fitting without one, with several, or with one that stands elsewhere.
    #[error("the letter at row {}, column {} has fittings {found:?} instead of {expected:?}", y + 1, x + 1)]
    Fitting { x: usize, y: usize, expected: Vec<String>, found: Vec<String> },
    /// A flight to the level above that is under floor of it, or arrives at none.
    #[error("the stair at row {}, column {} leads to the level above, where {what}", y + 1, x + 1)]
    Stair { x: usize, y: usize, what: &'static str },
    /// A cap on a post that is not there.
    #[error("a cap lies on post {post}, which is not there")]
    NoPost { post: usize },
    /// A turn whose block leaves the level.
    #[error("the turn about {} leaves the drawing", vertex(at))]
    Block { at: Vertex },
    /// A turn over floor, or over another turn.
    #[error("the turn about {} lies over other floor at row {}, column {}", vertex(at), y + 1, x + 1)]
    BlockOver { at: Vertex, x: usize, y: usize },
    /// A wall along the lattice inside a turn's block.
    #[error("a wall stands at {} inside the turn about {}", vertex(&edge.from), vertex(at))]
    WallInTurn { at: Vertex, edge: Edge },
    /// A turn without all of its tiles, or with others.
    #[error("the turn about {} has {found} tiles that fit it, not its {expected} alone", vertex(at))]
    TurnTiles { at: Vertex, expected: usize, found: usize },
    /// A turn without all of its walls, or with others.
    #[error("the turn about {} has {found} walls that fit it, not its {expected} alone", vertex(at))]
    TurnWalls { at: Vertex, expected: usize, found: usize },
    /// A piece of a turn that is not there.
    #[error("a piece belongs to turn {turn}, which is not there")]
    NoTurn { turn: usize },
    /// A bend's end without a post that has a slot for it.
    #[error("a wall on a bend ends at {}, where no post has a slot to the {}", vertex(at), FACES[face % 4])]
    NoSlotForBend { at: Vertex, face: usize },
    /// A tile of a turn above the ground with too little under it.
    #[error("a tile of the turn about {} rests on the level below with less than all of its corners", vertex(at))]
    HangingTurn { at: Vertex },
    /// A post in the side of a turn's tile.
    #[error("the post at {} meets the tile of a turn, which is not relieved there", vertex(at))]
    Closed { at: Vertex },
}

fn vertex(v: &Vertex) -> String {
    format!("vertex {} of line {}", v.x + 1, v.y + 1)
}

/// Everything about a level that does not fit its drawing or itself; nothing when all is well.
///
/// Every floor cell lies under exactly one tile of its surface and of the plan's sizes; no wall
/// stands inside a tile; every drawn edge has its wall; every wall's end meets a post with a slot
/// for it and every slot a wall; every column has its post and no other post is without walls; posts stand where all tiles around
/// them are relieved, on the feet
/// that the tiles ask for; every seam has one biscuit and every foot one pocket;
/// posts with nothing above them carry a cap each where the plan has caps, no others; every turn lies on
/// cells of its own with its tiles and walls, which count as those of cells and edges do; and every letter
/// of a fitting has that one, in the cells that the drawing puts it into.
/// How levels stand on each other is for [`super::verify_levels`].
#[must_use]
pub fn verify(plan: &Plan, level: &Level, build: &LevelBuild) -> Vec<Fault> {
    let owners = Owners::of(level, &build.tiles);
    let turned = Turned::of(level);
    let mut faults = Vec::new();
    tiles(plan, level, build, &mut faults);
    walls(plan, level, build, &owners, &mut faults);
    slots(build, &turned, &mut faults);
    posts(plan, build, &owners, &turned, &mut faults);
    columns(level, build, &mut faults);
    ties(build, &owners, &turned, &mut faults);
    verify_turns::turns(level, build, &mut faults);
    caps(plan, level, build, &mut faults);
    fittings(plan, level, build, &mut faults);
    faults
}

fn tiles(plan: &Plan, level: &Level, build: &LevelBuild, faults: &mut Vec<Fault>) {
    let mut cover = vec![0; level.width * level.height];
    for (index, tile) in build.tiles.iter().enumerate() {
        let &TilePlace { width, height, .. } = tile;
        let (long, short) = tile.size();
        if !plan.tiles.iter().any(|&(a, b)| (a as usize, b as usize) == (long, short)) {
            faults.push(Fault::Size { tile: index, width, height });
        }
        // One cell past the level is enough to tell that a tile leaves it.
        for y in tile.y..tile.y.saturating_add(height).min(level.height + 1) {
            for x in tile.x..tile.x.saturating_add(width).min(level.width + 1) {
                if level.cell(x, y) != Some(tile.surface) {
                    faults.push(Fault::Surface { tile: index, x, y });
                }
                if x < level.width && y < level.height {
                    cover[y * level.width + x] += 1;
                }
            }
        }
    }
    for y in 0..level.height {
        for x in 0..level.width {
            let tiles = cover[y * level.width + x];
            if level.cell(x, y).is_some() && tiles != 1 {
                faults.push(Fault::Cover { x, y, tiles });
            }
        }
    }
}

fn walls(plan: &Plan, level: &Level, build: &LevelBuild, owners: &Owners, faults: &mut Vec<Fault>) {
    let mut edges: BTreeMap<Edge, (Option<usize>, Vec<usize>)> = BTreeMap::new();
    for (edge, design) in level.walls() {
        edges.entry(edge).or_default().0 = Some(design);
        if let [Some(one), Some(other)] = owners.sides(edge)
            && one == other
        {
            faults.push(Fault::WallInside { tile: one, edge });
        }
    }
    for (index, wall) in build.walls.iter().enumerate() {
        for edge in wall.edges() {
            edges.entry(edge).or_default().1.push(wall.design);
        }
        let drawn = plan.designs.get(wall.design).and_then(|design| design.filler);
        if drawn != wall.filler || drawn.is_some_and(|filler| wall.span != 1 || filler.side.down() != wall.down) {
            faults.push(Fault::Filler { wall: index, expected: drawn, found: wall.filler });
        }
    }
    for (edge, (drawn, built)) in edges {
        if drawn.as_slice() != built {
            faults.push(Fault::Edge { edge, drawn, built });
        }
    }
}

/// Wall ends against slots, both ways.
fn slots(build: &LevelBuild, turned: &Turned, faults: &mut Vec<Fault>) {
    let mut arms: BTreeMap<Vertex, [bool; 4]> = BTreeMap::new();
    for post in &build.posts {
        let slots = [0, 1, 2, 3].map(|face| post.post.arms.has(face));
        if arms.insert(post.at, slots).is_some() {
            faults.push(Fault::TwoPosts { at: post.at });
        }
    }
    for (index, wall) in build.walls.iter().enumerate() {
        for (at, face) in wall.hooks() {
            // A slot takes one wall: the second one finds it taken.
            match arms.get_mut(&at) {
                Some(slots) if slots[face] => slots[face] = false,
                _ => faults.push(Fault::NoSlot { wall: index, at, face }),
            }
        }
        for at in wall.edges().skip(1).map(|edge| edge.from).filter(|at| arms.contains_key(at)) {
            faults.push(Fault::Through { wall: index, at });
        }
    }
    for &(at, face) in &turned.ends {
        match arms.get_mut(&at) {
            Some(slots) if slots[face] => slots[face] = false,
            _ => faults.push(Fault::NoSlotForBend { at, face }),
        }
    }
    for (at, slots) in arms {
        let spare = (0..4).filter(|&face| slots[face]);
        faults.extend(spare.map(|face| Fault::NoWall { at, face }));
    }
}

fn posts(plan: &Plan, build: &LevelBuild, owners: &Owners, turned: &Turned, faults: &mut Vec<Fault>) {
    for post in &build.posts {
        let at = post.at;
        let around = [0, 1, 2, 3].map(|quadrant| owners.around(at, quadrant));
        let there = |q: usize| around[q].is_some() || turned.corners.contains_key(&(at, q));
        let feet = (0..4u8).filter(|&q| there(usize::from(q))).fold(0, |bits, q| bits | 1 << q);
        faults.extend(turned.closed.get(&at).map(|&at| Fault::Closed { at }));
        let expected = if feet == 0 { Stand::BasePlate } else { Stand::Feet(Feet::from_bits(feet)) };
        if post.post.stand != expected {
            faults.push(Fault::Stand { at, expected, found: post.post.stand });
        }
        let mut tiles: Vec<usize> = around.into_iter().flatten().collect();
        tiles.sort_unstable();
        tiles.dedup();
        let relieved = |tile: &usize| relieved(plan.reliefs, &build.tiles[*tile], at);
        faults.extend(tiles.into_iter().filter(|tile| !relieved(tile)).map(|tile| Fault::Relief { at, tile }));
    }
}

/// Every column that is drawn has its post, and no other post is without walls.
fn columns(level: &Level, build: &LevelBuild, faults: &mut Vec<Fault>) {
    let posted: BTreeSet<Vertex> = build.posts.iter().map(|post| post.at).collect();
    let missing = level.columns.difference(&posted);
    faults.extend(missing.map(|&at| Fault::Column { at, drawn: true, found: false }));
    let bare = build.posts.iter().filter(|post| post.post.arms.count() == 0 && !level.columns.contains(&post.at));
    faults.extend(bare.map(|post| Fault::Column { at: post.at, drawn: false, found: true }));
}

/// Whether a tile beside a vertex leaves room for a post there.
fn relieved(reliefs: Reliefs, tile: &TilePlace, at: Vertex) -> bool {
    let inside = at.x > tile.x && at.x < tile.x + tile.width && at.y > tile.y && at.y < tile.y + tile.height;
    match reliefs {
        Reliefs::Corners => tile.has_corner(at),
        Reliefs::EveryModule => !inside,
    }
}

fn caps(plan: &Plan, level: &Level, build: &LevelBuild, faults: &mut Vec<Fault>) {
    let above = plan.levels.iter().skip_while(|other| other.name != level.name).nth(1);
    let ends = |(edge, _): (Edge, usize)| [edge.from, edge.to()];
    let walled: BTreeSet<Vertex> = above.iter().flat_map(|above| above.walls()).flat_map(ends).collect();
    for (index, post) in build.posts.iter().enumerate() {
        // Cells (x - 1, y - 1) to (x, y) lie around vertex (x, y); walls lie on the edges between.
        let Vertex { x, y } = post.at;
        let covered = above.is_some_and(|above| {
            if above.columns.contains(&post.at) {
                return true;
            }
            let floor = |dx: usize, dy: usize| x >= dx && y >= dy && above.cell(x - dx, y - dy).is_some();
            let near = floor(0, 0) || floor(1, 0) || floor(0, 1) || floor(1, 1);
            near || walled.contains(&post.at) || verify_turns::covers(above, post.at)
        });
        let expected = usize::from(plan.caps && !covered);
        let found = build.caps.iter().filter(|cap| **cap == index).count();
        if found != expected {
            faults.push(Fault::Cap { at: post.at, expected, found });
        }
    }
    let astray = build.caps.iter().filter(|cap| **cap >= build.posts.len());
    faults.extend(astray.map(|&post| Fault::NoPost { post }));
}

/// Letters against what was built for them, cell by cell. Where in its cells a fitting stands in
/// millimetres is for [`crate::fittings::check`].
fn fittings(plan: &Plan, level: &Level, build: &LevelBuild, faults: &mut Vec<Fault>) {
    let mut cells: BTreeMap<(usize, usize), [Vec<String>; 2]> = BTreeMap::new();
    for put in &level.fittings {
        let [expected, _] = cells.entry((put.y, put.x)).or_default();
        expected.push(plan.fittings.get(put.design).map_or_else(String::new, |design| design.letter.to_string()));
    }
    for place in &build.fittings {
        let design = plan.fittings.get(place.design);
        let letter = design.map_or_else(String::new, |design| design.letter.to_string());
        let (x, y) = place.at;
        let cell = (place.put.x as f64, place.put.y as f64);
        // What stands in one cell has its middle there; what covers several has it in their middle.
        let near = match design.and_then(|design| design.form.cells()) {
            None => (0.0..=1.0).contains(&(x - cell.0)) && (0.0..=1.0).contains(&(y - cell.1)),
            Some((run, wide)) => {
                let (long, short) = (f64::from(run.max(wide)) / 2.0, f64::from(run.min(wide)) / 2.0);
                let [east, south] = [x - cell.0 - 0.5, y - cell.1 - 0.5].map(f64::abs);
                east.max(south) <= long && east.min(south) <= short && (east.fract() * 2.0).fract() == 0.0
            }
        };
        let [_, found] = cells.entry((place.put.y, place.put.x)).or_default();
        found.push(if near { letter } else { format!("{letter} elsewhere") });
    }
    for ((y, x), [mut expected, mut found]) in cells {
        expected.sort_unstable();
        found.sort_unstable();
        if expected != found {
            faults.push(Fault::Fitting { x, y, expected, found });
        }
    }
}

fn ties(build: &LevelBuild, owners: &Owners, turned: &Turned, faults: &mut Vec<Fault>) {
    let mut biscuits: BTreeMap<Edge, (usize, usize)> = owners.seams().map(|edge| (edge, (1, 0))).collect();
    for (edge, notched) in &turned.notched {
        let tiles = owners.sides(*edge).map(|tile| usize::from(tile.is_some()));
        if [0, 1].into_iter().all(|side| notched[side] + tiles[side] == 1) {
            biscuits.insert(*edge, (1, 0));
        }
    }
    for &edge in &build.biscuits {
        biscuits.entry(edge).or_default().1 += 1;
    }
    for (edge, (expected, found)) in biscuits {
        if expected != found {
            faults.push(Fault::Biscuit { edge, expected, found });
        }
    }
    let mut pockets: BTreeMap<(Vertex, usize), (usize, usize)> = BTreeMap::new();
    for post in &build.posts {
        let there = |q: &usize| owners.around(post.at, *q).is_some() || turned.corners.contains_key(&(post.at, *q));
        for quadrant in (0..4).filter(there) {
            pockets.entry((post.at, quadrant)).or_default().0 = 1;
        }
    }
    for &pocket in &build.pockets {
        pockets.entry(pocket).or_default().1 += 1;
    }
    for ((at, quadrant), (expected, found)) in pockets {
        if expected != found {
            faults.push(Fault::Pocket { at, quadrant, expected, found });
        }
    }
}
