//! The stock file to what the planning takes off.

use flatwright_geometry::pieces::post::Post;
use flatwright_planning::assemble::{OnHand, TilesOnHand};

use super::designs::{Designs, Entry};
use super::inner::{cap_of, coupler_of, post_of, tile_of};
use crate::problem::Problem;
use crate::set_file::Copies;
use crate::stock_file::StockFile;

/// What has been built already.
pub(super) fn on_hand(file: &StockFile, designs: Option<Designs<'_>>, problems: &mut Vec<Problem>) -> OnHand {
    let count = |count: Option<Copies>| count.map_or(1, |count| count.0);
    let tiles = file.tiles.iter().flatten().map(|entry| TilesOnHand {
        tile: tile_of(entry.size, entry.reliefs),
        surface: entry.surface.0.clone(),
        count: count(entry.count),
    });
    let posts = file.posts.iter().flatten().enumerate().filter_map(|(index, entry)| {
        let name = format!("`posts[{index}]`");
        let under = entry.under.is_some_and(|under| under.0);
        let post = post_of(&name, entry.arms, entry.feet.as_ref(), entry.base, problems)?;
        Some((Post { under, ..post }, count(entry.count)))
    });
    let posts = posts.collect();
    let caps = file.caps.iter().flatten().map(|entry| (cap_of(entry.arms), count(entry.count))).collect();
    let couplers = file.couplers.iter().flatten().map(|entry| (coupler_of(entry.arms), count(entry.count))).collect();
    // Without parameters nothing can be drawn, and the run ends anyway.
    let drawn = designs
        .into_iter()
        .flat_map(|designs| file.walls.iter().flatten().enumerate().map(move |(index, wall)| (designs, index, wall)));
    let walls = drawn.filter_map(|(designs, index, wall)| {
        let mut at = wall.at.clone();
        at.end = at.start + 1;
        let (opening, design) = (wall.value.opening.as_ref(), wall.value.design.as_ref());
        let asked_by = format!("`walls[{index}]`");
        let entry = Entry { span: wall.value.span.modules(), opening, design, asked_by: &asked_by, at: &at };
        Some((designs.wall(entry, problems)?.0, count(wall.value.count)))
    });
    let walls = walls.collect();
    OnHand {
        tiles: tiles.collect(),
        posts,
        caps,
        couplers,
        walls,
        biscuits: file.biscuits.map_or(0, |count| count.0),
        pockets: file.corner_pockets.map_or(0, |count| count.0),
    }
}
