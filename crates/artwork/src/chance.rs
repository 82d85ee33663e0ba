//! Deterministic chance: the SplitMix64 generator (Steele, Lea and Flood 2014).

/// A stream of numbers that depends on its seed alone.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// A stream for a seed and what is to be drawn with it, such as a layer, a row and a stone.
    #[must_use]
    pub fn new(seed: u64, path: &[u64]) -> Self {
        let mut own = Self(seed);
        for step in path {
            own.0 = own.draw() ^ step.wrapping_mul(0xD6E8_FEB8_6659_FD93);
        }
        own
    }

    /// The next 64 bits.
    pub fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 to 1.
    pub fn part(&mut self) -> f64 {
        (self.draw() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: u32, high: u32) -> u32 {
        low + (self.draw() % u64::from(high.saturating_sub(low) + 1)) as u32
    }

    /// One of a list; `None` where it is empty.
    pub fn one_of<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        if list.is_empty() { None } else { list.get((self.draw() % list.len() as u64) as usize) }
    }
}
