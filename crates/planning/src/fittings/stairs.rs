//! Whether stairs lead from where one can stand to where one can stand.

use flatwright_geometry::pieces::stair::{Climb, Flight};

use super::check::may_have_floor;
use super::{FittingDesign, FittingPlace, Form};
use crate::build::LevelBuild;
use crate::plan::{Edge, Level, Plan, Vertex};
use crate::problem::PlanProblem;

/// A cell: column and row, which may be outside of the drawing.
type Cell = (i64, i64);

/// Everything that keeps the stairs of a level from leading anywhere.
///
/// A flight's foot stands before floor of its level, or before a half landing where it leads on from one;
/// its top before floor of the level above, or before a half landing. No wall is across its way. Above it
/// the next level has no floor and no wall. A half landing has a flight up to it and one on from it. Without
/// a level above, a flight leads where the next plan may have one: see [`open_ended`].
#[must_use]
pub fn check(plan: &Plan, level: &Level, build: &LevelBuild) -> Vec<PlanProblem> {
    let stairs: Vec<Standing<'_>> =
        build.fittings.iter().filter_map(|place| Standing::new(plan.fittings.get(place.design)?, place)).collect();
    let ground = Ground { level, above: plan.above(level), stairs: &stairs };
    stairs.iter().flat_map(|stair| ground.problems(stair)).collect()
}

/// Flights to a floor that the plan does not have, since their level is the topmost: their places in the
/// text, and what they are called.
#[must_use]
pub fn open_ended(plan: &Plan, level: &Level, build: &LevelBuild) -> Vec<((usize, usize), String)> {
    if plan.above(level).is_some() {
        return Vec::new();
    }
    let open = build.fittings.iter().filter_map(|place| {
        let design = plan.fittings.get(place.design)?;
        let Form::Flight(Flight { climb: Climb::Whole | Climb::Upper, .. }) = design.form else { return None };
        Some((place.in_text(level), design.called()))
    });
    open.collect()
}

/// A stair and the cells that it covers.
struct Standing<'a> {
    design: &'a FittingDesign,
    place: &'a FittingPlace,
    /// First column and row, and those behind the last.
    from: Cell,
    to: Cell,
}

impl<'a> Standing<'a> {
    fn new(design: &'a FittingDesign, place: &'a FittingPlace) -> Option<Self> {
        let (run, wide) = design.form.cells()?;
        let (run, wide) = (i64::from(run), i64::from(wide));
        let (x, y) = (place.put.x as i64, place.put.y as i64);
        let (from, size) = match design.quarters() {
            0 => ((x, y), (run, wide)),
            1 => ((x, y + 1 - run), (wide, run)),
            2 => ((x + 1 - run, y), (run, wide)),
            _ => ((x, y), (wide, run)),
        };
        Some(Self { design, place, from, to: (from.0 + size.0, from.1 + size.1) })
    }

    fn cells(&self) -> impl Iterator<Item = Cell> + use<> {
        let (from, to) = (self.from, self.to);
        (from.1..to.1).flat_map(move |y| (from.0..to.0).map(move |x| (x, y)))
    }

    fn covers(&self, (x, y): Cell) -> bool {
        (self.from.0..self.to.0).contains(&x) && (self.from.1..self.to.1).contains(&y)
    }

    /// The cells on the far side of its top (else of its foot), each with the edge between.
    fn beyond(&self, top: bool) -> Vec<(Cell, Option<Edge>)> {
        let quarters = if top { self.design.quarters() } else { (self.design.quarters() + 2) % 4 };
        let edge = |x: i64, y: i64, down: bool| {
            let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
            Some(Edge { from: Vertex { x, y }, down })
        };
        let (columns, rows) = (self.from.0..self.to.0, self.from.1..self.to.1);
        match quarters {
            0 => rows.map(|y| ((self.to.0, y), edge(self.to.0, y, true))).collect(),
            1 => columns.map(|x| ((x, self.from.1 - 1), edge(x, self.from.1, false))).collect(),
            2 => rows.map(|y| ((self.from.0 - 1, y), edge(self.from.0, y, true))).collect(),
            _ => columns.map(|x| ((x, self.to.1), edge(x, self.to.1, false))).collect(),
        }
    }

    /// Edges between two of its cells.
    fn inner(&self) -> Vec<Edge> {
        let mut edges = Vec::new();
        for (x, y) in self.cells() {
            let (Ok(column), Ok(row)) = (usize::try_from(x), usize::try_from(y)) else { continue };
            let from = Vertex { x: column, y: row };
            if x > self.from.0 {
                edges.push(Edge { from, down: true });
            }
            if y > self.from.1 {
                edges.push(Edge { from, down: false });
            }
        }
        edges
    }
}

struct Ground<'a> {
    level: &'a Level,
    above: Option<&'a Level>,
    stairs: &'a [Standing<'a>],
}

impl Ground<'_> {
    fn problems(&self, stair: &Standing<'_>) -> Vec<PlanProblem> {
        let mut told = Told { level: self.level, stair, problems: Vec::new() };
        match &stair.design.form {
            Form::Flight(flight) => {
                match flight.climb {
                    Climb::Whole | Climb::Lower => self.foot(stair, &mut told),
                    Climb::Upper => self.meets(stair, false, &mut told),
                }
                match flight.climb {
                    Climb::Whole | Climb::Upper => self.arrives(stair, &mut told),
                    Climb::Lower => self.meets(stair, true, &mut told),
                }
            }
            Form::Landing(_) => self.served(stair, &mut told),
            _ => {}
        }
        told.problems
    }

    /// Floor before the foot, and no wall between.
    fn foot(&self, stair: &Standing<'_>, told: &mut Told<'_>) {
        for (cell, edge) in stair.beyond(false) {
            if !has_floor(self.level, cell) {
                let help = "draw floor before its first step, or let it begin at another cell";
                told.at(cell, "no floor leads to its foot:", "has none", help);
                return;
            }
            if edge.is_some_and(|edge| self.level.wall(edge).is_some()) {
                told.wall(cell, "foot", self.level);
                return;
            }
        }
    }

    /// A half landing at its top (else at its foot).
    fn meets(&self, stair: &Standing<'_>, top: bool, told: &mut Told<'_>) {
        let landings = || self.stairs.iter().filter(|other| matches!(other.design.form, Form::Landing(_)));
        let end = if top { "top" } else { "foot" };
        for (cell, edge) in stair.beyond(top) {
            if !landings().any(|landing| landing.covers(cell)) {
                let help = "put a half landing there, or leave out \"climb\" for a flight from floor to floor";
                told.at(cell, &format!("no half landing is at its {end}:"), "has none", help);
                return;
            }
            if edge.is_some_and(|edge| self.level.wall(edge).is_some()) {
                told.wall(cell, end, self.level);
                return;
            }
        }
    }

    /// Floor of the level above before its top, no wall between, and an opening over all of it.
    fn arrives(&self, stair: &Standing<'_>, told: &mut Told<'_>) {
        let Some(above) = self.above else { return };
        let name = &above.name;
        for (cell, edge) in stair.beyond(true) {
            if !has_floor(above, cell) {
                let help = format!("draw floor there on \"{name}\", or let the stair lead another way");
                told.at(cell, &format!("it arrives at no floor of level \"{name}\":"), "has none", &help);
                return;
            }
            if edge.is_some_and(|edge| above.wall(edge).is_some()) {
                told.wall(cell, "top", above);
                return;
            }
        }
        if let Some(cell) = stair.cells().find(|cell| may_have_floor(above, *cell)) {
            let help = format!("leave the floor of \"{name}\" open over every cell of the stair");
            told.at(cell, &format!("level \"{name}\" has no opening over it:"), "has floor", &help);
        }
        if let Some(edge) = stair.inner().into_iter().find(|edge| above.wall(*edge).is_some()) {
            let cell = (edge.from.x as i64, edge.from.y as i64);
            let help = format!("leave out that wall of \"{name}\"");
            told.at(cell, &format!("a wall of level \"{name}\" stands over it:"), "has it on a side", &help);
        }
    }

    /// A half landing with a flight up to it and one on from it.
    fn served(&self, stair: &Standing<'_>, told: &mut Told<'_>) {
        let flights = |climb: Climb, top: bool| {
            self.stairs.iter().any(|other| {
                let leads = matches!(other.design.form, Form::Flight(flight) if flight.climb == climb);
                leads && other.beyond(top).iter().any(|(cell, _)| stair.covers(*cell))
            })
        };
        if !flights(Climb::Lower, true) {
            let help = "put a flight with \"climb lower\" before it, its way up towards it";
            told.plainly("no flight leads up to it", help);
        }
        if !flights(Climb::Upper, false) {
            let help = "put a flight with \"climb upper\" beside it, its way up away from it";
            told.plainly("no flight leads on from it", help);
        }
    }
}

/// What is told of one stair.
struct Told<'a> {
    level: &'a Level,
    stair: &'a Standing<'a>,
    problems: Vec<PlanProblem>,
}

impl Told<'_> {
    fn plainly(&mut self, what: &str, help: &str) {
        let (line, column) = self.stair.place.in_text(self.level);
        let message = format!("{}: {what}", self.stair.design.called());
        let level = self.level.name.clone();
        self.problems.push(PlanProblem { level, line, column, length: 1, message, help: help.into() });
    }

    fn at(&mut self, (x, y): Cell, what: &str, has: &str, help: &str) {
        self.plainly(&format!("{what} the cell at column {}, row {} {has}", x + 1, y + 1), help);
    }

    fn wall(&mut self, (x, y): Cell, end: &str, level: &Level) {
        let name = &level.name;
        let what = format!("a wall of level \"{name}\" is across its {end}, before column {}, row {}", x + 1, y + 1);
        self.plainly(&what, "leave that wall out: a door has no room there either");
    }
}

/// Whether one can stand in the middle of a cell.
fn has_floor(level: &Level, (x, y): Cell) -> bool {
    level.surely_has_floor(x as f64 + 0.5, y as f64 + 0.5)
}
