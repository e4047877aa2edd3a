//! Bending stiffness: by how much the partials of a real string lie above those of an ideal one.
//!
//! Two quantities are called B in the literature; both are here, under names that tell them apart.
//!
//! - **Inharmonicity** `B = pi^3 E d^4 / (64 T L^2)`, for which the partials of a string pinned at
//!   both ends are `f_q = q f_0 sqrt(1 + B q^2)` (H. Fletcher, JASA 36 (1964) 203; N. H. Fletcher,
//!   T. D. Rossing, "The Physics of Musical Instruments", 2nd ed., section 2.18, read in a secondary
//!   source).
//! - **Stiffness ratio** `b = sqrt(E I / (T L^2))`, the B of M. B. Anderson and R. G. Beausoleil,
//!   JASA 156(1):683 (2024). `B = pi^2 b^2`.
//!
//! For a wound string d is the core: the windings bend freely, to a good approximation.
//!
//! How the ends are held matters more than the stiffness itself at low partials: a clamped end makes
//! the string effectively shorter by about `b L`. A string pressed on a fret is held like a clamp on
//! one side and like a pin at the saddle; which it is in truth lies between.

use fallaway_measure::Limit;
use std::f64::consts::PI;

use uom::si::f64::{Force, Length, Pressure};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;

use crate::error::Result;
use crate::pitch::CENTS_PER_NEPER;

/// How the two ends of the string are held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndsHeld {
    /// Both pinned: free to turn.
    PinnedPinned,
    /// Clamped at the fret (or nut), pinned at the saddle.
    ClampedPinned,
    /// Both ends clamped: no slope at either.
    ClampedClamped,
}

/// Inharmonicity of a string with a solid core of diameter `core`: `pi^3 E d^4 / (64 T L^2)`
/// (Fletcher and Rossing, section 2.18).
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{stiff_string::inharmonicity, strings::steel_modulus, units::inches};
/// use uom::si::{f64::Force, force::newton};
/// let b = inharmonicity(inches(0.017), steel_modulus(), Force::new::<newton>(189.9), inches(34.0));
/// assert!((b.unwrap() - 2.26e-5).abs() < 1e-7);
/// ```
pub fn inharmonicity(
    core: Length,
    modulus: Pressure,
    tension: Force,
    length: Length,
) -> Result<f64> {
    let b = stiffness_ratio(core, modulus, tension, length)?;
    Ok(inharmonicity_of(b))
}

/// Stiffness ratio of Anderson and Beausoleil, `b = sqrt(E I / (T L^2))` with `I = pi d^4 / 64`.
///
/// # Errors
///
/// As [`inharmonicity`].
///
/// ```
/// use fallaway_mechanics::{stiff_string::{inharmonicity, stiffness_ratio}, strings::steel_modulus, units::inches};
/// use uom::si::{f64::Force, force::newton};
/// let t = Force::new::<newton>(189.9);
/// let b = stiffness_ratio(inches(0.017), steel_modulus(), t, inches(34.0)).unwrap();
/// let fletcher = inharmonicity(inches(0.017), steel_modulus(), t, inches(34.0)).unwrap();
/// assert!((std::f64::consts::PI.powi(2) * b * b - fletcher).abs() < 1e-15);
/// ```
pub fn stiffness_ratio(
    core: Length,
    modulus: Pressure,
    tension: Force,
    length: Length,
) -> Result<f64> {
    let d = Limit::CoreDiameter.check(core.get::<meter>() * 1e3)? / 1e3;
    let e = Limit::Modulus.check(modulus.get::<pascal>() / 1e9)? * 1e9;
    let t = Limit::Tension.check(tension.get::<newton>())?;
    let l = Limit::SpeakingLength.check(length.get::<meter>() * 1e3)? / 1e3;
    Ok((e * PI * d.powi(4) / 64.0 / t).sqrt() / l)
}

/// Inharmonicity from the stiffness ratio: `B = pi^2 b^2`.
///
/// ```
/// use fallaway_mechanics::stiff_string::{inharmonicity_of, stiffness_ratio_of};
/// assert!((stiffness_ratio_of(inharmonicity_of(0.002)) - 0.002).abs() < 1e-15);
/// ```
pub fn inharmonicity_of(stiffness_ratio: f64) -> f64 {
    PI * PI * stiffness_ratio * stiffness_ratio
}

/// Stiffness ratio from the inharmonicity: `b = sqrt(B) / pi`; 0 for a negative B.
///
/// ```
/// use fallaway_mechanics::stiff_string::stiffness_ratio_of;
/// assert_eq!(stiffness_ratio_of(0.0), 0.0);
/// ```
pub fn stiffness_ratio_of(inharmonicity: f64) -> f64 {
    inharmonicity.max(0.0).sqrt() / PI
}

/// Inharmonicity of the same string stopped at `fret`: B grows with 1/L^2, `B 2^(n/6)`, the tension
/// taken as unchanged.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::stiff_string::stopped_inharmonicity;
/// assert!((stopped_inharmonicity(1e-4, 12).unwrap() - 4e-4).abs() < 1e-15);
/// ```
pub fn stopped_inharmonicity(open: f64, fret: u32) -> Result<f64> {
    let open = Limit::Inharmonicity.check(open)?;
    Limit::Fret.check(f64::from(fret))?;
    Ok(open * (f64::from(fret) / 6.0).exp2())
}

/// Cents by which partial `q` lies above `q` times the fundamental, both ends pinned:
/// `1200 log2 sqrt((1 + B q^2) / (1 + B))`.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::stiff_string::partial_cents;
/// assert_eq!(partial_cents(1e-4, 1).unwrap(), 0.0);
/// ```
pub fn partial_cents(inharmonicity: f64, q: u32) -> Result<f64> {
    let b = Limit::Inharmonicity.check(inharmonicity)?;
    let q = Limit::Partial.check(f64::from(q))?;
    Ok(CENTS_PER_NEPER * 0.5 * ((1.0 + b * q * q) / (1.0 + b)).ln())
}

/// The inharmonicity at which partial `q` stands `cents` above `q` times the fundamental: the inverse
/// of [`partial_cents`], `B = (r - 1) / (q^2 - r)` with `r = 2^(cents / 600)`.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::stiff_string::inharmonicity_from_partial;
/// assert!((inharmonicity_from_partial(100.0, 10).unwrap() - 4.0 * 3.0963e-4).abs() < 1e-7);
/// ```
pub fn inharmonicity_from_partial(cents: f64, q: u32) -> Result<f64> {
    let cents = Limit::PartialSharpness.check(cents)?;
    let q = Limit::Overtone.check(f64::from(q))?;
    let r = (cents / 600.0).exp2();
    // At q = 2 and 1200 cents the quotient is infinite, which the check refuses.
    Ok(Limit::Inharmonicity.check((r - 1.0) / (q * q - r))?)
}

/// `f_q / (q f_0)` by formula, `f_0` being the fundamental of the ideal string, `b` the stiffness
/// ratio.
///
/// - Pinned, pinned: `sqrt(1 + pi^2 b^2 q^2)`, exact.
/// - Clamped, pinned: `1 + b + (1 + pi^2 q^2 / 2) b^2`.
/// - Clamped, clamped: `1 + 2 b + 4 (1 + pi^2 q^2 / 8) b^2`.
///
/// Source: Anderson and Beausoleil, JASA 156(1):683 (2024), the two equations for the stiff string,
/// the last after P. M. Morse. Good while `b q` is far below 1; [`ratio_exact`] needs no such limit.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::stiff_string::{EndsHeld, ratio_formula};
/// assert!((ratio_formula(0.001, 1, EndsHeld::ClampedPinned).unwrap() - 1.001005935).abs() < 1e-9);
/// ```
pub fn ratio_formula(b: f64, q: u32, ends: EndsHeld) -> Result<f64> {
    let b = Limit::StiffnessRatio.check(b)?;
    let q = Limit::Partial.check(f64::from(q))?;
    Ok(formula(b, q, ends))
}

pub(crate) fn formula(b: f64, q: f64, ends: EndsHeld) -> f64 {
    let bend = PI * PI * q * q;
    match ends {
        EndsHeld::PinnedPinned => (1.0 + bend * b * b).sqrt(),
        EndsHeld::ClampedPinned => 1.0 + b + (1.0 + bend / 2.0) * b * b,
        EndsHeld::ClampedClamped => 1.0 + 2.0 * b + 4.0 * (1.0 + bend / 8.0) * b * b,
    }
}

/// `f_q / (q f_0)` from the characteristic equation of the stiff string, solved to rounding.
///
/// With `y = sin, cos (k x)` and `sinh, cosh (K x)`, `K^2 = k^2 + 1/b^2`, the frequency is
/// `omega = k sqrt(1 + b^2 k^2)` in units of `sqrt(T / mu) / L`, and `k` follows from the ends:
/// `k = q pi` (pinned, pinned); `tan k = (k / K) tanh K` (clamped, pinned);
/// `tan(k/2) = (k / K) tanh(K/2)` for even and `-(K / k) tanh(K/2)` for odd q (clamped, clamped).
///
/// # Errors
///
/// As [`ratio_formula`].
///
/// ```
/// use fallaway_mechanics::stiff_string::{EndsHeld, ratio_exact};
/// assert!((ratio_exact(0.01, 1, EndsHeld::ClampedClamped).unwrap() - 1.020914506).abs() < 1e-9);
/// ```
pub fn ratio_exact(b: f64, q: u32, ends: EndsHeld) -> Result<f64> {
    let b = Limit::StiffnessRatio.check(b)?;
    Limit::Partial.check(f64::from(q))?;
    let (k, _) = wave_numbers(b, q, ends);
    Ok(k * (1.0 + b * b * k * k).sqrt() / (f64::from(q) * PI))
}

/// The wave number k of partial q and the bending constant K, both times the length. `b` may be 0:
/// then K is infinite.
pub(crate) fn wave_numbers(b: f64, q: u32, ends: EndsHeld) -> (f64, f64) {
    let base = f64::from(q) * PI;
    let bending = |k: f64| (k * k + 1.0 / (b * b)).sqrt();
    let next = |k: f64| {
        let big = bending(k);
        match ends {
            EndsHeld::PinnedPinned => base,
            EndsHeld::ClampedPinned => base + (k / big * big.tanh()).atan(),
            EndsHeld::ClampedClamped if q.is_multiple_of(2) => {
                base + 2.0 * (k / big * (big / 2.0).tanh()).atan()
            }
            EndsHeld::ClampedClamped => base + 2.0 * (k / (big * (big / 2.0).tanh())).atan(),
        }
    };
    // The map contracts by at most 2 / K < 2 b per step (b <= 0.1), so it converges from anywhere.
    let mut k = base;
    for _ in 0..60 {
        let better = next(k);
        let done = (better - k).abs() <= 1e-15 * base;
        k = better;
        if done {
            break;
        }
    }
    (k, bending(k))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [EndsHeld; 3] =
        [EndsHeld::PinnedPinned, EndsHeld::ClampedPinned, EndsHeld::ClampedClamped];

    #[test]
    fn a_bass_low_b_after_kemp() {
        // J. A. Kemp, "On inharmonicity in bass guitar strings with application to tapered and
        // lumped constructions", SN Applied Sciences 2:636 (2020), abstract: stopped at 12, partial
        // 10 stands 100 cents high; stopped at 21, partial 6 does. Both imply the same open string.
        let open = 3.10e-4;
        for (fret, q) in [(12, 10), (21, 6)] {
            let cents = partial_cents(stopped_inharmonicity(open, fret).unwrap(), q).unwrap();
            assert!((cents - 100.0).abs() < 0.6, "{fret}: {cents}");
        }
    }

    #[test]
    fn the_formulas_are_the_first_terms_of_the_exact_solution() {
        // Anderson and Beausoleil (2024): the formulas leave out terms of third order in b.
        for ends in ALL {
            for b in [1e-4, 1e-3, 5e-3] {
                let (formula, exact) =
                    (ratio_formula(b, 1, ends).unwrap(), ratio_exact(b, 1, ends).unwrap());
                assert!((formula - exact).abs() < 200.0 * b.powi(3), "{ends:?} {b}");
            }
        }
    }

    #[test]
    fn a_limp_string_is_ideal() {
        for ends in ALL {
            assert_eq!(ratio_exact(0.0, 7, ends).unwrap(), 1.0);
            assert_eq!(ratio_formula(0.0, 7, ends).unwrap(), 1.0);
        }
    }

    proptest! {
        #[test]
        fn stiffer_and_more_held_is_higher(b in 1e-5..0.05f64, more in 1.01..1.5f64, q in 1u32..40) {
            for ends in ALL {
                let (less, more) =
                    (ratio_exact(b, q, ends).unwrap(), ratio_exact(b * more, q, ends).unwrap());
                prop_assert!(1.0 < less && less < more);
            }
            let [pp, cp, cc] = ALL.map(|ends| ratio_exact(b, q, ends).unwrap());
            prop_assert!(pp < cp && cp < cc);
        }

        #[test]
        fn inharmonicity_and_partial_are_inverse(b in 1e-6..0.05f64, q in 2u32..30) {
            let cents = partial_cents(b, q).unwrap();
            if let Ok(back) = inharmonicity_from_partial(cents, q) {
                prop_assert!((back / b - 1.0).abs() < 1e-6);
            }
        }

        #[test]
        fn every_partial_solves_its_equation(b in 1e-5..0.1f64, q in 1u32..200) {
            let (k, big) = wave_numbers(b, q, EndsHeld::ClampedPinned);
            prop_assert!((k.tan() - k / big * big.tanh()).abs() < 1e-6);
            let (k, big) = wave_numbers(b, q, EndsHeld::ClampedClamped);
            // Slope at the clamped end of the (anti)symmetric shape, free of poles.
            let slope = if q.is_multiple_of(2) {
                k * (k / 2.0).cos() - big / (big / 2.0).tanh() * (k / 2.0).sin()
            } else {
                k * (k / 2.0).sin() + big * (big / 2.0).tanh() * (k / 2.0).cos()
            };
            prop_assert!(slope.abs() < 1e-6 * big);
        }
    }
}
