//! Linear regression with independent, weak normal priors and a scatter that is learned.
//!
//! # Model
//!
//! `y_i = x_i . beta + e_i`, `e_i` normal with variance `s^2 u_i^2`, u the stated standard
//! uncertainty of the observation; `beta_k` normal about its prior mean with variance
//! `s^2 sd_k^2`; `1/s^2` gamma-distributed with mean 1 and [`PRIOR_DEGREES`] degrees of freedom. So s
//! says by how much the record scatters more (or less) than its readings claim. Conjugate, hence
//! exact: the posterior of beta is Student-t with `PRIOR_DEGREES + n` degrees (A. Gelman and others,
//! "Bayesian Data Analysis", section on conjugate linear regression, from memory).

use fallaway_measure::Limit;
use nalgebra::{DMatrix, DVector};

use super::student::two_sided;
use crate::error::{Error, Result};

/// How many readings' worth of trust the stated uncertainties get: 4 (a choice).
pub const PRIOR_DEGREES: f64 = 4.0;

/// What is thought of a coefficient before the record is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficient {
    /// What is taken for it before any data, in the unit of the data.
    pub mean: f64,
    /// Prior standard deviation, above 0.
    pub standard_deviation: f64,
}

/// One row of the data.
#[derive(Debug, Clone, PartialEq)]
pub struct DataPoint {
    /// What each coefficient is multiplied by.
    pub x: Vec<f64>,
    /// What was read.
    pub y: f64,
    /// Its standard uncertainty, above 0.
    pub standard_uncertainty: f64,
}

/// What the record teaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Regression {
    mean: DVector<f64>,
    /// Scale matrix of the posterior, s^2 included.
    scale: DMatrix<f64>,
    /// Posterior scatter over stated uncertainty, squared.
    s2: f64,
    degrees: f64,
}

/// A prediction and its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// Middle, in the unit of the data.
    pub value: f64,
    /// Lower end of the interval asked for.
    pub low: f64,
    /// Upper end of the interval asked for.
    pub high: f64,
}

/// Posterior of the coefficients after the points; without any, the prior.
///
/// # Errors
///
/// [`Error::TooFew`] without coefficients; [`Error::CountMismatch`] when an observation has another
/// count; [`Error::Outside`]; [`Error::Undetermined`] when the numbers are too unlike in size to be
/// solved.
///
/// ```
/// use fallaway_mechanics::learn::{Coefficient, DataPoint, regress};
/// let weak = Coefficient { mean: 0.0, standard_deviation: 10.0 };
/// let seen: Vec<_> = [(0.0, 1.0), (1.0, 3.0), (2.0, 5.0)]
///     .map(|(x, y)| DataPoint { x: vec![1.0, x], y, standard_uncertainty: 0.1 })
///     .into();
/// let line = regress(&[weak, weak], &seen).unwrap();
/// assert!((line.mean(1).unwrap() - 2.0).abs() < 0.01);
/// ```
pub fn regress(prior: &[Coefficient], points: &[DataPoint]) -> Result<Regression> {
    let p = prior.len();
    if p == 0 {
        return Err(Error::TooFew { quantity: "coefficients", given: 0, needed: 1 });
    }
    Limit::Coefficients.check_count(p)?;
    Limit::DataPoints.check_count(points.len())?;
    let mut precision = DMatrix::zeros(p, p);
    let mut right = DVector::zeros(p);
    let mut prior_mean = DVector::zeros(p);
    let mut square = 0.0;
    for (k, c) in prior.iter().enumerate() {
        let mean = Limit::DataValue.check(c.mean)?;
        let sd = Limit::DataUncertainty.check(c.standard_deviation)?;
        let weight = sd.powi(-2);
        if let (Some(diagonal), Some(m), Some(r)) =
            (precision.get_mut((k, k)), prior_mean.get_mut(k), right.get_mut(k))
        {
            *diagonal = weight;
            *m = mean;
            *r = weight * mean;
        }
        square += weight * mean * mean;
    }
    for o in points {
        if o.x.len() != p {
            return Err(Error::CountMismatch {
                quantity: "values of an observation",
                given: o.x.len(),
                expected: p,
            });
        }
        for x in &o.x {
            Limit::DataValue.check(*x)?;
        }
        let y = Limit::DataValue.check(o.y)?;
        let u = o.standard_uncertainty;
        let weight = Limit::DataUncertainty.check(u)?.powi(-2);
        let x = DVector::from_column_slice(&o.x);
        precision += weight * &x * x.transpose();
        right += weight * y * &x;
        square += weight * y * y;
    }
    let solver = precision.clone().cholesky().ok_or(UNSOLVED)?;
    let mean = solver.solve(&right);
    let covariance = solver.inverse();
    // What the posterior leaves unexplained, prior pulls included; rounding may make it negative.
    let left = (square - mean.dot(&right)).max(0.0);
    let degrees = PRIOR_DEGREES + points.len() as f64;
    let s2 = (PRIOR_DEGREES + left) / degrees;
    if !s2.is_finite() || mean.iter().chain(covariance.iter()).any(|v| !v.is_finite()) {
        return Err(UNSOLVED);
    }
    Ok(Regression { mean, scale: covariance * s2, s2, degrees })
}

const UNSOLVED: Error = Error::Undetermined {
    what: "regression",
    reason: "the values are too unlike in size; give them in units that make them comparable",
};

impl Regression {
    /// Posterior mean of a coefficient; `None` when there is no such coefficient.
    ///
    /// ```
    /// use fallaway_mechanics::learn::{Coefficient, DataPoint, regress};
    /// let prior = Coefficient { mean: 0.0, standard_deviation: 1.0 };
    /// let seen = DataPoint { x: vec![1.0], y: 0.5, standard_uncertainty: 1.0 };
    /// let r = regress(&[prior], &[seen]).unwrap();
    /// // Halfway between prior and reading, both equally sure.
    /// assert!((r.mean(0).unwrap() - 0.25).abs() < 1e-12);
    /// assert_eq!(r.mean(1), None);
    /// assert_eq!(r.degrees(), 5.0);
    /// let sd = r.standard_deviation(0).unwrap();
    /// assert!((sd * sd - r.covariance(0, 0).unwrap()).abs() < 1e-12);
    /// assert!(r.scatter() < 1.0);
    /// ```
    pub fn mean(&self, k: usize) -> Option<f64> {
        self.mean.get(k).copied()
    }

    /// Posterior covariance of two coefficients (that of the t distribution:
    /// `scale * nu / (nu - 2)`); see [`Regression::mean`] for an example.
    pub fn covariance(&self, k: usize, l: usize) -> Option<f64> {
        let widen = self.degrees / (self.degrees - 2.0);
        self.scale.get((k, l)).map(|c| c * widen)
    }

    /// Posterior standard deviation of a coefficient; see [`Regression::mean`] for an example.
    pub fn standard_deviation(&self, k: usize) -> Option<f64> {
        self.covariance(k, k).map(|c| c.max(0.0).sqrt())
    }

    /// Scatter of the record over the stated uncertainties: 1 when they are right; see
    /// [`Regression::mean`] for an example.
    pub fn scatter(&self) -> f64 {
        self.s2.sqrt()
    }

    /// The leverage of an observation among those that were learned from, 0 to 1: by which share the
    /// fit follows it. `None` for another count of values.
    ///
    /// ```
    /// use fallaway_mechanics::learn::{Coefficient, DataPoint, regress};
    /// let prior = Coefficient { mean: 0.0, standard_deviation: 1.0 };
    /// let seen = DataPoint { x: vec![1.0], y: 0.5, standard_uncertainty: 1.0 };
    /// let r = regress(&[prior], &[seen]).unwrap();
    /// // Prior and reading pull alike.
    /// assert!((r.leverage(&[1.0], 1.0).unwrap() - 0.5).abs() < 1e-12);
    /// assert_eq!(r.leverage(&[1.0, 1.0], 1.0), None);
    /// ```
    pub fn leverage(&self, x: &[f64], standard_uncertainty: f64) -> Option<f64> {
        if x.len() != self.mean.len() {
            return None;
        }
        let x = DVector::from_column_slice(x);
        Some(x.dot(&(&self.scale * &x)) / self.s2 / standard_uncertainty.powi(2))
    }

    /// Degrees of freedom of the posterior; see [`Regression::mean`] for an example.
    pub fn degrees(&self) -> f64 {
        self.degrees
    }

    /// What a further observation at `x` will read, with stated uncertainty `u` (0 for the true value
    /// behind it), within an interval that holds a share `coverage` of the posterior (Student-t).
    ///
    /// # Errors
    ///
    /// [`Error::CountMismatch`] for another count of values; [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::learn::{Coefficient, regress};
    /// let prior = Coefficient { mean: 1.0, standard_deviation: 2.0 };
    /// let nothing_seen = regress(&[prior], &[]).unwrap();
    /// let p = nothing_seen.predict(&[1.0], 0.0, 0.95).unwrap();
    /// assert!((p.high - 1.0 - 2.0 * 2.776).abs() < 0.01);
    /// ```
    pub fn predict(&self, x: &[f64], u: f64, coverage: f64) -> Result<Prediction> {
        if x.len() != self.mean.len() {
            return Err(Error::CountMismatch {
                quantity: "values of a prediction",
                given: x.len(),
                expected: self.mean.len(),
            });
        }
        for value in x {
            Limit::DataValue.check(*value)?;
        }
        let u = Limit::PredictionUncertainty.check(u)?;
        let x = DVector::from_column_slice(x);
        let value = self.mean.dot(&x);
        let variance = x.dot(&(&self.scale * &x)) + self.s2 * u * u;
        let half = two_sided(coverage, self.degrees)? * variance.max(0.0).sqrt();
        Ok(Prediction { value, low: value - half, high: value + half })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn weak(n: usize) -> Vec<Coefficient> {
        vec![Coefficient { mean: 0.0, standard_deviation: 1000.0 }; n]
    }

    fn seen(points: &[(f64, f64)], u: f64) -> Vec<DataPoint> {
        points
            .iter()
            .map(|&(x, y)| DataPoint { x: vec![1.0, x], y, standard_uncertainty: u })
            .collect()
    }

    #[test]
    fn a_weak_prior_gives_the_least_squares_line() {
        // F. J. Anscombe, "Graphs in statistical analysis", American Statistician 27 (1973) 17, set I,
        // from memory: intercept 3.00, slope 0.500.
        let x = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0];
        let y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68];
        let points: Vec<_> = x.into_iter().zip(y).collect();
        let r = regress(&weak(2), &seen(&points, 1.0)).unwrap();
        assert!((r.mean(0).unwrap() - 3.0001).abs() < 1e-3);
        assert!((r.mean(1).unwrap() - 0.5001).abs() < 1e-3);
    }

    #[test]
    fn a_record_that_scatters_more_than_stated_is_noticed() {
        let calm: Vec<_> = (0..40).map(|i| (f64::from(i), f64::from(i % 2) * 0.2)).collect();
        let wild: Vec<_> = (0..40).map(|i| (f64::from(i), f64::from(i % 2) * 2.0)).collect();
        let scatter = |p: &[(f64, f64)]| regress(&weak(2), &seen(p, 0.1)).unwrap().scatter();
        assert!((0.7..1.3).contains(&scatter(&calm)));
        assert!(scatter(&wild) > 5.0);
    }

    proptest! {
        #[test]
        fn a_true_line_is_found_within_its_interval(a in -5.0..5.0f64, b in -5.0..5.0f64, n in 3usize..30) {
            let points: Vec<_> = (0..n).map(|i| (i as f64, a + b * i as f64)).collect();
            let r = regress(&weak(2), &seen(&points, 0.1)).unwrap();
            let p = r.predict(&[1.0, 2.5], 0.0, 0.95).unwrap();
            prop_assert!(p.low <= a + 2.5 * b && a + 2.5 * b <= p.high);
            prop_assert!((r.mean(1).unwrap() - b).abs() < 1e-2);
        }

        #[test]
        fn more_of_the_same_makes_surer(n in 2usize..20, u in 0.01..1.0f64) {
            let width = |n: usize| {
                let points: Vec<_> = (0..n).map(|i| ((i % 2) as f64, 1.0)).collect();
                regress(&weak(2), &seen(&points, u)).unwrap().standard_deviation(0).unwrap()
            };
            prop_assert!(width(n + 2) < width(n));
        }

        #[test]
        fn the_order_of_the_record_does_not_matter(ys in proptest::collection::vec(-3.0..3.0f64, 4..12)) {
            let points: Vec<_> = ys.iter().enumerate().map(|(i, &y)| (i as f64, y)).collect();
            let mut turned = points.clone();
            turned.reverse();
            let a = regress(&weak(2), &seen(&points, 0.1)).unwrap();
            let b = regress(&weak(2), &seen(&turned, 0.1)).unwrap();
            prop_assert!((a.mean(1).unwrap() - b.mean(1).unwrap()).abs() < 1e-8);
        }
    }
}
