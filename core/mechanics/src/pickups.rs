//! Pickup height: gap from the underside of a string to pole or cover, the string stopped at the
//! last fret.
//!
//! Every range here is common practice, no source. Balance from string to string is set by ear; a
//! gap only says where to begin and what is too close.

use fallaway_measure::{InstrumentFamily, Limit, Side};
use uom::si::f64::Length;

use crate::error::Result;
use crate::units::mm;

/// How a gap compares with what is usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PickupGapVerdict {
    /// Within the usual range.
    Usual,
    /// Below the usual range.
    Close,
    /// Above the usual range: weak, not harmful.
    Far,
}

/// A gap, the usual range, and whether the magnet may pull the string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PickupGap {
    /// How it compares with the usual range.
    pub verdict: PickupGapVerdict,
    /// The usual range (common practice, no source).
    pub usual: (Length, Length),
    /// Whether a strong magnet this near the lowest string may pull its pitch.
    pub may_pull: bool,
}

/// Below this gap a strong magnet may pull the pitch of a low string: 1.5 mm (common practice, no
/// source).
pub const PULL_GAP_MM: f64 = 1.5;

/// The usual range of the gap at one end of a pickup, from the closest to the farthest (common
/// practice, no source); `None` for a family that has none.
///
/// ```
/// use fallaway_measure::{InstrumentFamily, Side};
/// use fallaway_mechanics::{pickups::usual_gap, units::as_mm};
/// let (near, far) = usual_gap(InstrumentFamily::Bass, Side::Bass).unwrap();
/// assert!(as_mm(near) < as_mm(far));
/// ```
pub fn usual_gap(family: InstrumentFamily, side: Side) -> Option<(Length, Length)> {
    let (near, far) = match (family, side) {
        (InstrumentFamily::Bass, Side::Bass) => (2.0, 4.0),
        (InstrumentFamily::Bass, Side::Treble) | (InstrumentFamily::Guitar, Side::Bass) => {
            (1.6, 3.2)
        }
        (InstrumentFamily::Guitar, Side::Treble) => (1.2, 2.4),
        (InstrumentFamily::Other(_), _) => return None,
    };
    Some((mm(near), mm(far)))
}

/// Judges a gap read with the string stopped at the last fret; `None` for a family of which no range
/// is usual.
///
/// `strong_magnet` is what the user knows of the pickup (exposed magnets); when unknown, say true:
/// the warning is then a reason to listen, not a fault.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_measure::{InstrumentFamily, Side};
/// use fallaway_mechanics::{pickups::{PickupGapVerdict, judge_gap}, units::mm};
/// let low = judge_gap(InstrumentFamily::Bass, Side::Bass, mm(1.4), true).unwrap().unwrap();
/// assert_eq!(low.verdict, PickupGapVerdict::Close);
/// assert!(low.may_pull);
/// ```
pub fn judge_gap(
    family: InstrumentFamily,
    side: Side,
    gap: Length,
    strong_magnet: bool,
) -> Result<Option<PickupGap>> {
    let read = Limit::PickupGap.check_mm(gap)?;
    let Some(usual) = usual_gap(family, side) else { return Ok(None) };
    let verdict = if gap < usual.0 {
        PickupGapVerdict::Close
    } else if gap > usual.1 {
        PickupGapVerdict::Far
    } else {
        PickupGapVerdict::Usual
    };
    let may_pull = side == Side::Bass && strong_magnet && read < PULL_GAP_MM;
    Ok(Some(PickupGap { verdict, usual, may_pull }))
}

/// Turns of a height screw of `pitch` from one gap to another; positive brings the pickup nearer to
/// the strings. Which way that turns the screw, the instrument must show.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{pickups::turns_between, units::mm};
/// assert!((turns_between(mm(3.0), mm(2.5), mm(0.5)).unwrap() - 1.0).abs() < 1e-9);
/// ```
pub fn turns_between(from: Length, to: Length, pitch: Length) -> Result<f64> {
    let from = Limit::PickupGap.check_mm(from)?;
    let to = Limit::PickupGap.check_mm(to)?;
    Ok((from - to) / Limit::ThreadPitch.check_mm(pitch)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_bass_side_stands_farther_off_than_the_treble_side() {
        // Common practice, no source: low strings swing wider and are pulled more.
        for family in [InstrumentFamily::Bass, InstrumentFamily::Guitar] {
            let of = |side| usual_gap(family, side).unwrap();
            let (bass, treble) = (of(Side::Bass), of(Side::Treble));
            assert!(bass.0 > treble.0 && bass.1 > treble.1);
        }
    }

    proptest! {
        #[test]
        fn there_and_back_is_no_turn(a in 0.0..10.0f64, b in 0.0..10.0f64, pitch in 0.2..1.3f64) {
            let there = turns_between(mm(a), mm(b), mm(pitch)).unwrap();
            let back = turns_between(mm(b), mm(a), mm(pitch)).unwrap();
            prop_assert!((there + back).abs() < 1e-9);
            prop_assert_eq!(there > 0.0, b < a);
        }

        #[test]
        fn every_accepted_gap_has_one_verdict(gap in -5.0..40.0f64) {
            let judged = judge_gap(InstrumentFamily::Guitar, Side::Treble, mm(gap), true);
            prop_assert_eq!(judged.is_ok(), (0.0..=30.0).contains(&gap));
        }
    }
}
