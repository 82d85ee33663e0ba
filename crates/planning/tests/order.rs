//! The build order uses every piece once.

mod assemble_floor;

use std::collections::BTreeSet;

use assemble_floor::{any_plan, built, level, plan};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::assemble::{Spot, pieces};
use flatwright_planning::order::steps;
use flatwright_planning::plan::{Extra, ExtraPiece};
use proptest::prelude::*;

#[test]
fn a_room_is_built_in_the_usual_order() {
    let cells = [Some(0), Some(0), Some(1), Some(0), Some(0), None];
    let across = [Some(0), Some(0), Some(0), None, None, None, Some(0), Some(1), None];
    let down = [Some(0), None, None, None, Some(0), None, None, None];
    let mut plan = plan(&[(1, 1)], Reliefs::Corners, vec![level(3, 2, &cells, &across, &down)]);
    plan.extras = vec![Extra { piece: ExtraPiece::Pocket, count: 2 }];
    let builds = built(&plan);
    let steps = steps(&plan, &builds, &pieces(&plan, &builds));
    let titles: Vec<&str> = steps.iter().map(|step| step.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "Wrap the tiles",
            "Glue the corner pockets",
            "Row 1",
            "Row 2",
            "Join row 2",
            "Posts at the corners",
            "Posts along the walls",
            "Plain walls",
            "Walls with doors",
            "Spares"
        ]
    );
    assert!(steps[2].text.contains("from column 1: 2 of 1 x 1 flagstone, 1 of 1 x 1 planks"), "{}", steps[2].text);
}

proptest! {
    #[test]
    fn each_piece_is_used_as_often_as_it_is_needed(
        mut plan in any_plan(),
        extras in prop::collection::vec((any::<bool>(), 1..5u32), 0..3),
    ) {
        let extra = |(biscuit, count)| Extra {
            piece: if biscuit { ExtraPiece::Biscuit } else { ExtraPiece::Pocket },
            count,
        };
        plan.extras = extras.into_iter().map(extra).collect();
        let builds = built(&plan);
        let needed = pieces(&plan, &builds);
        let steps = steps(&plan, &builds, &needed);
        let mut used = vec![0; needed.len()];
        for step in &steps {
            for &(index, count) in &step.pieces {
                prop_assert!(count > 0);
                used[index] += count;
            }
            prop_assert!(!step.text.is_empty());
        }
        prop_assert_eq!(used, needed.iter().map(|kind| kind.count).collect::<Vec<_>>());
        // Places: biscuits, pockets and walls once; tiles are wrapped, then laid.
        let mut seen = BTreeSet::new();
        for place in steps.iter().flat_map(|step| &step.places) {
            let again = !seen.insert(*place);
            prop_assert!(!again || matches!(place.spot, Spot::Tile(_) | Spot::Post(_)));
        }
        let all: BTreeSet<_> = needed.iter().flat_map(|kind| kind.places.iter().copied()).collect();
        prop_assert_eq!(seen, all);
    }

    /// Nothing is tied to what does not lie there yet.
    #[test]
    fn biscuits_come_after_both_their_tiles(plan in any_plan()) {
        let builds = built(&plan);
        let steps = steps(&plan, &builds, &pieces(&plan, &builds));
        let mut laid = BTreeSet::new();
        for step in steps.iter().filter(|step| step.title.contains("ow ")) {
            for place in &step.places {
                let build = &builds[place.level];
                match place.spot {
                    Spot::Tile(tile) => {
 laid.insert((place.level, tile));
 }
                    Spot::Biscuit(edge) => {
                        let (x, y) = (edge.from.x, edge.from.y);
                        let other = if edge.down { (x - 1, y) } else { (x, y - 1) };
                        for (x, y) in [(x, y), other] {
                            let tile = build.tiles.iter().position(|tile| tile.covers(x, y));
                            prop_assert!(tile.is_some_and(|tile| laid.contains(&(place.level, tile))));
                        }
                    }
                    _ => {}
                }
            }
        }
    }
}
