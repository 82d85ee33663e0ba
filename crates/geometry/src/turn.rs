//! Quarter turns of the plane without the noise of a sine and a cosine.

use kurbo::Affine;

/// The turn counterclockwise about the origin by quarter turns (counted modulo 4), its
/// coefficients exactly -1, 0 and 1.
#[must_use]
pub const fn quarter(turns: u32) -> Affine {
    match turns % 4 {
        0 => Affine::IDENTITY,
        1 => Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]),
        2 => Affine::new([-1.0, 0.0, 0.0, -1.0, 0.0, 0.0]),
        _ => Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against kurbo's own rotation.
    #[test]
    fn quarters_turn_counterclockwise() {
        for turns in 0..9 {
            let rotation = Affine::rotate(f64::from(turns) * std::f64::consts::FRAC_PI_2);
            for (ours, theirs) in quarter(turns).as_coeffs().into_iter().zip(rotation.as_coeffs()) {
                approx::assert_abs_diff_eq!(ours, theirs, epsilon = 1e-12);
            }
        }
    }
}
