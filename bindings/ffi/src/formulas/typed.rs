//! Plain numbers into typed quantities and back.

use fallaway::mechanics;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::{Force, Frequency, Length, LinearMassDensity};
use fallaway::mechanics::uom::si::force::newton;
use fallaway::mechanics::uom::si::frequency::hertz;
use fallaway::mechanics::uom::si::linear_mass_density::kilogram_per_meter;

/// A number with its standard uncertainty (one standard deviation), both in the unit that the
/// function names. 0 for a number taken as exact.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Uncertain {
    /// The number, in the unit that the function or field names.
    pub value: f64,
    /// One standard deviation, in the same unit; never negative.
    pub standard_uncertainty: f64,
}

pub(super) fn count(number: u32) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

pub(super) fn fret(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

pub(super) fn lengths(values_mm: &[f64]) -> Vec<Length> {
    values_mm.iter().map(|value| mm(*value)).collect()
}

pub(super) fn millimetres(values: &[Length]) -> Vec<f64> {
    values.iter().map(|value| as_mm(*value)).collect()
}

pub(super) fn length(value: Uncertain) -> Result<mechanics::Uncertain<Length>, mechanics::Error> {
    mechanics::Uncertain::new(mm(value.value), mm(value.standard_uncertainty))
}

pub(super) fn uncertain_mm(value: mechanics::Uncertain<Length>) -> Uncertain {
    Uncertain { value: as_mm(value.value), standard_uncertainty: as_mm(value.standard_uncertainty) }
}

pub(super) fn force(value: Uncertain) -> Result<mechanics::Uncertain<Force>, mechanics::Error> {
    mechanics::Uncertain::new(newtons(value.value), newtons(value.standard_uncertainty))
}

pub(super) fn uncertain_n(value: mechanics::Uncertain<Force>) -> Uncertain {
    Uncertain {
        value: value.value.get::<newton>(),
        standard_uncertainty: value.standard_uncertainty.get::<newton>(),
    }
}

pub(super) fn mass(
    value: Uncertain,
) -> Result<mechanics::Uncertain<LinearMassDensity>, mechanics::Error> {
    let kg = LinearMassDensity::new::<kilogram_per_meter>;
    mechanics::Uncertain::new(kg(value.value), kg(value.standard_uncertainty))
}

pub(super) fn newtons(value: f64) -> Force {
    Force::new::<newton>(value)
}

pub(super) fn hz(value: f64) -> Frequency {
    Frequency::new::<hertz>(value)
}
