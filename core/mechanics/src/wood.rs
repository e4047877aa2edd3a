//! Wood and the air: equilibrium moisture content.
//!
//! Wood left in air of constant temperature and humidity ends at one moisture content. A neck lags
//! the air by days to weeks and may first move the other way (its surface before its core), so the
//! climate of a bench counts only after the instrument has been in it. How far a neck moves with its
//! moisture differs from neck to neck in size and sign: that is learned.

use fallaway_measure::Limit;
use uom::si::f64::{Ratio, ThermodynamicTemperature};
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::error::Result;

/// Equilibrium moisture content of wood in air of a temperature and relative humidity, as a part of
/// the dry mass.
///
/// `M = 1800/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)]` percent,
/// with `W = 349 + 1.29 T + 0.0135 T^2`, `K = 0.805 + 0.000736 T - 0.00000273 T^2`,
/// `K1 = 6.27 - 0.00938 T - 0.000303 T^2`, `K2 = 1.91 + 0.0407 T - 0.000293 T^2`, T in degrees
/// Celsius, h from 0 to 1. Source: W. T. Simpson, "Equilibrium moisture content of wood in outdoor
/// locations in the United States and worldwide", USDA FPL-RN-0268 (1998), read in a secondary
/// source. For no particular species: woods differ by about a percentage point.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::wood::equilibrium_moisture;
/// use uom::si::f64::{Ratio, ThermodynamicTemperature};
/// use uom::si::{ratio::percent, thermodynamic_temperature::degree_fahrenheit};
/// let m = equilibrium_moisture(
///     ThermodynamicTemperature::new::<degree_fahrenheit>(70.0),
///     Ratio::new::<percent>(50.0),
/// );
/// assert!((m.unwrap().get::<percent>() - 9.2).abs() < 0.1);
/// ```
pub fn equilibrium_moisture(
    temperature: ThermodynamicTemperature,
    relative_humidity: Ratio,
) -> Result<Ratio> {
    let t = Limit::Temperature.check(temperature.get::<degree_celsius>())?;
    let h = Limit::Humidity.check(relative_humidity.get::<ratio>() * 100.0)?;
    Ok(Ratio::new::<ratio>(percent_at(t, h / 100.0) / 100.0))
}

/// The equation, T in degrees Celsius, h in 0..=1, in percent.
fn percent_at(t: f64, h: f64) -> f64 {
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let kh = k * h;
    let bound = k1 * kh + 2.0 * k1 * k2 * kh * kh;
    1800.0 / w * (kh / (1.0 - kh) + bound / (1.0 + k1 * kh + k1 * k2 * kh * kh))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uom::si::ratio::percent;
    use uom::si::thermodynamic_temperature::degree_fahrenheit;

    fn moisture(celsius: f64, humidity: f64) -> f64 {
        equilibrium_moisture(
            ThermodynamicTemperature::new::<degree_celsius>(celsius),
            Ratio::new::<percent>(humidity),
        )
        .unwrap()
        .get::<percent>()
    }

    #[test]
    fn the_wood_handbooks_row_for_70_fahrenheit() {
        // USDA Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, table 4-2, from memory:
        // moisture content in percent at 70 F and 5, 10, ... 95 % relative humidity.
        let row = [
            1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0,
            17.9, 20.5, 23.9,
        ];
        for (i, expected) in row.into_iter().enumerate() {
            let humidity = 5.0 * (i + 1) as f64;
            let m = equilibrium_moisture(
                ThermodynamicTemperature::new::<degree_fahrenheit>(70.0),
                Ratio::new::<percent>(humidity),
            );
            let m = m.unwrap().get::<percent>();
            assert!((m - expected).abs() <= 0.1, "{humidity} %: {m} against {expected}");
        }
    }

    #[test]
    fn air_that_cannot_be_is_refused() {
        let at = |c, h| {
            equilibrium_moisture(
                ThermodynamicTemperature::new::<degree_celsius>(c),
                Ratio::new::<percent>(h),
            )
        };
        assert!(at(21.0, 101.0).unwrap_err().to_string().contains("0 to 100 %"));
        assert!(at(90.0, 50.0).is_err());
        assert!(at(f64::NAN, 50.0).is_err());
    }

    proptest! {
        #[test]
        fn damper_air_makes_damper_wood(c in 0.0..70.0f64, h in 0.0..99.0f64) {
            prop_assert!(moisture(c, h) < moisture(c, h + 1.0));
            prop_assert!((0.0..50.0).contains(&moisture(c, h)));
        }

        #[test]
        fn bone_dry_air_makes_dry_wood(c in 0.0..70.0f64) {
            prop_assert_eq!(moisture(c, 0.0), 0.0);
        }
    }
}
