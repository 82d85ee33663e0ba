//! The weakest cut against every cut there is, and ties against the drawing.

mod assemble_floor;

use assemble_floor::{any_plan, built, level, plan};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::plan::{Level, Vertex};
use flatwright_planning::strength::{Advice, Capacities, Joint, advise, measure, min_cut, ties};
use proptest::prelude::*;

/// The least sum over all ways to split the nodes in two.
fn by_trying_all(nodes: usize, ties: &[(usize, usize, u32)]) -> Option<u64> {
    (1..1u32 << nodes.saturating_sub(1)).map(|far| across(ties, |node| far << 1 >> node & 1 == 1)).min()
}

fn across(ties: &[(usize, usize, u32)], far: impl Fn(usize) -> bool) -> u64 {
    ties.iter().filter(|&&(a, b, _)| far(a) != far(b)).map(|&(.., capacity)| u64::from(capacity)).sum()
}

// The worked example of M. Stoer and F. Wagner, "A simple min-cut algorithm", J. ACM 44(4), 1997,
// figure 1 (from memory): eight nodes, weakest cut 4, {3, 4, 7, 8} against {1, 2, 5, 6}.
#[test]
fn the_papers_own_example() {
    let ties = [
        (1, 2, 2),
        (1, 5, 3),
        (2, 3, 3),
        (2, 5, 2),
        (2, 6, 2),
        (3, 4, 4),
        (3, 7, 2),
        (4, 7, 2),
        (4, 8, 2),
        (5, 6, 3),
        (6, 7, 1),
        (7, 8, 3),
    ]
    .map(|(a, b, capacity)| (a - 1, b - 1, capacity));
    let (capacity, far) = min_cut(8, &ties).expect("eight nodes");
    assert_eq!((capacity, far), (4, vec![false, false, true, true, false, false, true, true]));
}

fn graph() -> impl Strategy<Value = (usize, Vec<(usize, usize, u32)>)> {
    (0..=9usize).prop_flat_map(|nodes| {
        let ends = nodes.max(1) + 1;
        (Just(nodes), prop::collection::vec((0..ends, 0..ends, 0..200u32), 0..25))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn no_cut_is_weaker((nodes, ties) in graph()) {
        let found = min_cut(nodes, &ties);
        prop_assert_eq!(&min_cut(nodes, &ties), &found);
        let real: Vec<_> = ties.into_iter().filter(|&(a, b, _)| a < nodes && b < nodes).collect();
        prop_assert_eq!(found.as_ref().map(|found| found.0), by_trying_all(nodes, &real));
        if let Some((capacity, far)) = found {
            prop_assert!(!far[0] && far.contains(&true));
            prop_assert_eq!(across(&real, |node| far[node]), capacity);
        }
    }
}

proptest! {
    /// Parts, cuts and areas against plain counting on whole levels; every cut tried where few tiles make it possible.
    #[test]
    fn parts_and_cuts_hold_on_levels(plan in any_plan()) {
        for (level, build) in plan.levels.iter().zip(built(&plan)) {
            let strength = measure(level, &build, Capacities::default());
            prop_assert_eq!(&measure(level, &build, Capacities::default()), &strength);
            let tiles: usize = strength.parts.iter().map(|part| part.tiles.len()).sum();
            prop_assert_eq!(tiles, build.tiles.len());
            prop_assert_eq!(strength.parts.iter().map(|part| part.area).sum::<usize>(), level.floor_cells());
            for part in &strength.parts {
                prop_assert_eq!(part.weakest.is_some(), part.tiles.len() > 1);
                let inside: Vec<_> = strength
                    .ties
                    .iter()
                    .filter_map(|tie| {
                        let [a, b] = tie.tiles.map(|tile| part.tiles.iter().position(|&t| t == tile));
                        // No tie leads out of its part.
                        assert_eq!(a.is_some(), b.is_some());
                        Some((a?, b?, tie.capacity))
                    })
                    .collect();
                for cut in part.weakest.iter().chain(&part.fold) {
                    prop_assert_eq!(cut.areas[0] + cut.areas[1], part.area);
                    prop_assert!(cut.areas[0] <= cut.areas[1]);
                    let far = |node: usize| cut.sides[0].contains(&part.tiles[node]);
                    prop_assert_eq!(across(&inside, far), cut.capacity);
                    prop_assert!(cut.capacity > 0);
                }
                if let (Some(weakest), Some(fold)) = (&part.weakest, &part.fold) {
                    prop_assert!(weakest.capacity <= fold.capacity);
                    if part.tiles.len() <= 12 {
                        prop_assert_eq!(Some(weakest.capacity), by_trying_all(part.tiles.len(), &inside));
                    }
                }
            }
            let advice = advise(&plan, level, &build, &strength);
            prop_assert!(advice.iter().all(|advice| !advice.to_string().is_empty()));
            prop_assert_eq!(advice.iter().any(|a| matches!(a, Advice::Separate { .. })), strength.parts.len() > 1);
            // An assembled level has a biscuit in every seam.
            let bare = advice.iter().any(|a| matches!(a, Advice::AddBiscuits { .. }));
prop_assert!(!bare);
        }
    }
}

/// A floor without walls, all of one surface.
fn floor(width: usize, height: usize, holes: &[(usize, usize)]) -> Level {
    let mut cells = vec![Some(0); width * height];
    holes.iter().for_each(|&(x, y)| cells[y * width + x] = None);
    level(width, height, &cells, &vec![None; width * (height + 1)], &vec![None; (width + 1) * height])
}

// Counted by hand: two halls of 2 x 3 joined by one cell; each of its two seams is one biscuit.
#[test]
fn a_neck_between_two_halls_is_the_weakest_place() {
    let plan = plan(&[(1, 1)], Reliefs::Corners, vec![floor(5, 3, &[(2, 0), (2, 2)])]);
    let (level, build) = (&plan.levels[0], built(&plan).remove(0));
    let strength = measure(level, &build, Capacities::default());
    assert_eq!(strength.parts.len(), 1);
    let cut = strength.parts[0].weakest.as_ref().expect("thirteen tiles");
    assert_eq!((cut.capacity, cut.across.len(), cut.areas), (100, 1, [6, 7]));
    let fold = strength.parts[0].fold.as_ref().expect("thirteen tiles");
    assert_eq!((fold.capacity, fold.areas), (100, [6, 7]));
    let advice = advise(&plan, level, &build, &strength);
    let Advice::Lift { under: [(light, _), (heavy, _)], .. } = &advice[0] else { panic!("{advice:?}") };
    let row = |tile: usize| build.tiles[tile].y;
    assert_eq!((row(*light), row(*heavy)), (1, 1), "hands under the middle of either hall");
    let text: Vec<String> = advice.iter().map(ToString::to_string).collect();
    assert!(text[1].contains("1 biscuit, 0 tongues and 0 walls (estimated strength 100"), "{text:#?}");
    assert!(text[2].contains("strip of card"), "{text:#?}");
    assert!(matches!(&advice[3], Advice::Merge { size: (2, 1), known: false, .. }), "{text:#?}");
}

#[test]
fn parts_that_nothing_ties_are_named() {
    let plan = plan(&[(1, 1)], Reliefs::Corners, vec![floor(3, 1, &[(1, 0)])]);
    let (level, build) = (&plan.levels[0], built(&plan).remove(0));
    let strength = measure(level, &build, Capacities::default());
    let advice = advise(&plan, level, &build, &strength);
    let named = ("row 1, column 1 (1 x 1)".to_owned(), "row 1, column 3 (1 x 1)".to_owned());
    assert_eq!(advice, [Advice::Separate { parts: vec![(named.0, 1), (named.1, 1)] }]);
}

// By hand: a wall of two modules along the northern edge of two cells. Its posts stand at the far
// corners and have no seam under them, so the wall alone adds to the biscuit.
#[test]
fn a_wall_over_a_seam_ties_the_tiles_that_its_posts_hold() {
    let mut level = floor(2, 1, &[]);
    level.across[0] = Some(0);
    level.across[1] = Some(0);
    let plan = plan(&[(1, 1)], Reliefs::Corners, vec![level]);
    let build = built(&plan).remove(0);
    let found = ties(&plan.levels[0], &build, Capacities::default());
    let found: Vec<_> = found.iter().map(|tie| (tie.tiles, tie.joint, tie.capacity)).collect();
    let seam = flatwright_planning::plan::Edge { from: Vertex { x: 1, y: 0 }, down: true };
    assert_eq!(found, [([0, 1], Joint::Biscuit(seam), 100), ([0, 1], Joint::Wall(0), 50)]);
}

// By hand: a stub of wall from the middle of the northern edge; its one post on the floor has feet
// in both tiles and a tongue over the seam to the south (face 2).
#[test]
fn a_tongue_over_a_seam_ties_both_tiles() {
    let mut level = floor(2, 2, &[(0, 0), (1, 0)]);
    level.down[1] = Some(0);
    let plan = plan(&[(1, 1)], Reliefs::Corners, vec![level]);
    let build = built(&plan).remove(0);
    let found = ties(&plan.levels[0], &build, Capacities { tongue: 7, ..Capacities::default() });
    let post = build.posts.iter().position(|post| post.at == Vertex { x: 1, y: 1 }).expect("the stub's foot");
    let tongues: Vec<_> = found.iter().filter(|tie| matches!(tie.joint, Joint::Tongue { .. })).collect();
    assert_eq!(tongues.len(), 1);
    assert_eq!((tongues[0].joint, tongues[0].capacity), (Joint::Tongue { post, face: 2 }, 7));
}

// A bridge over a gap: nothing but the wall ties the two sides.
#[test]
fn a_wall_over_a_gap_ties_what_its_posts_hold() {
    let mut level = floor(3, 2, &[(1, 0), (1, 1)]);
    level.across[3..6].fill(Some(0));
    let mut plan = plan(&[(1, 1)], Reliefs::Corners, vec![level]);
    plan.spans = vec![3, 1];
    let build = built(&plan).remove(0);
    assert_eq!(build.walls.len(), 1);
    // Posts at the outer edges, so the wall lies over both seams.
    let strength = measure(&plan.levels[0], &build, Capacities::default());
    assert_eq!(strength.parts.len(), 1);
    assert_eq!(strength.parts[0].weakest.as_ref().map(|cut| cut.capacity), Some(50));
    let cut_off = measure(&plan.levels[0], &build, Capacities { wall: 0, ..Capacities::default() });
    assert_eq!(cut_off.parts.len(), 2);
}
