//! Student's distribution, for how far a mean of few readings can be off.

/// The probability that the size of a value of Student's distribution stays below `t`, for `dof`
/// degrees of freedom. Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and
/// 26.7.4.
#[must_use]
pub fn within(t: f64, dof: usize) -> f64 {
    let angle = (t / (dof as f64).sqrt()).atan();
    let (sine, cosine) = angle.sin_cos();
    // The series begins with the first power of the cosine, odd or even as the degrees are.
    let odd = dof % 2 == 1;
    let mut term = if odd { cosine } else { 1.0 };
    let mut sum = if odd && dof == 1 { 0.0 } else { term };
    let mut step = if odd { 2.0 } else { 1.0 };
    while step + 2.0 < dof as f64 {
        term *= step / (step + 1.0) * cosine * cosine;
        sum += term;
        step += 2.0;
    }
    if odd { std::f64::consts::FRAC_2_PI * (angle + sine * sum) } else { sine * sum }
}

/// The `t` whose size is exceeded with probability `alarm`, by bisection.
#[must_use]
pub fn exceeded(alarm: f64, dof: usize) -> f64 {
    let dof = dof.max(1);
    let (mut low, mut high) = (0.0, 1e6);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if within(middle, dof) < 1.0 - alarm { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two-sided points of Student's distribution as every table has them (such as Abramowitz and
    /// Stegun, table 26.10).
    #[test]
    fn quantiles_agree_with_the_tables() {
        let table = [
            (0.05, 1, 12.706),
            (0.05, 2, 4.303),
            (0.05, 3, 3.182),
            (0.05, 4, 2.776),
            (0.05, 5, 2.571),
            (0.05, 6, 2.447),
            (0.05, 10, 2.228),
            (0.05, 30, 2.042),
            (0.01, 1, 63.657),
            (0.01, 4, 4.604),
            (0.01, 7, 3.499),
        ];
        for (alarm, dof, expected) in table {
            let found = exceeded(alarm, dof);
            assert!((found - expected).abs() < 6e-4, "{alarm} {dof}: {found} against {expected}");
        }
    }
}
