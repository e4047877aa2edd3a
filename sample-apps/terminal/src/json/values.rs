//! Amounts, readings and moments.

use fallaway::measure::{Amount, Dimension, Location, Reading, Unit};
use fallaway::record::{Moment, PassReading, Spec};
use serde::Serialize;

use crate::parse::moments;
use crate::render::names;

/// A number with its unit. Exactly one of the numbers is there, by what the amount measures.
#[derive(Debug, Default, Serialize)]
pub struct AmountJson {
    /// As the person entered it.
    pub as_entered: String,
    /// A length in millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_mm: Option<f64>,
    /// An interval in cents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_cent: Option<f64>,
    /// A share in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_percent: Option<f64>,
    /// A temperature in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_celsius: Option<f64>,
    /// A frequency in hertz.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_hz: Option<f64>,
    /// A force in newtons.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_newton: Option<f64>,
    /// Turns; clockwise as seen from the tool is above zero.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_turn: Option<f64>,
}

/// Describes an amount.
pub fn amount(amount: Amount) -> AmountJson {
    let mut json = AmountJson { as_entered: amount.to_string(), ..AmountJson::default() };
    let number = amount.number();
    match amount.dimension() {
        Dimension::Length => json.value_mm = millimetres(amount),
        Dimension::Interval => json.value_cent = Some(number),
        Dimension::Share => json.value_percent = Some(number),
        Dimension::Frequency => json.value_hz = Some(number),
        Dimension::Force => json.value_newton = Some(number),
        Dimension::Temperature => {
            json.value_celsius = Some(match amount.unit() {
                Unit::Fahrenheit => (number - 32.0) / 1.8,
                _ => number,
            });
        }
        Dimension::Rotation => {
            json.value_turn =
                Some(if amount.unit() == Unit::Degree { number / 360.0 } else { number });
        }
        Dimension::Other => {}
    }
    json
}

/// Millimetres to a millionth, so that conversion leaves no dust.
pub fn millimetres(amount: Amount) -> Option<f64> {
    amount.length().map(|length| (length.value * 1e9).round() / 1e6)
}

/// What was read at one place.
#[derive(Debug, Serialize)]
pub struct ReadingJson {
    /// The string's number, if it was read at a string.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub string: Option<String>,
    /// Where, in words; empty for the instrument as a whole.
    pub place: String,
    /// As the person entered it.
    pub as_entered: String,
    /// value, at most, at least, or between.
    pub form: &'static str,
    /// The value, or the lower bound.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<AmountJson>,
    /// The value, or the upper bound.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<AmountJson>,
}

/// Describes a reading.
pub fn reading(read: &PassReading, spec: &Spec) -> ReadingJson {
    ReadingJson {
        string: string_of(read.location),
        place: names::location(spec, read.location),
        as_entered: read.reading.to_string(),
        form: match read.reading {
            Reading::Value(_) => "value",
            Reading::AtMost(_) => "at most",
            Reading::AtLeast(_) => "at least",
            Reading::Between { .. } => "between",
        },
        low: read.reading.low().map(amount),
        high: read.reading.high().map(amount),
    }
}

/// The number of the string.
pub fn string_of(location: Location) -> Option<String> {
    match location {
        Location::Course(place) => Some(place.to_string()),
        _ => None,
    }
}

/// A moment as RFC 3339 has it.
pub fn moment(moment: Moment) -> String {
    moments::rfc3339(moment)
}
