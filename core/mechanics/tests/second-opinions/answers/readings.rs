//! Readings as written, in another unit, and how well they are known.

use fallaway_measure::{
    Amount, AmountFormat, Dimension, Taken, Tool, Unit, in_unit, parse_amount, parse_reading,
};
use fallaway_mechanics::units::as_mm;
use serde::Deserialize;
use serde_json::json;

use crate::Answer;

/// A length as somebody wrote it.
#[derive(Deserialize)]
pub struct Reading {
    text: String,
    tool: Option<String>,
}

pub fn reading(question: &Reading) -> Answer {
    let tool: Option<Tool> = question.tool.as_deref().map(str::parse).transpose()?;
    let reading = parse_reading(&question.text, tool.as_ref(), Dimension::Length)?;
    let millimetres = |amount: Option<Amount>| amount.and_then(Amount::length).map(as_mm);
    let estimate = Taken::new(&reading, tool.as_ref()).length();
    Ok(json!({
        "shown": reading.to_string(),
        "low": millimetres(reading.low()),
        "high": millimetres(reading.high()),
        "value": estimate.map(|(value, _)| as_mm(value)),
        "u": estimate.map(|(_, u)| as_mm(u)),
    }))
}

/// An amount to be shown in another unit, by its symbol, or in divisions of an inch.
#[derive(Deserialize)]
pub struct Shown {
    text: String,
    unit: Option<String>,
    #[serde(default)]
    places: u8,
    #[serde(default)]
    divisions: u16,
}

pub fn shown(question: &Shown) -> Answer {
    let unit = match &question.unit {
        None => None,
        Some(symbol) => Some(
            Unit::KNOWN
                .into_iter()
                .find(|unit| unit.to_string() == *symbol)
                .ok_or("no such unit")?,
        ),
    };
    let dimension = unit.map_or(Dimension::Length, Unit::dimension);
    let amount = parse_amount(&question.text, None, dimension)?;
    let scale = unit.map_or(AmountFormat::Divisions { denominator: question.divisions }, |unit| {
        AmountFormat::Decimal { unit, places: question.places }
    });
    let shown = in_unit(amount, scale).ok_or("cannot be shown so")?;
    Ok(json!({ "shown": shown.to_string(), "exact": shown.is_exact() }))
}
