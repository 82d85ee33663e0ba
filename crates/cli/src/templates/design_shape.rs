//! The shapes of a design file, as areas that are cut and as paths that are painted.

use flatwright_artwork::{Colour, Element};
use flatwright_geometry::contour::Contour;
use flatwright_geometry::pieces::opening::round_headed;
use flatwright_geometry::region::Region;
use kurbo::{BezPath, Circle, PathEl, Point, Rect, Shape as _};

use super::design_check::INDEX;
use super::design_expr::{Expr, Scope};
use super::design_file::{BoxEntry, CornerEntry, Pair, ShapeEntry, Tones};
use super::design_values::Name;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{Flag, Rgb};

/// Most times that one repeat draws.
const MOST_TIMES: f64 = 400.0;
/// Most shapes of a design, and most corners, repeats counted out.
const MOST_SHAPES: usize = 4000;
const MOST_CORNERS: usize = 40_000;
/// Most shapes that are looked at, those left out by their "when" too: repeats in repeats could ask
/// that of millions.
const MOST_LOOKS: usize = 100_000;
/// Width of a line that says nothing else, mm.
const LINE_WIDTH: f64 = 0.2;
/// How far a curve may be from the one that is meant, mm.
const CURVE: f64 = 0.005;
/// Least width and height of a cut, mm.
const LEAST_CUT: f64 = 1.0;

/// Takes what a cut lacks: what must hold, the number found, the least one.
pub(super) type Refuse<'a> = dyn FnMut(&str, f64, f64) + 'a;

/// Draws shapes with the names that are known.
pub(super) struct Pencil {
    scope: Scope,
    shapes: usize,
    corners: usize,
    looks: usize,
}

/// One shape without its repeats.
enum Plain {
    Box(Rect),
    Arch(Rect),
    Circle(Circle),
    Polygon(Vec<Point>, At),
    Line(Vec<Point>),
}

/// How it is painted.
#[derive(Clone, Copy)]
struct Paints<'a> {
    fill: Option<&'a Tones>,
    tone: Option<&'a Expr>,
    line: Option<&'a Spanned<Rgb>>,
    width: Option<&'a Expr>,
    detail: Option<Flag>,
}

impl Pencil {
    pub fn new(scope: Scope) -> Self {
        Self { scope, shapes: 0, corners: 0, looks: 0 }
    }

    pub fn point(&self, pair: &Pair) -> Result<Point, Problem> {
        Ok(Point::new(pair.0.value(&self.scope)?, pair.1.value(&self.scope)?))
    }

    /// All corners, repeats counted out.
    pub fn points(&mut self, corners: &Spanned<Vec<CornerEntry>>) -> Result<Vec<Point>, Problem> {
        let mut points = Vec::new();
        for corner in &corners.value {
            match corner {
                CornerEntry::One(pair) => points.push(self.point(pair)?),
                CornerEntry::Many(many) => {
                    self.times(&many.count, many.index.as_ref(), |pencil| {
                        points.push(pencil.point(&many.at)?);
                        Ok(())
                    })?;
                }
            }
        }
        self.corners += points.len();
        if self.corners > MOST_CORNERS {
            return Err(too_many("corners", MOST_CORNERS, &corners.at));
        }
        Ok(points)
    }

    /// Adds what a shape cuts.
    pub fn cut(
        &mut self,
        shape: &ShapeEntry,
        name: &str,
        cuts: &mut Vec<Region>,
        refuse: &mut Refuse<'_>,
    ) -> Result<(), Problem> {
        self.each(shape, &mut |_, plain, _| {
            match plain {
                Plain::Box(area) => {
                    if has_sides(name, area, refuse) {
                        cuts.extend(Contour::rectangle(area).map(Region::from));
                    }
                }
                Plain::Arch(area) => {
                    let least = area.width() / 2.0;
                    // Only what lies above the floor is seen.
                    let height = area.y1 - area.y0.max(0.0);
                    if has_sides(name, area, refuse) {
                        if height < least - flatwright_geometry::tolerance::FIT {
                            refuse(&format!("the {name} is higher than its half-round head"), height, least);
                        } else {
                            cuts.extend(round_headed(area.center().x, area.width(), area.y0, area.y1));
                        }
                    }
                }
                Plain::Circle(circle) => {
                    let bounds = circle.bounding_box();
                    if has_sides(name, bounds, refuse) {
                        cuts.extend(Contour::flattened(&circle.to_path(CURVE)).ok().map(Region::from));
                    }
                }
                Plain::Polygon(points, at) => match Contour::new(points) {
                    Ok(contour) => cuts.push(contour.into()),
                    Err(error) => {
                        let problem = Problem::new(format!("this polygon cannot be cut: {error}")).at(&at, "here");
                        return Err(problem.help("let its sides go round an area without crossing"));
                    }
                },
                Plain::Line(_) => {}
            }
            Ok(())
        })
    }

    /// Adds what a shape paints: its area, then its outline.
    pub fn paint(&mut self, shape: &ShapeEntry, elements: &mut Vec<Element>) -> Result<(), Problem> {
        self.each(shape, &mut |pencil, plain, paints| {
            let path = path(plain);
            if path.elements().len() < 2 {
                return Ok(());
            }
            let detail = paints.detail.is_some_and(|flag| flag.0);
            let mut add = |element: Element| elements.push(if detail { element.as_detail() } else { element });
            if let Some(tones) = paints.fill {
                let tone = paints.tone.map_or(Ok(0.0), |tone| tone.value(&pencil.scope))?;
                if let Some(colour) = pick(tones, tone) {
                    add(Element::fill(path.clone(), colour));
                }
            }
            if let Some(line) = paints.line {
                let width = paints.width.map_or(Ok(LINE_WIDTH), |width| width.value(&pencil.scope))?;
                if width > 0.0 {
                    let Rgb(r, g, b) = line.value;
                    add(Element::line(path, Colour(r, g, b), width));
                }
            }
            Ok(())
        })
    }

    /// Calls `with` for a shape, or for each shape of a repeat.
    fn each<'a>(
        &mut self,
        shape: &'a ShapeEntry,
        with: &mut dyn FnMut(&Self, Plain, Paints<'a>) -> Result<(), Problem>,
    ) -> Result<(), Problem> {
        let (when, at) = match shape {
            ShapeEntry::Box(e) | ShapeEntry::Arch(e) => (&e.when, e.from.0.at()),
            ShapeEntry::Circle(e) => (&e.when, e.radius.at()),
            ShapeEntry::Polygon(e) | ShapeEntry::Line(e) => (&e.when, &e.points.at),
            ShapeEntry::Repeat(e) => (&e.when, e.count.at()),
        };
        self.looks += 1;
        if self.looks > MOST_LOOKS {
            return Err(too_many("shapes, those left out counted too,", MOST_LOOKS, at));
        }
        if let Some(when) = when
            && when.value(&self.scope)? <= 0.0
        {
            return Ok(());
        }
        self.shapes += 1;
        if self.shapes > MOST_SHAPES {
            return Err(too_many("shapes", MOST_SHAPES, at));
        }
        match shape {
            ShapeEntry::Box(e) => {
                let plain = Plain::Box(self.area(e)?);
                with(self, plain, of_box(e))
            }
            ShapeEntry::Arch(e) => {
                let plain = Plain::Arch(self.area(e)?);
                with(self, plain, of_box(e))
            }
            ShapeEntry::Circle(e) => {
                let circle = Circle::new(self.point(&e.middle)?, e.radius.value(&self.scope)?.abs());
                let paints = Paints {
                    fill: e.fill.as_ref(),
                    tone: e.tone.as_ref(),
                    line: e.line.as_ref(),
                    width: e.width.as_ref(),
                    detail: e.detail,
                };
                with(self, Plain::Circle(circle), paints)
            }
            ShapeEntry::Polygon(e) | ShapeEntry::Line(e) => {
                let points = self.points(&e.points)?;
                let paints = Paints {
                    fill: e.fill.as_ref(),
                    tone: e.tone.as_ref(),
                    line: e.line.as_ref(),
                    width: e.width.as_ref(),
                    detail: e.detail,
                };
                let plain = match shape {
                    ShapeEntry::Line(_) => Plain::Line(points),
                    _ => Plain::Polygon(points, short(&e.points.at)),
                };
                with(self, plain, paints)
            }
            ShapeEntry::Repeat(e) => self.times(&e.count, e.index.as_ref(), |pencil| {
                e.of.value.iter().try_for_each(|inner| pencil.each(inner, with))
            }),
        }
    }

    fn area(&self, entry: &BoxEntry) -> Result<Rect, Problem> {
        let (from, to) = (self.point(&entry.from)?, self.point(&entry.to)?);
        // Not put in order: a cut that is inside out is told with its numbers.
        Ok(Rect::new(from.x, from.y, to.x, to.y))
    }

    /// Runs `inner` as often as `count` says, with the index as a name.
    fn times(
        &mut self,
        count: &Expr,
        index: Option<&Name>,
        mut inner: impl FnMut(&mut Self) -> Result<(), Problem>,
    ) -> Result<(), Problem> {
        let times = count.value(&self.scope)?.round();
        if times > MOST_TIMES {
            let problem = Problem::new(format!("a repeat runs {times} times; it may run {MOST_TIMES} times"));
            return Err(problem.at(count.at(), "this number").help("let it run less often"));
        }
        let name = index.map_or(INDEX, |name| name.0.as_str());
        let mut done = 0.0;
        while done < times {
            self.scope.push(name, done);
            let result = inner(self);
            self.scope.pop();
            result?;
            done += 1.0;
        }
        Ok(())
    }
}

fn of_box(e: &BoxEntry) -> Paints<'_> {
    Paints {
        fill: e.fill.as_ref(),
        tone: e.tone.as_ref(),
        line: e.line.as_ref(),
        width: e.width.as_ref(),
        detail: e.detail,
    }
}

/// Whether a cut has an area worth cutting.
fn has_sides(name: &str, area: Rect, refuse: &mut Refuse<'_>) -> bool {
    let (width, height) = (area.x1 - area.x0, area.y1 - area.y0.max(0.0));
    let mut holds = true;
    for (what, found) in [("width", width), ("height", height)] {
        if found < flatwright_geometry::tolerance::FIT {
            refuse(&format!("the {name} has a {what}"), found, LEAST_CUT);
            holds = false;
        }
    }
    holds
}

fn path(plain: Plain) -> BezPath {
    match plain {
        Plain::Box(area) => area.abs().to_path(CURVE),
        Plain::Arch(area) => arch(area.abs()),
        Plain::Circle(circle) => circle.to_path(CURVE),
        Plain::Polygon(points, _) => through(&points, true),
        Plain::Line(points) => through(&points, false),
    }
}

fn through(points: &[Point], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (i, point) in points.iter().enumerate() {
        if i == 0 { path.move_to(*point) } else { path.line_to(*point) }
    }
    if closed && points.len() > 2 {
        path.close_path();
    }
    path
}

/// A rectangle under a half-round head, or under as much of one as its height allows.
fn arch(area: Rect) -> BezPath {
    let rise = (area.width() / 2.0).min(area.height());
    let centre = Point::new(area.center().x, area.y1 - rise);
    let mut path = BezPath::new();
    path.move_to((area.x0, area.y0));
    path.line_to((area.x1, area.y0));
    let head = kurbo::Arc::new(centre, (area.width() / 2.0, rise), 0.0, std::f64::consts::PI, 0.0);
    for element in head.path_elements(CURVE) {
        match element {
            PathEl::MoveTo(point) => path.line_to(point),
            other => path.push(other),
        }
    }
    path.close_path();
    path
}

/// One of several colours, counted round.
fn pick(tones: &Tones, tone: f64) -> Option<Colour> {
    let count = tones.0.len();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to the number of colours")]
    let index = tone.floor().rem_euclid(count.max(1) as f64) as usize;
    let Rgb(r, g, b) = tones.0.get(index.min(count.saturating_sub(1)))?.value;
    Some(Colour(r, g, b))
}

fn too_many(what: &str, most: usize, at: &At) -> Problem {
    let problem = Problem::new(format!("a design has more than {most} {what} when its repeats are counted out"));
    problem.at(&short(at), "with this").help("repeat less often")
}

/// A list's opening bracket, so that a label does not run over all its lines.
fn short(at: &At) -> At {
    let mut at = at.clone();
    at.end = at.end.min(at.start + 1);
    at
}
