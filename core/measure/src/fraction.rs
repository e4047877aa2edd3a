//! Fractions of an inch, as read off a rule.

use std::fmt;

use crate::{Decimal, ValueError};

/// A fraction of an inch in the divisions in which it was read: `5/64`, `2.5/32`, `1 1/16`.
///
/// Never reduced: four sixty-fourths were read on another scale than one sixteenth.
///
/// ```
/// use fallaway_measure::{Decimal, Fraction};
/// assert_eq!(Fraction::new(false, 1, Decimal::whole(1), 16)?.to_string(), "1 1/16");
/// assert_eq!(Fraction::new(false, 0, Decimal::new(25, 1)?, 32)?.to_string(), "2.5/32");
/// assert!(Fraction::new(false, 0, Decimal::whole(5), 0).is_err());
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Fraction {
    negative: bool,
    whole: u32,
    numerator: Decimal,
    denominator: u16,
}

impl Fraction {
    /// Divisions of an inch that rules carry: halvings, and those of decimal and twelfth scales.
    pub const DENOMINATORS: [u16; 15] = [2, 4, 8, 16, 32, 64, 128, 10, 12, 20, 24, 40, 48, 50, 100];
    /// The same list for messages.
    pub const DENOMINATORS_TEXT: &'static str =
        "2, 4, 8, 16, 32, 64, 128; 10, 20, 40, 50, 100; 12, 24, 48";
    /// Largest count of whole inches.
    pub const MAX_WHOLE: u32 = 9_999;
    /// Largest numerator without its point, so also the largest count of divisions.
    pub const MAX_NUMERATOR: i64 = 9_999_999;
    /// Most places of a numerator: a division split in halves to eighths, or in tenths.
    pub const MAX_PLACES: u8 = 3;

    /// `whole numerator/denominator` inches, below zero if `negative`. A zero has no sign.
    ///
    /// # Errors
    /// [`ValueError::Denominator`] for divisions that no rule carries (zero among them),
    /// [`ValueError::OutOfRange`] for a numerator below zero, above [`Self::MAX_NUMERATOR`] or with
    /// more than [`Self::MAX_PLACES`] places, or for more than [`Self::MAX_WHOLE`] inches.
    pub fn new(
        negative: bool,
        whole: u32,
        numerator: Decimal,
        denominator: u16,
    ) -> Result<Self, ValueError> {
        if !Self::DENOMINATORS.contains(&denominator) {
            return Err(ValueError::Denominator {
                denominator: u32::from(denominator),
                accepted: Self::DENOMINATORS_TEXT,
            });
        }
        if whole > Self::MAX_WHOLE {
            return Err(ValueError::OutOfRange {
                what: "number of whole inches",
                value: whole.to_string(),
                low: 0,
                high: i64::from(Self::MAX_WHOLE),
            });
        }
        if !(0..=Self::MAX_NUMERATOR).contains(&numerator.digits()) {
            return Err(ValueError::OutOfRange {
                what: "numerator without its point",
                value: numerator.digits().to_string(),
                low: 0,
                high: Self::MAX_NUMERATOR,
            });
        }
        if numerator.places() > Self::MAX_PLACES {
            return Err(ValueError::OutOfRange {
                what: "number of places of a numerator",
                value: numerator.places().to_string(),
                low: 0,
                high: i64::from(Self::MAX_PLACES),
            });
        }
        let negative = negative && (whole > 0 || numerator.digits() > 0);
        Ok(Self { negative, whole, numerator, denominator })
    }

    /// For constants of this crate: one division.
    pub(crate) const fn division(denominator: u16) -> Self {
        Self { negative: false, whole: 0, numerator: Decimal::whole(1), denominator }
    }

    /// Whether it lies below zero.
    pub const fn negative(self) -> bool {
        self.negative
    }

    /// Whole inches before the fraction.
    pub const fn whole(self) -> u32 {
        self.whole
    }

    /// How many divisions.
    pub const fn numerator(self) -> Decimal {
        self.numerator
    }

    /// How many divisions an inch has.
    pub const fn denominator(self) -> u16 {
        self.denominator
    }

    /// The exact value in inches as a fraction of whole numbers: (top, bottom), bottom above zero.
    pub(crate) fn ratio(self) -> (i64, i64) {
        // At most 9,999 * 128 * 1,000 + 9,999,999: far inside 64 bits.
        let bottom = i64::from(self.denominator) * self.numerator.scale();
        let top = i64::from(self.whole) * bottom + self.numerator.digits();
        (if self.negative { -top } else { top }, bottom)
    }
}

/// As written, without the unit.
impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.negative {
            f.write_str("-")?;
        }
        if self.whole > 0 {
            write!(f, "{} ", self.whole)?;
        }
        write!(f, "{}/{}", self.numerator, self.denominator)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn not_reduced_and_zero_has_no_sign() {
        let four = Fraction::new(false, 0, Decimal::whole(4), 64).unwrap();
        let one = Fraction::new(false, 0, Decimal::whole(1), 16).unwrap();
        assert_ne!(four, one);
        assert!(!Fraction::new(true, 0, Decimal::ZERO, 64).unwrap().negative());
        assert_eq!(Fraction::new(true, 1, Decimal::whole(1), 2).unwrap().ratio(), (-3, 2));
    }

    #[test]
    fn refusals_say_what_is_accepted() {
        let refused = Fraction::new(false, 0, Decimal::whole(5), 46).unwrap_err().to_string();
        assert!(refused.contains("1/46") && refused.contains("64"), "{refused}");
        assert!(Fraction::new(false, 0, Decimal::whole(-5), 64).is_err());
        assert!(Fraction::new(false, 10_000, Decimal::whole(5), 64).is_err());
    }
}
