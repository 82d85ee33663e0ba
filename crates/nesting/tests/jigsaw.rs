//! Sheets that were cut into pieces are found again.

mod common;

use common::{item, sheet};
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, Turns, check, lower_bound, pack};

type Polygon = Vec<(f64, f64)>;

/// A square cut `cuts` times, each time its largest piece from the longest to another side, at
/// places that are no round numbers.
fn cut_square(side: f64, cuts: usize, seed: u32) -> Vec<Polygon> {
    let mut pieces: Vec<Polygon> = vec![vec![(0., 0.), (side, 0.), (side, side), (0., side)]];
    let mut state = seed;
    let mut part = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        0.3 + 0.4 * f64::from(state >> 8) / f64::from(1 << 24)
    };
    for _ in 0..cuts {
        let largest =
            (0..pieces.len()).max_by(|&a, &b| area(&pieces[a]).total_cmp(&area(&pieces[b]))).expect("a piece");
        let mut p = pieces.swap_remove(largest);
        let n = p.len();
        let length = |i: usize| (p[i].0 - p[(i + 1) % n].0).hypot(p[i].1 - p[(i + 1) % n].1);
        let longest = (0..n).max_by(|&a, &b| length(a).total_cmp(&length(b))).expect("a side");
        p.rotate_left(longest);
        let other = 1 + (part() * (n - 1) as f64) as usize;
        let mut on = |i: usize| {
            let ((ax, ay), (bx, by), t) = (p[i], p[(i + 1) % n], part());
            (ax + (bx - ax) * t, ay + (by - ay) * t)
        };
        let (from, to) = (on(0), on(other));
        let near: Polygon = [&[from], &p[1..=other], &[to]].concat();
        let far: Polygon = [&[to], &p[other + 1..], &[p[0], from]].concat();
        pieces.extend([near, far]);
    }
    pieces
}

fn area(p: &Polygon) -> f64 {
    (0..p.len()).map(|i| p[i].0 * p[(i + 1) % p.len()].1 - p[(i + 1) % p.len()].0 * p[i].1).sum::<f64>() / 2.0
}

fn job(items: Vec<Item>, gap: f64) -> Job {
    Job::new(items, vec![sheet(210.0, 210.0)], Mm::new(gap), 1, 2_000).expect("a sane job")
}

#[test]
fn four_squares_that_were_cut_take_four_sheets_again() {
    for turns in [Turns::Fixed, Turns::Quarter] {
        let pieces: Vec<Polygon> = (0..4).flat_map(|square| cut_square(210.0, 7, square)).collect();
        assert_eq!(pieces.len(), 32);
        let items: Vec<Item> = pieces.iter().enumerate().map(|(i, p)| item(&i.to_string(), p, 1, turns)).collect();
        let job = job(items, 0.0);
        let layout = pack(&job, &lower_bound(&job), &mut |_| {}).unwrap();
        assert_eq!(check::check(&job, &layout), Ok(()));
        assert_eq!(layout.sheets_used(), 4, "{turns:?}");
        assert_eq!(pack(&job, &lower_bound(&job), &mut |_| {}), Ok(layout));
    }
}

#[test]
fn copies_of_a_cut_square_share_one_sheet() {
    let items = cut_square(210.0, 7, 3).iter().map(|p| item("piece", p, 500, Turns::Fixed)).collect();
    let job = job(items, 0.0);
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).unwrap();
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert_eq!((layout.sheets_used(), layout.sheets.len()), (500, 1));
}

/// Two strips as wide as the sheet fill two thirds of it, a bar that is longer than the rest is
/// high has the rest's area: the areas add up to one sheet, the shapes do not.
#[test]
fn pieces_whose_areas_only_add_up_are_packed_all_the_same() {
    let strip = [(0., 0.), (210., 0.), (210., 70.), (0., 70.)];
    let bar = [(0., 0.), (75., 0.), (75., 196.), (0., 196.)];
    let job = job(vec![item("strip", &strip, 2, Turns::Fixed), item("bar", &bar, 1, Turns::Fixed)], 0.0);
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).unwrap();
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert_eq!(layout.sheets_used(), 2);
}

/// What fits without a gap does not fit with one, and nothing pretends that it does.
#[test]
fn a_gap_is_kept_all_the_same() {
    let items = cut_square(210.0, 7, 3).iter().map(|p| item("piece", p, 1, Turns::Fixed)).collect();
    let job = job(items, 1.0);
    let layout = pack(&job, &lower_bound(&job), &mut |_| {}).unwrap();
    assert_eq!(check::check(&job, &layout), Ok(()));
    assert!(layout.sheets_used() > 1);
}
