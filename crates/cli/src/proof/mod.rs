//! The proof of a set or a plan: its pieces and its build, handed to the folding crate.
//!
//! [`proof()`] gives the report and the assembled bodies; [`scene()`] shows the bodies in the artwork
//! of the set.

mod fittings;
mod turns;

use std::collections::BTreeMap;

use flatwright_folding::build::{BentCorner, Build, Corner, Jut, Placed, Run, Seam, on_each_other};
use flatwright_folding::place::{Body, Lattice};
use flatwright_folding::report::Report;
use flatwright_folding::rules::{Case, InHand, PageUse, levels_stand, shared};
use flatwright_folding::scene::{self, Paint, Print, Rgb, Scene, Shown, Skin};
use flatwright_folding::stack::Tolerances;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::bend_pocket::BendPocket;
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_planning::assemble::Spot;
use flatwright_planning::build::LevelBuild;
use flatwright_planning::plan::{Side, Vertex};
use flatwright_planning::turns::Turn;
use flatwright_sheets::view::{Arrangement, Prints};

use crate::faces;
use crate::import::{Piece, Set};
use crate::planned::Planned;

/// One level of a plan as a build, and what it is called.
struct Level {
    name: String,
    build: Build,
}

/// Everything that was proved, level by level; a set without a plan has one report and no bodies.
pub struct Proof {
    /// Name of the level (or of the set) and what was checked.
    pub reports: Vec<(String, Report)>,
    /// The bodies of all levels, lowest first, each as if it stood on the table.
    levels: Vec<(Level, Vec<Body>)>,
}

impl Proof {
    /// One line for each check that fails, and one for what mends it.
    #[must_use]
    pub fn failures(&self) -> String {
        let mut text = String::new();
        for (name, report) in &self.reports {
            for finding in report.findings.iter().filter(|finding| !finding.holds()) {
                text.push_str(&format!("{name}: {finding}\n"));
            }
        }
        text
    }

    /// How many levels were put together; none without a plan.
    #[must_use]
    pub const fn levels(&self) -> usize {
        self.levels.len()
    }

    /// The bodies of all levels on each other, `apart` mm further than they stand; each is named after its
    /// level too.
    fn stacked(&self, p: &Parameters, apart: f64) -> Vec<Vec<Body>> {
        let bodies: Vec<&[Body]> = self.levels.iter().map(|(_, bodies)| bodies.as_slice()).collect();
        let levels = on_each_other(p, &bodies, apart).into_iter().zip(&self.levels);
        let named = |body: Body, level: &str| Body { name: format!("{}, {level}", body.name), ..body };
        levels.map(|(bodies, (level, _))| bodies.into_iter().map(|body| named(body, &level.name)).collect()).collect()
    }

    /// Whether everything fits together. The page rule is left to the layout, which refuses a piece
    /// that is too large at the place that asks for it, with the papers on which it fits.
    #[must_use]
    pub fn joints_hold(&self) -> bool {
        let findings = self.reports.iter().flat_map(|(_, report)| &report.findings);
        findings.filter(|finding| finding.rule != "page").all(flatwright_folding::rules::Finding::holds)
    }

    /// Whether every check holds.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.reports.iter().all(|(_, report)| report.holds())
    }
}

/// Checks every rule on the set's pieces, on what the largest of them need of their `pages`, and,
/// where there is a plan, on every level's build.
#[must_use]
pub fn proof(set: &Set, pages: &[PageUse]) -> Proof {
    let p = &set.parameters;
    let in_hand = InHand { board: p.board, card: p.card, paper: p.paper, fold_factor: p.fold_factor };
    let mut pieces: Vec<Part> = Vec::new();
    for piece in &set.pieces {
        if !pieces.iter().any(|other| other.same_as(&piece.part)) {
            pieces.push(piece.part.clone());
        }
    }
    let check = |build: Option<&Build>| {
        let case = Case { in_hand: Some(in_hand), pieces: &pieces, build, pages, ..Case::new(p) };
        Report::of(&case, &Tolerances::default())
    };
    let Some(planned) = &set.plan else {
        let (report, _) = check(None);
        return Proof { reports: vec![(set.name.clone(), report)], levels: Vec::new() };
    };
    let mut proof = Proof { reports: Vec::new(), levels: Vec::new() };
    for index in 0..planned.levels.len() {
        let level = level(p, planned, index);
        let (report, bodies) = check(Some(&level.build));
        proof.reports.push((level.name.clone(), report));
        proof.levels.push((level, bodies));
    }
    proof.reports.extend(whole(p, &proof));
    proof
}

/// All levels on each other: what each stands on, and that no two pieces of them share space.
fn whole(p: &Parameters, proof: &Proof) -> Option<(String, Report)> {
    let (_, first) = proof.reports.first().filter(|_| proof.levels.len() > 1)?;
    let builds: Vec<&Build> = proof.levels.iter().map(|(level, _)| &level.build).collect();
    let mut findings = levels_stand(&builds);
    findings.extend(shared(&proof.stacked(p, 0.0).concat()));
    findings.sort_by_key(|finding| finding.verdict);
    Some(("all levels on each other".to_owned(), Report { findings, ..first.clone() }))
}

/// A level with its pieces where they stand, x east and y north of the lower left corner of the plan's
/// highest drawing: drawings share their upper left corner.
fn level(p: &Parameters, planned: &Planned, index: usize) -> Level {
    let (drawn, work) = (&planned.plan.levels[index], &planned.levels[index].build);
    let height = planned.plan.levels.iter().map(|level| level.height).max().unwrap_or(drawn.height);
    // Rows count from the north, modules from the south.
    let at = |v: Vertex| Lattice { x: v.x as f64, y: (height - v.y) as f64 };
    let named = |spot: Spot, place: &str, x: usize, y: usize| {
        let ids = planned.ids_at(index, spot);
        format!("{} {place} column {}, row {}", ids.join("+"), x + 1, y + 1)
    };
    let name = |spot: Spot, x: usize, y: usize| named(spot, "at", x, y);
    // An edge is a side of the cell to its south or east.
    let beside = |spot: Spot, v: Vertex, down: bool| named(spot, if down { "west of" } else { "north of" }, v.x, v.y);
    let mut build = Build::default();
    for (i, tile) in work.tiles.iter().enumerate() {
        let south_west = Vertex { x: tile.x, y: tile.y + tile.height };
        let side = |cells: usize| u32::try_from(cells).unwrap_or(u32::MAX);
        let piece = Tile::plain(side(tile.width), side(tile.height), planned.plan.reliefs);
        build.tiles.push(Placed::new(name(Spot::Tile(i), tile.x, tile.y), piece, at(south_west)));
    }
    for (i, post) in work.posts.iter().enumerate() {
        build.posts.push(Placed::new(name(Spot::Post(i), post.at.x, post.at.y), post.post, at(post.at)));
    }
    for &i in &work.caps {
        let post = &work.posts[i];
        let cap = Cap { arms: post.post.arms };
        build.caps.push(Placed::new(name(Spot::Cap(i), post.at.x, post.at.y), cap, at(post.at)));
    }
    for (i, place) in work.couplers.iter().enumerate() {
        let post = work.posts[place.post].at;
        build.couplers.push(Placed::new(name(Spot::Coupler(i), post.x, post.y), place.coupler, at(post)));
    }
    for (i, wall) in work.walls.iter().enumerate() {
        if let Some(filler) = wall.filler {
            let turns = match filler.side {
                Side::West => 0,
                Side::South => 1,
                Side::East => 2,
                Side::North => 3,
            };
            let jut = Jut { filler: Filler { thirds: filler.thirds }, turns };
            let post = if filler.side.far() { wall.to() } else { wall.from };
            build.fillers.push(Placed::new(beside(Spot::Wall(i), wall.from, wall.down), jut, at(post)));
            continue;
        }
        let from = if wall.down { wall.to() } else { wall.from };
        let piece = Wall { span: wall.span as f64, opening: planned.plan.designs[wall.design].opening.clone() };
        let run = Run { wall: piece, north: wall.down };
        build.walls.push(Placed::new(beside(Spot::Wall(i), wall.from, wall.down), run, at(from)));
    }
    for edge in &work.biscuits {
        let from = if edge.down { edge.to() } else { edge.from };
        let seam = Seam { north: edge.down };
        build.biscuits.push(Placed::new(beside(Spot::Biscuit(*edge), edge.from, edge.down), seam, at(from)));
    }
    turns::add(planned, index, &at, &|spot, (x, y)| named(spot, "in the turn from", x, y), &mut build);
    let cut: BTreeMap<(Vertex, usize), BendPocket> = drawn.turns.iter().flat_map(Turn::pockets).collect();
    for (vertex, quadrant) in &work.pockets {
        let corner = Corner { quadrant: u32::try_from(*quadrant).unwrap_or(0) };
        let named = name(Spot::Pocket(*vertex, *quadrant), vertex.x, vertex.y);
        // Four pockets can share a vertex: the quadrant tells them apart.
        let quadrant = flatwright_geometry::pieces::post::QUADRANTS[*quadrant % 4];
        let named = format!("{named}, {quadrant}");
        match cut.get(&(*vertex, corner.quadrant as usize)) {
            Some(pocket) => {
                let corner = BentCorner { pocket: *pocket, quadrant: corner.quadrant };
                build.bend_pockets.push(Placed::new(named, corner, at(*vertex)));
            }
            None => build.pockets.push(Placed::new(named, corner, at(*vertex))),
        }
    }
    fittings::add(p, planned, index, height, &mut build);
    fittings::add_roofs(p, planned, index, height, &mut build);
    Level { name: drawn.name.clone(), build }
}

/// Foam board and card where nothing is printed on them.
pub const STOCK: Rgb = Rgb(0xF6, 0xF3, 0xEC);
/// Faces without a colour of their own.
const FACE: Rgb = Rgb(0xEF, 0xE9, 0xDF);

/// What of a plan is to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// One level, counted from 0.
    Level(usize),
    /// All levels on each other.
    Whole,
    /// All levels lifted off each other, each of them whole.
    Apart,
}

impl Which {
    /// All levels in an arrangement.
    #[must_use]
    pub const fn all(arrangement: Arrangement) -> Self {
        match arrangement {
            Arrangement::Assembled => Self::Whole,
            Arrangement::Exploded => Self::Apart,
        }
    }

    /// How its pieces stand: those of all levels are not taken apart one by one.
    #[must_use]
    pub const fn arrangement(self, wanted: Arrangement) -> Arrangement {
        match self {
            Self::Level(_) => wanted,
            Self::Whole | Self::Apart => Arrangement::Assembled,
        }
    }
}

/// Bodies where they are to be shown, each level's with its index.
pub struct PlacedLevels {
    levels: Vec<(usize, Vec<Body>)>,
}

/// The bodies of what is to be shown; `None` where the set has no such level, or pieces could not be put
/// together.
#[must_use]
pub fn placed(set: &Set, proof: &Proof, which: Which) -> Option<PlacedLevels> {
    let p = &set.parameters;
    let levels = match which {
        Which::Level(level) => vec![(level, proof.levels.get(level)?.1.clone())],
        Which::Whole => proof.stacked(p, 0.0).into_iter().enumerate().collect(),
        Which::Apart => proof.stacked(p, p.level_pitch().get()).into_iter().enumerate().collect(),
    };
    let complete = !levels.is_empty() && levels.iter().all(|(_, bodies): &(usize, Vec<Body>)| !bodies.is_empty());
    complete.then_some(PlacedLevels { levels })
}

/// Bodies as they are to be shown, and what is printed on them; `None` without a plan.
#[must_use]
pub fn scene<'a>(set: &Set, proof: &Proof, placed: &'a PlacedLevels) -> Option<(Scene<'a>, Prints)> {
    let mut prints: Vec<&Piece> = Vec::new();
    let mut shown = Vec::new();
    for (level, bodies) in &placed.levels {
        shown.extend(shown_level(set, proof, *level, bodies, &mut prints)?);
    }
    let title = match &placed.levels[..] {
        [(level, _)] if proof.levels.len() > 1 => format!("{}, {}", set.name, proof.levels.get(*level)?.0.name),
        _ => set.name.clone(),
    };
    let worn =
        Prints { artwork: faces::artwork(set), faces: prints.iter().map(|piece| faces::face(set, piece)).collect() };
    let print = |piece: &Piece| Print { id: piece.id.clone(), pattern: piece.pattern.pattern().clone() };
    Some((Scene { title, shown, prints: prints.into_iter().map(print).collect() }, worn))
}

/// One level's bodies in their artwork; pieces that are worn are added to `prints`.
fn shown_level<'a, 's>(
    set: &'s Set,
    proof: &Proof,
    level: usize,
    bodies: &'a [Body],
    prints: &mut Vec<&'s Piece>,
) -> Option<Vec<Shown<'a>>> {
    let planned = set.plan.as_ref()?;
    let (built, _) = proof.levels.get(level)?;
    let mut counts = Counts::default();
    let work = &planned.levels[level].build;
    let (bodies, standing) = bodies.split_at(built.build.before_fixtures().min(bodies.len()));
    let shown = bodies.iter().map(|body| {
        let Some((spot, tile)) = counts.place(built, work, body.kind) else { return Shown::new(body, FACE, STOCK) };
        let pieces: Vec<&Piece> = planned.kinds_at(level, spot).flat_map(|kind| &kind.pieces).collect();
        let worn = |prints: &mut Vec<&'s Piece>, wanted: PieceKind| {
            let piece = pieces.iter().find(|piece| piece.face.is_some() && piece.pattern.kind == wanted)?;
            Some((*piece, print_of(prints, piece)))
        };
        // A filler is a net of card, or board with a facing.
        let facing = matches!(body.kind, PieceKind::Filler).then_some(PieceKind::WallFacing);
        let mut covers = covering(body.kind).into_iter().chain(facing);
        let Some((piece, print)) = covers.find_map(|kind| worn(prints, kind)) else {
            return Shown::new(body, FACE, STOCK);
        };
        let mut skins = vec![tile.map_or(Skin::as_drawn(print), |tile| Skin::on_tile(print, tile))];
        let mut cover = tile.and_then(|tile| scene::cover(&set.parameters, tile).ok().flatten());
        match spot {
            Spot::TurnTile(index) => {
                let turns = built.build.turn_tiles.get(index).map_or(0, |placed| placed.piece.turns);
                (cover, skins) = turns::covered(piece, print, turns, &set.parameters);
            }
            Spot::BentWall(_) => skins = turns::skins(&pieces, body, |piece| print_of(prints, piece)),
            _ => {}
        }
        // The box of a niche comes behind its wall's own solids.
        if let Some((tray, print)) = worn(prints, PieceKind::NicheBox) {
            let first = body.solids.len().saturating_sub(tray.pattern.net.panels.len());
            skins.push(Skin { first, ..Skin::as_drawn(print) });
        }
        let colour = piece.face.map(|cover| set.artwork.from_afar(cover, set.parameters.module));
        let face = colour.map_or(FACE, |colour| Rgb(colour.0, colour.1, colour.2));
        // Where no paper is folded over it, the edge of board is bare.
        let paint = Paint { edges: STOCK, ..Paint::of(body.kind, face, STOCK) };
        Shown { body, paint, cover, skins }
    });
    let shown: Vec<Shown<'a>> = shown.collect();
    let mut print = |piece: &'s Piece| print_of(prints, piece);
    let standing = fittings::shown(set, planned, (level, &built.build), standing, &mut print);
    Some(shown.into_iter().chain(standing).collect())
}

/// The number of a piece among those that are worn, which it joins.
fn print_of<'s>(prints: &mut Vec<&'s Piece>, piece: &'s Piece) -> usize {
    prints.iter().position(|known| known.id == piece.id).unwrap_or_else(|| {
        prints.push(piece);
        prints.len() - 1
    })
}

/// The flat piece that shows on a body.
const fn covering(body: PieceKind) -> Option<PieceKind> {
    match body {
        PieceKind::TileCore => Some(PieceKind::TileWrap),
        PieceKind::WallCore => Some(PieceKind::WallFacing),
        PieceKind::TurnCore => Some(PieceKind::TurnWrap),
        PieceKind::BentCore => Some(PieceKind::BentFacing),
        PieceKind::Post | PieceKind::PostCap | PieceKind::CardWall | PieceKind::BentWall | PieceKind::Filler => {
            Some(body)
        }
        _ => None,
    }
}

/// How many bodies of each kind have been met: they stand in the order of their level's places.
#[derive(Default)]
struct Counts {
    tiles: usize,
    posts: usize,
    walls: usize,
    fillers: usize,
    caps: usize,
    turn_tiles: usize,
    bent_walls: usize,
}

impl Counts {
    /// The place of the next body of a kind that wears a print, and its tile if it is one.
    fn place(&mut self, level: &Level, work: &LevelBuild, kind: PieceKind) -> Option<(Spot, Option<Tile>)> {
        let next = |count: &mut usize| {
            *count += 1;
            *count - 1
        };
        let wall = |filler: bool, number: usize| {
            let mut alike = (0..work.walls.len()).filter(|&wall| work.walls[wall].filler.is_some() == filler);
            alike.nth(number).map(Spot::Wall)
        };
        Some(match kind {
            PieceKind::TileCore => {
                let index = next(&mut self.tiles);
                (Spot::Tile(index), Some(level.build.tiles.get(index)?.piece))
            }
            PieceKind::Post => (Spot::Post(next(&mut self.posts)), None),
            PieceKind::PostCap => (Spot::Cap(*work.caps.get(next(&mut self.caps))?), None),
            // Fillers stand behind all other walls.
            PieceKind::CardWall | PieceKind::WallCore => (wall(false, next(&mut self.walls))?, None),
            PieceKind::Filler => (wall(true, next(&mut self.fillers))?, None),
            PieceKind::TurnCore => (Spot::TurnTile(next(&mut self.turn_tiles)), None),
            PieceKind::BentWall | PieceKind::BentCore => (Spot::BentWall(next(&mut self.bent_walls)), None),
            _ => return None,
        })
    }
}
