//! A value and how well it is known.
//!
//! Standard uncertainties combine to first order, independent contributions in quadrature
//! (JCGM 100:2008, "Guide to the expression of uncertainty in measurement", equation 10).

use uom::si::{Dimension, Quantity, SI};

use crate::error::{Error, Result};

/// A quantity that has a plain magnitude: an `f64` or any `uom` SI quantity.
///
/// The magnitude is in SI base units. Sealed: only this crate implements it.
pub trait Magnitude: Copy + sealed::Sealed {
    /// The number, in SI base units.
    fn magnitude(self) -> f64;
    /// The quantity with this number of SI base units.
    fn from_magnitude(value: f64) -> Self;
}

mod sealed {
    pub trait Sealed {}
    impl Sealed for f64 {}
    impl<D: super::Dimension + ?Sized> Sealed for super::Quantity<D, super::SI<f64>, f64> {}
}

impl Magnitude for f64 {
    fn magnitude(self) -> f64 {
        self
    }
    fn from_magnitude(value: f64) -> Self {
        value
    }
}

impl<D: Dimension + ?Sized> Magnitude for Quantity<D, SI<f64>, f64> {
    fn magnitude(self) -> f64 {
        self.value
    }
    fn from_magnitude(value: f64) -> Self {
        Quantity { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value }
    }
}

/// A value with its standard uncertainty (one standard deviation), both in the same quantity.
///
/// ```
/// use fallaway_mechanics::{Uncertain, units::{as_mm, mm}};
/// let action = Uncertain::new(mm(2.0), mm(0.12)).unwrap();
/// let relief = Uncertain::new(mm(0.2), mm(0.05)).unwrap();
/// let sum = action.plus(relief);
/// assert!((as_mm(sum.value) - 2.2).abs() < 1e-12);
/// assert!((as_mm(sum.standard_uncertainty) - 0.13).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain<Q> {
    /// The best value.
    pub value: Q,
    /// One standard deviation, never negative; 0 for an exact value.
    pub standard_uncertainty: Q,
}

impl<Q: Magnitude> Uncertain<Q> {
    /// A value with a standard uncertainty.
    ///
    /// # Errors
    ///
    /// [`Error::NotFinite`] for a value or uncertainty that is not finite,
    /// [`Error::Inconsistent`] for a negative uncertainty.
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::mm};
    /// assert!(Uncertain::new(mm(1.0), mm(-0.1)).is_err());
    /// ```
    pub fn new(value: Q, standard_uncertainty: Q) -> Result<Self> {
        if !value.magnitude().is_finite() {
            return Err(Error::NotFinite { quantity: "value" });
        }
        let u = standard_uncertainty.magnitude();
        if !u.is_finite() {
            return Err(Error::NotFinite { quantity: "standard uncertainty" });
        }
        if u < 0.0 {
            return Err(Error::Inconsistent {
                what: "standard uncertainty",
                reason: "is negative; give zero or more",
            });
        }
        Ok(Self { value, standard_uncertainty })
    }

    /// A value taken as exact.
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::mm};
    /// assert_eq!(Uncertain::exact(mm(863.6)).standard_uncertainty, mm(0.0));
    /// ```
    pub fn exact(value: Q) -> Self {
        Self { value, standard_uncertainty: Q::from_magnitude(0.0) }
    }

    /// The middle of an interval within which every value is equally likely: half the width over
    /// the square root of 3 (JCGM 100:2008, 4.3.7). "The .010 goes, the .012 does not" is such an
    /// interval.
    ///
    /// # Errors
    ///
    /// [`Error::NotFinite`]; [`Error::Inconsistent`] when `low` is above `high`.
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::{as_mm, inches}};
    /// let relief = Uncertain::between(inches(0.010), inches(0.012)).unwrap();
    /// assert!((as_mm(relief.value) - 0.2794).abs() < 1e-9);
    /// assert!((as_mm(relief.standard_uncertainty) - 0.0254 / 3f64.sqrt()).abs() < 1e-9);
    /// ```
    pub fn between(low: Q, high: Q) -> Result<Self> {
        let (a, b) = (low.magnitude(), high.magnitude());
        if !a.is_finite() || !b.is_finite() {
            return Err(Error::NotFinite { quantity: "interval end" });
        }
        if a > b {
            return Err(Error::Inconsistent {
                what: "interval",
                reason: "its lower end lies above its upper end",
            });
        }
        Self::new(Q::from_magnitude(a.midpoint(b)), Q::from_magnitude((b - a) / 2.0 / 3f64.sqrt()))
    }

    /// A value computed as a function of independent contributions: each is (sensitivity times the
    /// input's standard uncertainty), already in this quantity. They add in quadrature.
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::{as_mm, mm}};
    /// let e = Uncertain::from_contributions(mm(2.0), &[mm(0.3), mm(-0.4)]);
    /// assert!((as_mm(e.standard_uncertainty) - 0.5).abs() < 1e-12);
    /// ```
    pub fn from_contributions(value: Q, contributions: &[Q]) -> Self {
        let variance: f64 = contributions.iter().map(|c| c.magnitude().powi(2)).sum();
        Self { value, standard_uncertainty: Q::from_magnitude(variance.sqrt()) }
    }

    /// Sum of two independent estimates.
    ///
    /// ```
    /// use fallaway_mechanics::Uncertain;
    /// let a = Uncertain::new(1.0, 3.0).unwrap();
    /// assert_eq!(a.plus(Uncertain::new(1.0, 4.0).unwrap()).standard_uncertainty, 5.0);
    /// ```
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        let value = Q::from_magnitude(self.value.magnitude() + other.value.magnitude());
        Self::from_contributions(value, &[self.standard_uncertainty, other.standard_uncertainty])
    }

    /// Difference of two independent estimates.
    ///
    /// ```
    /// use fallaway_mechanics::Uncertain;
    /// let a = Uncertain::new(1.0, 3.0).unwrap();
    /// assert_eq!(a.minus(a).standard_uncertainty, 18f64.sqrt());
    /// ```
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        let value = Q::from_magnitude(self.value.magnitude() - other.value.magnitude());
        Self::from_contributions(value, &[self.standard_uncertainty, other.standard_uncertainty])
    }

    /// The estimate times an exact number.
    ///
    /// ```
    /// use fallaway_mechanics::Uncertain;
    /// let twice = Uncertain::new(1.0, 0.5).unwrap().times(-2.0);
    /// assert_eq!((twice.value, twice.standard_uncertainty), (-2.0, 1.0));
    /// ```
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            value: Q::from_magnitude(self.value.magnitude() * factor),
            standard_uncertainty: Q::from_magnitude(
                self.standard_uncertainty.magnitude() * factor.abs(),
            ),
        }
    }

    /// Both ends of value ± `coverage` standard uncertainties (2 covers about 95 % of a normal
    /// distribution).
    ///
    /// ```
    /// use fallaway_mechanics::Uncertain;
    /// assert_eq!(Uncertain::new(1.0, 0.25).unwrap().interval(2.0), (0.5, 1.5));
    /// ```
    pub fn interval(self, coverage: f64) -> (Q, Q) {
        let half = coverage.abs() * self.standard_uncertainty.magnitude();
        let middle = self.value.magnitude();
        (Q::from_magnitude(middle - half), Q::from_magnitude(middle + half))
    }

    /// How many standard uncertainties of their difference two independent estimates lie apart;
    /// infinite when both are exact and differ, 0 when they are equal.
    ///
    /// ```
    /// use fallaway_mechanics::Uncertain;
    /// let a = Uncertain::new(2.0, 0.3).unwrap();
    /// let b = Uncertain::new(1.0, 0.4).unwrap();
    /// assert_eq!(a.apart(b), 2.0);
    /// ```
    pub fn apart(self, other: Self) -> f64 {
        let d = self.minus(other);
        let difference = d.value.magnitude().abs();
        if difference == 0.0 { 0.0 } else { difference / d.standard_uncertainty.magnitude() }
    }
}

/// The value of `f` at the inputs' values, with the standard uncertainty that the inputs' own ones
/// give it to first order: for each input half the difference of `f` at one standard uncertainty
/// either side, in quadrature (JCGM 100:2008, 5.1.3 note 2). Inputs are taken as independent.
///
/// Where `f` refuses one side (a limit lies within one standard uncertainty), the other side alone
/// is used.
///
/// # Errors
///
/// What `f` returns at the values themselves, or at both sides of an input.
///
/// ```
/// use fallaway_mechanics::{uncertain::propagate, Uncertain};
/// let a = Uncertain::new(3.0, 0.1).unwrap();
/// let b = Uncertain::new(4.0, 0.2).unwrap();
/// let product = propagate(&[a, b], |v| Ok(v[0] * v[1])).unwrap();
/// assert!((product.standard_uncertainty - (0.4f64.powi(2) + 0.6f64.powi(2)).sqrt()).abs() < 1e-9);
/// ```
pub fn propagate<F>(inputs: &[Uncertain<f64>], f: F) -> Result<Uncertain<f64>>
where
    F: Fn(&[f64]) -> Result<f64>,
{
    let values: Vec<f64> = inputs.iter().map(|e| e.value).collect();
    let value = f(&values)?;
    let mut variance = 0.0;
    let mut moved = values.clone();
    for (index, input) in inputs.iter().enumerate() {
        let u = input.standard_uncertainty;
        if u == 0.0 {
            continue;
        }
        let mut at = |step: f64| {
            if let Some(place) = moved.get_mut(index) {
                *place = input.value + step;
            }
            let result = f(&moved);
            if let Some(place) = moved.get_mut(index) {
                *place = input.value;
            }
            result
        };
        let contribution = match (at(u), at(-u)) {
            (Ok(up), Ok(down)) => (up - down) / 2.0,
            (Ok(up), Err(_)) => up - value,
            (Err(_), Ok(down)) => value - down,
            (Err(error), Err(_)) => return Err(error),
        };
        variance += contribution * contribution;
    }
    Uncertain::new(value, variance.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{as_mm, mm};
    use proptest::prelude::*;

    #[test]
    fn two_rule_readings_differ_only_beyond_a_third_of_a_millimetre() {
        // 1/64 in rule: half graduation / sqrt 3 (JCGM 100:2008, 4.3.7) with 0.05 mm
        // repeatability (common practice, no source).
        let u = ((25.4f64 / 64.0 / 2.0).powi(2) / 3.0 + 0.05f64.powi(2)).sqrt();
        let a = Uncertain::new(mm(2.0), mm(u)).unwrap();
        let needed = 1.96 * as_mm(a.minus(a).standard_uncertainty);
        assert!((needed - 0.35).abs() < 0.02, "{needed}");
    }

    proptest! {
        #[test]
        fn sums_and_differences_have_one_uncertainty(
            a in -10.0..10.0f64, b in -10.0..10.0f64, ua in 0.0..1.0f64, ub in 0.0..1.0f64,
        ) {
            let (x, y) = (Uncertain::new(a, ua).unwrap(), Uncertain::new(b, ub).unwrap());
            prop_assert_eq!(x.plus(y).standard_uncertainty, x.minus(y).standard_uncertainty);
            prop_assert!(x.plus(y).standard_uncertainty >= ua.max(ub));
        }
    }
}
