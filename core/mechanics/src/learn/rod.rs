//! Millimetres of relief per turn of the rod, and how far to turn.
//!
//! # Model
//!
//! A turn of the rod changes relief by `sign * r` mm, r log-normal with median 0.15 mm per quarter
//! turn and a factor of 2 for one standard deviation (from memory, common practice, no source); the
//! sign is even odds until a before/after pair speaks. Each pair's change is normal about
//! `sign * r * turns` with its own uncertainty. The posterior is summed on a grid over log r and both
//! signs: exact to the grid.
//!
//! # Never harm
//!
//! Which way a nut turns to do what is known only when this instrument has shown it: until then the
//! advice is an eighth and read. At most a quarter turn a step, and the step stops short of the
//! target: it is sized by the stronger response that the record still allows. A rod that does not
//! answer, moves the wrong way, is slack or refuses: stop, and leave it to a qualified repairer.
//! In the dead zone of a two-way rod nothing is learned: leave such pairs out.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// Median of the prior response, mm per turn.
pub const PRIOR_MEDIAN_MM: f64 = 0.6;
/// One standard deviation of the prior response, as a factor.
pub const PRIOR_FACTOR: f64 = 2.0;
/// The sign counts as shown beyond this probability.
pub(crate) const SIGN_SHOWN: f64 = 0.975;
/// The largest step, in turns.
pub(crate) const LARGEST_STEP: f64 = 0.25;

/// Relief before and after a turn of the rod, strings tuned both times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodPair {
    /// Turns made, signed as the record signs them (clockwise positive, say); not 0, within 4.
    pub turns: f64,
    /// Relief after minus before, within 5 mm, with its standard uncertainty (at least 0.001 mm is
    /// assumed).
    pub change: Uncertain<Length>,
}

/// What is known of a rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodResponse {
    /// Size of the response per turn: 16 %, 50 % and 84 % quantiles of the posterior.
    pub per_turn: [Length; 3],
    /// Probability that a positive turn raises the relief.
    pub raises: f64,
    /// How many pairs it rests on.
    pub pairs: usize,
}

/// What to do with the rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RodAdvice {
    /// Which way it acts is not shown yet: an eighth either way, tune, read.
    TryAnEighth,
    /// Turn by this much (signed as the record signs), tune, read.
    Turn {
        /// Turns, at most a quarter.
        turns: f64,
        /// Relief change to be expected: 16 %, 50 % and 84 % quantiles in size.
        expected: [Length; 3],
    },
    /// The wanted change is less than a sixteenth of a turn does: leave it.
    Leave,
}

/// The grid over log r: this many standard deviations either way, this many points.
const REACH: f64 = 5.0;
const POINTS: u32 = 2001;

/// Learns a rod's response from pairs; without pairs, the prior.
///
/// # Errors
///
/// [`Error::Outside`] outside the limits in [`RodPair`]; [`Error::Inconsistent`] for a pair without
/// a turn.
///
/// ```
/// use fallaway_mechanics::{Uncertain, learn::{RodPair, rod_response}, units::{as_mm, mm}};
/// let change = Uncertain::new(mm(-0.10), mm(0.02)).unwrap();
/// let pair = RodPair { turns: 0.25, change };
/// let rod = rod_response(&[pair]).unwrap();
/// assert!(rod.raises < 0.01);
/// assert!((as_mm(rod.per_turn[1]) - 0.4).abs() < 0.05);
/// ```
pub fn rod_response(pairs: &[RodPair]) -> Result<RodResponse> {
    let rows = pairs
        .iter()
        .map(|pair| {
            let turns = Limit::RodTurn.check(pair.turns)?;
            if turns == 0.0 {
                return Err(Error::Inconsistent {
                    what: "rod turns of a pair",
                    reason: "are zero; a pair without a turn shows nothing",
                });
            }
            let change = Limit::ReliefChange.check_mm(pair.change.value)?;
            let u = as_mm(pair.change.standard_uncertainty);
            Ok((turns, change, Limit::LengthUncertainty.check(u)?.max(1e-3)))
        })
        .collect::<Result<Vec<(f64, f64, f64)>>>()?;

    let sizes: Vec<(f64, f64)> = (0..POINTS)
        .map(|i| {
            let z = REACH * (2.0 * f64::from(i) / f64::from(POINTS - 1) - 1.0);
            (PRIOR_MEDIAN_MM * PRIOR_FACTOR.powf(z), -0.5 * z * z)
        })
        .collect();
    let logs = |sign: f64| -> Vec<f64> {
        sizes
            .iter()
            .map(|(r, prior)| {
                let misfit: f64 =
                    rows.iter().map(|(t, c, u)| ((c - sign * r * t) / u).powi(2)).sum();
                prior - 0.5 * misfit
            })
            .collect()
    };
    let (up, down) = (logs(1.0), logs(-1.0));
    let top = up.iter().chain(&down).copied().fold(f64::NEG_INFINITY, f64::max);
    let (up, down): (Vec<f64>, Vec<f64>) =
        up.iter().zip(&down).map(|(u, d)| ((u - top).exp(), (d - top).exp())).unzip();
    let (sum_up, sum_down): (f64, f64) = (up.iter().sum(), down.iter().sum());
    let whole = sum_up + sum_down;
    let quantile = |share: f64| {
        let mut passed = 0.0;
        for ((u, d), (r, _)) in up.iter().zip(&down).zip(&sizes) {
            passed += u + d;
            if passed >= share * whole {
                return mm(*r);
            }
        }
        mm(PRIOR_MEDIAN_MM)
    };
    Ok(RodResponse {
        per_turn: [quantile(0.16), quantile(0.5), quantile(0.84)],
        raises: sum_up / whole,
        pairs: rows.len(),
    })
}

impl RodResponse {
    /// +1 when a positive turn is shown to raise the relief, -1 when to lower it.
    ///
    /// ```
    /// use fallaway_mechanics::learn::rod_response;
    /// assert_eq!(rod_response(&[]).unwrap().sign(), None);
    /// ```
    pub fn sign(&self) -> Option<f64> {
        if self.raises >= SIGN_SHOWN {
            Some(1.0)
        } else if self.raises <= 1.0 - SIGN_SHOWN {
            Some(-1.0)
        } else {
            None
        }
    }

    /// The next step toward a wanted change of relief (positive: more relief). Stops short: sized by
    /// the 84 % quantile of the response, rounded down to a sixteenth, at most a quarter turn.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::mm};
    /// use fallaway_mechanics::learn::{RodAdvice, RodPair, rod_response};
    /// let unknown = rod_response(&[]).unwrap();
    /// assert_eq!(unknown.advise(mm(-0.15)).unwrap(), RodAdvice::TryAnEighth);
    /// let change = Uncertain::new(mm(-0.08), mm(0.02)).unwrap();
    /// let known = rod_response(&[RodPair { turns: 0.125, change }]).unwrap();
    /// let RodAdvice::Turn { turns, .. } = known.advise(mm(-0.15)).unwrap() else { panic!() };
    /// assert_eq!(turns, 0.1875);
    /// ```
    pub fn advise(&self, wanted: Length) -> Result<RodAdvice> {
        let wanted = Limit::ReliefChange.check_mm(wanted)?;
        let [low, middle, high] = self.per_turn.map(as_mm);
        let sixteenths = (wanted.abs() / high * 16.0 + 1e-9).floor();
        if sixteenths < 1.0 {
            return Ok(RodAdvice::Leave);
        }
        let Some(sign) = self.sign() else {
            return Ok(RodAdvice::TryAnEighth);
        };
        let size = (sixteenths / 16.0).min(LARGEST_STEP);
        let expected = [low, middle, high].map(|r| mm(r * size * wanted.signum()));
        Ok(RodAdvice::Turn { turns: size * sign * wanted.signum(), expected })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pair(turns: f64, change: f64, u: f64) -> RodPair {
        RodPair { turns, change: Uncertain::new(mm(change), mm(u)).unwrap() }
    }

    #[test]
    fn without_a_record_the_prior_speaks_and_no_sign_is_known() {
        let rod = rod_response(&[]).unwrap();
        // Median 0.15 mm per quarter turn, factor 2 (from memory, common practice, no source).
        for (quantile, expected) in rod.per_turn.iter().zip([0.3, 0.6, 1.2]) {
            assert!((as_mm(*quantile) / expected - 1.0).abs() < 0.02);
        }
        assert!((rod.raises - 0.5).abs() < 1e-12);
        assert!((as_mm(rod.per_turn[1]) / 4.0 - 0.15).abs() < 0.002);
    }

    #[test]
    fn a_reading_within_its_own_error_shows_no_sign() {
        let rod = rod_response(&[pair(0.125, -0.02, 0.05)]).unwrap();
        assert_eq!(rod.sign(), None);
        assert_eq!(rod.advise(mm(0.2)).unwrap(), RodAdvice::TryAnEighth);
    }

    #[test]
    fn pairs_that_show_nothing_are_refused() {
        assert!(matches!(rod_response(&[pair(0.0, 0.1, 0.02)]), Err(Error::Inconsistent { .. })));
        assert!(rod_response(&[pair(9.0, 0.1, 0.02)]).is_err());
    }

    proptest! {
        #[test]
        fn a_true_response_is_found(r in 0.2..2.0f64, raises: bool, n in 2usize..8) {
            let sign = if raises { 1.0 } else { -1.0 };
            let pairs: Vec<_> = (0..n)
                .map(|i| {
                    let turns = if i % 2 == 0 { 0.25 } else { -0.25 };
                    pair(turns, sign * r * turns, 0.01)
                })
                .collect();
            let rod = rod_response(&pairs).unwrap();
            prop_assert_eq!(rod.sign(), Some(sign));
            prop_assert!((as_mm(rod.per_turn[1]) - r).abs() < 0.1);
        }

        #[test]
        fn advice_stops_short_and_keeps_to_a_quarter(
            r in 0.2..2.0f64, u in 0.005..0.05f64, wanted in -0.6..0.6f64,
        ) {
            let rod = rod_response(&[pair(0.25, -r * 0.25, u), pair(-0.25, r * 0.25, u)]).unwrap();
            if let RodAdvice::Turn { turns, expected } = rod.advise(mm(wanted)).unwrap() {
                prop_assert!(turns.abs() <= LARGEST_STEP);
                prop_assert!(as_mm(expected[2]).abs() <= wanted.abs() + 1e-6);
                prop_assert!(as_mm(expected[1]) * wanted > 0.0);
                prop_assert!(turns * wanted < 0.0);
            }
        }

        #[test]
        fn any_accepted_record_gives_finite_numbers(
            pairs in proptest::collection::vec((-5.0..5.0f64, -6.0..6.0f64, 0.0..6.0f64), 0..6),
        ) {
            let pairs: Vec<_> = pairs.into_iter().map(|(t, c, u)| pair(t, c, u)).collect();
            if let Ok(rod) = rod_response(&pairs) {
                prop_assert!(rod.raises.is_finite());
                prop_assert!(rod.per_turn.iter().all(|r| as_mm(*r) > 0.0));
                prop_assert!(rod.per_turn[0] <= rod.per_turn[1] && rod.per_turn[1] <= rod.per_turn[2]);
            }
        }
    }
}
