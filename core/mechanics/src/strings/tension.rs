//! Tension from mass, length and pitch.

use fallaway_measure::Limit;
use uom::si::f64::{Force, Frequency, Length, LinearMassDensity};
use uom::si::force::newton;
use uom::si::linear_mass_density::{kilogram_per_meter, pound_per_inch};

use super::{check_frequency, check_length};
use crate::error::Result;
use crate::uncertain::Uncertain;
use crate::units::inches;

/// Standard gravity in inches per second squared: 9.80665 m/s2 / 0.0254 m = 386.0886.
pub const STANDARD_GRAVITY_IN: f64 = 9.80665 / 0.0254;

/// The rounded gravity of printed tension tables, 386.4 in/s2; only to reproduce such a table.
pub const PRINTED_TABLE_GRAVITY_IN: f64 = 386.4;

/// Tension of a string of mass per length `mass`, speaking length `length`, tuned to `frequency`:
/// `T = mu (2 L f)^2` (Mersenne's law for an ideal string).
///
/// The standard uncertainty is that of the mass, in proportion.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{Uncertain, strings::tension, units::mm};
/// use uom::si::f64::{Frequency, LinearMassDensity};
/// use uom::si::{force::newton, frequency::hertz, linear_mass_density::kilogram_per_meter};
///
/// let mass = Uncertain::exact(LinearMassDensity::new::<kilogram_per_meter>(0.000_374));
/// let t = tension(mass, mm(650.0), Frequency::new::<hertz>(329.628)).unwrap();
/// assert!((t.value.get::<newton>() - 68.676).abs() < 1e-3);
/// ```
pub fn tension(
    mass: Uncertain<LinearMassDensity>,
    length: Length,
    frequency: Frequency,
) -> Result<Uncertain<Force>> {
    let mu = check_mass(mass.value)?;
    let speed = 2.0 * check_length(length)? * check_frequency(frequency)?;
    let width = mass.standard_uncertainty.get::<kilogram_per_meter>();
    Uncertain::new(
        Force::new::<newton>(mu * speed * speed),
        Force::new::<newton>(width * speed * speed),
    )
}

/// The mass per length that gives a wanted tension: the inverse of [`tension`].
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{strings::mass_for_tension, units::mm};
/// use uom::si::f64::{Force, Frequency};
/// use uom::si::{force::newton, frequency::hertz, linear_mass_density::kilogram_per_meter};
///
/// let mass = mass_for_tension(
///     Force::new::<newton>(68.676),
///     mm(650.0),
///     Frequency::new::<hertz>(329.628),
/// );
/// assert!((mass.unwrap().get::<kilogram_per_meter>() - 0.000_374).abs() < 1e-8);
/// ```
pub fn mass_for_tension(
    wanted: Force,
    length: Length,
    frequency: Frequency,
) -> Result<LinearMassDensity> {
    let t = Limit::Tension.check(wanted.get::<newton>())?;
    let speed = 2.0 * check_length(length)? * check_frequency(frequency)?;
    Ok(LinearMassDensity::new::<kilogram_per_meter>(t / (speed * speed)))
}

/// Tension in pounds-force from a unit weight in lb/in, a length in inches and a frequency in Hz:
/// `UW (2 L f)^2 / g`, `g` in inches per second squared.
///
/// Use [`STANDARD_GRAVITY_IN`]; [`PRINTED_TABLE_GRAVITY_IN`] only reproduces printed pack tables
/// (0.08 % lower).
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::strings::tension::{PRINTED_TABLE_GRAVITY_IN, tension_lbf};
/// let t = tension_lbf(2.215e-5, 25.5, 329.6276, PRINTED_TABLE_GRAVITY_IN).unwrap();
/// assert!((t - 16.2003).abs() < 1e-4);
/// ```
pub fn tension_lbf(unit_weight: f64, length_in: f64, hz: f64, gravity_in: f64) -> Result<f64> {
    check_mass(LinearMassDensity::new::<pound_per_inch>(unit_weight))?;
    Limit::SpeakingLength.check_mm(inches(length_in))?;
    Limit::Frequency.check(hz)?;
    Limit::Gravity.check(gravity_in * 0.0254)?;
    Ok(unit_weight * (2.0 * length_in * hz).powi(2) / gravity_in)
}

/// By how much the tension of one string changes when mass, length or pitch change.
///
/// The same string retuned is one mass given twice: its error is common and the difference is as
/// uncertain, in proportion, as the mass. For different strings use [`super::compare_sets`].
///
/// # Errors
///
/// As [`tension`].
///
/// ```
/// use fallaway_mechanics::{Uncertain, strings::tension_change, units::inches};
/// use uom::si::f64::{Frequency, LinearMassDensity};
/// use uom::si::{force::newton, frequency::hertz, linear_mass_density::kilogram_per_meter};
///
/// // A low E taken down to D keeps the string: tension falls with the square of the pitch.
/// let mass = Uncertain::exact(LinearMassDensity::new::<kilogram_per_meter>(0.035));
/// let hz = Frequency::new::<hertz>;
/// let change = tension_change(mass, inches(34.0), hz(41.203), hz(36.708)).unwrap();
/// assert!((change.value.get::<newton>() + 36.57).abs() < 0.01);
/// ```
pub fn tension_change(
    mass: Uncertain<LinearMassDensity>,
    length: Length,
    from: Frequency,
    to: Frequency,
) -> Result<Uncertain<Force>> {
    let before = tension(mass, length, from)?;
    let after = tension(mass, length, to)?;
    let width = (after.standard_uncertainty - before.standard_uncertainty).abs();
    Uncertain::new(after.value - before.value, width)
}

fn check_mass(mass: LinearMassDensity) -> Result<f64> {
    Ok(Limit::MassPerLength.check(mass.get::<kilogram_per_meter>())?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::mm;
    use proptest::prelude::*;
    use uom::si::force::pound_force;
    use uom::si::frequency::hertz;
    use uom::si::linear_mass_density::pound_per_inch;

    fn mass(kg: f64) -> Uncertain<LinearMassDensity> {
        Uncertain::exact(LinearMassDensity::new::<kilogram_per_meter>(kg))
    }

    #[test]
    fn printed_tensions_of_classical_strings() {
        // M. B. Anderson, R. G. Beausoleil, "Classical guitar intonation and compensation: The
        // well-tempered guitar", JASA 156(1):683 (2024), specification table: normal tension set on
        // 650 mm, mass per length in g/m, tension in N, printed to 0.1 N from rounded masses.
        for (hz, grams, newtons) in [
            (329.628, 0.374, 68.6),
            (246.942, 0.505, 52.0),
            (195.998, 0.836, 54.2),
            (146.832, 1.920, 70.0),
            (110.0, 3.289, 67.3),
            (82.407, 5.470, 62.8),
        ] {
            let t = tension(mass(grams / 1e3), mm(650.0), Frequency::new::<hertz>(hz)).unwrap();
            assert!((t.value.get::<newton>() / newtons - 1.0).abs() < 2e-3);
        }
    }

    #[test]
    fn electric_bass_g_string() {
        // Issanchou, Acary, Perignon, Touze, Le Carrou, Applied Acoustics 129 (2018) 217, Table 1,
        // from memory: T = 191.6 N, mu = 6.69e-3 kg/m, L = 0.863 m, tuned to G2.
        let t = tension(mass(6.69e-3), mm(863.0), Frequency::new::<hertz>(98.0)).unwrap();
        assert!((t.value.get::<newton>() / 191.6 - 1.0).abs() < 5e-3);
    }

    proptest! {
        #[test]
        fn imperial_and_metric_agree(uw in 1e-5..2e-3f64, inches in 20.0..36.0f64, hz in 30.0..400.0f64) {
            let mu = LinearMassDensity::new::<pound_per_inch>(uw);
            let length = crate::units::inches(inches);
            let si = tension(Uncertain::exact(mu), length, Frequency::new::<hertz>(hz)).unwrap();
            let lbf = tension_lbf(uw, inches, hz, STANDARD_GRAVITY_IN).unwrap();
            prop_assert!((si.value.get::<pound_force>() / lbf - 1.0).abs() < 1e-6);
        }

        #[test]
        fn mass_and_tension_are_inverse(kg in 1e-4..0.2f64, l in 300.0..1000.0f64, hz in 25.0..250.0f64) {
            let f = Frequency::new::<hertz>(hz);
            let t = tension(mass(kg), mm(l), f).unwrap().value;
            if (0.1..2000.0).contains(&t.get::<newton>()) {
                let back = mass_for_tension(t, mm(l), f).unwrap().get::<kilogram_per_meter>();
                prop_assert!((back / kg - 1.0).abs() < 1e-12);
            }
        }

        #[test]
        fn an_octave_is_four_times_the_tension(kg in 1e-4..0.2f64, l in 300.0..1000.0f64, hz in 25.0..250.0f64) {
            let at = |hz: f64| tension(mass(kg), mm(l), Frequency::new::<hertz>(hz)).unwrap().value;
            prop_assert!((at(2.0 * hz).value / at(hz).value - 4.0).abs() < 1e-9);
        }

        #[test]
        fn tuning_back_undoes_the_change(kg in 1e-4..0.2f64, a in 25.0..250.0f64, b in 25.0..250.0f64) {
            let change = |from: f64, to: f64| {
                tension_change(mass(kg), mm(864.0), Frequency::new::<hertz>(from), Frequency::new::<hertz>(to))
                    .unwrap()
                    .value
                    .value
            };
            prop_assert!((change(a, b) + change(b, a)).abs() < 1e-9);
            prop_assert_eq!(change(a, b) > 0.0, b > a);
        }
    }
}
