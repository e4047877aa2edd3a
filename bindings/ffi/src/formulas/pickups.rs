//! Gaps between strings and pickups. The ranges are common practice, no source; balance across
//! strings is by ear.

use fallaway::mechanics::pickups;
use fallaway::mechanics::units::{as_mm, mm};

use crate::{FallawayError, Side};

pub use fallaway::mechanics::pickups::PickupOn;

/// On what the pickup sits.
#[uniffi::remote(Enum)]
pub enum PickupOn {
    /// A bass.
    Bass,
    /// A guitar.
    Guitar,
}

/// A usual range.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct UsualGap {
    /// Near end in mm.
    pub near_mm: f64,
    /// Far end in mm.
    pub far_mm: f64,
}

pub use fallaway::mechanics::pickups::PickupGapVerdict;

/// How a gap stands to the usual range.
#[uniffi::remote(Enum)]
pub enum PickupGapVerdict {
    /// Within it.
    Usual,
    /// Nearer.
    Close,
    /// Farther.
    Far,
}

/// A gap judged.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct PickupJudged {
    /// How it stands to the usual range.
    pub verdict: PickupGapVerdict,
    /// The usual range.
    pub usual: UsualGap,
    /// A strong magnet this near can pull the pitch of a low string.
    pub may_pull: bool,
}

/// The usual gap from the string's underside to the pole or cover, stopped at the last fret.
#[uniffi::export]
pub fn usual_pickup_gap(instrument: PickupOn, side: Side) -> UsualGap {
    let (near, far) = pickups::usual_gap(instrument, side);
    UsualGap { near_mm: as_mm(near), far_mm: as_mm(far) }
}

/// Judges a gap read with the string stopped at the last fret.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn judge_pickup_gap(
    instrument: PickupOn,
    side: Side,
    gap_mm: f64,
    strong_magnet: bool,
) -> Result<PickupJudged, FallawayError> {
    let found = pickups::judge_gap(instrument, side, mm(gap_mm), strong_magnet)?;
    Ok(PickupJudged {
        verdict: found.verdict,
        usual: UsualGap { near_mm: as_mm(found.usual.0), far_mm: as_mm(found.usual.1) },
        may_pull: found.may_pull,
    })
}

/// Turns of a height screw from one gap to another; above zero raises the pickup.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn pickup_turns(read_mm: f64, wanted_mm: f64, pitch_mm: f64) -> Result<f64, FallawayError> {
    Ok(pickups::turns_between(mm(read_mm), mm(wanted_mm), mm(pitch_mm))?)
}
