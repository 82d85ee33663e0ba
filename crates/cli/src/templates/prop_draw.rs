//! From a prop file and what is said about it to folded parts.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bars::{Bars, LEAST_RIM};
use flatwright_geometry::pieces::prop::Prop;
use flatwright_geometry::pieces::solid::form::{self, Ends};
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::solid::{MOST_FACES, Shell, ShellError};
use flatwright_geometry::units::{Mm, plain};
use kurbo::Point;

use super::design_draw::{self, Given, Site};
use super::design_expr::{Expr, Scope};
use super::design_file::CornerEntry;
use super::design_shape::Pencil;
use super::prop_file::{AxisWord, BarsEntry, Common, EndWord, PartEntry, PropFile, Triple};
use crate::problem::{Problem, Spanned};
use crate::set_file::Covering;

/// Fewest and most facets of a regular outline.
const FACETS: (f64, f64) = (3.0, 36.0);
/// How far the facets of a round part may be from the circle, mm, where the card allows it.
const SAGITTA: f64 = 0.12;
/// Least width of a facet of a round part, mm: a flap finds room on it.
const LEAST_FACET: f64 = 3.2;

/// Width of bars, and least of the gaps between them, where a file does not say, mm.
const BARS: (f64, f64) = (2.0, 3.0);

/// A part of a prop, as often as it is needed.
#[derive(Clone, Debug)]
pub struct Part<'a> {
    /// What is folded.
    pub prop: Prop,
    /// Where its copies stand in the prop, and where its height points.
    pub at: Vec<Vector>,
    /// Where its height points.
    pub axis: AxisWord,
    /// What covers it, as the file says.
    pub face: Option<&'a Spanned<Covering>>,
}

/// Draws a prop. What keeps it from being drawn goes to `problems`; whether its parts can be folded
/// is found when their nets are made. The site's span does not matter.
#[must_use]
pub fn draw<'a>(
    file: &'a PropFile,
    given: &[Given],
    site: Site<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Part<'a>>> {
    let before = problems.len();
    let mut scope = known(site.parameters);
    let called = design_draw::Called { kind: "prop", name: &file.prop.0 };
    design_draw::values(called, file.values.as_ref(), given, &mut scope, problems);
    if problems.len() > before {
        return None;
    }
    match parts(file, scope, site, problems) {
        Ok(parts) if problems.len() == before => Some(parts),
        Ok(_) => None,
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

/// The lengths that every expression knows; see `prop_check::KNOWN`.
fn known(p: &Parameters) -> Scope {
    let mut scope = Scope::default();
    let lengths =
        [("module", p.module), ("wall_height", p.wall_height), ("board", p.board), ("card", p.card), ("play", p.play)];
    for (name, length) in lengths {
        scope.push(name, length.get());
    }
    scope
}

fn parts<'a>(
    file: &'a PropFile,
    mut scope: Scope,
    site: Site<'_>,
    problems: &mut Vec<Problem>,
) -> Result<Vec<Part<'a>>, Problem> {
    for (name, _, expr) in file.names.iter().flat_map(|names| &names.0) {
        let value = expr.value(&scope)?;
        scope.push(name, value);
    }
    for need in file.needs.iter().flatten() {
        let (found, least) = (need.found.value(&scope)?, need.least.value(&scope)?);
        if found < least - flatwright_geometry::tolerance::FIT {
            let numbers = format!("{} mm where at least {} mm are needed", plain(found, 3), plain(least, 3));
            let problem = Problem::new(format!("{} cannot be built: {}: {numbers}", site.asked_by, need.what.0));
            problems.push(problem.at(site.at, "this piece").help("change its values"));
        }
    }
    let mut parts = Vec::new();
    for entry in &file.parts.value {
        let common = entry.common();
        if let Some(when) = common.when
            && when.value(&scope)? <= 0.0
        {
            continue;
        }
        let at = match common.at {
            None => vec![Vector::default()],
            Some(at) => at.value.iter().map(|at| vector(at, &scope)).collect::<Result<_, _>>()?,
        };
        let name = if file.parts.value.len() == 1 {
            file.prop.0.clone()
        } else {
            format!("{}, {}", file.prop.0, common.part.0)
        };
        let outside = Drawing { scope: &scope, p: site.parameters }.shell(entry)?.map_err(|error| {
            Problem::new(format!("{} cannot be built: the {name}: {error}", site.asked_by))
                .at(site.at, "this piece")
                .help("change its values, so that every part has a length, a width and a height")
        });
        match outside {
            Ok(outside) => {
                let axis = common.axis.unwrap_or(AxisWord::Up);
                let bars = common.bars.map(|bars| barred(bars, &scope)).transpose()?;
                parts.push(Part { prop: Prop { name, outside, bars }, at, axis, face: common.face });
            }
            Err(problem) => problems.push(problem),
        }
    }
    Ok(parts)
}

fn barred(entry: &BarsEntry, scope: &Scope) -> Result<Bars, Problem> {
    let or = |expr: &Option<Expr>, usual: f64| expr.as_ref().map_or(Ok(usual), |expr| expr.value(scope));
    Ok(Bars {
        bar: Mm::new(or(&entry.bar, BARS.0)?),
        gap: Mm::new(or(&entry.gap, BARS.1)?),
        rim: Mm::new(or(&entry.rim, LEAST_RIM)?),
        door: or(&entry.door, 0.0)? > 0.0,
    })
}

fn vector(Triple([x, y, z]): &Triple, scope: &Scope) -> Result<Vector, Problem> {
    Ok(Vector::new(x.value(scope)?, y.value(scope)?, z.value(scope)?))
}

struct Drawing<'a> {
    scope: &'a Scope,
    p: &'a Parameters,
}

type Drawn = Result<Result<Shell, ShellError>, Problem>;

impl Drawing<'_> {
    fn shell(&self, entry: &PartEntry) -> Drawn {
        let ends = ends(entry.common());
        match entry {
            PartEntry::Box(e) => {
                let size = vector(&e.size, self.scope)?;
                let base = form::rectangle(size.x, size.y);
                Ok(upright(&[(base.clone(), 0.0), (base, size.z)], ends))
            }
            PartEntry::Prism(e) => {
                let height = self.value(&e.height)?;
                let radius = self.optional(e.radius.as_ref())?;
                let base = self.outline(e.base.as_ref(), e.facets.as_ref(), [radius, radius])?;
                Ok(upright(&[(base.clone(), 0.0), (base, height)], ends))
            }
            PartEntry::Cone(e) => {
                let height = self.value(&e.height)?;
                let radius = self.optional(e.radius.as_ref())?;
                let base = self.outline(e.base.as_ref(), e.facets.as_ref(), [radius, radius])?;
                if height <= 0.0 || !is_counterclockwise(&base) {
                    return Ok(Err(ShellError::NoInside));
                }
                Ok(form::cone(&base, Vector::new(0.0, 0.0, height), ends.bottom))
            }
            PartEntry::Frustum(e) => {
                let radii = e.radii.value.iter().map(|radius| self.value(radius)).collect::<Result<Vec<_>, _>>()?;
                let (least, most) = radii.iter().fold((f64::MAX, 0.0_f64), |(l, m), r| (l.min(*r), m.max(*r)));
                let unit = match &e.base {
                    Some(base) => Pencil::new(self.scope.clone()).points(base)?,
                    None => form::regular(self.facets(e.facets.as_ref(), [least, most])?, 1.0),
                };
                let mut rings = Vec::new();
                let mut level = 0.0;
                for (i, radius) in radii.iter().enumerate() {
                    rings.push((unit.iter().map(|p| Point::new(p.x * radius, p.y * radius)).collect(), level));
                    level += match e.heights.value.get(i) {
                        Some(height) => self.value(height)?,
                        None => 0.0,
                    };
                }
                Ok(upright(&rings, ends))
            }
        }
    }

    fn value(&self, expr: &Expr) -> Result<f64, Problem> {
        expr.value(self.scope)
    }

    fn optional(&self, expr: Option<&Expr>) -> Result<f64, Problem> {
        expr.map_or(Ok(0.0), |expr| expr.value(self.scope))
    }

    fn outline(
        &self,
        base: Option<&Spanned<Vec<CornerEntry>>>,
        facets: Option<&Expr>,
        radii: [f64; 2],
    ) -> Result<Vec<Point>, Problem> {
        match base {
            Some(base) => Pencil::new(self.scope.clone()).points(base),
            None => Ok(form::regular(self.facets(facets, radii)?, radii[1])),
        }
    }

    /// How many facets a regular outline has; without a number as many as make it look round and
    /// leave flaps their room. A flap's carrier ends c / sin A short of the edge, A being the angle
    /// between two facets: that is to be under two thirds of a facet.
    fn facets(&self, facets: Option<&Expr>, [least, most]: [f64; 2]) -> Result<u32, Problem> {
        let number = match facets {
            Some(facets) => self.value(facets)?.round(),
            None => {
                let pi = std::f64::consts::PI;
                let round = pi / (1.0 - SAGITTA / most.max(1.0)).acos();
                let wide = 2.0 * pi * least / LEAST_FACET;
                let carried = (4.0 * pi * pi * least / 1.5 / self.p.card.get()).sqrt();
                round.min(wide).min(carried).floor().max(6.0)
            }
        };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is from 3 to 36 then")]
        Ok(number.clamp(FACETS.0, FACETS.1) as u32)
    }
}

/// A stack of rings that each have an area, every one above the one before.
fn upright(rings: &[(Vec<Point>, f64)], ends: Ends) -> Result<Shell, ShellError> {
    let rise = rings.windows(2).all(|pair| pair[1].1 > pair[0].1);
    if !rise || !rings.iter().all(|(ring, _)| is_counterclockwise(ring)) {
        return Err(ShellError::NoInside);
    }
    form::stack(rings, ends)
}

/// Whether points, not too many of them, are the corners of a simple polygon, counterclockwise.
fn is_counterclockwise(points: &[Point]) -> bool {
    let n = points.len();
    let twice: f64 = (0..n).map(|i| points[i].to_vec2().cross(points[(i + 1) % n].to_vec2())).sum();
    n <= MOST_FACES && twice > 0.0 && Contour::new(points.iter().copied()).is_ok()
}

fn ends(common: Common<'_>) -> Ends {
    Ends { bottom: !common.open.contains(&EndWord::Bottom), top: !common.open.contains(&EndWord::Top) }
}

impl Part<'_> {
    /// Where its own east, north and up point in the prop.
    #[must_use]
    pub const fn axes(&self) -> [Vector; 3] {
        let (east, north, up) = (Vector::new(1.0, 0.0, 0.0), Vector::new(0.0, 1.0, 0.0), Vector::new(0.0, 0.0, 1.0));
        match self.axis {
            AxisWord::Up => [east, north, up],
            AxisWord::East => [north, up, east],
            AxisWord::North => [up, east, north],
        }
    }
}
