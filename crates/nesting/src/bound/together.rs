//! Whether some pieces can lie on one sheet: a proof that they cannot, or none.
//!
//! Only differences of places matter. The pieces fit a room of W x H exactly where every two of
//! them do side by side (their common box is no larger than the room: the lowest and the highest
//! of all sides belong to two of them) and no two are in each other's way. So the first piece is
//! fixed, the places of the others are cells of a grid, and a choice of cells is struck out as
//! soon as all shifts between two of them are barred: those between a cell and the fixed piece
//! fill one cell, those between two cells all four around a grid point. What is left is looked
//! at again with half the pitch. Nothing left means that the pieces lie together nowhere.

use std::collections::BTreeMap;

use super::relation::{FINEST, Relation, Rules, Shape};

/// An answer about a set of pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// They lie together nowhere.
    Never,
    /// Cells are left at the finest pitch.
    Maybe,
    /// The budget was spent first.
    Unknown,
    /// Not asked: who checks the proof has doubts.
    Doubted,
}

/// Answers for one room.
pub(super) struct Prover<'a> {
    shapes: &'a [Shape],
    /// Shapes of each class.
    turns: Vec<Vec<usize>>,
    /// Whether a class may be turned by half a turn.
    half: Vec<bool>,
    width: f64,
    height: f64,
    rules: Rules,
    relations: Vec<Relation>,
    /// Index of the relation of two shapes, the lower one first.
    related: BTreeMap<(usize, usize), usize>,
    /// Steps taken so far.
    pub steps: u64,
    limit: u64,
}

impl<'a> Prover<'a> {
    /// `half` says which classes may be turned by half a turn.
    pub(super) fn new(shapes: &'a [Shape], half: Vec<bool>, width: f64, height: f64, rules: Rules) -> Self {
        let mut turns = vec![Vec::new(); half.len()];
        for (i, shape) in shapes.iter().enumerate() {
            if shape.width <= width && shape.height <= height {
                turns[shape.class].push(i);
            }
        }
        Self {
            shapes,
            turns,
            half,
            width,
            height,
            rules,
            relations: Vec::new(),
            related: BTreeMap::new(),
            steps: 0,
            limit: 0,
        }
    }

    /// Whether copies of classes, given as (class, count), can lie on one sheet. The largest
    /// should come first. At most `budget` steps.
    pub(super) fn ask(&mut self, set: &[(usize, u32)], budget: u64) -> Answer {
        self.limit = self.steps.saturating_add(budget);
        let classes: Vec<usize> = set.iter().flat_map(|&(class, n)| (0..n).map(move |_| class)).collect();
        let mut chosen = Vec::with_capacity(classes.len());
        self.turn(&classes, &mut chosen)
    }

    /// Gives every piece a turn, copies of one class in order, and tries each choice.
    fn turn(&mut self, classes: &[usize], chosen: &mut Vec<usize>) -> Answer {
        let k = chosen.len();
        let Some(&class) = classes.get(k) else { return self.search(chosen) };
        let from = if k > 0 && classes[k - 1] == class { chosen[k - 1] } else { 0 };
        let mut options: Vec<usize> = self.turns[class].iter().copied().filter(|&shape| shape >= from).collect();
        // The sheet as a whole may be turned by half a turn: of two turns of the first piece that
        // differ by that, one will do.
        if k == 0 && classes.get(1) != Some(&class) && classes.iter().all(|&c| self.half[c]) {
            let turn = |shape: usize| self.shapes[shape].turn;
            let all = options.clone();
            options.retain(|&shape| !all.iter().any(|&other| turn(other) + 2 == turn(shape)));
        }
        for shape in options {
            chosen.push(shape);
            let answer = self.turn(classes, chosen);
            chosen.pop();
            if answer != Answer::Never {
                return answer;
            }
        }
        Answer::Never
    }

    fn search(&mut self, shapes: &[usize]) -> Answer {
        let mut pairs = Vec::with_capacity(shapes.len());
        for (k, &b) in shapes.iter().enumerate() {
            let to_earlier = shapes[..k].iter().map(|&a| Pair { relation: self.relate(a, b), mirrored: a > b });
            pairs.push(to_earlier.collect::<Vec<_>>());
        }
        if self.steps > self.limit {
            return Answer::Unknown;
        }
        let equal = (0..shapes.len()).map(|k| k > 0 && shapes[k] == shapes[k - 1]).collect();
        let levels = FINEST + 1;
        let mut cells = vec![vec![[0, 0]; shapes.len()]; levels];
        self.place(&Set { pairs, equal }, 0, 1, &mut cells)
    }

    /// Puts piece `k` and those after it into cells of `level` within those of the level above.
    fn place(&mut self, set: &Set, level: usize, k: usize, cells: &mut [Vec<[i32; 2]>]) -> Answer {
        if k == set.equal.len() {
            return if level == FINEST { Answer::Maybe } else { self.place(set, level + 1, 1, cells) };
        }
        let (low, side) = if level == 0 { ([-8, -8], 16) } else { (cells[level - 1][k].map(|c| 2 * c), 2) };
        for y in low[1]..low[1] + side {
            for x in low[0]..low[0] + side {
                self.steps += 1;
                if !self.consistent(set, level, k, &cells[level], [x, y]) {
                    continue;
                }
                if self.steps > self.limit {
                    return Answer::Unknown;
                }
                cells[level][k] = [x, y];
                let answer = self.place(set, level, k + 1, cells);
                if answer != Answer::Never {
                    return answer;
                }
            }
        }
        Answer::Never
    }

    fn consistent(&mut self, set: &Set, level: usize, k: usize, cells: &[[i32; 2]], at: [i32; 2]) -> bool {
        // Of equal pieces the one further left comes first.
        if set.equal[k] && at[0] < cells[k - 1][0] {
            return false;
        }
        (0..k).all(|i| {
            let Pair { relation, mirrored } = set.pairs[k][i];
            let relation = &mut self.relations[relation];
            let shift = [at[0] - cells[i][0], at[1] - cells[i][1]];
            let before = relation.looks;
            let open = match (i == 0, mirrored) {
                (true, false) => relation.cell_open(level, shift),
                (true, true) => relation.cell_open(level, shift.map(|c| -c - 1)),
                (false, false) => relation.around_open(level, shift),
                (false, true) => relation.around_open(level, shift.map(|c| -c)),
            };
            self.steps += (relation.looks - before) * STEPS_PER_LOOK;
            open
        })
    }

    fn relate(&mut self, a: usize, b: usize) -> usize {
        let (a, b) = (a.min(b), a.max(b));
        if let Some(&index) = self.related.get(&(a, b)) {
            return index;
        }
        let relation = Relation::new(&self.shapes[a], &self.shapes[b], self.width, self.height, self.rules);
        self.steps += relation.looks * STEPS_PER_LOOK;
        self.relations.push(relation);
        self.related.insert((a, b), self.relations.len() - 1);
        self.relations.len() - 1
    }
}

/// How the places of two pieces are related.
#[derive(Clone, Copy)]
struct Pair {
    relation: usize,
    /// Whether the relation is of the later piece fixed and the earlier one shifted.
    mirrored: bool,
}

/// Pieces whose turns are chosen.
struct Set {
    /// Of each piece with those before it.
    pairs: Vec<Vec<Pair>>,
    /// Whether a piece is the same shape as the one before it.
    equal: Vec<bool>,
}

/// A look at a cell and a sum takes about as long as this many cells of a table.
const STEPS_PER_LOOK: u64 = 5;
