//! From a design, what is said about it and the wall's size to what is cut and drawn.

use std::sync::Arc;

use flatwright_artwork::Element;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::design::Design;
use flatwright_geometry::pieces::niche::Niche;
use flatwright_geometry::pieces::opening::{HingeSide, LEAST_EDGE, Leaf, Opening};
use flatwright_geometry::units::{Mm, plain};
use kurbo::Rect;

use super::design_expr::Scope;
use super::design_file::Recipe;
use super::design_shape::Pencil;
use super::design_values::{LARGEST_COUNT, ValueEntries, ValueEntry};
use crate::problem::{At, Problem};
use crate::set_file::Length;
use crate::set_file::reader::{listed, nearest};

/// A value that a set or a plan gives a design.
#[derive(Clone, Debug)]
pub struct Given {
    /// Its key.
    pub key: String,
    /// What it says: `18 mm`, `4`, `left`; empty or `true`, and `false`, for yes and no.
    pub text: String,
    /// Where it is written.
    pub at: At,
}

/// The wall that a design is drawn for.
#[derive(Clone, Copy, Debug)]
pub struct Site<'a> {
    /// Parameters of the set.
    pub parameters: &'a Parameters,
    /// Modules along the wall.
    pub span: f64,
    /// What sentences call the wall, such as `` `pieces[3]` ``.
    pub asked_by: &'a str,
    /// Where it is asked for.
    pub at: &'a At,
}

/// A design, drawn for one wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// What is cut.
    pub opening: Opening,
    /// What is painted, in the artwork's plane: x from the middle of the left post, y up from the
    /// floor, mm.
    pub ornament: Vec<Element>,
}

/// Draws a design. What keeps it from being drawn goes to `problems`; whether enough material stays
/// is found when the wall's pattern is made.
#[must_use]
pub fn draw(recipe: &Recipe, given: &[Given], site: Site<'_>, problems: &mut Vec<Problem>) -> Option<Drawn> {
    let before = problems.len();
    let mut scope = known(site.parameters, site.span);
    let called = Called { kind: "design", name: &recipe.file.design.0 };
    values(called, recipe.file.values.as_ref(), given, &mut scope, problems);
    if problems.len() > before {
        return None;
    }
    match drawn(recipe, &mut scope, site, problems) {
        Ok(drawn) if problems.len() == before => Some(drawn),
        Ok(_) => None,
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

/// The lengths that every expression knows; see `design_check::KNOWN`.
fn known(p: &Parameters, span: f64) -> Scope {
    let tool = match p.walls {
        WallBuild::Card => p.tool_gap_card,
        WallBuild::Board => p.tool_gap_board,
    };
    let mut scope = Scope::default();
    let lengths = [
        ("length", p.wall_body(span)),
        ("wall_height", p.wall_height),
        ("module", p.module),
        ("post", p.post_side()),
        ("thickness", p.wall_thickness()),
        ("play", p.play),
        ("tool", tool),
        ("edge", Mm::new(LEAST_EDGE)),
        ("hook_gap", p.hook_gap()),
    ];
    for (name, length) in lengths {
        scope.push(name, length.get());
    }
    scope
}

/// What sentences call a file: `the design "niche"`.
#[derive(Clone, Copy)]
pub(super) struct Called<'a> {
    pub kind: &'a str,
    pub name: &'a str,
}

/// A file's own values: those given, else their defaults.
pub(super) fn values(
    Called { kind, name }: Called<'_>,
    entries: Option<&ValueEntries>,
    given: &[Given],
    scope: &mut Scope,
    problems: &mut Vec<Problem>,
) {
    let entries = entries.map_or(&[][..], |values| &values.0);
    let keys: Vec<&str> = entries.iter().map(|(key, ..)| key.as_str()).collect();
    for given in given.iter().filter(|given| !keys.contains(&given.key.as_str())) {
        let near = nearest(&given.key, &keys).map(|near| format!("did you mean \"{near}\"? "));
        let all =
            if keys.is_empty() { "it takes none".to_owned() } else { format!("it takes {}", listed(&keys, "and")) };
        let problem = Problem::new(format!("the {kind} \"{name}\" has no value \"{}\"", given.key));
        problems.push(problem.at(&given.at, "here").help(format!("{}{all}", near.unwrap_or_default())));
    }
    for (key, _, entry) in entries {
        let value = match given.iter().find(|given| given.key == *key) {
            None => default(entry),
            Some(given) => match read(entry, &given.text) {
                Ok(value) => value,
                Err((what, help)) => {
                    let problem = Problem::new(format!("`{key}` of the {kind} \"{name}\" {what}"));
                    problems.push(problem.at(&given.at, "here").help(help));
                    default(entry)
                }
            },
        };
        scope.push(key, value);
    }
}

fn default(entry: &ValueEntry) -> f64 {
    match entry {
        ValueEntry::Length(length) => length.get(),
        ValueEntry::Count(count) => f64::from(*count),
        ValueEntry::Flag(flag) => f64::from(u8::from(*flag)),
        ValueEntry::Word(_) => 0.0,
    }
}

/// What a text says; else what is wrong with it and how to mend it.
fn read(entry: &ValueEntry, text: &str) -> Result<f64, (String, String)> {
    let expected = |what: String, help: &str| Err((format!("must be {what}, not \"{text}\""), help.to_owned()));
    match entry {
        ValueEntry::Length(_) => match text.parse::<Length>() {
            Ok(length) => Ok(length.0.get()),
            Err((what, help)) => Err((what, help.to_owned())),
        },
        ValueEntry::Count(_) => match text.parse::<u32>().ok().filter(|n| (1..=LARGEST_COUNT).contains(n)) {
            Some(count) => Ok(f64::from(count)),
            None => expected(format!("a whole number from 1 to {LARGEST_COUNT}"), "write it without a unit, such as 4"),
        },
        ValueEntry::Flag(_) => match text {
            "" | "true" => Ok(1.0),
            "false" => Ok(0.0),
            _ => expected("true or false".to_owned(), "write its name alone for true"),
        },
        ValueEntry::Word(words) => match words.iter().position(|word| word == text) {
            Some(index) => Ok(index as f64),
            None => {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                let near = nearest(text, &words).map(|near| format!("did you mean \"{near}\"? "));
                expected(listed(&words, "or"), &format!("{}write one of them", near.unwrap_or_default()))
            }
        },
    }
}

fn drawn(recipe: &Recipe, scope: &mut Scope, site: Site<'_>, problems: &mut Vec<Problem>) -> Result<Drawn, Problem> {
    let file = &recipe.file;
    for (name, _, expr) in file.names.iter().flat_map(|names| &names.0) {
        let value = expr.value(scope)?;
        scope.push(name, value);
    }
    let refuse = |what: &str, found: f64, least: f64| {
        let numbers = format!("{} mm where at least {} mm are needed", plain(found, 3), plain(least, 3));
        Problem::new(format!("{} cannot be built: {what}: {numbers}", site.asked_by))
            .at(site.at, "this piece")
            .help("make the opening smaller, or the wall longer or higher")
    };
    for need in file.needs.iter().flatten() {
        let (found, least) = (need.found.value(scope)?, need.least.value(scope)?);
        if found < least - flatwright_geometry::tolerance::FIT {
            problems.push(refuse(&need.what.0, found, least));
        }
    }
    let mut pencil = Pencil::new(scope.clone());
    let mut design = Design {
        name: file.design.0.clone(),
        mark: file.mark.map(super::design_file::MarkWord::mark).unwrap_or_default(),
        length: site.parameters.wall_body(site.span).get(),
        cuts: Vec::new(),
        top: Vec::new(),
        leaf: None,
        niche: None,
    };
    for cut in file.cut.iter().flatten() {
        pencil.cut(cut, &design.name, &mut design.cuts, &mut |what, found, least| {
            problems.push(refuse(what, found, least));
        })?;
    }
    if let Some(top) = &file.top {
        design.top = pencil.points(top)?;
    }
    if let Some(leaf) = &file.leaf {
        let area = Rect::new(leaf.left.value(scope)?, 0.0, leaf.right.value(scope)?, leaf.height.value(scope)?);
        let hinge = if leaf.hinge.value(scope)? > 0.5 { HingeSide::Right } else { HingeSide::Left };
        design.leaf = Some(Leaf { area, hinge });
    }
    if let Some(niche) = &file.niche {
        let (from, to) = (pencil.point(&niche.from)?, pencil.point(&niche.to)?);
        design.niche = Some(Niche { area: Rect::from_points(from, to), depth: niche.depth.value(scope)? });
    }
    let mut ornament = Vec::new();
    for shape in file.ornament.iter().flatten() {
        pencil.paint(shape, &mut ornament)?;
    }
    let plane = (site.parameters.post_side() + site.parameters.play).get() / 2.0;
    let shift = kurbo::Affine::translate((plane, 0.0));
    let moved = |element: Element| {
        let path = shift * element.path;
        let painted = match element.paint {
            flatwright_artwork::Paint::Fill(colour) => Element::fill(path, colour),
            flatwright_artwork::Paint::Line(colour, width) => Element::line(path, colour, width),
        };
        if element.detail { painted.as_detail() } else { painted }
    };
    let ornament = ornament.into_iter().map(moved).collect();
    Ok(Drawn { opening: Opening::Drawn(Arc::new(design)), ornament })
}
