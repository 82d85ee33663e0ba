//! Edges to walls and posts: every run is split so that walls and posts are fewest.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};

use crate::build::{PostPlace, WallPlace};
use crate::plan::{Edge, Level, OffFloor, Plan, Vertex};
use crate::problem::PlanProblem;
use crate::turns::Ends;

/// The walls and posts of a level.
///
/// A post stands where walls end, turn, branch, cross or change their design, and where a wall on a
/// bend ends; fillers have one at the end at which they hang, and one stands where the drawing has a column:
/// walls are parted there. Between such vertices a straight run of plain wall is split into the plan's spans:
/// fewest walls, which is also fewest posts, and among those the split with fewest posts where no tile lies.
/// No run is split where the tile of a turn has no room for a post.
///
/// # Errors
/// Runs that no spans fill, designs drawn over a number of edges that their span does not divide,
/// and posts without a tile where the plan refuses them.
pub fn walls_and_posts(plan: &Plan, level: &Level) -> Result<(Vec<WallPlace>, Vec<PostPlace>), Vec<PlanProblem>> {
    under(plan, level, &BTreeSet::new())
}

/// The same for a level on which posts stand, at the vertices `above`: every wall that passes under
/// one of them is parted there by a post, and posts under them carry a level.
///
/// # Errors
/// As [`walls_and_posts`] has them.
pub fn under(
    plan: &Plan,
    level: &Level,
    above: &BTreeSet<Vertex>,
) -> Result<(Vec<WallPlace>, Vec<PostPlace>), Vec<PlanProblem>> {
    let mut problems = Vec::new();
    let mut walls = Vec::new();
    let ends = Ends::of(level);
    // A wall on a bend ends at posts too.
    let parting: BTreeSet<Vertex> = above.iter().chain(ends.arms.keys()).copied().collect();
    for down in [false, true] {
        for run in runs(plan, level, down, &parting) {
            split(plan, level, &run, above, &ends, &mut walls, &mut problems);
        }
    }
    walls.sort();
    let posts = posts(plan, level, &walls, above, &ends, &mut problems);
    if problems.is_empty() { Ok((walls, posts)) } else { Err(problems) }
}

/// A straight run of edges of one design, between two vertices that need a post.
struct Run {
    edges: Vec<Edge>,
    design: usize,
}

fn runs(plan: &Plan, level: &Level, down: bool, above: &BTreeSet<Vertex>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let (lines, length) = if down { (level.width, level.height) } else { (level.height, level.width) };
    for line in 0..=lines {
        let mut open: Option<Run> = None;
        for i in 0..length {
            let from = if down { Vertex { x: line, y: i } } else { Vertex { x: i, y: line } };
            let edge = Edge { from, down };
            let design = level.wall(edge);
            let parted = turns(plan, level, from) || above.contains(&from) || level.columns.contains(&from);
            let goes_on = open.as_ref().is_some_and(|run| Some(run.design) == design) && !parted;
            if !goes_on {
                runs.extend(open.take());
            }
            if let Some(design) = design {
                open.get_or_insert(Run { edges: Vec::new(), design }).edges.push(edge);
            }
        }
        runs.extend(open);
    }
    runs
}

/// Whether walls do anything but run straight through a vertex. The free end of a filler does not count.
fn turns(plan: &Plan, level: &Level, vertex: Vertex) -> bool {
    let reaches = |design: usize, edge: Edge| match plan.designs.get(design).and_then(|design| design.filler) {
        Some(filler) => vertex == if filler.side.far() { edge.to() } else { edge.from },
        None => true,
    };
    let wall =
        |face| Level::edge_at(vertex, face).is_some_and(|edge| level.wall(edge).is_some_and(|d| reaches(d, edge)));
    let (north, west, south, east) = (wall(0), wall(1), wall(2), wall(3));
    (north || south) && (west || east)
}

/// Splits one run into walls.
fn split(
    plan: &Plan,
    level: &Level,
    run: &Run,
    above: &BTreeSet<Vertex>,
    ends: &Ends,
    walls: &mut Vec<WallPlace>,
    problems: &mut Vec<PlanProblem>,
) {
    let design = &plan.designs[run.design];
    let spans: Vec<usize> = match design.letter {
        None => plan.spans.iter().map(|&span| span as usize).collect(),
        Some(_) => vec![design.span as usize],
    };
    let length = run.edges.len();
    // best[i]: fewest (walls, posts without a tile) for the first i edges, and the last span used.
    let mut best: Vec<Option<((usize, usize), usize)>> = vec![None; length + 1];
    best[0] = Some(((0, 0), 0));
    for end in 1..=length {
        if end < length && ends.closed.contains_key(&run.edges[end].from) {
            continue;
        }
        let bare = end < length && !has_floor(level, ends, run.edges[end].from);
        for &span in spans.iter().filter(|&&span| span <= end) {
            let Some(((count, off), _)) = best[end - span] else { continue };
            let cost = (count + 1, off + usize::from(bare));
            // Spans come longest first: of equal splits the one that ends in its longest wall.
            if best[end].is_none_or(|(known, _)| cost < known) {
                best[end] = Some((cost, span));
            }
        }
    }
    let mut end = length;
    while end > 0 {
        let Some((_, span)) = best[end] else {
            let both = [run.edges[0].from, run.edges[length - 1].to()];
            let parted = both.iter().any(|end| above.contains(end) || level.columns.contains(end));
            let mut problem = PlanProblem::run(level, run.edges[0], length, design, &spans, parted);
            if run.edges.iter().skip(1).any(|edge| ends.closed.contains_key(&edge.from)) {
                problem.message += " without a post in the side of a turn's tile";
            }
            problems.push(problem);
            return;
        };
        let first = run.edges[end - span];
        walls.push(WallPlace { down: first.down, from: first.from, span, design: run.design, filler: design.filler });
        end -= span;
    }
}

fn has_floor(level: &Level, ends: &Ends, vertex: Vertex) -> bool {
    (0..4).any(|quadrant| floor_at(level, ends, vertex, quadrant))
}

fn floor_at(level: &Level, ends: &Ends, vertex: Vertex, quadrant: usize) -> bool {
    level.cell_at(vertex, quadrant).is_some_and(|(x, y)| level.cell(x, y).is_some())
        || ends.feet.contains(&(vertex, quadrant))
}

/// A post at each end of each wall, and where one is drawn without walls, its arms from the walls that end there, its feet from the
/// tiles around it.
fn posts(
    plan: &Plan,
    level: &Level,
    walls: &[WallPlace],
    above: &BTreeSet<Vertex>,
    ends: &Ends,
    problems: &mut Vec<PlanProblem>,
) -> Vec<PostPlace> {
    let mut arms: BTreeMap<(usize, usize), u8> = BTreeMap::new();
    for wall in walls {
        for (at, face) in wall.hooks() {
            *arms.entry((at.y, at.x)).or_default() |= 1 << face;
        }
    }
    for (at, faces) in &ends.arms {
        let post = arms.entry((at.y, at.x)).or_default();
        for face in (0..4).filter(|&face| faces[face] > 0) {
            if faces[face] > 1 || *post >> face & 1 == 1 {
                problems.push(PlanProblem::taken(level, *at, face));
            }
            *post |= 1 << face;
        }
    }
    for at in &level.columns {
        arms.entry((at.y, at.x)).or_default();
    }
    arms.into_iter()
        .map(|((y, x), arms)| {
            let at = Vertex { x, y };
            let feet = (0..4u8).filter(|&q| floor_at(level, ends, at, usize::from(q))).fold(0, |bits, q| bits | 1 << q);
            if let Some(letter) = ends.closed.get(&at) {
                problems.push(PlanProblem::closed(level, at, *letter));
            }
            if feet == 0 && plan.off_floor == OffFloor::Refuse {
                problems.push(PlanProblem::off_floor(level, at));
            }
            let stand = if feet == 0 { Stand::BasePlate } else { Stand::Feet(Feet::from_bits(feet)) };
            PostPlace { at, post: Post { arms: Arms::from_bits(arms), stand, under: above.contains(&at) } }
        })
        .collect()
}
