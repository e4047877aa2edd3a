//! A number with how well it is known, in the unit in which the plan computes.

use fallaway_measure::{Amount, Dimension, Reading, Taken, Tool, Unit};
use uom::si::f64::Length;
use uom::si::length::millimeter;

/// The unit of a [`Estimate`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EstimateUnit {
    /// Millimetres: gaps, relief, spacing, heights.
    Millimetre,
    /// Cents: pitch and intonation, 1200 to the octave.
    Cent,
}

impl EstimateUnit {
    /// The scale for what a quantity measures; `None` for what the plan does not use.
    pub const fn of(dimension: Dimension) -> Option<Self> {
        match dimension {
            Dimension::Length => Some(Self::Millimetre),
            Dimension::Interval => Some(Self::Cent),
            _ => None,
        }
    }

    /// Its symbol: `mm` or `cent`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Cent => "cent",
        }
    }
}

/// Whether a number is what was seen, or only one side of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Bound {
    /// A value, or the middle of an interval.
    Value,
    /// No more than this.
    AtMost,
    /// No less than this.
    AtLeast,
}

/// A number, its standard uncertainty (one standard deviation) and their unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The number, in `scale`.
    pub value: f64,
    /// One standard deviation, in `scale`; never negative.
    pub standard_uncertainty: f64,
    /// The unit of both.
    pub scale: EstimateUnit,
    /// Whether the number is a value or one side of it.
    pub bound: Bound,
}

/// How many standard uncertainties a difference must exceed before it means anything: 2, about
/// 95 % of a normal distribution (JCGM 100:2008, "GUM", 6.3.3).
pub const COVERAGE: f64 = fallaway_measure::COVERAGE_FACTOR;

impl Estimate {
    /// A value in mm.
    pub const fn mm(value: f64, standard_uncertainty: f64) -> Self {
        Self { value, standard_uncertainty, scale: EstimateUnit::Millimetre, bound: Bound::Value }
    }

    /// A value in cents.
    pub const fn cent(value: f64, standard_uncertainty: f64) -> Self {
        Self { value, standard_uncertainty, scale: EstimateUnit::Cent, bound: Bound::Value }
    }

    /// A value in any scale.
    pub const fn new(value: f64, standard_uncertainty: f64, scale: EstimateUnit) -> Self {
        Self { value, standard_uncertainty, scale, bound: Bound::Value }
    }

    /// The length with its uncertainty; `None` for cents.
    pub fn length(self) -> Option<fallaway_mechanics::Uncertain<Length>> {
        (self.scale == EstimateUnit::Millimetre).then(|| fallaway_mechanics::Uncertain {
            value: Length::new::<millimeter>(self.value),
            standard_uncertainty: Length::new::<millimeter>(self.standard_uncertainty),
        })
    }

    /// What a reading says, with the uncertainty of its tool as [`Taken`] gives it. `None` for what
    /// is neither a length nor an interval in cents.
    pub fn of_reading(reading: Reading, tool: Option<Tool>) -> Option<Self> {
        // A bound is as sure as a value read at the same mark.
        let (seen, bound) = match reading {
            Reading::AtMost(amount) => (Reading::Value(amount), Bound::AtMost),
            Reading::AtLeast(amount) => (Reading::Value(amount), Bound::AtLeast),
            other => (other, Bound::Value),
        };
        Self::taken(Taken::new(&seen, tool.as_ref()), bound)
    }

    /// As [`Self::of_reading`], by a reader whose single reading scatters `over_stated` times as much as
    /// the tool states. The rounding to the tool's graduation stays, and so does half of the usual
    /// repeatability: whoever reads again knows what was read before (a choice). `None` for the usual
    /// uncertainty.
    pub fn of_reading_repeating(
        reading: Reading,
        tool: Option<Tool>,
        over_stated: Option<f64>,
    ) -> Option<Self> {
        let usual = Self::of_reading(reading, tool)?;
        let Some(over) = over_stated.filter(|_| usual.scale == EstimateUnit::Millimetre) else {
            return Some(usual);
        };
        let seen = match reading {
            Reading::AtMost(amount) | Reading::AtLeast(amount) => Reading::Value(amount),
            other => other,
        };
        let repeatability = Some(Length::default());
        let rounded = Taken { repeatability, ..Taken::new(&seen, tool.as_ref()) };
        let rounding = Self::taken(rounded, usual.bound)?.standard_uncertainty;
        let square = |u: f64| u * u - rounding * rounding;
        let least = square(usual.standard_uncertainty).max(0.0).sqrt() / 2.0;
        let shown = square(over * usual.standard_uncertainty).max(0.0).sqrt();
        Some(Self { standard_uncertainty: rounding.hypot(shown.max(least)), ..usual })
    }

    fn taken(taken: Taken<'_>, bound: Bound) -> Option<Self> {
        let known = match EstimateUnit::of(taken.reading.dimension())? {
            EstimateUnit::Millimetre => {
                let (value, u) = taken.length()?;
                Self::mm(value.get::<millimeter>(), u.get::<millimeter>())
            }
            EstimateUnit::Cent => {
                let (value, u) = taken.cents()?;
                Self::cent(value, u)
            }
        };
        known.value.is_finite().then_some(Self { bound, ..known })
    }

    /// What an amount says, exact.
    pub(crate) fn of_amount(amount: Amount) -> Option<Self> {
        let scale = EstimateUnit::of(amount.dimension())?;
        number(amount, scale).map(|value| Self::new(value, 0.0, scale))
    }

    /// The difference `self - other`, both independent; a bound stays a bound of the same side.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self {
            value: self.value - other.value,
            standard_uncertainty: self.standard_uncertainty.hypot(other.standard_uncertainty),
            ..self
        }
    }

    /// Whether the number is told apart from zero by [`COVERAGE`] standard uncertainties. A bound
    /// tells only on its own side.
    pub fn tells(self) -> bool {
        let far = self.value.abs() > COVERAGE * self.standard_uncertainty;
        match self.bound {
            Bound::Value => far,
            Bound::AtMost => far && self.value < 0.0,
            Bound::AtLeast => far && self.value > 0.0,
        }
    }
}

/// A number in the notation of a reading: the nearest whole count of the tool's graduations, or of
/// the last written place. `None` if it cannot be written so.
pub fn in_notation(known: Estimate, reading: Reading, tool: Option<Tool>) -> Option<Amount> {
    written(known, reading, tool, f64::round)
}

/// As [`in_notation`], with another rounding to whole graduations.
pub(crate) fn written(
    known: Estimate,
    reading: Reading,
    tool: Option<Tool>,
    whole: fn(f64) -> f64,
) -> Option<Amount> {
    let written = reading.low().or(reading.high())?;
    let step = tool
        .map(Tool::graduation)
        .filter(|g| EstimateUnit::of(g.dimension()) == Some(known.scale))
        .or_else(|| last_place(written))?;
    let steps = whole(known.value / number(step, known.scale)?);
    if !steps.is_finite() || steps.abs() > 1e6 {
        return None;
    }
    match step {
        Amount::Decimal { value, unit } => {
            Amount::decimal(value.digits().checked_mul(steps as i64)?, value.places(), unit).ok()
        }
        Amount::Fraction(f) => {
            // A tool's graduation is a whole number of divisions, commonly one.
            let each = f.numerator().value();
            Amount::fraction((steps * each).round() as i32, f.denominator()).ok()
        }
    }
}

/// An amount in a scale.
pub(crate) fn number(amount: Amount, scale: EstimateUnit) -> Option<f64> {
    match scale {
        EstimateUnit::Millimetre => amount.length().map(|l| l.get::<millimeter>()),
        EstimateUnit::Cent => (amount.unit() == Unit::Cent).then(|| amount.number()),
    }
}

/// One unit of the last place that was written: 1/64 in for `5/64`, 0.01 mm for `1.98`; whole millimetres are
/// read off a rule in halves.
fn last_place(amount: Amount) -> Option<Amount> {
    match amount {
        Amount::Decimal { value, unit: Unit::Millimetre } if value.places() == 0 => {
            Amount::decimal(5, 1, Unit::Millimetre).ok()
        }
        Amount::Decimal { value, unit } => Amount::decimal(1, value.places(), unit).ok(),
        Amount::Fraction(f) => Amount::fraction(1, f.denominator()).ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_rule_readings_must_differ_by_about_0_35_mm() {
        // Half of 1/64 in over the square root of 3 (JCGM 100:2008, 4.3.7), 0.05 mm repeatability.
        let read = Reading::Value(Amount::fraction(5, 64).unwrap());
        let k = Estimate::of_reading(read, Some(Tool::RULE_64)).unwrap();
        let apart = COVERAGE * k.minus(k).standard_uncertainty;
        assert!((apart - 0.354).abs() < 0.002, "{apart}");
        assert!((k.value - 1.984_375).abs() < 1e-9);
    }

    #[test]
    fn an_interval_carries_half_its_width() {
        let low = Amount::decimal(10, 0, Unit::Thou).unwrap();
        let high = Amount::decimal(12, 0, Unit::Thou).unwrap();
        let tool = Some(Tool::FEELER_THOU);
        let k = Estimate::of_reading(Reading::between(low, high).unwrap(), tool).unwrap();
        assert!((k.value - 0.2794).abs() < 1e-9);
        // Half a width of 2 thou over the square root of 3, 0.015 mm repeatability.
        let expected = (0.0254_f64 / 3_f64.sqrt()).hypot(0.015);
        assert!((k.standard_uncertainty - expected).abs() < 1e-9);
    }

    #[test]
    fn a_reader_s_own_scatter_takes_the_place_of_the_usual_one() {
        let read = Reading::Value(Amount::decimal(20, 2, Unit::Millimetre).unwrap());
        let leaf = Some("feeler 0.01 mm".parse::<Tool>().unwrap());
        let u =
            |over| Estimate::of_reading_repeating(read, leaf, over).unwrap().standard_uncertainty;
        assert!((u(None) - u(Some(1.0))).abs() < 1e-12);
        // Twice the scatter is twice the uncertainty, rounding and repeatability together.
        assert!((u(Some(2.0)) - 2.0 * u(None)).abs() < 1e-12);
        // However well it repeats: the rounding (JCGM 100:2008, 4.3.7) and half of 0.015 mm stay.
        let least = (0.005_f64 / 3_f64.sqrt()).hypot(0.0075);
        assert!((u(Some(0.0)) - least).abs() < 1e-12);
        // A rule's rounding is not talked away.
        let rule = Some(Tool::RULE_64);
        let read = Reading::Value(Amount::fraction(5, 64).unwrap());
        let known = Estimate::of_reading_repeating(read, rule, Some(0.0)).unwrap();
        assert!(known.standard_uncertainty > 0.114);
    }

    #[test]
    fn a_bound_tells_on_its_own_side_only() {
        let at_most = Estimate { bound: Bound::AtMost, ..Estimate::mm(1.0, 0.1) };
        assert!(!at_most.tells());
        let below = Estimate { bound: Bound::AtMost, ..Estimate::mm(-1.0, 0.1) };
        assert!(below.tells());
    }
}
