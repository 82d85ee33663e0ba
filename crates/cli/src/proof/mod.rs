//! The proof of a set or a plan: its pieces and its build, handed to the folding crate.
//!
//! [`proof()`] gives the report and the assembled bodies; [`scene()`] shows the bodies in the colours
//! of the set.

use flatwright_folding::build::{Build, Corner, Placed, Run, Seam};
use flatwright_folding::place::{Body, Lattice};
use flatwright_folding::report::Report;
use flatwright_folding::rules::{Case, InHand, PageUse};
use flatwright_folding::scene::{self, Rgb, Scene, Shown};
use flatwright_folding::stack::Tolerances;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_planning::assemble::Spot;
use flatwright_planning::plan::Vertex;

use crate::import::Set;
use crate::planned::Planned;

/// One level of a plan as a build, and what it is called.
struct Level {
    name: String,
    build: Build,
    tiles: Vec<(Tile, usize)>,
}

/// Everything that was proved, level by level; a set without a plan has one report and no bodies.
pub struct Proof {
    /// Name of the level (or of the set) and what was checked.
    pub reports: Vec<(String, Report)>,
    /// The bodies of all levels, each level's above those of the one below.
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
        if !pieces.iter().any(|other| other.same_as(piece.part)) {
            pieces.push(piece.part);
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
        let level = level(planned, index);
        let (report, bodies) = check(Some(&level.build));
        proof.reports.push((level.name.clone(), report));
        proof.levels.push((level, bodies));
    }
    proof
}

/// A level with its pieces where they stand, x east and y north of the drawing's lower left corner.
fn level(planned: &Planned, index: usize) -> Level {
    let (drawn, work) = (&planned.plan.levels[index], &planned.levels[index].build);
    let height = drawn.height;
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
    let mut tiles = Vec::new();
    for (i, tile) in work.tiles.iter().enumerate() {
        let south_west = Vertex { x: tile.x, y: tile.y + tile.height };
        let side = |cells: usize| u32::try_from(cells).unwrap_or(u32::MAX);
        let piece = Tile { across: side(tile.width), along: side(tile.height), reliefs: planned.plan.reliefs };
        build.tiles.push(Placed::new(name(Spot::Tile(i), tile.x, tile.y), piece, at(south_west)));
        tiles.push((piece, tile.surface));
    }
    for (i, post) in work.posts.iter().enumerate() {
        build.posts.push(Placed::new(name(Spot::Post(i), post.at.x, post.at.y), post.post, at(post.at)));
    }
    for (i, wall) in work.walls.iter().enumerate() {
        let from = if wall.down { wall.to() } else { wall.from };
        let piece = Wall { span: wall.span as f64, opening: planned.plan.designs[wall.design].opening };
        let run = Run { wall: piece, north: wall.down };
        build.walls.push(Placed::new(beside(Spot::Wall(i), wall.from, wall.down), run, at(from)));
    }
    for edge in &work.biscuits {
        let from = if edge.down { edge.to() } else { edge.from };
        let seam = Seam { north: edge.down };
        build.biscuits.push(Placed::new(beside(Spot::Biscuit(*edge), edge.from, edge.down), seam, at(from)));
    }
    for (vertex, quadrant) in &work.pockets {
        let corner = Corner { quadrant: u32::try_from(*quadrant).unwrap_or(0) };
        let named = name(Spot::Pocket(*vertex, *quadrant), vertex.x, vertex.y);
        // Four pockets can share a vertex: the quadrant tells them apart.
        let quadrant = flatwright_geometry::pieces::post::QUADRANTS[*quadrant % 4];
        build.pockets.push(Placed::new(format!("{named}, {quadrant}"), corner, at(*vertex)));
    }
    Level { name: drawn.name.clone(), build, tiles }
}

/// Foam board and card where nothing is printed on them.
const STOCK: Rgb = Rgb(0xF6, 0xF3, 0xEC);
/// Faces without a colour of their own.
const FACE: Rgb = Rgb(0xEF, 0xE9, 0xDF);

/// One level's bodies, as they are to be shown; `None` where the set has no such level, or its
/// pieces could not be put together.
#[must_use]
pub fn scene<'a>(set: &Set, proof: &'a Proof, level: usize) -> Option<Scene<'a>> {
    let planned = set.plan.as_ref()?;
    let (built, bodies) = proof.levels.get(level).filter(|(_, bodies)| !bodies.is_empty())?;
    let face_of = |kind: PieceKind| {
        let piece = set.pieces.iter().find(|piece| piece.pattern.kind == kind);
        piece.and_then(|piece| piece.face).map_or(FACE, |rgb| Rgb(rgb.0, rgb.1, rgb.2))
    };
    let mut tiles = built.tiles.iter();
    let shown = bodies.iter().map(|body| {
        if body.kind != PieceKind::TileCore {
            let printed = if body.kind == PieceKind::WallCore { PieceKind::WallFacing } else { body.kind };
            return Shown::new(body, face_of(printed), STOCK);
        }
        // Tiles come first and in their order.
        let Some((tile, surface)) = tiles.next() else { return Shown::new(body, FACE, STOCK) };
        let colour = planned.plan.surfaces.get(*surface).and_then(|surface| surface.colour);
        let face = colour.map_or(FACE, |(r, g, b)| Rgb(r, g, b));
        let cover = scene::cover(&set.parameters, *tile).ok().flatten();
        Shown { cover, ..Shown::new(body, face, STOCK) }
    });
    let title = if proof.levels.len() == 1 { set.name.clone() } else { format!("{}, {}", set.name, built.name) };
    Some(Scene { title, shown: shown.collect() })
}
