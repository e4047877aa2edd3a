//! The normal distribution function, the same on every device.

use std::f64::consts::FRAC_1_SQRT_2;

/// The probability that a standard normal variable lies below `z`: `erfc(-z/sqrt(2))/2` (NIST Digital Library of
/// Mathematical Functions, 7.2.2), also far out in its tails.
pub(crate) fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::below;

    #[test]
    fn it_has_its_tabulated_values() {
        // M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), table 26.1; from memory.
        for (z, p) in [
            (0.0, 0.5),
            (0.5, 0.691_462_461_3),
            (1.0, 0.841_344_746_1),
            (1.96, 0.975_002_104_9),
            (3.0, 0.998_650_102_0),
        ] {
            assert!((below(z) - p).abs() < 1e-9, "{z}: {}", below(z));
            assert!((below(-z) - (1.0 - p)).abs() < 1e-9, "-{z}: {}", below(-z));
        }
        // Far out it keeps its digits: 2.866515719e-7 at -5 (from memory).
        assert!((below(-5.0) / 2.866_515_719e-7 - 1.0).abs() < 1e-8, "{}", below(-5.0));
    }
}
