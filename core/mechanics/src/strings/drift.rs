//! How the pitch of a plain string follows the saddle and the temperature when nobody retunes.

use fallaway_measure::Limit;
use uom::si::f64::{Frequency, Length, MassDensity, Pressure};
use uom::si::length::meter;
use uom::si::pressure::pascal;

use super::{check_density, check_frequency, check_length, steel_density, steel_modulus};
use crate::error::{Error, Result};
use crate::pitch::CENTS_PER_NEPER;

/// Thermal expansion of steel music wire, 12e-6 per kelvin (ASTM A228 as listed by makeitfrom.com,
/// "Thermal Expansion 12 um/m-K").
pub const STEEL_EXPANSION_PER_K: f64 = 12e-6;

/// Thermal expansion of wood along the grain, 4e-6 per kelvin (from memory: the USDA Wood Handbook
/// gives about 3.1e-6 to 4.5e-6 for dry wood). A metal or carbon neck differs.
pub const WOOD_EXPANSION_PER_K: f64 = 4e-6;

/// A plain string as it is strung.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteelString {
    /// Speaking length, nut to saddle.
    pub speaking: Length,
    /// Length between its two anchors, from tuner post to tailpiece; at least the speaking length.
    /// The string is taken to slide over nut and saddle without friction.
    pub anchored: Length,
    /// Frequency it is tuned to.
    pub frequency: Frequency,
    /// Density of the wire: [`Limit::Density`].
    pub density: MassDensity,
    /// Young's modulus of the wire: [`Limit::Modulus`].
    pub modulus: Pressure,
}

impl SteelString {
    /// A string of steel music wire.
    ///
    /// ```
    /// use fallaway_mechanics::{strings::SteelString, units::mm};
    /// use uom::si::{f64::Frequency, frequency::hertz};
    /// let e4 = SteelString::music_wire(mm(648.0), mm(760.0), Frequency::new::<hertz>(329.63));
    /// assert_eq!(e4.speaking, mm(648.0));
    /// ```
    pub fn music_wire(speaking: Length, anchored: Length, frequency: Frequency) -> Self {
        Self { speaking, anchored, frequency, density: steel_density(), modulus: steel_modulus() }
    }

    /// Speaking and anchored length in metres, and E / stress (the inverse of the strain).
    fn kernel(self) -> Result<(f64, f64, f64)> {
        let speaking = check_length(self.speaking)?;
        let anchored = Limit::AnchoredLength.check(self.anchored.get::<meter>() * 1e3)? / 1e3;
        if anchored < speaking {
            return Err(Error::Inconsistent {
                what: "anchored length",
                reason: "is below the speaking length; give the length between tuner and tailpiece",
            });
        }
        let modulus = Limit::Modulus.check(self.modulus.get::<pascal>() / 1e9)? * 1e9;
        let speed = 2.0 * speaking * check_frequency(self.frequency)?;
        Ok((speaking, anchored, modulus / (check_density(self.density)? * speed * speed)))
    }
}

/// Cents by which the open string rises per millimetre that the saddle is moved away from the nut,
/// tuner untouched.
///
/// Two effects: the speaking length grows (`-1/L`), and the string is stretched
/// (`+E / (2 stress) / L_anchored`), which on plain steel is far larger. From
/// `f = sqrt(stress / rho) / (2 L)` and Hooke's law, to first order. This is why a saddle is moved
/// with the string slackened and tuned again before the next reading; what the move does to
/// intonation is another question ([`crate::intonation`]).
///
/// # Errors
///
/// [`Error::Outside`] for values outside the limits in [`SteelString`];
/// [`Error::Inconsistent`] when the anchored length is below the speaking length.
///
/// ```
/// use fallaway_mechanics::{strings::{SteelString, cents_per_mm_of_saddle}, units::mm};
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let e4 = SteelString::music_wire(mm(648.0), mm(760.0), Frequency::new::<hertz>(329.63));
/// let cents = cents_per_mm_of_saddle(e4).unwrap();
/// assert!((cents - 148.4).abs() < 0.5);
/// ```
pub fn cents_per_mm_of_saddle(string: SteelString) -> Result<f64> {
    let (speaking, anchored, inverse_strain) = string.kernel()?;
    Ok(CENTS_PER_NEPER * 1e-3 * (inverse_strain / (2.0 * anchored) - 1.0 / speaking))
}

/// Cents by which the open string rises per kelvin of warming (negative: it goes flat), string and
/// instrument equally warm, tuner untouched.
///
/// `-(E / (2 stress)) (a_string - a_neck) - a_neck`, with `a` the coefficients of thermal
/// expansion; from `f = sqrt(stress / rho) / (2 L)` and Hooke's law, to first order, the change of
/// Young's modulus neglected. In practice the thin string warms in seconds and the neck in an hour:
/// for a string that warms alone give 0 for the neck.
///
/// # Errors
///
/// As [`cents_per_mm_of_saddle`]; expansions within [`Limit::ThermalExpansion`].
///
/// ```
/// use fallaway_mechanics::{strings::{SteelString, cents_per_kelvin, drift}, units::mm};
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let e4 = SteelString::music_wire(mm(648.0), mm(760.0), Frequency::new::<hertz>(329.63));
/// let cents = cents_per_kelvin(e4, drift::STEEL_EXPANSION_PER_K, 0.0).unwrap();
/// assert!((cents + 1.38).abs() < 0.01);
/// ```
pub fn cents_per_kelvin(
    string: SteelString,
    string_expansion: f64,
    neck_expansion: f64,
) -> Result<f64> {
    let (_, _, inverse_strain) = string.kernel()?;
    let a = Limit::ThermalExpansion.check(string_expansion)?;
    let neck = Limit::ThermalExpansion.check(neck_expansion)?;
    Ok(CENTS_PER_NEPER * (-inverse_strain / 2.0 * (a - neck) - neck))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{as_mm, mm};
    use proptest::prelude::*;
    use uom::si::frequency::hertz;

    /// Frequency of a wire of given rest length between anchors, by Hooke's law without linearising.
    fn exact_hz(speaking: f64, anchored: f64, rest: f64, rho: f64, e: f64) -> f64 {
        // Mass per area of the stretched wire falls with the stretch.
        let strain = anchored / rest - 1.0;
        (e * strain / (rho / (1.0 + strain))).sqrt() / (2.0 * speaking)
    }

    proptest! {
        #[test]
        fn first_order_agrees_with_the_exact_spring(l in 400.0..900.0f64, extra in 0.0..200.0f64, hz in 60.0..330.0f64) {
            let string = SteelString::music_wire(mm(l), mm(l + extra), Frequency::new::<hertz>(hz));
            let (speaking, anchored, inverse) = string.kernel().unwrap();
            let strain = 1.0 / inverse;
            let rest = anchored / (1.0 + strain);
            let d = 1e-7;
            let up = exact_hz(speaking + d, anchored + d, rest, 7850.0, 190e9);
            let down = exact_hz(speaking - d, anchored - d, rest, 7850.0, 190e9);
            let cents = CENTS_PER_NEPER * (up / down).ln() / (2.0 * d) * 1e-3;
            let first_order = cents_per_mm_of_saddle(string).unwrap();
            // The formula neglects terms of the order of the strain (below 1 %).
            prop_assert!((cents - first_order).abs() <= 0.03 * cents.abs() + 0.01);

            let warm = 1e-3 * STEEL_EXPANSION_PER_K;
            let hot = exact_hz(speaking, anchored, rest * (1.0 + warm), 7850.0, 190e9);
            let cold = exact_hz(speaking, anchored, rest * (1.0 - warm), 7850.0, 190e9);
            let cents = CENTS_PER_NEPER * (hot / cold).ln() / 2e-3;
            let first_order = cents_per_kelvin(string, STEEL_EXPANSION_PER_K, 0.0).unwrap();
            prop_assert!((cents - first_order).abs() <= 0.03 * cents.abs() + 1e-4);
        }
    }

    #[test]
    fn an_anchor_inside_the_speaking_length_is_refused() {
        let string = SteelString::music_wire(mm(648.0), mm(600.0), Frequency::new::<hertz>(196.0));
        assert!(matches!(cents_per_mm_of_saddle(string), Err(Error::Inconsistent { .. })));
        assert!((as_mm(string.anchored) - 600.0).abs() < 1e-9);
    }
}
