//! Student's t distribution: how far an interval reaches when the scatter itself is estimated.

use fallaway_measure::Limit;
use std::f64::consts::FRAC_PI_2;

use crate::error::Result;

/// Panels of Simpson's rule.
const PANELS: u32 = 1000;

/// The t for which a share `coverage` of the distribution with `degrees` of freedom lies within
/// -t..t.
///
/// With `t = sqrt(nu) tan(theta)` the share is the integral of `cos(theta)^(nu - 1)` up to theta over
/// that up to pi/2 (W. S. Gosset, "The probable error of a mean", Biometrika 6 (1908) 1, from
/// memory); both by Simpson's rule, the inverse by halving.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::learn::student::two_sided;
/// assert!((two_sided(0.95, 4.0).unwrap() - 2.776).abs() < 1e-3);
/// ```
pub fn two_sided(coverage: f64, degrees: f64) -> Result<f64> {
    let coverage = Limit::Coverage.check(coverage)?;
    let nu = Limit::Degrees.check(degrees)?;
    // With many degrees the integrand lives near zero: integrate over its own width.
    let end = FRAC_PI_2.min(40.0 / nu.sqrt());
    let density = |v: f64| {
        let slope = 3.0 * end * (1.0 - v).powi(2);
        slope * theta(end, v).cos().max(0.0).powf(nu - 1.0)
    };
    let simpson = |from: f64, width: f64| {
        let middle = density(from + width / 2.0);
        width / 6.0 * (density(from) + 4.0 * middle + density(from + width))
    };
    let width = 1.0 / f64::from(PANELS);
    let panels: Vec<f64> = (0..PANELS).map(|i| simpson(width * f64::from(i), width)).collect();
    // The panel in which it lies, then halving within.
    let mut left = coverage * panels.iter().sum::<f64>();
    let mut from = 0.0;
    for panel in panels {
        if left <= panel {
            break;
        }
        left -= panel;
        from += width;
    }
    let (mut low, mut high) = (0.0, width);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if simpson(from, middle) < left {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(nu.sqrt() * theta(end, from + low).tan())
}

/// Theta as a function of v in 0..=1. Equal steps of v crowd together at the far end, because there
/// the integrand falls to zero with a vertical tangent when nu is between 1 and 2.
fn theta(end: f64, v: f64) -> f64 {
    end * (1.0 - (1.0 - v).powi(3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tabulated_quantiles() {
        // JCGM 100:2008 ("GUM"), table G.2, fractions p = 68.27, 95 and 99 percent, from memory.
        for (degrees, p, t) in [
            (1.0, 0.6827, 1.84),
            (1.0, 0.95, 12.71),
            (2.0, 0.95, 4.30),
            (3.0, 0.95, 3.18),
            (5.0, 0.99, 4.03),
            (10.0, 0.95, 2.23),
            (30.0, 0.95, 2.04),
            (1e6, 0.95, 1.960),
        ] {
            assert!((two_sided(p, degrees).unwrap() - t).abs() < 0.006, "{degrees} {p}");
        }
    }

    #[test]
    fn just_above_one_degree_is_as_good_as_at_one() {
        // With one degree half of the distribution lies within -1..1 (Cauchy's distribution).
        for degrees in [1.0, 1.0 + 1e-9, 1.0 + 1e-6] {
            assert!((two_sided(0.5, degrees).unwrap() - 1.0).abs() < 2e-6, "{degrees}");
        }
        // scipy 1.17.1, stats.t.ppf(0.875, 1.5).
        assert!((two_sided(0.75, 1.5).unwrap() - 1.823_059_090).abs() < 1e-6);
    }

    #[test]
    fn grows_with_coverage_and_falls_with_degrees() {
        for nu in [1.0, 2.5, 8.0, 100.0, 5000.0] {
            assert!(two_sided(0.9, nu).unwrap() < two_sided(0.95, nu).unwrap());
            assert!(two_sided(0.95, nu + 1.0).unwrap() < two_sided(0.95, nu).unwrap());
        }
    }
}
