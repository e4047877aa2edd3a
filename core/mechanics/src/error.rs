//! What a refusal says: which quantity, which value, in which unit, and what would be accepted.

use uom::si::f64::Length;
use uom::si::length::millimeter;

/// Shorthand for results of this crate.
pub type Result<T> = std::result::Result<T, Error>;

/// Why a computation was refused.
///
/// Every variant names the quantity in words that a person can be shown.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    /// A value lies outside the limits within which the formula is meant.
    #[error("{quantity}: {value} {unit} is outside {min} to {max} {unit}")]
    OutOfRange {
        /// What was given.
        quantity: &'static str,
        /// The value, in `unit`.
        value: f64,
        /// The unit of value and limits; `"1"` for a plain number.
        unit: &'static str,
        /// Smallest accepted value.
        min: f64,
        /// Largest accepted value.
        max: f64,
    },
    /// A value is not a number, or infinite.
    #[error("{quantity}: not a finite number; give a finite value")]
    NotFinite {
        /// What was given.
        quantity: &'static str,
    },
    /// Something that the computation needs was not given.
    #[error("{quantity} is needed {needed_for}")]
    Missing {
        /// What is missing.
        quantity: &'static str,
        /// For what, in words, for example "to turn a height into turns".
        needed_for: &'static str,
    },
    /// Too few values.
    #[error("{quantity}: {given} given, at least {needed} needed")]
    TooFew {
        /// What was given.
        quantity: &'static str,
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A list has another length than the list it belongs to.
    #[error("{quantity}: {given} given, {expected} expected")]
    CountMismatch {
        /// What was given.
        quantity: &'static str,
        /// How many were given.
        given: usize,
        /// How many belong there.
        expected: usize,
    },
    /// A place that does not exist on this instrument.
    #[error("there is no {what} {number}; this one has {first} to {last}")]
    NoSuchPlace {
        /// "fret" or "string".
        what: &'static str,
        /// The number asked for.
        number: usize,
        /// First that exists.
        first: usize,
        /// Last that exists.
        last: usize,
    },
    /// A name that is not in the list.
    #[error("no such {what}; accepted: {accepted}")]
    NotKnown {
        /// What was named.
        what: &'static str,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// Values that contradict each other.
    #[error("{what}: {reason}")]
    Inconsistent {
        /// Which values.
        what: &'static str,
        /// Why they cannot be, and what would be accepted.
        reason: &'static str,
    },
    /// The given values do not determine the answer.
    #[error("{what} cannot be told from what was given: {reason}")]
    Undetermined {
        /// What was asked.
        what: &'static str,
        /// Why, and what would tell.
        reason: &'static str,
    },
}

/// Accepts a finite number between `min` and `max` (both included).
///
/// # Errors
///
/// [`Error::NotFinite`] or [`Error::OutOfRange`], both naming `quantity`.
///
/// ```
/// use fallaway_mechanics::error::{check, Error};
/// assert_eq!(check("turns", 0.25, "turns", -4.0, 4.0), Ok(0.25));
/// assert!(matches!(check("turns", 9.0, "turns", -4.0, 4.0), Err(Error::OutOfRange { max: 4.0, .. })));
/// ```
pub fn check(
    quantity: &'static str,
    value: f64,
    unit: &'static str,
    min: f64,
    max: f64,
) -> Result<f64> {
    if !value.is_finite() {
        return Err(Error::NotFinite { quantity });
    }
    if value < min || value > max {
        return Err(Error::OutOfRange { quantity, value, unit, min, max });
    }
    Ok(value)
}

/// Accepts a length between `min_mm` and `max_mm` and returns it in millimetres.
///
/// # Errors
///
/// As [`check`], with limits in mm.
///
/// ```
/// use fallaway_mechanics::{error::check_mm, units::mm};
/// assert!((check_mm("scale length", mm(863.6), 100.0, 3000.0).unwrap() - 863.6).abs() < 1e-9);
/// assert!(check_mm("scale length", mm(8.0), 100.0, 3000.0).is_err());
/// ```
pub fn check_mm(quantity: &'static str, value: Length, min_mm: f64, max_mm: f64) -> Result<f64> {
    check(quantity, value.get::<millimeter>(), "mm", min_mm, max_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_name_quantity_value_unit_and_limits() {
        let text = check("scale length", 5.0, "mm", 100.0, 3000.0).unwrap_err().to_string();
        assert_eq!(text, "scale length: 5 mm is outside 100 to 3000 mm");
    }

    #[test]
    fn nan_and_infinity_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(
                check("relief", bad, "mm", -5.0, 5.0),
                Err(Error::NotFinite { quantity: "relief" })
            );
        }
    }
}
