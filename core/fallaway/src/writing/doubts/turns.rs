//! What was turned or moved: more at once than hands do, or against the way that a screw is known to
//! work.

use fallaway_measure::{Unit, number_in};
use fallaway_record::spec::{Clockwise, ScrewPlace};
use fallaway_record::{AdjustedPart, Adjustment, InstrumentSpec, Turns};
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, entries, names};

use super::amount;
use crate::writing::write_options::{Doubt, DoubtAbout, WhyDoubted};

/// Eighths of a turn at once: more is asked about. A rod is turned by an eighth or a quarter, and read.
const fn most_eighths(part: AdjustedPart) -> Option<u32> {
    Some(match part {
        AdjustedPart::Rod => 4,
        AdjustedPart::SaddleHeight(_) | AdjustedPart::BridgePost(_) | AdjustedPart::Springs => 32,
        AdjustedPart::Pickup { .. } => 64,
        // Common practice, no source: more brings it out of the coil, or onto the string.
        AdjustedPart::Pole { .. } => 16,
        AdjustedPart::SaddlePosition(_) | AdjustedPart::SaddleSideways(_) => 96,
        AdjustedPart::NutSlot(_)
        | AdjustedPart::Nut
        | AdjustedPart::Neck
        | AdjustedPart::Frets
        | AdjustedPart::Bridge
        | AdjustedPart::Elsewhere
        | AdjustedPart::Other(_) => return None,
    })
}

/// Millimetres at once.
const fn most_mm(part: AdjustedPart) -> Option<f64> {
    Some(match part {
        AdjustedPart::SaddleHeight(_) | AdjustedPart::BridgePost(_) => 4.0,
        AdjustedPart::SaddlePosition(_) => 12.0,
        AdjustedPart::SaddleSideways(_) => 5.0,
        AdjustedPart::NutSlot(_) => 1.0,
        AdjustedPart::Nut | AdjustedPart::Neck => 3.0,
        AdjustedPart::Pickup { .. } => 8.0,
        AdjustedPart::Pole { .. } => 2.0,
        AdjustedPart::Rod
        | AdjustedPart::Springs
        | AdjustedPart::Frets
        | AdjustedPart::Bridge
        | AdjustedPart::Elsewhere
        | AdjustedPart::Other(_) => return None,
    })
}

/// Whether a screw is known to work the other way: turned so, it moves what it moves down (forward)
/// where `more` says up (back), or the other way round.
pub fn is_against_the_known_way(
    spec: &InstrumentSpec,
    part: AdjustedPart,
    turns: Turns,
    more: bool,
) -> bool {
    let screw = match part {
        AdjustedPart::SaddleHeight(_) => ScrewPlace::SaddleHeight,
        AdjustedPart::SaddlePosition(_) => ScrewPlace::SaddlePosition,
        AdjustedPart::BridgePost(_) => ScrewPlace::BridgePost,
        AdjustedPart::Pickup { .. } => ScrewPlace::Pickup,
        _ => return false,
    };
    let known = spec.screws.get(&screw).and_then(|screw| screw.clockwise);
    let clockwise = turns.value() > 0.0;
    let gives_more = match known {
        Some(Clockwise::More) => clockwise,
        Some(Clockwise::Less) => !clockwise,
        None | Some(Clockwise::Other(_)) => return false,
    };
    gives_more != more
}

/// What to ask about an adjustment.
pub(crate) fn of_adjustment(spec: &InstrumentSpec, given: &Adjustment) -> Vec<Doubt> {
    let mut reasons: Vec<(WhyDoubted, Phrase)> = Vec::new();
    if let (Some(turns), Some(most)) = (given.turns, most_eighths(given.what))
        && turns.value().abs() * 8.0 > f64::from(most)
    {
        let usual = names::eighths_either_way(most);
        let reason = match given.what {
            AdjustedPart::Rod => say::rod_turned_far(names::turns(turns), usual),
            _ => say::turned_far(names::turns(turns), usual),
        };
        reasons.push((WhyDoubted::TurnedFar, reason));
    }
    let moved = given.amount.and_then(|moved| number_in(moved, Unit::Millimetre));
    if let (Some(moved), Some(most)) = (moved, most_mm(given.what))
        && moved.abs() > most
        && let (Some(moved), Some(most)) =
            (amount(moved.abs(), Unit::Millimetre), amount(most, Unit::Millimetre))
    {
        reasons.push((WhyDoubted::MovedFar, say::moved_far(moved, most)));
    }
    if let (Some(turns), Some(moved)) = (given.turns, moved)
        && is_against_the_known_way(spec, given.what, turns, moved > 0.0)
    {
        reasons.push((WhyDoubted::AgainstScrew, say::against_known_way()));
    }
    let shown = entries::adjusted(std::slice::from_ref(given), spec);
    let doubt = |(why, reason): (WhyDoubted, Phrase)| {
        let reason = say::of_what(shown.clone(), reason);
        Doubt::new(DoubtAbout::Adjustment(given.clone()), shown.clone(), reason, why)
    };
    reasons.into_iter().map(doubt).collect()
}
