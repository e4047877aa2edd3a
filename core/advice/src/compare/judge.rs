//! Whether a reading meets its target: the one rule, for plan, card and list.
//!
//! An adjustment is called for when the best estimate lies outside the tolerance (simple acceptance,
//! JCGM 106:2012, 8.2) and the reading tells on which side of the wanted value it lies, that is by more
//! than [`crate::observe::COVERAGE`] standard uncertainties of the difference (JCGM 100:2008, 6.3.3).
//! A turn toward the wanted value then makes it better, however far exactly it is off. Outside the
//! tolerance by the numbers, but not told apart from the wanted value, a turn would be a guess.

use fallaway_measure::Amount;

use super::against_target::{AgainstTarget, RestsOn};
use crate::observe::{Bound, Estimate};

/// How a reading lies to its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Judgement {
    /// Within the tolerance.
    OnTarget,
    /// Beyond the tolerance by the numbers, but not told apart from what is wanted.
    OnTargetWithinError,
    /// Too much: to be adjusted.
    Above,
    /// Too little: to be adjusted.
    Below,
    /// Only one side of a value was read, and it leaves open whether it is on target.
    CannotTell,
}

impl Judgement {
    /// Whether nothing is to be done.
    pub const fn on_target(self) -> bool {
        matches!(self, Self::OnTarget | Self::OnTargetWithinError)
    }
}

/// Judges a reading by its target.
pub fn judge(compared: &AgainstTarget) -> Judgement {
    let off = compared.off();
    let within = off.value.abs() <= compared.tolerance * (1.0 + 1e-9);
    match (within, off.tells(), off.bound) {
        (false, true, _) if off.value > 0.0 => Judgement::Above,
        (false, true, _) => Judgement::Below,
        (true, _, Bound::Value) => Judgement::OnTarget,
        (false, false, Bound::Value) => Judgement::OnTargetWithinError,
        _ => Judgement::CannotTell,
    }
}

impl AgainstTarget {
    /// A reading beside what is wanted. `None` if the two are not of one kind.
    pub fn new(
        read: Estimate,
        wanted: Amount,
        tolerance: Amount,
        rests_on: RestsOn,
    ) -> Option<Self> {
        let wanted = Estimate::of_amount(wanted).filter(|w| w.scale == read.scale)?;
        let tolerance = Estimate::of_amount(tolerance).filter(|t| t.scale == read.scale)?;
        Some(Self { read, wanted, tolerance: tolerance.value.abs(), rests_on })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_measure::{Reading, Tool, Unit};

    fn judged(read: Reading, tool: Tool) -> Judgement {
        let mm = |digits| Amount::decimal(digits, 2, Unit::Millimetre).unwrap();
        let read = Estimate::of_reading(read, Some(tool)).unwrap();
        let against = AgainstTarget::new(read, mm(25), mm(5), RestsOn::Reading).unwrap();
        judge(&against)
    }

    fn hundredths(digits: i64) -> Amount {
        Amount::decimal(digits, 2, Unit::Millimetre).unwrap()
    }

    #[test]
    fn beyond_the_tolerance_and_told_apart_from_the_target_is_off() {
        // A 0.01 mm feeler: u = hypot(0.005 / sqrt(3), 0.015) = 0.0153 mm, twice that 0.031 mm.
        let feeler = |digits| judged(Reading::Value(hundredths(digits)), Tool::FEELER_MM);
        assert_eq!(feeler(30), Judgement::OnTarget);
        assert_eq!(feeler(31), Judgement::Above);
        assert_eq!(feeler(19), Judgement::Below);
        // The 1/64 in rule (u about 0.125 mm) cannot tell 0.34 from 0.25 mm.
        let rule = |digits| judged(Reading::Value(hundredths(digits)), Tool::RULE_64);
        assert_eq!(rule(34), Judgement::OnTargetWithinError);
        assert_eq!(rule(60), Judgement::Above);
    }

    #[test]
    fn a_bound_judges_on_its_own_side_only() {
        let at_least = |digits| judged(Reading::AtLeast(hundredths(digits)), Tool::FEELER_MM);
        assert_eq!(at_least(40), Judgement::Above);
        assert_eq!(at_least(25), Judgement::CannotTell);
        assert_eq!(at_least(10), Judgement::CannotTell);
    }
}
