//! Exact decimals that remember how many places were written.

use std::fmt;

use crate::ValueError;

/// An exact decimal as it was written: `digits * 10^-places`.
///
/// `1.98` is 198 with 2 places. `0.50` keeps its two places and is another notation than `0.5`:
/// equality compares the notation. Limits: twelve digits, nine places, so that every value is exact
/// in a double's 53 bits before the one division that a conversion takes.
///
/// ```
/// use fallaway_measure::Decimal;
/// let d = Decimal::new(198, 2)?;
/// assert_eq!(d.to_string(), "1.98");
/// assert_eq!(d.value(), 1.98);
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Decimal {
    digits: i64,
    places: u8,
}

impl Decimal {
    /// Largest magnitude of the digits.
    pub const MAX_DIGITS: i64 = 999_999_999_999;
    /// Most places behind the point.
    pub const MAX_PLACES: u8 = 9;
    /// Zero, without places.
    pub const ZERO: Decimal = Decimal { digits: 0, places: 0 };

    /// A decimal of `digits * 10^-places`.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] beyond [`Self::MAX_DIGITS`] or [`Self::MAX_PLACES`].
    pub fn new(digits: i64, places: u8) -> Result<Self, ValueError> {
        if !(-Self::MAX_DIGITS..=Self::MAX_DIGITS).contains(&digits) {
            return Err(ValueError::OutOfRange {
                what: "number without its point",
                value: digits.to_string(),
                low: -Self::MAX_DIGITS,
                high: Self::MAX_DIGITS,
            });
        }
        if places > Self::MAX_PLACES {
            return Err(ValueError::OutOfRange {
                what: "number of places",
                value: places.to_string(),
                low: 0,
                high: i64::from(Self::MAX_PLACES),
            });
        }
        Ok(Self { digits, places })
    }

    /// The shortest decimal that gives a double to nine places, or to twelve digits if they end
    /// before; `None` from a thousand million on, and for what is no number.
    pub fn nearest(value: f64) -> Option<Self> {
        if !value.is_finite() || value.abs() >= 1e9 {
            return None;
        }
        let text = format!("{value:.9}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let room = 12_usize.saturating_sub(whole.trim_start_matches('-').len()).min(part.len());
        let part = part.get(..room)?;
        Self::new(format!("{whole}{part}").parse().ok()?, u8::try_from(part.len()).ok()?).ok()
    }

    /// A whole number.
    pub const fn whole(value: i32) -> Self {
        Self { digits: value as i64, places: 0 }
    }

    /// For constants of this crate, whose limits are seen at the place they are written.
    pub(crate) const fn constant(digits: i64, places: u8) -> Self {
        Self { digits, places }
    }

    /// All digits, without the point.
    pub const fn digits(self) -> i64 {
        self.digits
    }

    /// How many of the digits stand behind the point.
    pub const fn places(self) -> u8 {
        self.places
    }

    /// The nearest double.
    pub fn value(self) -> f64 {
        self.digits as f64 / 10_f64.powi(i32::from(self.places))
    }

    /// `10^places`, at most `10^9`.
    pub(crate) fn scale(self) -> i64 {
        10_i64.pow(u32::from(self.places))
    }
}

/// Point as decimal sign, a zero before it, the places as written.
impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.digits < 0 { "-" } else { "" };
        let magnitude = self.digits.unsigned_abs();
        let scale = self.scale().unsigned_abs();
        let places = usize::from(self.places);
        if places == 0 {
            write!(f, "{sign}{magnitude}")
        } else {
            write!(f, "{sign}{}.{:0places$}", magnitude / scale, magnitude % scale)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_kept() {
        assert_eq!(Decimal::new(50, 2).unwrap().to_string(), "0.50");
        assert_eq!(Decimal::new(-5, 2).unwrap().to_string(), "-0.05");
        assert_eq!(Decimal::new(1, 9).unwrap().to_string(), "0.000000001");
        assert_eq!(Decimal::whole(-12).to_string(), "-12");
        assert_ne!(Decimal::new(50, 2).unwrap(), Decimal::new(5, 1).unwrap());
    }

    #[test]
    fn a_double_is_written_as_short_as_it_is() {
        for (value, text) in [
            (0.0, "0"),
            (-0.25, "-0.25"),
            (0.1 + 0.2, "0.3"),
            (120.0, "120"),
            (-0.000_022_15, "-0.00002215"),
            (123_456_789.123_456_78, "123456789.123"),
        ] {
            assert_eq!(Decimal::nearest(value).unwrap().to_string(), text);
        }
        for wrong in [f64::NAN, f64::INFINITY, 1e9, -1e300] {
            assert_eq!(Decimal::nearest(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn limits_are_named() {
        let refused = Decimal::new(1_000_000_000_000, 0).unwrap_err().to_string();
        assert!(refused.contains("1000000000000") && refused.contains("999999999999"), "{refused}");
        assert!(Decimal::new(i64::MIN, 0).is_err());
        assert!(Decimal::new(1, 10).is_err());
    }
}
