//! What a number without a unit means.
//!
//! With a tool the number is in the tool's own steps or unit. Without one its form decides, and
//! where the form does not decide the number is refused with its possible meanings:
//!
//! | written, no tool | means |
//! |---|---|
//! | decimal comma, `1,98` | millimetres: who writes a comma does not write decimal inches |
//! | point first and three or more places, `.078` | inches, the habit of the trade |
//! | digit before the point, 0.2 to 25, `1.98` | millimetres: in inches this would be 5 to 635 mm |
//! | zero | 0 mm |
//! | anything else: `12`, `.25`, `0.078`, `34.0` | refused as ambiguous |
//!
//! | written, with a tool | means |
//! |---|---|
//! | whole or half number, rule divided in fractions of an inch | that many divisions, `2.5` is 2.5/32 |
//! | one with a part behind it there, `6½`, `5 1/2` | that many divisions |
//! | two or more places there, except quarters | by the form as above; other numbers are ambiguous |
//! | millimetre tool | millimetres |
//! | thousandth tool, whole or from 1 | thousandths; `.012` and `0.012` are inches |
//! | decimal inch tool, with a point | inches; whole numbers are ambiguous |

use super::Problem;
use super::scan::Number;
use crate::{Amount, Decimal, Dimension, Fraction, Tool, Unit};

/// The amount that a number without a unit stands for.
pub(super) fn meaning(
    number: Number,
    negative: bool,
    tool: Option<&Tool>,
    dimension: Dimension,
) -> Result<Amount, Problem> {
    let value = signed(number, negative)?;
    let with = |unit| Amount::Decimal { value, unit };
    match dimension {
        Dimension::Length => length(number, value, tool),
        Dimension::Interval => Ok(with(Unit::Cent)),
        Dimension::Frequency => Ok(with(Unit::Hertz)),
        Dimension::Share => Ok(with(Unit::Percent)),
        Dimension::Force => Ok(with(Unit::Newton)),
        Dimension::Temperature => Err(ambiguous(&[with(Unit::Celsius), with(Unit::Fahrenheit)])),
        Dimension::Rotation => Err(ambiguous(&[with(Unit::Turn), with(Unit::Degree)])),
        Dimension::Other => Err(Problem::MissingNumber { dimension }),
    }
}

/// A number with its sign; the digits of a zero have none.
pub(super) fn signed(number: Number, negative: bool) -> Result<Decimal, Problem> {
    Ok(Decimal::new(if negative { -number.digits } else { number.digits }, number.places)?)
}

fn ambiguous(meanings: &[Amount]) -> Problem {
    Problem::Ambiguous { meanings: meanings.to_vec() }
}

fn length(number: Number, value: Decimal, tool: Option<&Tool>) -> Result<Amount, Problem> {
    let with = |unit| Amount::Decimal { value, unit };
    match tool.map(|tool| tool.graduation()) {
        None => by_form(number, value),
        Some(Amount::Fraction(step)) => divisions(number, value, step),
        Some(Amount::Decimal { unit: Unit::Thou, .. }) => {
            let below_one = value.digits().unsigned_abs() < value.scale().unsigned_abs();
            if number.places == 0 || !below_one || value.digits() == 0 {
                Ok(with(Unit::Thou))
            } else if number.comma || number.places >= 3 {
                Ok(with(if number.comma { Unit::Millimetre } else { Unit::Inch }))
            } else {
                Err(ambiguous(&[with(Unit::Thou), with(Unit::Inch), with(Unit::Millimetre)]))
            }
        }
        Some(Amount::Decimal { unit: Unit::Inch, .. }) => {
            if number.places > 0 || value.digits() == 0 {
                Ok(with(Unit::Inch))
            } else {
                Err(ambiguous(&[with(Unit::Inch), with(Unit::Thou)]))
            }
        }
        Some(Amount::Decimal { .. }) => Ok(with(Unit::Millimetre)),
    }
}

/// On a rule that is divided in fractions of an inch.
fn divisions(number: Number, value: Decimal, step: Fraction) -> Result<Amount, Problem> {
    let count = Decimal::new(number.digits, number.places)?;
    let read = || Fraction::new(value.digits() < 0, 0, count, step.denominator());
    let half = number.places == 1 && number.digits % 10 == 5;
    // An eye that splits a division in quarters writes .25 and .75, but so does one that reads
    // millimetres.
    let quarter = number.places == 2 && number.digits % 25 == 0;
    if number.places == 0 || half || number.one_sign {
        Ok(Amount::Fraction(read()?))
    } else if number.places >= 2 && !quarter {
        by_form(number, value)
    } else {
        let millimetres = Amount::Decimal { value, unit: Unit::Millimetre };
        Err(ambiguous(&[Amount::Fraction(read()?), millimetres]))
    }
}

fn by_form(number: Number, value: Decimal) -> Result<Amount, Problem> {
    let with = |unit| Amount::Decimal { value, unit };
    if number.digits == 0 || number.comma {
        return Ok(with(Unit::Millimetre));
    }
    if number.one_sign {
        let mut meanings = vec![with(Unit::Millimetre)];
        let divisions = Decimal::new(number.digits, number.places);
        let sixty_fourths =
            divisions.and_then(|count| Fraction::new(value.digits() < 0, 0, count, 64));
        meanings.extend(sixty_fourths.map(Amount::Fraction));
        return Err(ambiguous(&meanings));
    }
    if number.places == 0 {
        let mut meanings = vec![with(Unit::Millimetre), with(Unit::Thou)];
        if let Ok(fraction) = Decimal::new(number.digits, 0)
            .and_then(|count| Fraction::new(value.digits() < 0, 0, count, 64))
        {
            meanings.push(Amount::Fraction(fraction));
        }
        return Err(ambiguous(&meanings));
    }
    if number.leading_point {
        return if number.places >= 3 {
            Ok(with(Unit::Inch))
        } else {
            Err(ambiguous(&[with(Unit::Inch), with(Unit::Millimetre)]))
        };
    }
    // 0.2 to 25, in whole numbers.
    let magnitude = value.digits().abs();
    let from_low = magnitude * 10 >= 2 * value.scale();
    let to_high = magnitude <= 25 * value.scale();
    if from_low && to_high {
        Ok(with(Unit::Millimetre))
    } else {
        Err(ambiguous(&[with(Unit::Millimetre), with(Unit::Inch)]))
    }
}
