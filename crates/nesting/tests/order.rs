//! Layouts in the order of steps: the order's own checker must accept every one, and refuse what
//! is out of order.

mod common;

use common::{rectangle, sheet};
use flatwright_geometry::units::Mm;
use flatwright_nesting::order::{OrderFault, Ordered, StepNeeds, check_order, in_order};
use flatwright_nesting::{Job, Turns, check, lower_bound};
use proptest::prelude::*;

fn made(job: &Job, steps: &[StepNeeds]) -> Ordered {
    let ordered = in_order(job, steps, &lower_bound(job), &mut |_| {}).expect("everything fits");
    assert_eq!(check::check(job, &ordered.layout), Ok(()));
    assert_eq!(check_order(job, steps, &ordered), Ok(()));
    assert!(ordered.layout.sheets_used() >= lower_bound(job).sheets);
    ordered
}

fn job(copies: [u32; 3]) -> Job {
    let items = vec![
        rectangle(90.0, 120.0, copies[0], Turns::Quarter),
        rectangle(45.0, 60.0, copies[1], Turns::Quarter),
        rectangle(20.0, 30.0, copies[2], Turns::Quarter),
    ];
    Job::new(items, vec![sheet(190.0, 250.0)], Mm::new(2.0), 3, 60).expect("a sane job")
}

/// Six large pieces fill a page and half of the next, which both other steps continue.
#[test]
fn an_open_page_is_continued() {
    let job = job([6, 6, 3]);
    let steps = vec![vec![(0, 6)], vec![(1, 6), (2, 1)], vec![(2, 2)]];
    let ordered = made(&job, &steps);
    assert_eq!(ordered.layout.sheets_used(), 2);
    assert_eq!(ordered.spans, [(0, 0), (0, 2)]);
}

/// What no step names comes last, and what is named too often is not made.
#[test]
fn steps_and_copies_need_not_agree() {
    let job = job([2, 2, 40]);
    let steps = vec![vec![(1, 9), (7, 3)], vec![(0, 1)]];
    let ordered = made(&job, &steps);
    assert_eq!(ordered.spans.last().map(|span| span.1), Some(1));
    made(&job, &[]);
}

#[test]
fn what_is_out_of_order_is_found() {
    let job = job([8, 12, 3]);
    let steps = vec![vec![(0, 8)], vec![(1, 12)], vec![(2, 3)]];
    let good = made(&job, &steps);
    let faults = |change: &dyn Fn(&mut Ordered)| {
        let mut bad = good.clone();
        change(&mut bad);
        check_order(&job, &steps, &bad).expect_err("must be found")
    };
    let backwards = faults(&|bad| {
        bad.layout.sheets.reverse();
        bad.spans.reverse();
    });
    assert!(backwards.iter().any(|fault| matches!(fault, OrderFault::Backwards { .. })));
    assert!(backwards.iter().any(|fault| matches!(fault, OrderFault::TooEarly { .. })));
    let silent = faults(&|bad| bad.spans.fill((0, 0)));
    assert!(silent.iter().any(|fault| matches!(fault, OrderFault::TooMany { .. })));
    assert!(matches!(faults(&|bad| bad.spans.truncate(1))[..], [OrderFault::Spans { .. }]));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn any_steps_are_followed(
        copies in (1..9_u32, 1..30_u32, 1..60_u32),
        steps in prop::collection::vec(prop::collection::vec((0..3_usize, 1..20_u32), 0..4), 0..6),
    ) {
        made(&job([copies.0, copies.1, copies.2]), &steps);
    }
}
