//! From bounds to a touch: what clean numbers and buzzes say of how hard somebody plays.
//!
//! A clean number says "no harder than this", a buzz "at least this hard"; nobody ever reads the touch
//! itself. The estimate is the posterior of the force over a grid of its logarithm: a log-normal prior
//! times, for each bound, a logistic step at it. The step is as wide as the readings and the scatter
//! of strokes and strings leave it, and never falls to zero: a note of a buzz may have had another
//! cause, and a buzz may have gone unnoted. So bounds that contradict each other widen the interval
//! instead of cutting it to nothing.
//!
//! Each clean bound multiplies by a function that falls with the force, each buzz by one that rises:
//! a further clean number never raises the estimate or an end of its interval, a further buzz never
//! lowers one. (A bound that is moved far from all others pulls less, not more: it is then likelier to
//! be none.)

use fallaway_order::PutInOrder as _;

use crate::clearance::{PRIOR_NEWTON, TouchBounds};
use crate::learn::value::Interval;
use crate::observe::COVERAGE;

/// One standard deviation of the prior, as a factor (common practice, no source).
pub const PRIOR_FACTOR: f64 = 2.0;
/// How much one stroke, and the model of one string against the next, scatters, as a share (a choice).
pub(super) const SCATTER: f64 = 0.2;
/// How often a bound is none: a buzz with another cause, a buzz that nobody noted (a choice).
const LAPSE: f64 = 0.1;
/// The grid, in N, and how many steps it has.
const GRID: (f64, f64) = (0.02, 60.0);
const STEPS: usize = 800;

/// Which side of the touch a bound is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoundSide {
    /// No harder than this: it played clean.
    AtMost,
    /// At least this hard: it buzzed.
    AtLeast,
}

/// One bound of a touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchBound {
    /// From which side.
    pub side: BoundSide,
    /// The force at which the string would just touch, in N; above 0.
    pub newton: f64,
    /// Its standard uncertainty as a share.
    pub relative_uncertainty: f64,
}

impl TouchBound {
    fn width(self) -> f64 {
        self.relative_uncertainty.hypot(SCATTER)
    }
}

/// The prior, with an interval that holds 95 %.
pub fn prior() -> Interval {
    // 95 % of a normal distribution.
    let two = PRIOR_FACTOR.powf(1.959_964);
    Interval { value: PRIOR_NEWTON, low: PRIOR_NEWTON / two, high: PRIOR_NEWTON * two }
}

/// The touch that the bounds leave, in N: median, and the interval that holds 95 %.
///
/// Bounds beyond the prior's own interval are not to be given: no touch is so light or so hard, so
/// they have another cause.
pub fn estimate(bounds: &[TouchBound]) -> Interval {
    if bounds.is_empty() {
        return prior();
    }
    // In one order, so that the sums do not depend on the order of the record.
    let mut bounds = bounds.to_vec();
    bounds.put_in_order_by(|a, b| {
        a.newton
            .total_cmp(&b.newton)
            .then(a.relative_uncertainty.total_cmp(&b.relative_uncertainty))
            .then((a.side == BoundSide::AtMost).cmp(&(b.side == BoundSide::AtMost)))
    });
    let (first, last) = (GRID.0.ln(), GRID.1.ln());
    let at = |step: usize| first + (last - first) * step as f64 / STEPS as f64;
    let log: Vec<f64> = (0..=STEPS).map(|step| log_posterior(at(step), &bounds)).collect();
    let most = log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weight: Vec<f64> = log.into_iter().map(|l| (l - most).exp()).collect();
    let total: f64 = weight.iter().sum();
    let quantile = |share: f64| {
        let (wanted, mut sum) = (share * total, 0.0);
        for (step, w) in weight.iter().enumerate() {
            if sum + w >= wanted {
                let part = if *w > 0.0 { (wanted - sum) / w } else { 0.0 };
                return (at(step) + (part - 0.5) * (last - first) / STEPS as f64).exp();
            }
            sum += w;
        }
        GRID.1
    };
    Interval { value: quantile(0.5), low: quantile(0.025), high: quantile(0.975) }
}

fn log_posterior(ln_force: f64, bounds: &[TouchBound]) -> f64 {
    let z = (ln_force - PRIOR_NEWTON.ln()) / PRIOR_FACTOR.ln();
    bounds.iter().fold(-z * z / 2.0, |sum, bound| {
        let beyond = (ln_force - bound.newton.ln()) / bound.width();
        // A logistic step with the same standard deviation as a normal one.
        let buzzes = 1.0 / (1.0 + (-beyond * std::f64::consts::PI / 3f64.sqrt()).exp());
        let told = match bound.side {
            BoundSide::AtLeast => buzzes,
            BoundSide::AtMost => 1.0 - buzzes,
        };
        sum + (LAPSE + (1.0 - 2.0 * LAPSE) * told).ln()
    })
}

/// From which sides the bounds hold the touch.
pub fn sides(bounds: &[TouchBound]) -> TouchBounds {
    let tightest = |side: BoundSide| {
        let of = bounds.iter().filter(move |b| b.side == side);
        match side {
            BoundSide::AtMost => of.min_by(|a, b| a.newton.total_cmp(&b.newton)),
            BoundSide::AtLeast => of.max_by(|a, b| a.newton.total_cmp(&b.newton)),
        }
    };
    match (tightest(BoundSide::AtLeast), tightest(BoundSide::AtMost)) {
        (None, None) => TouchBounds::Neither,
        (Some(_), None) => TouchBounds::AtLeast,
        (None, Some(_)) => TouchBounds::AtMost,
        (Some(low), Some(high)) => {
            let apart = (low.newton / high.newton).ln();
            let told = apart > COVERAGE * low.width().hypot(high.width());
            if told { TouchBounds::Contradict } else { TouchBounds::Both }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bound() -> impl Strategy<Value = TouchBound> {
        let Interval { low, high, .. } = prior();
        (any::<bool>(), low..high, 0.01..0.5f64).prop_map(|(clean, newton, u)| TouchBound {
            side: if clean { BoundSide::AtMost } else { BoundSide::AtLeast },
            newton,
            relative_uncertainty: u,
        })
    }

    #[test]
    fn without_a_bound_it_is_the_prior() {
        assert_eq!(estimate(&[]), prior());
        assert_eq!(sides(&[]), TouchBounds::Neither);
        // The grid itself gives the prior back where a bound says nothing.
        let nothing =
            TouchBound { side: BoundSide::AtMost, newton: 6.0, relative_uncertainty: 0.1 };
        let found = estimate(&[nothing]);
        assert!((found.low - prior().low).abs() < 0.02, "{found:?}");
        assert!(found.value < PRIOR_NEWTON + 1e-9);
    }

    #[test]
    fn clean_and_buzz_close_in_on_a_touch() {
        let at = |side, newton| TouchBound { side, newton, relative_uncertainty: 0.05 };
        let bounds: Vec<TouchBound> = [1.9, 2.2, 2.6]
            .map(|f| at(BoundSide::AtMost, f))
            .into_iter()
            .chain([1.2, 1.4, 1.0].map(|f| at(BoundSide::AtLeast, f)))
            .collect();
        let found = estimate(&bounds);
        assert_eq!(sides(&bounds), TouchBounds::Both);
        assert!((1.4..1.9).contains(&found.value), "{found:?}");
        assert!(found.low > 0.9 && found.high < 2.6, "{found:?}");
    }

    #[test]
    fn contradicting_bounds_widen_it() {
        let at = |side, newton| TouchBound { side, newton, relative_uncertainty: 0.05 };
        let bounds = [at(BoundSide::AtMost, 0.8), at(BoundSide::AtLeast, 3.5)];
        assert_eq!(sides(&bounds), TouchBounds::Contradict);
        let found = estimate(&bounds);
        assert!(found.low < 0.8 && found.high > 3.5, "{found:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn a_clean_number_never_raises_it_and_a_buzz_never_lowers_it(
            bounds in prop::collection::vec(bound(), 0..12), one_more in bound(),
        ) {
            let mut all = bounds.clone();
            all.push(one_more);
            // From the grid in both cases.
            let far = TouchBound { side: BoundSide::AtMost, newton: 1e9, relative_uncertainty: 0.1 };
            let with = |mut b: Vec<TouchBound>| { b.push(far); estimate(&b) };
            let (before, after) = (with(bounds), with(all));
            for (a, b) in [
                (before.low, after.low), (before.value, after.value), (before.high, after.high),
            ] {
                match one_more.side {
                    BoundSide::AtMost => prop_assert!(b <= a * (1.0 + 1e-9)),
                    BoundSide::AtLeast => prop_assert!(b >= a * (1.0 - 1e-9)),
                }
            }
        }

        #[test]
        fn the_interval_never_excludes_all_its_observations(
            bounds in prop::collection::vec(bound(), 1..40),
        ) {
            let found = estimate(&bounds);
            prop_assert!(found.low <= found.value && found.value <= found.high);
            let held = bounds.iter().any(|b| match b.side {
                BoundSide::AtMost => found.low <= b.newton,
                BoundSide::AtLeast => found.high >= b.newton,
            });
            prop_assert!(held, "{found:?}");
        }

        #[test]
        fn the_order_of_the_record_does_not_matter(
            bounds in prop::collection::vec(bound(), 1..12), by in 0..12usize,
        ) {
            let mut turned = bounds.clone();
            turned.rotate_left(by % bounds.len());
            turned.reverse();
            prop_assert_eq!(estimate(&bounds), estimate(&turned));
            prop_assert_eq!(sides(&bounds), sides(&turned));
        }
    }
}
