//! The normal distribution function, the same on every device.

use std::f64::consts::FRAC_1_SQRT_2;

/// The probability that a standard normal variable lies below `z`: `erfc(-z/sqrt(2))/2` (NIST Digital Library of
/// Mathematical Functions, 7.2.2), also far out in its tails.
pub(crate) fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The probability that it lies between the two; to 1e-9, and cheap where next to all or nothing does.
pub(crate) fn between(low: f64, high: f64) -> f64 {
    const FAR: f64 = 6.0;
    if low > FAR || high < -FAR {
        return 0.0;
    }
    let above = if high > FAR { 1.0 } else { below(high) };
    above - if low < -FAR { 0.0 } else { below(low) }
}

#[cfg(test)]
mod tests {
    use super::{below, between};

    #[test]
    fn between_is_the_difference() {
        for (low, high) in
            [(-1.0, 1.0), (-9.0, 0.5), (5.9, 6.1), (-7.0, 7.0), (6.5, 8.0), (-8.0, -6.5)]
        {
            assert!((between(low, high) - (below(high) - below(low))).abs() < 2e-9, "{low} {high}");
        }
        assert_eq!(between(f64::NEG_INFINITY, f64::INFINITY), 1.0);
    }

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
