//! A value as it crosses: with what was written, the unit, the uncertainty, and where it is from.

use fallaway::measure::{Amount, Taken, Tool, Unit};

/// The unit of a [`Figure`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum FigureUnit {
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
}

/// A value.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Figure {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit of `value`.
    pub unit: FigureUnit,
    /// What a person wrote, in that person's unit, such as "5/64 in"; `None` if nobody did.
    pub as_entered: Option<String>,
    /// What to show: as it was written if it was, else the number with its unit.
    pub text: String,
    /// One standard deviation of `value`, in `unit`; `None` if nothing is known about it.
    pub standard_uncertainty: Option<f64>,
    /// Where it is from.
    pub basis: Basis,
}

impl Figure {
    /// An amount that somebody wrote down.
    pub(crate) fn entered(amount: Amount) -> Self {
        let (value, unit) = in_shown_unit(amount);
        let text = amount.to_string();
        Self {
            value,
            unit,
            as_entered: Some(text.clone()),
            text,
            standard_uncertainty: None,
            basis: Basis::Measured,
        }
    }

    /// An amount that was read with a tool, with what the reading can tell.
    pub(crate) fn read(
        amount: Amount,
        reading: &fallaway::measure::Reading,
        tool: Option<&Tool>,
    ) -> Self {
        let taken = Taken::new(reading, tool);
        let length = taken.length().map(|(_, u)| u.value * 1000.0);
        let standard_uncertainty = length.or_else(|| taken.cents().map(|(_, u)| u));
        Self { standard_uncertainty, ..Self::entered(amount) }
    }
}

/// The number in the unit in which figures of its dimension cross.
fn in_shown_unit(amount: Amount) -> (f64, FigureUnit) {
    if let Some(length) = amount.length() {
        return (length.value * 1000.0, FigureUnit::Millimetre);
    }
    match amount.unit() {
        Unit::Cent => (amount.number(), FigureUnit::Cent),
        Unit::Hertz => (amount.number(), FigureUnit::Hertz),
        Unit::Newton => (amount.number(), FigureUnit::Newton),
        Unit::Degree => (amount.number(), FigureUnit::Degree),
        Unit::Percent => (amount.number(), FigureUnit::Percent),
        Unit::Celsius => (amount.number(), FigureUnit::Celsius),
        Unit::Turn => (amount.number(), FigureUnit::Turn),
        Unit::Fahrenheit => ((amount.number() - 32.0) * 5.0 / 9.0, FigureUnit::Celsius),
        _ => (amount.number(), FigureUnit::None),
    }
}
