//! Covers as an integer programme: one binary for each place of a tile, each cell in exactly one.

use std::collections::BTreeMap;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, Variable};

use super::floor::{Floor, Line, Place};
use super::worth::{Stock, Worth, board};

/// What a solve makes least. Everything above it in this order is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Goal {
    /// Cells that no tile covers.
    Bare,
    /// Tiles beyond the stock on hand.
    New,
    /// Tiles, and then their board.
    Tiles,
    /// Tiles alone: easier, where the search for both did not end.
    Count,
    /// Seams that run straight through.
    Seams,
}

/// A patch of floor to cover anew.
pub(super) struct Programme<'a> {
    columns: usize,
    cells: Vec<usize>,
    places: Vec<Place>,
    /// For each line that nothing outside the patch crosses: the places across it.
    lines: Vec<Vec<usize>>,
    stock: Option<&'a Stock>,
    surface: Box<dyn Fn(Place) -> usize + 'a>,
}

/// What a solve came to.
pub(super) struct Solved {
    /// Places of tiles; `None` where none better than the start was found.
    pub places: Option<Vec<Place>>,
    /// No cover has less than this of the goal's measure (for [`Goal::Tiles`]: fewer tiles).
    pub at_least: usize,
    /// Whether the search ended with a proof.
    pub proved: bool,
}

/// What the solver's sums may be off by: its bounds are lowered by this before they are rounded
/// up to whole numbers. Its own tolerance is 1e-7 for each row; objectives here stay below 1e8.
const SAFE: f64 = 1e-4;

impl<'a> Programme<'a> {
    /// The patch `cells` (rising), `free` true on just these. `lines` are the seams to break here.
    pub fn new(floor: &'a Floor, cells: &[usize], free: &[bool], lines: &[Line], stock: Option<&'a Stock>) -> Self {
        let places: Vec<Place> = floor.places(cells, free).collect();
        let lines =
            lines.iter().map(|line| (0..places.len()).filter(|&i| line.crossed_by(&places[i])).collect()).collect();
        let surface = Box::new(|p: Place| floor.surfaces[floor.part[p.y * floor.width + p.x]]);
        Self { columns: floor.width, cells: cells.to_vec(), places, lines, stock, surface }
    }

    /// Makes `goal` least. `worth` is the start's own worth: what ranks above the goal may not
    /// get worse than that. `start` seeds the search.
    pub fn solve(&self, goal: Goal, worth: &Worth, start: &[Place], nodes: u64) -> Solved {
        let unproved = Solved { places: None, at_least: 0, proved: false };
        let mut model = self.model(goal, worth);
        let mut options = SolveOptions::default();
        options.node_limit = Some(nodes);
        options.warm_start = Some(model.warm(self, start));
        let Ok(outcome) = model.problem.solve_with(options) else { return unproved };
        let proved = outcome.is_optimal();
        let bound = outcome.stats().best_bound;
        let Some(solution) = outcome.solution() else { return unproved };
        let bound = if proved { Some(solution.objective()) } else { bound };
        let at_least = bound.map_or(0.0, |bound| ((bound - model.beside - SAFE) / model.unit).ceil().max(0.0));
        let chosen: Vec<Place> = (0..self.places.len())
            .filter(|&i| solution.var_value(model.tiles[i]) > 0.5)
            .map(|i| self.places[i])
            .collect();
        let sound = self.is_cover(&chosen, goal);
        Solved { places: sound.then_some(chosen), at_least: at_least as usize, proved: proved && sound }
    }

    /// The solver's numbers are rounded: what it chose is checked again.
    fn is_cover(&self, chosen: &[Place], goal: Goal) -> bool {
        let mut covered: Vec<usize> = chosen.iter().flat_map(|p| p.cells(self.columns)).collect();
        covered.sort_unstable();
        let twice = covered.windows(2).any(|pair| pair[0] == pair[1]);
        !twice && (goal == Goal::Bare || covered == self.cells)
    }

    fn model(&self, goal: Goal, worth: &Worth) -> Model {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let stocked = self.stock.is_some();
        // One tile more must cost more than any difference in board.
        let most_board: i64 = self.cells.len() as i64 * if stocked { board::CELL } else { 2 };
        let unit = if goal == Goal::Tiles { most_board + 1 } else { 1 };
        let beside = if goal == Goal::Tiles && stocked { most_board as f64 } else { 0.0 };
        let tile_cost = |p: &Place| match goal {
            Goal::Tiles if stocked => unit,
            Goal::Tiles => unit - p.half_perimeter() as i64,
            Goal::Count => 1,
            _ => 0,
        };
        let tiles: Vec<Variable> = self.places.iter().map(|p| problem.add_binary_var(tile_cost(p) as f64)).collect();
        let mut model =
            Model { problem, tiles, unit: unit as f64, beside, bare: Vec::new(), new: Vec::new(), seams: Vec::new() };
        model.cover(self, goal);
        if goal > Goal::Bare {
            model.new_tiles(self, goal, worth);
        }
        if goal == Goal::Seams {
            model.straight_seams(self, worth);
        }
        model
    }

    /// Places of each size and surface, and how many are on hand.
    fn classes(&self) -> BTreeMap<(usize, (usize, usize)), Vec<usize>> {
        let mut classes: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for (i, &p) in self.places.iter().enumerate() {
            classes.entry(((self.surface)(p), p.size())).or_default().push(i);
        }
        classes
    }
}

struct Model {
    problem: Problem,
    tiles: Vec<Variable>,
    /// Cost of one tile (of one of whatever the goal counts).
    unit: f64,
    /// The most that board adds to the cost of the tiles. (Where it only takes away: nothing.)
    beside: f64,
    bare: Vec<Variable>,
    /// Tiles beyond the stock, for each class: the variable, how many are on hand, its places.
    new: Vec<(Variable, usize, Vec<usize>)>,
    seams: Vec<Variable>,
}

impl Model {
    fn cover(&mut self, p: &Programme<'_>, goal: Goal) {
        let row_of: BTreeMap<usize, usize> = p.cells.iter().enumerate().map(|(row, &cell)| (cell, row)).collect();
        let mut rows: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); p.cells.len()];
        for (place, &tile) in p.places.iter().zip(&self.tiles) {
            for cell in place.cells(p.columns) {
                rows[row_of[&cell]].push((tile, 1.0));
            }
        }
        for mut row in rows {
            if goal == Goal::Bare {
                self.bare.push(self.problem.add_binary_var(1.0));
                row.extend(self.bare.last().map(|&bare| (bare, 1.0)));
            }
            self.problem.add_constraint(row.as_slice(), ComparisonOp::Eq, 1.0);
        }
    }

    fn new_tiles(&mut self, p: &Programme<'_>, goal: Goal, worth: &Worth) {
        let Some(stock) = p.stock else { return };
        for (class, places) in p.classes() {
            let on_hand = stock.get(&class).copied().unwrap_or(0);
            let cost = match goal {
                Goal::New => 1,
                Goal::Tiles => board::of(class.1),
                _ => 0,
            };
            let new = self.problem.add_integer_var(cost as f64, (0, i32::try_from(p.cells.len()).unwrap_or(i32::MAX)));
            let mut row: Vec<(Variable, f64)> = places.iter().map(|&i| (self.tiles[i], 1.0)).collect();
            row.push((new, -1.0));
            self.problem.add_constraint(row.as_slice(), ComparisonOp::Le, on_hand as f64);
            self.new.push((new, on_hand, places));
        }
        if goal > Goal::New {
            let all: Vec<_> = self.new.iter().map(|&(new, ..)| (new, 1.0)).collect();
            self.problem.add_constraint(all.as_slice(), ComparisonOp::Le, worth.new as f64);
        }
    }

    /// Holds number of tiles and board, and counts the lines that no tile crosses.
    fn straight_seams(&mut self, p: &Programme<'_>, worth: &Worth) {
        let all: Vec<_> = self.tiles.iter().map(|&tile| (tile, 1.0)).collect();
        self.problem.add_constraint(all.as_slice(), ComparisonOp::Le, worth.tiles as f64);
        let weights: Vec<_> = if p.stock.is_none() {
            let board = |place: &Place| -(place.half_perimeter() as f64);
            p.places.iter().zip(&self.tiles).map(|(place, &tile)| (tile, board(place))).collect()
        } else {
            let size = |places: &[usize]| places.first().map_or(0, |&i| board::of(p.places[i].size()));
            self.new.iter().map(|(new, _, places)| (*new, size(places) as f64)).collect()
        };
        self.problem.add_constraint(weights.as_slice(), ComparisonOp::Le, worth.board as f64);
        for line in &p.lines {
            let straight = self.problem.add_binary_var(1.0);
            let mut row: Vec<_> = line.iter().map(|&i| (self.tiles[i], 1.0)).collect();
            row.push((straight, 1.0));
            self.problem.add_constraint(row.as_slice(), ComparisonOp::Ge, 1.0);
            self.seams.push(straight);
        }
    }

    /// Every variable's value for a known cover.
    fn warm(&mut self, p: &Programme<'_>, start: &[Place]) -> Vec<(Variable, f64)> {
        let start: std::collections::BTreeSet<Place> = start.iter().copied().collect();
        let used: Vec<bool> = p.places.iter().map(|place| start.contains(place)).collect();
        let yes = |holds: bool| if holds { 1.0 } else { 0.0 };
        let mut values: Vec<(Variable, f64)> =
            self.tiles.iter().zip(&used).map(|(&tile, &used)| (tile, yes(used))).collect();
        let covered: std::collections::BTreeSet<usize> = start.iter().flat_map(|q| q.cells(p.columns)).collect();
        values.extend(self.bare.iter().zip(&p.cells).map(|(&bare, cell)| (bare, yes(!covered.contains(cell)))));
        values.extend(self.new.iter().map(|(new, on_hand, places)| {
            let count = places.iter().filter(|&&i| used[i]).count();
            (*new, count.saturating_sub(*on_hand) as f64)
        }));
        let lines = self.seams.iter().zip(&p.lines);
        values.extend(lines.map(|(&seam, line)| (seam, yes(!line.iter().any(|&i| used[i])))));
        values
    }
}
