//! The order to build in: what is glued, then rows, posts and walls.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::roof::Skirt;

use crate::assemble::{Needed, Owners, Place, Spot};
use crate::build::{LevelBuild, TilePlace};
use crate::plan::{Edge, Plan};

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is made, without a number: the list's order counts.
    pub title: String,
    /// What to do.
    pub text: String,
    /// Index into the plan's levels; `None` for spares.
    pub level: Option<usize>,
    /// Pieces that this step uses up: index into the needed pieces and how many. Over all steps
    /// every piece is used exactly as often as it is needed.
    pub pieces: Vec<(usize, u32)>,
    /// Where to put them, in the order to do it. Rows name the places of their tiles too, though
    /// cores and wraps are used up when the tiles are wrapped.
    pub places: Vec<Place>,
}

/// The steps of a whole plan, level by level.
///
/// `needed` comes from [`crate::assemble::pieces`] for the same plan and builds. On each level:
/// tiles are wrapped, pockets and base plates glued; the tiles of each row tied from west to east;
/// each row joined to those north of it; tiles of turns set beside them; posts at corners, then the others;
/// plain walls, walls with openings, those with doors, fillers, and those on bends; stairs, and what else
/// stands free on the floor; caps on the posts. An upper level is then set on the one below, over couplers,
/// and roofs are laid on. Spares come last. A row holds the tiles whose northern edge lies in it. Steps
/// without anything to do are left out.
#[must_use]
pub fn steps(plan: &Plan, builds: &[LevelBuild], needed: &[Needed]) -> Vec<Step> {
    let index = Index::of(needed);
    let mut steps: Vec<Step> = Vec::new();
    for (level, build) in builds.iter().enumerate() {
        let mut list = Steps { level, index: &index, steps: &mut steps };
        list.glue(build);
        list.rows(plan, build);
        list.turns(plan, build);
        list.posts(build);
        list.walls(plan, build);
        list.fittings(plan, build);
        list.caps(build);
        if let Some(below) = level.checked_sub(1).and_then(|below| plan.levels.get(below)) {
            list.set_on(&below.name, build);
        }
        list.roofs(build);
    }
    let spare = |needed: &Needed| needed.count.saturating_sub(u32::try_from(needed.places.len()).unwrap_or(u32::MAX));
    let spares: Vec<(usize, u32)> =
        needed.iter().enumerate().map(|(i, needed)| (i, spare(needed))).filter(|(_, count)| *count > 0).collect();
    if !spares.is_empty() {
        let text = "Keep these by: they replace what is lost or worn.".to_owned();
        steps.push(Step { title: "Spares".into(), text, level: None, pieces: spares, places: Vec::new() });
    }
    steps
}

/// Which needed pieces go to a place: a tile takes a core and a wrap.
struct Index<'a> {
    needed: &'a [Needed],
    at: BTreeMap<Place, Vec<usize>>,
}

impl<'a> Index<'a> {
    fn of(needed: &'a [Needed]) -> Self {
        let mut at: BTreeMap<Place, Vec<usize>> = BTreeMap::new();
        for (i, kind) in needed.iter().enumerate() {
            for &place in &kind.places {
                at.entry(place).or_default().push(i);
            }
        }
        Self { needed, at }
    }

    /// The pieces for `places` that are of a kind for which `wanted` holds.
    fn pieces(&self, places: &[Place], wanted: impl Fn(&Piece) -> bool) -> Vec<(usize, u32)> {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        let here = places.iter().filter_map(|place| self.at.get(place)).flatten();
        for &i in here.filter(|&&i| wanted(&self.needed[i].piece)) {
            *counts.entry(i).or_default() += 1;
        }
        counts.into_iter().collect()
    }
}

/// The steps of one level as they gather.
struct Steps<'a> {
    level: usize,
    index: &'a Index<'a>,
    steps: &'a mut Vec<Step>,
}

impl Steps<'_> {
    fn push(&mut self, title: &str, text: String, spots: Vec<Spot>, wanted: impl Fn(&Piece) -> bool) {
        let level = self.level;
        let places: Vec<Place> = spots.into_iter().map(|spot| Place { level, spot }).collect();
        if places.is_empty() {
            return;
        }
        let pieces = self.index.pieces(&places, wanted);
        self.steps.push(Step { title: title.to_owned(), text, level: Some(level), pieces, places });
    }

    fn glue(&mut self, build: &LevelBuild) {
        let turns = (0..build.turn_tiles.len()).map(Spot::TurnTile);
        let tiles = (0..build.tiles.len()).map(Spot::Tile).chain(turns).collect();
        let mut text = "Glue each wrap over its core: the top first, then the sides, then the returns underneath. \
                        Leave the notches and the corner holes open."
            .to_owned();
        if !build.turn_tiles.is_empty() {
            text += " On a bend the wrap ends at the edge of the core: glue it down there and trim it flush.";
        }
        let parts =
            |piece: &Piece| matches!(piece, Piece::Core(_) | Piece::Wrap(_) | Piece::TurnCore(_) | Piece::TurnWrap(_));
        self.push("Wrap the tiles", text, tiles, parts);

        let pockets = build.pockets.iter().map(|&(at, quadrant)| Spot::Pocket(at, quadrant)).collect();
        let mut text =
            "Glue a pocket under each corner that a post stands at: glue on the L-shaped band only, so that \
                        the two sides towards the post stay open."
                .to_owned();
        if !build.turn_tiles.is_empty() {
            text += " One that is cut off along a bend goes under the tile with that bend, its cut side along it.";
        }
        let patch = |piece: &Piece| matches!(piece, Piece::Pocket | Piece::BendPocket(_));
        self.push("Glue the corner pockets", text, pockets, patch);

        let on_plates = |i: &usize| build.posts[*i].post.feet().count() == 0;
        let plates = (0..build.posts.len()).filter(on_plates).map(Spot::Post).collect();
        let text = "Glue a plug to the middle of each base plate. A post without any tile around it stands on one.";
        self.push("Glue the base plates", text.into(), plates, |piece| matches!(piece, Piece::Plate | Piece::Plug));
    }

    fn rows(&mut self, plan: &Plan, build: &LevelBuild) {
        let rows = Rows::of(build);
        for (row, tiles) in &rows.tiles {
            let laid: Vec<&TilePlace> = tiles.iter().map(|&tile| &build.tiles[tile]).collect();
            let seams = rows.within.get(row).map_or(&[][..], Vec::as_slice);
            let mut text = format!("Lay out, west to east, {}.", laid_out(plan, &laid));
            if !seams.is_empty() {
                text += &format!(" Push {} into the notches between them from below.", biscuits(seams.len()));
            }
            let mut spots: Vec<Spot> = tiles.iter().map(|&tile| Spot::Tile(tile)).collect();
            spots.extend(seams.iter().map(|&edge| Spot::Biscuit(edge)));
            self.push(&format!("Row {}", row + 1), text, spots, |piece| *piece == Piece::Biscuit);
        }
        for (row, seams) in &rows.between {
            let text = format!(
                "Set row {} against what lies north of it and push {} into the notches between from below.",
                row + 1,
                biscuits(seams.len())
            );
            let spots = seams.iter().map(|&edge| Spot::Biscuit(edge)).collect();
            self.push(&format!("Join row {}", row + 1), text, spots, |piece| *piece == Piece::Biscuit);
        }
    }

    fn turns(&mut self, plan: &Plan, build: &LevelBuild) {
        let Some(level) = plan.levels.get(self.level) else { return };
        let seams = seams_of_turns(build);
        let mut text =
            "Lay each tile of a turn where the plan shows it, its straight sides against what lies there. ".to_owned();
        if !seams.is_empty() {
            text += &format!("Push {} into the notches between from below. ", biscuits(seams.len()));
        }
        text += "Its bent side has no tie: the posts at its ends hold it.";
        // From the north-west, as the rows.
        let mut tiles: Vec<usize> = (0..build.turn_tiles.len()).collect();
        tiles.sort_by_key(|&tile| {
            let square = build.slab(level, build.tiles.len() + tile);
            (square.y, square.x, tile)
        });
        let spots = tiles.into_iter().map(Spot::TurnTile).chain(seams.into_iter().map(Spot::Biscuit)).collect();
        self.push("Tiles of turns", text, spots, |piece| *piece == Piece::Biscuit);
    }

    fn posts(&mut self, build: &LevelBuild) {
        let corner = |i: &usize| build.posts[*i].post.shape() == "corner";
        let (corners, others): (Vec<usize>, Vec<usize>) = (0..build.posts.len()).partition(corner);
        let how = "Drop each post into its hole, turned so that its slots face its walls, and tuck its tongues into \
                   the pockets from below; one without tongues goes over the plug of its base plate.";
        for (title, posts) in [("Posts at the corners", corners), ("Posts along the walls", others)] {
            let spots = posts.into_iter().map(Spot::Post).collect();
            self.push(title, how.into(), spots, |piece| matches!(piece, Piece::Sleeve(_)));
        }
    }

    fn walls(&mut self, plan: &Plan, build: &LevelBuild) {
        let opening = |i: usize| plan.designs.get(build.walls[i].design).and_then(|design| design.opening.as_ref());
        let group = |i: usize| match opening(i) {
            _ if build.walls[i].filler.is_some() => 3,
            None => 0,
            Some(opening) if opening.swings() => 2,
            Some(_) => 1,
        };
        let how = "Hang each wall from above: both hooks into the slots of its posts, down to the floor.";
        let swing = format!("{how} Check that each leaf swings free.");
        let filler = "Glue each filler to its base plate: of card by its two feet, of board by the edge over it. Hang it \
                      from above by its one hook, the plate on the floor.";
        let boxed = format!("Fold the box of each niche and glue it behind its opening. {how}");
        let niches = (0..build.walls.len()).filter_map(opening).any(Opening::has_box);
        let open = if niches { boxed.as_str() } else { how };
        for (which, (title, text)) in [
            ("Plain walls", how),
            ("Walls with openings", open),
            ("Walls with doors", swing.as_str()),
            ("Fillers", filler),
        ]
        .into_iter()
        .enumerate()
        {
            let spots = (0..build.walls.len()).filter(|&i| group(i) == which).map(Spot::Wall).collect();
            self.push(title, text.into(), spots, |piece| matches!(piece, Piece::Wall(_) | Piece::Filler(_)));
        }
        let spots = (0..build.bent_walls.len()).map(Spot::BentWall).collect();
        self.push("Walls on bends", BENT.into(), spots, |piece| matches!(piece, Piece::BentWall(_)));
    }

    fn fittings(&mut self, plan: &Plan, build: &LevelBuild) {
        let stairs = "Fold each part of a stair, glue its flaps, and stand it on the floor from lattice line to lattice \
                      line, as the plan shows it: the arrow points up. Its top tread is flush with the floor above. \
                      It needs no glue, and lifts out.";
        let others = "Fold each of them and glue its flaps; glue the feet of a free-standing wall to its base plate. \
                      Stand them where the plan shows them. They need no glue on the floor; a drop of it keeps them in \
                      place while the level is lifted.";
        let of_stair = |i: &usize| {
            plan.fittings.get(build.fittings[*i].design).is_some_and(|design| design.form.cells().is_some())
        };
        let (stair, other): (Vec<usize>, Vec<usize>) = (0..build.fittings.len()).partition(of_stair);
        for (title, text, which) in [("Stairs", stairs, stair), ("Fittings", others, other)] {
            let mut names: Vec<(&str, usize)> = Vec::new();
            for design in which.iter().filter_map(|i| plan.fittings.get(build.fittings[*i].design)) {
                match names.iter_mut().find(|(name, _)| *name == design.name) {
                    Some((_, count)) => *count += 1,
                    None => names.push((&design.name, 1)),
                }
            }
            let names: Vec<String> = names.iter().map(|(name, count)| format!("{name}\u{a0}×\u{a0}{count}")).collect();
            let text = format!("{text} On this level: {}.", names.join(", "));
            let spots = which.into_iter().map(Spot::Fitting).collect();
            self.push(title, text, spots, |_| true);
        }
    }

    fn caps(&mut self, build: &LevelBuild) {
        let text = "Fold each cap and glue its tabs inside its skirts. When all walls hang, push one over each post, \
                    turned so that its notches lie over the walls. Leave it loose: the walls come out when it is off.";
        let spots = build.caps.iter().map(|&post| Spot::Cap(post)).collect();
        self.push("Caps", text.into(), spots, |piece| matches!(piece, Piece::Cap(_)));
    }

    fn roofs(&mut self, build: &LevelBuild) {
        let inside = build.roofs.iter().all(|place| place.roof.skirt == Skirt::Inside);
        let skirt = if inside { "it drops in between the posts" } else { "it goes round the posts" };
        let text = format!(
            "Fold the roof and glue its flaps. Glue the skirt under its soffit, its lid against it, as far from the \
             edge all round: {skirt}. Fold a cap over each ridge and each hip and glue it on; they are cut so that they \
             meet. Lay the roof on the posts, or on their caps: it lies loose. Lift it off by its eaves with both hands before you move anything \
             below it."
        );
        let spots = (0..build.roofs.len()).map(Spot::Roof).collect();
        self.push("Roofs", text, spots, |_| true);
    }

    fn set_on(&mut self, below: &str, build: &LevelBuild) {
        let text = format!(
            "Fold each coupler and glue its flap inside. Push it, slots down, into its post of level \"{below}\", its \
             slots over the walls there, as far as they go: the half above them stands out."
        );
        let spots = (0..build.couplers.len()).map(Spot::Coupler).collect();
        self.push("Couplers", text, spots, |piece| matches!(piece, Piece::Coupler(_)));
        let text = format!(
            "Put glue that fills a gap on the outside of the couplers' upper halves, on nothing else, and lower this \
             level over them until its posts stand on those of \"{below}\". When the glue is dry the level lifts off \
             whole, couplers and all."
        );
        let spots = build.couplers.iter().map(|place| Spot::Post(place.post)).collect();
        self.push(&format!("{SET_ON} \"{below}\""), text, spots, |_| false);
    }
}

/// How a wall on a bend is made and hung.
const BENT: &str = "Of card: crease every fold line a little, so that the wall takes its bend by itself, then glue its \
    two skins back to back on the bend, not flat, for the outer one is longer. Of board: open the half cuts until the \
    core has its bend, then glue the facings on. Hang each wall from above, both hooks into the slots of its posts, \
    down to the floor.";

/// Begins the title of the step in which a level is set on the one below.
pub const SET_ON: &str = "Set the level on";

/// Tiles and seams by row: that of a tile's northern edge.
#[derive(Default)]
struct Rows {
    /// Tiles of each row, west to east.
    tiles: BTreeMap<usize, Vec<usize>>,
    /// Biscuits between tiles of one row, west to east.
    within: BTreeMap<usize, Vec<Edge>>,
    /// Biscuits between a row and an earlier one, by the later row, west to east.
    between: BTreeMap<usize, Vec<Edge>>,
}

impl Rows {
    fn of(build: &LevelBuild) -> Self {
        let mut rows = Self::default();
        for (index, tile) in build.tiles.iter().enumerate() {
            rows.tiles.entry(tile.y).or_default().push(index);
        }
        for tiles in rows.tiles.values_mut() {
            tiles.sort_by_key(|&tile| build.tiles[tile].x);
        }
        let owners = Owners::of_tiles(&build.tiles);
        let of_turns: BTreeSet<Edge> = seams_of_turns(build).into_iter().collect();
        for &edge in build.biscuits.iter().filter(|edge| !of_turns.contains(edge)) {
            let starts = owners.sides(edge).map(|tile| tile.map_or(edge.from.y, |tile| build.tiles[tile].y));
            let list = if starts[0] == starts[1] { &mut rows.within } else { &mut rows.between };
            list.entry(starts[0].max(starts[1])).or_default().push(edge);
        }
        for edges in rows.within.values_mut().chain(rows.between.values_mut()) {
            edges.sort_by_key(|edge| (edge.from.x, edge.from.y, edge.down));
        }
        rows
    }
}

/// Biscuits with the tile of a turn on one side at least.
fn seams_of_turns(build: &LevelBuild) -> Vec<Edge> {
    let owners = Owners::of_tiles(&build.tiles);
    let bare = |edge: &&Edge| owners.sides(**edge).contains(&None);
    build.biscuits.iter().filter(bare).copied().collect()
}

/// A row in words: runs of equal tiles, a new start after each gap.
fn laid_out(plan: &Plan, tiles: &[&TilePlace]) -> String {
    let name = |tile: &TilePlace| {
        let surface = plan.surfaces.get(tile.surface).map_or("floor", |surface| surface.name.as_str());
        format!("{} x {} {surface}", tile.width, tile.height)
    };
    let mut groups: Vec<(usize, Vec<(String, usize)>)> = Vec::new();
    let mut end = None;
    for tile in tiles {
        if end != Some(tile.x) {
            groups.push((tile.x, Vec::new()));
        }
        end = Some(tile.x + tile.width);
        if let Some((_, runs)) = groups.last_mut() {
            let name = name(tile);
            match runs.last_mut() {
                Some((last, count)) if *last == name => *count += 1,
                _ => runs.push((name, 1)),
            }
        }
    }
    let group = |(start, runs): &(usize, Vec<(String, usize)>)| {
        let runs: Vec<String> = runs.iter().map(|(name, count)| format!("{count} of {name}")).collect();
        format!("from column {}: {}", start + 1, runs.join(", "))
    };
    groups.iter().map(group).collect::<Vec<_>>().join("; ")
}

fn biscuits(count: usize) -> String {
    if count == 1 { "a biscuit".into() } else { format!("{count} biscuits") }
}
