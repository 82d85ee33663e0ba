//! The packer on sets of terrain pieces.

mod common;

use common::{forty_tiles, terrain};
use flatwright_nesting::{Job, Layout, check, lower_bound, pack};
use geo::{Distance, Euclidean};

/// The least distance between two pieces on one sheet, by the `geo` crate (zero where they meet,
/// also where one lies in the other).
fn least_distance(job: &Job, layout: &Layout) -> f64 {
    let mut least = f64::INFINITY;
    for sheet in &layout.sheets {
        let polygon = |p: &flatwright_nesting::Placement| {
            let ring = job.items()[p.item].outline.points().iter().map(|c| p.motion() * *c);
            geo::Polygon::new(ring.map(|c| (c.x, c.y)).collect::<Vec<_>>().into(), vec![])
        };
        let polygons: Vec<geo::Polygon> = sheet.placements.iter().map(polygon).collect();
        for (i, a) in polygons.iter().enumerate() {
            for b in &polygons[i + 1..] {
                least = least.min(Euclidean.distance(a, b));
            }
        }
    }
    least
}

/// An outside prototype reaches 35 pages and 34 are proved necessary (terrain data notes).
#[test]
fn the_small_set_takes_few_pages() {
    let Some(job) = terrain("small", Job::DEFAULT_EFFORT) else { return };
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits a page");
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert!(least_distance(&job, &layout) > 2.0 - 1e-5);
    println!("small: {} pages, bound {}", layout.sheets_used(), lower_bound(&job).sheets);
    assert!(layout.sheets_used() <= 45, "{}", layout.sheets_used());
    // The plain area bound of the same notes is 25.
    assert!((25..=34).contains(&lower_bound(&job).sheets));
}

#[test]
fn forty_tiles_are_placed_soundly() {
    let job = forty_tiles(200);
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).expect("everything fits a page");
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert!(least_distance(&job, &layout) > 2.0 - 1e-5);
    println!("forty tiles: {} pages, bound {}", layout.sheets_used(), lower_bound(&job).sheets);
    assert!(layout.sheets_used() >= lower_bound(&job).sheets);
    assert_eq!(pack(&job, &lower_bound(&job), &mut |_| {}), Ok(layout));
}
