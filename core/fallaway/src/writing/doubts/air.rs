//! The air around an instrument.

use fallaway_measure::{Amount, LimitUnit, Unit, number_in};
use fallaway_record::Climate;
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, names};

use super::amount;
use crate::error::{Error, Result, field};
use crate::writing::write_options::{Doubt, DoubtAbout};

/// One kind of number: unit, what can be, what is usual.
struct AirRange {
    unit: Unit,
    limit_unit: LimitUnit,
    possible: (f64, f64),
    usual: (f64, f64),
}

/// From the coldest van to the hottest boot of a car; rooms where instruments live.
const TEMPERATURE: AirRange = AirRange {
    unit: Unit::Celsius,
    limit_unit: LimitUnit::Celsius,
    possible: (-60.0, 90.0),
    usual: (-10.0, 45.0),
};
const HUMIDITY: AirRange = AirRange {
    unit: Unit::Percent,
    limit_unit: LimitUnit::Percent,
    possible: (0.0, 100.0),
    usual: (10.0, 95.0),
};

/// What to ask about the air.
///
/// # Errors
/// [`Error::BadInput`] for air that cannot be.
pub(crate) fn of_air(climate: &Climate) -> Result<Vec<Doubt>> {
    let mut doubts = Vec::new();
    let given = [(climate.temperature, &TEMPERATURE), (climate.humidity, &HUMIDITY)];
    for (given, air) in given {
        let Some(given) = given else { continue };
        let Some(number) = number_in(given, air.unit) else { continue };
        let ends = |(low, high)| Some((amount(low, air.unit)?, amount(high, air.unit)?));
        if !(air.possible.0..=air.possible.1).contains(&number) {
            return Err(impossible(given, air, ends(air.possible)));
        }
        if !(air.usual.0..=air.usual.1).contains(&number)
            && let Some((low, high)) = ends(air.usual)
        {
            let reason = say::air_unusual(given, low, high);
            let about = DoubtAbout::Climate(climate.clone());
            doubts.push(Doubt::unusual(about, names::amount(given), reason, (low, high)));
        }
    }
    Ok(doubts)
}

fn impossible(given: Amount, air: &AirRange, ends: Option<(Amount, Amount)>) -> Error {
    let (least, most) = air.possible;
    let said = ends.map(|(low, high)| say::amounts_between(low, high));
    let accepted = Accepted::from_to(least, most, air.limit_unit);
    Error::bad_input(
        field("air"),
        say::air_impossible(given),
        accepted.said(said.unwrap_or_else(Phrase::empty)),
    )
}
