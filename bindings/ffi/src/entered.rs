//! Values that a person writes, both ways.

use fallaway::measure::{Amount, Decimal, Dimension, parse_amount};

use crate::estimate::in_shown_unit;
use crate::{EstimateUnit, FallawayError, Result};

/// A value as a person writes it, with its unit: "34 in", "1.98 mm", "5/64 in", ".045 in".
///
/// To write one, give the text alone; `value` and `unit` are filled in when the library answers, and
/// are not looked at when it is asked.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Entered {
    /// What is written; it keeps its unit and its notation for ever.
    pub text: String,
    /// The number in `unit`.
    #[uniffi(default = None)]
    pub value: Option<f64>,
    /// The unit of `value`; lengths are in millimetres.
    #[uniffi(default = None)]
    pub unit: Option<EstimateUnit>,
}

impl From<Amount> for Entered {
    fn from(amount: Amount) -> Self {
        let (value, unit) = in_shown_unit(amount);
        Self { text: amount.to_string(), value: Some(value), unit: Some(unit) }
    }
}

impl Entered {
    /// The amount that is written; `field` names it in errors.
    pub(crate) fn amount(&self, field: &str, dimension: Dimension) -> Result<Amount> {
        parse_amount(&self.text, None, dimension)
            .map_err(|error| FallawayError::bad_input(field, error, ""))
    }
}

/// The same for one that may be missing.
pub(crate) fn amount(
    entered: Option<&Entered>,
    field: &str,
    dimension: Dimension,
) -> Result<Option<Amount>> {
    entered.map(|entered| entered.amount(field, dimension)).transpose()
}

/// A plain number as the record keeps it, to nine decimal places.
pub(crate) fn decimal(field: &str, value: f64) -> Result<Decimal> {
    let refused = || {
        FallawayError::bad_input(
            field,
            format!("{value} cannot be written down"),
            "a number below a thousand million, with at most nine decimal places",
        )
    };
    // Beyond this the record's whole digits end.
    if !value.is_finite() || value.abs() >= 1e9 {
        return Err(refused());
    }
    let text = format!("{value:.9}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    // The shortest notation that fits: as many places as the record's digits leave room for.
    let room = 12_usize.saturating_sub(whole.trim_start_matches('-').len()).min(part.len());
    let part = part.get(..room).unwrap_or_default();
    let digits = format!("{whole}{part}").parse().map_err(|_| refused())?;
    let places = u8::try_from(part.len()).map_err(|_| refused())?;
    Decimal::new(digits, places).map_err(|_| refused())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_short_as_they_are() {
        let shown = |value| decimal("value", value).map(|decimal| decimal.to_string());
        for (value, text) in [
            (0.0, "0"),
            (-0.25, "-0.25"),
            (0.1 + 0.2, "0.3"),
            (120.0, "120"),
            (-0.000_022_15, "-0.00002215"),
            (123_456_789.123_456_78, "123456789.123"),
        ] {
            assert_eq!(shown(value).as_deref(), Ok(text));
        }
        for wrong in [f64::NAN, f64::INFINITY, 1e9, -1e300] {
            assert!(matches!(shown(wrong), Err(FallawayError::BadInput { .. })), "{wrong}");
        }
    }
}
