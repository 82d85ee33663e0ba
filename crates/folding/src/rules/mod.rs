//! The rules that must hold, each with its two numbers and its margin.
//!
//! Numbers are measured on the flat patterns and the folded nets, not taken from the formulas that
//! drew them; only where a piece has no shape at all do the parameters speak for it.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

use crate::build::Build;
use crate::place::Body;
use field::Field;

mod arms;
mod bends;
mod caps;
mod couplers;
mod field;
mod finding;
mod floor;
mod grid;
mod measure;
mod mend;
mod nets;
mod page;
mod posts;
mod space;
mod tiles;
mod walls;

pub use couplers::levels_stand;
pub use finding::{Finding, Mend, Relation, Value, Verdict};
pub use page::PageUse;
pub use space::shared;

/// Names of the rules, in the order in which they are checked.
pub const RULES: [&str; 27] = [
    "play",
    "tile pitch",
    "biscuit in notch",
    "notch against notch",
    "tongue against notch",
    "tongue under a bend",
    "sleeve in its hole",
    "wall in slot",
    "tabs inside a sleeve",
    "wall between posts",
    "hook over card",
    "wrap over core",
    "pockets apart",
    "posts apart",
    "cap on its post",
    "cap and wall",
    "caps apart",
    "coupler in its posts",
    "coupler over tabs",
    "coupler under hooks",
    "level on level",
    "glue flap",
    "shape",
    "arms and walls",
    "posts and reliefs",
    "page",
    "space",
];

/// What the rules are checked on.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The parameters with which the pieces are drawn.
    pub parameters: &'a Parameters,
    /// The stock as measured, where it is not what the parameters say.
    pub in_hand: Option<InHand>,
    /// Pieces to be made; none for one of every kind.
    pub pieces: &'a [Piece],
    /// Where they stand.
    pub build: Option<&'a Build>,
    /// What the sheets leave free for the largest patterns.
    pub pages: &'a [PageUse],
}

/// Stock as it lies on the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InHand {
    /// Thickness of the board.
    pub board: Mm,
    /// Caliper of the card.
    pub card: Mm,
    /// Caliper of the paper.
    pub paper: Mm,
    /// Where the neutral line of a fold lies, as a part of the caliper.
    pub fold_factor: f64,
}

/// Neutral line of a fold in card and paper: the middle of the sheet (the construction rules).
const FOLD_FACTOR: f64 = 0.5;

impl<'a> Case<'a> {
    /// One of every kind of piece, in no build.
    #[must_use]
    pub const fn new(parameters: &'a Parameters) -> Self {
        Self { parameters, in_hand: None, pieces: &[], build: None, pages: &[] }
    }

    fn in_hand(&self) -> InHand {
        let p = self.parameters;
        self.in_hand.unwrap_or(InHand { board: p.board, card: p.card, paper: p.paper, fold_factor: FOLD_FACTOR })
    }

    fn with<'b>(&self, parameters: &'b Parameters) -> Case<'b>
    where
        'a: 'b,
    {
        Case { parameters, ..*self }
    }

    fn has(&self, kind: impl Fn(&Piece) -> bool) -> bool {
        self.distinct().iter().any(kind)
    }

    /// The distinct pieces: those given and those of the build.
    fn distinct(&self) -> Vec<Piece> {
        let mut distinct: Vec<Piece> = Vec::new();
        let mut add = |piece: Piece| {
            if !distinct.iter().any(|known| known.same_as(&piece)) {
                distinct.push(piece);
            }
        };
        self.pieces.iter().for_each(|piece| add(piece.clone()));
        if let Some(build) = self.build {
            for tile in &build.tiles {
                add(Piece::Core(tile.piece));
                add(Piece::Wrap(tile.piece));
            }
            for post in &build.posts {
                add(Piece::Sleeve(post.piece));
                if post.piece.stand == Stand::BasePlate {
                    add(Piece::Plate);
                    add(Piece::Plug);
                }
            }
            build.caps.iter().for_each(|cap| add(Piece::Cap(cap.piece)));
            build.couplers.iter().for_each(|coupler| add(Piece::Coupler(coupler.piece)));
            build.walls.iter().for_each(|wall| add(Piece::Wall(wall.piece.wall.clone())));
            build.fillers.iter().for_each(|jut| add(Piece::Filler(jut.piece.filler)));
            for tile in &build.turn_tiles {
                add(Piece::TurnCore(tile.piece.tile));
                add(Piece::TurnWrap(tile.piece.tile));
            }
            build.bent_walls.iter().for_each(|run| add(Piece::BentWall(run.piece.wall.clone())));
            build.bend_pockets.iter().for_each(|corner| add(Piece::BendPocket(corner.piece.pocket)));
            build.biscuits.iter().take(1).for_each(|_| add(Piece::Biscuit));
            build.pockets.iter().take(1).for_each(|_| add(Piece::Pocket));
            build.fixtures.iter().for_each(|fixture| add(fixture.piece.piece.clone()));
        } else if self.pieces.is_empty() {
            one_of_each().into_iter().for_each(add);
        }
        distinct
    }

    fn tiles(&self) -> Vec<Tile> {
        let mut tiles: Vec<Tile> = Vec::new();
        for piece in self.distinct() {
            if let Piece::Core(tile) | Piece::Wrap(tile) = piece
                && !tiles.contains(&tile)
            {
                tiles.push(tile);
            }
        }
        tiles
    }

    fn posts(&self) -> Vec<Post> {
        let posts = self.distinct().into_iter();
        posts.filter_map(|piece| if let Piece::Sleeve(post) = piece { Some(post) } else { None }).collect()
    }

    fn caps(&self) -> Vec<Cap> {
        let caps = self.distinct().into_iter();
        caps.filter_map(|piece| if let Piece::Cap(cap) = piece { Some(cap) } else { None }).collect()
    }

    fn couplers(&self) -> Vec<Coupler> {
        let couplers = self.distinct().into_iter();
        couplers.filter_map(|piece| if let Piece::Coupler(coupler) = piece { Some(coupler) } else { None }).collect()
    }

    fn walls(&self) -> Vec<Wall> {
        let walls = self.distinct().into_iter();
        walls.filter_map(|piece| if let Piece::Wall(wall) = piece { Some(wall) } else { None }).collect()
    }
}

fn one_of_each() -> Vec<Piece> {
    let tile = Tile::plain(2, 1, Reliefs::Corners);
    let post = Post { arms: Arms::ALL, stand: Stand::Feet(Feet::ALL), under: false };
    vec![
        Piece::Core(tile),
        Piece::Wrap(tile),
        Piece::Pocket,
        Piece::Biscuit,
        Piece::Sleeve(post),
        Piece::Cap(Cap { arms: Arms::ALL }),
        Piece::Plate,
        Piece::Plug,
        Piece::Wall(Wall { span: 1.0, opening: None }),
    ]
}

/// A rule that follows from parameters and pieces, and what may be changed where it fails, best first.
type Rule = (for<'a> fn(&Case<'a>) -> Vec<Finding>, &'static [Field]);

const RULES_OF_PIECES: [Rule; 22] = [
    (posts::play, &[Field::Play]),
    (tiles::tile_pitch, &[Field::Play]),
    (tiles::biscuit_in_notch, &[Field::Play]),
    (tiles::notch_against_notch, &[Field::NotchDepth, Field::NotchWidth, Field::Module]),
    (posts::tongue_against_notch, &[Field::Tongue, Field::NotchWidth, Field::PostSide, Field::Module]),
    (bends::tongue_under_a_bend, &[Field::Tongue, Field::Module]),
    (posts::sleeve_in_hole, &[Field::Card, Field::Play]),
    (walls::wall_in_slot, &[Field::Kerf, Field::PostSide, Field::Board, Field::Card, Field::Play]),
    (walls::tabs_inside_a_sleeve, &[Field::PostSide, Field::Board, Field::Card, Field::Play]),
    (walls::wall_between_posts, &[Field::PostSide, Field::Module]),
    (
        walls::hook_over_card,
        &[Field::PostSide, Field::Kerf, Field::Card, Field::HookDrop, Field::SlotDepth, Field::WallHeight],
    ),
    (tiles::wrap_over_core, &[Field::FoldFactor, Field::Board, Field::Paper]),
    (posts::pockets_apart, &[Field::PocketBand, Field::Tongue, Field::Module]),
    (posts::posts_apart, &[Field::Tongue, Field::Module]),
    (caps::cap_on_its_post, &[Field::PostSide, Field::Card, Field::Play]),
    (caps::cap_and_wall, &[Field::Board, Field::Card, Field::Play, Field::SlotDepth]),
    (caps::caps_apart, &[Field::Card, Field::PostSide, Field::Module]),
    (couplers::coupler_in_its_posts, &[Field::PostSide, Field::SlotDepth, Field::WallHeight, Field::Play]),
    (couplers::coupler_over_tabs, &[Field::Kerf, Field::PostSide, Field::Board, Field::Card, Field::Play]),
    (couplers::coupler_under_hooks, &[Field::WallHeight, Field::SlotDepth, Field::HookDrop]),
    (couplers::level_on_level, &[]),
    (nets::glue_flap, &[Field::Card, Field::Paper, Field::Board]),
];

/// All findings, and the build's bodies where it could be put together.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// In the order of the rules.
    pub findings: Vec<Finding>,
    /// Every piece of the build in its place; none without a build.
    pub bodies: Vec<Body>,
}

/// Checks every rule that applies. Where one fails, its finding names the parameter to change.
#[must_use]
pub fn check(case: &Case<'_>) -> Checked {
    let mut findings = Vec::new();
    for (rule, fields) in RULES_OF_PIECES {
        findings.extend(with_mends(case, rule, fields));
    }
    // What has no shape because a rule is broken is that rule's business.
    let explained = findings.iter().any(|finding| !finding.holds());
    let (bodies, space) = space::space(case);
    let shape = nets::shape(case).into_iter().chain(space.iter().filter(|f| f.rule == "shape").cloned());
    findings.extend(shape.filter(|finding| finding.holds() || !explained));
    for rule in PLACES {
        findings.extend(rule(case));
    }
    findings.extend(space.into_iter().filter(|f| f.rule == "space"));
    findings.sort_by_key(|finding| RULES.iter().position(|rule| *rule == finding.rule));
    findings.dedup();
    Checked { findings, bodies }
}

/// Rules of places: what they mend is not a parameter, and they say so themselves.
const PLACES: [for<'a> fn(&Case<'a>) -> Vec<Finding>; 6] = [
    floor::tiles_beside_each_other,
    floor::biscuits_in_seams,
    floor::pockets_under_corners,
    arms::arms_and_walls,
    floor::posts_and_reliefs,
    page::page,
];

/// A rule's findings; those that fail with what mends the rule as a whole.
fn with_mends(case: &Case<'_>, rule: fn(&Case<'_>) -> Vec<Finding>, fields: &[Field]) -> Vec<Finding> {
    let findings = rule(case);
    if findings.iter().all(Finding::holds) {
        return findings;
    }
    let holding = |p: &Parameters, rule: fn(&Case<'_>) -> Vec<Finding>| rule(&case.with(p)).iter().all(Finding::holds);
    let held: Vec<_> =
        RULES_OF_PIECES.iter().filter(|(other, _)| holding(case.parameters, *other)).map(|(other, _)| *other).collect();
    let mend = mend::mend(
        case.parameters,
        fields,
        |field| case.in_hand.and_then(|hand| field.in_hand(&hand)),
        |p| holding(p, rule),
        |p| held.iter().all(|other| holding(p, *other)),
    );
    findings
        .into_iter()
        .map(|finding| if finding.holds() { finding } else { finding.with_mend(mend.clone()) })
        .collect()
}
