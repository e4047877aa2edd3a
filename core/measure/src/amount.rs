//! A number in the notation of the person who read it.

use std::cmp::Ordering;
use std::fmt;

use uom::si::f64::Length;
use uom::si::length::meter;

use crate::{Decimal, Dimension, Fraction, Unit, ValueError};

/// A number in the notation of the person who read it: exact, shown as it was written, never
/// converted.
///
/// Equality compares the notation (`5/64 in` is not `10/128 in`); [`Amount::compare`] compares the
/// values.
///
/// ```
/// use fallaway_measure::{Amount, Unit};
/// let read = Amount::fraction(5, 64)?;
/// assert_eq!(read.to_string(), "5/64 in");
/// let mm = Amount::decimal(198, 2, Unit::Millimetre)?;
/// assert_eq!(mm.to_string(), "1.98 mm");
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Amount {
    /// A decimal with its unit: `1.98 mm`, `0.078 in`, `12 thou`, `-3 cent`.
    Decimal {
        /// The number as written.
        value: Decimal,
        /// The unit in which it was written.
        unit: Unit,
    },
    /// A fraction of an inch: `5/64`, `2.5/32`, `1 1/16`.
    Fraction(Fraction),
}

impl Amount {
    /// `digits * 10^-places` of a unit.
    ///
    /// # Errors
    /// As [`Decimal::new`].
    pub fn decimal(digits: i64, places: u8, unit: Unit) -> Result<Self, ValueError> {
        Ok(Self::Decimal { value: Decimal::new(digits, places)?, unit })
    }

    /// `numerator/denominator` of an inch.
    ///
    /// # Errors
    /// As [`Fraction::new`].
    pub fn fraction(numerator: i32, denominator: u16) -> Result<Self, ValueError> {
        let magnitude = Decimal::new(i64::from(numerator).abs(), 0)?;
        Ok(Self::Fraction(Fraction::new(numerator < 0, 0, magnitude, denominator)?))
    }

    /// Zero in a unit.
    pub const fn zero(unit: Unit) -> Self {
        Self::Decimal { value: Decimal::ZERO, unit }
    }

    /// The unit; a fraction is one of inches.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Decimal { unit, .. } => unit,
            Self::Fraction(_) => Unit::Inch,
        }
    }

    /// What the amount measures.
    pub const fn dimension(self) -> Dimension {
        self.unit().dimension()
    }

    /// The number in its own unit (a fraction in inches), rounded once to the nearest double.
    pub fn number(self) -> f64 {
        match self {
            Self::Decimal { value, .. } => value.value(),
            Self::Fraction(fraction) => {
                let (top, bottom) = fraction.ratio();
                top as f64 / bottom as f64
            }
        }
    }

    /// The length that was read; `None` if the amount is not one.
    ///
    /// The metre value is rounded once, from the exact ratio. An inch is 25.4 mm exactly
    /// (international yard and pound agreement of 1959; NIST Special Publication 811, appendix B.8).
    pub fn length(self) -> Option<Length> {
        // Each numerator is a whole number below 2^53 and each divisor a power of ten below 10^22
        // (or a small multiple of one), so both are exact and only the division rounds.
        let metres = match self {
            Self::Decimal { value, unit } => {
                let (factor, shift) = match unit {
                    Unit::Millimetre => (1, 3),
                    Unit::Inch => (254, 4),
                    Unit::Thou => (254, 7),
                    _ => return None,
                };
                (value.digits() * factor) as f64 / 10_f64.powi(i32::from(value.places()) + shift)
            }
            Self::Fraction(fraction) => {
                let (top, bottom) = fraction.ratio();
                (top * 254) as f64 / (bottom * 10_000) as f64
            }
        };
        Some(Length::new::<meter>(metres))
    }

    /// The temperature in degrees Celsius, `(F - 32) / 1.8`; `None` if the amount is not one.
    pub fn celsius(self) -> Option<f64> {
        let (top, bottom) = self.ratio();
        (self.dimension() == Dimension::Temperature).then(|| top as f64 / bottom as f64)
    }

    /// The exact value as a ratio of whole numbers in a unit common to its dimension.
    pub(crate) fn ratio(self) -> (i128, i128) {
        match self {
            // (F - 32) * 5 / 9 degrees Celsius.
            Self::Decimal { value, unit: Unit::Fahrenheit } => {
                let scale = i128::from(value.scale());
                ((i128::from(value.digits()) - 32 * scale) * 5, scale * 9)
            }
            Self::Decimal { value, unit } => {
                // Lengths in ten-thousandths of a millimetre, turns in degrees, others as they are.
                let factor = match unit {
                    Unit::Millimetre => 10_000,
                    Unit::Inch => 254_000,
                    Unit::Thou => 254,
                    Unit::Turn => 360,
                    _ => 1,
                };
                (i128::from(value.digits()) * factor, i128::from(value.scale()))
            }
            Self::Fraction(fraction) => {
                let (top, bottom) = fraction.ratio();
                (i128::from(top) * 254_000, i128::from(bottom))
            }
        }
    }

    /// Compares the values exactly, whatever the notations; `None` if they measure different things.
    ///
    /// ```
    /// use fallaway_measure::{Amount, Unit};
    /// let inch = Amount::fraction(64, 64)?;
    /// let mm = Amount::decimal(254, 1, Unit::Millimetre)?;
    /// assert_eq!(inch.compare(mm), Some(std::cmp::Ordering::Equal));
    /// # Ok::<(), fallaway_measure::ValueError>(())
    /// ```
    pub fn compare(self, other: Self) -> Option<Ordering> {
        let alike = match (self.dimension(), other.dimension()) {
            (Dimension::Other, Dimension::Other) => self.unit() == other.unit(),
            (a, b) => a == b,
        };
        if !alike {
            return None;
        }
        let ((a, b), (c, d)) = (self.ratio(), other.ratio());
        Some((a * d).cmp(&(c * b)))
    }

    /// Whether the number as written is below zero, zero, or above.
    pub fn sign(self) -> Ordering {
        match self {
            Self::Decimal { value, .. } => value.digits().cmp(&0),
            Self::Fraction(fraction) => fraction.ratio().0.cmp(&0),
        }
    }
}

/// As written, with its unit; [`crate::parse_amount`] reads it back to the same value.
impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Decimal { value, unit: unit @ (Unit::Percent | Unit::Degree) } => {
                write!(f, "{value}{unit}")
            }
            Self::Decimal { value, unit } => write!(f, "{value} {unit}"),
            Self::Fraction(fraction) => write!(f, "{fraction} in"),
        }
    }
}
