//! What a plan needs and what the set file lists, to patterns.

use std::collections::BTreeMap;

use flatwright_folding::place::{PlaceError, prove_piece};
use flatwright_folding::prove::Proved;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::stair::Stair;
use flatwright_planning::assemble::Needed;
use flatwright_planning::fittings::FittingDesign;
use flatwright_planning::plan::Surface as PlanSurface;

use super::designs::Ornament;
use super::entries::expand;
use super::fittings::Fitted;
use super::sheets::grain_of;
use super::{Artwork, Cover, Piece};
use crate::planned::{Planned, Worked};
use crate::problem::{At, Problem, Source, Spanned};
use crate::set_file::{Covering, Faces, PieceEntry, PieceGrain, Rgb};
use crate::templates::Library;

/// The most entries that a set may list.
const MOST_ENTRIES: usize = 1000;
/// The most pieces in a set, copies counted.
pub(crate) const MOST_PIECES: u64 = 1_000_000;

/// A part as often as it is wanted.
#[derive(Clone, Debug)]
pub(super) struct Wanted {
    pub(super) part: Part,
    pub(super) count: u32,
    pub(super) face: Option<Cover>,
    pub(super) ornament: Ornament,
    pub(super) label: Option<String>,
    pub(super) label_on_face: bool,
    /// How it lies to the grain; as the stock says where it does not say so itself.
    pub(super) grain: Option<PieceGrain>,
    /// What sentences call what asks for it, such as `` `pieces[3]` ``.
    pub(super) asked_by: String,
    /// Where that stands.
    pub(super) at: At,
}

impl Wanted {
    fn same_as(&self, other: &Self) -> bool {
        self.part.same_as(&other.part)
            && self.face == other.face
            && self.ornament == other.ornament
            && self.label == other.label
            && self.label_on_face == other.label_on_face
            && self.grain == other.grain
    }
}

/// What faces may be covered with, and what covers those that a plan asks for.
pub(super) struct Covers<'a> {
    pub art: &'a mut Artwork,
    pub library: &'a Library,
    pub faces: Option<&'a Faces>,
    /// What is painted on the walls of a plan, in the order of its designs.
    pub ornaments: &'a [Ornament],
    /// What covers the fittings of a plan.
    pub fitted: &'a Fitted,
}

/// Surfaces of pieces that nothing is said about: floors, and what stands on them.
const FLOORS: &str = "flagstone";
const STANDING: &str = "ashlar";

impl Covers<'_> {
    /// A surface that the program carries.
    pub(super) fn carried(&mut self, name: &str) -> Option<Cover> {
        self.art.carried(name, self.library)
    }

    pub(super) fn of(&mut self, covering: Option<&Spanned<Covering>>, problems: &mut Vec<Problem>) -> Option<Cover> {
        self.art.covering(covering?, self.library, problems)
    }

    /// What covers pieces that do not say it themselves.
    fn usual(&mut self, problems: &mut Vec<Problem>) -> Usual {
        let faces = self.faces;
        let mut of = |face: Option<&Spanned<Covering>>, carried| match face {
            Some(_) => self.of(face, problems),
            None => self.art.carried(carried, self.library),
        };
        let floors = of(faces.and_then(|faces| faces.floors.as_ref()), FLOORS);
        let walls = of(faces.and_then(|faces| faces.walls.as_ref()), STANDING);
        let posts = of(faces.and_then(|faces| faces.posts.as_ref()), STANDING);
        let caps = match faces.and_then(|faces| faces.caps.as_ref()) {
            None => posts,
            own => self.of(own, problems),
        };
        Usual { floors, walls, posts, caps }
    }

    /// What covers the floors of a plan's surface: the drawing that it names, or one of its own name;
    /// else its colour, and without one the `usual` drawing.
    fn floor(
        &mut self,
        surface: &PlanSurface,
        usual: Option<Cover>,
        source: &Source,
        problems: &mut Vec<Problem>,
    ) -> Option<Cover> {
        if let Some((name, (line, column))) = &surface.drawn_as {
            let at = At::line(source, *line, *column, name.chars().count());
            return self.art.named(name, &at, self.library, problems);
        }
        let colour = surface.colour.map(|(r, g, b)| Cover::Colour(Rgb(r, g, b)));
        let own = if colour.is_none() { self.art.carried(&surface.name, self.library) } else { None };
        own.or(colour).or(usual)
    }
}

/// What covers pieces that do not say it themselves.
#[derive(Clone, Copy)]
pub(super) struct Usual {
    floors: Option<Cover>,
    walls: Option<Cover>,
    posts: Option<Cover>,
    caps: Option<Cover>,
}

impl Usual {
    pub(super) const fn of(self, part: &Part) -> Option<Cover> {
        match part {
            Part::Wrap(_) | Part::TurnWrap(_) => self.floors,
            Part::Stair(Stair::Marker(_)) => self.floors,
            Part::Wall(_) | Part::FreeWall(_) | Part::Filler(_) | Part::BentWall(_) | Part::Stair(_) => self.walls,
            Part::Sleeve(_) | Part::Pillar(_) => self.posts,
            Part::Cap(_) => self.caps,
            _ => None,
        }
    }
}

/// All pieces: those that a plan lacks and those of the entries. Equal ones are joined, and sorted
/// by kind, the plan's first. The plan comes back with its pieces; each has the same identifier
/// whether some of it are on hand or not. `grain` says how pieces of a stock lie that do not say so
/// themselves.
pub(super) fn pieces(
    mut plan: Option<Worked>,
    covers: &mut Covers<'_>,
    entries: Option<&Spanned<Vec<Spanned<PieceEntry>>>>,
    p: &Parameters,
    grain: &dyn Fn(Stock) -> PieceGrain,
    problems: &mut Vec<Problem>,
) -> Made {
    let mut list = Joined::default();
    let usual = covers.usual(problems);
    let mut floors: Vec<Option<Cover>> = Vec::new();
    if let Some(Worked { plan, source, .. }) = &mut plan {
        for surface in &mut plan.surfaces {
            let floor = covers.floor(surface, usual.floors, source, problems);
            // Drawings of the plan show what its surfaces look like from afar.
            let colour = floor.map(|floor| covers.art.from_afar(floor, p.module));
            surface.colour = colour.map(|colour| (colour.0, colour.1, colour.2));
            floors.push(floor);
        }
    }
    let fitted = covers.fitted;
    let standing = match &plan {
        Some(worked) => fitted.faces(&worked.plan.fittings, covers, usual, problems),
        None => Vec::new(),
    };
    let roofs = fitted.roofs(covers, problems);
    let faces = OfPlan { floors, standing, roofs, usual };
    let wanted = plan.iter().flat_map(|plan| of_plan(plan, &faces, covers));
    let of_plan: Vec<usize> = wanted.map(|wanted| list.add(wanted)).collect();
    let mut asked: Vec<(String, Vec<(usize, u32)>)> = Vec::new();
    if let Some(entries) = entries {
        let number = entries.value.len();
        if !(1..=MOST_ENTRIES).contains(&number) {
            let message = format!("`pieces` has {number} entries; a set has 1 to {MOST_ENTRIES}");
            let help = "list each different piece once and give its \"count\"";
            let mut start = entries.at.clone();
            start.end = start.start + 1;
            problems.push(Problem::new(message).at(&start, "this list").help(help));
            return Made::default();
        }
        for (index, entry) in entries.value.iter().enumerate() {
            let add = |wanted: Wanted| {
                let count = wanted.count;
                (list.add(wanted), count)
            };
            let kinds = expand(index, entry, p, covers, usual, problems).into_iter().map(add).collect();
            asked.push((entry.value.title(), kinds));
        }
    }
    if list.total > MOST_PIECES {
        let message = format!("the set has {} pieces; at most {MOST_PIECES} can be laid out", list.total);
        problems.push(Problem::new(message).help("split the set into several"));
    }
    covers.art.keep_used(list.wanted.iter_mut().filter_map(|wanted| wanted.face.as_mut()));
    let mut made = Vec::new();
    for (index, wanted) in list.wanted.iter().enumerate() {
        match prove_piece(p, &wanted.part) {
            Ok(patterns) => made.extend(patterns.into_iter().map(|pattern| (pattern, index))),
            Err(error) => {
                let message = format!("{} cannot be built: {error}", wanted.asked_by);
                let help = match &error {
                    PlaceError::Piece(error) => error.help(),
                    PlaceError::Folds { .. } => "measure board, card and paper again, and let `fold_factor` be 0.5",
                };
                problems.push(Problem::new(message).at(&wanted.at, "this piece").help(help));
            }
        }
    }
    let numbered = numbered(made, &list.wanted, grain);
    let planned = plan.map(|worked| {
        let of =
            |index: &usize| numbered.iter().filter(|(_, of)| of == index).map(|(piece, _)| piece.clone()).collect();
        let pieces = of_plan.iter().map(of).collect();
        Planned::new(worked, pieces)
    });
    let entry = |(name, kinds): (String, Vec<(usize, u32)>)| {
        let of = |(kind, count): (usize, u32)| {
            let pieces = numbered.iter().filter(move |(_, of)| *of == kind);
            pieces.map(move |(piece, _)| (piece.id.clone(), count))
        };
        Entry { name, pieces: kinds.into_iter().flat_map(of).collect() }
    };
    let entries = asked.into_iter().map(entry).collect();
    // What is on hand altogether is not made, but keeps its identifier.
    let pieces = numbered.into_iter().map(|(piece, _)| piece).filter(|piece| piece.count > 0).collect();
    Made { pieces, plan: planned, entries }
}

/// What a plan and a list of entries come to.
#[derive(Default)]
pub(super) struct Made {
    pub pieces: Vec<Piece>,
    pub plan: Option<Planned>,
    pub entries: Vec<Entry>,
}

/// An entry of the set file's list of pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// What it asks for, such as `tile, brine hall floor`.
    pub name: String,
    /// Identifiers of its pieces, and how many of each.
    pub pieces: Vec<(String, u32)>,
}

/// Equal parts as one.
#[derive(Default)]
struct Joined {
    wanted: Vec<Wanted>,
    total: u64,
}

impl Joined {
    /// Adds a part; its index.
    fn add(&mut self, wanted: Wanted) -> usize {
        self.total += u64::from(wanted.count);
        if let Some(index) = self.wanted.iter().position(|other| other.same_as(&wanted)) {
            let other = &mut self.wanted[index];
            // The total is checked; a sum that saturates is far above it.
            other.count = other.count.saturating_add(wanted.count);
            return index;
        }
        self.wanted.push(wanted);
        self.wanted.len() - 1
    }
}

/// Sorted by kind, each with its identifier and the index of what asks for it.
fn numbered(
    mut made: Vec<(Proved, usize)>,
    wanted: &[Wanted],
    stock_grain: &dyn Fn(Stock) -> PieceGrain,
) -> Vec<(Piece, usize)> {
    made.sort_by_key(|(pattern, _)| pattern.kind);
    let mut last = BTreeMap::new();
    made.into_iter()
        .map(|(pattern, index)| {
            let number = last.entry(pattern.kind.letters()).and_modify(|n| *n += 1).or_insert(1u32);
            let id = format!("{}{number}", pattern.kind.letters());
            let Wanted { part, count, face, ornament, label, label_on_face, grain, at, .. } = wanted[index].clone();
            let word = match (grain, pattern.stock) {
                (Some(word), Stock::Paper | Stock::Card) => word,
                (_, stock) => stock_grain(stock),
            };
            let grain = grain_of(word, &pattern);
            (Piece { id, part, pattern, count, face, ornament, label, label_on_face, grain, at }, index)
        })
        .collect()
}

/// What covers the pieces of a plan.
struct OfPlan {
    /// Its floors, in the order of the surfaces.
    floors: Vec<Option<Cover>>,
    /// The parts of its fittings, in their order.
    standing: Vec<Vec<Option<Cover>>>,
    /// Its roofs.
    roofs: Vec<Option<Cover>>,
    /// All others.
    usual: Usual,
}

/// What a plan lacks, kind by kind; also kinds of which nothing is missing.
fn of_plan(worked: &Worked, faces: &OfPlan, covers: &Covers<'_>) -> Vec<Wanted> {
    let plan = &worked.plan;
    let wanted = |needed: &Needed, missing: u32| {
        let surface = needed.surface.and_then(|surface| plan.surfaces.get(surface));
        let face = match &needed.piece {
            Part::Wrap(_) | Part::TurnWrap(_) => needed.surface.and_then(|surface| *faces.floors.get(surface)?),
            part => match (needed.roof, needed.fitting) {
                (Some(roof), _) => faces.roofs.get(roof).copied().flatten(),
                (None, Some((design, part))) => faces.standing.get(design).and_then(|parts| *parts.get(part)?),
                (None, None) => faces.usual.of(part),
            },
        };
        let fitting = needed.fitting.and_then(|(design, _)| plan.fittings.get(design));
        let letter = needed.design.and_then(|design| plan.designs.get(design)?.letter);
        let label = match &needed.piece {
            Part::Wrap(_) | Part::TurnWrap(_) => surface.map(|surface| surface.name.clone()),
            // The pattern names the opening; the letter tells two doors apart.
            Part::Wall(_) | Part::BentWall(_) => letter.map(|letter| format!("design {letter}")),
            _ => None,
        };
        let asked_by = match (&needed.piece, letter) {
            (Part::Wall(_), Some(letter)) => format!("a wall of design {letter} ({})", needed.name),
            (Part::Wall(_), None) => "a plain wall".to_owned(),
            (Part::Sleeve(_), _) => format!("a {} post", needed.name),
            (Part::Cap(_), _) => format!("a {} cap", needed.name),
            (Part::Coupler(_), _) => format!("a {} coupler", needed.name),
            (Part::Wrap(_), _) => format!("a tile of {}", needed.name),
            (Part::TurnWrap(_), _) => format!("a turn's tile of {}", needed.name),
            (Part::BentWall(_), Some(letter)) => format!("a wall of design {letter} ({}) on a bend", needed.name),
            (Part::BentWall(_), None) => "a plain wall on a bend".to_owned(),
            _ if fitting.is_some() => fitting.map(FittingDesign::called).unwrap_or_default(),
            _ => format!("a {}", needed.name),
        };
        let at = worked.at(needed);
        let ornament = match needed.fitting {
            Some((design, _)) => covers.fitted.ornament(design),
            None => needed.design.and_then(|design| covers.ornaments.get(design)).cloned().unwrap_or_default(),
        };
        let (part, count) = (needed.piece.clone(), missing);
        Wanted { part, count, face, ornament, label, label_on_face: false, grain: None, asked_by, at }
    };
    worked.needed.iter().map(|(needed, missing)| wanted(needed, *missing)).collect()
}
