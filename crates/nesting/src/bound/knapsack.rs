//! The most valuable set of pieces that the known limits of one sheet admit.

/// What is known of one sheet kind: nothing that lies on one sheet exceeds any of these.
#[derive(Clone, Debug, Default)]
pub(super) struct Limits {
    /// Most copies of each class.
    pub most: Vec<u32>,
    /// Sizes of each class, by measure; those of the pieces on a sheet sum to at most [`WHOLE`].
    pub sizes: Vec<Vec<u64>>,
    /// Sets of which no sheet holds all: (class, count).
    pub excluded: Vec<Vec<(usize, u32)>>,
}

/// A whole sheet in the units of sizes.
pub(super) const WHOLE: u64 = 1 << 32;

impl Limits {
    pub(super) fn admits(&self, counts: &[u32]) -> bool {
        counts.iter().zip(&self.most).all(|(n, most)| n <= most)
            && self
                .sizes
                .iter()
                .all(|sizes| sizes.iter().zip(counts).map(|(s, n)| s * u64::from(*n)).sum::<u64>() <= WHOLE)
            && !self.excluded.iter().any(|set| set.iter().all(|&(class, n)| counts[class] >= n))
    }
}

/// An answer of [`most`].
#[derive(Clone, Debug)]
pub(super) struct Most {
    pub counts: Vec<u32>,
    /// Their value.
    pub value: u64,
    /// No admitted set is worth more.
    pub ceiling: u64,
}

/// The set of greatest value, by branch and bound over the classes; at most `nodes` are looked at
/// (they are taken off), after which the ceiling is no longer met by a set.
pub(super) fn most(limits: &Limits, values: &[u64], nodes: &mut u64) -> Most {
    let classes = values.len();
    let mut order: Vec<usize> = (0..classes).filter(|&c| limits.most[c] > 0 && values[c] > 0).collect();
    let largest = |c: usize| limits.sizes.iter().map(|sizes| sizes[c]).max().unwrap_or(0);
    order.sort_by_key(|&c| (std::cmp::Reverse(largest(c)), c));
    let by_worth = limits
        .sizes
        .iter()
        .map(|sizes| {
            let mut by_worth = order.clone();
            by_worth.sort_by(|&a, &b| {
                let (x, y) =
                    (u128::from(values[a]) * u128::from(sizes[b]), u128::from(values[b]) * u128::from(sizes[a]));
                y.cmp(&x).then(a.cmp(&b))
            });
            by_worth
        })
        .collect();
    let mut search = Search {
        limits,
        values,
        order,
        by_worth,
        counts: vec![0; classes],
        best: Most { counts: vec![0; classes], value: 0, ceiling: 0 },
        nodes: *nodes,
    };
    let room = vec![WHOLE; limits.sizes.len()];
    let mut left = limits.most.clone();
    for set in limits.excluded.iter().filter(|set| set.len() == 1) {
        left[set[0].0] = left[set[0].0].min(set[0].1 - 1);
    }
    search.descend(0, 0, &room, &left);
    *nodes = search.nodes;
    search.best.ceiling = search.best.ceiling.max(search.best.value);
    search.best
}

struct Search<'a> {
    limits: &'a Limits,
    values: &'a [u64],
    order: Vec<usize>,
    /// Classes by falling value for their size, by measure.
    by_worth: Vec<Vec<usize>>,
    counts: Vec<u32>,
    best: Most,
    nodes: u64,
}

impl Search<'_> {
    /// `left` says how many more of each class may come.
    fn descend(&mut self, depth: usize, value: u64, room: &[u64], left: &[u32]) {
        if value > self.best.value {
            self.best.value = value;
            self.best.counts.clone_from(&self.counts);
        }
        let Some(&class) = self.order.get(depth) else { return };
        let ceiling = value + self.ceiling(room, left);
        if ceiling <= self.best.value {
            return;
        }
        if self.nodes == 0 {
            self.best.ceiling = self.best.ceiling.max(ceiling);
            return;
        }
        self.nodes -= 1;
        let fits = room.iter().zip(&self.limits.sizes).filter(|(_, s)| s[class] > 0).map(|(r, s)| r / s[class]).min();
        let most = left[class].min(fits.unwrap_or(u64::MAX).min(u64::from(u32::MAX)) as u32);
        for count in (0..=most).rev() {
            self.counts[class] = count;
            let room: Vec<u64> =
                room.iter().zip(&self.limits.sizes).map(|(r, s)| r - s[class] * u64::from(count)).collect();
            let mut left = left.to_vec();
            left[class] = 0;
            if count > 0 {
                self.tighten(class, &mut left);
            }
            self.descend(depth + 1, value + self.values[class] * u64::from(count), &room, &left);
        }
        self.counts[class] = 0;
    }

    /// Where all but one class of an excluded set are there, that one stays short of its count.
    fn tighten(&self, class: usize, left: &mut [u32]) {
        for set in &self.limits.excluded {
            if !set.iter().any(|&(c, n)| c == class && self.counts[c] >= n) {
                continue;
            }
            let mut missing = set.iter().filter(|&&(c, n)| self.counts[c] < n);
            if let (Some(&(c, n)), None) = (missing.next(), missing.next()) {
                left[c] = left[c].min(n - 1 - self.counts[c]);
            }
        }
    }

    /// The value of the classes left, cut to fill the room of each measure: the least of them.
    fn ceiling(&self, room: &[u64], left: &[u32]) -> u64 {
        let all = || self.order.iter().map(|&c| self.values[c] * u64::from(left[c])).sum();
        let cut = |(measure, by_worth): (usize, &Vec<usize>)| {
            let (mut room, sizes) = (room[measure], &self.limits.sizes[measure]);
            let mut value = 0;
            for &c in by_worth.iter().filter(|&&c| left[c] > 0) {
                let size = sizes[c] * u64::from(left[c]);
                if size > room {
                    let part = u128::from(self.values[c]) * u128::from(room) / u128::from(sizes[c]);
                    return value + part as u64;
                }
                value += self.values[c] * u64::from(left[c]);
                room -= size;
            }
            value
        };
        self.by_worth.iter().enumerate().map(cut).min().unwrap_or_else(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_counts_and_excluded_sets_all_hold() {
        let limits = Limits {
            most: vec![3, 9, 9],
            sizes: vec![vec![WHOLE / 3, WHOLE / 5, WHOLE / 10]],
            excluded: vec![vec![(0, 2)], vec![(0, 1), (1, 2)]],
        };
        let mut nodes = u64::MAX;
        let found = most(&limits, &[40, 22, 10], &mut nodes);
        assert_eq!((found.value, found.ceiling), (110, 110));
        // Three of the first would be worth most without the first set.
        let alone = Limits { excluded: Vec::new(), ..limits.clone() };
        assert_eq!(most(&alone, &[40, 22, 10], &mut u64::MAX.clone()).value, 120);
        let few = Limits { excluded: vec![vec![(1, 3)]], ..limits.clone() };
        assert_eq!(most(&few, &[0, 22, 0], &mut u64::MAX.clone()).value, 44);
        assert!(limits.admits(&found.counts) && !limits.admits(&[2, 0, 0]) && !limits.admits(&[1, 2, 0]));
    }

    #[test]
    fn a_search_cut_short_keeps_a_true_ceiling() {
        let limits = Limits {
            most: vec![9; 6],
            sizes: vec![vec![1_900_000_007, 1_300_000_003, 900_000_001, 700_000_013, 300_000_007, 190_000_003]],
            excluded: Vec::new(),
        };
        let values = [1010, 690, 470, 380, 155, 100];
        let exact = most(&limits, &values, &mut u64::MAX.clone());
        for budget in 0..40 {
            let cut = most(&limits, &values, &mut budget.clone());
            assert!(cut.value <= exact.value && exact.value <= cut.ceiling);
        }
    }
}
