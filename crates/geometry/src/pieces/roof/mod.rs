//! Roofs: folded card over a plan with right angles, with a skirt that holds it on its walls.
//!
//! A roof is a closed body: slopes, upright gables where it has them, and a soffit under all of it.
//! Under the soffit a skirt is glued, which drops in between the posts or goes round them, so that
//! the roof lifts off. A folded strip covers each ridge and each hip.

use kurbo::Point;

use super::solid::form::{self, Ends, rectangle};
use super::solid::space::Vector;
use super::solid::{Face, Made, Shell, ShellError, nets};
use super::{PieceError, cap, mm};
use crate::contour::Contour;
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind};
use crate::units::{Angle, Mm};

pub mod caps;
pub mod skeleton;

use skeleton::{Skeleton, skeleton};

/// Height of a skirt, mm.
const SKIRT: f64 = 8.0;
/// Thickness of a flat roof's deck and of its parapet, mm, and how many calipers more.
const DECK: (f64, f64) = (4.0, 3.0);

/// The form of a roof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    /// A slope over every side.
    Hip,
    /// Slopes that end in upright gables.
    Gable,
    /// One slope, down to the south.
    LeanTo,
    /// A deck with a parapet.
    Flat,
}

impl Form {
    /// Its word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hip => "hip",
            Self::Gable => "gable",
            Self::LeanTo => "lean-to",
            Self::Flat => "flat",
        }
    }
}

/// Where a roof's skirt is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Skirt {
    /// Between the posts: it drops in.
    #[default]
    Inside,
    /// Round the posts.
    Outside,
}

/// One roof.
#[derive(Clone, Debug, PartialEq)]
pub struct Roof {
    /// Its form.
    pub form: Form,
    /// The lattice points at its corners in modules, counterclockwise; sides run along the lattice.
    pub plan: Vec<(i32, i32)>,
    /// Pitch of its slopes.
    pub pitch: Angle,
    /// How far the eaves reach past the posts, or past a skirt round them.
    pub overhang: Mm,
    /// Where its skirt is.
    pub skirt: Skirt,
    /// Whether its posts carry caps: it lies on those, and its skirt keeps off theirs.
    pub on_caps: bool,
}

/// A part of a roof: what is folded, and which family it is of.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The family.
    pub kind: PieceKind,
    /// Its name within the roof.
    pub name: String,
    /// Its outside, where it stands: x east and y north from the lattice's origin, z = 0 at the posts' tops.
    pub outside: Shell,
}

impl Part {
    fn raised(self, by: f64) -> Self {
        Self { outside: self.outside.raised(by), ..self }
    }
}

impl Roof {
    /// What people read: `hip, 40 degrees`.
    #[must_use]
    pub fn detail(&self) -> String {
        let (mut wide, mut deep) = (0, 0);
        if let (Some(x0), Some(y0)) = (self.plan.iter().map(|p| p.0).min(), self.plan.iter().map(|p| p.1).min()) {
            wide = self.plan.iter().map(|p| p.0 - x0).max().unwrap_or(0);
            deep = self.plan.iter().map(|p| p.1 - y0).max().unwrap_or(0);
        }
        let shape = if self.plan.len() == 4 { "" } else { ", with inner corners" };
        let caps = if self.on_caps { ", on caps" } else { "" };
        format!("{} {wide} x {deep}{shape}{caps}", self.form.name())
    }

    /// The folded bodies: the roof itself, the parts of a flat one's parapet, the skirt.
    ///
    /// # Errors
    /// [`PieceError`] where the plan has no right angles, crosses itself, or the form does not go
    /// with it.
    pub fn parts(&self, p: &Parameters) -> Result<Vec<Part>, PieceError> {
        self.check()?;
        // A cap's skirts stand round its post, and its lid lies on it.
        let (half, lid) = match self.on_caps {
            true => (cap::inside(p) / 2.0 + mm(p.card), mm(p.card)),
            false => (mm(p.post_side()) / 2.0, 0.0),
        };
        let (play, card) = (mm(p.play), mm(p.card));
        // The skirt's outside: a play off the posts, or its own card, the flaps inside it and a play round
        // them.
        let round = half + play + 2.0 * card;
        let skirt = match self.skirt {
            Skirt::Inside => self.outline(p, -half - play)?,
            Skirt::Outside => self.outline(p, round)?,
        };
        let past = match self.skirt {
            Skirt::Inside => half,
            Skirt::Outside => round,
        };
        let eaves = self.outline(p, past + mm(self.overhang))?;
        let part = |kind: PieceKind, name: &str, outside: Result<Shell, ShellError>| {
            let detail = format!("{}, {name}", self.detail());
            match outside {
                Ok(outside) => Ok(Part { kind, name: detail, outside }),
                Err(error) => Err(PieceError::NoRoom {
                    what: format!("the roof {detail} can be folded"),
                    found: error.to_string(),
                    help: "give it another pitch, or a larger plan".into(),
                }),
            }
        };
        let mut parts = match self.form {
            Form::Flat => flat(&eaves, DECK.0 + DECK.1 * card)
                .into_iter()
                .map(|(name, shell)| part(PieceKind::Roof, name, shell))
                .collect(),
            Form::LeanTo => vec![part(PieceKind::Roof, "slope", self.lean_to(&eaves))],
            Form::Hip | Form::Gable => vec![part(PieceKind::Roof, "slopes", self.pitched(&eaves)?)],
        };
        // A skirt's lid is glued under the soffit. Round the posts it lies on them, its flaps below it:
        // the roof stands two calipers higher then.
        let top = match self.skirt {
            Skirt::Inside => lid,
            Skirt::Outside => lid + 2.0 * card,
        };
        parts = parts.into_iter().map(|part| part.map(|part: Part| part.raised(top))).collect();
        let below = [(skirt.clone(), lid - SKIRT), (skirt, top)];
        parts.push(part(PieceKind::RoofSkirt, "skirt", form::stack(&below, Ends { bottom: false, top: true })));
        parts.into_iter().collect()
    }

    fn check(&self) -> Result<(), PieceError> {
        let n = self.plan.len();
        let out = |found: String, help: &str| {
            Err(PieceError::OutOfRange { what: "the plan of a roof", found, help: help.into() })
        };
        let straight = (0..n).all(|i| {
            let ((a, b), (c, d)) = (self.plan[i], self.plan[(i + 1) % n]);
            (a == c) != (b == d)
        });
        let turns = (0..n).all(|i| {
            let (a, b) = (self.plan[i], self.plan[(i + 1) % n]);
            let c = self.plan[(i + 2) % n];
            (a.0 == b.0) != (b.0 == c.0)
        });
        if n < 4 || !straight || !turns {
            return out(format!("one of {n} corners"), "let its sides run along the lattice and turn at every corner");
        }
        let twice: i64 = (0..n)
            .map(|i| {
                let ((a, b), (c, d)) = (self.plan[i], self.plan[(i + 1) % n]);
                i64::from(a) * i64::from(d) - i64::from(c) * i64::from(b)
            })
            .sum();
        let corners = self.plan.iter().map(|(x, y)| Point::new(f64::from(*x), f64::from(*y)));
        if twice <= 0 || Contour::new(corners).is_err() {
            return out("one that crosses itself or runs clockwise".into(), "give its corners counterclockwise");
        }
        if n != 4 && matches!(self.form, Form::LeanTo | Form::Flat) {
            let found = format!("one of {n} corners under a {} roof", self.form.name());
            return out(found, "give it a rectangle, or make the roof \"hip\" or \"gable\"");
        }
        Ok(())
    }

    /// The plan, every side moved outward, mm.
    fn outline(&self, p: &Parameters, by: f64) -> Result<Vec<Point>, PieceError> {
        let module = mm(p.module);
        let n = self.plan.len();
        let at = |i: usize| {
            let (x, y) = self.plan[i % n];
            Point::new(f64::from(x) * module, f64::from(y) * module)
        };
        let moved: Vec<Point> = (0..n)
            .map(|i| {
                let (before, here, after) = (at(i + n - 1), at(i), at(i + 1));
                let (one, two) = ((here - before).normalize(), (after - here).normalize());
                here + (kurbo::Vec2::new(one.y, -one.x) + kurbo::Vec2::new(two.y, -two.x)) * by
            })
            .collect();
        let sides = (0..n).all(|i| (moved[(i + 1) % n] - moved[i]).dot(at(i + 1) - at(i)) > 0.0);
        if !sides {
            return Err(PieceError::NoRoom {
                what: "a roof's skirt has a length between its posts".into(),
                found: format!("a side of {} mm", crate::units::plain(module, 3)),
                help: "make the module larger or the posts narrower".into(),
            });
        }
        Ok(moved)
    }

    fn pitched(&self, eaves: &[Point]) -> Result<Result<Shell, ShellError>, PieceError> {
        let Some(mut found) = skeleton(eaves) else {
            return Err(PieceError::OutOfRange {
                what: "the plan of a roof",
                found: "one whose slopes do not close".into(),
                help: "give it a simpler plan".into(),
            });
        };
        if self.form == Form::Gable {
            stand_gables(&mut found, eaves.len());
        }
        let rise = self.pitch.radians().tan();
        let points = found.nodes.iter().map(|node| Vector::new(node.at.x, node.at.y, node.time * rise)).collect();
        let soffit = Face { name: "soffit", corners: (0..eaves.len()).rev().collect(), made: true };
        let faces = found.faces.into_iter().map(|corners| Face { name: "slope", corners, made: true });
        Ok(Shell::new(points, std::iter::once(soffit).chain(faces).collect()))
    }

    /// One slope from the north wall's top down to the south eaves.
    fn lean_to(&self, eaves: &[Point]) -> Result<Shell, ShellError> {
        let bounds = Contour::new(eaves.iter().copied()).map_err(|_| ShellError::NoInside)?.bounds();
        let (along, across) = (bounds.width(), bounds.height());
        let high = across * self.pitch.radians().tan();
        let at = |x: f64, y: f64, z: f64| Vector::new(bounds.x0 + x, bounds.y0 + y, z);
        let points = vec![
            at(0.0, 0.0, 0.0),
            at(along, 0.0, 0.0),
            at(along, across, 0.0),
            at(0.0, across, 0.0),
            at(along, across, high),
            at(0.0, across, high),
        ];
        let face = |name, corners: &[usize]| Face { name, corners: corners.to_vec(), made: true };
        let faces = vec![
            face("soffit", &[3, 2, 1, 0]),
            face("slope", &[0, 1, 4, 5]),
            face("end", &[1, 2, 4]),
            face("end", &[0, 5, 3]),
            face("back", &[2, 3, 5, 4]),
        ];
        Shell::new(points, faces)
    }

    /// The nets of one part.
    ///
    /// # Errors
    /// [`PieceError`] where the card leaves no inside, or flaps no room.
    pub fn nets(p: &Parameters, part: &Part) -> Result<Vec<Made>, PieceError> {
        let inside = part.outside.inset(mm(p.card)).map_err(|error| PieceError::NoRoom {
            what: format!("the roof {} has an inside", part.name),
            found: error.to_string(),
            help: "make it larger, or use thinner card".into(),
        })?;
        nets(p, &inside, part.kind, &part.name)
    }

    /// All patterns: of the parts, and a cap for each ridge and each hip.
    ///
    /// # Errors
    /// As [`Roof::parts`] and [`Roof::nets`].
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        let mut patterns = Vec::new();
        for part in self.parts(p)? {
            patterns.extend(Self::nets(p, &part)?.into_iter().map(|made| made.pattern));
            for strip in self.strips(&part) {
                patterns.push(self.strip(p, &strip)?);
            }
        }
        Ok(patterns)
    }

    /// The strips over the ridges and hips of one of its parts; none where it has no such.
    #[must_use]
    pub fn strips(&self, part: &Part) -> Vec<caps::Strip> {
        let pitched = part.kind == PieceKind::Roof && matches!(self.form, Form::Hip | Form::Gable);
        if pitched { caps::strips(&part.outside) } else { Vec::new() }
    }

    /// One of those strips, flat.
    ///
    /// # Errors
    /// None for a roof that closes.
    pub fn strip(&self, p: &Parameters, strip: &caps::Strip) -> Result<Pattern, PieceError> {
        strip.pattern(p, &self.detail())
    }

    /// Its ridges, hips and valleys as a drawing shows them, in modules; none for a flat one.
    #[must_use]
    pub fn lines(&self) -> Vec<(Point, Point)> {
        if matches!(self.form, Form::Flat | Form::LeanTo) || self.check().is_err() {
            return Vec::new();
        }
        let plan: Vec<Point> = self.plan.iter().map(|(x, y)| Point::new(f64::from(*x), f64::from(*y))).collect();
        let Some(mut found) = skeleton(&plan) else { return Vec::new() };
        if self.form == Form::Gable {
            stand_gables(&mut found, plan.len());
        }
        let mut lines: Vec<(usize, usize)> = Vec::new();
        for face in &found.faces {
            for (i, from) in face.iter().enumerate() {
                let to = face[(i + 1) % face.len()];
                // Each is a side of two faces; eaves are one of one.
                let (low, high) = (to.min(*from), to.max(*from));
                if found.nodes[high].time > crate::tolerance::SNAP && !lines.contains(&(low, high)) {
                    lines.push((low, high));
                }
            }
        }
        lines.into_iter().map(|(from, to)| (found.nodes[from].at, found.nodes[to].at)).collect()
    }
}

/// A deck, and on it a parapet of four closed walls.
fn flat(eaves: &[Point], thick: f64) -> Vec<(&'static str, Result<Shell, ShellError>)> {
    let Ok(bounds) = Contour::new(eaves.iter().copied()).map(|contour| contour.bounds()) else { return Vec::new() };
    let high = 2.0 * thick;
    let wall = |x: f64, y: f64, along: f64, across: f64| {
        let base = rectangle(along, across).into_iter().map(|point| Point::new(point.x + x, point.y + y));
        let base: Vec<Point> = base.collect();
        form::stack(&[(base.clone(), thick), (base, thick + high)], Ends::BOTH)
    };
    let (x, y, along, across) = (bounds.x0, bounds.y0, bounds.width(), bounds.height());
    vec![
        ("deck", form::stack(&[(eaves.to_vec(), 0.0), (eaves.to_vec(), thick)], Ends::BOTH)),
        ("south parapet", wall(x, y, along, thick)),
        ("north parapet", wall(x, y + across - thick, along, thick)),
        ("west parapet", wall(x, y + thick, thick, across - 2.0 * thick)),
        ("east parapet", wall(x + along - thick, y + thick, thick, across - 2.0 * thick)),
    ]
}

/// Hip ends stood upright: the point over such an end moves out over the middle of its side.
fn stand_gables(found: &mut Skeleton, eaves: usize) {
    for face in found.faces.clone() {
        let [a, b, c] = face[..] else { continue };
        let mut corners = [a, b, c];
        corners.sort_unstable();
        let [one, two, top] = corners;
        if two < eaves && top >= eaves {
            let (from, to) = (found.nodes[one].at, found.nodes[two].at);
            // The end of a pyramid stays: its point belongs to all four sides.
            let others = found.faces.iter().filter(|other| other.contains(&top)).count();
            if others == 3 {
                found.nodes[top].at = from.midpoint(to);
            }
        }
    }
}
