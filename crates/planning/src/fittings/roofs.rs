//! Roofs over the topmost level: which plan each has, and whether posts and walls let it lie there.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::pieces::roof::{Form, Roof, Skirt};
use flatwright_geometry::units::{Angle, Mm};

use crate::build::{LevelBuild, PostPlace};
use crate::plan::{Edge, Level, Plan, Vertex};
use crate::problem::PlanProblem;

/// Most corners of a roof's plan, and most modules along it: as in a set.
pub const MOST_CORNERS: usize = 24;
/// Most modules along a side of it.
pub const LONGEST: usize = 20;
/// Most roofs of a plan.
pub const MOST_ROOFS: usize = 20;

/// A roof as the text asks for it.
#[derive(Clone, Debug, PartialEq)]
pub struct RoofDesign {
    /// Index into [`Plan::levels`].
    pub level: usize,
    /// Its form.
    pub form: Form,
    /// Pitch of its slopes.
    pub pitch: Angle,
    /// How far its eaves reach past the posts.
    pub overhang: Mm,
    /// Where its skirt is; where there is room for it, inside first, where the text says nothing.
    pub skirt: Option<Skirt>,
    /// The part of the level that it covers: column and row of its north-west cell, columns and rows; all
    /// of the level where the text says nothing.
    pub over: Option<[usize; 4]>,
    /// The surface or the colour that covers it, as written, and where: line and column, from 1.
    pub face: Option<(String, (usize, usize))>,
    /// Where it is asked for: line, column and number of characters.
    pub spot: (usize, usize, usize),
}

/// A roof in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct RoofPlace {
    /// Index into [`Plan::roofs`].
    pub design: usize,
    /// The roof, its plan from its own south-west corner.
    pub roof: Roof,
    /// The vertex of the level under that corner.
    pub at: Vertex,
    /// The cells under it.
    pub cells: BTreeSet<(usize, usize)>,
}

impl RoofDesign {
    /// What people read: `hip roof`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} roof", self.form.name())
    }

    fn problem(&self, level: &Level, message: &str, help: &str) -> PlanProblem {
        let (line, column, length) = self.spot;
        let message = format!("the {}: {message}", self.name());
        PlanProblem { level: level.name.clone(), line, column, length, message, help: help.into() }
    }
}

/// The roofs of a level, in the order of the text, and what keeps others from lying there.
///
/// A roof lies on the topmost level, on its posts or their caps, over a plan in one piece that has a post under
/// each corner. It covers all floor and everything that walls enclose. Its skirt drops in between the posts,
/// where no wall inside runs up to them, or goes round them, where none runs on outside.
#[must_use]
pub fn places(plan: &Plan, index: usize, build: &LevelBuild) -> (Vec<RoofPlace>, Vec<PlanProblem>) {
    let Some(level) = plan.levels.get(index) else { return (Vec::new(), Vec::new()) };
    let posts: BTreeSet<Vertex> = build.posts.iter().map(|post: &PostPlace| post.at).collect();
    let (mut roofs, mut problems): (Vec<RoofPlace>, Vec<PlanProblem>) = (Vec::new(), Vec::new());
    for (number, design) in plan.roofs.iter().enumerate().filter(|(_, design)| design.level == index) {
        match place(plan, level, (number, design), &posts) {
            Ok(roof) => {
                // Eaves reach over the posts: roofs need a module between them.
                let near = |other: &RoofPlace| {
                    let beside = |(x, y): &(usize, usize)| {
                        let around = (y.saturating_sub(1)..=y + 1)
                            .flat_map(|y| (x.saturating_sub(1)..=x + 1).map(move |x| (x, y)));
                        around.into_iter().any(|cell| other.cells.contains(&cell))
                    };
                    roof.cells.iter().any(beside)
                };
                if roofs.iter().any(near) {
                    let help = "leave a module free between them, or make them one";
                    problems.push(design.problem(level, "another roof is over it or beside it", help));
                } else {
                    roofs.push(roof);
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    (roofs, problems)
}

fn place(
    plan: &Plan,
    level: &Level,
    (number, design): (usize, &RoofDesign),
    posts: &BTreeSet<Vertex>,
) -> Result<RoofPlace, PlanProblem> {
    let wrong = |message: &str, help: &str| design.problem(level, message, help);
    if let Some(above) = plan.above(level) {
        let message = format!("level \"{}\" stands on \"{}\"", above.name, level.name);
        return Err(wrong(&message, "put the roof over the topmost level"));
    }
    let cells = match design.over {
        None => covered(level),
        Some([x, y, wide, deep]) => {
            if x + wide > level.width || y + deep > level.height {
                let message = format!("it reaches out of the level's {} x {} cells", level.width, level.height);
                return Err(wrong(&message, "count \"over\" from the level's north-west cell, which is 0 0"));
            }
            (y..y + deep).flat_map(|y| (x..x + wide).map(move |x| (x, y))).collect()
        }
    };
    let Some(corners) = outline(&cells) else {
        let help = "let floor and walls of the level lie in one piece, or give a part of it: \"over 0 0 3 2\"";
        return Err(wrong("its plan is not in one piece", help));
    };
    let (low_x, low_y) = corners.iter().fold((i32::MAX, i32::MAX), |(x, y), corner| (x.min(corner.0), y.min(corner.1)));
    let long = corners.iter().map(|corner| (corner.0 - low_x).max(corner.1 - low_y)).max().unwrap_or(0);
    if corners.len() > MOST_CORNERS || usize::try_from(long).is_ok_and(|long| long > LONGEST) {
        let message = format!("its plan has {} corners and is {long} modules long", corners.len());
        let help = format!("roof parts of the level, of up to {MOST_CORNERS} corners and {LONGEST} modules");
        return Err(wrong(&message, &help));
    }
    // Corners count y to the north.
    let vertex =
        |(x, y): (i32, i32)| Vertex { x: usize::try_from(x).unwrap_or(0), y: usize::try_from(-y).unwrap_or(0) };
    if let Some(bare) = corners.iter().map(|corner| vertex(*corner)).find(|corner| !posts.contains(corner)) {
        let message = format!("no post stands under its corner at vertex {} of line {}", bare.x + 1, bare.y + 1);
        return Err(wrong(&message, "draw walls that end or turn there, or cover another part: \"over 0 0 3 2\""));
    }
    let free = |skirt: Skirt| in_the_way(level, &cells, skirt).is_none();
    let skirt = match design.skirt {
        Some(skirt) => skirt,
        None if free(Skirt::Inside) => Skirt::Inside,
        None => Skirt::Outside,
    };
    if let Some(edge) = in_the_way(level, &cells, skirt) {
        let at = format!("vertex {} of line {}", edge.from.x + 1, edge.from.y + 1);
        let (message, help) = match (skirt, design.skirt) {
            (Skirt::Inside, _) => (
                format!("a wall inside runs up to its skirt, at {at}"),
                "leave out \"skirt inside\": a skirt goes round the posts where it has no room between them",
            ),
            (Skirt::Outside, Some(_)) => {
                (format!("a wall outside runs up to its skirt, at {at}"), "leave out \"skirt outside\", or that wall")
            }
            (Skirt::Outside, None) => (
                format!("its skirt has no room: walls run up to it inside and outside, at {at}"),
                "leave out the walls on one of the two sides",
            ),
        };
        return Err(wrong(&message, help));
    }
    let roof = Roof {
        form: design.form,
        plan: corners.iter().map(|(x, y)| (x - low_x, y - low_y)).collect(),
        pitch: design.pitch,
        overhang: design.overhang,
        skirt,
        on_caps: plan.caps,
    };
    Ok(RoofPlace { design: number, roof, at: vertex((low_x, low_y)), cells })
}

/// All cells with floor, and those that nobody can reach from outside without crossing floor or a wall.
fn covered(level: &Level) -> BTreeSet<(usize, usize)> {
    // With a ring of cells around the drawing.
    let (width, height) = (level.width + 2, level.height + 2);
    let inner = |x: usize, y: usize| Some((x.checked_sub(1)?, y.checked_sub(1)?));
    let floor = |x: usize, y: usize| inner(x, y).is_some_and(|(x, y)| level.cell(x, y).is_some());
    // The edge west or north of a cell of the ring's count.
    let wall = |x: usize, y: usize, down: bool| {
        inner(x, y).is_some_and(|(x, y)| level.wall(Edge { from: Vertex { x, y }, down }).is_some())
    };
    let mut outside = vec![false; width * height];
    let mut open = vec![(0, 0)];
    outside[0] = true;
    while let Some((x, y)) = open.pop() {
        let mut step = |x: usize, y: usize, walled: bool| {
            if x < width && y < height && !walled && !floor(x, y) && !outside[y * width + x] {
                outside[y * width + x] = true;
                open.push((x, y));
            }
        };
        step(x + 1, y, wall(x + 1, y, true));
        step(x, y + 1, wall(x, y + 1, false));
        if x > 0 {
            step(x - 1, y, wall(x, y, true));
        }
        if y > 0 {
            step(x, y - 1, wall(x, y, false));
        }
    }
    let cells = (0..level.height).flat_map(|y| (0..level.width).map(move |x| (x, y)));
    cells.filter(|&(x, y)| !outside[(y + 1) * width + x + 1]).collect()
}

/// The corners of cells, counterclockwise, x to the east and y to the north of the north-west corner.
/// `None` where they are not in one piece or have a hole.
fn outline(cells: &BTreeSet<(usize, usize)>) -> Option<Vec<(i32, i32)>> {
    let has = |x: i32, y: i32| match (usize::try_from(x), usize::try_from(y)) {
        (Ok(x), Ok(y)) => cells.contains(&(x, y)),
        _ => false,
    };
    // From each corner the side that begins there, its cell on the left.
    let mut sides: BTreeMap<(i32, i32), (i32, i32)> = BTreeMap::new();
    for &(x, y) in cells {
        let (x, y) = (i32::try_from(x).ok()?, i32::try_from(y).ok()?);
        let around = [
            (has(x, y + 1), (x, -y - 1), (x + 1, -y - 1)),
            (has(x + 1, y), (x + 1, -y - 1), (x + 1, -y)),
            (has(x, y - 1), (x + 1, -y), (x, -y)),
            (has(x - 1, y), (x, -y), (x, -y - 1)),
        ];
        for (_, from, to) in around.into_iter().filter(|(beside, ..)| !beside) {
            // Two sides begin where cells touch at a corner alone.
            if sides.insert(from, to).is_some() {
                return None;
            }
        }
    }
    let first = *sides.keys().next()?;
    let mut points = vec![first];
    let mut at = *sides.get(&first)?;
    while at != first {
        points.push(at);
        at = *sides.get(&at)?;
    }
    if points.len() != sides.len() {
        return None;
    }
    let n = points.len();
    let turns = |i: &usize| {
        let (before, here, after) = (points[(i + n - 1) % n], points[*i], points[(i + 1) % n]);
        (before.0 == here.0) != (here.0 == after.0)
    };
    Some((0..n).filter(turns).map(|i| points[i]).collect())
}

/// A wall that meets the side of these cells where a skirt would be.
fn in_the_way(level: &Level, cells: &BTreeSet<(usize, usize)>, skirt: Skirt) -> Option<Edge> {
    let under = |x: Option<usize>, y: Option<usize>| x.zip(y).is_some_and(|cell| cells.contains(&cell));
    // The cells on both sides of an edge.
    let sides = |edge: Edge| {
        let Vertex { x, y } = edge.from;
        let other = if edge.down { under(x.checked_sub(1), Some(y)) } else { under(Some(x), y.checked_sub(1)) };
        [under(Some(x), Some(y)), other]
    };
    let along = |edge: Edge| matches!(sides(edge), [true, false] | [false, true]);
    let at_side = |vertex: Vertex| (0..4).filter_map(|face| Level::edge_at(vertex, face)).any(along);
    let wanted = match skirt {
        Skirt::Inside => [true, true],
        Skirt::Outside => [false, false],
    };
    let meets = |edge: &Edge| sides(*edge) == wanted && (at_side(edge.from) || at_side(edge.to()));
    level.walls().map(|(edge, _)| edge).find(meets)
}
