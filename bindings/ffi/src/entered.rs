//! Values that a person writes, both ways.

use fallaway::measure::{Amount, Decimal, Dimension, LimitUnit, parse_amount};
use fallaway::text::messages::errors as say;
use fallaway::text::{Computed, Phrase, errors};

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
    pub(crate) fn amount(&self, field: impl Into<Phrase>, dimension: Dimension) -> Result<Amount> {
        parse_amount(&self.text, None, dimension).map_err(|error| {
            let accepted = errors::reading_accepts(&error);
            FallawayError::bad_input(&field.into(), &errors::reading(&error), accepted)
        })
    }
}

/// The same for one that may be missing.
pub(crate) fn amount(
    entered: Option<&Entered>,
    field: impl Into<Phrase>,
    dimension: Dimension,
) -> Result<Option<Amount>> {
    entered.map(|entered| entered.amount(field, dimension)).transpose()
}

/// A plain number as the record keeps it; `field` names it in errors.
pub(crate) fn decimal(field: &Phrase, value: f64) -> Result<Decimal> {
    Decimal::nearest(value).ok_or_else(|| {
        let reason = say::number_unwritable(Computed::exact(value));
        let most = Decimal::MAX_DIGITS as f64 / 1000.0;
        let accepted = fallaway::Accepted::from_to(-most, most, LimitUnit::One);
        FallawayError::bad_input(field, &reason, accepted.said(say::number_accepted()))
    })
}
