//! A value as it crosses: with what was written, the unit, the uncertainty, and where it is from.

use fallaway::advice::observe;
use fallaway::measure::{self, Amount, Reading, Unit, number_in};
use fallaway::text::{Computed, LengthOf, names};

use crate::voice::say;

/// The unit of a [`Estimate`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum EstimateUnit {
    /// Millimetres. Lengths are always given in these; what was written stands in `as_entered`.
    Millimetre,
    /// Cents, a hundredth of an equal-tempered semitone.
    Cent,
    /// Hertz, of a frequency.
    Hertz,
    /// Newtons, of a force: the pull of a string, a touch.
    Newton,
    /// Degrees of angle.
    Degree,
    /// Percent, as of relative humidity.
    Percent,
    /// Degrees Celsius, also where it was written in Fahrenheit.
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

/// A number with its unit, its uncertainty, how a person wrote it, and where it is from.
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

fn computed(known: observe::Estimate) -> Computed {
    match known.scale {
        observe::EstimateUnit::Millimetre => Computed::mm(known.value),
        observe::EstimateUnit::Cent => Computed::cents(known.value),
    }
}

/// A number as advice knows it.
pub(crate) fn known(known: observe::Estimate, basis: Basis) -> Estimate {
    Estimate {
        value: known.value,
        unit: unit(known.scale),
        as_entered: None,
        text: say(&names::computed(computed(known))),
        standard_uncertainty: Some(known.standard_uncertainty),
        basis,
    }
}

/// A bare number in a scale.
pub(crate) fn bare(value: f64, scale: observe::EstimateUnit) -> Estimate {
    Estimate {
        standard_uncertainty: None,
        ..known(observe::Estimate::new(value, 0.0, scale), Basis::Computed)
    }
}

fn unit(scale: observe::EstimateUnit) -> EstimateUnit {
    match scale {
        observe::EstimateUnit::Millimetre => EstimateUnit::Millimetre,
        observe::EstimateUnit::Cent => EstimateUnit::Cent,
    }
}

/// What a reading says, as it was written.
pub(crate) fn of_reading(reading: Reading, tool: Option<measure::Tool>, of: LengthOf) -> Estimate {
    let read = observe::Estimate::of_reading(reading, tool);
    let estimated = match read {
        Some(read) => known(read, Basis::Measured),
        // Neither a length nor an interval.
        None => match reading.low().or(reading.high()) {
            Some(amount) => Estimate::entered(amount, of),
            None => bare(f64::NAN, observe::EstimateUnit::Millimetre),
        },
    };
    let text = say(&names::reading(reading).of(of));
    Estimate { as_entered: Some(reading.to_string()), text, ..estimated }
}

/// An amount that the library put into the notation of a tool.
pub(crate) fn in_notation(amount: Amount, of: observe::Estimate) -> Estimate {
    Estimate { text: say(&names::amount(amount)), ..known(of, Basis::Computed) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is expected is said with the minus sign of what was read.
    #[test]
    fn what_is_expected_below_zero_has_a_minus_sign() {
        let of = observe::Estimate::new(-0.37, 0.01, observe::EstimateUnit::Millimetre);
        let notated = Amount::decimal(-37, 2, Unit::Millimetre).map(|one| in_notation(one, of));
        let text = notated.map(|one| one.text).unwrap_or_default();
        assert!(text.starts_with('−') && !text.contains('-'), "{text}");
    }
}
