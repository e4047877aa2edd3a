//! Strings: mass, tension, what a set asks of the neck, and what a string will bear.
//!
//! | part | question |
//! |---|---|
//! | [`construction`] | mass per length of a plain, wound or weighed string |
//! | [`mod@tension`] | tension from mass, length and pitch, and back |
//! | [`sets`] | the sum on the neck, one set against another |
//! | [`guards`] | stress in a plain string; when to refuse or warn |
//! | [`drift`] | pitch against saddle position and temperature |
//!
//! # How certainty is carried
//!
//! Mass per length and tension are [`Uncertain`](crate::Uncertain)s. Scale length and pitch are taken
//! as exact: their share is far below that of the mass. The masses of a set are treated as
//! independent, so a common error (one density for all strings) is not fully seen in a sum.

pub mod construction;
pub mod drift;
pub mod guards;
pub mod sets;
pub mod tension;

use fallaway_measure::Limit;
use uom::si::f64::{Frequency, Length, MassDensity, Pressure};
use uom::si::frequency::hertz;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::gigapascal;

use crate::error::Result;

pub use construction::{Construction, Layer, MassBasis, UnitMass, unit_mass};
pub use drift::{SteelString, cents_per_kelvin, cents_per_mm_of_saddle};
pub use guards::{PlainStress, plain_stress};
pub use sets::{SetComparison, TensionChange, compare_sets, total_tension};
pub use tension::{mass_for_tension, tension, tension_change};

/// Density of steel music wire, 7850 kg/m3.
///
/// Handbooks give 7800 (ASTM A228 as listed by makeitfrom.com) to 7861 kg/m3 (0.284 lb/in3, spring
/// handbooks, from memory).
///
/// ```
/// use uom::si::mass_density::kilogram_per_cubic_meter;
/// assert_eq!(fallaway_mechanics::strings::steel_density().get::<kilogram_per_cubic_meter>(), 7850.0);
/// ```
pub fn steel_density() -> MassDensity {
    MassDensity::new::<kilogram_per_cubic_meter>(7850.0)
}

/// Young's modulus of steel music wire, 190 GPa (ASTM A228 as listed by makeitfrom.com; other
/// handbooks give up to 207 GPa, from memory).
///
/// ```
/// use uom::si::pressure::gigapascal;
/// assert_eq!(fallaway_mechanics::strings::steel_modulus().get::<gigapascal>(), 190.0);
/// ```
pub fn steel_modulus() -> Pressure {
    Pressure::new::<gigapascal>(190.0)
}

/// A speaking length in metres.
pub(crate) fn check_length(value: Length) -> Result<f64> {
    Limit::SpeakingLength.check_mm(value)?;
    Ok(value.get::<meter>())
}

/// A fundamental frequency in Hz.
pub(crate) fn check_frequency(value: Frequency) -> Result<f64> {
    Ok(Limit::Frequency.check(value.get::<hertz>())?)
}

/// A density in kg/m3.
pub(crate) fn check_density(value: MassDensity) -> Result<f64> {
    Ok(Limit::Density.check(value.get::<kilogram_per_cubic_meter>())?)
}
