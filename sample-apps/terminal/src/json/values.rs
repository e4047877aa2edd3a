//! Amounts, readings, moments, sentences: what every shape is made of.

use fallaway::advice::clearance::TouchBounds;
use fallaway::advice::observe::{Estimate, EstimateUnit};
use fallaway::measure::{Amount, Dimension, Location, Quantity, Reading, Unit};
use fallaway::record::{InstrumentSpec, Moment, PassReading};
use fallaway_text::{Phrase, Voice, names};
use serde_json::{Value, json};

use crate::parse::moments;
use crate::voice::{self, say};

/// What is read and which way.
pub fn quantity(quantity: Quantity) -> String {
    say(&names::quantity(quantity))
}

/// Where something was read; empty for the instrument as a whole.
pub fn location(spec: &InstrumentSpec, location: Location) -> String {
    names::location_label(spec, location).map_or_else(String::new, |label| say(&label))
}

/// A number with its unit: as the person entered it, and in a fixed unit that its name says.
pub fn amount(amount: Amount) -> Value {
    let number = amount.number();
    let (field, value) = match amount.dimension() {
        Dimension::Length => ("value_mm", amount.length().map_or(number, |l| l.value * 1e3)),
        Dimension::Interval => ("value_cent", number),
        Dimension::Share => ("value_percent", number),
        Dimension::Frequency => ("value_hz", number),
        Dimension::Force => ("value_newton", number),
        Dimension::Temperature => ("value_celsius", amount.celsius().unwrap_or(number)),
        Dimension::Rotation if amount.unit() == Unit::Degree => ("value_turn", number / 360.0),
        Dimension::Rotation => ("value_turn", number),
        Dimension::Other => return json!({ "as_entered": amount.to_string() }),
    };
    json!({ "as_entered": amount.to_string(), (field): clean(value) })
}

/// A number with its standard uncertainty.
pub fn number(known: Estimate) -> Value {
    let unit = match known.scale {
        EstimateUnit::Millimetre => "mm",
        EstimateUnit::Cent => "cent",
    };
    json!({
        (format!("value_{unit}")): clean(known.value),
        (format!("standard_uncertainty_{unit}")): clean(known.standard_uncertainty),
    })
}

/// To a ten-millionth of the unit: conversions leave no dust, and there is no minus before a zero.
pub fn clean(value: f64) -> f64 {
    let rounded = (value * 1e7).round() / 1e7;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// What was read at one place.
pub fn reading(read: &PassReading, spec: &InstrumentSpec) -> Value {
    present(json!({
        "string": string_of(read.location),
        "place": location(spec, read.location),
        "as_entered": read.reading.to_string(),
        "form": match read.reading {
            Reading::Value(_) => "value",
            Reading::AtMost(_) => "at most",
            Reading::AtLeast(_) => "at least",
            Reading::Between { .. } => "between",
        },
        "low": read.reading.low().map(amount),
        "high": read.reading.high().map(amount),
    }))
}

/// An object without the fields that do not apply.
fn present(mut value: Value) -> Value {
    if let Some(object) = value.as_object_mut() {
        object.retain(|_, value| !value.is_null());
    }
    value
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

/// A sentence. Programs are spoken to in English, with every number as it was read.
pub fn said(phrase: &Phrase) -> String {
    plain().sentence(phrase)
}

/// Sentences.
pub fn all_said<'p>(phrases: impl IntoIterator<Item = &'p Phrase>) -> Vec<String> {
    plain().phrases_by_string(phrases).into_iter().map(said).collect()
}

/// A few words.
pub fn word(phrase: &Phrase) -> String {
    plain().say(phrase)
}

fn plain() -> Voice {
    Voice::default().low_first(voice::get().low_first)
}

/// From which sides a touch is held.
pub const fn bounded(sides: TouchBounds) -> &'static str {
    match sides {
        TouchBounds::Neither => "neither",
        TouchBounds::AtMost => "above",
        TouchBounds::AtLeast => "below",
        TouchBounds::Both => "both",
        TouchBounds::Contradict => "contradict",
    }
}
