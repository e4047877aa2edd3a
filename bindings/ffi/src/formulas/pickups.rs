//! Gaps between strings and pickups. The ranges are common practice, no source; balance across
//! strings is by ear.

use fallaway::mechanics::pickups;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::Length;

use crate::{FallawayError, InstrumentFamily, Side};

/// The range of a pickup's gap that is usual (common practice, no source).
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
    /// Within the usual range, its ends included.
    Usual,
    /// Nearer to the strings than is usual.
    Close,
    /// Farther from the strings than is usual: weak, not harmful.
    Far,
}

/// A pickup's gap against the usual range.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct PickupJudged {
    /// How it stands to the usual range.
    pub verdict: PickupGapVerdict,
    /// The range that it is held against.
    pub usual: UsualGap,
    /// A strong magnet this near can pull the pitch of a low string.
    pub may_pull: bool,
}

/// The usual gap from the string's underside to the pole or cover, stopped at the last fret; `None`
/// for a family that has none.
#[uniffi::export]
pub fn usual_pickup_gap(family: InstrumentFamily, side: Side) -> Option<UsualGap> {
    pickups::usual_gap(family.into(), side).map(usual)
}

/// Judges a gap read with the string stopped at the last fret; `None` for a family of which no range
/// is usual.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn judge_pickup_gap(
    family: InstrumentFamily,
    side: Side,
    gap_mm: f64,
    strong_magnet: bool,
) -> Result<Option<PickupJudged>, FallawayError> {
    let found = pickups::judge_gap(family.into(), side, mm(gap_mm), strong_magnet)?;
    Ok(found.map(|found| PickupJudged {
        verdict: found.verdict,
        usual: usual(found.usual),
        may_pull: found.may_pull,
    }))
}

fn usual((near, far): (Length, Length)) -> UsualGap {
    UsualGap { near_mm: as_mm(near), far_mm: as_mm(far) }
}

/// Turns of a height screw from one gap to another; above zero raises the pickup.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn pickup_turns(read_mm: f64, wanted_mm: f64, pitch_mm: f64) -> Result<f64, FallawayError> {
    Ok(pickups::turns_between(mm(read_mm), mm(wanted_mm), mm(pitch_mm))?)
}
