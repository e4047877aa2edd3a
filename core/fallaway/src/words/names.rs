//! Plain words for strings, ways of reading and roles.

use fallaway_measure::{Fret, Location, Place, Quantity};
use fallaway_record::Spec;

/// A string with its note, "4 (E)".
pub fn string(spec: &Spec, place: Place) -> String {
    match spec.tuning.get(&place) {
        Some(note) => format!("{place} ({})", note.letter()),
        None => place.to_string(),
    }
}

/// Where something was read; empty for the instrument as a whole.
pub fn location(spec: &Spec, location: Location) -> String {
    match location {
        Location::Whole => String::new(),
        Location::Course(place) => string(spec, place),
        other => other.to_string(),
    }
}

/// What is read and which way, "action, stopped at 1 over 24".
pub fn quantity(quantity: Quantity) -> String {
    match quantity {
        Quantity::Gap { stopped, over } => {
            // Near the nut, or held down above: that tells the depth of the slot.
            let name = if over.number() == 1 || stopped > over { "nut" } else { "action" };
            if stopped.is_open() {
                format!("{name}, open over {over}")
            } else {
                format!("{name}, stopped at {stopped} over {over}")
            }
        }
        Quantity::Relief { from, to, at: None } => format!("relief, {from} to {to}"),
        Quantity::Relief { from, to, at: Some(at) } => format!("relief, {from} to {to}, at {at}"),
        Quantity::Pitch => "pitch".into(),
        Quantity::Intonation { fret } => format!("intonation at {fret}"),
        Quantity::SpacingBridge => "spacing at the bridge".into(),
        Quantity::SpacingNut => "spacing at the nut".into(),
        Quantity::PickupGap { pickup, stopped: Fret::OPEN } => format!("pickup {pickup}, open"),
        Quantity::PickupGap { pickup, stopped } => {
            format!("pickup {pickup}, stopped at {stopped}")
        }
        Quantity::Other(number) => format!("quantity {number} (written by a newer version)"),
    }
}

/// Frets of a buzz, "open", "fret 3", "frets 3 to 6".
pub fn frets(from: Fret, to: Fret) -> String {
    match (from.is_open(), from == to) {
        (true, true) => "open".into(),
        (true, false) => format!("open to fret {to}"),
        (false, true) => format!("fret {from}"),
        (false, false) => format!("frets {from} to {to}"),
    }
}
