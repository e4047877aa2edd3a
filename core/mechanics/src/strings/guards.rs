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
/// An E4 on 648 mm stands at 1.43 GPa; plain steel breaks at about 2.2 GPa (from memory). The limit
/// leaves about a fifth below that; the share is a convention (common practice, no source).
pub const DEFAULT_LIMIT_GPA: f64 = 1.8;

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
