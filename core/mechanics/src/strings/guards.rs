//! What a plain string bears.
//!
//! A string under tension can break and injure. These checks only catch a tuning or a scale that no
//! plain steel string is made for; they say nothing of an old, kinked or corroded string. Tune up
//! slowly, eyes protected, and leave a damaged instrument to a qualified repairer.

use fallaway_measure::Limit;
use uom::si::f64::{Frequency, Length, MassDensity, Pressure};
use uom::si::pressure::gigapascal;

use super::{check_density, check_frequency, check_length};
use crate::error::Result;

/// The limit that is used unless the caller states another: 1.8 GPa.
///
/// An E4 on 648 mm stands at 1.43 GPa. It is used where no gauge is known: 64 to 78 % of the least
/// strength of the wire of plain strings ([`least_strength`]).
pub const DEFAULT_LIMIT_GPA: f64 = 1.8;

/// The share of the least strength of its wire that a plain string is advised to bear (a convention,
/// common practice, no source).
pub const SHARE_OF_STRENGTH: f64 = 0.7;

/// Least tensile strength of music wire: thousandths of an inch, thousands of pounds to the square inch.
/// ASTM A228/A228M, tensile requirements, as tabulated by a wire merchant (a secondary copy).
const LEAST_STRENGTH: [(f64, f64); 13] = [
    (7.0, 407.0),
    (8.0, 399.0),
    (9.0, 393.0),
    (10.0, 387.0),
    (11.0, 382.0),
    (12.0, 377.0),
    (13.0, 373.0),
    (14.0, 369.0),
    (16.0, 362.0),
    (18.0, 356.0),
    (20.0, 350.0),
    (24.0, 341.0),
    (26.0, 337.0),
];

/// GPa in a thousand pounds to the square inch (NIST SP 811, B.8).
const GPA_PER_KSI: f64 = 6.894_757e-3;

/// Least tensile strength of music wire of this diameter, straight between the gauges of the table;
/// `None` beyond them (0.007 to 0.026 in).
///
/// ```
/// use fallaway_mechanics::{strings::guards::least_strength, units::inches};
/// use uom::si::pressure::gigapascal;
/// let wire = least_strength(inches(0.010)).unwrap();
/// assert!((wire.get::<gigapascal>() - 2.668).abs() < 0.001);
/// assert!(least_strength(inches(0.030)).is_none());
/// ```
pub fn least_strength(diameter: Length) -> Option<Pressure> {
    // Rounding to the hundredth of a millimetre, as gauges are written, does not leave the table.
    let thou = diameter.get::<uom::si::length::inch>() * 1e3;
    let (first, last) = (LEAST_STRENGTH.first()?, LEAST_STRENGTH.last()?);
    if !(first.0 - 0.25..=last.0 + 0.25).contains(&thou) {
        return None;
    }
    let thou = thou.clamp(first.0, last.0);
    let pairs = LEAST_STRENGTH.iter().zip(LEAST_STRENGTH.iter().skip(1));
    let mut found = pairs
        .filter(|(low, high)| (low.0..=high.0).contains(&thou))
        .map(|(low, high)| low.1 + (high.1 - low.1) * (thou - low.0) / (high.0 - low.0));
    found.next_back().map(|ksi| Pressure::new::<gigapascal>(ksi * GPA_PER_KSI))
}

/// The stress that a plain string is advised to bear: [`SHARE_OF_STRENGTH`] of what its wire bears at
/// least, or [`DEFAULT_LIMIT_GPA`] where the gauge is not known or not in the table.
pub fn stress_limit(diameter: Option<Length>) -> Pressure {
    let strength = diameter.and_then(least_strength);
    strength.map_or(Pressure::new::<gigapascal>(DEFAULT_LIMIT_GPA), |wire| wire * SHARE_OF_STRENGTH)
}

/// Stress in a plain string and how it stands to the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainStress {
    /// Stress at pitch.
    pub stress: Pressure,
    /// The limit it was held against.
    pub limit: Pressure,
    /// Whether the stress lies above the limit: do not tune to this pitch.
    pub refused: bool,
    /// The highest frequency that the limit allows on this length.
    pub highest: Frequency,
}

/// Stress of a plain string tuned to `frequency` on `length`: `4 rho L^2 f^2`, whatever its gauge
/// (`T = rho A (2 L f)^2`, divided by the area A).
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{strings::{guards::DEFAULT_LIMIT_GPA, plain_stress, steel_density}, units::mm};
/// use uom::si::f64::{Frequency, Pressure};
/// use uom::si::{frequency::hertz, pressure::gigapascal};
///
/// let limit = Pressure::new::<gigapascal>(DEFAULT_LIMIT_GPA);
/// let e4 = plain_stress(mm(648.0), Frequency::new::<hertz>(329.628), steel_density(), limit).unwrap();
/// assert!((e4.stress.get::<gigapascal>() - 1.43).abs() < 0.005);
/// assert!(!e4.refused);
/// let g4 = plain_stress(mm(648.0), Frequency::new::<hertz>(391.995), steel_density(), limit).unwrap();
/// assert!(g4.refused);
/// ```
pub fn plain_stress(
    length: Length,
    frequency: Frequency,
    density: MassDensity,
    limit: Pressure,
) -> Result<PlainStress> {
    check_length(length)?;
    check_frequency(frequency)?;
    check_density(density)?;
    Limit::StressLimit.check(limit.get::<gigapascal>())?;
    let speed = 2.0 * length * frequency;
    let stress: Pressure = density * speed * speed;
    let highest = frequency * (limit / stress).value.sqrt();
    Ok(PlainStress { stress, limit, refused: stress > limit, highest })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strings::steel_density;
    use crate::units::mm;
    use proptest::prelude::*;
    use uom::si::frequency::hertz;

    proptest! {
        #[test]
        fn the_highest_frequency_just_meets_the_limit(l in 300.0..1000.0f64, hz in 20.0..500.0f64, limit in 0.5..2.5f64) {
            let limit = Pressure::new::<gigapascal>(limit);
            let f = Frequency::new::<hertz>(hz);
            let s = plain_stress(mm(l), f, steel_density(), limit).unwrap();
            if let Ok(again) = plain_stress(mm(l), s.highest, steel_density(), limit) {
                prop_assert!((again.stress / limit).value - 1.0 < 1e-12);
            }
            prop_assert_eq!(s.refused, f > s.highest);
        }
    }
}
