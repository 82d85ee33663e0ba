//! What has been built already, and what is still missing.

use std::collections::BTreeSet;

use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::Post;
use flatwright_geometry::pieces::tile::Tile;
use flatwright_geometry::pieces::wall::Wall;

use super::needed::{Needed, Place};

/// Pieces that have been built already.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OnHand {
    /// Wrapped tiles.
    pub tiles: Vec<TilesOnHand>,
    /// Posts, in any quarter turn; one on a base plate comes with its plate and plug.
    pub posts: Vec<(Post, u32)>,
    /// Caps, in any quarter turn.
    pub caps: Vec<(Cap, u32)>,
    /// Couplers, in any quarter turn.
    pub couplers: Vec<(Coupler, u32)>,
    /// Walls by span and opening: the same design may have another letter in another plan.
    pub walls: Vec<(Wall, u32)>,
    /// Loose biscuits.
    pub biscuits: u32,
    /// Loose corner pockets. Pockets under tiles on hand are not known and count for nothing.
    pub pockets: u32,
}

/// Tiles of one size and surface.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TilesOnHand {
    /// Size, in any quarter turn, and reliefs.
    pub tile: Tile,
    /// The name of its surface.
    pub surface: String,
    /// How many.
    pub count: u32,
}

/// What is missing: `needed` (from [`super::pieces`]) less what is on hand.
///
/// What is on hand goes to the first places of each kind; the places left are those of the pieces
/// that remain to be made. A tile on hand saves its core and its wrap, both in the same place.
/// Kinds of which nothing is missing are left out; the order stays.
#[must_use]
pub fn shortfall(needed: &[Needed], on_hand: &OnHand) -> Vec<Needed> {
    let mut left = on_hand.clone();
    let mut missing = needed.to_vec();
    let mut served: BTreeSet<Place> = BTreeSet::new();
    for kind in &mut missing {
        match &kind.piece {
            Piece::Wrap(tile) => {
                let surface = &kind.name;
                let alike = |t: &TilesOnHand| t.surface == *surface && Piece::Wrap(t.tile).same_as(&Piece::Wrap(*tile));
                for stock in left.tiles.iter_mut().filter(|stock| alike(stock)) {
                    served.extend(take(&mut kind.count, &mut kind.places, &mut stock.count));
                }
            }
            Piece::Sleeve(post) => {
                let alike = |other: Post| Piece::Sleeve(other).same_as(&Piece::Sleeve(*post));
                for (_, count) in left.posts.iter_mut().filter(|(other, _)| alike(*other)) {
                    served.extend(take(&mut kind.count, &mut kind.places, count));
                }
            }
            Piece::Cap(cap) => {
                let alike = |other: Cap| other.up_to_rotation() == cap.up_to_rotation();
                for (_, count) in left.caps.iter_mut().filter(|(other, _)| alike(*other)) {
                    take(&mut kind.count, &mut kind.places, count);
                }
            }
            Piece::Coupler(coupler) => {
                let alike = |other: Coupler| other.up_to_rotation() == coupler.up_to_rotation();
                for (_, count) in left.couplers.iter_mut().filter(|(other, _)| alike(*other)) {
                    take(&mut kind.count, &mut kind.places, count);
                }
            }
            Piece::Wall(wall) => {
                for (_, count) in left.walls.iter_mut().filter(|(other, _)| other == wall) {
                    take(&mut kind.count, &mut kind.places, count);
                }
            }
            Piece::Biscuit => drop(take(&mut kind.count, &mut kind.places, &mut left.biscuits)),
            Piece::Pocket => drop(take(&mut kind.count, &mut kind.places, &mut left.pockets)),
            // These follow from the tiles and posts that they belong to; a stock lists nothing else.
            Piece::Core(_)
            | Piece::Plate
            | Piece::Plug
            | Piece::Prop(_)
            | Piece::Stair(_)
            | Piece::Pillar(_)
            | Piece::FreeWall(_)
            | Piece::Filler(_)
            | Piece::Grating(_)
            | Piece::Roof(_) => {}
            // Not of a stock, either.
            Piece::BentWall(_) | Piece::TurnCore(_) | Piece::TurnWrap(_) | Piece::BendPocket(_) => {}
        }
    }
    for kind in &mut missing {
        if matches!(kind.piece, Piece::Core(_) | Piece::Plate | Piece::Plug) {
            let before = kind.places.len();
            kind.places.retain(|place| !served.contains(place));
            let saved = u32::try_from(before - kind.places.len()).unwrap_or(u32::MAX);
            kind.count = kind.count.saturating_sub(saved);
        }
    }
    missing.retain(|kind| kind.count > 0);
    missing
}

/// Takes as many as there are from the stock; the places that they fill.
fn take(count: &mut u32, places: &mut Vec<Place>, stock: &mut u32) -> Vec<Place> {
    let taken = (*count).min(*stock);
    *count -= taken;
    *stock -= taken;
    let filled = places.len().min(usize::try_from(taken).unwrap_or(usize::MAX));
    places.drain(..filled).collect()
}
