//! Bounds against what is known from elsewhere: published optima and best known answers, layouts
//! found, and all layouts of small jobs.

mod common;
mod published;

use common::{item, rectangle, sheet, terrain};
use flatwright_geometry::units::Mm;
use flatwright_nesting::bound::{Doubt, recheck};
use flatwright_nesting::{Bound, Item, Job, SheetKind, Turns, lower_bound};
use kurbo::Rect;
use proptest::prelude::*;
use published::Problem;

/// Pages that layouts of these sets are known to take are 35 and 1,050, so both bounds are met.
#[test]
fn terrain_sets_need_as_many_pages_as_layouts_take() {
    for (name, effort, least) in [("small", Job::DEFAULT_EFFORT, 35), ("class", 4 * Job::DEFAULT_EFFORT, 1_050)] {
        let Some(job) = terrain(name, effort) else { return };
        let bound = lower_bound(&job);
        println!("{name}: {} pages; {}", bound.sheets, bound.certificate);
        assert_eq!(bound.sheets, least, "{name}");
        assert_eq!(bound.price, least as f64);
        assert!(bound.certificate.to_string().len() < 500);
        assert_eq!(lower_bound(&job), bound);
        if name == "small" {
            assert_eq!(recheck(&job, &bound), Ok(()));
        }
    }
}

/// A layout of 34 pages is known where the walls with a grain may turn too.
#[test]
fn small_needs_no_more_than_is_known_where_everything_may_turn() {
    let Some(job) = terrain("small", Job::DEFAULT_EFFORT) else { return };
    let items = job.items().iter().map(|item| Item { turns: Turns::Quarter, ..item.clone() });
    let free = Job::new(items.collect(), job.sheets().to_vec(), job.gap(), 1, job.effort()).expect("a sane job");
    let bound = lower_bound(&free);
    assert_eq!(recheck(&free, &bound), Ok(()));
    assert!((30..=34).contains(&bound.sheets), "{}", bound.sheets);
}

fn sum(problems: &[Problem]) -> u64 {
    let bound = |problem: &Problem| {
        let bound = lower_bound(&problem.job);
        assert!(bound.sheets <= problem.known, "{}: {} > {}", problem.name, bound.sheets, problem.known);
        assert_eq!(recheck(&problem.job, &bound), Ok(()), "{}", problem.name);
        bound.sheets
    };
    problems.iter().map(bound).sum()
}

/// Best known are 7,225 bins as drawn and 6,976 with quarter turns, summed over the instances.
#[test]
fn rectangles_never_need_more_bins_than_are_known() {
    for (turns, least) in [(Turns::Fixed, 7_090), (Turns::Quarter, 6_840)] {
        let problems = published::rectangles(turns, 0);
        if problems.is_empty() {
            return;
        }
        let sum = sum(&problems);
        println!("{turns:?}: {sum} of {}", problems.iter().map(|p| p.known).sum::<u64>());
        assert!(sum >= least, "{turns:?}: {sum}");
    }
}

/// The same with proofs that pieces do not fit together, on some of the instances.
#[test]
fn rectangles_with_excluded_sets_never_need_more_bins_than_are_known() {
    for turns in [Turns::Fixed, Turns::Quarter] {
        let problems: Vec<Problem> = published::rectangles(turns, 60).into_iter().step_by(17).collect();
        sum(&problems);
    }
}

/// Bins that were cut into polygons without waste: the area alone gives all of them.
#[test]
fn jigsaws_need_exactly_the_bins_that_were_cut() {
    let problems: Vec<Problem> = published::jigsaws(20).into_iter().step_by(5).collect();
    assert_eq!(sum(&problems), problems.iter().map(|p| p.known).sum::<u64>());
}

fn proved(items: Vec<Item>, sheets: Vec<SheetKind>, gap: f64) -> (Job, Bound) {
    let job = Job::new(items, sheets, Mm::new(gap), 1, 200).expect("a sane job");
    let bound = lower_bound(&job);
    assert_eq!(recheck(&job, &bound), Ok(()));
    (job, bound)
}

/// Lengths that just fit and just do not, by more than all tolerances.
#[test]
fn what_just_fits_is_not_excluded() {
    let pair =
        |w: f64, gap: f64| proved(vec![rectangle(w, 60.0, 2, Turns::Fixed)], vec![sheet(100.0, 100.0)], gap).1.sheets;
    assert_eq!((pair(50.0, 0.0), pair(49.0, 2.0), pair(49.999, 0.002)), (1, 1, 1));
    assert_eq!((pair(50.01, 0.0), pair(49.01, 2.0)), (2, 2));
    // The angles and the square fit only one in the other's bay.
    let angle = [(0., 0.), (50., 0.), (50., 10.), (10., 10.), (10., 50.), (0., 50.)];
    let angles = |side: f64| {
        let items = vec![item("angle", &angle, 2, Turns::Fixed), rectangle(34.0, 34.0, 1, Turns::Fixed)];
        proved(items, vec![sheet(side, side)], 2.0).1.sheets
    };
    assert_eq!((angles(62.1), angles(61.9)), (1, 2));
    let two = |side: f64| proved(vec![item("angle", &angle, 2, Turns::Fixed)], vec![sheet(side, side)], 2.0).1.sheets;
    assert_eq!((two(62.0), two(61.9)), (1, 2));
}

#[test]
fn a_cheaper_sheet_counts_by_what_it_holds() {
    let kind = |name: &str, side: f64, price: f64| SheetKind {
        name: name.into(),
        free: Rect::new(0.0, 0.0, side, side),
        price,
    };
    let (_, bound) = proved(
        vec![rectangle(50.0, 50.0, 9, Turns::Fixed)],
        vec![kind("large", 100.0, 3.0), kind("small", 50.0, 1.0)],
        0.0,
    );
    assert_eq!(bound.sheets, 3);
    // Four for 3 are 0.75 each.
    assert!((6.7..=7.0).contains(&bound.price), "{}", bound.price);
}

/// Every change that makes a proof false is found.
#[test]
fn false_proofs_are_found() {
    let items = || vec![rectangle(60.0, 60.0, 4, Turns::Fixed), rectangle(30.0, 30.0, 9, Turns::Quarter)];
    let angle = [(0., 0.), (50., 0.), (50., 10.), (10., 10.), (10., 50.), (0., 50.)];
    let with_angle = || items().into_iter().chain([item("angle", &angle, 3, Turns::Quarter)]).collect::<Vec<_>>();
    let (job, bound) = proved(with_angle(), vec![sheet(100.0, 100.0)], 2.0);
    assert_eq!(bound.sheets, 4);
    let doubts = |change: &dyn Fn(&mut Bound)| {
        let mut changed = bound.clone();
        change(&mut changed);
        recheck(&job, &changed).unwrap_err()
    };
    assert!(matches!(doubts(&|b| b.sheets += 1)[..], [Doubt::Heavier { .. } | Doubt::Claim { .. }, ..]));
    assert!(matches!(doubts(&|b| b.price += 1.0)[..], [Doubt::Claim { .. }]));
    assert!(matches!(
        doubts(&|b| {
            b.sheets = 9;
            b.certificate.sheets.of_class.iter_mut().for_each(|w| *w *= 3);
        })[..],
        [Doubt::Heavier { .. }]
    ));
    let add = |set: Vec<(usize, u32)>| doubts(&|b| b.certificate.limits[0].excluded.push(set.clone()));
    assert!(matches!(add(vec![(0, 1), (1, 1)])[..], [Doubt::Excluded { .. }]));
    assert!(matches!(add(vec![(1, 4)])[..], [Doubt::Excluded { .. }]));
    assert!(matches!(add(vec![(0, 1), (2, 1)])[..], [Doubt::Excluded { .. }]));
    assert!(matches!(add(vec![(7, 1)])[..], [Doubt::OtherJob(_)]));
    let inner = |rect: Rect| doubts(&|b| b.certificate.inner[2] = rect);
    assert!(matches!(inner(Rect::new(0.0, 0.0, 50.0, 11.0))[..], [Doubt::Rectangle { class: 2 }]));
    let (other, _) = proved(items(), vec![sheet(100.0, 100.0)], 2.0);
    assert!(matches!(recheck(&other, &bound).unwrap_err()[..], [Doubt::OtherJob(_)]));
    // Without the sets that it rests on, a proof has a hole.
    let hole = doubts(&|b| {
        b.certificate.limits[0].excluded.clear();
        b.certificate.limits[0].measures.clear();
    });
    assert!(matches!(hole[..], [Doubt::Heavier { .. }]));
}

/// A shape of unit squares, by those that it covers.
type Cells = Vec<(i32, i32)>;

/// A rectangle, or an angle as an outline with whole corners, in the turns that are tried.
#[derive(Clone, Debug)]
struct Small {
    outline: Vec<(f64, f64)>,
    turned: Vec<Cells>,
    turns: Turns,
}

fn small() -> impl Strategy<Value = Small> {
    let turns = prop_oneof![Just(Turns::Fixed), Just(Turns::Half), Just(Turns::Quarter)];
    (1_i32..5, 1_i32..5, 0_i32..3, 0_i32..3, turns).prop_map(|(w, h, a, b, turns)| {
        // A rectangle w x h less a corner of a x b.
        let (a, b) = if a < w && b < h { (a, b) } else { (0, 0) };
        let f = f64::from;
        let outline = if a * b == 0 {
            vec![(0., 0.), (f(w), 0.), (f(w), f(h)), (0., f(h))]
        } else {
            vec![(0., 0.), (f(w), 0.), (f(w), f(h - b)), (f(w - a), f(h - b)), (f(w - a), f(h)), (0., f(h))]
        };
        let cells: Cells = (0..w)
            .flat_map(|x| (0..h).map(move |y| (x, y)))
            .filter(|&(x, y)| x < w - a || y < h - b || a * b == 0)
            .collect();
        let turn = |cells: &Cells| -> Cells {
            let top = cells.iter().map(|c| c.1).max().unwrap_or(0);
            cells.iter().map(|&(x, y)| (top - y, x)).collect()
        };
        let mut turned = vec![cells];
        for quarter in 1..4 {
            let next = turn(&turned[quarter - 1]);
            turned.push(next);
        }
        let turned = turned.into_iter().enumerate().filter(|(i, _)| turns.allows(*i as u8)).map(|(_, c)| c).collect();
        Small { outline, turned, turns }
    })
}

/// Whether some unit shapes fit a sheet of whole sides: every place is tried. Pushed left and
/// down as far as they go, shapes with whole corners come to lie on whole places.
fn fit(shapes: &[&Small], used: u64, (width, height): (i32, i32)) -> bool {
    let Some((shape, rest)) = shapes.split_first() else { return true };
    for cells in &shape.turned {
        for x in 0..width {
            for y in 0..height {
                let mut bits = used;
                let free = cells.iter().all(|&(dx, dy)| {
                    let (cx, cy) = (x + dx, y + dy);
                    let bit = 1_u64 << (cy * 8 + cx).clamp(0, 63);
                    let free = cx < width && cy < height && bits & bit == 0;
                    bits |= bit;
                    free
                });
                if free && fit(rest, bits, (width, height)) {
                    return true;
                }
            }
        }
    }
    false
}

/// The least sum of prices, by all ways to take the pieces apart into sheets; `None` where a piece
/// fits nowhere.
fn cheapest(shapes: &[Small], sheets: &[((i32, i32), f64)]) -> Option<f64> {
    let whole = (1_usize << shapes.len()) - 1;
    let price = |set: usize| {
        let chosen: Vec<&Small> = (0..shapes.len()).filter(|i| set >> i & 1 == 1).map(|i| &shapes[i]).collect();
        let fits = sheets.iter().filter(|(size, _)| fit(&chosen, 0, *size));
        fits.map(|(_, price)| *price).fold(f64::INFINITY, f64::min)
    };
    let prices: Vec<f64> = (0..=whole).map(price).collect();
    let mut best = vec![f64::INFINITY; whole + 1];
    best[0] = 0.0;
    for set in 1..=whole {
        let mut part = set;
        while part > 0 {
            best[set] = f64::min(best[set], prices[part] + best[set ^ part]);
            part = (part - 1) & set;
        }
    }
    best[whole].is_finite().then_some(best[whole])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, failure_persistence: None, ..ProptestConfig::default() })]

    /// No bound exceeds the optimum of small jobs that are solved by going through everything, and
    /// every certificate passes.
    #[test]
    fn no_bound_exceeds_the_optimum(
        shapes in prop::collection::vec(small(), 1..6),
        sizes in prop::collection::vec(((3_i32..7, 3_i32..7), 1_u32..5), 1..3),
        scale in prop_oneof![Just(1.0), Just(20.0), Just(0.7)],
    ) {
        let scaled = |&(x, y): &(f64, f64)| (x * scale, y * scale);
        let items = shapes.iter().enumerate().map(|(i, shape)| {
            let outline: Vec<(f64, f64)> = shape.outline.iter().map(scaled).collect();
            item(&format!("{i}"), &outline, 1, shape.turns)
        });
        let kinds = sizes.iter().map(|&((w, h), price)| SheetKind {
            name: format!("{w} x {h}"),
            free: Rect::new(0.0, 0.0, f64::from(w) * scale, f64::from(h) * scale),
            price: f64::from(price),
        });
        let job = Job::new(items.collect(), kinds.collect(), Mm::ZERO, 1, 100).expect("a sane job");
        let bound = lower_bound(&job);
        let sheets: Vec<_> = sizes.iter().map(|&(size, price)| (size, f64::from(price))).collect();
        if let Some(price) = cheapest(&shapes, &sheets) {
            prop_assert!(bound.price <= price + 1e-9, "{} > {price}", bound.price);
            let ones: Vec<_> = sheets.iter().map(|&(size, _)| (size, 1.0)).collect();
            let number = cheapest(&shapes, &ones).expect("everything fits");
            prop_assert!(bound.sheets as f64 <= number, "{} > {number}", bound.sheets);
            prop_assert_eq!(recheck(&job, &bound), Ok(()));
        }
    }
}
