//! A patch of floor from start to end: a first cover, then better ones until proof or budget ends.

use super::floor::{Floor, Line, Place};
use super::programme::{Goal, Programme};
use super::worth::{Stock, Worth};
use super::{prices, windows};

/// A cover of a patch with what is proved of it.
pub(super) struct Patch {
    pub places: Vec<Place>,
    pub worth: Worth,
    /// No cover has less.
    pub at_least: Worth,
    /// Whether no cover with as few tiles takes less board.
    pub board_proved: bool,
}

/// Cells times places up to which one programme holds the whole patch at once.
const WHOLE: usize = 3_000_000;
/// The same where each tile's smaller ones are there too: such programmes are nearly whole by
/// themselves, and take seconds where others take minutes (measured: 36 times these).
const WHOLE_NESTED: usize = 160_000_000;
/// The same with lines in it: they make each step of the search slower and proofs rarer.
const WHOLE_SEAMS: usize = 1_500_000;
/// Cells of all places together up to which every place of a patch is looked at.
const LISTED: usize = 20_000_000;
/// Cells times places that one unit of effort pays for: about a quarter of a second where it was measured.
const STEP: usize = 20_000_000;
/// Nodes of the search for one unit of effort, however large the patch: each takes a small part of
/// the time of the first solve.
const FEWEST_NODES: usize = 5;
const MOST_NODES: usize = 20_000;

/// Covers `cells` (rising) with as little as can be found.
pub(super) fn cover(
    floor: &Floor,
    cells: &[usize],
    start: Option<Vec<Place>>,
    stock: Option<&Stock>,
    effort: u32,
) -> Patch {
    let mut free = vec![false; floor.part.len()];
    cells.iter().for_each(|&cell| free[cell] = true);
    let lines: Vec<Line> = floor.lines.iter().copied().filter(|line| in_patch(floor, line, &free)).collect();
    let mut search = Search { floor, cells, free, lines, stock, effort, places: Vec::new() };
    search.places = start.unwrap_or_else(|| search.greedy());
    let size = search.size();
    let mut at_least = search.obvious(size);
    let whole = if floor.nested() { WHOLE_NESTED } else { WHOLE };
    let mut board_proved = false;
    for goal in [Goal::Bare, Goal::New, Goal::Tiles, Goal::Seams] {
        if search.has_least(goal, &at_least) {
            continue;
        }
        // Large programmes start from a good cover: the search in them is short.
        if size > WHOLE && goal == Goal::Tiles {
            windows::improve(&mut search, Goal::Count);
        }
        if size > WHOLE || goal == Goal::Seams {
            windows::improve(&mut search, goal);
        }
        let whole = if goal == Goal::Seams { WHOLE_SEAMS } else { whole };
        let proved = size <= whole && search.whole(goal, size, &mut at_least);
        board_proved |= proved && goal == Goal::Tiles;
        if !proved {
            search.second_best(goal, size, &mut at_least);
        }
        if search.worth().bare > 0 {
            break;
        }
    }
    let worth = search.worth();
    if stock.is_none() {
        at_least.new = at_least.tiles;
    }
    Patch { places: search.places, worth, at_least, board_proved }
}

fn in_patch(floor: &Floor, line: &Line, free: &[bool]) -> bool {
    let (x, y) = if line.down { (line.at, line.from) } else { (line.from, line.at) };
    free[y * floor.width + x]
}

/// A cover in the making.
pub(super) struct Search<'a> {
    pub floor: &'a Floor,
    pub cells: &'a [usize],
    /// True on just these cells.
    pub free: Vec<bool>,
    /// Lines of the patch.
    pub lines: Vec<Line>,
    pub stock: Option<&'a Stock>,
    pub effort: u32,
    pub places: Vec<Place>,
}

impl Search<'_> {
    pub fn worth(&self) -> Worth {
        Worth::of(self.floor, &self.places, self.cells.len(), &self.lines, self.stock)
    }

    /// Cells times places: time for one step of a search grows with it.
    fn size(&self) -> usize {
        let mut listed = 0;
        let mut places = 0;
        for p in self.floor.places(self.cells, &self.free) {
            listed += p.width * p.height;
            places += 1;
            if listed > LISTED {
                return usize::MAX;
            }
        }
        self.cells.len() * places
    }

    /// Row by row the largest tile that fits. Where none does, the cell stays bare for now.
    fn greedy(&self) -> Vec<Place> {
        let mut free = self.free.clone();
        let mut places = Vec::new();
        for &cell in self.cells {
            let first = self.floor.places(std::slice::from_ref(&cell), &free).next();
            if let Some(place) = first {
                place.cells(self.floor.width).for_each(|cell| free[cell] = false);
                places.push(place);
            }
        }
        places
    }

    /// Bounds that take no search: by the largest tile's area, and the lines that no tile can cross.
    fn obvious(&self, size: usize) -> Worth {
        let largest = self.floor.sides.first().map_or(1, |&(a, b)| a * b);
        let tiles = self.cells.len().div_ceil(largest);
        let seams = if size == usize::MAX { 0 } else { self.open_lines() };
        Worth { tiles, seams, ..Worth::default() }
    }

    /// Lines that no tile can cross.
    fn open_lines(&self) -> usize {
        let columns = self.floor.width;
        // Edges, by the cell to their south-east, that some tile can lie across.
        let mut crossed = [vec![false; self.floor.part.len()], vec![false; self.floor.part.len()]];
        for p in self.floor.places(self.cells, &self.free) {
            for cell in p.cells(columns) {
                crossed[0][cell] |= cell / columns > p.y;
                crossed[1][cell] |= cell % columns > p.x;
            }
        }
        let open = |line: &&Line| {
            let cell = |i| if line.down { i * columns + line.at } else { line.at * columns + i };
            (line.from..line.to).all(|i| !crossed[usize::from(line.down)][cell(i)])
        };
        self.lines.iter().filter(open).count()
    }

    fn has_least(&self, goal: Goal, at_least: &Worth) -> bool {
        let worth = self.worth();
        match goal {
            Goal::Bare => worth.bare == 0,
            Goal::New => self.stock.is_none() || worth.new == 0,
            Goal::Tiles | Goal::Count => false,
            Goal::Seams => worth.seams == at_least.seams,
        }
    }

    /// What is left to try where one programme did not end with a proof.
    fn second_best(&mut self, goal: Goal, size: usize, at_least: &mut Worth) {
        if goal == Goal::Tiles && size <= WHOLE {
            self.whole(Goal::Count, size, at_least);
        }
        if goal != Goal::Seams {
            windows::improve(self, goal);
        }
        if goal == Goal::Tiles && size < usize::MAX && at_least.tiles < self.places.len() {
            at_least.tiles = at_least.tiles.max(prices::fewest(self.floor, self.cells, &self.free));
        }
    }

    /// One programme over the whole patch; whether it ended with a proof.
    fn whole(&mut self, goal: Goal, size: usize, at_least: &mut Worth) -> bool {
        let worth = self.worth();
        let lines = if goal == Goal::Seams { self.lines.as_slice() } else { &[] };
        let programme = Programme::new(self.floor, self.cells, &self.free, lines, self.stock);
        let effort = self.effort as usize;
        // Lines make a node several times as slow.
        let size = if goal == Goal::Seams { size.saturating_mul(4) } else { size };
        let nodes = effort.saturating_mul(STEP / size.max(1)).max(effort.saturating_mul(FEWEST_NODES)).min(MOST_NODES);
        let solved = programme.solve(goal, &worth, &self.places, nodes as u64);
        let bound = match goal {
            Goal::Bare => &mut at_least.bare,
            Goal::New => &mut at_least.new,
            Goal::Tiles | Goal::Count => &mut at_least.tiles,
            Goal::Seams => &mut at_least.seams,
        };
        *bound = solved.at_least.max(*bound);
        self.take(solved.places);
        solved.proved
    }

    /// Keeps a cover where it is better.
    fn take(&mut self, places: Option<Vec<Place>>) {
        let Some(mut places) = places else { return };
        places.sort_unstable();
        let found = Worth::of(self.floor, &places, self.cells.len(), &self.lines, self.stock);
        if found < self.worth() {
            self.places = places;
        }
    }
}
