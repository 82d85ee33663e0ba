//! Stairs: where they may begin and end.

use flatwright_planning::fittings::stairs;

use super::*;

pub fn stairs_of(statements: &str, levels: &str) -> (Plan, Vec<LevelBuild>) {
    let text = format!("surface f: flags\n{statements}\n{levels}");
    let plan = text::read(&text).unwrap_or_else(|errors| panic!("{errors:#?}")).plan;
    let builds = assemble_floor::built(&plan);
    (plan, builds)
}

pub fn told_of_stairs(statements: &str, levels: &str) -> Vec<String> {
    let (plan, builds) = stairs_of(statements, levels);
    let levels = plan.levels.iter().zip(&builds);
    levels.flat_map(|(level, build)| stairs::check(&plan, level, build)).map(|problem| problem.message).collect()
}

const UNDER: &str = "level ground:\n+---+---+---+\n| f  sf   f |\n+   +   +   +\n| f   f   f |\n+---+---+---+\n";

fn over(rows: [&str; 5]) -> String {
    format!("{UNDER}level loft:\n{}\n", rows.join("\n"))
}

/// Each way to go wrong, and the plan beside it that is right.
#[test]
fn a_flight_leads_from_floor_to_floor() {
    let stair = "stair s: up east, run 1";
    let good = over(["+---+---+---+", "| f       f |", "+   +   +   +", "| f   f   f |", "+---+---+---+"]);
    assert_eq!(told_of_stairs(stair, &good), Vec::<String>::new());
    let (plan, builds) = stairs_of(stair, &good);
    assert!(stairs::open_ended(&plan, &plan.levels[0], &builds[0]).is_empty());

    let closed = over(["+---+---+---+", "| f   f   f |", "+   +   +   +", "| f   f   f |", "+---+---+---+"]);
    let open = "the stair 's': level \"loft\" has no opening over it: the cell at column 2, row 1 has floor";
    assert_eq!(told_of_stairs(stair, &closed), [open]);
    let bare = over(["+---+---+---+", "| f         |", "+   +   +   +", "| f   f   f |", "+---+---+---+"]);
    let none = "the stair 's': it arrives at no floor of level \"loft\": the cell at column 3, row 1 has none";
    assert_eq!(told_of_stairs(stair, &bare), [none]);
    let walled = over(["+---+---+---+", "| f     | f |", "+   +   +   +", "| f   f   f |", "+---+---+---+"]);
    let wall = "the stair 's': a wall of level \"loft\" is across its top, before column 3, row 1";
    assert_eq!(told_of_stairs(stair, &walled), [wall]);
    let long = "stair s: up east, run 2";
    let out = "the stair 's': it arrives at no floor of level \"loft\": the cell at column 4, row 1 has none";
    assert_eq!(told_of_stairs(long, &good)[0], out);
    // From the other side it begins before the first cell; down to the south it is too long for the floor.
    assert_eq!(told_of_stairs("stair s: up west, run 1", &good), Vec::<String>::new());
    let south = "stair s: up south, run 1";
    assert_eq!(
        told_of_stairs(south, &good),
        ["the stair 's': no floor leads to its foot: the cell at column 2, row 0 has none"]
    );
    // The topmost level has nothing above.
    let (plan, builds) = stairs_of(stair, UNDER);
    assert_eq!(told_of_stairs(stair, UNDER), Vec::<String>::new());
    assert_eq!(stairs::open_ended(&plan, &plan.levels[0], &builds[0]), [((5, 6), "the stair 's'".to_owned())]);
}

#[test]
fn flights_and_landings_meet() {
    let statements =
        "stair l: up east, run 1, climb lower\nhalf-landing h: 1 x 2\nstair u: up west, run 1, climb upper";
    let under = |cells: [&str; 2]| {
        format!("level ground:\n+---+---+---+\n{}\n+   +   +   +\n{}\n+---+---+---+\n", cells[0], cells[1])
    };
    let loft = "level loft:\n+---+---+---+\n| f   f   f |\n+   +   +   +\n| f       f |\n+---+---+---+\n";
    let good = under(["| f  lf  hf |", "| f  uf   f |"]) + loft;
    // Over the lower flight there may be floor: it ends half way up. The upper one arrives in column 1.
    assert_eq!(told_of_stairs(statements, &good), Vec::<String>::new());
    let alone = under(["| f   f  hf |", "| f   f   f |"]) + loft;
    assert_eq!(
        told_of_stairs(statements, &alone),
        ["the half landing 'h': no flight leads up to it", "the half landing 'h': no flight leads on from it"]
    );
    let apart = under(["| f  lf   f |", "| f  uf   f |"]) + loft;
    assert_eq!(
        told_of_stairs(statements, &apart),
        [
            "the stair 'l': no half landing is at its top: the cell at column 3, row 1 has none",
            "the stair 'u': no half landing is at its foot: the cell at column 3, row 2 has none"
        ]
    );
}

/// The check of levels finds a flight under floor by itself.
#[test]
fn a_flight_under_floor_is_found_twice() {
    let good = over(["+---+---+---+", "| f       f |", "+   +   +   +", "| f   f   f |", "+---+---+---+"]);
    for (way, cell) in [("east", 2), ("west", 0)] {
        let (mut plan, builds) = stairs_of(&format!("stair s: up {way}, run 1"), &good);
        let of_stairs = |plan: &Plan| {
            let faults = flatwright_planning::assemble::verify_levels(plan, &builds, true);
            faults.into_iter().filter(|(_, fault)| matches!(fault, Fault::Stair { x: 1, y: 0, .. })).count()
        };
        assert_eq!(of_stairs(&plan), 0);
        plan.levels[1].cells[1] = Some(0);
        assert_eq!(of_stairs(&plan), 1);
        plan.levels[1].cells[1] = None;
        plan.levels[1].cells[cell] = None;
        assert_eq!(of_stairs(&plan), 1);
    }
}
