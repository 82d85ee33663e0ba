//! The stock file to what the planning takes off.

use flatwright_planning::assemble::{OnHand, TilesOnHand};

use super::inner::{post_of, tile_of, wall_of};
use crate::problem::Problem;
use crate::set_file::Copies;
use crate::stock_file::StockFile;

/// What has been built already.
pub(super) fn on_hand(file: &StockFile, problems: &mut Vec<Problem>) -> OnHand {
    let count = |count: Option<Copies>| count.map_or(1, |count| count.0);
    let tiles = file.tiles.iter().flatten().map(|entry| TilesOnHand {
        tile: tile_of(entry.size, entry.reliefs),
        surface: entry.surface.0.clone(),
        count: count(entry.count),
    });
    let posts = file.posts.iter().flatten().enumerate().filter_map(|(index, entry)| {
        let name = format!("`posts[{index}]`");
        Some((post_of(&name, entry.arms, entry.feet.as_ref(), entry.base, problems)?, count(entry.count)))
    });
    let walls = file.walls.iter().flatten();
    OnHand {
        tiles: tiles.collect(),
        posts: posts.collect(),
        walls: walls.map(|entry| (wall_of(entry.span, entry.opening.as_ref()), count(entry.count))).collect(),
        biscuits: file.biscuits.map_or(0, |count| count.0),
        pockets: file.corner_pockets.map_or(0, |count| count.0),
    }
}
