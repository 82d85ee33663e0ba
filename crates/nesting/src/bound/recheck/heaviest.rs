//! Whether a sheet may hold more than a given weight: all sets of pieces, gone through.

use crate::bound::Excluded;

use super::sizes::SHEET;

/// Sets that are looked at before it is given up.
const SETS: u64 = 30_000_000;

/// What is known of the pieces on one sheet; lists by class.
pub(super) struct Question<'a> {
    pub weights: &'a [u64],
    pub most: Vec<u64>,
    /// By measure: what is on a sheet sums to [`SHEET`] at most.
    pub sizes: Vec<Vec<u64>>,
    pub excluded: &'a [Excluded],
}

/// The answer.
pub(super) enum Found {
    Nothing,
    Weight(u64),
    TooMany,
}

impl Question<'_> {
    /// Whether any set that is not ruled out weighs more than `allowed`.
    pub(super) fn more_than(&self, allowed: u64) -> Found {
        let mut order: Vec<usize> =
            (0..self.weights.len()).filter(|&c| self.weights[c] > 0 && self.most[c] > 0).collect();
        // The heaviest first: what they leave is soon too little.
        order.sort_by_key(|&c| std::cmp::Reverse(self.weights[c]));
        let mut walk = Walk { question: self, allowed, order, counts: vec![0; self.weights.len()], sets: 0 };
        walk.step(0, 0, &vec![0; self.sizes.len()])
    }
}

struct Walk<'a> {
    question: &'a Question<'a>,
    allowed: u64,
    order: Vec<usize>,
    counts: Vec<u64>,
    sets: u64,
}

impl Walk<'_> {
    /// Chooses how many of the class at `depth`; `used` is what each measure has used up.
    fn step(&mut self, depth: usize, weight: u64, used: &[u64]) -> Found {
        self.sets += 1;
        if weight > self.allowed {
            return Found::Weight(weight);
        }
        if depth == self.order.len() || self.cannot_exceed(depth, weight, used) {
            return Found::Nothing;
        }
        if self.sets > SETS {
            return Found::TooMany;
        }
        let class = self.order[depth];
        let mut used = used.to_vec();
        let mut found = Found::Nothing;
        for count in 0..=self.question.most[class] {
            if count > 0 {
                for (used, sizes) in used.iter_mut().zip(&self.question.sizes) {
                    *used += sizes[class];
                }
            }
            self.counts[class] = count;
            // More of this class can only be ruled out all the more.
            if used.iter().any(|&used| used > SHEET) || self.ruled_out() {
                break;
            }
            found = self.step(depth + 1, weight + count * self.question.weights[class], &used);
            if !matches!(found, Found::Nothing) {
                break;
            }
        }
        self.counts[class] = 0;
        found
    }

    fn ruled_out(&self) -> bool {
        self.question.excluded.iter().any(|set| set.iter().all(|&(class, n)| self.counts[class] >= u64::from(n)))
    }

    /// Most copies of a class that no set rules out beside the counts of the classes before it.
    fn most(&self, class: usize, later: &[usize]) -> u64 {
        let mut most = self.question.most[class];
        for set in self.question.excluded {
            let others =
                set.iter().all(|&(c, n)| c == class || (!later.contains(&c) && self.counts[c] >= u64::from(n)));
            if let (true, Some(&(_, n))) = (others, set.iter().find(|(c, _)| *c == class)) {
                most = most.min(u64::from(n) - 1);
            }
        }
        most
    }

    /// Whether by some measure the rest of the sheet holds too little, pieces cut as one likes.
    fn cannot_exceed(&self, depth: usize, weight: u64, used: &[u64]) -> bool {
        let later = &self.order[depth..];
        let question = self.question;
        let rest: Vec<(usize, u64)> = later.iter().map(|&c| (c, self.most(c, later))).filter(|(_, n)| *n > 0).collect();
        let sum = |list: &[(usize, u64)]| list.iter().map(|&(c, n)| question.weights[c] as f64 * n as f64).sum::<f64>();
        let missing = (self.allowed - weight) as f64;
        if sum(&rest) <= missing {
            return true;
        }
        question.sizes.iter().zip(used).any(|(sizes, &used)| {
            let mut rest = rest.clone();
            rest.sort_by(|&(a, _), &(b, _)| {
                let worth = |c: usize| question.weights[c] as f64 / sizes[c] as f64;
                worth(b).total_cmp(&worth(a))
            });
            let (mut room, mut more) = ((SHEET - used) as f64, 0.0);
            for (c, n) in rest {
                let (size, weight) = (sizes[c] as f64, question.weights[c] as f64);
                let n = if size > 0.0 { (n as f64).min(room / size) } else { n as f64 };
                more += n * weight;
                room -= n * size;
            }
            // Weights are whole, and so far below 2^53 that the sum is off by less than a part.
            more < missing + 0.5
        })
    }
}
