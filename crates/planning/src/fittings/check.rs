//! Whether fittings stand on floor, and off walls, posts and each other.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::{Mm, plain};
use kurbo::Rect;

use super::{FittingDesign, FittingPlace, Form};
use crate::build::LevelBuild;
use crate::plan::{Level, Plan};
use crate::problem::PlanProblem;
use crate::turns;

/// Lengths of what is built, as far as fittings must know them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Side of a cell.
    pub module: Mm,
    /// Outer side of a post.
    pub post: Mm,
    /// Thickness of a wall.
    pub wall: Mm,
    /// The play of joints: half of it stays free between a fitting and what stands fixed.
    pub play: Mm,
    /// Height of the walls above the floor: of the room below another level.
    pub height: Mm,
}

impl Sizes {
    /// How far a fitting keeps off what stands fixed, mm.
    #[must_use]
    pub fn beside(&self) -> f64 {
        self.play.get() / 2.0 - tolerance::FIT
    }
}

/// Everything that keeps the fittings of a level from standing where they are put; nothing for those
/// that are not drawn yet.
///
/// What a fitting covers lies on floor all over, shares nothing with a wall, a post or another fitting,
/// and what stands under a roof or under floor of the level above is no higher than the room below that.
/// `turned` is what turns have there, their walls [`Sizes::beside`] wider.
#[must_use]
pub fn check(plan: &Plan, level: &Level, build: &LevelBuild, turned: &turns::Ground, sizes: Sizes) -> Vec<PlanProblem> {
    let ground = Ground { build, plan, level, turned, sizes };
    let standing: Vec<Standing<'_>> =
        build.fittings.iter().filter_map(|place| Standing::new(plan, place, sizes.module)).collect();
    let fixed = ground.fixed(build);
    let mut problems = Vec::new();
    for (index, fitting) in standing.iter().enumerate() {
        problems.extend(ground.floor(fitting));
        problems.extend(fixed.iter().filter_map(|(what, fixed)| ground.against(fitting, what, fixed)).take(1));
        let others = standing[..index].iter();
        problems.extend(others.filter_map(|other| ground.together(fitting, other)).take(1));
        problems.extend(ground.ceiling(fitting));
    }
    problems
}

/// A fitting and what it covers: x east and y north of the level's north-west corner, mm.
struct Standing<'a> {
    place: &'a FittingPlace,
    design: &'a FittingDesign,
    outline: Vec<Region>,
    bounds: Rect,
}

impl<'a> Standing<'a> {
    fn new(plan: &'a Plan, place: &'a FittingPlace, module: Mm) -> Option<Self> {
        let design = plan.fittings.get(place.design)?;
        let motion = place.motion(design.turn, module);
        let outline: Vec<Region> = design.body.outline.iter().map(|region| region.moved(motion)).collect();
        let bounds = outline.iter().map(Region::bounds).reduce(|one, other| one.union(other))?;
        Some(Self { place, design, outline, bounds })
    }

    /// Width and depth of what it shares with something, where that is more than a touch.
    fn shared(&self, other: &[Region], bounds: Rect) -> Option<Rect> {
        if self.bounds.intersect(bounds).is_zero_area() {
            return None;
        }
        let shared = region::intersection(&self.outline, other);
        // What is thinner than a joint is judged by is a touch.
        let thick = |region: &Region| region.area() > tolerance::FIT * region.outer.perimeter();
        shared.iter().filter(|region| thick(region)).map(Region::bounds).reduce(|one, other| one.union(other))
    }
}

struct Ground<'a> {
    build: &'a LevelBuild,
    plan: &'a Plan,
    level: &'a Level,
    turned: &'a turns::Ground,
    sizes: Sizes,
}

impl Ground<'_> {
    fn problem(&self, fitting: &Standing<'_>, message: String, help: &str) -> PlanProblem {
        let (line, column) = fitting.place.in_text(self.level);
        PlanProblem { level: self.level.name.clone(), line, column, length: 1, message, help: help.into() }
    }

    /// Posts and walls, each with its name.
    fn fixed(&self, build: &LevelBuild) -> Vec<(&'static str, Region)> {
        let free = self.sizes.beside();
        let half = |length: Mm| length.get() / 2.0 + free;
        let (m, post, wall) = (self.sizes.module.get(), half(self.sizes.post), half(self.sizes.wall));
        let area = |x0: f64, y0: f64, x1: f64, y1: f64| {
            // Rows count to the south, and y runs to the north.
            Contour::rectangle(Rect::new(x0, -y1, x1, -y0)).map(Region::from)
        };
        let posts = build.posts.iter().filter_map(|place| {
            let (x, y) = (place.at.x as f64 * m, place.at.y as f64 * m);
            Some(("a post", area(x - post, y - post, x + post, y + post)?))
        });
        let walls = build.walls.iter().filter_map(|place| {
            let (from, to) = (place.from, place.to());
            let (x0, y0, x1, y1) = (from.x as f64 * m, from.y as f64 * m, to.x as f64 * m, to.y as f64 * m);
            let (x, y) = if place.down { (wall, 0.0) } else { (0.0, wall) };
            Some(("a wall", area(x0 - x, y0 - y, x1 + x, y1 + y)?))
        });
        let bent = self.turned.walls.iter().map(|wall| ("a wall on a bend", wall.clone()));
        walls.chain(posts).chain(bent).collect()
    }

    /// Cells that a fitting covers, outside of the drawing too, and how much of each.
    fn cells(&self, fitting: &Standing<'_>) -> Vec<(i64, i64)> {
        let m = self.sizes.module.get();
        let Rect { x0, y0, x1, y1 } = fitting.bounds;
        let mut cells = Vec::new();
        for y in (-y1 / m).floor() as i64..=(-y0 / m).floor() as i64 {
            for x in (x0 / m).floor() as i64..=(x1 / m).floor() as i64 {
                let area = self.cell((x, y));
                if area.is_some_and(|(area, bounds)| fitting.shared(&[area], bounds).is_some()) {
                    cells.push((x, y));
                }
            }
        }
        cells
    }

    /// The area of a cell.
    fn cell(&self, (x, y): (i64, i64)) -> Option<(Region, Rect)> {
        let m = self.sizes.module.get();
        let (left, top) = (x as f64 * m, -(y as f64) * m);
        let bounds = Rect::new(left, top - m, left + m, top);
        Some((Contour::rectangle(bounds)?.into(), bounds))
    }

    fn floor(&self, fitting: &Standing<'_>) -> Option<PlanProblem> {
        let bare = self.cells(fitting).into_iter().find(|&cell| !self.is_covered(fitting, cell))?;
        let (x, y) = bare;
        let put = fitting.place.put;
        let outside = x < 0 || y < 0 || x >= self.level.width as i64 || y >= self.level.height as i64;
        let where_to = match (x, y) {
            _ if outside => "outside of the drawing".to_owned(),
            _ if x == put.x as i64 && y == put.y as i64 => "here".to_owned(),
            _ => format!("at column {}, row {}", x + 1, y + 1),
        };
        let message = format!("{} has no floor under it {where_to}", fitting.design.called());
        Some(self.problem(
            fitting,
            message,
            "draw a surface in every cell that it covers, move its letter or its \"at\", or make it smaller",
        ))
    }

    /// Whether floor is under all of a fitting that lies in a cell: a turn covers parts of its cells.
    fn is_covered(&self, fitting: &Standing<'_>, cell: (i64, i64)) -> bool {
        if has_floor(self.level, cell) {
            return true;
        }
        let Some((area, _)) = self.cell(cell) else { return false };
        let here = region::intersection(&fitting.outline, &[area]);
        let bare: f64 = region::difference(&here, &self.turned.floor).iter().map(Region::area).sum();
        // Between two tiles the play is open.
        let seams: f64 = here.iter().map(|part| part.outer.perimeter()).sum();
        !self.turned.floor.is_empty() && bare <= seams / 2.0 * self.sizes.play.get()
    }

    fn against(&self, fitting: &Standing<'_>, what: &str, fixed: &Region) -> Option<PlanProblem> {
        let shared = fitting.shared(std::slice::from_ref(fixed), fixed.bounds())?;
        let message = format!("{} reaches {} into {what}", fitting.design.called(), size(shared));
        let help = if fitting.design.form.cells().is_some() {
            "leave out the walls across its way, or move its letter"
        } else {
            "make it smaller, turn it, move it with \"at\" or put its letter into another cell"
        };
        Some(self.problem(fitting, message, help))
    }

    fn together(&self, fitting: &Standing<'_>, other: &Standing<'_>) -> Option<PlanProblem> {
        let shared = fitting.shared(&other.outline, other.bounds)?;
        let (one, other) = (fitting.design.called(), other.design.called());
        let message = format!("{one} and {other} share {} of floor", size(shared));
        Some(self.problem(fitting, message, "move one of the two with \"at\", turn it, or make it smaller"))
    }

    /// What stands under a roof is not higher than the walls.
    fn under_roof(&self, fitting: &Standing<'_>) -> Option<PlanProblem> {
        let (height, room) = (fitting.design.body.height, self.sizes.height);
        if height.get() <= room.get() + tolerance::FIT {
            return None;
        }
        let roofed = |&(x, y): &(i64, i64)| {
            let cell = usize::try_from(x).ok().zip(usize::try_from(y).ok());
            cell.is_some_and(|cell| self.build.roofs.iter().any(|roof| roof.cells.contains(&cell)))
        };
        let (x, y) = self.cells(fitting).into_iter().find(roofed)?;
        let message = format!(
            "{} is {height} high, and a roof lies {room} above this floor at column {}, row {}",
            fitting.design.called(),
            x + 1,
            y + 1
        );
        Some(self.problem(fitting, message, "make it lower, or let the roof leave out that part: \"over 0 0 3 2\""))
    }

    /// What stands under a floor is not higher than the room there.
    fn ceiling(&self, fitting: &Standing<'_>) -> Option<PlanProblem> {
        if let Some(problem) = self.under_roof(fitting) {
            return Some(problem);
        }
        let above = self.plan.above(self.level)?;
        // What leads up needs its own opening.
        if matches!(fitting.design.form, Form::Flight(_)) {
            return None;
        }
        let (height, room) = (fitting.design.body.height, self.sizes.height);
        if height.get() <= room.get() + tolerance::FIT {
            return None;
        }
        let (x, y) = self.cells(fitting).into_iter().find(|&cell| may_have_floor(above, cell))?;
        let message = format!(
            "{} is {height} high, and level \"{}\" has floor {room} above this one at column {}, row {}",
            fitting.design.called(),
            above.name,
            x + 1,
            y + 1
        );
        let help = format!("leave out that floor of \"{}\", or make it lower", above.name);
        Some(self.problem(fitting, message, &help))
    }
}

fn has_floor(level: &Level, (x, y): (i64, i64)) -> bool {
    let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return false };
    level.cell(x, y).is_some()
}

pub(super) fn may_have_floor(level: &Level, (x, y): (i64, i64)) -> bool {
    let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return false };
    level.may_have_floor(x, y)
}

/// `12.5 x 3 mm`.
fn size(area: Rect) -> String {
    let side = |length: f64| plain((length * 10.0).ceil() / 10.0, 1);
    format!("{} x {} mm", side(area.width()), side(area.height()))
}
