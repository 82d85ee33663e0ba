//! Where to lift a level and what would hold it better.

use std::fmt;

use flatwright_geometry::pieces::tile::{LONGEST_SIDE, Reliefs};

use super::{Cut, Joint, Part, Strength};
use crate::assemble::Owners;
use crate::build::{LevelBuild, TilePlace};
use crate::plan::{Edge, Level, Plan};
use crate::turns::part_name;

/// One piece of advice. Its text names tiles by row and column of their north-west cell, from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Advice {
    /// The level comes in parts that nothing ties: lift each on its own.
    Separate {
        /// A name of the first tile of each part, and the part's area in square modules.
        parts: Vec<(String, usize)>,
    },
    /// Two hands under these tiles, one on either side of the line where the part would fold.
    Lift {
        /// Index into [`Strength::parts`].
        part: usize,
        /// The tile nearest the middle of either side (index into the level's tiles), and its name.
        under: [(usize, String); 2],
        /// Area of either side, square modules.
        areas: [usize; 2],
    },
    /// The weakest place: hold the lighter side too, or leave it till last.
    Weakest {
        /// Index into [`Strength::parts`].
        part: usize,
        /// Names of the tiles of the lighter side, or of those along the cut where it has many.
        tiles: Vec<String>,
        /// How many tiles the lighter side has.
        count: usize,
        /// Biscuits, tongues and walls across it.
        joints: [usize; 3],
        /// What they hold, relative units.
        capacity: u64,
        /// What one biscuit was taken to hold in those units.
        biscuit: u32,
    },
    /// Seams across the weakest cut that have no biscuit yet.
    AddBiscuits {
        /// Index into [`Strength::parts`].
        part: usize,
        /// The seams.
        edges: Vec<Edge>,
    },
    /// All seams across the weakest cut have their biscuit: glue a card strip under one of them.
    Strip {
        /// Index into [`Strength::parts`].
        part: usize,
        /// Seams, longest straight run first.
        edges: Vec<Edge>,
    },
    /// Take hold of these posts to lift the level off the one below.
    LiftOff {
        /// The level below.
        below: String,
        /// The two posts (indices into the level's posts), and the names of their places.
        posts: [(usize, String); 2],
    },
    /// Two tiles that could be one.
    Merge {
        /// Index into [`Strength::parts`].
        part: usize,
        /// The two tiles (indices into the level's tiles), and their names.
        tiles: [(usize, String); 2],
        /// Size of the one, the longer side first.
        size: (usize, usize),
        /// Whether the plan has that size already.
        known: bool,
    },
}

/// A tile's name: its place and its size.
#[must_use]
pub fn tile_name(tile: &TilePlace) -> String {
    format!("row {}, column {} ({} x {})", tile.y + 1, tile.x + 1, tile.width, tile.height)
}

/// Advice for a level, from what [`super::measure`] found.
///
/// Every seam of an assembled level has its biscuit, one to a module, so there is seldom room for
/// another: then a card strip under the seam is the tie that can be added, and two tiles that make
/// one rectangle of one surface, with no wall between them and no post that the larger tile has no
/// relief for, can be made as one.
#[must_use]
pub fn advise(plan: &Plan, level: &Level, build: &LevelBuild, strength: &Strength) -> Vec<Advice> {
    let mut advice = Vec::new();
    let name = |tile: usize| slab_name(level, build, tile);
    if strength.parts.len() > 1 {
        let parts = strength.parts.iter().map(|part| (name(part.tiles[0]), part.area)).collect();
        advice.push(Advice::Separate { parts });
    }
    let owners = Owners::with_turns(level, build);
    for (index, part) in strength.parts.iter().enumerate() {
        let Part { weakest: Some(weakest), fold: Some(fold), .. } = part else { continue };
        let [one, other] = [0, 1].map(|side| middle_tile(level, build, &fold.sides[side]));
        let under = [(one, name(one)), (other, name(other))];
        advice.push(Advice::Lift { part: index, under, areas: fold.areas });
        advice.push(weak(level, build, strength, index, weakest));
        let seams = seams_across(&owners, weakest);
        let bare: Vec<Edge> = seams.iter().copied().filter(|edge| !build.biscuits.contains(edge)).collect();
        if bare.is_empty() {
            let edges = longest_run_first(&seams);
            if !edges.is_empty() {
                advice.push(Advice::Strip { part: index, edges });
            }
        } else {
            advice.push(Advice::AddBiscuits { part: index, edges: bare });
        }
        let mut pairs: Vec<[usize; 2]> = weakest.across.iter().map(|&tie| strength.ties[tie].tiles).collect();
        pairs.sort_unstable();
        pairs.dedup();
        for [one, other] in pairs {
            if let Some(size) = merged(plan, level, build, one, other) {
                let known = plan.tiles.iter().any(|&(a, b)| (a as usize, b as usize) == size);
                let tiles = [(one, name(one)), (other, name(other))];
                advice.push(Advice::Merge { part: index, tiles, size, known });
            }
        }
    }
    advice
}

/// A tile's name, that of a turn among them.
fn slab_name(level: &Level, build: &LevelBuild, slab: usize) -> String {
    let square = build.slab(level, slab);
    match slab.checked_sub(build.tiles.len()) {
        Some(turn) => {
            let part = part_name(build.turn_tiles[turn].tile.part);
            let TilePlace { x, y, width, .. } = square;
            format!("row {}, column {} ({part} of the turn over {width} x {width})", y + 1, x + 1)
        }
        None => tile_name(&square),
    }
}

/// Where to take hold of a level that stands on another: the posts nearest to the middle of either side
/// of the line where it folds most easily, or its first and last ones where it is one tile. `None` where
/// that is one post.
#[must_use]
pub fn lift_off(below: &Level, level: &Level, build: &LevelBuild, strength: &Strength) -> Option<Advice> {
    let fold = strength.parts.iter().find_map(|part| part.fold.as_ref());
    // Twice the middle of each side of the fold, as the hands should be there.
    let targets = match fold {
        Some(fold) => [0, 1].map(|side| {
            let tile = build.slab(level, middle_tile(level, build, &fold.sides[side]));
            (2 * tile.x + tile.width, 2 * tile.y + tile.height)
        }),
        None => {
            let (first, last) = (build.posts.first()?.at, build.posts.last()?.at);
            [(2 * first.x, 2 * first.y), (2 * last.x, 2 * last.y)]
        }
    };
    // Of posts equally near the one that is farther from the other hand.
    let near = |own: usize| {
        let far = |i: usize, to: (usize, usize)| {
            let at = build.posts[i].at;
            ((2 * at.x).abs_diff(to.0)).pow(2) + ((2 * at.y).abs_diff(to.1)).pow(2)
        };
        (0..build.posts.len()).min_by_key(|&i| (far(i, targets[own]), std::cmp::Reverse(far(i, targets[1 - own])), i))
    };
    let (one, other) = (near(0)?, near(1)?);
    let name = |i: usize| {
        let at = build.posts[i].at;
        (i, format!("line {} from the west, line {} from the north", at.x + 1, at.y + 1))
    };
    (one != other).then(|| Advice::LiftOff { below: below.name.clone(), posts: [name(one), name(other)] })
}

fn weak(level: &Level, build: &LevelBuild, strength: &Strength, part: usize, cut: &Cut) -> Advice {
    let light = &cut.sides[0];
    let along = |tile: &usize| cut.across.iter().any(|&tie| strength.ties[tie].tiles.contains(tile));
    let named: Vec<String> = light
        .iter()
        .filter(|tile| light.len() <= 3 || along(tile))
        .map(|&tile| slab_name(level, build, tile))
        .collect();
    let mut joints = [0; 3];
    // A wall that ties a pair on both of its sides is still one wall.
    let mut across: Vec<Joint> = cut.across.iter().map(|&tie| strength.ties[tie].joint).collect();
    across.sort_unstable();
    across.dedup();
    for joint in across {
        let kind = match joint {
            Joint::Biscuit(_) => 0,
            Joint::Tongue { .. } => 1,
            Joint::Wall(_) => 2,
        };
        joints[kind] += 1;
    }
    let biscuit = strength.capacities.biscuit;
    Advice::Weakest { part, tiles: named, count: light.len(), joints, capacity: cut.capacity, biscuit }
}

/// The tile whose middle is nearest the middle of their area; of equal ones the first.
fn middle_tile(level: &Level, build: &LevelBuild, tiles: &[usize]) -> usize {
    // Twice the middle, times the area: whole numbers throughout.
    let sums = tiles.iter().map(|&tile| build.slab(level, tile)).fold((0i128, 0i128, 0i128), |(a, x, y), tile| {
        let area = (tile.width * tile.height) as i128;
        (a + area, x + area * (2 * tile.x + tile.width) as i128, y + area * (2 * tile.y + tile.height) as i128)
    });
    let distance = |tile: &TilePlace| {
        let (area, x, y) = sums;
        let dx = (2 * tile.x + tile.width) as i128 * area - x;
        let dy = (2 * tile.y + tile.height) as i128 * area - y;
        dx * dx + dy * dy
    };
    tiles.iter().copied().min_by_key(|&tile| distance(&build.slab(level, tile))).unwrap_or(0)
}

/// The seams whose two tiles lie on different sides of a cut.
fn seams_across(owners: &Owners, cut: &Cut) -> Vec<Edge> {
    let side = |tile: usize| (0..2).find(|&side| cut.sides[side].binary_search(&tile).is_ok());
    let crosses = |edge: &Edge| match owners.sides(*edge).map(|tile| tile.and_then(side)) {
        [Some(one), Some(other)] => one != other,
        _ => false,
    };
    owners.seams().filter(crosses).collect()
}

/// Edges, those of the longest straight run first.
fn longest_run_first(edges: &[Edge]) -> Vec<Edge> {
    let mut runs: Vec<Vec<Edge>> = Vec::new();
    let mut sorted = edges.to_vec();
    // Along each line, so that neighbours in a run are neighbours in the list.
    sorted.sort_by_key(|edge| {
        let from = edge.from;
        if edge.down { (true, from.x, from.y) } else { (false, from.y, from.x) }
    });
    for edge in sorted {
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|last| last.down == edge.down && last.to() == edge.from) => {
                run.push(edge);
            }
            _ => runs.push(vec![edge]),
        }
    }
    runs.sort_by_key(|run| std::cmp::Reverse(run.len()));
    runs.concat()
}

/// The size of the tile that could take the place of two, the longer side first.
fn merged(plan: &Plan, level: &Level, build: &LevelBuild, one: usize, other: usize) -> Option<(usize, usize)> {
    let (a, b) = (*build.tiles.get(one)?, *build.tiles.get(other)?);
    let beside = a.y == b.y && a.height == b.height && (a.x + a.width == b.x || b.x + b.width == a.x);
    let below = a.x == b.x && a.width == b.width && (a.y + a.height == b.y || b.y + b.height == a.y);
    if a.surface != b.surface || !(beside || below) {
        return None;
    }
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    let (width, height) = if beside { (a.width + b.width, a.height) } else { (a.width, a.height + b.height) };
    let tile = TilePlace { x, y, width, height, surface: a.surface };
    let size = tile.size();
    let walled = (y..y + height).any(|row| (x..x + width).any(|column| inside_wall(level, &tile, column, row)));
    let posted = build.posts.iter().any(|post| {
        let at = post.at;
        let touches = (x..=x + width).contains(&at.x) && (y..=y + height).contains(&at.y);
        let inside = at.x > x && at.x < x + width && at.y > y && at.y < y + height;
        touches && (inside || (plan.reliefs == Reliefs::Corners && !tile.has_corner(at)))
    });
    (size.0 <= LONGEST_SIDE as usize && !walled && !posted).then_some(size)
}

/// Whether a wall stands on the northern or western edge of a cell, inside the tile.
fn inside_wall(level: &Level, tile: &TilePlace, x: usize, y: usize) -> bool {
    let from = crate::plan::Vertex { x, y };
    let wall = |down| level.wall(Edge { from, down }).is_some();
    (y > tile.y && wall(false)) || (x > tile.x && wall(true))
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Separate { parts } => {
                write!(f, "This level is {} parts that nothing ties; lift each on its own: ", parts.len())?;
                let parts: Vec<String> =
                    parts.iter().map(|(tile, area)| format!("{} from {tile}", modules(*area))).collect();
                write!(f, "{}.", parts.join("; "))
            }
            Self::Lift { under: [(_, one), (_, other)], areas: [light, heavy], .. } => write!(
                f,
                "Lift with one hand under the tile at {one} and one under the tile at {other}: between them the \
                 floor folds most easily ({} on one side, {} on the other).",
                modules(*light),
                modules(*heavy)
            ),
            Self::Weakest { tiles, count, joints: [biscuits, tongues, walls], capacity, biscuit, .. } => {
                let named = tiles.join("; ");
                let which = if *count > tiles.len() { format!("{count} tiles from {named}") } else { named };
                write!(
                    f,
                    "The weakest place holds {which} to the rest: {}, {} and {} (estimated strength {capacity}, \
                     where one biscuit is {biscuit}). Never lift by it.",
                    counted(*biscuits, "biscuit"),
                    counted(*tongues, "tongue"),
                    counted(*walls, "wall")
                )
            }
            Self::AddBiscuits { edges, .. } => {
                write!(f, "Add a biscuit at {}: a seam there has none.", edge_names(edges))
            }
            Self::Strip { edges, .. } => write!(
                f,
                "Every seam there has its biscuit already. To hold it better, glue a strip of card under the seam at \
                 {}; it can then no longer be taken apart.",
                edge_names(edges)
            ),
            Self::LiftOff { below, posts: [(_, one), (_, other)] } => write!(
                f,
                "Lift it off \"{below}\" straight up by its posts, one hand at the post at {one}, one at the post at \
                 {other}. Never by its walls: they come out upward."
            ),
            Self::Merge { tiles: [(_, one), (_, other)], size: (long, short), known, .. } => {
                write!(f, "Or make the tiles at {one} and at {other} as one of {long} x {short}")?;
                if *known { f.write_str(".") } else { write!(f, "; add \"{long}x{short}\" to \"tiles:\".") }
            }
        }
    }
}

fn modules(area: usize) -> String {
    counted(area, "square module")
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// Edges by the cell south or east of them: at most three, then their number.
fn edge_names(edges: &[Edge]) -> String {
    let name = |edge: &Edge| {
        let side = if edge.down { "western" } else { "northern" };
        format!("the {side} edge of row {}, column {}", edge.from.y + 1, edge.from.x + 1)
    };
    let mut names: Vec<String> = edges.iter().take(3).map(name).collect();
    if edges.len() > 3 {
        names.push(format!("{} more", edges.len() - 3));
    }
    names.join("; ")
}
