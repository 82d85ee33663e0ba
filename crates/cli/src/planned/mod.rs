//! A floor plan worked out: every tile, wall, post and biscuit in its place, with the identifiers
//! of the pieces that are made for it.
//!
//! [`work_out`] goes from the drawing to what is needed; [`Planned`] adds the pieces. The rest
//! shows it: [`view`] as a drawing, [`guide`] as pages, [`record`] in parts.json, [`report`] on the
//! terminal, and [`shopping`] counts what it takes.

pub mod fittings;
pub mod guide;
pub mod record;
pub mod report;
pub mod shopping;
pub mod turns;
pub mod view;

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_planning::assemble::{self, Needed, OnHand, Place, Spot};
use flatwright_planning::build::LevelBuild;
use flatwright_planning::fittings::{Sizes, check, roofs, stairs};
use flatwright_planning::levels::{self, Frame};
use flatwright_planning::order::{self, Step};
use flatwright_planning::plan::{Edge, Level, Plan, Vertex};
use flatwright_planning::problem::PlanProblem;
use flatwright_planning::strength::{self, Advice, Capacities, Cut, Load, Strength};
use flatwright_planning::tiling::{self, Cover};
use flatwright_planning::turns::{Fit, Ground, in_the_way};
use flatwright_planning::walls::walls_and_posts;

use crate::import::Piece;
use crate::problem::{At, Problem, Source};

/// A plan worked out, before its pieces have identifiers.
#[derive(Clone, Debug)]
pub struct Worked {
    /// The plan.
    pub plan: Plan,
    /// Its levels, in the same order.
    pub levels: Vec<LevelWork>,
    /// What a builder should know, though nothing is wrong.
    pub warnings: Vec<Problem>,
    /// Everything it needs, and how many of it are not on hand.
    pub needed: Vec<(Needed, u32)>,
    /// How many of each of these go to each level, lowest first; then how many are spares.
    pub by_level: Vec<Vec<u32>>,
    /// The plan's text.
    pub source: Source,
}

/// One level.
#[derive(Clone, Debug)]
pub struct LevelWork {
    /// Everything in its place.
    pub build: LevelBuild,
    /// Its tiles, with what is proved of them.
    pub cover: Cover,
    /// How it holds together.
    pub strength: Strength,
    /// Where to lift, what is weak, what would help.
    pub advice: Vec<Advice>,
}

/// A plan with the pieces that it needs.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// Its levels, in the same order.
    pub levels: Vec<LevelWork>,
    /// Kinds of piece, in the order of use.
    pub kinds: Vec<Kind>,
    /// The order of building.
    pub steps: Vec<Step>,
    /// Whether something of it has been built already.
    pub has_stock: bool,
    /// Indices into the kinds, by the places that they go to.
    at: BTreeMap<Place, Vec<usize>>,
}

/// One kind of piece of a plan.
#[derive(Clone, Debug)]
pub struct Kind {
    /// What it is, where it goes, and how many the plan needs.
    pub needed: Needed,
    /// How many are made.
    pub missing: u32,
    /// How many of these are for each level, lowest first; then how many are spares.
    pub by_level: Vec<u32>,
    /// Its flat pieces: one, but for board walls. Their own counts are those of the whole set.
    pub pieces: Vec<Piece>,
}

/// Goes from the drawing to what is needed, what is on hand first.
///
/// Tiles on hand go to the lowest levels that can use them. The parameters tell whether walls carry the
/// floor above.
///
/// # Errors
/// Everything that keeps the plan from being built, each with its place in the text.
pub fn work_out(mut plan: Plan, p: &Parameters, source: &Source, on_hand: &OnHand) -> Result<Worked, Vec<Problem>> {
    let mut problems = Vec::new();
    for turn in plan.levels.iter_mut().flat_map(|level| &mut level.turns) {
        turn.fit = Fit::of(turn, p);
    }
    let mut left = tiles_on_hand(&plan, on_hand);
    let frames = match levels::frames(&plan) {
        Ok(frames) => frames,
        Err(found) => return Err(found.into_iter().chain(floors(&plan, &left)).map(|p| problem(source, &p)).collect()),
    };
    let mut levels: Vec<LevelWork> = Vec::new();
    for (index, (level, frame)) in plan.levels.iter().zip(frames).enumerate() {
        match level_of(&plan, level, frame, &left) {
            Ok(mut work) => {
                let (placed, found) = roofs::places(&plan, index, &work.build);
                work.build.roofs = placed;
                problems.extend(found.iter().map(|found| problem(source, found)));
                for (class, count) in &work.cover.from_stock {
                    if let Some(stock) = left.get_mut(class) {
                        *stock = stock.saturating_sub(*count);
                    }
                }
                let found = in_the_way(&plan, level, &work.build, p);
                problems.extend(found.iter().map(|found| problem(source, found)));
                if let Some(below) = index.checked_sub(1).and_then(|below| plan.levels.get(below)) {
                    let found = levels::uncarried(&plan, level, &work.build, below, levels::walls_carry(p));
                    problems.extend(found.iter().map(|found| problem(source, found)));
                }
                let sizes = Sizes {
                    module: p.module,
                    post: p.post_side(),
                    wall: p.wall_thickness(),
                    play: p.play,
                    height: p.wall_height,
                };
                let turned = Ground::of(level, &work.build, p, sizes.beside());
                let mut found = check(&plan, level, &work.build, &turned, sizes);
                found.extend(stairs::check(&plan, level, &work.build));
                found.sort_by_key(|problem| (problem.line, problem.column));
                problems.extend(found.iter().map(|found| problem(source, found)));
                levels.push(work);
            }
            Err(found) => problems.extend(found.iter().map(|found| problem(source, found))),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    join(&plan, &mut levels);
    // What is put together is checked from the drawing up, by code that shares nothing with it.
    for (level, work) in plan.levels.iter().zip(&levels) {
        problems.extend(assemble::verify(&plan, level, &work.build).iter().map(|fault| {
            let at = At::line(source, level.origin.0, level.origin.1, 1);
            let help = "please report this with the plan";
            Problem::new(format!("level \"{}\" was not built as it is drawn: {fault}", level.name))
                .at(&at, "this level")
                .help(help)
        }));
    }
    let builds: Vec<LevelBuild> = levels.iter().map(|level| level.build.clone()).collect();
    problems.extend(assemble::verify_levels(&plan, &builds, levels::walls_carry(p)).into_iter().map(
        |(level, fault)| {
            let drawn = &plan.levels[level];
            let at = At::line(source, drawn.origin.0, drawn.origin.1, 1);
            Problem::new(format!("level \"{}\" does not stand on the one below: {fault}", drawn.name))
                .at(&at, "this level")
                .help("please report this with the plan")
        },
    ));
    if !problems.is_empty() {
        return Err(problems);
    }
    let needed = assemble::pieces(&plan, &builds);
    let missing = assemble::shortfall(&needed, &alike(&plan, on_hand));
    let count = |kind: &Needed| {
        let same = |other: &&Needed| {
            other.piece.same_as(&kind.piece)
                && (other.surface, other.design, other.fitting, other.roof)
                    == (kind.surface, kind.design, kind.fitting, kind.roof)
        };
        missing.iter().find(same)
    };
    let spread = |missing: &Needed| {
        let mut spread = vec![0; plan.levels.len() + 1];
        missing.places.iter().for_each(|place| spread[place.level] += 1);
        // What has no place is spare.
        spread[plan.levels.len()] = missing.count.saturating_sub(spread.iter().sum());
        spread
    };
    let by_level =
        needed.iter().map(|kind| count(kind).map_or_else(|| vec![0; plan.levels.len() + 1], spread)).collect();
    let needed = needed
        .into_iter()
        .map(|kind| {
            let missing = count(&kind).map_or(0, |missing| missing.count);
            (kind, missing)
        })
        .collect();
    let warnings = open_ended(&plan, &levels, source);
    Ok(Worked { plan, levels, warnings, needed, by_level, source: source.clone() })
}

/// Flights that lead to a floor that is not in the plan.
fn open_ended(plan: &Plan, works: &[LevelWork], source: &Source) -> Vec<Problem> {
    let levels = plan.levels.iter().zip(works);
    let told = levels.flat_map(|(level, work)| stairs::open_ended(plan, level, &work.build));
    let warning = |((line, column), called): ((usize, usize), String)| {
        let message = format!("{called} leads to a floor that the plan does not have");
        let help = "draw the level above, if it is to stand on this one; the stair reaches its floor";
        Problem::new(message).at(&At::line(source, line, column, 1), "here").help(help)
    };
    told.map(warning).collect()
}

/// Floors that cannot be covered, on levels whose own walls are well.
fn floors(plan: &Plan, on_hand: &tiling::OnHand) -> Vec<PlanProblem> {
    let of = |level: &Level| {
        let (_, posts) = walls_and_posts(plan, level).ok()?;
        tiling::cover(plan, level, &posts, on_hand, tiling::DEFAULT_EFFORT).err()
    };
    plan.levels.iter().filter_map(of).flatten().collect()
}

/// Puts couplers between levels, and says where to lift each off the one below.
fn join(plan: &Plan, works: &mut [LevelWork]) {
    let mut builds: Vec<LevelBuild> = works.iter().map(|work| work.build.clone()).collect();
    levels::join(&mut builds);
    let levels = plan.levels.iter().zip(plan.levels.iter().skip(1));
    for ((work, build), (below, level)) in works.iter_mut().zip(builds).skip(1).zip(levels) {
        work.build = build;
        work.advice.extend(strength::lift_off(below, level, &work.build, &work.strength));
    }
}

fn level_of(
    plan: &Plan,
    level: &Level,
    (walls, posts): Frame,
    on_hand: &tiling::OnHand,
) -> Result<LevelWork, Vec<PlanProblem>> {
    let cover = tiling::cover(plan, level, &posts, on_hand, tiling::DEFAULT_EFFORT)?;
    let build = assemble::assemble(plan, level, walls, posts, cover.tiles.clone());
    let strength = strength::measure(level, &build, Capacities::default());
    let advice = strength::advise(plan, level, &build, &strength);
    Ok(LevelWork { build, cover, strength, advice })
}

fn problem(source: &Source, found: &PlanProblem) -> Problem {
    let at = At::line(source, found.line, found.column, found.length);
    let message = format!("level \"{}\": {}", found.level, found.message);
    Problem::new(message).at(&at, "here").help(found.help.as_str())
}

/// A tile of one module has no module points but its corners: it serves plans of either relief.
fn alike(plan: &Plan, on_hand: &OnHand) -> OnHand {
    let mut on_hand = on_hand.clone();
    for stock in on_hand.tiles.iter_mut().filter(|stock| (stock.tile.across, stock.tile.along) == (1, 1)) {
        stock.tile.reliefs = plan.reliefs;
    }
    on_hand
}

/// Tiles on hand that the plan can use, as the tiling counts them.
fn tiles_on_hand(plan: &Plan, on_hand: &OnHand) -> tiling::OnHand {
    let mut tiles = tiling::OnHand::new();
    for stock in alike(plan, on_hand).tiles {
        let tile = stock.tile.up_to_rotation();
        let Some(surface) = plan.surfaces.iter().position(|surface| surface.name == stock.surface) else { continue };
        if tile.reliefs == plan.reliefs {
            *tiles.entry((surface, (tile.across as usize, tile.along as usize))).or_default() += stock.count as usize;
        }
    }
    tiles
}

impl Worked {
    /// Where the plan's text asks for a kind of piece first.
    #[must_use]
    pub fn at(&self, needed: &Needed) -> At {
        let (line, column) = match needed.places.first() {
            Some(Place { level, spot }) => self.spot(*level, *spot),
            // Extras have no place.
            None => self.plan.levels.first().map_or((1, 1), |level| level.origin),
        };
        At::line(&self.source, line, column, 1)
    }

    fn spot(&self, level: usize, spot: Spot) -> (usize, usize) {
        let (drawn, build) = (&self.plan.levels[level], &self.levels[level].build);
        match spot {
            Spot::Tile(tile) => drawn.cell_in_text(build.tiles[tile].x, build.tiles[tile].y),
            Spot::Post(post) | Spot::Cap(post) => drawn.vertex_in_text(build.posts[post].at),
            Spot::Coupler(coupler) => drawn.vertex_in_text(build.posts[build.couplers[coupler].post].at),
            Spot::Pocket(at, _) => drawn.vertex_in_text(at),
            Spot::Fitting(fitting) => build.fittings[fitting].in_text(drawn),
            Spot::Roof(roof) => {
                let (line, column, _) = self.plan.roofs[build.roofs[roof].design].spot;
                (line, column)
            }
            Spot::Biscuit(edge) => edge_in_text(drawn, edge),
            Spot::TurnTile(tile) => turns::in_text(drawn, build.turn_tiles[tile].turn),
            Spot::BentWall(wall) => turns::in_text(drawn, build.bent_walls[wall].turn),
            Spot::Wall(wall) => {
                let wall = &build.walls[wall];
                edge_in_text(drawn, Edge { from: wall.from, down: wall.down })
            }
        }
    }
}

/// Line and column of the middle of an edge in the plan's text.
fn edge_in_text(level: &Level, edge: Edge) -> (usize, usize) {
    let (line, column) = level.vertex_in_text(edge.from);
    if edge.down { (line + 1, column) } else { (line, column + 2) }
}

impl Planned {
    /// A plan with its pieces: those of each kind, in the order of [`Worked::needed`].
    #[must_use]
    pub fn new(worked: Worked, pieces: Vec<Vec<Piece>>) -> Self {
        let builds: Vec<LevelBuild> = worked.levels.iter().map(|level| level.build.clone()).collect();
        let needed: Vec<Needed> = worked.needed.iter().map(|(needed, _)| needed.clone()).collect();
        let mut steps = order::steps(&worked.plan, &builds, &needed);
        for step in steps.iter_mut().filter(|step| step.title.starts_with(order::SET_ON)) {
            let advice = step.level.and_then(|level| worked.levels.get(level)).map(|work| &work.advice);
            let lift = advice.into_iter().flatten().find(|advice| matches!(advice, Advice::LiftOff { .. }));
            step.text.extend(lift.map(|lift| format!(" {lift}")));
        }
        let kinds: Vec<Kind> = (worked.needed.into_iter().zip(worked.by_level).zip(pieces))
            .map(|(((needed, missing), by_level), pieces)| Kind { needed, missing, by_level, pieces })
            .collect();
        let has_stock = kinds.iter().any(|kind| kind.missing < kind.needed.count);
        let mut at: BTreeMap<Place, Vec<usize>> = BTreeMap::new();
        for (index, kind) in kinds.iter().enumerate() {
            for place in &kind.needed.places {
                // Several copies may go to one place, such as the legs of a table.
                let kinds = at.entry(*place).or_default();
                if !kinds.contains(&index) {
                    kinds.push(index);
                }
            }
        }
        Self { plan: worked.plan, levels: worked.levels, kinds, steps, has_stock, at }
    }

    /// The kinds that go to a place, in the order of use: a tile takes its core and its wrap.
    pub fn kinds_at(&self, level: usize, spot: Spot) -> impl Iterator<Item = &Kind> {
        self.at.get(&Place { level, spot }).into_iter().flatten().map(|&index| &self.kinds[index])
    }

    /// The identifiers of the pieces that go to a place.
    #[must_use]
    pub fn ids_at(&self, level: usize, spot: Spot) -> Vec<String> {
        self.kinds_at(level, spot).flat_map(|kind| &kind.pieces).map(|piece| piece.id.clone()).collect()
    }

    /// The levels' names, and how many of each piece that is made go to each, by the piece's identifier;
    /// none where there is one level.
    #[must_use]
    pub fn by_level(&self) -> Vec<(&str, BTreeMap<&str, u32>)> {
        if self.levels.len() < 2 {
            return Vec::new();
        }
        let counts = |index: usize| {
            let mut counts: BTreeMap<&str, u32> = BTreeMap::new();
            for kind in &self.kinds {
                for piece in &kind.pieces {
                    let sum = counts.entry(piece.id.as_str()).or_default();
                    *sum = sum.saturating_add(kind.by_level[index]);
                }
            }
            counts
        };
        self.plan.levels.iter().enumerate().map(|(index, level)| (level.name.as_str(), counts(index))).collect()
    }

    /// What each level carries, lowest first; `None` for the topmost one.
    #[must_use]
    pub fn loads(&self, p: &Parameters) -> Vec<Option<Load>> {
        let builds: Vec<LevelBuild> = self.levels.iter().map(|level| level.build.clone()).collect();
        strength::loads(&self.plan, &builds, p)
    }

    /// How many levels, tiles, walls, posts, fittings and roofs there are, such as for a headline.
    #[must_use]
    pub fn totals(&self) -> [usize; 6] {
        let sum = |count: fn(&LevelBuild) -> usize| self.levels.iter().map(|level| count(&level.build)).sum();
        let (tiles, posts) = (sum(LevelBuild::slabs), sum(|b| b.posts.len()));
        let walls = sum(|b| b.walls.len() + b.bent_walls.len());
        [self.levels.len(), tiles, walls, posts, sum(|b| b.fittings.len()), sum(|b| b.roofs.len())]
    }
}

impl LevelWork {
    /// The weakest of its parts: the cut that holds least; none where no tile is tied to another.
    #[must_use]
    pub fn weakest(&self) -> Option<&Cut> {
        self.strength.parts.iter().filter_map(|part| part.weakest.as_ref()).min_by_key(|cut| cut.capacity)
    }
}

/// Column and row of a vertex, from 0.
fn pair(vertex: Vertex) -> [usize; 2] {
    [vertex.x, vertex.y]
}
