//! Fills one block with boxes of great value, in strips.
//!
//! A block is divided into strips, a strip into columns, a column into equal boxes; what these
//! leave is filled in the same way. What goes into a strip is a knapsack, and so is the choice of
//! strips (the staged patterns of Gilmore and Gomory 1965, with the number of boxes bounded by
//! what is still wanted).

use super::block::Block;
use super::boxes::Boxes;

/// Fillings kept at each step of a knapsack: the best value for each length, thinned to this.
const KEPT: usize = 40;
/// How often waste is filled in turn.
const DEPTH: u32 = 3;

/// What a fill works with.
pub(super) struct Filler<'a> {
    pub boxes: &'a Boxes,
    /// What a copy of each item is worth.
    pub values: &'a [f64],
    /// Looks taken: a measure of work.
    pub looks: u64,
}

/// Boxes of one way, upon each other in a column.
#[derive(Clone, Copy)]
struct Column {
    way: usize,
    /// How many.
    high: u32,
}

impl Filler<'_> {
    /// A block of the given size. `left` is what may be used, and then what is left of it.
    /// `upright`: whether the first cuts run up the page, so that strips stand.
    pub fn fill(&mut self, size: [i64; 2], upright: bool, left: &mut [u32], depth: u32) -> Block {
        let along = usize::from(upright);
        let across = 1 - along;
        // Strips are laid along axis `along`, beside each other along axis `across`.
        let mut room = size[across];
        let mut parts: Vec<(i64, Block)> = Vec::new();
        while let Some((thickness, columns, times)) = self.strips(size[along], room, along, left) {
            for _ in 0..times {
                let before: Vec<u32> = left.to_vec();
                let mut strip_parts = self.columns(&columns, thickness, upright, left, depth);
                let used: i64 = strip_parts.iter().map(|(size, _)| size).sum();
                if used == 0 {
                    left.copy_from_slice(&before);
                    break;
                }
                let end = size[along] - used;
                let rest = self.waste(oriented(along, end, thickness), upright, left, depth);
                strip_parts.push((end, rest));
                parts.push((thickness, trimmed(!upright, strip_parts)));
                room -= thickness;
            }
        }
        let rest = self.waste(oriented(along, size[along], room), !upright, left, depth);
        parts.push((room, rest));
        trimmed(upright, parts)
    }

    /// What a piece of waste still takes.
    fn waste(&mut self, size: [i64; 2], upright: bool, left: &mut [u32], depth: u32) -> Block {
        let fits = |way: &super::boxes::Way| left[way.item] > 0 && way.size[0] <= size[0] && way.size[1] <= size[1];
        if depth >= DEPTH || !self.boxes.ways.iter().any(fits) {
            return Block::Waste;
        }
        self.fill(size, upright, left, depth + 1)
    }

    /// The columns of one strip as blocks, as far as there are pieces left for them.
    fn columns(
        &mut self,
        columns: &[Column],
        thickness: i64,
        upright: bool,
        left: &mut [u32],
        depth: u32,
    ) -> Vec<(i64, Block)> {
        let along = usize::from(upright);
        let mut parts = Vec::new();
        for column in columns {
            let way = self.boxes.ways[column.way];
            let high = column.high.min(left[way.item]);
            if high == 0 {
                continue;
            }
            left[way.item] -= high;
            let (width, height) = (way.size[along], way.size[1 - along]);
            let mut pile: Vec<(i64, Block)> = (0..high).map(|_| (height, Block::Piece(column.way))).collect();
            let rest = thickness - height * i64::from(high);
            let filled = self.waste(oriented(along, width, rest), !upright, left, depth);
            pile.push((rest, filled));
            parts.push((width, trimmed(upright, pile)));
        }
        parts
    }

    /// The best next strip for what is left: its thickness, its columns, and how many like it in
    /// a row. `None` where nothing fits.
    fn strips(&mut self, length: i64, room: i64, along: usize, left: &[u32]) -> Option<(i64, Vec<Column>, u32)> {
        let fits =
            |way: &&super::boxes::Way| left[way.item] > 0 && way.size[along] <= length && way.size[1 - along] <= room;
        let mut sizes: Vec<i64> = self.boxes.ways.iter().filter(fits).map(|way| way.size[1 - along]).collect();
        sizes.sort_unstable_by(|a, b| b.cmp(a));
        sizes.dedup();
        let strips: Vec<(i64, f64, Vec<Column>)> = sizes
            .into_iter()
            .map(|thickness| {
                let (value, columns) = self.strip(length, thickness, along, left);
                (thickness, value, columns)
            })
            .collect();
        // Strips together: as often as fits, for a strip's pieces may be had again.
        let choices: Vec<(i64, f64, u32)> = strips
            .iter()
            .map(|(thickness, value, columns)| (*thickness, *value, self.repeats(columns, left)))
            .collect();
        let (_, counts) = self.knapsack(room, &choices);
        let density = |&i: &usize| strips[i].1 / strips[i].0 as f64;
        let best = (0..strips.len()).filter(|&i| counts[i] > 0).max_by(|a, b| {
            // The densest, and of equally dense ones the thickest, which comes first.
            density(a).total_cmp(&density(b)).then(b.cmp(a))
        })?;
        let (thickness, _, columns) = strips[best].clone();
        Some((thickness, columns, counts[best]))
    }

    /// How often a strip can be had with what is left.
    fn repeats(&self, columns: &[Column], left: &[u32]) -> u32 {
        let mut used = vec![0_u32; left.len()];
        for column in columns {
            used[self.boxes.ways[column.way].item] += column.high;
        }
        used.iter().zip(left).filter(|(used, _)| **used > 0).map(|(used, left)| left / used).min().unwrap_or(0).max(1)
    }

    /// The columns of greatest value in a strip.
    fn strip(&mut self, length: i64, thickness: i64, along: usize, left: &[u32]) -> (f64, Vec<Column>) {
        let mut columns = Vec::new();
        let mut choices = Vec::new();
        for (index, way) in self.boxes.ways.iter().enumerate() {
            let (width, height) = (way.size[along], way.size[1 - along]);
            if left[way.item] == 0 || width > length || height > thickness {
                continue;
            }
            let high = u32::try_from(thickness / height).unwrap_or(u32::MAX).min(left[way.item]);
            columns.push(Column { way: index, high });
            choices.push((width, self.values[way.item] * f64::from(high), left[way.item].div_ceil(high)));
        }
        let (_, counts) = self.knapsack(length, &choices);
        // Two turns of one item share its copies, and a last column may be lower than the others.
        let mut spare = left.to_vec();
        let mut value = 0.0;
        let mut chosen = Vec::new();
        // Wide columns first: a strip is then easier to read.
        let mut order: Vec<usize> = (0..columns.len()).collect();
        order.sort_by_key(|&i| std::cmp::Reverse((columns[i].high, choices[i].0)));
        order.sort_by_key(|&i| {
            std::cmp::Reverse(self.boxes.ways[columns[i].way].size[1 - along] * i64::from(columns[i].high))
        });
        for i in order {
            let Column { way, high } = columns[i];
            let item = self.boxes.ways[way].item;
            for _ in 0..counts[i] {
                let high = high.min(spare[item]);
                if high > 0 {
                    spare[item] -= high;
                    value += self.values[item] * f64::from(high);
                    chosen.push(Column { way, high });
                }
            }
        }
        (value, chosen)
    }

    /// How often to take each of `choices` (size, value, how often at most) within `room` for the
    /// greatest value.
    fn knapsack(&mut self, room: i64, choices: &[(i64, f64, u32)]) -> (f64, Vec<u32>) {
        /// A state: what it took, and from which state it came.
        struct Node {
            from: usize,
            choice: usize,
            times: u32,
        }
        let mut nodes = vec![Node { from: 0, choice: 0, times: 0 }];
        // Size, value and node of each state that is worth keeping, by size.
        let mut states: Vec<(i64, f64, usize)> = vec![(0, 0.0, 0)];
        for (choice, &(size, value, most)) in choices.iter().enumerate() {
            let most = most.min(u32::try_from(room / size.max(1)).unwrap_or(u32::MAX));
            let mut merged = states.clone();
            for &(used, worth, from) in &states {
                for times in 1..=most {
                    let sum = used + size * i64::from(times);
                    if sum > room {
                        break;
                    }
                    self.looks += 1;
                    nodes.push(Node { from, choice, times });
                    merged.push((sum, worth + value * f64::from(times), nodes.len() - 1));
                }
            }
            states = thinned(merged);
        }
        let best = states.into_iter().max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let (_, value, mut node) = best.unwrap_or((0, 0.0, 0));
        let mut counts = vec![0; choices.len()];
        while node != 0 {
            let Node { from, choice, times } = nodes[node];
            counts[choice] += times;
            node = from;
        }
        (value, counts)
    }
}

/// States that no smaller one is worth more than; thinned to the most valuable of each stretch.
fn thinned(mut states: Vec<(i64, f64, usize)>) -> Vec<(i64, f64, usize)> {
    states.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
    let mut best = f64::NEG_INFINITY;
    states.retain(|state| {
        let keep = state.1 > best;
        best = best.max(state.1);
        keep
    });
    if states.len() <= KEPT {
        return states;
    }
    // The empty state and the largest stay; the others are taken evenly.
    let last = states.len() - 1;
    (0..KEPT).map(|i| states[i * last / (KEPT - 1)]).collect()
}

/// A size with its extents along and across in their places.
const fn oriented(along: usize, length: i64, thickness: i64) -> [i64; 2] {
    if along == 0 { [length, thickness] } else { [thickness, length] }
}

/// A row without waste at its end; a row of one block that fills it is still a row, for its block
/// may be larger.
fn trimmed(upright: bool, mut parts: Vec<(i64, Block)>) -> Block {
    while matches!(parts.last(), Some((_, Block::Waste))) {
        parts.pop();
    }
    if parts.is_empty() { Block::Waste } else { Block::Row { upright, parts } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Item, Job, SheetKind, Turns};
    use flatwright_geometry::contour::Contour;
    use flatwright_geometry::units::Mm;
    use kurbo::Rect;

    /// Against every choice of counts.
    #[test]
    fn a_knapsack_takes_the_most_valuable_choice() {
        let item = Item {
            name: "a".into(),
            outline: Contour::rectangle(Rect::new(0.0, 0.0, 1.0, 1.0)).unwrap(),
            copies: 1,
            turns: Turns::Fixed,
        };
        let sheet = SheetKind { name: "s".into(), free: Rect::new(0.0, 0.0, 9.0, 9.0), price: 1.0 };
        let job = Job::new(vec![item], vec![sheet], Mm::ZERO, 1, 0).unwrap();
        let boxes = Boxes::new(&job);
        let mut filler = Filler { boxes: &boxes, values: &[1.0], looks: 0 };
        let choices = [(31, 40.0, 2), (17, 21.0, 3), (12, 13.5, 4), (7, 6.0, 9)];
        for room in [5, 40, 64, 80, 100, 129] {
            let mut best = 0.0_f64;
            for counts in (0..3 * 4 * 5 * 10).map(|n| [n % 3, n / 3 % 4, n / 12 % 5, n / 60]) {
                let size: i64 = counts.iter().zip(choices).map(|(n, c)| i64::from(*n) * c.0).sum();
                let value: f64 = counts.iter().zip(choices).map(|(n, c)| f64::from(*n) * c.1).sum();
                if size <= room {
                    best = best.max(value);
                }
            }
            let (value, counts) = filler.knapsack(room, &choices);
            let size: i64 = counts.iter().zip(choices).map(|(n, c)| i64::from(*n) * c.0).sum();
            assert!(size <= room && counts.iter().zip(choices).all(|(n, c)| *n <= c.2));
            assert!((value - best).abs() < 1e-9, "room {room}: {value} of {best}");
        }
    }
}
