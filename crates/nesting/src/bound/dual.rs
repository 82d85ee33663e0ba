//! Dual feasible functions, and the sizes that they and the area give to the pieces.
//!
//! A function f from 0..1 to 0..1 is dual feasible where numbers that sum to at most 1 have images
//! that do. Boxes that fit a box of 1 x 1 without overlap have sides such that the products
//! f(width) g(height) sum to at most 1, for any two such functions: S. P. Fekete and J. Schepers,
//! "A general framework for bounds for higher-dimensional orthogonal packing problems", Math.
//! Meth. Oper. Res. 60 (2004) 311-329. The functions are theirs (after Lueker); see also M. A.
//! Boschetti and A. Mingozzi, 4OR 1 (2003) 27-42, and J. Carlier, F. Clautiaux and A. Moukrim,
//! Comput. Oper. Res. 34 (2007) 2223-2250. All of them rise, so a side may be counted shorter than
//! it is.

/// A dual feasible function of a length between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DualFunction {
    /// The length itself.
    Length,
    /// Lengths above 1 - e count as 1, those below e as 0 (0 < e <= 1/2).
    Threshold(f64),
    /// Rounds down to a multiple of 1/k where it is not a multiple of 1/(k + 1).
    Steps(u32),
    /// Whole multiples of e: rounded down below 1/2, up above (0 < e <= 1/2).
    Multiples(f64),
}

impl DualFunction {
    /// The image of `x`, at most; `x` is 0 to 1.
    pub(super) fn of(self, x: f64) -> f64 {
        match self {
            Self::Length => x,
            Self::Threshold(e) if x > 1.0 - e => 1.0,
            Self::Threshold(e) if x < e => 0.0,
            Self::Threshold(_) => x,
            Self::Steps(k) => {
                let k = f64::from(k);
                let scaled = (k + 1.0) * x;
                // A multiple of 1/(k + 1) maps to itself, which is less than what its neighbours
                // above map to: so near one, the image of what lies below is the safe one.
                if (scaled - scaled.round()).abs() < 1e-9 {
                    ((scaled.round() - 1.0) / k).max(0.0)
                } else {
                    scaled.floor() / k
                }
            }
            Self::Multiples(e) => {
                let whole = (1.0 / e).floor();
                if (x - 0.5).abs() < 1e-12 {
                    ((x / e) * (1.0 - 1e-12)).floor() / whole
                } else if x > 0.5 {
                    1.0 - ((1.0 - x) / e * (1.0 + 1e-12)).floor() / whole
                } else {
                    (x / e * (1.0 - 1e-12)).floor() / whole
                }
            }
        }
    }
}

impl std::fmt::Display for DualFunction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Length => write!(f, "length"),
            Self::Threshold(e) => write!(f, "threshold {e:.3}"),
            Self::Steps(k) => write!(f, "steps {k}"),
            Self::Multiples(e) => write!(f, "multiples of {e:.3}"),
        }
    }
}

/// A box as parts of the sheet's sides, in the turns in which it fits.
pub(super) type Box2 = Vec<[f64; 2]>;

/// Pairs of functions by the sum of the sizes that they give to all pieces, best first, at most
/// `keep`. `budget` bounds the sizes worked out.
pub(super) fn best(boxes: &[(Box2, u64)], keep: usize, budget: u64) -> Vec<(DualFunction, DualFunction)> {
    let turned = boxes.iter().any(|(turns, _)| turns.len() > 1);
    let lists = [0, 1].map(|axis| {
        let lengths = boxes.iter().flat_map(|(turns, _)| turns.iter().map(move |t| t[axis])).collect();
        candidates(lengths, ((budget / boxes.len().max(1) as u64) as f64).sqrt() as usize)
    });
    let mut found: Vec<(f64, usize, usize)> = Vec::new();
    for (i, &f) in lists[0].iter().enumerate() {
        for (j, &g) in lists[1].iter().enumerate() {
            // With quarter turns on a square sheet the two directions are alike.
            if turned && lists[0].len() == lists[1].len() && j < i && lists[0][j] == g && lists[1][i] == f {
                continue;
            }
            let total: f64 = boxes.iter().map(|(turns, copies)| size(turns, f, g) * *copies as f64).sum();
            found.push((total, i, j));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    found.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-12 * b.0);
    found.into_iter().take(keep).map(|(_, i, j)| (lists[0][i], lists[1][j])).collect()
}

/// The part of a sheet that a box counts for: the least over its turns.
pub(super) fn size(turns: &[[f64; 2]], f: DualFunction, g: DualFunction) -> f64 {
    let size = turns.iter().map(|t| f.of(t[0]) * g.of(t[1])).fold(f64::INFINITY, f64::min);
    if size.is_finite() { size } else { 0.0 }
}

/// Functions that change at one of the lengths, about `limit` of them.
fn candidates(lengths: Vec<f64>, limit: usize) -> Vec<DualFunction> {
    let mut at: Vec<f64> = lengths
        .into_iter()
        .flat_map(|x| [x, x * (1.0 + 1e-9), 1.0 - x, (1.0 - x) * (1.0 + 1e-9)])
        .filter(|e| *e > 0.005 && *e <= 0.5)
        .collect();
    at.sort_by(f64::total_cmp);
    at.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
    let step = (2 * at.len()).div_ceil(limit.saturating_sub(12).max(8)).max(1);
    let mut all = vec![DualFunction::Length];
    all.extend((1..10).map(DualFunction::Steps));
    all.extend(at.iter().step_by(step).flat_map(|&e| [DualFunction::Threshold(e), DualFunction::Multiples(e)]));
    // Just above one half: whatever is longer counts whole.
    all.push(DualFunction::Threshold(0.5));
    all
}
