//! How far off a target is still fine if nobody says.

use fallaway_measure::{Amount, Decimal, Dimension, Fraction, Quantity, Unit};

/// So near to a whole number of halves is as good, as a share.
const AS_GOOD: f64 = 0.05;

/// The usual tolerance of a target, in the unit in which it is written: 0.05 mm for relief and the nut,
/// 0.1 mm for fall-away, 0.2 mm for the other gaps, 0.5 mm for spacing, 2 cents; 2, 4, 8 and 20 thousandths of an inch, and half a
/// sixty-fourth for the other gaps (common practice, no source).
///
/// ```
/// use fallaway_advice::observe::usual_tolerance;
/// use fallaway_measure::{Amount, Quantity, Unit};
/// let thou = Amount::decimal(8, 0, Unit::Thou).unwrap();
/// assert_eq!(usual_tolerance(Quantity::nut(), thou).to_string(), "2 thou");
/// let marks = Amount::fraction(5, 64).unwrap();
/// assert_eq!(usual_tolerance(Quantity::gap(1, 24).unwrap(), marks).to_string(), "0.5/64 in");
/// let coarse = Amount::fraction(1, 4).unwrap();
/// assert_eq!(usual_tolerance(Quantity::gap(1, 24).unwrap(), coarse).to_string(), "8 thou");
/// ```
pub fn usual_tolerance(quantity: Quantity, wanted: Amount) -> Amount {
    if wanted.dimension() == Dimension::Interval {
        return Amount::decimal(2, 0, Unit::Cent).unwrap_or(Amount::zero(Unit::Cent));
    }
    // In hundredths of a millimetre and in thousandths of an inch.
    let (hundredths, thou) = match quantity {
        Quantity::Relief { .. } => (5, 2),
        Quantity::Gap { over, .. } if over.number() == 1 => (5, 2),
        Quantity::FallAway { .. } => (10, 4),
        Quantity::SpacingBridge | Quantity::SpacingNut => (50, 20),
        _ => (20, 8),
    };
    let mm = || Amount::decimal(hundredths, 2, Unit::Millimetre);
    let found = match wanted {
        Amount::Decimal { unit: Unit::Thou, .. } => Amount::decimal(thou, 0, Unit::Thou),
        Amount::Decimal { unit: Unit::Inch, .. } => Amount::decimal(thou, 3, Unit::Inch),
        // In halves of a division, as an eye splits it, where the divisions are fine enough for that; nobody
        // says an eighth of a sixty-fourth.
        Amount::Fraction(of) => {
            let divisions = hundredths as f64 / 2540.0 * f64::from(of.denominator());
            let halves = (divisions * 2.0).round();
            if halves < 1.0 || (halves / 2.0 - divisions).abs() > AS_GOOD * divisions {
                Amount::decimal(thou, 0, Unit::Thou)
            } else {
                let part = Decimal::nearest(halves / 2.0).unwrap_or(Decimal::whole(1));
                Fraction::new(false, 0, part, of.denominator()).map(Amount::Fraction)
            }
        }
        Amount::Decimal { .. } => mm(),
    };
    found.or_else(|_| mm()).unwrap_or(Amount::zero(Unit::Millimetre))
}
