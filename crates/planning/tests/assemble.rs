//! Levels put together, checked from their drawings up.

mod assemble_floor;

use std::collections::BTreeMap;

use assemble_floor::{any_plan, built, level, plan};
use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_planning::assemble::{Fault, Needed, OnHand, Place, Spot, TilesOnHand, pieces, shortfall, verify};
use flatwright_planning::build::LevelBuild;
use flatwright_planning::plan::{Design, Extra, ExtraPiece, Filler, Level, Plan, Side, Vertex};
use proptest::prelude::*;

/// A walled room of 2 x 2 cells with a door, half flagstone, half planks; tiles of 1 x 1.
fn room() -> Plan {
    let cells = [Some(0), Some(1), Some(0), Some(1)];
    let across = [Some(0), Some(0), None, None, Some(0), Some(1)];
    let down = [Some(0), None, Some(0), Some(0), None, Some(0)];
    plan(&[(1, 1)], Reliefs::Corners, vec![level(2, 2, &cells, &across, &down)])
}

fn count(needed: &[Needed], wanted: impl Fn(&Needed) -> bool) -> u32 {
    needed.iter().filter(|kind| wanted(kind)).map(|kind| kind.count).sum()
}

// Counted by hand from the drawing.
#[test]
fn a_room_needs_what_one_counts_by_hand() {
    let mut plan = room();
    plan.extras = vec![Extra { piece: ExtraPiece::Biscuit, count: 3 }];
    let builds = built(&plan);
    let needed = pieces(&plan, &builds);
    assert_eq!(count(&needed, |n| matches!(n.piece, Piece::Core(_))), 4);
    assert_eq!(count(&needed, |n| matches!(n.piece, Piece::Wrap(_)) && n.name == "planks"), 2);
    assert_eq!(count(&needed, |n| n.piece == Piece::Biscuit), 4 + 3);
    // Four corners; where the plain wall meets the door, a post with two tiles.
    assert_eq!(count(&needed, |n| matches!(n.piece, Piece::Sleeve(_))), 5);
    assert_eq!(count(&needed, |n| n.name == "corner"), 4);
    assert_eq!(count(&needed, |n| n.piece == Piece::Pocket), 4 + 2);
    assert_eq!(count(&needed, |n| n.piece == Piece::Wall(Wall { span: 2.0, opening: None })), 3);
    assert_eq!(count(&needed, |n| n.name == "door"), 1);
    assert_eq!(count(&needed, |n| matches!(n.piece, Piece::Plate | Piece::Plug)), 0);
    // Corners differ by quarter turns only.
    assert_eq!(needed.iter().filter(|n| n.name == "corner").count(), 1);
}

#[test]
fn a_wall_off_the_floor_stands_on_plates() {
    let plan = plan(&[(1, 1)], Reliefs::Corners, vec![level(1, 0, &[], &[Some(0)], &[])]);
    let needed = pieces(&plan, &built(&plan));
    let on_plates = [Piece::Plate, Piece::Plug].map(|piece| count(&needed, |n| n.piece == piece));
    assert_eq!(on_plates, [2, 2]);
    let plate = Post { arms: Arms::from_bits(1), stand: Stand::BasePlate, under: false };
    assert_eq!(count(&needed, |n| n.piece.same_as(&Piece::Sleeve(plate))), 2);
    let on_hand = OnHand { posts: vec![(plate.turned(3), 1)], ..OnHand::default() };
    let missing = shortfall(&needed, &on_hand);
    assert_eq!([Piece::Plate, Piece::Plug].map(|piece| count(&missing, |n| n.piece == piece)), [1, 1]);
}

#[test]
fn what_is_on_hand_is_not_made_again() {
    let plan = room();
    let needed = pieces(&plan, &built(&plan));
    let tile = Tile::plain(1, 1, Reliefs::Corners);
    let on_hand = OnHand {
        tiles: vec![TilesOnHand { tile, surface: "planks".into(), count: 9 }],
        walls: vec![(Wall { span: 2.0, opening: None }, 1)],
        biscuits: 4,
        pockets: 1,
        ..OnHand::default()
    };
    let missing = shortfall(&needed, &on_hand);
    assert_eq!(count(&missing, |n| matches!(n.piece, Piece::Core(_))), 2);
    assert_eq!(count(&missing, |n| n.name == "planks"), 0);
    assert_eq!(count(&missing, |n| n.name == "flagstone"), 2);
    assert_eq!(count(&missing, |n| n.piece == Piece::Biscuit), 0);
    assert_eq!(count(&missing, |n| n.piece == Piece::Pocket), 5);
    // Two of three over two modules, and the one over one module beside the door.
    assert_eq!(count(&missing, |n| n.name == "plain" && n.design == Some(0)), 2 + 1);
    let places = |pick: fn(&Piece) -> bool| {
        missing.iter().filter(|n| pick(&n.piece)).flat_map(|n| n.places.clone()).collect::<Vec<_>>()
    };
    assert_eq!(places(|p| matches!(p, Piece::Core(_))), places(|p| matches!(p, Piece::Wrap(_))));
}

/// The topmost level alone has caps, one on each of its posts; equal ones are one kind.
#[test]
fn caps_lie_on_the_posts_of_the_topmost_level() {
    let ground = room().levels.remove(0);
    let upper = Level { name: "upper".into(), ..ground.clone() };
    let plan = Plan { caps: true, levels: vec![ground, upper], ..room() };
    let builds = built(&plan);
    assert_eq!(builds.iter().map(|build| build.caps.len()).collect::<Vec<_>>(), [0, builds[1].posts.len()]);
    let needed = pieces(&plan, &builds);
    let caps: Vec<_> = needed.iter().filter(|n| matches!(n.piece, Piece::Cap(_))).collect();
    assert_eq!(caps.iter().map(|n| n.count as usize).sum::<usize>(), builds[1].posts.len());
    for kind in &caps {
        let Piece::Cap(cap) = kind.piece else { unreachable!("filtered above") };
        for place in &kind.places {
            let Place { level: 1, spot: Spot::Cap(post) } = place else { panic!("{place:?}") };
            let arms = builds[1].posts[*post].post.arms;
            assert!((0..4).any(|turns| cap.turned(turns).arms == arms), "{arms} under {cap:?}");
        }
    }
    let none = Plan { caps: false, ..plan };
    assert!(built(&none).iter().all(|build| build.caps.is_empty()));
    // On hand, any way round, they are not made again; the others are.
    let on_hand = OnHand { caps: vec![(Cap { arms: Arms::from_bits(0b0110) }, 1)], ..OnHand::default() };
    let missing = shortfall(&needed, &on_hand);
    let corner = |list: &[Needed]| count(list, |n| matches!(n.piece, Piece::Cap(cap) if cap.shape() == "corner"));
    assert_eq!(corner(&missing) + 1, corner(&needed));
}

/// One change to a good level, and the fault that must be found.
type Harm = (fn(&mut LevelBuild), fn(&Fault) -> bool);

#[test]
fn every_kind_of_fault_is_found() {
    let plan = Plan { caps: true, ..room() };
    let good = built(&plan).remove(0);
    let harms: [Harm; 19] = [
        (|b| b.posts[0].post.arms = Arms::NONE, |f| matches!(f, Fault::Column { drawn: false, found: true, .. })),
        (
            |b| b.walls[0].filler = Some(Filler { thirds: 1, side: Side::West }),
            |f| matches!(f, Fault::Filler { wall: 0, expected: None, .. }),
        ),
        (
            |b| {
                b.tiles.pop();
            },
            |f| matches!(f, Fault::Cover { x: 1, y: 1, tiles: 0 }),
        ),
        (|b| b.tiles.push(b.tiles[0]), |f| matches!(f, Fault::Cover { x: 0, y: 0, tiles: 2 })),
        (|b| b.tiles[0].surface = 1, |f| matches!(f, Fault::Surface { tile: 0, x: 0, y: 0 })),
        (|b| b.tiles[0].width = 2, |f| matches!(f, Fault::Size { tile: 0, .. })),
        (
            |b| {
                b.walls.remove(0);
            },
            |f| matches!(f, Fault::Edge { .. }),
        ),
        (
            |b| {
                b.walls.remove(0);
            },
            |f| matches!(f, Fault::NoWall { .. }),
        ),
        (
            |b| {
                b.posts.remove(0);
            },
            |f| matches!(f, Fault::NoSlot { .. }),
        ),
        (
            |b| {
                b.caps.pop();
            },
            |f| matches!(f, Fault::Cap { expected: 1, found: 0, .. }),
        ),
        (|b| b.caps.push(0), |f| matches!(f, Fault::Cap { expected: 1, found: 2, .. })),
        (|b| b.caps.push(99), |f| matches!(f, Fault::NoPost { post: 99 })),
        (|b| b.caps.clear(), |f| matches!(f, Fault::Cap { expected: 1, found: 0, .. })),
        (|b| b.posts.push(b.posts[0]), |f| matches!(f, Fault::TwoPosts { .. })),
        (|b| b.posts[0].post.stand = Stand::Feet(Feet::ALL), |f| matches!(f, Fault::Stand { .. })),
        (|b| b.posts[0].at = Vertex { x: 1, y: 0 }, |f| matches!(f, Fault::Through { .. })),
        (
            |b| {
                b.biscuits.pop();
            },
            |f| matches!(f, Fault::Biscuit { expected: 1, found: 0, .. }),
        ),
        (|b| b.pockets.push(b.pockets[0]), |f| matches!(f, Fault::Pocket { expected: 1, found: 2, .. })),
        (
            |b| {
                b.tiles.retain(|tile| tile.y == 0);
                b.tiles.iter_mut().for_each(|tile| tile.height = 2);
                b.posts[0].at = Vertex { x: 0, y: 1 };
            },
            |f| matches!(f, Fault::Relief { tile: 0, .. }),
        ),
    ];
    assert_eq!(verify(&plan, &plan.levels[0], &good), []);
    for (number, (harm, found)) in harms.into_iter().enumerate() {
        let mut bad = good.clone();
        harm(&mut bad);
        let faults = verify(&plan, &plan.levels[0], &bad);
        assert!(faults.iter().any(found), "harm {number}: {faults:?}");
        assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
    }
    // A wall across a tile: the wall is drawn where the good level has a plain seam.
    let mut walled = plan.clone();
    walled.levels[0].across[2] = Some(0);
    let mut bad = good;
    bad.tiles.retain(|tile| tile.y == 0);
    bad.tiles.iter_mut().for_each(|tile| tile.height = 2);
    assert!(verify(&walled, &walled.levels[0], &bad).iter().any(|f| matches!(f, Fault::WallInside { tile: 0, .. })));
}

proptest! {
    #[test]
    fn cells_are_covered_once_and_slots_match_walls(plan in any_plan()) {
        for (level, build) in plan.levels.iter().zip(built(&plan)) {
            check_by_counting(level, &build);
            prop_assert_eq!(verify(&plan, level, &build), []);
        }
    }

    /// Arches made fillers, at either end of their edges: the post at that end has an arm for each, one at
    /// the other end has none, and neither is a post asked for there.
    #[test]
    fn fillers_hang_in_one_post(plan in any_plan()) {
        let mut plan = plan;
        let first = plan.designs.len();
        for (letter, side) in [('V', Side::West), ('E', Side::East), ('U', Side::North), ('S', Side::South)] {
            let filler = Some(Filler { thirds: 1 + u32::from(side.far()), side });
            plan.designs.push(Design { letter: Some(letter), name: "filler".into(), opening: None, span: 1, filler });
        }
        for level in &mut plan.levels {
            let pick = |edges: &mut Vec<Option<usize>>, designs: [usize; 2]| {
                for (i, edge) in edges.iter_mut().enumerate().filter(|(_, edge)| **edge == Some(2)) {
                    *edge = Some(designs[i % 2]);
                }
            };
            pick(&mut level.across, [first, first + 1]);
            pick(&mut level.down, [first + 2, first + 3]);
        }
        let builds = built(&plan);
        for (level, build) in plan.levels.iter().zip(&builds) {
            prop_assert_eq!(verify(&plan, level, build), []);
            let reaches = |at: Vertex, face: usize| {
                let Some(edge) = Level::edge_at(at, face) else { return false };
                // North and west of a vertex an edge ends at it.
                let ends_here = face < 2;
                let filler = level.wall(edge).map(|design| plan.designs[design].filler);
                filler.is_some_and(|filler| filler.is_none_or(|filler| filler.side.far() == ends_here))
            };
            for at in level.vertices() {
                let post = build.posts.iter().find(|post| post.at == at);
                for face in 0..4 {
                    let through = build.walls.iter().any(|wall| {
                        wall.from != at && wall.to() != at && wall.edges().any(|edge| edge.from == at)
                    });
                    let arm = post.is_some_and(|post| post.post.arms.has(face));
                    prop_assert_eq!(arm, !through && reaches(at, face), "{:?} {}", at, face);
                }
                let asked = (0..4).any(|face| reaches(at, face));
                prop_assert!(asked || post.is_none(), "a post stands at {:?} for nothing", at);
            }
        }
        let fillers: u32 = count(&pieces(&plan, &builds), |n| matches!(n.piece, Piece::Filler(_)));
        let drawn = plan.levels.iter().flat_map(Level::walls).filter(|(_, design)| *design >= first).count();
        prop_assert_eq!(fillers as usize, drawn);
    }

    /// Columns anywhere: each has its post, walls are parted there, and its feet are those of its floor.
    #[test]
    fn columns_stand_where_they_are_drawn(plan in any_plan(), picks in prop::collection::vec((0..7usize, 0..7usize), 0..6)) {
        let mut plan = plan;
        for level in &mut plan.levels {
            let inside = picks.iter().map(|&(x, y)| Vertex { x: x.min(level.width), y: y.min(level.height) });
            level.columns = inside.collect();
        }
        for (level, build) in plan.levels.iter().zip(built(&plan)) {
            prop_assert_eq!(verify(&plan, level, &build), []);
            check_by_counting(level, &build);
            for at in &level.columns {
                let post = build.posts.iter().find(|post| post.at == *at).map(|post| post.post);
                let Some(post) = post else { panic!("no post at {at:?}") };
                let floor = |q: usize| level.cell_at(*at, q).is_some_and(|(x, y)| level.cell(x, y).is_some());
                prop_assert!((0..4).all(|q| post.feet().has(q) == floor(q)));
                let walled = |face| Level::edge_at(*at, face).is_some_and(|edge| level.wall(edge).is_some());
                prop_assert!((0..4).all(|face| post.arms.has(face) == walled(face)));
            }
        }
    }

    #[test]
    fn every_place_needs_its_pieces_once(plan in any_plan()) {
        let builds = built(&plan);
        let needed = pieces(&plan, &builds);
        let mut seen: BTreeMap<_, usize> = BTreeMap::new();
        for kind in &needed {
            prop_assert_eq!(kind.count as usize, kind.places.len());
            for place in &kind.places {
                *seen.entry(*place).or_default() += 1;
            }
        }
        for (i, one) in needed.iter().enumerate() {
            for other in &needed[i + 1..] {
                let same = one.piece.same_as(&other.piece) && one.surface == other.surface && one.design == other.design;
                prop_assert!(!same);
            }
        }
        let spots: usize = builds
            .iter()
            .map(|b| b.tiles.len() + b.walls.len() + b.posts.len() + b.biscuits.len() + b.pockets.len() + b.caps.len())
            .sum();
        prop_assert_eq!(seen.len(), spots);
        for (place, times) in seen {
            let build = &builds[place.level];
            let expected = match place.spot {
                Spot::Tile(_) => 2,
                Spot::Post(i) if build.posts[i].post.stand == Stand::BasePlate => 3,
                _ => 1,
            };
            prop_assert_eq!(times, expected);
        }
        prop_assert_eq!(pieces(&plan, &builds), needed);
    }

    #[test]
    fn all_on_hand_leaves_nothing_to_make(plan in any_plan()) {
        let needed = pieces(&plan, &built(&plan));
        let mut on_hand = OnHand::default();
        for kind in &needed {
            match &kind.piece {
                Piece::Wrap(tile) => {
                    on_hand.tiles.push(TilesOnHand { tile: *tile, surface: kind.name.clone(), count: kind.count });
                }
                Piece::Cap(cap) => on_hand.caps.push((cap.turned(1), kind.count)),
                Piece::Sleeve(post) => on_hand.posts.push((post.turned(1), kind.count)),
                Piece::Wall(wall) => on_hand.walls.push((wall.clone(), kind.count)),
                Piece::Biscuit => on_hand.biscuits = kind.count,
                Piece::Pocket => on_hand.pockets = kind.count,
                Piece::Coupler(coupler) => on_hand.couplers.push((coupler.turned(1), kind.count)),
                Piece::Core(_) | Piece::Plate | Piece::Plug | Piece::Prop(_) | Piece::Stair(_) | Piece::Pillar(_) | Piece::FreeWall(_) | Piece::Filler(_) | Piece::Grating(_) | Piece::Roof(_) => {}
                Piece::BentWall(_) | Piece::TurnCore(_) | Piece::TurnWrap(_) | Piece::BendPocket(_) => {}
            }
        }
        prop_assert_eq!(shortfall(&needed, &on_hand), []);
        prop_assert_eq!(shortfall(&needed, &OnHand::default()), needed);
    }
}

/// The same as `verify`, by plain counting that shares no code with it.
fn check_by_counting(level: &Level, build: &LevelBuild) {
    for y in 0..level.height {
        for x in 0..level.width {
            let over: Vec<_> = build.tiles.iter().filter(|tile| tile.covers(x, y)).collect();
            assert_eq!(over.len(), usize::from(level.cell(x, y).is_some()), "cell {x}, {y}");
            assert!(over.iter().all(|tile| Some(tile.surface) == level.cell(x, y)));
        }
    }
    let mut ends = 0;
    for wall in &build.walls {
        for (at, face) in [(wall.from, if wall.down { 2 } else { 3 }), (wall.to(), if wall.down { 0 } else { 1 })] {
            ends += 1;
            let posts: Vec<_> = build.posts.iter().filter(|post| post.at == at).collect();
            assert_eq!(posts.len(), 1);
            assert!(posts[0].post.arms.has(face));
        }
    }
    assert_eq!(ends, build.posts.iter().map(|post| post.post.arms.count()).sum::<u32>());
}
