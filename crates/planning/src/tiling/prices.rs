//! A bound on the number of tiles: prices of cells.
//!
//! Where no tile's cells cost more than 1 together, a cover has at least as many tiles as all cells
//! cost (weak duality of linear programmes; prices may be negative). A solver proposes the prices;
//! they are then lowered to where they hold for every tile and summed, all in whole numbers, so that
//! the bound is true whatever the solver answered.

use microlp::{ComparisonOp, OptimizationDirection, Problem};

use super::floor::{Floor, Place};

/// Price of a whole tile, in the smallest units of a price.
const WHOLE: i64 = 1 << 40;
/// Largest price proposed, tiles.
const DEAREST: f64 = 8.0;
/// Cells times places up to which all prices come from one programme.
const ONE: usize = 2_000_000;
/// Side of a window where they do not, cells.
const SIDE: usize = 20;

/// No cover of `cells` (those where `free` holds) has fewer tiles.
pub(super) fn fewest(floor: &Floor, cells: &[usize], free: &[bool]) -> usize {
    let places: Vec<Place> = floor.places(cells, free).collect();
    // Places over each cell.
    let mut over: Vec<Vec<usize>> = vec![Vec::new(); floor.part.len()];
    for (i, p) in places.iter().enumerate() {
        p.cells(floor.width).for_each(|cell| over[cell].push(i));
    }
    let longest = floor.sides.iter().map(|&(a, _)| a).max().unwrap_or(1);
    let side = if cells.len() * places.len() <= ONE { usize::MAX } else { SIDE.max(2 * longest) };
    let mut prices =
        Prices { floor, places: &places, over: &over, price: vec![0; floor.part.len()], spent: vec![0; places.len()] };
    for window in windows(floor, cells, side) {
        prices.propose(&window);
    }
    prices.lower();
    for &cell in cells {
        prices.raise(cell);
    }
    prices.total(cells)
}

/// The cells of each window, row by row.
fn windows(floor: &Floor, cells: &[usize], side: usize) -> impl Iterator<Item = Vec<usize>> {
    let mut windows = std::collections::BTreeMap::<_, Vec<usize>>::new();
    for &cell in cells {
        windows.entry((cell / floor.width / side, cell % floor.width / side)).or_default().push(cell);
    }
    windows.into_values()
}

struct Prices<'a> {
    floor: &'a Floor,
    places: &'a [Place],
    over: &'a [Vec<usize>],
    /// By cell.
    price: Vec<i64>,
    /// What the cells of each place cost together.
    spent: Vec<i64>,
}

impl Prices<'_> {
    fn add(&mut self, cell: usize, amount: i64) {
        self.price[cell] += amount;
        self.over[cell].iter().for_each(|&i| self.spent[i] += amount);
    }

    /// Best prices of one window's cells beside those already set. None where the solver fails.
    fn propose(&mut self, window: &[usize]) {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let mut rows = std::collections::BTreeMap::<usize, Vec<(microlp::Variable, f64)>>::new();
        let variables: Vec<_> = window.iter().map(|_| problem.add_var(1.0, (-DEAREST, DEAREST))).collect();
        for (&cell, &variable) in window.iter().zip(&variables) {
            self.over[cell].iter().for_each(|&i| rows.entry(i).or_default().push((variable, 1.0)));
        }
        for (i, row) in rows {
            let left = (WHOLE - self.spent[i]) as f64 / WHOLE as f64;
            problem.add_constraint(row.as_slice(), ComparisonOp::Le, left);
        }
        let Ok(outcome) = problem.solve() else { return };
        let Some(solution) = outcome.solution() else { return };
        for (&cell, &variable) in window.iter().zip(&variables) {
            let value = solution.var_value(variable).clamp(-DEAREST, DEAREST);
            self.add(cell, (value * WHOLE as f64).floor() as i64);
        }
    }

    /// Where a place costs too much, its first cell pays. Lower prices break no other place.
    fn lower(&mut self) {
        for i in 0..self.places.len() {
            let excess = self.spent[i] - WHOLE;
            if excess > 0 {
                let p = self.places[i];
                self.add(p.y * self.floor.width + p.x, -excess);
            }
        }
    }

    /// Takes up what every place over a cell leaves.
    fn raise(&mut self, cell: usize) {
        let room = self.over[cell].iter().map(|&i| WHOLE - self.spent[i]).min();
        self.add(cell, room.unwrap_or(0).max(0));
    }

    /// The sum, where all places hold when they are added up afresh.
    fn total(&self, cells: &[usize]) -> usize {
        let cost = |p: &Place| p.cells(self.floor.width).map(|cell| self.price[cell]).sum::<i64>();
        if self.places.iter().any(|p| cost(p) > WHOLE) {
            return 0;
        }
        let total: i128 = cells.iter().map(|&cell| i128::from(self.price[cell])).sum();
        let whole = i128::from(WHOLE);
        // Rounded up: a cover has a whole number of tiles.
        usize::try_from((total + whole - 1).div_euclid(whole)).unwrap_or(0)
    }
}
