//! The same amount in another unit, when a person asks. It never replaces what was read.

use std::fmt;

use crate::{Amount, Decimal, Dimension, Fraction, Unit};

/// How an amount shall be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmountFormat {
    /// In decimals of a unit.
    Decimal {
        /// The unit to show it in.
        unit: Unit,
        /// Places behind the point, at most nine.
        places: u8,
    },
    /// To the nearest division of an inch.
    Divisions {
        /// Divisions in an inch.
        denominator: u16,
    },
}

/// An amount as it looks in another unit. It can be shown, but not stored: what was read stays what
/// it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conversion {
    amount: Amount,
    exact: bool,
}

impl Conversion {
    /// Whether nothing was rounded.
    pub const fn is_exact(self) -> bool {
        self.exact
    }

    /// The amount, to be shown in another notation than [`fmt::Display`]'s.
    pub const fn amount(self) -> Amount {
        self.amount
    }
}

impl fmt::Display for Conversion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.amount.fmt(f)
    }
}

/// The amount in another unit, computed exactly and rounded once, halves away from zero.
///
/// `None` if the unit measures something else, if no rule has such divisions, or if the result is
/// too large to write down.
///
/// ```
/// use fallaway_measure::{Amount, AmountFormat, Unit, in_unit};
/// let read = Amount::fraction(5, 64)?;
/// let mm = in_unit(read, AmountFormat::Decimal { unit: Unit::Millimetre, places: 3 }).unwrap();
/// assert_eq!(mm.to_string(), "1.984 mm");
/// assert!(!mm.is_exact()); // 1.984375 mm
/// let back = in_unit(Amount::decimal(198, 2, Unit::Millimetre)?, AmountFormat::Divisions { denominator: 64 });
/// assert_eq!(back.unwrap().to_string(), "5/64 in");
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
pub fn in_unit(amount: Amount, scale: AmountFormat) -> Option<Conversion> {
    let (top, bottom) = amount.ratio();
    match scale {
        AmountFormat::Decimal { unit, places } => {
            let same = amount.dimension() == unit.dimension();
            if !same || unit.dimension() == Dimension::Other || places > Decimal::MAX_PLACES {
                return None;
            }
            // One of the wanted last place, in the common unit.
            let origin = Amount::zero(unit).ratio();
            let step = difference(Amount::decimal(1, places, unit).ok()?.ratio(), origin)?;
            let from_origin = difference((top, bottom), origin)?;
            let (digits, exact) =
                divide(from_origin.0.checked_mul(step.1)?, from_origin.1.checked_mul(step.0)?);
            let amount = Amount::decimal(i64::try_from(digits).ok()?, places, unit).ok()?;
            Some(Conversion { amount, exact })
        }
        AmountFormat::Divisions { denominator } => {
            let divided = Fraction::DENOMINATORS.contains(&denominator);
            if amount.dimension() != Dimension::Length || !divided {
                return None;
            }
            let (count, exact) =
                divide(top.checked_mul(i128::from(denominator))?, bottom.checked_mul(254_000)?);
            let inches = count.unsigned_abs() / u128::from(denominator);
            let rest = (count.unsigned_abs() % u128::from(denominator)) as i64;
            // As read off the rule: 5/64, but 1 5/64.
            let numerator = Decimal::new(rest, 0).ok()?;
            let whole = u32::try_from(inches).ok()?;
            let fraction = Fraction::new(count < 0, whole, numerator, denominator).ok()?;
            Some(Conversion { amount: Amount::Fraction(fraction), exact })
        }
    }
}

/// The amount as a plain number of another unit, from the exact ratio; `None` if the unit measures
/// something else.
///
/// ```
/// use fallaway_measure::{Amount, Unit, number_in};
/// let scale = Amount::decimal(33, 0, Unit::Inch)?;
/// assert_eq!(number_in(scale, Unit::Millimetre), Some(838.2));
/// assert_eq!(number_in(Amount::decimal(41, 0, Unit::Fahrenheit)?, Unit::Celsius), Some(5.0));
/// assert_eq!(number_in(scale, Unit::Hertz), None);
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
pub fn number_in(amount: Amount, unit: Unit) -> Option<f64> {
    if amount.dimension() != unit.dimension() || unit.dimension() == Dimension::Other {
        return None;
    }
    let origin = Amount::zero(unit).ratio();
    let step = difference(Amount::decimal(1, 0, unit).ok()?.ratio(), origin)?;
    let (top, bottom) = difference(amount.ratio(), origin)?;
    let (top, bottom) = (top.checked_mul(step.1)?, bottom.checked_mul(step.0)?);
    // Whole numbers below 2^53 for anything that somebody reads: only the division rounds.
    Some(top as f64 / bottom as f64)
}

/// `a - b` as a ratio of whole numbers.
fn difference(a: (i128, i128), b: (i128, i128)) -> Option<(i128, i128)> {
    let top = a.0.checked_mul(b.1)?.checked_sub(b.0.checked_mul(a.1)?)?;
    Some((top, a.1.checked_mul(b.1)?))
}

/// Quotient rounded to the nearest whole number, halves away from zero; whether it was exact. The
/// divisor is above zero.
fn divide(top: i128, bottom: i128) -> (i128, bool) {
    let (quotient, rest) = (top / bottom, top % bottom);
    let up = i128::from(rest.unsigned_abs() >= bottom.unsigned_abs() - rest.unsigned_abs());
    (quotient + up * rest.signum(), rest == 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse_amount;

    fn shown(text: &str, dimension: Dimension, scale: AmountFormat) -> Option<String> {
        let amount = parse_amount(text, None, dimension).unwrap();
        in_unit(amount, scale).map(|conversion| conversion.to_string())
    }

    /// 1 in = 25.4 mm exactly: international yard and pound agreement of 1959; NIST Special
    /// Publication 811 (2008), appendix B.8.
    #[test]
    fn lengths() {
        let mm = |places| AmountFormat::Decimal { unit: Unit::Millimetre, places };
        for (text, scale, wanted) in [
            ("1.00 in", mm(1), "25.4 mm"),
            ("5/64", mm(6), "1.984375 mm"),
            ("5/64", mm(2), "1.98 mm"),
            ("-12 thou", mm(4), "-0.3048 mm"),
            ("1 1/16 in", mm(4), "26.9875 mm"),
            ("25.4 mm", AmountFormat::Decimal { unit: Unit::Thou, places: 0 }, "1000 thou"),
            ("1/2", AmountFormat::Decimal { unit: Unit::Inch, places: 0 }, "1 in"),
            ("-1/2", AmountFormat::Decimal { unit: Unit::Inch, places: 0 }, "-1 in"),
            ("27 mm", AmountFormat::Divisions { denominator: 64 }, "1 4/64 in"),
            ("-0.1 mm", AmountFormat::Divisions { denominator: 64 }, "0/64 in"),
        ] {
            assert_eq!(shown(text, Dimension::Length, scale).as_deref(), Some(wanted), "{text}");
        }
        assert_eq!(
            shown("27 mm", Dimension::Length, AmountFormat::Divisions { denominator: 0 }),
            None
        );
        let hertz = AmountFormat::Decimal { unit: Unit::Hertz, places: 0 };
        assert_eq!(shown("27 mm", Dimension::Length, hertz), None);
        let inch = parse_amount("1 in", None, Dimension::Length).unwrap();
        assert!(in_unit(inch, mm(1)).unwrap().is_exact());
        assert!(!in_unit(inch, mm(0)).unwrap().is_exact());
    }

    /// 212 F boils, 32 F freezes, and the two scales meet at -40 (NIST Special Publication 811,
    /// appendix B.8: t/C = (t/F - 32)/1.8).
    #[test]
    fn temperatures() {
        for (text, unit, wanted) in [
            ("212 °F", Unit::Celsius, "100.0 °C"),
            ("32 F", Unit::Celsius, "0.0 °C"),
            ("21 °C", Unit::Fahrenheit, "69.8 °F"),
            ("-40 °C", Unit::Fahrenheit, "-40.0 °F"),
        ] {
            let scale = AmountFormat::Decimal { unit, places: 1 };
            assert_eq!(shown(text, Dimension::Temperature, scale).as_deref(), Some(wanted));
        }
    }
}
