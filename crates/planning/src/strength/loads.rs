//! What the levels above weigh, what that puts on the posts below, and how much a post may carry.
//!
//! All of it is ESTIMATED from sizes and usual densities; nothing was loaded until it failed. A post is
//! taken as a square tube with thin walls, which gives way when the first of its walls buckles: stress
//! `k pi^2 E / (12 (1 - v^2)) (t / b)^2` with k = 4 for a wall held along both of its sides and 0.425
//! for one with a free side, as beside a slot (S. P. Timoshenko and J. M. Gere, Theory of Elastic
//! Stability, 2nd edition 1961, chapter 9; the same cases stand in Roark's Formulas for Stress and Strain
//! among those of plates; both from memory). Bending of a tile is that of a beam on two supports.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::fmt;

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pieces::coupler;
use flatwright_geometry::pieces::post::{Arms, Post, Stand};
use flatwright_geometry::units::plain;

use super::standing;
use crate::build::{BentWallPlace, LevelBuild, TilePlace, TurnTilePlace, WallPlace};
use crate::levels::{Ground, vertices, walls_carry};
use crate::plan::{Plan, Vertex};

/// Density of card and paper, g/cm3: 0.7 to 1.0 are usual (from memory); the heavier counts.
pub(super) const CARD: f64 = 1.0;
/// Density of foam board with its liners, g/cm3 (common practice: about 700 g/m2 at 5 mm).
const FOAM_BOARD: f64 = 0.15;
/// Density of greyboard, g/cm3 (common practice).
const GREYBOARD: f64 = 0.65;
/// Board from this thickness on is taken for foam board, mm: it is not sold thinner (common practice).
const FOAM_FROM: f64 = 3.0;
/// Modulus of card, N/mm2, the way in which it is weaker (from memory: 2000 to 3000).
const CARD_MODULUS: f64 = 2000.0;
/// Modulus in bending of foam board, N/mm2: half of what liners of 0.25 mm would give, since the foam
/// between them gives way too (estimate).
const FOAM_MODULUS: f64 = 400.0;
/// Modulus of greyboard, N/mm2 (from memory).
const GREYBOARD_MODULUS: f64 = 2000.0;
/// Poisson's ratio of card (from memory).
const POISSON: f64 = 0.3;
/// Least share of what makes a post buckle that it is told to carry: 1 in so many (common practice for
/// what is handled).
pub const FACTOR: f64 = 4.0;
/// What is put on the middle of a tile to tell how it bends, g: a hand that rests, or some figures.
const ON_TILE: f64 = 200.0;
/// Newtons of a gram's weight.
const GRAM: f64 = 9.81e-3;

/// What a level carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// All levels above it, g.
    pub weight: f64,
    /// What comes on each of its posts, g, in the order of its posts.
    pub posts: Vec<f64>,
    /// At which load each of them is estimated to buckle, g.
    pub buckles: Vec<f64>,
    /// Where each of them stands.
    pub at: Vec<Vertex>,
    /// Sag of the longest tile of the level above in its middle, mm, and how far it reaches, mm; both 0 where it
    /// has tiles of turns alone.
    pub sag: (f64, f64),
    /// Sag of a corner of that level that biscuits hold, until the seams close at the top, mm.
    pub corner: Option<f64>,
}

impl Load {
    /// The post that is nearest to its limit.
    #[must_use]
    pub fn tightest(&self) -> Option<usize> {
        (0..self.posts.len()).min_by(|&a, &b| self.spare(a).total_cmp(&self.spare(b)))
    }

    /// What a post may carry beyond what it does, g, with the usual factor.
    #[must_use]
    pub fn spare(&self, post: usize) -> f64 {
        self.buckles[post] / FACTOR - self.posts[post]
    }
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "What stands on it weighs about {}", mass(self.weight))?;
        if let Some(post) = self.tightest() {
            let at = self.at[post];
            let (holds, buckles) = (mass(self.posts[post]), mass(self.buckles[post]));
            write!(
                f,
                "; of that about {holds} come on the post at line {} from the west, line {} from the north, which is \
                 nearest to its limit. It is estimated to buckle under {buckles}; with a factor of {FACTOR}",
                at.x + 1,
                at.y + 1
            )?;
            match self.spare(post) {
                spare if spare > 0.0 => write!(f, " it may carry {} more", mass(spare))?,
                _ => f.write_str(" that is too much: use thicker card, or walls below more tiles")?,
            }
        }
        let (sag, span) = self.sag;
        // On a level of turns alone no tile rests as a beam does.
        if span > 0.0 {
            let (span, sag) = (plain(span, 0), plain(sag, 1));
            write!(f, ". A tile of {span} mm on it sags about {sag} mm in the middle under {ON_TILE} g")?;
        }
        if let Some(corner) = self.corner {
            write!(f, "; a corner that biscuits hold, up to {} mm, until its seams close", plain(corner, 1))?;
        }
        f.write_str(". All of these are estimates.")
    }
}

fn mass(grams: f64) -> String {
    if grams >= 1000.0 { format!("{} kg", plain(grams / 1000.0, 1)) } else { format!("{} g", plain(grams, 0)) }
}

/// What each level carries, lowest first; `None` for the topmost one.
#[must_use]
pub fn loads(plan: &Plan, builds: &[LevelBuild], p: &Parameters) -> Vec<Option<Load>> {
    let mut loads: Vec<Option<Load>> = vec![None; builds.len()];
    // What each post of the level in hand carries, and all that is above it.
    let mut on_posts = builds.last().map_or_else(Vec::new, |build| standing::roofs(build, p));
    let mut weight = on_posts.iter().sum::<f64>();
    for upper in (1..builds.len()).rev() {
        let (build, below) = (&builds[upper], &builds[upper - 1]);
        let ground = Ground::new(plan, build, &plan.levels[upper - 1], walls_carry(p));
        let mut on = Below::new(below);
        let ties = build.biscuits.len() as f64 * biscuit(p) + build.pockets.len() as f64 * pocket(p);
        let ties = ties / (build.slabs().max(1) as f64);
        let standing = standing::on_slabs(plan, &plan.levels[upper], build, p);
        for (tile, standing) in build.tiles.iter().zip(&standing) {
            let grams = self::tile(p, tile) + ties + standing;
            let corners = crate::levels::corners(tile).into_iter().zip(ground.rests(tile));
            let resting: Vec<Vertex> = corners.filter(|(_, rests)| *rests).map(|(at, _)| at).collect();
            resting.iter().for_each(|at| on.vertex(*at, grams / resting.len() as f64));
            weight += grams;
        }
        let turn = |index: usize| plan.levels.get(upper).and_then(|level| level.turns.get(index));
        for (place, standing) in build.turn_tiles.iter().zip(&standing[build.tiles.len()..]) {
            let Some(turn) = turn(place.turn) else { continue };
            let grams = turn_tile(p, place) + ties + standing;
            let corners = turn.corners(place.tile);
            corners.iter().for_each(|(at, _)| on.vertex(*at, grams / corners.len() as f64));
            weight += grams;
        }
        for (index, post) in build.posts.iter().enumerate() {
            let own = sleeve(p, post.post)
                + cap(p) * f64::from(u8::from(build.caps.binary_search(&index).is_ok()))
                + joint(p);
            on.vertex(post.at, own + on_posts[index]);
            weight += own;
        }
        for wall in &build.walls {
            let grams = self::wall(p, wall);
            // A filler is taken as heavy as a wall over its whole edge.
            let ends: Vec<Vertex> = wall.hooks().map(|(at, _)| at).collect();
            ends.iter().for_each(|at| on.vertex(*at, grams / ends.len() as f64));
            weight += grams;
        }
        for place in &build.bent_walls {
            let Some(turn) = turn(place.turn) else { continue };
            let grams = bent_wall(p, place);
            turn.ends(place.bend).into_iter().for_each(|(at, _)| on.vertex(at, grams / 2.0));
            weight += grams;
        }
        on_posts.clone_from(&on.posts);
        loads[upper - 1] = Some(Load {
            weight,
            posts: on.posts,
            buckles: below.posts.iter().map(|post| crippling(p, post.post) / GRAM).collect(),
            at: below.posts.iter().map(|post| post.at).collect(),
            sag: sag(p, build),
            corner: corner(p, build, &ground),
        });
    }
    loads
}

/// Loads as they come on the posts of a level.
struct Below {
    posts: Vec<f64>,
    /// Which posts take up what comes on a vertex: the one there, or those of a wall that passes there.
    takers: BTreeMap<Vertex, Vec<usize>>,
}

impl Below {
    fn new(build: &LevelBuild) -> Self {
        let at: BTreeMap<Vertex, usize> = build.posts.iter().enumerate().map(|(i, post)| (post.at, i)).collect();
        let mut takers: BTreeMap<Vertex, Vec<usize>> = BTreeMap::new();
        for wall in build.walls.iter().filter(|wall| wall.filler.is_none()) {
            let ends: Vec<usize> = [wall.from, wall.to()].iter().filter_map(|end| at.get(end).copied()).collect();
            for vertex in vertices(wall) {
                takers.entry(vertex).or_insert_with(|| ends.clone());
            }
        }
        takers.extend(at.iter().map(|(at, post)| (*at, vec![*post])));
        Self { posts: vec![0.0; build.posts.len()], takers }
    }

    /// On the post there; else on the wall there, half to each of its posts.
    fn vertex(&mut self, at: Vertex, grams: f64) {
        for &post in self.takers.get(&at).into_iter().flatten() {
            self.posts[post] += grams / self.takers[&at].len() as f64;
        }
    }
}

/// The load under which the first wall of a post buckles, or the post as a whole, N: an estimate.
///
/// A post with arms is looked at where its slots are: each slotted wall is two strips with a free side.
#[must_use]
pub fn crippling(p: &Parameters, post: Post) -> f64 {
    let (s, t, slot) = (p.post_side().get(), p.card.get(), p.slot_width().get());
    let arms = f64::from(post.arms.count());
    let plate =
        |k: f64, width: f64| k * PI * PI * CARD_MODULUS / (12.0 * (1.0 - POISSON * POISSON)) * (t / width).powi(2);
    let strip = (s - slot) / 2.0;
    let stress = match post.arms {
        Arms::NONE => plate(4.0, s),
        Arms::ALL => plate(0.425, strip),
        _ => plate(4.0, s).min(plate(0.425, strip)),
    };
    let area = t * (4.0 * s - arms * slot);
    // Leaning as a whole (Euler): second moment of a thin square tube, halved for its slots.
    let euler = PI * PI * CARD_MODULUS * (s.powi(3) * t / 3.0) / post.height(p).powi(2);
    (stress * area).min(euler)
}

/// Grams of so many mm3.
pub(super) fn grams(volume: f64, density: f64) -> f64 {
    volume * density / 1000.0
}

pub(super) fn board(p: &Parameters) -> (f64, f64) {
    if p.board.get() < FOAM_FROM { (GREYBOARD, GREYBOARD_MODULUS) } else { (FOAM_BOARD, FOAM_MODULUS) }
}

fn sides(p: &Parameters, tile: &TilePlace) -> (f64, f64) {
    let m = p.module.get();
    (tile.width as f64 * m, tile.height as f64 * m)
}

fn tile(p: &Parameters, tile: &TilePlace) -> f64 {
    let (w, h) = sides(p, tile);
    let paper = w * h + 2.0 * (w + h) * (p.board + p.wrap_return).get();
    grams(w * h * p.board.get(), board(p).0) + grams(paper * p.paper.get(), CARD)
}

/// Of a turn; its paper as if it went round the whole block, so rather too much.
fn turn_tile(p: &Parameters, place: &TurnTilePlace) -> f64 {
    let m = p.module.get();
    let area = place.modules() * m * m;
    let paper = area + 4.0 * f64::from(place.tile.bend.reach) * m * (p.board + p.wrap_return).get();
    grams(area * p.board.get(), board(p).0) + grams(paper * p.paper.get(), CARD)
}

fn biscuit(p: &Parameters) -> f64 {
    let (length, width) = p.biscuit();
    grams(length.get() * width.get() * p.board.get(), board(p).0)
}

fn pocket(p: &Parameters) -> f64 {
    let side = (p.post_side() / 2.0 + p.tongue + p.pocket_band).get();
    grams(side * side * p.card.get(), CARD)
}

/// Four faces and the flap.
fn sleeve(p: &Parameters, post: Post) -> f64 {
    let plate = match post.stand {
        Stand::BasePlate => grams((p.post_side() + p.tongue * 2.0).get().powi(2) * 2.0 * p.board.get(), board(p).0),
        Stand::Feet(_) => 0.0,
    };
    plate + grams(5.0 * p.post_side().get() * post.height(p) * p.card.get(), CARD)
}

fn cap(p: &Parameters) -> f64 {
    let side = flatwright_geometry::pieces::cap::inside(p) + 2.0 * flatwright_geometry::pieces::cap::skirt_height(p);
    grams(side * side * p.card.get(), CARD)
}

/// A coupler.
fn joint(p: &Parameters) -> f64 {
    let length = (coupler::slot_height(p) + coupler::reach_above(p)).max(0.0);
    grams(5.0 * p.post_side().get() * length * p.card.get(), CARD)
}

/// Without its openings, so rather too much.
fn wall(p: &Parameters, wall: &WallPlace) -> f64 {
    upright(p, wall.span as f64 * p.module.get())
}

/// As long as its middle line.
fn bent_wall(p: &Parameters, place: &BentWallPlace) -> f64 {
    let line = place.bend.line(p);
    upright(p, line.windows(2).map(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y)).sum())
}

fn upright(p: &Parameters, length: f64) -> f64 {
    let face = length * p.wall_height.get();
    match p.walls {
        WallBuild::Card => grams(2.0 * face * p.card.get(), CARD),
        WallBuild::Board => grams(face * p.board.get(), board(p).0) + grams(2.0 * face * p.paper.get(), CARD),
    }
}

/// Of a level's tiles, the one that bends most: in its middle, as a beam as long as its longer side that
/// rests at both ends, under its own weight and [`ON_TILE`]; and that length.
fn sag(p: &Parameters, build: &LevelBuild) -> (f64, f64) {
    let of = |place: &TilePlace| {
        let (w, h) = sides(p, place);
        let (long, short) = (w.max(h), w.min(h));
        let stiffness = board(p).1 * short * p.board.get().powi(3) / 12.0;
        let own = tile(p, place) * GRAM;
        let sag = (5.0 / 384.0 * own + ON_TILE * GRAM / 48.0) * long.powi(3) / stiffness;
        (sag, long)
    };
    build.tiles.iter().map(of).fold((0.0, 0.0), |a, b| if b.0 > a.0 { b } else { a })
}

/// Tiles that rest with three corners can turn about two of them until the seams at the fourth, apart by
/// the play, close at the top.
fn corner(p: &Parameters, build: &LevelBuild, ground: &Ground<'_>) -> Option<f64> {
    let free = build.tiles.iter().filter(|tile| ground.rests(tile).contains(&false));
    let drop = |tile: &TilePlace| {
        let (w, h) = sides(p, tile);
        p.play.get() / (2.0 * p.board.get()) * w * h / w.hypot(h)
    };
    free.map(drop).reduce(f64::max)
}
