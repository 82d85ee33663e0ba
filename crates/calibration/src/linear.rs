//! Ordinary least squares by the normal equations: a handful of unknowns, well scaled.
//!
//! Source: Press et al., Numerical Recipes, section 15.4 (general linear least squares) and 2.9
//! (Cholesky decomposition).

/// Below this share of its column's own sum of squares, what a column adds to those before it is
/// rounding: the readings do not tell that unknown from the others.
const SINGULAR: f64 = 1e-9;

/// The solution of a least-squares problem.
#[derive(Clone, Debug)]
pub(crate) struct Solution {
    /// The unknowns.
    pub x: Vec<f64>,
    /// The inverse of the normal matrix: times the variance of an observation, the covariance of
    /// the unknowns.
    pub cofactor: Vec<Vec<f64>>,
}

impl Solution {
    /// The cofactor of a linear function of the unknowns.
    pub fn cofactor_of(&self, row: &[f64]) -> f64 {
        let inner = |line: &Vec<f64>| line.iter().zip(row).map(|(c, r)| c * r).sum::<f64>();
        self.cofactor.iter().zip(row).map(|(line, r)| r * inner(line)).sum()
    }
}

/// The unknowns that bring `rows` times them nearest to `right`. `None` where the rows do not tell
/// all of them.
pub(crate) fn solve(rows: &[Vec<f64>], right: &[f64]) -> Option<Solution> {
    let n = rows.first()?.len();
    let normal: Vec<Vec<f64>> =
        (0..n).map(|i| (0..n).map(|j| rows.iter().map(|row| row[i] * row[j]).sum()).collect()).collect();
    let moment: Vec<f64> = (0..n).map(|i| rows.iter().zip(right).map(|(row, y)| row[i] * y).sum()).collect();
    let lower = cholesky(&normal)?;
    let unit = |i: usize| (0..n).map(|j| if i == j { 1.0 } else { 0.0 }).collect::<Vec<f64>>();
    Some(Solution { x: substitute(&lower, &moment), cofactor: (0..n).map(|i| substitute(&lower, &unit(i))).collect() })
}

/// The lower triangle whose product with its transpose is `matrix`.
fn cholesky(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let mut lower = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = matrix[i][j] - sum;
            if i == j {
                // Written so that what is not a number is refused too.
                let enough = rest > SINGULAR * matrix[i][i] && rest.is_finite();
                if !enough {
                    return None;
                }
                lower[i][i] = rest.sqrt();
            } else {
                lower[i][j] = rest / lower[j][j];
            }
        }
    }
    Some(lower)
}

/// Forward and back substitution.
fn substitute(lower: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let n = right.len();
    let mut x = right.to_vec();
    for i in 0..n {
        let sum: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (x[i] - sum) / lower[i][i];
    }
    for i in (0..n).rev() {
        let sum: f64 = (i + 1..n).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - sum) / lower[i][i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The straight line y = 1 + 2 t through three points, and its cofactors by hand: with t = 0, 1, 2
    /// the normal matrix is [[3, 3], [3, 5]], its inverse [[5, -3], [-3, 3]] / 6.
    #[test]
    fn a_line_is_found_with_its_cofactors() {
        let rows: Vec<Vec<f64>> = [0.0, 1.0, 2.0].into_iter().map(|t| vec![1.0, t]).collect();
        let found = solve(&rows, &[1.0, 3.0, 5.0]).unwrap();
        approx::assert_relative_eq!(found.x[0], 1.0, epsilon = 1e-12);
        approx::assert_relative_eq!(found.x[1], 2.0, epsilon = 1e-12);
        for (i, j, expected) in [(0, 0, 5.0 / 6.0), (0, 1, -0.5), (1, 1, 0.5)] {
            approx::assert_relative_eq!(found.cofactor[i][j], expected, epsilon = 1e-12);
        }
        approx::assert_relative_eq!(found.cofactor_of(&[1.0, 1.0]), 1.0 / 3.0, epsilon = 1e-12);
    }

    #[test]
    fn columns_that_cannot_be_told_apart_are_refused() {
        assert!(solve(&[vec![1.0, 2.0], vec![2.0, 4.0]], &[1.0, 2.0]).is_none());
        assert!(solve(&[vec![f64::NAN]], &[1.0]).is_none());
        assert!(solve(&[], &[]).is_none());
    }
}
