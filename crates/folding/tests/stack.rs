//! Tolerance stacks against simulation and against every combination of signs.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use flatwright_folding::stack::{Chain, Errors, MOST, Tolerances, stack};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::units::Mm;

fn sets() -> Vec<(Parameters, Tolerances)> {
    let board = Parameters { walls: WallBuild::Board, ..Parameters::default() };
    let rough = Tolerances { board: Mm::new(0.4), cutter: Mm::new(0.25), printer: 0.004, placing: Mm::new(0.3) };
    vec![(Parameters::default(), Tolerances::default()), (board.clone(), Tolerances::default()), (board, rough)]
}

/// The sum of a chain, given what each error comes to as a part of its limit.
fn simulated(errors: &Errors, n: u32, mut part: impl FnMut() -> f64) -> f64 {
    let shared: f64 = errors.shared.iter().map(|limit| limit * part() * f64::from(n)).sum();
    let once: f64 = errors.once.iter().map(|limit| limit * part()).sum();
    let each: f64 = (0..n).flat_map(|_| errors.each.iter()).map(|limit| limit * part()).sum();
    shared + once + each
}

/// No combination of signs is worse than the worst case, and one is as bad.
#[test]
fn the_worst_case_is_the_worst_of_all_signs() {
    for (p, t) in sets() {
        for chain in [Chain::Tiles, Chain::Walls] {
            let errors = Errors::of(chain, &p, &t);
            for n in 1..=4 {
                let count = errors.shared.len() + errors.once.len() + n as usize * errors.each.len();
                let worst = (0..1u32 << count)
                    .map(|signs| {
                        let mut bit = 0;
                        simulated(&errors, n, || {
                            bit += 1;
                            if signs >> (bit - 1) & 1 == 1 { 1.0 } else { -1.0 }
                        })
                        .abs()
                    })
                    .fold(0.0, f64::max);
                assert_relative_eq!(errors.worst(n), worst, max_relative = 1e-12);
            }
        }
    }
}

/// Normal errors whose limits are three standard deviations: three standard deviations of their
/// sum are the root-sum-square. 40,000 draws know a standard deviation to 0.35 % (one sigma).
#[test]
fn the_root_sum_square_is_the_spread_of_simulated_chains() {
    let mut random = Random(20_240_511);
    for (p, t) in sets() {
        for chain in [Chain::Tiles, Chain::Walls] {
            let errors = Errors::of(chain, &p, &t);
            for n in [1, 3, 12] {
                let draws = 40_000;
                let sums: Vec<f64> = (0..draws).map(|_| simulated(&errors, n, || random.normal() / 3.0)).collect();
                let mean = sums.iter().sum::<f64>() / f64::from(draws);
                let variance = sums.iter().map(|sum| (sum - mean).powi(2)).sum::<f64>() / f64::from(draws - 1);
                assert_relative_eq!(3.0 * variance.sqrt(), errors.root_sum_square(n), max_relative = 0.018);
            }
        }
    }
}

/// By hand: two cuts of 0.05, a wrap of 0.1 and 75.9 mm at 0.001 come to 0.2759 a tile.
#[test]
fn defaults_by_hand() {
    let stack = stack(Chain::Tiles, &Parameters::default(), &Tolerances::default());
    assert_abs_diff_eq!(stack.sums[0].worst.get(), 0.2759, epsilon = 1e-9);
    let square = (2.0 * 0.05_f64.powi(2) + 0.1_f64.powi(2) + 0.0759_f64.powi(2)).sqrt();
    assert_abs_diff_eq!(stack.sums[0].root_sum_square.get(), square, epsilon = 1e-6);
    assert_eq!(stack.worst_fails_at, Some(2));
    assert_eq!(stack.root_sum_square_fails_at, Some(3));
}

#[test]
fn the_first_length_that_fails_is_told() {
    for (p, t) in sets() {
        for chain in [Chain::Tiles, Chain::Walls] {
            let (errors, stack) = (Errors::of(chain, &p, &t), stack(chain, &p, &t));
            for (fails_at, sum) in [
                (stack.worst_fails_at, &(|n| errors.worst(n)) as &dyn Fn(u32) -> f64),
                (stack.root_sum_square_fails_at, &|n| errors.root_sum_square(n)),
            ] {
                let n = fails_at.expect("these are rough");
                assert!(sum(n) > p.play.get());
                assert!(n == 1 || sum(n - 1) <= p.play.get() + 1e-3);
            }
            // A chain never fails later in the worst case.
            assert!(stack.worst_fails_at <= stack.root_sum_square_fails_at);
        }
    }
}

#[test]
fn exact_work_never_fails() {
    let exact = Tolerances { board: Mm::ZERO, cutter: Mm::ZERO, printer: 0.0, placing: Mm::ZERO };
    let found = stack(Chain::Walls, &Parameters::default(), &exact);
    assert_eq!((found.worst_fails_at, found.root_sum_square_fails_at), (None, None));
    // A hair that needs more than the longest chain.
    let fine = Tolerances { cutter: Mm::new(0.3 / 2.0 / f64::from(MOST)), ..exact };
    assert_eq!(stack(Chain::Tiles, &Parameters::default(), &fine).worst_fails_at, None);
    let less_fine = Tolerances { cutter: Mm::new(0.31 / 2.0 / f64::from(MOST)), ..exact };
    assert!(stack(Chain::Tiles, &Parameters::default(), &less_fine).worst_fails_at.is_some());
}

/// Steele, Lea and Flood's splitmix64 with its published constants, and Box and Muller's transform.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}
