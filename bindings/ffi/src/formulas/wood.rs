//! How moist wood becomes.

use fallaway::mechanics::uom::si::f64::{Ratio, ThermodynamicTemperature};
use fallaway::mechanics::uom::si::ratio::percent;
use fallaway::mechanics::uom::si::thermodynamic_temperature::degree_celsius;
use fallaway::mechanics::wood::equilibrium_moisture;

use crate::FallawayError;

/// The moisture content in percent that wood comes to in this air, days to weeks later (W. T.
/// Simpson, USDA Forest Service FPL-RN-0268; Wood Handbook FPL-GTR-190, table 4-2: 21.1 C and 50 %
/// give 9.2 %).
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn wood_moisture_percent(
    temperature_c: f64,
    humidity_percent: f64,
) -> Result<f64, FallawayError> {
    let temperature = ThermodynamicTemperature::new::<degree_celsius>(temperature_c);
    let humidity = Ratio::new::<percent>(humidity_percent);
    Ok(equilibrium_moisture(temperature, humidity)?.get::<percent>())
}
