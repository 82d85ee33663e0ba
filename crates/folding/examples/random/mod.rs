//! Numbers that are the same everywhere.

#![allow(dead_code, reason = "each example needs some of it")]

use flatwright_geometry::units::Mm;

/// Prints a line for each of COUNT seeds from SEED on, the program's two arguments.
pub fn print_each<T: std::fmt::Display>(one: impl Fn(u64) -> T) {
    let mut numbers = std::env::args().skip(1).map(|text| text.parse::<u64>().unwrap_or(1));
    let (count, seed) = (numbers.next().unwrap_or(10), numbers.next().unwrap_or(1));
    for seed in seed..seed + count {
        println!("{}", one(seed));
    }
}

/// The SplitMix64 generator (G. L. Steele, D. Lea, C. H. Flood, 2014), with its published constants.
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 up to `end`, without it.
    pub fn below(&mut self, end: u64) -> u64 {
        self.next() % end
    }

    /// A number from 0 to 1, without 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// The same as an index.
    pub fn index(&mut self, end: u64) -> usize {
        usize::try_from(self.below(end)).unwrap_or(0)
    }

    /// A length on a grid of 0.05 mm, so that what shares space does so by more than noise.
    pub fn between(&mut self, from: f64, to: f64) -> Mm {
        let steps = ((to - from) * 20.0) as u64;
        Mm::new(from + self.below(steps + 1) as f64 / 20.0)
    }

    /// One of some numbers.
    pub fn one(&mut self, values: &[f64]) -> f64 {
        values[self.index(values.len() as u64)]
    }

    /// One of some lengths, mm.
    pub fn of(&mut self, values: &[f64]) -> Mm {
        Mm::new(self.one(values))
    }
}
