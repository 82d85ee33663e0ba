//! Wall designs by their names: what files call, to what the geometry cuts and the sheets paint.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use flatwright_artwork::Element;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::Bend;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::wall::Wall;
use flatwright_planning::plan::{Design, Plan};
use flatwright_planning::text::{Call, Spot};

use super::Piece;
use crate::problem::{At, Problem, Source, Spanned};
use crate::set_file::reader::{listed, nearest};
use crate::set_file::{DesignCall, Hinge, Length, Opening};
use crate::templates::Library;
use crate::templates::design_draw::{Drawn, Given, Site, draw};

/// What is painted on a wall, in the artwork's plane (see [`Drawn::ornament`]).
pub type Ornament = Arc<Vec<Element>>;

/// Everything that walls are drawn with.
#[derive(Clone, Copy)]
pub(super) struct Designs<'a> {
    pub library: &'a Library,
    pub parameters: &'a Parameters,
}

/// A wall as an entry of a file asks for it.
#[derive(Clone, Copy)]
pub(super) struct Entry<'a> {
    /// Modules along it.
    pub span: f64,
    pub opening: Option<&'a Spanned<Opening>>,
    pub design: Option<&'a Spanned<DesignCall>>,
    /// What sentences call it, such as `` `pieces[3]` ``.
    pub asked_by: &'a str,
    /// Where it stands.
    pub at: &'a At,
}

impl Designs<'_> {
    /// The wall of an entry and its ornament; `None` where its design cannot be drawn.
    pub fn wall(&self, entry: Entry<'_>, problems: &mut Vec<Problem>) -> Option<(Wall, Ornament)> {
        let span = entry.span;
        let site = Site { parameters: self.parameters, span, asked_by: entry.asked_by, at: entry.at };
        let (name, name_at, given) = match (entry.opening, entry.design) {
            (None, None) => return Some((Wall { span, opening: None }, Ornament::default())),
            (Some(_), Some(design)) => {
                let problem = Problem::new(format!("{} has an \"opening\" and a \"design\"", entry.asked_by));
                let help = "leave out one of the two: every opening is a design too";
                problems.push(problem.at(&design.value.name.at, "and a design too").help(help));
                return None;
            }
            (Some(opening), None) => {
                let (name, given) = of_opening(opening);
                (name.to_owned(), &opening.at, given)
            }
            (None, Some(design)) => {
                let given = design.value.values.iter().map(|(key, text, at)| Given {
                    key: key.clone(),
                    text: text.clone(),
                    at: at.clone(),
                });
                (design.value.name.value.0.clone(), &design.value.name.at, given.collect())
            }
        };
        let drawn = self.named(&name, name_at, &given, site, problems)?;
        Some((Wall { span, opening: Some(drawn.opening) }, Arc::new(drawn.ornament)))
    }

    /// Draws the designs that a plan calls, and gives their ornaments in the order of its designs.
    pub fn of_plan(
        &self,
        plan: &mut Plan,
        calls: &[Call],
        source: &Source,
        problems: &mut Vec<Problem>,
    ) -> Vec<Ornament> {
        let place = |spot: Spot| At::line(source, spot.line, spot.column, spot.length);
        let mut ornaments = vec![Ornament::default(); plan.designs.len()];
        for call in calls {
            let Some(design) = plan.designs.get_mut(call.design) else { continue };
            let given: Vec<Given> = (call.values.iter())
                .map(|said| Given { key: said.key.clone(), text: said.value.clone(), at: place(said.at) })
                .collect();
            let (name, at) = (&call.name.0, place(call.name.1));
            let letter = design.letter.map(String::from).unwrap_or_default();
            let asked_by = format!("a wall of design {letter} ({name})");
            let span = f64::from(design.span);
            let site = Site { parameters: self.parameters, span, asked_by: &asked_by, at: &at };
            if let Some(drawn) = self.named(name, &at, &given, site, problems) {
                design.opening = Some(drawn.opening);
                ornaments[call.design] = Arc::new(drawn.ornament);
            }
            let site = |span| Site { span, ..site };
            self.on_bends(plan, call, &mut ornaments, |span| self.named(name, &at, &given, site(span), problems));
        }
        ornaments
    }

    /// Draws a design again for each bend that it stands on, which is another length, and has the turns of the
    /// plan name that.
    fn on_bends(
        &self,
        plan: &mut Plan,
        call: &Call,
        ornaments: &mut Vec<Ornament>,
        mut draw: impl FnMut(f64) -> Option<Drawn>,
    ) {
        let mut known: BTreeMap<Bend, usize> = BTreeMap::new();
        for turn in plan.levels.iter_mut().flat_map(|level| &mut level.turns) {
            let (bend, inner) = (turn.bend, turn.inner_bend());
            for (bend, wall) in [(Some(bend), &mut turn.wall), (inner, &mut turn.inner_wall)] {
                // One without room is told of when its piece is made.
                let Some(bend) = bend.filter(|bend| *wall == Some(call.design) && bend.check(self.parameters).is_ok())
                else {
                    continue;
                };
                if let Some(design) = known.get(&bend) {
                    *wall = Some(*design);
                } else if let Some(drawn) = draw(BentWall { bend, opening: None }.developed_span(self.parameters)) {
                    let design = Design { opening: Some(drawn.opening), ..plan.designs[call.design].clone() };
                    plan.designs.push(design);
                    ornaments.push(Arc::new(drawn.ornament));
                    known.insert(bend, plan.designs.len() - 1);
                    *wall = Some(plan.designs.len() - 1);
                }
            }
        }
    }

    pub(super) fn named(
        &self,
        name: &str,
        at: &At,
        given: &[Given],
        site: Site<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<Drawn> {
        let Some(recipe) = self.library.design(name) else {
            let known = self.library.designs();
            let near = nearest(name, &known).map(|near| format!("did you mean \"{near}\"? "));
            let help = format!("{}designs are {}", near.unwrap_or_default(), listed(&known, "and"));
            problems.push(Problem::new(format!("\"{name}\" is not a wall design")).at(at, "here").help(help));
            return None;
        };
        draw(recipe, given, site, problems)
    }
}

/// What a builder should know of the designs that the pieces have, each once.
pub(super) fn warnings(library: &Library, pieces: &[Piece]) -> Vec<Problem> {
    let name = |piece: &Piece| match &piece.part {
        Part::Wall(wall) => wall.opening.as_ref().map(|design| design.name().to_owned()),
        Part::BentWall(wall) => wall.opening.as_ref().map(|design| design.name().to_owned()),
        _ => None,
    };
    let names: BTreeSet<String> = pieces.iter().filter_map(name).collect();
    names.iter().filter_map(|name| library.design(name)).flat_map(|recipe| recipe.warnings.iter().cloned()).collect()
}

/// An opening as the design of the same name.
fn of_opening(opening: &Spanned<Opening>) -> (&'static str, Vec<Given>) {
    let length = |length: Option<Length>| length.map(|length| format!("{} mm", length.0.get()));
    let flag = |flag: Option<crate::set_file::Flag>| flag.map(|flag| flag.0.to_string());
    let (name, values): (_, Vec<(&str, Option<String>)>) = match &opening.value {
        Opening::Door(e) => {
            let hinge = e.hinge.map(|hinge| Hinge::word(hinge).to_owned());
            ("door", vec![("width", length(e.width)), ("height", length(e.height)), ("hinge", hinge)])
        }
        Opening::Arch(e) => ("arch", vec![("width", length(e.width)), ("height", length(e.height))]),
        Opening::Window(e) => {
            let sizes = [("width", e.width), ("height", e.height), ("sill", e.sill)];
            let sizes = sizes.map(|(key, value)| (key, length(value)));
            ("window", sizes.into_iter().chain([("arched", flag(e.arched))]).collect())
        }
        Opening::Bars(e) => {
            let sizes = [("width", e.width), ("height", e.height), ("sill", e.sill), ("bar", e.bar)];
            let sizes = sizes.map(|(key, value)| (key, length(value)));
            let count = e.count.map(|count| count.0.to_string());
            ("bars", sizes.into_iter().chain([("count", count)]).collect())
        }
        Opening::Low(e) => ("low", vec![("height", length(Some(e.height)))]),
    };
    let given = values.into_iter().filter_map(|(key, text)| {
        let mut at = opening.at.clone();
        at.end = at.start + 1;
        Some(Given { key: key.to_owned(), text: text?, at })
    });
    (name, given.collect())
}
