//! What can be wrong with a prop file beyond its form.

use super::design_expr::{Expr, Names};
use super::design_file::CornerEntry;
use super::prop_file::{PartEntry, PropFile, Triple};
use crate::problem::{At, Problem, Spanned};

/// Names that every expression knows: lengths of the set, mm.
pub const KNOWN: [&str; 5] = ["module", "wall_height", "board", "card", "play"];
/// Keys that a set needs for itself.
const TAKEN: [&str; 1] = ["name"];
/// Most parts, and most copies of each.
const MOST: usize = 24;
/// Most corners of an outline, entries of the list.
const MOST_CORNERS: usize = 60;

/// Every problem.
pub(super) fn check(file: &PropFile) -> Vec<Problem> {
    let mut checker = Checker { known: Names::new(&KNOWN), problems: Vec::new() };
    for (name, at, _) in file.values.iter().flat_map(|values| &values.0) {
        if TAKEN.contains(&name.as_str()) {
            let problem = Problem::new(format!("no value can be called \"{name}\"")).at(at, "here");
            checker.problems.push(problem.help("sets use this word themselves; choose another"));
        }
        checker.define(name, at);
    }
    for (name, at, expr) in file.names.iter().flat_map(|names| &names.0) {
        checker.expr(expr);
        checker.define(name, at);
    }
    for need in file.needs.iter().flatten() {
        checker.expr(&need.found);
        checker.expr(&need.least);
    }
    checker.count(&file.parts.at, file.parts.value.len(), MOST, "make fewer parts");
    for part in &file.parts.value {
        checker.part(part);
    }
    checker.problems
}

struct Checker {
    known: Names,
    problems: Vec<Problem>,
}

impl Checker {
    fn define(&mut self, name: &str, at: &At) {
        let problem = self.known.define(name, at);
        self.problems.extend(problem.map(|problem| {
            let all = KNOWN.join(", ");
            problem.help(format!("choose another name; {all} are lengths of the set"))
        }));
    }

    fn expr(&mut self, expr: &Expr) {
        self.known.check(expr, &mut self.problems);
    }

    fn triple(&mut self, triple: &Triple) {
        triple.0.iter().for_each(|expr| self.expr(expr));
    }

    fn count(&mut self, list: &At, found: usize, most: usize, help: &str) {
        if !(1..=most).contains(&found) {
            let problem = Problem::new(format!("a list has {found} entries; it takes 1 to {most}"));
            self.problems.push(problem.at(&start(list), "this list").help(help));
        }
    }

    fn part(&mut self, part: &PartEntry) {
        let common = part.common();
        common.when.iter().for_each(|when| self.expr(when));
        if let Some(bars) = common.bars {
            let given = [&bars.bar, &bars.gap, &bars.rim, &bars.door];
            given.into_iter().flatten().for_each(|expr| self.expr(expr));
        }
        if let Some(at) = common.at {
            self.count(&at.at, at.value.len(), MOST, "give one point for each copy");
            at.value.iter().for_each(|point| self.triple(point));
        }
        match part {
            PartEntry::Box(e) => self.triple(&e.size),
            PartEntry::Prism(e) => {
                self.expr(&e.height);
                let plain = [e.facets.as_ref(), e.radius.as_ref()];
                self.outline(e.base.as_ref(), plain, e.round.is_some_and(|round| round.0), e.height.at());
            }
            PartEntry::Cone(e) => {
                self.expr(&e.height);
                let plain = [e.facets.as_ref(), e.radius.as_ref()];
                self.outline(e.base.as_ref(), plain, e.round.is_some_and(|round| round.0), e.height.at());
            }
            PartEntry::Frustum(e) => {
                self.count(&e.radii.at, e.radii.value.len(), 5, "give the radius of each end, from the lowest up");
                e.radii.value.iter().chain(&e.heights.value).for_each(|expr| self.expr(expr));
                if e.radii.value.len() < 2 || e.radii.value.len() != e.heights.value.len() + 1 {
                    let (radii, heights) = (e.radii.value.len(), e.heights.value.len());
                    let problem = Problem::new(format!("a frustum has {radii} radii and {heights} heights"));
                    let help = "give two radii or more, and a height between each two of them";
                    self.problems.push(problem.at(&start(&e.heights.at), "these").help(help));
                }
                // Its radii stand in the place of the one radius.
                let radius = e.radii.value.first().filter(|_| e.base.is_none());
                self.outline(e.base.as_ref(), [e.facets.as_ref(), radius], e.round.is_some_and(|r| r.0), &e.radii.at);
            }
        }
    }

    /// An outline is drawn, or regular with its facets counted or as round as can be.
    fn outline(
        &mut self,
        base: Option<&Spanned<Vec<CornerEntry>>>,
        [facets, radius]: [Option<&Expr>; 2],
        round: bool,
        at: &At,
    ) {
        [facets, radius].into_iter().flatten().for_each(|expr| self.expr(expr));
        for corner in base.iter().flat_map(|base| &base.value) {
            match corner {
                CornerEntry::One(pair) => [&pair.0, &pair.1].into_iter().for_each(|expr| self.expr(expr)),
                CornerEntry::Many(many) => {
                    self.expr(&many.count);
                    let index = many.index.as_ref().map_or(super::design_check::INDEX, |name| name.0.as_str());
                    self.known.push(index);
                    [&many.at.0, &many.at.1].into_iter().for_each(|expr| self.expr(expr));
                    self.known.pop();
                }
            }
        }
        if let Some(base) = base {
            self.count(&base.at, base.value.len(), MOST_CORNERS, "give its corners in order");
        }
        let mut wrong = |what: &str, help: &str| {
            self.problems.push(Problem::new(what).at(&start(at), "of this part").help(help));
        };
        match (base.is_some(), facets.is_some() || round, radius.is_some()) {
            (true, false, false) | (false, true, true) => {}
            (true, ..) => wrong("an outline is given twice", "give a \"base\", or facets and a radius, not both"),
            (false, ..) => wrong("an outline is missing", "give \"facets\" and a radius, or a \"base\""),
        }
        if facets.is_some() && round {
            wrong("facets are counted and round at once", "leave out \"facets\" or \"round\"");
        }
    }
}

/// The beginning of a place, for lists that are long.
fn start(at: &At) -> At {
    let mut start = at.clone();
    start.end = start.end.min(start.start + 1);
    start
}
