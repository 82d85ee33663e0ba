//! What can be wrong with a design file beyond its form: names that stand for nothing, cuts that
//! are painted, too much of anything.

use flatwright_artwork::Colour;

use super::design_expr::{Expr, Names};
use super::design_file::{CornerEntry, DesignFile, Pair, ShapeEntry, Tones};
use super::design_values::Name;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{Flag, Rgb};

/// Names that every expression knows: lengths of the wall and of its surroundings, mm.
pub const KNOWN: [&str; 9] =
    ["length", "wall_height", "module", "post", "thickness", "play", "tool", "edge", "hook_gap"];
/// Keys that a set or a plan needs for itself.
const TAKEN: [&str; 2] = ["name", "over"];
/// Index of a repeat that gives it no name.
pub const INDEX: &str = "i";
/// Most entries of a list of shapes or corners.
const MOST_ENTRIES: usize = 200;
/// How deep repeats may stand in each other.
const DEEPEST: usize = 3;
/// Least luminance of ornament: black lines over it keep a contrast of 3:1 (WCAG 2.2, success
/// criterion 1.4.11, and its definition of contrast: (0.10 + 0.05) / (0 + 0.05) = 3).
const LEAST_LUMINANCE: f64 = 0.10;

/// Problems, and warnings.
pub(super) fn check(file: &DesignFile) -> (Vec<Problem>, Vec<Problem>) {
    let mut checker = Checker { known: Names::new(&KNOWN), ..Checker::default() };
    for (name, at, _) in file.values.iter().flat_map(|values| &values.0) {
        if TAKEN.contains(&name.as_str()) {
            let problem = Problem::new(format!("no value can be called \"{name}\"")).at(at, "here");
            checker.problems.push(problem.help("plans and sets use this word themselves; choose another"));
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
    checker.shapes(file.cut.iter().flatten(), false, 0);
    checker.shapes(file.ornament.iter().flatten(), true, 0);
    if let Some(top) = &file.top {
        checker.corners(top);
    }
    if let Some(leaf) = &file.leaf {
        [&leaf.left, &leaf.right, &leaf.height, &leaf.hinge].into_iter().for_each(|expr| checker.expr(expr));
    }
    if let Some(niche) = &file.niche {
        checker.pair(&niche.from);
        checker.pair(&niche.to);
        checker.expr(&niche.depth);
    }
    (checker.problems, checker.warnings)
}

#[derive(Default)]
struct Checker {
    known: Names,
    problems: Vec<Problem>,
    warnings: Vec<Problem>,
}

/// How a shape is painted, as written.
struct Painted<'a> {
    fill: Option<&'a Tones>,
    tone: Option<&'a Expr>,
    line: Option<&'a Spanned<Rgb>>,
    width: Option<&'a Expr>,
    detail: Option<Flag>,
}

impl Checker {
    fn define(&mut self, name: &str, at: &At) {
        let problem = self.known.define(name, at);
        self.problems.extend(problem.map(|problem| {
            let all = KNOWN.join(", ");
            problem.help(format!("choose another name; {all} are lengths of the wall"))
        }));
    }

    fn expr(&mut self, expr: &Expr) {
        self.known.check(expr, &mut self.problems);
    }

    fn pair(&mut self, pair: &Pair) {
        self.expr(&pair.0);
        self.expr(&pair.1);
    }

    /// What an index stands for ends where its repeat ends.
    fn indexed(&mut self, index: Option<&Name>, inner: impl FnOnce(&mut Self)) {
        self.known.push(index.map_or(INDEX, |name| name.0.as_str()));
        inner(self);
        self.known.pop();
    }

    fn count(&mut self, list: &At, found: usize) {
        if !(1..=MOST_ENTRIES).contains(&found) {
            let mut start = list.clone();
            start.end = start.start + 1;
            let problem = Problem::new(format!("a list has {found} entries; it takes 1 to {MOST_ENTRIES}"));
            self.problems.push(problem.at(&start, "this list").help("draw what is alike as one \"repeat\""));
        }
    }

    fn corners(&mut self, corners: &Spanned<Vec<CornerEntry>>) {
        self.count(&corners.at, corners.value.len());
        for corner in &corners.value {
            match corner {
                CornerEntry::One(pair) => self.pair(pair),
                CornerEntry::Many(many) => {
                    self.expr(&many.count);
                    self.indexed(many.index.as_ref(), |checker| checker.pair(&many.at));
                }
            }
        }
    }

    fn shapes<'a>(&mut self, shapes: impl Iterator<Item = &'a ShapeEntry>, ornament: bool, depth: usize) {
        for shape in shapes {
            self.shape(shape, ornament, depth);
        }
    }

    fn shape(&mut self, shape: &ShapeEntry, ornament: bool, depth: usize) {
        let (at, when) = match shape {
            ShapeEntry::Box(e) | ShapeEntry::Arch(e) => {
                self.pair(&e.from);
                self.pair(&e.to);
                (&e.from.0, &e.when)
            }
            ShapeEntry::Circle(e) => {
                self.pair(&e.middle);
                self.expr(&e.radius);
                (&e.radius, &e.when)
            }
            ShapeEntry::Polygon(e) | ShapeEntry::Line(e) => {
                self.corners(&e.points);
                let painted = Painted {
                    fill: e.fill.as_ref(),
                    tone: e.tone.as_ref(),
                    line: e.line.as_ref(),
                    width: e.width.as_ref(),
                    detail: e.detail,
                };
                let is_line = matches!(shape, ShapeEntry::Line(_));
                e.when.iter().for_each(|when| self.expr(when));
                return self.painted(&painted, &e.points.at, ornament, is_line);
            }
            ShapeEntry::Repeat(e) => {
                e.when.iter().for_each(|when| self.expr(when));
                self.expr(&e.count);
                self.count(&e.of.at, e.of.value.len());
                if depth >= DEEPEST {
                    let mut start = e.of.at.clone();
                    start.end = start.start + 1;
                    let problem = Problem::new(format!("repeats stand more than {DEEPEST} deep in each other"));
                    return self.problems.push(problem.at(&start, "here").help("use fewer of them"));
                }
                return self.indexed(e.index.as_ref(), |checker| {
                    checker.shapes(e.of.value.iter(), ornament, depth + 1);
                });
            }
        };
        when.iter().for_each(|when| self.expr(when));
        let painted = match shape {
            ShapeEntry::Box(e) | ShapeEntry::Arch(e) => Painted {
                fill: e.fill.as_ref(),
                tone: e.tone.as_ref(),
                line: e.line.as_ref(),
                width: e.width.as_ref(),
                detail: e.detail,
            },
            ShapeEntry::Circle(e) => Painted {
                fill: e.fill.as_ref(),
                tone: e.tone.as_ref(),
                line: e.line.as_ref(),
                width: e.width.as_ref(),
                detail: e.detail,
            },
            ShapeEntry::Polygon(_) | ShapeEntry::Line(_) | ShapeEntry::Repeat(_) => return,
        };
        self.painted(&painted, at.at(), ornament, false);
    }

    fn painted(&mut self, paint: &Painted<'_>, at: &At, ornament: bool, is_line: bool) {
        let mut at = at.clone();
        at.end = at.end.min(at.start + 24);
        [paint.tone, paint.width].into_iter().flatten().for_each(|expr| self.expr(expr));
        let any = paint.fill.is_some() || paint.line.is_some();
        let more = paint.tone.is_some() || paint.width.is_some() || paint.detail.is_some();
        let mut wrong = |what: &str, help: &str| {
            self.problems.push(Problem::new(what).at(&at, "this shape").help(help));
        };
        match (ornament, is_line) {
            (false, true) => wrong("a line cannot be cut", "cut a box, an arch, a circle or a polygon"),
            (false, false) if any || more => {
                wrong("a cut is not painted", "leave out its colours, or draw the same shape under \"ornament\"");
            }
            (true, true) if paint.line.is_none() || paint.fill.is_some() => {
                wrong("a line has a colour \"line\" and no \"fill\"", "write \"line\": \"#5a4a3a\"");
            }
            (true, false) if !any => {
                wrong("this ornament draws nothing", "give it a \"fill\", a \"line\" or both");
            }
            _ => {}
        }
        let fills = paint.fill.iter().flat_map(|tones| &tones.0);
        for colour in fills.chain(paint.line) {
            let Rgb(r, g, b) = colour.value;
            let luminance = Colour(r, g, b).luminance();
            if luminance < LEAST_LUMINANCE {
                let message = format!("#{r:02x}{g:02x}{b:02x} is too dark for black lines over it");
                let help = format!(
                    "its luminance is {luminance:.3}; from {LEAST_LUMINANCE} on lines need no white border (WCAG 2.2)"
                );
                self.warnings.push(Problem::new(message).at(&colour.at, "this colour").help(help));
            }
        }
    }
}
