//! Rules of walls: the slot they hang in, the tabs inside the post, the body between two posts.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::post::{self, Arms, Post, Stand};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::region::Region;
use flatwright_geometry::tolerance;
use flatwright_geometry::units::{Mm, plain};

use super::Case;
use super::finding::Finding;
use super::measure::{Along, BESIDE, extent, gaps, sleeve, slot, spans};
use crate::fold::fold;
use crate::prove::sheet;

/// Length of a hook behind its gap, mm: enough to keep hold; an estimate.
const LEAST_HOOK: f64 = 1.5;
/// Distance of a hook's end from the floor, mm; an estimate.
const LEAST_LIFT: f64 = 0.5;
/// Shortest body of a wall, mm: shorter ones have no pattern.
const LEAST_BODY: f64 = 3.0;

/// A slot as narrow as the wall jams; a kerf as wide as the slot leaves nothing to cut along.
pub(super) fn wall_in_slot(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "wall in slot");
    if case.walls().is_empty() {
        return Vec::new();
    }
    let (f, k) = (p.play.get(), p.kerf.get());
    let wall = thickness(case);
    // A sleeve with four slots has the glued face's too; one with three has none there.
    let found = slot(p, most_arms(case));
    let play = Finding::at_least(
        rule,
        format!("play of the wall: wall {}, slot {}", plain(wall, 3), plain(found.width, 3)),
        found.width - wall,
        f,
    );
    let lost = (k > 0.0).then(|| format!("uncorrected for the kerf the slot's play would be {}", Mm::new(f + k)));
    let drawn = "kerf, and the slot that it must leave a line in";
    let neck = case.walls().first().map_or(found.bottom, |wall| tab(p, wall).neck);
    vec![
        play.with_note(lost),
        Finding::below(rule, drawn, k, cuttable(p, found.width), tolerance::CHORD),
        Finding::at_most(
            rule,
            "slot's bottom above the floor, and the wall's neck that rests on it",
            found.bottom,
            neck,
        ),
    ]
}

/// The widest kerf for which the tool's own contour still shows the slot: its nominal width, or
/// less where the contour loses it earlier.
fn cuttable(p: &Parameters, width: f64) -> f64 {
    let post = Post { arms: Arms::ALL, stand: Stand::BasePlate, under: false };
    let Ok(net) = post::sleeve(p, post) else { return width };
    let middle = p.wall_height.get() - p.slot_depth().get() / 2.0;
    let lines =
        |regions: &[Region]| regions.iter().map(|region| gaps(&spans(region, Along::X, middle)).len()).sum::<usize>();
    let nominal = lines(std::slice::from_ref(&net.material));
    let drawn = lines(&net.tool_contours(p.kerf));
    if drawn < nominal { width.min(p.kerf.get()) } else { width }
}

/// Four tabs that meet in one post must not push at each other.
pub(super) fn tabs_inside_a_sleeve(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let Some(tab) = case.walls().first().map(|wall| tab(p, wall)) else { return Vec::new() };
    // A wall's body begins half the post and half the play from the post's middle.
    let end = (p.post_side() + p.play).get() / 2.0 - tab.length;
    let wall = thickness(case);
    let between = (end - wall / 2.0).min(2.0 * end);
    let what = format!("room between the tabs of four walls: they end {} before the middle", plain(end, 3));
    vec![Finding::at_least("tabs inside a sleeve", what, between, p.play.get())]
}

/// A wall that is longer than its place does not go in; a shorter one falls out of its hooks.
pub(super) fn wall_between_posts(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "wall between posts");
    let mut spans_used: Vec<Wall> = case.walls();
    spans_used.sort_by(|a, b| a.span.total_cmp(&b.span));
    spans_used.dedup_by(|a, b| a.span == b.span);
    if spans_used.is_empty() {
        return Vec::new();
    }
    let side = sleeve(p, most_arms(case)).side;
    spans_used
        .into_iter()
        .flat_map(|wall| {
            let body = tab(p, &wall).body;
            let name = flatwright_geometry::pieces::span_text(wall.span);
            let free = p.module.get() * wall.span - side;
            [
                Finding::equal(rule, format!("wall over {name}: body and play"), body + p.play.get(), free),
                Finding::at_least(rule, format!("wall over {name}: body"), body, LEAST_BODY),
            ]
        })
        .collect()
}

/// A hook must pass over both layers of the glued face, and enough of it must lie behind them.
pub(super) fn hook_over_card(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "hook over card");
    let Some(tab) = case.walls().first().map(|wall| tab(p, wall)) else { return Vec::new() };
    let needed = 2.0 * case.in_hand().card.get() + p.play.get();
    vec![
        Finding::at_least(rule, "gap before the hook, and two layers of card with play", tab.gap, needed),
        Finding::below(rule, "kerf, and the gap that it must leave a line in", p.kerf.get(), tab.gap, tolerance::CHORD),
        Finding::at_least(rule, "length of the hook behind the gap", tab.length - tab.gap, LEAST_HOOK),
        Finding::at_least(rule, "end of the hook above the floor", tab.hook_end, LEAST_LIFT),
    ]
}

/// Thickness of a wall: measured on a folded one, unless stock in hand was named.
pub(super) fn thickness(case: &Case<'_>) -> f64 {
    let p = case.parameters;
    match (p.walls, case.in_hand) {
        (WallBuild::Board, _) => case.in_hand().board.get(),
        (WallBuild::Card, Some(hand)) => 2.0 * hand.card.get(),
        (WallBuild::Card, None) => {
            let net =
                case.walls().first().and_then(|wall| wall.patterns(p).ok()).and_then(|all| all.into_iter().next());
            let folded = net.and_then(|net| fold(&net, sheet(p, net.stock)).ok());
            folded.map_or(p.wall_thickness().get(), |panels| extent(&panels, |_| true)[2])
        }
    }
}

/// The lower end of the hooks above the floor.
pub(super) fn hook_end(p: &Parameters, wall: &Wall) -> f64 {
    tab(p, wall).hook_end
}

/// The arms of the post with most slots in the case; all four where it names no post with any.
fn most_arms(case: &Case<'_>) -> Arms {
    let posts = case.posts();
    let most = posts.iter().map(|post| post.arms).max_by_key(|arms| arms.count());
    most.filter(|arms| *arms != Arms::NONE).unwrap_or(Arms::ALL)
}

/// What is measured on a wall.
struct Tab {
    /// From the body's end to the tab's.
    length: f64,
    /// From the body's end to the hook.
    gap: f64,
    /// The neck's underside above the floor.
    neck: f64,
    /// The hook's lower end above the floor.
    hook_end: f64,
    /// The body, along the floor.
    body: f64,
}

/// Measured on the wall's front or core; as drawn up where it has no shape.
fn tab(p: &Parameters, wall: &Wall) -> Tab {
    let patterns = wall.patterns(p).unwrap_or_default();
    patterns.first().and_then(|pattern| measured(p, pattern)).unwrap_or_else(|| {
        let hook_end = p.wall_height - p.slot_depth() - p.hook_drop;
        Tab {
            length: (p.play / 2.0 + p.tab_past_face()).get(),
            gap: p.hook_gap().get(),
            neck: (p.wall_height - p.slot_depth()).get(),
            hook_end: hook_end.get(),
            body: p.wall_body(wall.span).get(),
        }
    })
}

fn measured(p: &Parameters, pattern: &Pattern) -> Option<Tab> {
    // The material's own left end is the tab's: the body begins at x = 0.
    let length = -pattern.material.bounds().x0;
    let floor = spans(&pattern.material, Along::X, BESIDE);
    let body = floor.last()?.1 - floor.first()?.0;
    let neck = p.wall_height.get() - p.slot_depth().get();
    if p.hook_drop.get() < 2.0 * BESIDE {
        return None;
    }
    let at_hook = spans(&pattern.material, Along::X, neck - BESIDE);
    let (from, to) = at_hook.first().copied().filter(|hook| hook.1 < 0.0)?;
    let hook_end = spans(&pattern.material, Along::Y, (from + to) / 2.0).first()?.0;
    let gap = at_hook.get(1)?.0 - to;
    let underside = spans(&pattern.material, Along::Y, to + gap / 2.0).first()?.0;
    Some(Tab { length, gap, neck: underside, hook_end, body })
}
