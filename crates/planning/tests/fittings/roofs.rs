//! Roofs: what they cover, and where they cannot lie.

use std::collections::BTreeSet;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::roof::{Form as RoofForm, Skirt};
use flatwright_geometry::units::Angle;
use flatwright_planning::fittings::roofs::{self, RoofDesign};
use flatwright_planning::plan::{Edge, Vertex};

use super::stairs::stairs_of;
use super::*;

/// Whether a cell can be reached from outside without crossing floor or a wall: by going round until
/// nothing changes any more.
fn outside(level: &Level) -> Vec<Vec<bool>> {
    let (w, h) = (level.width, level.height);
    let mut out = vec![vec![false; w]; h];
    let open = |x: usize, y: usize, down: bool| level.wall(Edge { from: Vertex { x, y }, down }).is_none();
    loop {
        let before = out.clone();
        for y in 0..h {
            for x in 0..w {
                let from_west = if x == 0 { true } else { before[y][x - 1] };
                let from_north = if y == 0 { true } else { before[y - 1][x] };
                let from_east = if x + 1 == w { true } else { before[y][x + 1] };
                let from_south = if y + 1 == h { true } else { before[y + 1][x] };
                let reached = (from_west && open(x, y, true))
                    || (from_north && open(x, y, false))
                    || (from_east && open(x + 1, y, true))
                    || (from_south && open(x, y + 1, false));
                out[y][x] = before[y][x] || (level.cell(x, y).is_none() && reached);
            }
        }
        if out == before {
            return out;
        }
    }
}

fn a_roof(level: usize) -> RoofDesign {
    RoofDesign {
        level,
        form: RoofForm::Hip,
        pitch: Angle::degrees(40.0),
        overhang: Mm::new(3.0),
        skirt: None,
        over: None,
        face: None,
        spot: (1, 1, 1),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    /// A roof that is laid covers exactly what is not outside, its plan is as large as that, has a post
    /// under every corner, and no wall runs up to its skirt; one that is not is told why.
    #[test]
    fn roofs_cover_what_is_not_outside(plan in assemble_floor::any_plan()) {
        let level = plan.levels.len() - 1;
        let plan = Plan { caps: false, roofs: vec![a_roof(level)], ..plan };
        let drawn = &plan.levels[level];
        let builds = assemble_floor::built(&plan);
        let (laid, problems) = roofs::places(&plan, level, &builds[level]);
        prop_assert_eq!(laid.len() + problems.len(), 1);
        let out = outside(drawn);
        let cells: BTreeSet<(usize, usize)> = (0..drawn.height)
            .flat_map(|y| (0..drawn.width).map(move |x| (x, y)))
            .filter(|&(x, y)| !out[y][x])
            .collect();
        for roof in &laid {
            prop_assert_eq!(&roof.cells, &cells);
            let corners: Vec<(i32, i32)> = roof.roof.plan.clone();
            let n = corners.len();
            let twice: i32 = (0..n)
                .map(|i| corners[i].0 * corners[(i + 1) % n].1 - corners[(i + 1) % n].0 * corners[i].1)
                .sum();
            prop_assert_eq!(usize::try_from(twice).unwrap(), 2 * cells.len());
            let at = |(x, y): (i32, i32)| Vertex {
                x: roof.at.x + usize::try_from(x).unwrap(),
                y: roof.at.y - usize::try_from(y).unwrap(),
            };
            for corner in &corners {
                prop_assert!(builds[level].posts.iter().any(|post| post.at == at(*corner)));
            }
            // The geometry takes every plan.
            prop_assert!(roof.roof.parts(&Parameters::default()).is_ok());
            // Walls off the roof's sides end at none of its vertices on the skirt's side.
            let on_side = |v: Vertex| {
                let under = (0..4).filter(|q| drawn.cell_at(v, *q).is_some_and(|cell| cells.contains(&cell))).count();
                (1..4).contains(&under)
            };
            for (edge, _) in drawn.walls() {
                let sides = if edge.down { [2, 3] } else { [0, 3] };
                let under = sides.map(|q| drawn.cell_at(edge.from, q).is_some_and(|cell| cells.contains(&cell)));
                let bad = match roof.roof.skirt {
                    Skirt::Inside => under == [true, true],
                    Skirt::Outside => under == [false, false],
                };
                prop_assert!(!bad || !(on_side(edge.from) || on_side(edge.to())), "{:?}", edge);
            }
        }
    }
}

#[test]
fn a_roof_says_why_it_cannot_lie() {
    let told = |statements: &str, drawing: &str| {
        let (plan, builds) = stairs_of(statements, drawing);
        let index = plan.levels.len() - 1;
        let (laid, problems) = roofs::places(&plan, index, &builds[index]);
        assert_eq!(laid.len() + problems.len(), plan.roofs.iter().filter(|roof| roof.level == index).count());
        messages(&problems).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let room = "level g:\n+---+---+\n| f   f |\n+---+---+\n";
    assert_eq!(told("roof g: hip", room), Vec::<String>::new());
    assert_eq!(told("caps: yes\nroof g: hip", room), Vec::<String>::new());
    assert_eq!(told("roof g: flat, over 1 0 2 1", room), ["the flat roof: it reaches out of the level's 2 x 1 cells"]);
    let open = "level g:\n+---+   +\n| f   f  \n+---+   +\n";
    assert_eq!(told("roof g: gable", open), ["the gable roof: no post stands under its corner at vertex 3 of line 2"]);
    let apart = "level g:\n+---+   +---+\n| f |   | f |\n+---+   +---+\n";
    assert_eq!(told("roof g: hip", apart), ["the hip roof: its plan is not in one piece"]);
    assert_eq!(told("roof g: hip, over 0 0 1 1\nroof g: hip, over 2 0 1 1", apart), Vec::<String>::new());
    let beside = "level g:\n+---+---+\n| f | f |\n+---+---+\n";
    assert_eq!(
        told("roof g: hip, over 0 0 1 1\nroof g: hip, over 1 0 1 1", beside),
        ["the hip roof: another roof is over it or beside it"]
    );
    assert_eq!(
        told("roof g: hip, skirt inside", beside),
        ["the hip roof: a wall inside runs up to its skirt, at vertex 2 of line 1"]
    );
    // Where nothing is said a skirt goes round.
    let (plan, builds) = stairs_of("roof g: hip", beside);
    assert_eq!(roofs::places(&plan, 0, &builds[0]).0[0].roof.skirt, Skirt::Outside);
}
