//! Rules of levels that stand on each other: couplers in their posts, over tabs and under hooks; posts on
//! posts, floors on walls.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::coupler::{self, Coupler};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::tolerance;
use flatwright_geometry::units::plain;

use super::Case;
use super::finding::Finding;
use super::grid::{same, text};
use super::measure::{Along, BESIDE, extent, gaps, spans};
use super::walls::{hook_end, thickness};
use crate::build::Build;
use crate::fold::fold;
use crate::place::{self, Body, Lattice};
use crate::prove::sheet;
use crate::solid::Solid;

/// A coupler as wide as a post is inside does not go in; a short one holds nothing.
pub(super) fn coupler_in_its_posts(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "coupler in its posts");
    let Some(coupler) = widest(case) else { return Vec::new() };
    let mut found = Vec::new();
    if let (Some(room), Some(side)) = (inside(p), side(p, coupler)) {
        let what = format!("play of a coupler: coupler {}, post inside {}", plain(side, 3), plain(room, 3));
        found.push(Finding::at_least(rule, what, room - side, p.play.get()));
    }
    let least = coupler::LEAST_HOLD;
    found.push(Finding::at_least(rule, "reach into the post below, and least", coupler::reach_below(p), least));
    found.push(Finding::at_least(rule, "reach into the post above, and least", coupler::reach_above(p), least));
    found
}

/// Walls hang in the lower post when the level is set on: its coupler must pass over their tabs, and what
/// is left of it beside them must hold together.
pub(super) fn coupler_over_tabs(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "coupler over tabs");
    let Some(coupler) = widest(case) else { return Vec::new() };
    let mut found = Vec::new();
    if let Some(slot) = slot(p, coupler) {
        let wall = thickness(case);
        let what = format!("play of the wall in a coupler's slot: wall {}, slot {}", plain(wall, 3), plain(slot.0, 3));
        found.push(Finding::at_least(rule, what, slot.0 - wall, 2.0 * p.play.get()));
        let what = "kerf, and the coupler's slot that it must leave a line in";
        found.push(Finding::below(rule, what, p.kerf.get(), slot.0, tolerance::CHORD));
        // From the upper post's foot, where the slots end; the walls below end two calipers under it.
        let (top, walls) = (slot.1 - coupler::slot_height(p), (p.post_height() - p.level_pitch()).get());
        let what = "slots' upper end, and a caliper above the walls below, from the foot of the post above";
        found.push(Finding::at_least(rule, what, top, walls + p.card.get()));
    }
    if coupler.arms != Arms::NONE {
        let what = "a leg beside a slot, and least";
        found.push(Finding::at_least(rule, what, coupler::leg_width(p), coupler::LEAST_LEG));
    }
    let what = "reach into the post below, and the depth of the walls' slot";
    found.push(Finding::at_most(rule, what, coupler::reach_below(p), p.slot_depth().get()));
    found
}

/// The walls of the upper level hang in when the coupler is already there.
pub(super) fn coupler_under_hooks(case: &Case<'_>) -> Vec<Finding> {
    let p = case.parameters;
    let (Some(coupler), Some(wall)) = (widest(case), case.walls().into_iter().next()) else { return Vec::new() };
    let Ok(net) = coupler::sleeve(p, coupler) else { return Vec::new() };
    let top = net.material.bounds().y1 - coupler::slot_height(p);
    let hooks = p.board.get() + hook_end(p, &wall);
    let what = "upper end of a coupler with play, and the hooks in the post above";
    vec![Finding::at_most("coupler under hooks", what, top + p.play.get(), hooks)]
}

/// Posts stand on posts and pockets on walls, all at once: heights from the underside of the upper level's tiles.
pub(super) fn level_on_level(case: &Case<'_>) -> Vec<Finding> {
    let (p, rule) = (case.parameters, "level on level");
    if widest(case).is_none() {
        return Vec::new();
    }
    let pitch = p.level_pitch().get();
    let here = Lattice { x: 0.0, y: 0.0 };
    let lowest = |bodies: &[Body]| heights(bodies).fold(f64::INFINITY, f64::min);
    let highest = |bodies: &[Body]| heights(bodies).fold(f64::NEG_INFINITY, f64::max) - pitch;
    let mut found = Vec::new();
    let stand = Stand::Feet(Feet::ALL);
    let upper = place::post(p, String::new(), Post { arms: Arms::NONE, stand, under: false }, here);
    for (stand, name) in [(stand, "feet"), (Stand::BasePlate, "a plate")] {
        let lower = place::post(p, String::new(), Post { arms: Arms::NONE, stand, under: true }, here);
        if let (Ok(upper), Ok(lower)) = (&upper, lower) {
            let what = format!("top of a post on {name} that carries a level, and the tongues of the post above");
            found.push(Finding::equal(rule, what, highest(&[lower]), lowest(std::slice::from_ref(upper))));
        }
    }
    let wall = Wall { span: 1.0, opening: None };
    let wall = place::wall(p, String::new(), &wall, here, false);
    if let (Ok(wall), Ok(pocket)) = (wall, place::pocket(p, String::new(), here, 0)) {
        // What is bent over a card wall's top is a caliper thick, and no panel.
        let bend = if p.walls == WallBuild::Card { p.card.get() } else { 0.0 };
        let what = "top of a wall, and the pockets of the level on it";
        found.push(Finding::equal(rule, what, highest(&[wall]) + bend, lowest(&[pocket])));
    }
    found
}

/// Every post above the ground stands on one that carries a level, with a coupler between; lowest level first.
#[must_use]
pub fn levels_stand(builds: &[&Build]) -> Vec<Finding> {
    let rule = "level on level";
    let mut found = Vec::new();
    let (mut posts, mut joined) = (0, 0);
    for pair in builds.windows(2) {
        let (below, above) = (pair[0], pair[1]);
        for post in &above.posts {
            posts += 1;
            let under = below.posts.iter().find(|other| same(other.at, post.at) && other.piece.under);
            let Some(under) = under else {
                let what = format!(
                    "{} at {} stands on a post that carries a level: posts, and needed",
                    post.name,
                    text(post.at)
                );
                found.push(Finding::at_least(rule, what, 0.0, 1.0));
                continue;
            };
            let fits = |placed: &&crate::build::Placed<Coupler>| {
                same(placed.at, post.at) && placed.piece.arms == under.piece.arms
            };
            let couplers = above.couplers.iter().filter(fits).count();
            joined += usize::from(couplers == 1);
            if couplers != 1 {
                let what = format!("{} has a coupler that fits {}: couplers, and needed", post.name, under.name);
                found.push(Finding::equal(rule, what, couplers as f64, 1.0));
            }
        }
    }
    if found.is_empty() && posts > 0 {
        let what = "posts above the ground with a post under them and a coupler between, of all";
        found.push(Finding::equal(rule, what, joined as f64, posts as f64));
    }
    found
}

/// The coupler with most arms.
fn widest(case: &Case<'_>) -> Option<Coupler> {
    case.couplers().into_iter().max_by_key(|coupler| coupler.arms.count())
}

fn heights(bodies: &[Body]) -> impl Iterator<Item = f64> {
    debug_assert!(bodies.iter().all(|body| body.kind != PieceKind::TileCore), "tiles have no part in this");
    bodies.iter().flat_map(|body| &body.solids).flat_map(Solid::corners).map(|corner| corner.z)
}

/// Room inside a folded post, the narrower way: at its glued face it is double.
fn inside(p: &Parameters) -> Option<f64> {
    let net = post::sleeve(p, Post { arms: Arms::NONE, stand: Stand::BasePlate, under: true }).ok()?;
    let panels = fold(&net, sheet(p, net.stock)).ok()?;
    // Folded about lines that run upward, so along y: the walls face along x and z.
    let across = [0, 2].map(|axis| {
        let values = |panel: &Solid| {
            let all: Vec<f64> = panel.corners().map(|c| if axis == 0 { c.x } else { c.z }).collect();
            let low = all.iter().copied().fold(f64::INFINITY, f64::min);
            (low, all.into_iter().fold(f64::NEG_INFINITY, f64::max))
        };
        let middle = panels
            .iter()
            .map(values)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (low, high)| (a.min(low), b.max(high)));
        let middle = (middle.0 + middle.1) / 2.0;
        // Walls that face the other way reach over the middle.
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for (from, to) in panels.iter().map(values) {
            if to < middle {
                low = low.max(to);
            } else if from > middle {
                high = high.min(from);
            }
        }
        high - low
    });
    Some(across[0].min(across[1])).filter(|room| room.is_finite())
}

/// Outer side of a folded coupler, the wider way.
fn side(p: &Parameters, coupler: Coupler) -> Option<f64> {
    let net = coupler::sleeve(p, coupler).ok()?;
    let panels = fold(&net, sheet(p, net.stock)).ok()?;
    let size = extent(&panels, |_| true);
    Some(size[0].max(size[2]))
}

/// The narrowest slot of a coupler, and its upper end above the coupler's lower end; `None` without arms.
fn slot(p: &Parameters, coupler: Coupler) -> Option<(f64, f64)> {
    let net = coupler::sleeve(p, coupler).ok()?;
    // Above the flap's chamfer, which is no slot.
    let found = gaps(&spans(&net.material, Along::X, coupler::reach_below(p) / 2.0 + BESIDE));
    let (from, to) = found.into_iter().min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let top = spans(&net.material, Along::Y, (from + to) / 2.0).first()?.0;
    Some((to - from, top))
}
