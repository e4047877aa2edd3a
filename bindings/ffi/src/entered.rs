//! Values that a person writes, both ways.

use fallaway::measure::Amount;

use crate::EstimateUnit;
use crate::estimate::in_shown_unit;

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
