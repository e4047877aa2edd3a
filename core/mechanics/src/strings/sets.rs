//! What a set pulls, and one set against another.

use fallaway_measure::Limit;
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::error::{Error, Result};
use crate::uncertain::Uncertain;

/// A rise of the total tension beyond this part is warned about: 10 % (common practice, no source).
pub(crate) const RISE_TO_WARN: f64 = 0.10;

/// How one place of the set changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TensionChange {
    /// Tension of the string, or of the set, that is replaced.
    pub before: Uncertain<Force>,
    /// Tension of what replaces it.
    pub after: Uncertain<Force>,
    /// After minus before.
    pub change: Uncertain<Force>,
    /// After divided by before.
    pub ratio: f64,
}

/// One set against another.
#[derive(Debug, Clone, PartialEq)]
pub struct SetComparison {
    /// Place by place, in the given order.
    pub strings: Vec<TensionChange>,
    /// The sums over all strings.
    pub total: TensionChange,
    /// Whether the total rises by more than 10 %: the neck will bend further, the rod and the
    /// bridge carry more, and everything is to be read again.
    pub rise_to_warn: bool,
}

/// Sum of the tensions on the neck; uncertainties add in quadrature.
///
/// # Errors
///
/// [`Error::TooFew`] for an empty list; [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{Uncertain, strings::total_tension};
/// use uom::si::{f64::Force, force::newton};
/// let t = |n| Uncertain::exact(Force::new::<newton>(n));
/// let sum = total_tension(&[t(190.0), t(200.0), t(185.0), t(155.0)]).unwrap();
/// assert!((sum.value.get::<newton>() - 730.0).abs() < 1e-9);
/// ```
pub fn total_tension(tensions: &[Uncertain<Force>]) -> Result<Uncertain<Force>> {
    if tensions.is_empty() {
        return Err(Error::TooFew { quantity: "strings", given: 0, needed: 1 });
    }
    Limit::Strings.check_count(tensions.len())?;
    let mut sum = Uncertain::exact(Force::new::<newton>(0.0));
    for tension in tensions {
        Limit::Tension.check(tension.value.get::<newton>())?;
        sum = sum.plus(*tension);
    }
    Ok(sum)
}

/// Compares two sets place by place and in total.
///
/// # Errors
///
/// [`Error::CountMismatch`] when the sets have different counts; [`Error::TooFew`] when they are
/// empty; [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{Uncertain, strings::compare_sets};
/// use uom::si::{f64::Force, force::newton};
/// let t = |n| Uncertain::exact(Force::new::<newton>(n));
/// let c = compare_sets(&[t(160.0), t(150.0)], &[t(180.0), t(168.0)]).unwrap();
/// assert!((c.total.change.value.get::<newton>() - 38.0).abs() < 1e-9);
/// assert!(c.rise_to_warn);
/// ```
pub fn compare_sets(
    before: &[Uncertain<Force>],
    after: &[Uncertain<Force>],
) -> Result<SetComparison> {
    if before.len() != after.len() {
        return Err(Error::CountMismatch {
            quantity: "strings of the new set",
            given: after.len(),
            expected: before.len(),
        });
    }
    let total = change(total_tension(before)?, total_tension(after)?);
    let strings = before.iter().zip(after).map(|(b, a)| change(*b, *a)).collect();
    Ok(SetComparison { strings, total, rise_to_warn: total.ratio > 1.0 + RISE_TO_WARN })
}

fn change(before: Uncertain<Force>, after: Uncertain<Force>) -> TensionChange {
    let ratio = (after.value / before.value).value;
    TensionChange { before, after, change: after.minus(before), ratio }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn set(values: &[f64]) -> Vec<Uncertain<Force>> {
        values
            .iter()
            .map(|&n| {
                Uncertain::new(Force::new::<newton>(n), Force::new::<newton>(n * 0.03)).unwrap()
            })
            .collect()
    }

    #[test]
    fn sets_of_different_size_are_refused() {
        let said = compare_sets(&set(&[100.0]), &set(&[100.0, 90.0])).unwrap_err();
        assert_eq!(said.to_string(), "strings of the new set: 2 given, 1 expected");
    }

    proptest! {
        #[test]
        fn the_total_is_the_sum_of_the_parts(
            pairs in proptest::collection::vec((1.0..400.0f64, 1.0..400.0f64), 1..8),
        ) {
            let (before, after): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
            let c = compare_sets(&set(&before), &set(&after)).unwrap();
            let sum: f64 = c.strings.iter().map(|s| s.change.value.get::<newton>()).sum();
            prop_assert!((c.total.change.value.get::<newton>() - sum).abs() < 1e-9);
            prop_assert_eq!(c.rise_to_warn, c.total.ratio > 1.1);
            let back = compare_sets(&set(&after), &set(&before)).unwrap();
            prop_assert!((back.total.ratio * c.total.ratio - 1.0).abs() < 1e-12);
        }
    }
}
