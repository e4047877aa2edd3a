//! Numbers and ways of reading in words.

use fallaway::measure::Length;
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::string_line::GapPlace;
use fallaway::mechanics::units::as_mm;
use fallaway_text::{Computed, Phrase};

use crate::messages::calc as say;

/// A length in both units of the bench.
pub fn both(length: Length) -> Phrase {
    let value = as_mm(length);
    say::both(Computed::mm(value), Computed::plain(value / 25.4, 3))
}

/// A length to so many places of a millimetre.
pub fn mm_to(length: Length, places: u8) -> Computed {
    Computed::mm(as_mm(length)).places(places)
}

/// A change with its sign.
pub fn signed(length: Length) -> Computed {
    Computed::mm(as_mm(length)).signed()
}

/// A way of reading: "fretted at 1, over 24".
pub fn way(place: GapPlace) -> Phrase {
    match place.stopped {
        0 => say::open_over(place.over),
        stopped => say::fretted_over(stopped, place.over),
    }
}

/// A value and twice its standard uncertainty.
pub fn give_or_take(value: Uncertain<Length>) -> Phrase {
    let twice = 2.0 * as_mm(value.standard_uncertainty);
    if twice < 0.000_5 {
        both(value.value)
    } else {
        say::give_or_take(mm_to(value.value, 2), Computed::mm(twice))
    }
}
