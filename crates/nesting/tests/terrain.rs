//! The packer on sets of terrain pieces.

mod common;

use common::{forty_tiles, terrain};
use flatwright_nesting::{Job, check, lower_bound, pack};

/// An outside prototype reaches 35 pages and 34 are proved necessary (terrain data notes).
#[test]
fn the_small_set_takes_few_pages() {
    let Some(job) = terrain("small", Job::DEFAULT_EFFORT) else { return };
    let layout = pack(&job, &mut |_| {}).expect("everything fits a page");
    assert_eq!(check::check(&job, &layout), Ok(()));
    println!("small: {} pages, bound {}", layout.sheets_used(), lower_bound(&job).sheets);
    assert!(layout.sheets_used() <= 45, "{}", layout.sheets_used());
    // The plain area bound of the same notes is 25.
    assert!((25..=34).contains(&lower_bound(&job).sheets));
}

#[test]
fn forty_tiles_are_placed_soundly() {
    let job = forty_tiles(200);
    let layout = pack(&job, &mut |_| {}).expect("everything fits a page");
    assert_eq!(check::check(&job, &layout), Ok(()));
    println!("forty tiles: {} pages, bound {}", layout.sheets_used(), lower_bound(&job).sheets);
    assert!(layout.sheets_used() >= lower_bound(&job).sheets);
    assert_eq!(pack(&job, &mut |_| {}), Ok(layout));
}
