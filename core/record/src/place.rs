//! Text forms of places inside keys.

use fallaway_measure::{Location, Side, StringPlace};

/// Reads what `StringPlace` shows: `4`, `3a`. Only that exact form, so that a place has one key.
pub(crate) fn parse(text: &str) -> Option<StringPlace> {
    text.parse().ok().filter(|place: &StringPlace| place.to_string() == text)
}

/// The word that stands for a location inside a key; `None` for one of a newer version.
pub(crate) fn location_word(location: Location) -> Option<String> {
    match location {
        Location::Whole => Some("whole".to_owned()),
        Location::Course(place) => Some(place.to_string()),
        Location::Side(Side::Bass) => Some("bass".to_owned()),
        Location::Side(Side::Treble) => Some("treble".to_owned()),
        _ => None,
    }
}
