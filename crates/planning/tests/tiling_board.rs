//! Least board is the greatest sum of sides: the program's claim about the geometry's own cores.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::tile::{Reliefs, Tile, core};

/// A core's area is `P ab - L (a + b) + K` with the same P, L, K for all sizes, and L is above 0: with
/// cells (the sum of ab) and number of tiles given, the sum of a + b alone decides.
#[test]
fn a_cores_area_falls_with_its_sides() {
    let p = Parameters::default();
    for reliefs in [Reliefs::Corners, Reliefs::EveryModule] {
        let area = |across, along| {
            core(&p, Tile::plain(across, along, reliefs)).map(|pattern| pattern.material.area()).expect("a core")
        };
        // Three sizes give the three numbers; all others must follow.
        let (one, two, three, four) = (area(1, 1), area(2, 1), area(3, 1), area(2, 2));
        let cell = four - 2.0 * two + one;
        let sides = cell - (two - one);
        let rest = one - cell + 2.0 * sides;
        assert!(sides > 0.0);
        assert!((three - (3.0 * cell - 4.0 * sides + rest)).abs() < 1e-6);
        for across in 1..=6u32 {
            for along in 1..=across {
                let (a, b) = (f64::from(across), f64::from(along));
                let expected = cell * a * b - sides * (a + b) + rest;
                assert!((area(across, along) - expected).abs() < 1e-6, "{across} x {along}");
            }
        }
        // The whole number that stands for it beside stock.
        let ratio = cell / sides;
        println!("{reliefs:?}: a cell's board is {ratio:.2} times a side's");
        if reliefs == Reliefs::Corners {
            assert!((8.5..9.5).contains(&ratio), "{ratio}");
        }
    }
}
