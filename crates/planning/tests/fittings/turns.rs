//! Fittings and stairs on the tiles of turns.

use flatwright_geometry::parameters::Parameters;

use super::stairs::told_of_stairs;
use super::*;

/// What stands on the tile of a turn lies on it, off the wall on the bend; the cell that the bend crosses is
/// floor as far as the tile reaches.
#[test]
fn fittings_stand_on_tiles_of_turns() {
    let p = Parameters::default();
    let drawing = "level g:\n+   +   +\n at  bt\n+   +   +\n  t   t\n+   +   +\n";
    let told = |at: (f64, f64), statement: &str| {
        let text = format!("surface f: flags\n{statement}\nprop a: crate\nprop b: crate\n{drawing}");
        let mut plan = text::read(&text).unwrap_or_else(|errors| panic!("{errors:#?}")).plan;
        plan.fittings = vec![boxed('a', 20.0, 20.0), FittingDesign { at: Some(at), ..boxed('b', 20.0, 20.0) }];
        let build = assemble_floor::built(&plan).swap_remove(0);
        let ground = Ground::of(&plan.levels[0], &build, &p, SIZES.beside());
        let found = check(&plan, &plan.levels[0], &build, &ground, SIZES);
        messages(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let fan = "turn t: round 2, about SW, fan f, wall plain";
    let bare = |letter: char| format!("the box '{letter}' has no floor under it here");
    // From the corner the bend is 2 modules away at least: here, 1.7 for the middle of the box.
    assert_eq!(told((0.2, 0.8), fan), Vec::<String>::new());
    let across = told((0.43, 0.57), fan);
    assert!(
        across.len() == 2 && across[0] == bare('b') && across[1].ends_with(" mm into a wall on a bend"),
        "{across:?}"
    );
    assert_eq!(told((0.85, 0.15), fan), [bare('b')]);
    // The spandrel is floor where the fan is none.
    let spandrel = "turn t: round 2, about SW, spandrel f";
    assert_eq!(told((0.2, 0.8), spandrel), [bare('a'), bare('b')]);
    assert_eq!(told((0.8, 0.2), spandrel), [bare('a')]);
}

/// A flight may begin and end on the tile of a turn, but not where the bend is near.
#[test]
fn a_flight_leads_over_tiles_of_turns() {
    let turns = "turn t: round 2, about SW, fan f, wall plain\nturn o: round 2, about SW, wall plain";
    let rows = |middle: &str| {
        format!(
            "level g:\n+---+   +   +\n| f   t   t\n+   +   +   +\n| f  {middle}\n+---+   +   +\nlevel l:\n+---+   +   +\n\
             | f   o   o\n+   +   +   +\n| f   o   o\n+---+   +   +\n"
        )
    };
    let stair = |rest: &str| format!("{turns}\nstair s: up west, {rest}");
    assert_eq!(told_of_stairs(&stair("run 1"), &rows("st   t")), Vec::<String>::new());
    let foot = "the stair 's': no floor leads to its foot: the cell at column 4, row 2 has none";
    assert_eq!(told_of_stairs(&stair("run 2"), &rows(" t  st")), [foot]);
}
