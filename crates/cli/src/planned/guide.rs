//! The guide to building a plan, as the sheets crate sets it.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_planning::assemble::{Place, Spot};
use flatwright_planning::order::Step;
use flatwright_sheets::compose::Composed;
use flatwright_sheets::guide::{Guide, GuidePart, GuideStep};
use flatwright_sheets::page::Document;
use flatwright_sheets::plan_view::{PlanItem, PlanRef};

use super::{Kind, Planned, report, shopping, view};
use crate::faces;
use crate::import::{Piece, Set};

/// Everything that the guide tells: plan, parts, steps with the pieces' identifiers, lifting,
/// shopping, cautions.
#[must_use]
pub fn guide(set: &Set, planned: &Planned, composed: &Composed, pictures: Vec<Document>) -> Guide {
    Guide {
        pictures,
        artwork: faces::artwork(set),
        title: set.name.clone(),
        about: about(set, planned),
        plan: view::view(planned, &set.name, &set.parameters),
        parts: parts(set, planned),
        steps: planned.steps.iter().enumerate().map(|(index, step)| guide_step(planned, index, step)).collect(),
        strength: strength(planned, &set.parameters),
        shopping: shopping::list(set, composed),
        cautions: cautions(set),
    }
}

/// The steps in one line each, for the cover of the sheets.
#[must_use]
pub fn short_steps(planned: &Planned) -> Vec<String> {
    let line = |step: &Step| {
        let pieces: Vec<String> =
            pieces_of(planned, step).into_iter().map(|(id, count)| format!("{id}\u{a0}×\u{a0}{count}")).collect();
        let level = step.level.filter(|_| planned.levels.len() > 1).map(|level| &planned.plan.levels[level].name);
        let level = level.map(|name| format!("{name}: ")).unwrap_or_default();
        match pieces.is_empty() {
            true => format!("{level}{}", step.title),
            false => format!("{level}{} ({})", step.title, pieces.join(", ")),
        }
    };
    planned.steps.iter().map(line).collect()
}

fn about(set: &Set, planned: &Planned) -> String {
    let [levels, tiles, walls, posts, fittings, roofs] = planned.totals();
    let level = if levels > 1 { format!(" on {levels} levels") } else { String::new() };
    let made: u64 = set.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    let mut text = set.about.clone().unwrap_or_default();
    let mut what = vec![format!("{tiles} tiles"), format!("{walls} walls"), format!("{posts} posts")];
    let one = |count: usize, word: &str| match count {
        0 => None,
        1 => Some(format!("a {word}")),
        _ => Some(format!("{count} {word}s")),
    };
    what.extend(one(fittings, "fitting").into_iter().chain(one(roofs, "roof")));
    let last = what.pop().unwrap_or_default();
    let what = format!("{} and {last}", what.join(", "));
    text += &format!("\n{what}{level}, from {made} pieces.");
    if planned.has_stock {
        text += " What has been built already is used first and is not among them.";
    }
    if levels > 1 {
        text += "\nEach level has sheets of its own: print, cut and bag it apart.";
    }
    text + "\nIdentifiers such as TW1 are printed on the pieces and stand beside them on the plan."
}

fn parts(set: &Set, planned: &Planned) -> Vec<GuidePart> {
    let mut parts: Vec<GuidePart> = Vec::new();
    let mut add = |piece: &Piece, count: u32| match parts.iter_mut().find(|part| part.id == piece.id) {
        Some(part) => part.count = part.count.saturating_add(count),
        None => parts.push(part(set, piece, count)),
    };
    // What the plan needs, on hand or not; then what the set makes beyond it.
    for Kind { needed, pieces, .. } in &planned.kinds {
        pieces.iter().for_each(|piece| add(piece, needed.count));
    }
    let of_plan = |id: &str| {
        let here = planned.kinds.iter().filter(|kind| kind.pieces.iter().any(|piece| piece.id == id));
        here.map(|kind| kind.missing).fold(0u32, u32::saturating_add)
    };
    for piece in &set.pieces {
        let more = piece.count.saturating_sub(of_plan(&piece.id));
        if more > 0 {
            add(piece, more);
        }
    }
    parts
}

fn part(set: &Set, piece: &Piece, count: u32) -> GuidePart {
    let pattern = &piece.pattern;
    let levels = set.plan.as_ref().map(|planned| of_levels(planned, &piece.id)).unwrap_or_default();
    let levels = Some(levels.join(", "));
    let name = [Some(pattern.kind.name()), Some(pattern.detail.as_str()), piece.label.as_deref(), levels.as_deref()];
    let name: Vec<&str> = name.into_iter().flatten().filter(|part| !part.is_empty()).collect();
    GuidePart {
        id: piece.id.clone(),
        name: name.join(", "),
        count,
        stock: pattern.stock,
        pattern: pattern.pattern().clone(),
        face: faces::face(set, piece),
    }
}

/// How many of a piece each level needs, on hand or not, such as `landing 4`; none where there is one level.
fn of_levels(planned: &Planned, id: &str) -> Vec<String> {
    if planned.levels.len() < 2 {
        return Vec::new();
    }
    let here = || planned.kinds.iter().filter(|kind| kind.pieces.iter().any(|piece| piece.id == id));
    let places =
        |level: usize| here().flat_map(|kind| &kind.needed.places).filter(|place| place.level == level).count();
    let levels = planned.plan.levels.iter().enumerate().map(|(index, level)| (&level.name, places(index)));
    levels.filter(|(_, count)| *count > 0).map(|(name, count)| format!("{name} {count}")).collect()
}

fn guide_step(planned: &Planned, index: usize, step: &Step) -> GuideStep {
    let level = step.level.filter(|_| planned.levels.len() > 1).map(|level| &planned.plan.levels[level].name);
    GuideStep {
        number: u32::try_from(index + 1).unwrap_or(u32::MAX),
        title: level.map_or_else(|| step.title.clone(), |name| format!("{name}: {}", step.title)),
        text: step.text.clone(),
        pieces: pieces_of(planned, step),
        highlight: step.places.iter().filter_map(|place| on_plan(planned, *place)).collect(),
    }
}

/// The identifiers of what a step uses up.
fn pieces_of(planned: &Planned, step: &Step) -> Vec<(String, u32)> {
    let ids = |&(kind, count): &(usize, u32)| planned.kinds[kind].pieces.iter().map(move |p| (p.id.clone(), count));
    let mut sums: Vec<(String, u32)> = Vec::new();
    for (id, count) in step.pieces.iter().flat_map(ids) {
        match sums.iter_mut().find(|(known, _)| *known == id) {
            Some((_, sum)) => *sum = sum.saturating_add(count),
            None => sums.push((id, count)),
        }
    }
    sums
}

fn on_plan(planned: &Planned, Place { level, spot }: Place) -> Option<PlanRef> {
    let build = &planned.levels[level].build;
    let item = match spot {
        Spot::Tile(tile) => PlanItem::Tile(tile),
        Spot::Wall(wall) => PlanItem::Wall(wall),
        Spot::Fitting(fitting) => PlanItem::Fitting(fitting),
        // Roofs are drawn after all fittings.
        Spot::Roof(roof) => PlanItem::Fitting(build.fittings.len() + roof),
        // A cap is marked by its post, which it hides.
        Spot::Post(post) | Spot::Cap(post) => PlanItem::Post(post),
        // So is a coupler, which is in its post.
        Spot::Coupler(coupler) => PlanItem::Post(build.couplers.get(coupler)?.post),
        Spot::Biscuit(edge) => PlanItem::Biscuit(build.biscuits.iter().position(|other| *other == edge)?),
        // A pocket is under its tile; the post that it holds shows where.
        Spot::Pocket(at, _) => PlanItem::Post(build.posts.iter().position(|post| post.at == at)?),
        Spot::TurnTile(tile) => PlanItem::Shape(tile),
        Spot::BentWall(wall) => PlanItem::Bend(wall),
    };
    Some(PlanRef { level, item })
}

fn strength(planned: &Planned, p: &Parameters) -> Vec<String> {
    let mut lines = report::strength(planned, p);
    if !lines.is_empty() {
        lines.push(
            "Strengths are estimates from the sizes of the joints; nothing was loaded until it failed. Take walls out \
             before you carry a floor further than across a table."
                .to_owned(),
        );
    }
    lines
}

/// The usual cautions.
pub(crate) fn cautions(set: &Set) -> Vec<String> {
    let has = |kind| set.pieces.iter().any(|piece| piece.pattern.kind == kind);
    let small = match (has(PieceKind::PostCap), has(PieceKind::Coupler)) {
        (false, false) => "Biscuits and pockets",
        (true, false) => "Biscuits, pockets and caps",
        (false, true) => "Biscuits, pockets and couplers",
        (true, true) => "Biscuits, pockets, caps and couplers",
    };
    CAUTIONS.iter().map(|caution| caution.replace("Biscuits and pockets", small)).collect()
}

const CAUTIONS: [&str; 5] = [
    "Knives are sharp: cut on a mat along a metal rule, in several light cuts, with your fingers off the line. Change \
     blades in time and store them closed.",
    "Children cut with an adult beside them, or get the pieces ready cut. Biscuits and pockets are small parts: not \
     for children under three.",
    "Use spray adhesive where air moves. Hot glue burns.",
    "Before a laser cuts anything, know exactly what the board is made of: never cut PVC or an unknown foam.",
    "The safety sheet of your product, the owner of the machine, your school and the rules where you live come before \
     anything written here.",
];
