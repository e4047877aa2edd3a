//! A value as it crosses: with what was written, the unit, the uncertainty, and where it is from.

use fallaway::measure::{Amount, Unit, number_in};
use fallaway::text::{LengthOf, names};

use crate::voice::say;

/// The unit of a [`Estimate`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum EstimateUnit {
    /// Millimetres. Lengths are always given in these; what was written stands in `as_entered`.
    Millimetre,
    /// Cents, a hundredth of an equal-tempered semitone.
    Cent,
    /// Hertz.
    Hertz,
    /// Newtons.
    Newton,
    /// Degrees of angle.
    Degree,
    /// Percent.
    Percent,
    /// Degrees Celsius.
    Celsius,
    /// Full turns; above zero is clockwise as seen from the tool.
    Turn,
    /// A plain number, or a unit that only a newer version knows.
    None,
}

/// Where a value is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum Basis {
    /// Somebody read it, or wrote it down.
    Measured,
    /// Learned from this instrument's own history.
    Learned,
    /// Taken for granted, for want of anything better.
    Assumed,
    /// Worked out from others.
    Computed,
    /// What came after this app was built.
    Newer,
}

/// A value.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Estimate {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit of `value`.
    pub unit: EstimateUnit,
    /// What a person wrote, in that person's unit, such as "5/64 in"; `None` if nobody did.
    pub as_entered: Option<String>,
    /// What to show: as it was written if it was, unless another unit is preferred for readings, else
    /// the number with its unit.
    pub text: String,
    /// One standard deviation of `value`, in `unit`; `None` if nothing is known about it.
    pub standard_uncertainty: Option<f64>,
    /// Where it is from.
    pub basis: Basis,
}

impl Estimate {
    /// An amount that somebody wrote down of such a length.
    pub(crate) fn entered(amount: Amount, of: LengthOf) -> Self {
        let (value, unit) = in_shown_unit(amount);
        Self {
            value,
            unit,
            as_entered: Some(amount.to_string()),
            text: say(&names::amount(amount).of(of)),
            standard_uncertainty: None,
            basis: Basis::Measured,
        }
    }
}

/// The number in the unit in which figures of its dimension cross.
pub(crate) fn in_shown_unit(amount: Amount) -> (f64, EstimateUnit) {
    let (unit, shown) = match amount.unit() {
        Unit::Millimetre | Unit::Inch | Unit::Thou => (Unit::Millimetre, EstimateUnit::Millimetre),
        Unit::Celsius | Unit::Fahrenheit => (Unit::Celsius, EstimateUnit::Celsius),
        Unit::Cent => (Unit::Cent, EstimateUnit::Cent),
        Unit::Hertz => (Unit::Hertz, EstimateUnit::Hertz),
        Unit::Newton => (Unit::Newton, EstimateUnit::Newton),
        Unit::Degree => (Unit::Degree, EstimateUnit::Degree),
        Unit::Percent => (Unit::Percent, EstimateUnit::Percent),
        Unit::Turn => (Unit::Turn, EstimateUnit::Turn),
        other @ Unit::Other(_) => (other, EstimateUnit::None),
    };
    (number_in(amount, unit).unwrap_or_else(|| amount.number()), shown)
}
