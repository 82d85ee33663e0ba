//! What a bound rests on, so that others can check it.

use kurbo::Rect;

use super::dual::DualFunction;

/// A size of the pieces whose sum no sheet exceeds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// The outline grown by half the gap, as a part of the free area grown likewise.
    Area,
    /// The product of two functions' images of the inner rectangle's width and height, as parts of
    /// the free area's; the least over the turns in which the rectangle fits.
    Product(DualFunction, DualFunction),
}

/// Pieces that do not fit on one sheet together: (class, count), each class once.
pub type Excluded = Vec<(usize, u32)>;

/// What is known of one sheet kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limits {
    /// Measures that count.
    pub measures: Vec<Measure>,
    /// Sets of pieces of which no sheet holds all.
    pub excluded: Vec<Excluded>,
}

/// Whole-number weights of the classes and the most that a sheet holds of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weights {
    /// The weight of one piece, by class.
    pub of_class: Vec<u64>,
    /// What the pieces on one sheet weigh at most, by sheet kind.
    pub most: Vec<u64>,
    /// What all pieces of the job weigh.
    pub total: u128,
}

/// The proof of a [`super::Bound`]: what all pieces weigh, and what a sheet can hold of that.
///
/// Classes are items of one outline and the same turns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Certificate {
    /// Indices of the job's items, by class.
    pub classes: Vec<Vec<usize>>,
    /// The name of the first item of each class.
    pub names: Vec<String>,
    /// A rectangle within the outline of the first item of each class, in its coordinates.
    pub inner: Vec<Rect>,
    /// What is known of each sheet kind.
    pub limits: Vec<Limits>,
    /// Weights that prove the number of sheets.
    pub sheets: Weights,
    /// Weights that prove the price, where sheets differ in price; else none.
    pub price: Option<Weights>,
}

/// Sets named in the sentence at most.
const NAMED: usize = 3;

impl std::fmt::Display for Certificate {
    /// One sentence with its numbers.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let most = self.sheets.most.iter().copied().max().unwrap_or(0);
        if most == 0 {
            return write!(f, "there is nothing to place");
        }
        let ratio = |weight: f64| weight / most as f64;
        write!(f, "the pieces weigh {:.3} sheets' worth", ratio(self.sheets.total as f64))?;
        let mut heavy: Vec<usize> = (0..self.names.len()).filter(|&c| self.sheets.of_class[c] > 0).collect();
        heavy.sort_by_key(|&c| std::cmp::Reverse(self.sheets.of_class[c]));
        for (i, &c) in heavy.iter().take(NAMED).enumerate() {
            let sign = if i == 0 { " (" } else { ", " };
            write!(f, "{sign}\"{}\" {:.4}", self.names[c], ratio(self.sheets.of_class[c] as f64))?;
        }
        write!(f, "{}), and no sheet holds more than 1", if heavy.len() > NAMED { ", ..." } else { "" })?;
        let measures = || self.limits.iter().flat_map(|limits| &limits.measures);
        let products = measures().filter(|measure| **measure != Measure::Area).count();
        let sets: Vec<&Excluded> = self.limits.iter().flat_map(|limits| &limits.excluded).collect();
        let mut reasons = Vec::new();
        if measures().any(|measure| *measure == Measure::Area) {
            reasons.push("its area".to_string());
        }
        if products > 0 {
            reasons.push(plural(products, "dual feasible bound"));
        }
        if !sets.is_empty() {
            reasons.push(format!("{} that no sheet holds", plural(sets.len(), "set")));
        }
        for (i, reason) in reasons.iter().enumerate() {
            write!(f, "{}{reason}", if i == 0 { ": " } else { ", " })?;
        }
        for (i, set) in sets.iter().take(NAMED).enumerate() {
            write!(f, "{}", if i == 0 { " (" } else { "; " })?;
            for (j, &(class, count)) in set.iter().enumerate() {
                let sign = if j == 0 { "" } else { " + " };
                write!(f, "{sign}{count} \"{}\"", self.names[class])?;
            }
        }
        match sets.len() {
            0 => Ok(()),
            n if n > NAMED => write!(f, "; ...)"),
            _ => write!(f, ")"),
        }
    }
}

fn plural(count: usize, of: &str) -> String {
    format!("{count} {of}{}", if count == 1 { "" } else { "s" })
}

impl Certificate {
    /// The number of sheets that the weights prove.
    pub(super) fn least_sheets(&self) -> u64 {
        match self.sheets.most.iter().max() {
            Some(&most) if most > 0 => {
                let whole = u64::try_from(self.sheets.total.div_ceil(u128::from(most))).unwrap_or(0);
                whole.max(u64::from(!self.classes.is_empty()))
            }
            _ => u64::from(!self.classes.is_empty()),
        }
    }

    /// The price that the weights prove, for sheets of these prices.
    pub(super) fn least_price(&self, prices: &[f64]) -> f64 {
        let cheapest = prices.iter().copied().fold(f64::INFINITY, f64::min);
        let by_number = self.least_sheets() as f64 * cheapest;
        let by_weight = |weights: &Weights| {
            let rates = prices.iter().zip(&weights.most).filter(|(_, most)| **most > 0).map(|(p, m)| p / *m as f64);
            let rate = rates.fold(f64::INFINITY, f64::min);
            if rate.is_finite() { weights.total as f64 * rate * (1.0 - 1e-12) } else { 0.0 }
        };
        self.price.as_ref().map_or(by_number, |weights| by_number.max(by_weight(weights)))
    }
}
